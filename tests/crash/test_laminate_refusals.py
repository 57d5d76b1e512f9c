"""Bad laminate input is refused with words; missing data give NotComputed, never a number."""

from __future__ import annotations

import math

import numpy as np
import pytest

from panelmend.errors import InputError
from panelmend.physics.laminate import (
    Criterion,
    Lamina,
    LaminatePly,
    Strengths,
    first_ply_failure,
    laminate,
    response,
    tsai_wu,
)
from panelmend.physics.structure_inputs import NotComputed

GOOD = Lamina(60e9, 60e9, 4e9, 0.05)


@pytest.mark.parametrize("bad", [-60e9, 0.0, math.nan, math.inf, "60", True])
def test_modulus(bad) -> None:
    with pytest.raises(InputError, match="E1"):
        Lamina(bad, 60e9, 4e9, 0.05)


def test_poisson_that_breaks_positive_definiteness() -> None:
    with pytest.raises(InputError, match="positive definiteness"):
        Lamina(10e9, 181e9, 7e9, 0.28)
    with pytest.raises(InputError, match="positive definiteness"):
        Lamina(60e9, 60e9, 4e9, -1.0)


def test_degrees_where_radians_belong() -> None:
    with pytest.raises(InputError, match="radians"):
        LaminatePly(GOOD, 45.0, 0.2e-3)


@pytest.mark.parametrize("t", [0.0, -0.2e-3, math.nan])
def test_thickness(t) -> None:
    with pytest.raises(InputError, match="thickness"):
        LaminatePly(GOOD, 0.0, t)


def test_no_plies() -> None:
    with pytest.raises(InputError, match="without plies"):
        laminate([])


@pytest.mark.parametrize("bad", [(1, 2), (1, 2, math.nan), 5.0])
def test_loads(bad) -> None:
    with pytest.raises(InputError, match="three finite"):
        response(laminate([LaminatePly(GOOD, 0.0, 1e-3)]), N=bad)


def test_negative_strength() -> None:
    with pytest.raises(InputError, match="Xc"):
        Strengths(Xc=-550e6)


@pytest.mark.parametrize("rule", list(Criterion))
def test_missing_strength_is_no_pass(rule) -> None:
    lam = laminate([LaminatePly(GOOD, 0.0, 1e-3)])
    answer = first_ply_failure(lam, response(lam, (1, 0, 0)), rule)
    assert isinstance(answer, NotComputed)
    assert "ply 1" in answer.reason


def test_no_load_is_no_pass() -> None:
    ply = Lamina(60e9, 60e9, 4e9, 0.05, strengths=Strengths(7e8, 5e8, 7e8, 5e8, 9e7))
    lam = laminate([LaminatePly(ply, 0.0, 1e-3)])
    assert isinstance(first_ply_failure(lam, response(lam), Criterion.TSAI_WU), NotComputed)


def test_open_tsai_wu_surface() -> None:
    got = tsai_wu(np.ones(3), Strengths(1e6, 1e6, 1e6, 1e6, 1e6), interaction=-1.0)
    assert isinstance(got, NotComputed)
