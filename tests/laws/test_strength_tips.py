"""Peel, pull on the core, thermal mismatch, secondary bending, splice: limits and what is missing."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np
import pytest

from examples_here import text
from panelmend.derive import Ledger
from panelmend.job.strength.alike import Unlike, skin_differences
from panelmend.job.strength.as_laid import AsLaid
from panelmend.job.strength.bonds import bond_of, mismatch_lacks, reserve_of
from panelmend.job.strength.mismatch import cooling, expansion
from panelmend.job.strength.offset import offset_load
from panelmend.job.strength.own import own_rows
from panelmend.job.strength.part import Ability
from panelmend.job.strength.secondary import panel_buckling, secondary_reserve
from panelmend.job.strength.sections import neutral, turned_section
from panelmend.job.strength.stacks import BondThing, Section, Stack
from panelmend.materials.model import Structural
from panelmend.physics.joint import (
    AdhesiveLayer,
    BeamStep,
    Bond,
    BondStep,
    PlugSpring,
    TipAnswer,
    peel_on_core,
)
from panelmend.physics.laminate import Lamina, LaminatePly, laminate, response
from panelmend.physics.sandwich import SandwichCore
from panelmend.physics.structure_inputs import NotComputed
from strength_made import lay_of

GLUE = AdhesiveLayer(600e6, 0.13e-3, 35e6, 0.5, E=3.6e9)


def beam(t: float) -> BeamStep:
    return BeamStep(60e9 * t**3 / 12, t)


def tip(straps: list[BeamStep], core: float, cells: int = 60) -> TipAnswer:
    bond = Bond(tuple(BondStep(0.03, 60e9 * b.thickness, 48e6) for b in straps), GLUE)
    found = peel_on_core(
        bond, 2e5, straps, [beam(8e-4)] * len(straps), core, PlugSpring(core, 0.05), lever=True, cells=cells
    )
    assert not isinstance(found, NotComputed)
    return found


def test_forces_across_the_bond_balance() -> None:
    """Nothing pulls the skin out of plane: what the core pulls is what the adhesive hands down."""
    found = tip([beam(4e-4)], 2e10, cells=600)
    peel, pull = np.trapezoid(found.peel, found.x), np.trapezoid(found.pull, found.along)
    assert abs(peel - pull) < 0.02 * np.trapezoid(abs(found.peel), found.x)


def test_the_whole_load_is_handed_over() -> None:
    found = tip([beam(4e-4), beam(2e-4)], 2e10, cells=240)
    assert abs(np.trapezoid(found.tau, found.x)) == pytest.approx(2e5, rel=1e-3)


def test_a_softer_core_is_pulled_less() -> None:
    pulls = [tip([beam(4e-4)], spring).most_pull for spring in (1e9, 1e10, 1e11)]
    assert pulls == sorted(pulls)


def warm(document: str, glass: str, second: str = "") -> str:
    """The flap with expansions of its carbon cloth, and of a repair cloth of its own where ``second``."""
    thermal = re.compile(r'(id = "demo-carbon-prepreg".*?thermal = \{)', re.DOTALL)
    made, n = thermal.subn(rf'\1 expansion_1 = "{glass}", expansion_2 = "{glass}",', document, count=1)
    assert n == 1
    if second:
        start = made.index('[[materials.cloth]]\nid = "demo-carbon-prepreg"')
        end = made.index("[[", start + 5)
        other = made[start:end].replace("demo-carbon-prepreg", "demo-other").replace(glass, second)
        at = made.index("repair = {")
        stop = made.index("sanding = {", at)
        made = (
            made[:at]
            + made[at:stop].replace("demo-carbon-prepreg", "demo-other")
            + made[stop:start]
            + other
            + made[start:]
        )
    return made


def test_mismatch_is_not_checked_without_expansions_and_costs_reserve_with_them() -> None:
    flap = text("flap_rib_bay")
    assert "expansion" in mismatch_lacks(lay_of(flap), "outside")
    same, apart = lay_of(warm(flap, "3e-6 1/K")), lay_of(warm(flap, "3e-6 1/K", "14e-6 1/K"))
    cold, reserves = lay_of(flap), []
    for lay in (cold, same, apart):
        bond = bond_of(lay, "outside", 0.0)
        assert isinstance(bond, BondThing)
        found = reserve_of(bond, 3e5)
        assert not isinstance(found, NotComputed)
        reserves.append(found.reserve)
    assert mismatch_lacks(same, "outside") == ""
    assert reserves[1] == pytest.approx(reserves[0], rel=1e-6)
    assert reserves[2] < 0.98 * reserves[0]
    drop = cooling(apart)
    assert drop == pytest.approx(296.15 - (250 - 32) / 1.8 - 273.15)


def test_expansion_of_equal_plies_is_theirs() -> None:
    lay = lay_of(warm(text("flap_rib_bay"), "3e-6 1/K"))
    for angle in (0.0, 0.3, math.pi / 4):
        assert expansion(lay, lay.skin("outside"), angle) == pytest.approx(3e-6)


PLY = Structural.model_validate(
    {"e1": "60 GPa", "e2": "60 GPa", "g12": "28.571428571 GPa", "nu12": 0.05, "s": "300 MPa"}
    | dict.fromkeys(("xt", "xc", "yt", "yc"), "500 MPa")
)


def section(outer: float, inner: float = 4e-4) -> Section:
    core = SandwichCore(40e6, 40e6, 138e6, 1.2e6, 1.2e6, 2.2e6, None, 3.2e-3, 48)
    return Section(Stack("in", ((PLY, 0.0, inner),)), Stack("out", ((PLY, 0.0, outer),)), core, 0.02, 0.0)


def test_secondary_bending_is_that_of_two_faces() -> None:
    """Load in the middle of two equal faces; one is doubled: statics leaves N/2 in each, one fails."""
    made, sound = section(8e-4), section(4e-4)
    n = offset_load(section=made, parent=sound, direction=0.0, sense=1.0)
    # each face takes its share by moments about the other face's middle, but for its own bending
    d, d0 = made.sandwich().d, sound.sandwich().d
    share = (d - d0 / 2) / d
    assert n == pytest.approx(500e6 * 4e-4 / share, rel=0.05)
    even = offset_load(section=sound, parent=sound, direction=0.0, sense=1.0)
    assert even == pytest.approx(2 * 500e6 * 4e-4, rel=1e-6)


def test_secondary_bending_grows_in_compression_up_to_buckling() -> None:
    made, sound = section(8e-4), section(4e-4)
    linear = offset_load(section=made, parent=sound, direction=0.0, sense=-1.0)
    far = secondary_reserve(section=made, parent=sound, direction=0.0, load=1e5, buckles=1e9)
    near = secondary_reserve(section=made, parent=sound, direction=0.0, load=1e5, buckles=3e5)
    assert far == pytest.approx(linear / 1e5, rel=1e-3)
    assert near < min(far, 3.0)
    # nothing shifted: the column is straight, and breaks or buckles
    straight = secondary_reserve(section=sound, parent=sound, direction=0.0, load=1e5, buckles=2e5)
    assert straight == pytest.approx(2.0, rel=1e-5)


def test_buckling_of_a_square_panel_is_four_pi_squared() -> None:
    """4 pi^2 D/b^2 of a square simply supported plate, the core's shear in series."""
    made = section(4e-4)
    bend = neutral(turned_section(made, 0.0))[2] / (1.0 - 0.05**2)
    shear = float(made.sandwich().shear_stiffness()[0, 0])
    wanted = 1.0 / (1.0 / (4 * math.pi**2 * bend / 0.25) + 1.0 / shear)
    assert panel_buckling(section=made, along=0.5, across=0.5, direction=0.0) == pytest.approx(
        wanted, rel=1e-3
    )


def test_the_splice_is_compared_and_says_when_it_cannot() -> None:
    rows = [o for o in own_rows(Ledger(), lay_of(text("gear_door"))) if o.what is Ability.SPLICE]
    # 30 MPa through the core's depth over the core's 1.2 MPa along the ribbon
    first = next(o for o in rows if o.direction == "0°" and o.condition == "room")
    assert first.ratio is not None
    assert float(first.ratio) > 20.0
    bare = text("gear_door").replace('shear_strength = "30 MPa"\n', "")
    none = [o for o in own_rows(Ledger(), lay_of(bare)) if o.what is Ability.SPLICE]
    assert none
    assert all(o.ratio is None and "shear_strength" in o.reason for o in none)


def flap(plies: int, repair: str) -> AsLaid:
    made = text("flap_rib_bay").replace("plies = 2\n", f"plies = {plies}\n")
    at = made.index("repair = {")
    stop = made.index("sanding = {", at)
    return lay_of(f'{made[:at]}repair = {{ place = "x 1", value = [\n{repair}] }}\n{made[stop:]}')


def row(warp: float, cloth: str = "demo-carbon-prepreg") -> str:
    return f'  {{ cloth = "{cloth}", warp = "{warp:g} deg" }},\n'


def test_repair_plies_like_those_cut_are_no_finding() -> None:
    assert skin_differences(flap(2, row(45) + row(0))) == ()
    assert skin_differences(flap(2, row(48) + row(0))) == ()  # within the tolerance of 3 degrees
    assert skin_differences(flap(2, row(45) + row(90))) == ()  # as stiff along as across


@pytest.mark.parametrize(
    ("plies", "repair", "kind"),
    [
        (2, row(45), Unlike.FEWER),
        (2, row(45) + row(0, "demo-glass-prepreg"), Unlike.THINNER),
        (2, row(49) + row(0), Unlike.TURNED),
        (1, row(45), Unlike.TURNED),
    ],
)
def test_unlike_repair_plies_are_found_at_every_depth(plies: int, repair: str, kind: Unlike) -> None:
    assert {d.kind for d in skin_differences(flap(plies, repair))} == {kind}


def test_one_ply_more_has_a_step_of_its_own() -> None:
    lay = lay_of(text("flap_rib_bay"))
    more = replace(lay, twice=True)
    one, two = bond_of(lay, "outside", 0.0), bond_of(more, "outside", 0.0)
    assert isinstance(one, BondThing)
    assert isinstance(two, BondThing)
    assert len(two.bond.steps) == len(one.bond.steps) + 1
    assert two.bond.length > one.bond.length
    assert pytest.approx(one.bond.steps[-1].K1) == two.bond.steps[-1].K1


def test_a_patch_on_a_skin_that_nothing_holds_flat_raises_its_stress() -> None:
    """Equal plate and patch, load in the plate's middle, free to bend: 250 MPa where the plate alone has 200.

    By beam theory: neutral plane, bending about it (own computation, two ways).
    """
    ply = Lamina(60e9, 60e9, 60e9 / 2.0, 0.0)
    both = laminate([LaminatePly(ply, 0.0, 0.8e-3), LaminatePly(ply, 0.0, 0.8e-3)])
    n = 160e3
    # the plate lies below: its middle stands at -t/2
    made = response(both, (n, 0.0, 0.0), (-n * 0.4e-3, 0.0, 0.0)).plies.local_stress[..., 0]
    assert made[0] == pytest.approx([250e6, 175e6, 100e6], rel=1e-9)
    assert made[1, 2] == pytest.approx(-50e6, rel=1e-9)
