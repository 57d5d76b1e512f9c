"""Peel of the patch: beams against a plane solution, the strap over the plug, scarf, convergence."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from examples_here import case_from, text
from panelmend.job.strength.bonds import ACROSS, across_taken, bond_of
from panelmend.job.strength.lay import Lay
from panelmend.job.strength.stacks import BondThing
from panelmend.job.strength.tips import tip_peel
from panelmend.physics.joint import (
    Adhesive,
    BeamStep,
    Bond,
    Plug,
    Step,
    TipAnswer,
    peel_on_core,
    solve_bond,
)
from panelmend.physics.structure_inputs import NotComputed
from panelmend.plan.make import make_plan
from tip_plane import plane

PASTE = Adhesive(600e6, 0.2e-3, E=3.6e9)
FILM = Adhesive(450e6, 0.13e-3, E=3.0e9)


def beam(E: float, t: float) -> BeamStep:
    return BeamStep(E * t**3 / 12, t)


def case(glue: Adhesive, E: float, straps: tuple[float, ...], skin: float, lengths: tuple[float, ...]):
    bond = Bond(tuple(Step(a, E * t, E * skin) for a, t in zip(lengths, straps, strict=True)), glue)
    return bond, [beam(E, t) for t in straps], beam(E, skin)


CASES = {
    "glass, cut through": (case(PASTE, 20e9, (1e-3, 5e-4, 25e-5), 75e-5, (25e-3, 19e-3, 19e-3)), 28e9, 28e9),
    "glass, soft plug": (case(PASTE, 20e9, (1e-3, 5e-4, 25e-5), 75e-5, (25e-3, 19e-3, 19e-3)), 28e9, 7e9),
    "carbon, plies run on": (case(FILM, 50e9, (4e-4, 2e-4), 8e-4, (25e-3, 19e-3)), 43e9, 0.0),
    "thick carbon, one step": (case(FILM, 60e9, (16e-4,), 16e-4, (40e-3,)), 15e9, 15e9),
    "metal on a soft core": (case(PASTE, 72e9, (8e-4,), 8e-4, (25e-3,)), 4e9, 4e9),
}


@pytest.mark.parametrize("name", CASES)
def test_beams_meet_the_plane_solution(name: str) -> None:
    """Peel in the adhesive's middle and pull on the springs, patch and skin soft through their thickness.

    The beams lie on the safe side, by no more than a quarter in peel.
    """
    (bond, straps, skin), core, spring = CASES[name]
    plug = Plug(spring, 0.04) if spring else None
    peel, pull = plane(bond, 2e5, straps, skin, core, plug, 9e9, 4e9)
    found = [tip(bond, straps, skin, core, plug, lever=lever) for lever in (False, True)]
    assert 0.97 < found[0].most_peel / peel < 1.25
    assert 0.93 < found[1].most_pull / pull < 1.1


def tip(bond, straps, skin, core, plug, *, lever: bool = False, cells: int = 60) -> TipAnswer:
    made = peel_on_core(bond, 2e5, straps, [skin] * len(straps), core, plug, lever=lever, cells=cells)
    assert not isinstance(made, NotComputed)
    return made


def test_the_plane_solution_has_settled() -> None:
    (bond, straps, skin), core, spring = CASES["thick carbon, one step"]
    coarse, fine = (
        plane(bond, 2e5, straps, skin, core, Plug(spring, 0.04), 9e9, 4e9, fine=f, layers=n)
        for f, n in ((6.0, 3), (12.0, 5))
    )
    assert coarse == pytest.approx(fine, rel=0.02)


def test_a_strap_bends_over_the_plug_and_is_not_held_straight_at_the_edge_of_the_hole() -> None:
    """Held straight there, as over an opening of no length, the glass patch peels two fifths harder."""
    (bond, straps, skin), core, spring = CASES["glass, cut through"]
    free, held = (tip(bond, straps, skin, core, Plug(spring, half)) for half in (0.04, 1e-5))
    assert held.peel[0] > 1.3 * free.peel[0]


@pytest.mark.parametrize("name", CASES)
def test_the_peak_settles(name: str) -> None:
    (bond, straps, skin), core, spring = CASES[name]
    plug = Plug(spring, 0.04) if spring else None
    coarse, fine = (tip(bond, straps, skin, core, plug, cells=n).most_peel for n in (60, 150))
    assert coarse == pytest.approx(fine, rel=2e-3)


def lay_of(document: str) -> Lay:
    plan = make_plan(case_from(document))
    assert plan.work is not None
    return Lay(plan.case, plan.work.cutout, plan.work.plies, plan.work.core)


def bond(lay: Lay) -> BondThing:
    made = bond_of(lay, "outside", 0.0)
    assert isinstance(made, BondThing)
    return made


def test_a_modulus_across_the_layer_is_taken_from_the_data_where_they_give_it() -> None:
    flap = text("flap_rib_bay")
    shear = 'shear_modulus = "600 MPa"\n'
    assert flap.count(shear) == 1
    told = lay_of(flap.replace(shear, f'{shear}peel_modulus = "2.4 GPa"\n'))
    bare = lay_of(flap)
    assert across_taken(bare)
    assert not across_taken(told)
    assert pytest.approx(ACROSS * 600e6) == bond(bare).bond.adhesive.E
    assert pytest.approx(2.4e9) == bond(told).bond.adhesive.E
    stresses = [float(tip_peel(bond=bond(lay), load=1e5)) for lay in (told, bare)]
    assert stresses[0] < 0.95 * stresses[1]


def test_peel_of_a_scarf_is_shear_times_its_slope() -> None:
    """A scarf lies flush: the traction on its face points along the skin."""
    made = bond(lay_of(text("gear_door")))
    flush = replace(made, slope=0.02)
    elastic = Bond(flush.bond.steps, flush.bond.adhesive.elastic())
    tau = np.abs(solve_bond(elastic, flush.ends(1e5)[0], cells=240).tau).max()
    assert float(tip_peel(bond=flush, load=1e5)) == pytest.approx(0.02 * tau)
    assert float(tip_peel(bond=made, load=1e5)) > 10.0 * float(tip_peel(bond=flush, load=1e5))
