"""A crossing of zero: against scipy's, on hard functions, and where there is none."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from panelmend.errors import SolverError
from panelmend.physics.root import crossing

HARD = [
    (lambda x: x**3 - 2.0 * x - 5.0, 2.0, 3.0),
    (lambda x: math.exp(x) - 1e6, -40.0, 40.0),
    (lambda x: x**9 - 1e-9, -1.0, 4.0),
    (lambda x: math.atan(1e6 * (x - 0.3)), -1e3, 1e3),
    (lambda x: -1.0 if x < 0.123 else 1.0, 0.0, 1.0),
    (lambda x: (x - 273.15) * 1e-12, 200.0, 1000.0),
]


@pytest.mark.parametrize("case", range(len(HARD)))
def test_hard_functions_agree_with_another_solver(case: int) -> None:
    function, low, high = HARD[case]
    found = crossing(function, low, high, width=1e-12)
    assert found == pytest.approx(brentq(function, low, high, xtol=1e-12), abs=3e-12, rel=1e-12)
    assert crossing(function, high, low, width=1e-12) == pytest.approx(found, abs=3e-12, rel=1e-12)


@given(st.floats(-1e3, 1e3), st.floats(0.1, 9.0), st.floats(1e-3, 1e3), st.floats(1e-3, 1e3))
def test_a_power_crosses_where_it_was_put(at: float, power: float, below: float, above: float) -> None:
    def function(x: float) -> float:
        return math.copysign(abs(x - at) ** power, x - at)

    assert crossing(function, at - below, at + above, width=1e-9) == pytest.approx(at, abs=1.1e-9)


def test_it_takes_few_values() -> None:
    seen: list[float] = []

    def function(x: float) -> float:
        seen.append(x)
        return math.exp(0.02 * x) - 7.0

    crossing(function, 0.0, 400.0, width=1e-10)
    assert len(seen) < 20


def test_an_end_that_is_zero_is_the_crossing() -> None:
    assert crossing(lambda x: x - 2.0, 2.0, 5.0, width=1e-9) == 2.0
    assert crossing(lambda x: x - 5.0, 2.0, 5.0, width=1e-9) == 5.0


def test_no_crossing_and_no_number_are_refused() -> None:
    with pytest.raises(SolverError, match="no crossing of zero between 1 and 2"):
        crossing(lambda x: x, 1.0, 2.0, width=1e-9)
    with pytest.raises(SolverError, match="no crossing of zero between"):
        crossing(lambda x: math.nan, 1.0, 2.0, width=1e-9)
    with pytest.raises(SolverError, match="no number at"):
        crossing(lambda x: math.nan if 1.0 < x < 2.0 else x - 1.5, 1.0, 2.0, width=1e-9)
