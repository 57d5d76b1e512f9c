"""Suction as a load case: signs right through, and what it pulls apart is checked or said to be unknown."""

from __future__ import annotations

from dataclasses import replace

import pytest

from examples_here import case_from, text
from panelmend.derive import Ledger
from panelmend.document import parse
from panelmend.errors import InputError
from panelmend.job.strength.as_laid import AsLaid
from panelmend.job.strength.checks import check
from panelmend.job.strength.loads import loads_of
from panelmend.job.strength.part import ModeRow, Region, ReserveKind, Rests
from panelmend.job.strength.suction import APART, OFF, suction_rows
from panelmend.plan.make import make_plan
from panelmend.plan.strength_study import StrengthStudy
from panelmend.render.strength_report import given_least, strength_data
from strength_made import headline, rough

CASE = """
[[data.strength.case]]
name = "gust"
pressure = "{}"
place = "invented"
"""


def made(pressure: str, tension: str = "") -> StrengthStudy:
    document = text("gear_door")
    if tension:
        crush = next(line for line in document.splitlines() if line.startswith("crush_strength"))
        document = document.replace(crush, f'{crush}\ntension_strength = "{tension}"')
    return rough(document + CASE.format(pressure), changes=False)


@pytest.fixture(scope="module")
def pushed() -> StrengthStudy:
    return made("20 kPa", "2 MPa")


@pytest.fixture(scope="module")
def pulled() -> StrengthStudy:
    return made("-20 kPa", "2 MPa")


def rows_of(study: StrengthStudy, mode: str) -> list[ModeRow]:
    return [m for m in study.part.modes if m.mode == mode]


def test_suction_bends_the_panel_the_other_way(pushed: StrengthStudy, pulled: StrengthStudy) -> None:
    """The field under pressure with its sign turned, nothing else: the same core shear to the last digit."""
    one = {(m.where, m.condition): m.reserve for m in rows_of(pushed, "core shear")}
    two = {(m.where, m.condition): m.reserve for m in rows_of(pulled, "core shear")}
    assert one.keys() == two.keys()
    for key, reserve in one.items():
        assert reserve is not None
        other = two[key]
        assert other is not None
        assert float(other) == pytest.approx(float(reserve), rel=1e-6)


def test_what_is_pushed_is_not_pulled(pushed: StrengthStudy, pulled: StrengthStudy) -> None:
    """Suction does not crush the core as pressure does, and pressure pulls nothing off."""
    assert not rows_of(pushed, APART)
    assert not rows_of(pushed, OFF)

    def crushed(study: StrengthStudy) -> float:
        return min(
            float(m.reserve)
            for m in rows_of(study, "flatwise")
            if m.reserve is not None and m.where is Region.PANEL
        )

    assert crushed(pulled) > crushed(pushed)


def test_reserves_of_suction_are_those_by_hand(pulled: StrengthStudy) -> None:
    """2 MPa over 20 kPa is 100, with the core's hot and wet factor on it."""
    factor = pulled.plan.case.catalogue.core(pulled.plan.case.document.panel.core.material).hot_wet_factor
    assert factor is not None
    found = {m.condition: m.reserve for m in rows_of(pulled, APART) if m.where is Region.PANEL}
    assert [float(r) for r in found.values() if r is not None] == pytest.approx([100.0, 100.0 * factor.value])
    assert any(r.what.startswith(OFF) or r.what.startswith(APART) for r in pulled.part.reserves)


@pytest.mark.parametrize("name", ["gear_door", "flap_rib_bay"])  # a wet lay-up, a film
def test_the_bond_of_the_panel_itself_is_never_a_given_value(name: str) -> None:
    """The repair's adhesive stands in for it, and the row says so; the core's own strength was given."""
    plan = make_plan(case_from(text(name) + CASE.format("-20 kPa")))
    assert plan.work is not None
    lay = AsLaid(plan.case, plan.work.cutout, plan.work.plies, plan.work.core)
    rows = suction_rows(Ledger(), lay, loads_of(plan.case), [])
    assert {m.mode: m.rests for m in rows} == {APART: (), OFF: (Rests.OWN_BOND,)}


def test_the_stand_in_is_not_the_least_of_given_values(pulled: StrengthStudy) -> None:
    """Were it the least of all, the page would say what is not in the data and give the next one."""
    off = next(r for r in pulled.part.reserves if r.what.startswith(OFF))
    core = next(r for r in pulled.part.reserves if r.what.startswith(APART))
    both = replace(pulled, part=replace(pulled.part, reserves=(off, replace(core, value=off.value))))
    assert both.part.least is off
    assert [r.what for r in given_least(both)] == [core.what]
    assert "T130" in {f.code for f in check(pulled.plan.case, Ledger(), both.part)}


def test_the_tip_is_pulled_by_both(pushed: StrengthStudy, pulled: StrengthStudy) -> None:
    """Peel and pull at every tip of the outside patch carry the suction on top: 20 kPa, no more, no less."""
    one = {(t.direction, t.condition): t for t in pushed.part.tips}
    two = {(t.direction, t.condition): t for t in pulled.part.tips}
    loads = [
        {(b.direction, b.condition): float(b.load) for b in s.part.bonds if b.load is not None}
        for s in (pushed, pulled)
    ]
    compared = 0
    for key in one.keys() & two.keys():
        for a, b in ((one[key].peel, two[key].peel), (one[key].pull, two[key].pull)):
            assert a is not None
            assert b is not None
            alone = float(a) * loads[1][key] / loads[0][key]
            assert float(b) - alone == pytest.approx(20e3, rel=1e-3)
            compared += 1
    assert compared > 4


def test_a_core_without_tensile_strength_is_not_checked() -> None:
    found = made("-20 kPa")
    assert all(m.reserve is None for m in rows_of(found, APART))
    assert any("tension_strength" in words for words in found.part.not_checked)
    assert "T101" in {f.code for f in found.findings}


def test_the_line_of_a_tip_names_the_suction_it_carries(pushed: StrengthStudy, pulled: StrengthStudy) -> None:
    for study, named in ((pushed, False), (pulled, True)):
        tips = [r for r in study.part.reserves if r.kind in (ReserveKind.PEEL, ReserveKind.PULL)]
        assert tips
        assert all(("suction" in r.ground) is named for r in tips if r.what == "outside skin")


def test_the_headline_counts_the_rows_of_suction() -> None:
    """A core that is pulled apart at three fifths of the suction is the least of all."""
    shown, every = headline(found := made("-20 kPa", "12 kPa"))
    assert shown == min(every)
    assert found.part.least is not None
    assert found.part.least.what.startswith(APART)
    assert float(found.part.least.value) < 0.6


@pytest.mark.parametrize(("suction", "below"), [("-20.1 kPa", True), ("-19.9 kPa", False)])
def test_just_inside_and_just_outside(suction: str, below: bool) -> None:
    """A core that is pulled apart at 20 kPa: a finding just beyond, none just short of it."""
    found = made(suction, "20 kPa")
    said = {f.place for f in found.findings if f.code == "T102"}
    keys = {
        m.reserve.key
        for m in rows_of(found, APART)
        if m.reserve is not None and m.condition == "room" and m.where is Region.PANEL
    }
    assert len(keys) == 1
    assert (keys <= said) is below


def test_the_page_says_suction(pulled: StrengthStudy) -> None:
    data = strength_data(pulled)
    assert any("suction" in row[0] and "-" not in row[0].split("suction")[1] for row in data["loads"])
    assert any("Suction pulls on the outside skin" in words for words in data["assumptions"])


def test_bounds_hold_for_either_sign() -> None:
    """A slip of units is refused under suction as it is under pressure."""
    for value, refused in (("-6 MPa", True), ("-0.01 Pa", True), ("-4 kPa", False)):
        document = text("gear_door") + CASE.format(value)
        if refused:
            with pytest.raises(InputError):
                parse(document.encode(), "repair.toml")
        else:
            parse(document.encode(), "repair.toml")


def test_each_strength_that_is_pulled_is_its_own() -> None:
    """20 kPa on the panel's core (2 MPa), a plug of another core (1 MPa), and the bond (4 MPa, hot and wet
    1.5 MPa): 100, 50 and 200; hot and wet 70 and 40 by the cores' factors 0.7 and 0.8, and 75."""
    document = text("gear_door")
    crush = next(line for line in document.splitlines() if line.startswith("crush_strength"))
    document = document.replace(crush, f'{crush}\ntension_strength = "2 MPa"')
    own = document[document.index("[[materials.core]]") : document.index("[[materials.consumable]]")]
    other = own.replace('"demo-aramid-48"', '"made-core"').replace('"2 MPa"', '"1 MPa"')
    other = other.replace("hot_wet_factor = 0.7", "hot_wet_factor = 0.8")
    document = document.replace(own, own + other)
    named = '[data.core]\nmaterial = { value = "made-core", place = "made" }\n'
    plan = make_plan(case_from(document.replace("[data.core]\n", named) + CASE.format("-20 kPa")))
    assert plan.work is not None
    lay = AsLaid(plan.case, plan.work.cutout, plan.work.plies, plan.work.core)
    rows = suction_rows(Ledger(), lay, loads_of(plan.case), [])
    found = {(m.mode, m.where, m.condition == "room"): m.reserve for m in rows}
    assert {k: float(v) for k, v in found.items() if v is not None} == {
        (APART, Region.PANEL, True): pytest.approx(100.0),
        (APART, Region.PANEL, False): pytest.approx(70.0),
        (APART, Region.SOUND, True): pytest.approx(100.0),
        (APART, Region.SOUND, False): pytest.approx(70.0),
        (APART, Region.OVER_CUT, True): pytest.approx(50.0),
        (APART, Region.OVER_CUT, False): pytest.approx(40.0),
        (OFF, Region.PANEL, True): pytest.approx(200.0),
        (OFF, Region.PANEL, False): pytest.approx(75.0),
        (OFF, Region.SOUND, True): pytest.approx(200.0),
        (OFF, Region.SOUND, False): pytest.approx(75.0),
    }
