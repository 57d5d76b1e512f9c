"""The least of a cost within bounds and gaps: against another library's search, and where it must not go."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize

from panelmend.shapes.descent import descend

Array = Any


def bowl(at: Array) -> Any:
    return lambda z: (float((z - at) @ (z - at)), 2.0 * (z - at))


@given(st.floats(-3.0, 3.0), st.floats(-3.0, 3.0), st.floats(-1.0, 1.0), st.floats(0.2, 2.0))
def test_a_bowl_behind_a_wall_agrees_with_another_search(x: float, y: float, turn: float, far: float) -> None:
    way = np.array([np.cos(turn), np.sin(turn)])
    at = np.array([x, y])
    found = descend(
        bowl(at),
        lambda z: (np.array([way @ z - far]), way[None, :]),
        np.zeros(2),
        [(-2.0, 2.0)] * 2,
        change=1e-13,
    )
    other = minimize(
        lambda z: bowl(at)(z)[0],
        np.zeros(2),
        jac=lambda z: bowl(at)(z)[1],
        bounds=[(-2.0, 2.0)] * 2,
        constraints={"type": "ineq", "fun": lambda z: far - way @ z, "jac": lambda z: -way},
        method="SLSQP",
        options={"ftol": 1e-13},
    )
    assert found == pytest.approx(other.x, abs=1e-5)
    assert bowl(at)(found)[0] <= other.fun + 1e-9
    assert way @ found <= far + 1e-9
    assert np.all(np.abs(found) <= 2.0)


def test_a_start_outside_the_bounds_is_clipped_and_a_corner_is_reached() -> None:
    def cost(z: Array) -> tuple[float, Array]:
        return float(-z.sum()), -np.ones(2)

    found = descend(
        cost,
        lambda z: (np.array([-1.0]), np.zeros((1, 2))),
        np.array([9.0, -9.0]),
        [(0.0, 1.0)] * 2,
        change=1e-13,
    )
    assert found == pytest.approx([1.0, 1.0])


def test_a_cost_that_fails_leaves_the_start() -> None:
    def cost(z: Array) -> tuple[float, Array]:
        return float("nan"), np.full(1, np.nan)

    found = descend(
        cost, lambda z: (-np.ones(1), np.zeros((1, 1))), np.array([0.4]), [(0.0, 1.0)], change=1e-13
    )
    assert found == pytest.approx([0.4])
