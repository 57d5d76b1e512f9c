"""Peel of the patch: beams against a plane solution, the strap over the plug, scarf, convergence."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import pytest

from examples_here import text
from panelmend.derive import Figure, Ledger, Source
from panelmend.derive.figure import Origin
from panelmend.job.strength.as_laid import AsLaid
from panelmend.job.strength.bonds import ACROSS, across_taken, bond_of, reserve_of, tapered
from panelmend.job.strength.formulas import membrane_along
from panelmend.job.strength.own import zones_of_skin
from panelmend.job.strength.part import ReserveKind, TipRow
from panelmend.job.strength.plates import PanelPlate
from panelmend.job.strength.reserves import reserves_of
from panelmend.job.strength.stacks import BondThing, Stack
from panelmend.job.strength.tips import settled_peel, tip_peel, tip_pull
from panelmend.physics.joint import (
    AdhesiveLayer,
    BeamStep,
    Bond,
    BondStep,
    PlugSpring,
    TipAnswer,
    peel_on_core,
)
from panelmend.physics.structure_inputs import NotComputed
from panelmend.render.strength_tables import shown_bonds
from panelmend.render.strength_tables import tip_row as tip_line
from panelmend.render.workings import Workings, stress
from strength_made import lay_of
from tip_plane import plane, scarf

PASTE = AdhesiveLayer(600e6, 0.2e-3, E=3.6e9)
FILM = AdhesiveLayer(450e6, 0.13e-3, E=3.0e9)


def beam(E: float, t: float) -> BeamStep:
    return BeamStep(E * t**3 / 12, t)


def case(glue: AdhesiveLayer, E: float, straps: tuple[float, ...], skin: float, lengths: tuple[float, ...]):
    bond = Bond(tuple(BondStep(a, E * t, E * skin) for a, t in zip(lengths, straps, strict=True)), glue)
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
    plug = PlugSpring(spring, 0.04) if spring else None
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
        plane(bond, 2e5, straps, skin, core, PlugSpring(spring, 0.04), 9e9, 4e9, fine=f, layers=n)
        for f, n in ((6.0, 3), (12.0, 5))
    )
    assert coarse == pytest.approx(fine, rel=0.02)


def test_a_strap_bends_over_the_plug_and_is_not_held_straight_at_the_edge_of_the_hole() -> None:
    """Held straight there, as over an opening of no length, the glass patch peels two fifths harder."""
    (bond, straps, skin), core, spring = CASES["glass, cut through"]
    free, held = (tip(bond, straps, skin, core, PlugSpring(spring, half)) for half in (0.04, 1e-5))
    assert held.peel[0] > 1.3 * free.peel[0]


@pytest.mark.parametrize("name", CASES)
def test_the_peak_settles(name: str) -> None:
    (bond, straps, skin), core, spring = CASES[name]
    plug = PlugSpring(spring, 0.04) if spring else None
    coarse, fine = (tip(bond, straps, skin, core, plug, cells=n).most_peel for n in (60, 150))
    assert coarse == pytest.approx(fine, rel=2e-3)


def bond(lay: AsLaid) -> BondThing:
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


PART_DEPTH = {
    # film or paste, modulus, skin, depth of the cut, patch at each step, spring of the core
    "carbon, half the skin": (FILM, 50e9, 8e-4, 4e-4, (4e-4, 2e-4), 43e9),
    "carbon, a quarter": (FILM, 50e9, 8e-4, 2e-4, (2e-4,), 43e9),
    "glass, three quarters": (PASTE, 20e9, 1e-3, 75e-5, (75e-5, 5e-4, 25e-5), 28e9),
}


@pytest.mark.parametrize("name", PART_DEPTH)
def test_beams_on_plies_that_run_on_meet_the_plane_solution(name: str) -> None:
    """Part-depth: what is laid in the cut stands in the plane body, half a millimetre off the cut plies."""
    glue, E, skin, cut, patch, core = PART_DEPTH[name]
    inner = BondStep(20e-3, E * (patch[0] + cut), E * (skin - cut))
    outer = [BondStep(a, E * t, E * skin) for a, t in zip((25e-3, 19e-3, 19e-3), patch, strict=False)]
    bond, straps = Bond((inner, *outer), glue), [beam(E, t) for t in (patch[0], *patch)]
    under = replace(beam(E, skin - cut), below=cut)
    skins = [under, *[beam(E, skin)] * len(patch)]
    peel, pull = plane(bond, 2e5, straps, beam(E, skin), core, None, 9e9, 4e9, fill=(cut, E))
    found = []
    for lever in (False, True):
        made = peel_on_core(bond, 2e5, straps, skins, core, None, lever=lever)
        assert not isinstance(made, NotComputed)
        found.append(made)
    assert 1.0 < found[0].most_peel / peel < 1.4
    assert 0.93 < found[1].most_pull / pull < 1.1


SCARFS = {
    # moduli of patch, skin and plies past the rim; depth, those plies (thickness, reach), length, springs
    "equal, flush": ((20e9, 20e9, 0.0), 75e-5, (0.0, 0.0), 37.5e-3, 28e9),
    "soft patch, steep": ((30e9, 60e9, 0.0), 8e-4, (0.0, 0.0), 16e-3, 15e9),
    "a ply past the rim": ((60e9, 60e9, 60e9), 8e-4, (2e-4, 12e-3), 40e-3, 43e9),
}


@pytest.mark.parametrize("name", SCARFS)
def test_a_scarf_meets_the_plane_solution(name: str) -> None:
    """Pull on the core, and peel on the safe side: at a feather edge by up to four times."""
    moduli, depth, cap, length, spring = SCARFS[name]
    plug = PlugSpring(spring, 0.04)
    peel, pull = scarf(PASTE, 2e5, moduli, depth, cap, length, spring, plug, 9e9, 4e9, fine=8.0)
    whole, thick = moduli[0] * depth + moduli[2] * cap[0], depth + cap[0]
    thin = 1e-3
    steps = [
        BondStep(
            length, whole, moduli[1] * depth * thin, moduli[2] * cap[0] or whole * thin, moduli[1] * depth
        )
    ]
    straps = [tapered(beam(whole / thick, thick), thick, cap[0] or thin * thick, -depth, 0.0)]
    skins = [tapered(beam(moduli[1], depth), thin * depth, depth, depth, 0.0)]
    if cap[1]:
        steps.append(BondStep(cap[1], moduli[2] * cap[0], moduli[1] * depth))
        straps.append(beam(moduli[2], cap[0]))
        skins.append(beam(moduli[1], depth))
    names = ("scarf", "past it")[: len(steps)]
    made = BondThing(
        Bond(tuple(steps), PASTE), names, False, 0.0, tuple(straps), tuple(skins), spring, (plug,), True
    )
    assert 0.95 < float(tip_peel(bond=made, load=2e5)) / peel < 4.0
    assert 0.93 < float(tip_pull(bond=made, load=2e5)) / pull < 1.4


@pytest.mark.parametrize("film", [0.02e-3, 0.05e-3, 0.13e-3])
def test_the_peel_of_a_feather_edge_settles_under_a_thin_film(film: float) -> None:
    """The last digits of the edge's own bending stood in it: 6.0 to 7.1 MPa from mesh to mesh at 0.02 mm."""
    depth, length, modulus, thin = 8e-4, 40e-3, 43e9, 1e-3
    glue = replace(PASTE, t=film)
    step = BondStep(length, modulus * depth, modulus * depth * thin, modulus * depth * thin, modulus * depth)
    strap = tapered(beam(modulus, depth), depth, thin * depth, -depth, 0.0)
    skin = tapered(beam(modulus, depth), thin * depth, depth, depth, 0.0)
    found = []
    for cells in (30, 60, 120):
        made = peel_on_core(
            Bond((step,), glue), 1e5, [strap], [skin], 43e9, PlugSpring(43e9, 0.04), lever=False, cells=cells
        )
        assert not isinstance(made, NotComputed)
        found.append(made.most_peel)
    assert found[1] == pytest.approx(found[2], rel=5e-3)
    assert found[0] == pytest.approx(found[2], rel=3e-2)


EXTRA = (
    'extra = { place = "52-10-17 fig 204 note 2", '
    'value = [ { cloth = "demo-glass-8h", warp = "45 deg" } ] }\n'
)


def scarfed(*, extra: bool) -> AsLaid:
    made = text("gear_door")
    steps = 'scheme = { value = "stepped", '
    assert steps in made
    assert EXTRA in made
    made = made.replace(steps, 'taper = { value = 50, place = "x 1" }\nscheme = { value = "scarf", ')
    return lay_of(made if extra else made.replace(EXTRA, ""))


def test_a_ply_past_the_rim_of_a_scarf_has_a_tip_of_its_own() -> None:
    """Stretched to nothing at the rim its peel stood at a hundredth, the bond's reserve half too high."""
    flush, over = bond(scarfed(extra=False)), bond(scarfed(extra=True))
    assert flush.names == ("scarf",)
    assert over.names == ("scarf", "OUT-E1")
    steps = bond(lay_of(text("gear_door")))
    assert pytest.approx(steps.bond.steps[-1].K1) == over.bond.steps[-1].K1
    peel = [float(tip_peel(bond=b, load=1e5)) for b in (flush, over, steps)]
    # the tip of the outermost ply is that of the stepped patch
    assert peel[1] == pytest.approx(peel[2], rel=0.6)
    assert peel[1] > 2.0 * peel[0]
    reserves = [reserve_of(b, 2e5) for b in (flush, over)]
    assert not any(isinstance(r, NotComputed) for r in reserves)
    assert reserves[1].reserve < 0.7 * reserves[0].reserve  # type: ignore[union-attr]


def test_under_a_scarf_lies_what_its_taper_leaves() -> None:
    """Each band: plies of the patch over the plies of the skin not yet replaced; no skin twice."""
    lay = scarfed(extra=True)
    plies = {p.id: p for p in lay.carrying("outside")}
    assert set(plies) == {"OUT-R1", "OUT-R2", "OUT-R3", "OUT-E1"}
    whole = lay.skin("outside")
    for k in range(4):
        over = [p for i, p in plies.items() if i not in {f"OUT-R{n}" for n in range(1, k + 1)}]
        assert lay.base("outside", over) == whole[:k]
    assert lay.base("outside", []) == whole
    for _, stack in zones_of_skin(scarfed(extra=False), "outside"):
        assert isinstance(stack, Stack)
        assert len(stack.plies) == len(whole)


def test_a_flush_scarf_of_equal_plies_changes_nothing() -> None:
    """Every zone of the plate is the sound panel's: strains were a seventh too high beside doubled skins."""
    lay = scarfed(extra=False)
    panel = PanelPlate(lay, 20)
    made, sound = panel.state("repaired"), panel.state("sound")
    assert not isinstance(made, NotComputed)
    assert not isinstance(sound, NotComputed)
    assert len(made.zones) > 3
    plain = sound.zones[0].sandwich(lay)
    assert not isinstance(plain, NotComputed)
    for zone in made.zones:
        found = zone.sandwich(lay)
        assert not isinstance(found, NotComputed)
        assert float(membrane_along(stack=found.outer, direction=0.0)) == pytest.approx(
            float(membrane_along(stack=plain.outer, direction=0.0)), rel=1e-9
        )


def test_a_peak_that_moves_with_the_mesh_says_so_with_both_values() -> None:
    """NOT RESOLVED on the row of the report just beyond two per cent, and a finding on the reserve."""
    ledger, place = Ledger(), Source("made up")
    peel = ledger.add(Figure("peel", 5e6, "stiffness", Origin.COMPUTED, place))
    reserve = ledger.add(Figure("reserve", 2.0, "ratio", Origin.COMPUTED, place))
    tip = TipRow("outside", "0°", "room", peel, None, reserve, None, "", "")
    shown = Workings(ledger, "mm", ())
    for share, resolved in ((0.021, False), (0.019, True)):
        before = float(peel) * (1.0 + share)
        row = replace(tip, before=before, resolved=settled_peel(before, float(peel)))
        assert row.resolved is resolved
        words = tip_line(shown, "mm", row)["unsure"]
        assert words == ("" if resolved else f"NOT RESOLVED: {stress(before, 'mm')} on the mesh before")
        kept = [r for r in reserves_of((), (row,), (), ()) if r.kind is ReserveKind.PEEL]
        assert [r.resolved for r in kept] == [resolved]


def test_of_the_other_directions_the_least_of_each_skin_and_condition_is_shown() -> None:
    """Along 30 and 60 degrees: 1.4 and 1.2 at room, 0.9, 0.8 hot and wet, either skin; all of 0 degrees."""
    rows = tuple(
        SimpleNamespace(side=side, direction=direction, condition=condition, reserve=reserve)
        for side in ("inside", "outside")
        for direction, hot, room in (
            ("0°", 2.0, 3.0),
            ("30°", 0.9, 1.4),
            ("60°", 0.8, 1.2),
            ("75°", None, None),
        )
        for condition, reserve in (("hot and wet", hot), ("room", room))
    )
    shown = [(b.side, b.condition, b.direction) for b in shown_bonds(rows)]  # type: ignore[arg-type]
    assert shown == [
        (side, condition, direction)
        for side in ("outside", "inside")
        for condition in ("room", "hot and wet")
        for direction in ("0°", "60°")
    ]
