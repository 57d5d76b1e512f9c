"""What the cut takes out of a panel besides skin and core is told, and asked where the document is silent."""

from __future__ import annotations

import pytest

from card_plans import changed, door, operations, places, planned, said, steps
from order_breaches import breaches
from panelmend.job.card.order import must_precede


def test_what_was_cut_away_is_asked_before_bonding_and_before_the_panel_goes_back() -> None:
    """Also where the insert that was torn out is in the document no more."""
    for kind in ("gear_door", "cowling", "insert", "one skin"):
        plan = planned(kind)
        (hole,), (last,) = steps(plan, "B14"), steps(plan, "E9")
        (asked,) = [b for b in hole.blanks if b.what == "Only skin and core cut away"]
        assert (asked.entry, asked.said) == ("tick", "yes; else stop, planner")
        assert "stop, planner, before anything is bonded" in said(plan, hole)
        assert hole.hold is not None
        assert hole.number < min(s.number for s in plan.card.steps if s.operation)
        assert any(b.what.startswith("Inserts, holes, fittings") for b in last.blanks)


def test_an_insert_in_a_hole_through_both_skins_stops_the_plan() -> None:
    at = '[[panel.insert]]\nid = "I1"\nat = "42, -58 mm"\ndiameter = "10 mm"\nmetal = "none"\n[damage]\n'
    told = [f for f in changed("cowling", ("[damage]\n", at)).findings if f.code == "J590"]
    assert [f.place for f in told] == ["panel.insert, I1"]


def _put_back(kind: str, ident: str, when: str) -> tuple[str, str]:
    return (
        "[data.finishing]\n",
        f'[[data.put_back]]\nkind = "{kind}"\nid = "{ident}"\nhow = "pot a new one in"\n'
        f'place = "51-30-09 para 2"\nwho = "bench trade 7"\nwhen = "{when}"\n[data.finishing]\n',
    )


INSERT = (
    "[damage]\n",
    '[[panel.insert]]\nid = "I1"\nat = "486, 385 mm"\ndiameter = "10 mm"\nkeep_out = "20 mm"\n'
    'metal = "none"\n[damage]\n',
)
SOLID = (
    "[damage]\n",
    '[[panel.solid_area]]\nid = "S1"\nmetal = "none"\n'
    'shape = { circle = { centre = "486, 450 mm", diameter = "40 mm" } }\n[damage]\n',
)


@pytest.mark.parametrize(
    ("when", "set_at", "seen_at"),
    [("before bonding", "D11", "D12"), ("after the last cure", "E11", "E12")],
)
def test_what_the_data_puts_back_is_taken_out_put_back_and_inspected(
    when: str, set_at: str, seen_at: str
) -> None:
    plan = door(INSERT, _put_back("insert", "I1", when))
    assert not {"J590", "J591", "C104", "P101"} & {f.code for f in plan.findings}
    assert [f.place for f in plan.findings if f.code == "J592"] == ["panel.insert, I1"]
    order = operations(plan)
    assert breaches(places(plan), order) == []
    (out,), (back,), (seen,) = steps(plan, "B16"), steps(plan, set_at), steps(plan, seen_at)
    for step in (out, back):
        assert {"dust", "blade", "fire"} <= {c.hazard for c in step.cautions}
        assert "pot a new one in (51-30-09 para 2); done by: bench trade 7" in said(plan, step)
    assert seen.hold is not None
    assert (seen.hold.code, seen.hold.by) == ("H15", "inspector")
    measured = [b.what for b in out.blanks if b.entry == "number"]
    assert measured == [b.what for b in seen.blanks if b.unit == "mm"]
    again = steps(plan, "E13")
    assert len(again) == (when == "before bonding")
    for late in again:
        assert [b.what for b in late.blanks if b.entry == "number"] == measured
        assert late.hold is not None
        assert late.hold.code == "H15"
        assert max(s.number for s in steps(plan, "O27")) < late.number < steps(plan, "E4")[0].number
        assert must_precede(late.place, steps(plan, "E4")[0].place, order)
    assert ("Close holes and threads" in said(plan, back)) == (when == "before bonding")
    (cut,) = steps(plan, "B7")
    (hole,) = steps(plan, "B14")
    assert out.number < cut.number < hole.number < back.number < seen.number
    bonds = [s for s in plan.card.steps if s.id == "O1"]
    first = min(s.number for s in bonds)
    last = max(s.number for s in steps(plan, "O27"))
    assert seen.number < first if when == "before bonding" else last < back.number
    assert must_precede(
        seen.place, bonds[0].place if when == "before bonding" else steps(plan, "E4")[0].place, order
    )
    assert "Steps here put back insert I1. Anything else: stop, planner" in said(plan, hole)
    assert plan.work is not None
    assert [n.name for n in plan.work.kit.lines if "insert I1" in n.name] == ["What puts insert I1 back"]


def test_plies_keep_clear_of_an_insert_that_stays_even_if_the_data_could_put_it_back() -> None:
    beside = (INSERT[0], INSERT[1].replace("486, 385", "486, 441.5"))
    found = {f.code for f in door(beside, _put_back("insert", "I1", "before bonding")).findings}
    assert "J591" in found
    assert "J592" not in found
    assert {"P101", "C106"} & found


def test_a_solid_area_is_put_back_too_and_its_line_is_written_down() -> None:
    plan = door(SOLID, _put_back("solid area", "S1", "before bonding"))
    assert [f.code for f in plan.findings if f.code in ("J590", "J591", "J592")] == ["J592"]
    (out,) = steps(plan, "B16")
    assert [b.what for b in out.blanks if b.entry == "text"] == [
        "solid area S1: where its line runs, from the datum marks"
    ]


def test_two_ways_to_put_one_thing_back_are_none() -> None:
    twice = _put_back("insert", "I1", "before bonding")
    more = _put_back("insert", "I1", "after the last cure")
    plan = door(INSERT, twice, more)
    assert "J590" in {f.code for f in plan.findings}
    assert not steps(plan, "D11")
    assert not steps(plan, "E11")


CURED = 'pot_life = "25 min"\ncure_for = "6 h"\ncure_low = "50 C"\ncure_high = "70 C"\n'


@pytest.mark.parametrize("when", ["before bonding", "after the last cure"])
def test_the_time_and_heat_of_its_compound_stand_in_its_steps_and_before_its_hold(when: str) -> None:
    """Its working life by the clock where it is set; its cure read where it is inspected."""
    at, typed = _put_back("insert", "I1", when)
    plan = door(INSERT, (at, typed.replace("\n[data.finishing]", f"\n{CURED}[data.finishing]")))
    late = when == "after the last cure"
    (back,), (seen,) = steps(plan, "E11" if late else "D11"), steps(plan, "E12" if late else "D12")
    assert "its compound works for 25 min" in said(plan, back)
    (by,) = [b for b in back.blanks if b.what == "Set at"]
    assert by.said == "mixed at + 25 min, or less by the reference"
    assert "heat" in {c.hazard for c in back.cautions}
    assert "cured for at least 6 h, no cooler than 50 C, no warmer than 70 C" in said(plan, seen)
    cured, cold, hot = seen.blanks[:3]
    assert (cured.unit, cold.unit, hot.unit) == ("h", "°C", "°C")
    assert [float(f) for f in (cured.low, cold.low, hot.high) if f is not None] == [21600.0, 323.15, 343.15]
    assert seen.hold is not None
    assert seen.hold.code == "H15"


def test_without_a_time_it_is_asked_of_the_data_and_a_cold_cure_needs_no_heater() -> None:
    plan = door(INSERT, _put_back("insert", "I1", "before bonding"))
    (back,), (seen,) = steps(plan, "D11"), steps(plan, "D12")
    assert seen.blanks[0].said == "limit: approved data; 0 where nothing cures"
    assert "heat" not in {c.hazard for c in back.cautions}
    for low, heater in (("40 C", False), ("41 C", True)):
        at, typed = _put_back("insert", "I1", "before bonding")
        more = typed.replace("\n[data.finishing]", f'\ncure_low = "{low}"\n[data.finishing]')
        (back,) = steps(door(INSERT, (at, more)), "D11")
        assert ("heat" in {c.hazard for c in back.cautions}) is heater, low
        assert ("No heat on it: this plan has none" in str(back.words)) is not heater, low


@pytest.mark.parametrize(("air", "life"), [("25 C", 25), ("32 C", None), ("33 C", 12)])
def test_its_compound_works_half_as_long_in_hot_air_as_a_batch_does(air: str, life: int | None) -> None:
    at, typed = _put_back("insert", "I1", "before bonding")
    warm = ('air_temperature = "18 C"', f'air_temperature = "{air}"')
    plan = door(INSERT, warm, (at, typed.replace("\n[data.finishing]", f"\n{CURED}[data.finishing]")))
    (back,) = steps(plan, "D11")
    (by,) = [b for b in back.blanks if b.what == "Set at"]
    untold = "mixed at + its working life in this air, told by the maker"
    assert by.said == (f"mixed at + {life} min, or less by the reference" if life is not None else untold)
    assert ("halved" in said(plan, back)) is (life == 12)
