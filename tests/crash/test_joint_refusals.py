"""Bad joint input is refused with words; lacking data give NotComputed."""

from __future__ import annotations

import math

import pytest

from joint_oracle import (
    design_overlap,
    double_lap_long,
    equal_steps,
    goland_reissner,
    peel_at_tip,
    scarf,
    scarf_stress,
    volkersen,
)
from panelmend.errors import InputError, SolverError
from panelmend.physics.joint import (
    AdhesiveLayer,
    BeamStep,
    Bond,
    BondStep,
    Ends,
    capacity,
    lap,
    solve_bond,
)
from panelmend.physics.structure_inputs import NotComputed
from peel_oracle import peel_along

PLAIN = AdhesiveLayer(600e6, 0.13e-3)
FLOWS = AdhesiveLayer(600e6, 0.13e-3, 35e6, 0.5)


@pytest.mark.parametrize(
    ("kw", "word"),
    [({"G": -1.0}, "G"), ({"t": 0.0}, "thickness"), ({"tau_p": -35e6}, "tau_p"), ({"gp": -0.1}, "plastic")],
)
def test_adhesive(kw, word) -> None:
    with pytest.raises(InputError, match=word):
        AdhesiveLayer(**{"G": 600e6, "t": 0.13e-3, **kw})


def test_steps() -> None:
    with pytest.raises(InputError, match="length"):
        BondStep(0.0, 1e6, 1e6)
    with pytest.raises(InputError, match="K2"):
        BondStep(0.01, 1e6, -1e6)
    with pytest.raises(InputError, match="without steps"):
        Bond((), PLAIN)
    with pytest.raises(InputError, match="faces"):
        Bond((BondStep(0.01, 1e6, 1e6),), PLAIN, 3)
    with pytest.raises(InputError, match="without steps"):
        equal_steps(0, 0.01, 1e6, 1e6)
    with pytest.raises(InputError, match="tip"):
        scarf(0.05, 1e6, 1e6, tip=0.0)


def test_ends() -> None:
    with pytest.raises(InputError, match="finite"):
        lap(math.nan)
    with pytest.raises(InputError, match="both ends"):
        solve_bond(Bond((BondStep(0.01, 1e6, 1e6),), PLAIN), Ends(None, None, 1.0))


def test_more_than_it_can_carry() -> None:
    with pytest.raises(SolverError, match="carries no such load"):
        solve_bond(Bond((BondStep(0.01, 1e8, 1e8),), FLOWS), lap(1e6))


def test_missing_data() -> None:
    bond = Bond((BondStep(0.01, 1e8, 1e8),), PLAIN)
    assert isinstance(capacity(bond, lap(1e3)), NotComputed)
    assert isinstance(capacity(Bond(bond.steps, FLOWS), lap(0.0)), NotComputed)
    assert isinstance(double_lap_long(PLAIN, 1e8, 1e8), NotComputed)
    assert isinstance(design_overlap(PLAIN, 1e8, 1e8, 1e3, 1), NotComputed)
    assert isinstance(goland_reissner(PLAIN, 1e-3, 7e10, 0.3, 0.01, 1e4), NotComputed)
    assert isinstance(peel_at_tip(PLAIN, 1e6, 1.0, 1e-3), NotComputed)
    assert isinstance(peel_along(solve_bond(bond, lap(1e3)), [BeamStep(1.0, 1e-3)]), NotComputed)


def test_beam_entries() -> None:
    answer = solve_bond(Bond((BondStep(0.01, 1e8, 1e8),), AdhesiveLayer(6e8, 1e-4, E=1e9)), lap(1e3))
    with pytest.raises(InputError, match="beam steps"):
        peel_along(answer, [BeamStep(1.0, 1e-3)] * 2)
    with pytest.raises(InputError, match="adherend D"):
        BeamStep(0.0, 1e-3)


def test_closed_forms() -> None:
    with pytest.raises(InputError, match="overlap"):
        volkersen(PLAIN, 1e8, 1e8, 0.0, 1e3)
    with pytest.raises(InputError, match="K1"):
        volkersen(PLAIN, 0.0, 1e8, 0.01, 1e3)
    with pytest.raises(InputError, match="ratio"):
        scarf_stress(0.0, 1e6)
