"""The strength study: limits, symmetry, what is missing, and the demonstration from end to end."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from examples_here import FOLDER, case, case_from, edited, text
from panelmend import keeping
from panelmend.app.cli import main
from panelmend.job.strength import changes, levels
from panelmend.job.strength.as_laid import AsLaid
from panelmend.job.strength.changes import least_reserve, loaded_of
from panelmend.job.strength.checks import check
from panelmend.job.strength.part import Region
from panelmend.plan.make import make_plan
from panelmend.plan.strength_study import StrengthStudy, study_strength
from panelmend.render import kept_study as keeper
from panelmend.render.kept_study import kept_study
from panelmend.render.strength_report import strength_json, strength_pdf, strength_sheets
from strength_made import coarse, rough

CASES = """
[[data.strength.case]]
name = "door closed"
nx = "40 N/mm"
nxy = "10 N/mm"
pressure = "6 kPa"
place = "invented"
"""


EXTRA = (
    'extra = { place = "52-10-17 fig 204 note 2", '
    'value = [ { cloth = "demo-glass-8h", warp = "45 deg" } ] }\n'
)


def changed(
    name: str,
    *pairs: tuple[str, str],
    more: str = "",
    fine: tuple[int, int] = (6, 8),
    changes: bool = False,
) -> StrengthStudy:
    """A changed document on coarse grids: what is compared here holds on any."""
    made = edited(text(name), *pairs)
    return rough(made + more, fine, changes=changes)


@pytest.fixture(scope="module")
def demo() -> StrengthStudy:
    """The demonstration on its true grids."""
    return study_strength(make_plan(case("gear_door")))


@pytest.fixture(scope="module")
def loaded() -> StrengthStudy:
    """On grids fine enough for every mode to be met."""
    return changed("gear_door", more=CASES, fine=(12, 16), changes=True)


def test_a_kept_study_is_the_same_to_the_byte(
    demo: StrengthStudy, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Kept or made: the same figures, findings, numbers of the file and pages."""
    monkeypatch.setenv(keeping.FOLDER, str(tmp_path / "kept"))
    monkeypatch.setattr(keeper, "study_strength", lambda plan: demo)
    assert kept_study(demo.plan) is demo
    monkeypatch.setattr(keeper, "study_strength", lambda plan: pytest.fail("it was kept"))
    kept = kept_study(make_plan(case("gear_door")))
    assert kept.digest == demo.digest
    assert kept.findings == demo.findings
    assert [f.key for f in kept.ledger] == [f.key for f in demo.ledger]
    assert strength_json(kept) == strength_json(demo)
    assert strength_sheets(kept).data == strength_sheets(demo).data


def test_another_plan_is_studied_anew(demo: StrengthStudy, monkeypatch: pytest.MonkeyPatch) -> None:
    """One allowable strain more or less and nothing kept serves."""
    asked = []
    monkeypatch.setattr(keeper, "read_kept_object", lambda kind, digest: asked.append((kind, digest)))
    monkeypatch.setattr(keeper, "keep_object", lambda *rest, **named: None)
    monkeypatch.setattr(keeper, "study_strength", lambda plan: demo)
    kept_study(demo.plan)
    kept_study(make_plan(case_from(text("gear_door") + CASES)))
    assert len({digest for kind, digest in asked if kind == "strength"}) == 2


@pytest.mark.parametrize("more", ["", CASES])
def test_every_figure_is_reached_again(more: str) -> None:
    """On coarse grids: a figure is its formula again on any."""
    made = changed("gear_door", more=more, changes=True)
    with coarse():
        assert made.ledger.replay() == []


def test_a_repair_that_lays_the_cut_plies_again_restores_the_skin() -> None:
    """The repair plies of the flap's sound skin, no extra: the ratio along every direction is 1 or more."""
    made = changed(
        "gear_door",
        (EXTRA, ""),
    )
    for ratio in made.part.membrane:
        assert float(ratio.ratio) == pytest.approx(1.0, abs=1e-12)


def test_one_ply_less_is_a_finding() -> None:
    made = text("gear_door").replace(EXTRA, "")
    start = made.index("[data.plies.outside]")
    ply = '  { cloth = "demo-glass-8h", warp = "0 deg" },\n'
    at = made.index(ply, start)
    fewer = rough(made[:at] + made[at + len(ply) :], changes=False)
    assert min(float(r.ratio) for r in fewer.part.membrane) < 0.98
    assert "T103" in {f.code for f in fewer.findings}


def test_hot_and_wet_is_never_stronger(demo: StrengthStudy) -> None:
    by = {(b.side, b.direction, b.condition): b for b in demo.part.bonds}
    for (side, direction, condition), bond in by.items():
        if condition == "hot and wet" and bond.reserve is not None:
            room = by[side, direction, "room"].reserve
            assert room is not None
            assert float(bond.reserve) < float(room)


def test_twice_the_load_is_half_the_reserve(loaded: StrengthStudy) -> None:
    twice = CASES
    for one_load, two_loads in (("40 N/mm", "80 N/mm"), ("10 N/mm", "20 N/mm"), ("6 kPa", "12 kPa")):
        twice = twice.replace(one_load, two_loads)
    double = changed("gear_door", more=twice, fine=(12, 16))
    one = {(b.direction, b.condition): float(b.reserve) for b in loaded.part.bonds if b.reserve is not None}
    two = {(b.direction, b.condition): float(b.reserve) for b in double.part.bonds if b.reserve is not None}
    assert one
    assert set(one) == set(two)
    for key, reserve in one.items():
        assert two[key] == pytest.approx(0.5 * reserve, rel=1e-3), key


def _bond_loads(made: StrengthStudy) -> dict[str, float]:
    return {
        b.direction: float(b.load) for b in made.part.bonds if b.condition == "room" and b.load is not None
    }


def test_shear_of_the_other_sign_loads_the_other_diagonal() -> None:
    """A reversed shear mirrors the panel: the 45 and −45 degree strips change places, neither is lost.

    The skin is balanced but not symmetric about its middle, which leaves a little coupling: 1 %.
    """
    flat = CASES.replace('pressure = "6 kPa"\n', "")
    true = levels.REPAIR_CELLS
    plus = _bond_loads(changed("gear_door", more=flat, fine=true))
    minus = _bond_loads(changed("gear_door", more=flat.replace('"10 N/mm"', '"-10 N/mm"'), fine=true))
    assert plus["45°"] > 2.0 * plus["−45°"]
    assert minus["−45°"] == pytest.approx(plus["45°"], rel=0.01)
    assert minus["45°"] == pytest.approx(plus["−45°"], rel=0.01)
    assert minus["0°"] == pytest.approx(plus["0°"], rel=0.01)


def test_pressure_bends_load_into_the_bond() -> None:
    """Pressure alone loads the bond, in proportion, and is the ground that the row names."""
    alone = CASES.replace('nx = "40 N/mm"\nnxy = "10 N/mm"\n', "")
    one = changed("gear_door", more=alone)
    loads = _bond_loads(one)
    twice = _bond_loads(changed("gear_door", more=alone.replace("6 kPa", "12 kPa")))
    assert min(loads.values()) > 1e3
    for direction, load in loads.items():
        assert twice[direction] == pytest.approx(2.0 * load, rel=1e-6)
    assert {b.ground for b in one.part.bonds} == {"case 'door closed'"}


def test_modes_are_weaker_hot_and_wet(loaded: StrengthStudy) -> None:
    rows = {(m.where, m.mode, m.place, m.condition): m.reserve for m in loaded.part.modes}
    both = [
        (float(room), float(hot))
        for (w, m, p, c), room in rows.items()
        if c == "room" and room is not None and (hot := rows[w, m, p, "hot and wet"]) is not None
    ]
    assert len(both) >= 20
    assert all(hot < room for room, hot in both)


def test_the_loads_are_told_with_their_values(loaded: StrengthStudy) -> None:
    (told,) = (name for name, _ in loaded.part.loads)
    assert told.startswith("door closed: ")
    assert "Nx 40.0 N/mm" in told
    assert "Nxy 10.0 N/mm" in told
    assert "pressure 6" in told
    assert "Ny" not in told


def test_a_denser_core_that_nobody_has_is_named(demo: StrengthStudy) -> None:
    known = any("denser" in c.what for c in demo.part.changes)
    said = any("denser" in words for words in demo.part.not_checked)
    assert known != said


def test_a_direction_without_load_is_not_called_missing(loaded: StrengthStudy) -> None:
    assert not any("no load" in words for words in loaded.part.not_checked)


def test_longer_steps_change_little_and_another_ply_helps(demo: StrengthStudy) -> None:
    """The peak at the hole's edge depends on stiffness alone (known of bonded joints)."""
    by = {c.what: c for c in demo.part.changes}
    longer = next(c for what, c in by.items() if "longer" in what)
    assert longer.after == pytest.approx(longer.before, rel=0.02)
    assert by["one repair ply more"].after > 1.01 * by["one repair ply more"].before


def test_plies_off_their_angle_cost_reserve_and_more_when_further_off(demo: StrengthStudy) -> None:
    """Also in a quasi-isotropic patch, where turning all plies alike would change nothing."""
    work, made = demo.plan.work, {c.what: c for c in demo.part.changes}
    assert work is not None
    lay = AsLaid(demo.plan.case, work.cutout, work.plies, work.core)
    loaded = loaded_of(demo.part.bonds)
    tried = [least_reserve(replace(lay, off=np.radians(a)), loaded) for a in (0.0, 3.0, 10.0)]
    reserves = [r for r in tried if r is not None]
    assert len(reserves) == 3
    assert reserves == sorted(reserves, reverse=True)
    assert reserves[1] < (1.0 - 1e-5) * reserves[0]
    off = next(c for what, c in made.items() if "tolerance" in what)
    assert off.after <= off.before


@pytest.mark.parametrize(("stiffer", "softer", "least"), [(1.9, 1.4, 1.4), (1.3, 1.8, 1.3)])
def test_plies_off_by_their_tolerance_count_the_worse_way(
    demo: StrengthStudy, monkeypatch: pytest.MonkeyPatch, stiffer: float, softer: float, least: float
) -> None:
    """Turned so that a strip is stiffer, or softer: whichever leaves less."""
    work = demo.plan.work
    assert work is not None

    def reserve(lay: AsLaid, *_: object, **__: object) -> float:
        return 2.0 if not lay.off else softer if lay.off > 0 else stiffer

    monkeypatch.setattr(changes, "least_reserve", reserve)
    lay = AsLaid(demo.plan.case, work.cutout, work.plies, work.core)
    found = changes.bond_changes(lay, demo.part.bonds)
    assert [c.after for c in found if "tolerance" in c.what] == [least]


def test_what_would_change_it_starts_from_the_table_of_bonds(
    demo: StrengthStudy, loaded: StrengthStudy
) -> None:
    """One number, with and without load cases: the load that the patch draws is in both."""
    for made in (demo, loaded):
        room = [b for b in made.part.bonds if b.condition == "room" and b.reserve is not None]
        least = min(float(b.reserve) for b in room if b.reserve is not None)
        bond = [c for c in made.part.changes if "core" not in c.what]
        assert len(bond) == 4
        assert all(c.before == pytest.approx(least, rel=1e-9) for c in bond)


def test_the_pull_on_the_core_is_the_worst_of_every_strip(demo: StrengthStudy) -> None:
    """Strips between the four main ones draw more: they stand in the list that the least is taken from."""
    assert len({t.direction for t in demo.part.tips}) == len({b.direction for b in demo.part.bonds}) == 12
    pulls = [float(t.pull_reserve) for t in demo.part.tips if t.pull_reserve is not None]
    assert min(pulls) >= min(float(r.value) for r in demo.part.reserves)


def test_a_reserve_that_has_not_settled_is_a_finding(demo: StrengthStudy) -> None:
    row = demo.part.reserves[0]
    for settled in (True, False):
        part = replace(demo.part, reserves=(replace(row, resolved=settled),))
        found = [f for f in check(demo.plan.case, demo.ledger, part) if f.code == "T109"]
        assert len(found) == (not settled)


def test_an_open_hole_concentrates_and_the_repair_does_not(demo: StrengthStudy) -> None:
    """Isotropic theory gives 3 beside a round hole; the patch keeps the ratio near 1."""
    spots = {(s.case, s.what): float(s.value) for s in demo.part.hot_spots}
    assert 1.7 < spots["unit load along 0°", "strain, hole left open"] < 4.0
    assert spots["unit load along 0°", "strain"] < 1.3


def test_far_from_the_repair_nothing_changes(demo: StrengthStudy) -> None:
    maps = next(m for m in demo.part.maps if m.case == "unit load along 0°")
    x = (maps.x[1:] + maps.x[:-1]) / 2
    far = maps.strain[:, x > 1.05]
    assert np.nanmax(abs(far - 1.0)) < 0.06


def test_the_modes_are_computed_under_given_loads_alone(demo: StrengthStudy, loaded: StrengthStudy) -> None:
    assert demo.part.modes == ()
    assert "T105" in {f.code for f in demo.findings}
    repair = [m for m in loaded.part.modes if m.where is Region.OVER_CUT]
    assert {"core shear", "crimping"} <= {m.mode for m in repair}
    assert all(m.reserve is not None or m.reason for m in repair)


def test_what_is_missing_is_not_checked() -> None:
    made = changed("gear_door", ('shear_strength = "30 MPa"\n', ""), changes=True)
    assert all(b.reserve is None for b in made.part.bonds)
    assert any("has no shear_strength" in words for words in made.part.not_checked)
    assert "T101" in {f.code for f in made.findings}
    assert made.part.changes == () or all("core" in c.what for c in made.part.changes)


def test_hinge_moment_beyond_its_limit_stops() -> None:
    line = 'start = "0, 0 mm"\nend = "0, 800 mm"\n'
    hinge = f'\n[panel.hinge]\n{line}moment_limit = "0.2 N m"\nplace = "table 102"\n'
    made = changed("gear_door", more=hinge)
    assert made.part.moment_added is not None
    mass = made.part.mass_added
    assert mass is not None
    distance = float(made.ledger["strength.hinge_distance"])
    assert float(made.part.moment_added) == pytest.approx(float(mass) * 9.80665 * distance)
    assert "T104" in {f.code for f in made.findings}


def test_the_same_study_gives_the_same_bytes(loaded: StrengthStudy) -> None:
    """On coarse grids; true ones are compared between processes with the packs of the examples."""
    again = changed("gear_door", more=CASES, fine=(12, 16), changes=True)
    assert again.digest == loaded.digest
    assert strength_pdf(again) == strength_pdf(loaded)
    kept = json.loads(strength_json(loaded))
    assert kept["about"]["plan_digest"] == loaded.plan.digest
    assert "strength" in kept["parts"]


def test_the_verb_writes_a_report(tmp_path: Path) -> None:
    target = tmp_path / "strength.pdf"
    with coarse():
        done = CliRunner().invoke(
            main, ["strength", str(FOLDER / "flap_rib_bay" / "repair.toml"), "--report", str(target)]
        )
    assert done.exit_code == 0, done.output
    assert "approves nothing" in done.output
    assert target.read_bytes().startswith(b"%PDF")
