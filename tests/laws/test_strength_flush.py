"""Steps let in flush, and the panel's own width: what the strips and the plate make of them."""

from __future__ import annotations

import pytest

from examples_here import case, case_from, names, text
from panelmend.job.strength.as_laid import AsLaid
from panelmend.job.strength.bonds import OVER_THE_CUT, bond_of, reserve_of
from panelmend.job.strength.changes import LET_IN
from panelmend.job.strength.flush import flush_bond
from panelmend.job.strength.stacks import BondThing, Stack
from panelmend.physics.joint import AdhesiveLayer, Bond, BondStep
from panelmend.physics.structure_inputs import NotComputed
from panelmend.plan.make import make_plan
from strength_made import rough

GLUE = AdhesiveLayer(600e6, 0.13e-3, 35e6, 0.5)


def lay_of(name: str) -> AsLaid:
    plan = make_plan(case(name))
    assert plan.work is not None
    return AsLaid(plan.case, plan.work.cutout, plan.work.plies, plan.work.core)


def reserve(bond: Bond, load: float, *, through: bool = False) -> float:
    names_of = tuple(str(k) for k in range(len(bond.steps)))
    found = reserve_of(BondThing(bond, names_of, through), load)
    assert not isinstance(found, NotComputed)
    return found.reserve


def stair(plies: int, ply: float, length: float) -> Bond:
    """A skin and a patch of the same plies, let in step by step; the lowest ply butts."""
    steps = [BondStep(length / plies, (plies - k) * ply, k * ply) for k in range(1, plies)]
    return Bond(tuple(steps), GLUE)


def test_many_small_steps_come_to_a_scarf() -> None:
    """Sixty-four plies over the same run: within a few per cent of the scarf of equal stacks."""
    whole, length, load = 48e6, 0.03, 2e5
    scarf = Bond((BondStep(length, whole, whole * 1e-3, whole * 1e-3, whole),), GLUE)
    many = [reserve(stair(n, whole / n, length), load) for n in (4, 16, 64)]
    assert many[0] < many[1] < many[2]
    assert many[2] == pytest.approx(reserve(scarf, load), rel=0.05)


@pytest.mark.parametrize("name", names())
def test_every_step_lies_on_what_its_ply_left(name: str) -> None:
    """Stiffness of patch and skin over each step add up to all plies that are there, none twice."""
    lay = lay_of(name)
    for layup in lay.plies.sides:
        bond = flush_bond(lay, layup.side, 0.0)
        assert isinstance(bond, BondThing)
        repair = [p for p in lay.carrying(layup.side) if p.role == "repair"]
        extra = [p for p in lay.carrying(layup.side) if p.role == "extra"]
        kept = [n for n in bond.names if n != OVER_THE_CUT]
        # cut through, the lowest ply has nothing under it
        first = 0 if lay.left(layup.side) else 1
        assert kept == [p.id for p in (*repair[first:], *extra)]
        skin = lay.stack("skin", lay.skin(layup.side))
        assert isinstance(skin, Stack)
        by_skin = [s.K2 for s, n in zip(bond.bond.steps, bond.names, strict=True) if n != OVER_THE_CUT]
        assert by_skin == sorted(by_skin)


def test_a_reader_of_flush_steps_is_told_that_they_carry_less() -> None:
    """The flap, plies laid over: 4.00 where let in they carry 2.65; the page holds both."""
    lay = lay_of("flap_rib_bay")
    over, let_in = (make(lay, "outside", 0.0) for make in (bond_of, flush_bond))
    found = [reserve_of(b, 2e5) for b in (over, let_in) if isinstance(b, BondThing)]
    assert len(found) == 2
    assert not any(isinstance(r, NotComputed) for r in found)
    assert found[1].reserve < 0.8 * found[0].reserve  # type: ignore[union-attr]
    study = rough(text("flap_rib_bay"))
    change = next(c for c in study.part.changes if c.what == LET_IN)
    assert change.after < change.before


def test_what_cannot_be_let_in_says_so() -> None:
    """A scarf, and plies that do not stand one for one."""
    made = text("gear_door")
    steps = 'scheme = { value = "stepped", '
    assert steps in made
    scarf = made.replace(steps, 'taper = { value = 50, place = "x 1" }\nscheme = { value = "scarf", ')
    order = 'value = "smallest first"'
    for document in (scarf, made.replace(order, 'value = "largest first"') if order in made else scarf):
        plan = make_plan(case_from(document))
        assert plan.work is not None
        lay = AsLaid(plan.case, plan.work.cutout, plan.work.plies, plan.work.core)
        assert isinstance(flush_bond(lay, "outside", 0.0), NotComputed)
