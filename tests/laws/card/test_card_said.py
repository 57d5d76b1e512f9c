"""What each step says: cautions at their hazard, blanks with unit and limit, holds, faults of older cards."""

from __future__ import annotations

import re

import pytest

from card_plans import KINDS, door, operations, planned, said, steps
from panelmend.derive.ledger import words_of
from panelmend.job.card.curing import UNBAGGED
from panelmend.job.card.holds import HOLDS
from panelmend.job.card.part import Blank
from panelmend.render.card import card_data
from panelmend.units import read

# The hazards of each step: work that must not be printed without its caution beside it.
HAZARDS = {
    "A3": {"fire", "static"},
    "B2": {"solvent"},
    "B5": {"paint"},
    "B7": {"dust", "blade", "fire"},
    "B8": {"blade"},
    "B9": {"dust", "blade", "fire"},
    "B10": {"dust"},
    "B11": {"dust", "blade", "fire"},
    "B12": {"dust", "fire"},
    "B13": {"dust"},
    "B15": {"solvent"},
    "C2": {"dust"},
    "C3": {"vacuum"},
    "C4": {"pressure", "heat", "electricity", "fire"},
    "D2": {"blade", "dust"},
    "D4": {"blade"},
    "D5": {"electricity"},
    "D6": {"heat", "electricity", "vacuum", "fire"},
    "D8": {"blade"},
    "O1": {"solvent", "dust"},
    "O2": {"dust"},
    "O3": {"dust"},
    "O5": {"solvent"},
    "O7": {"solvent"},
    "O11": {"resin", "exotherm"},
    "O13": {"film"},
    "O14": {"resin"},
    "O15": {"resin"},
    "O16": {"blade"},
    "O17": {"resin"},
    "O18": {"film"},
    "O19": {"vacuum"},
    "O20": {"vacuum"},
    "O22": {"heat", "electricity", "fire"},
    "E1": {"dust"},
    "E5": {"paint"},
    "E8": {"solvent"},
}
HOLD_AT = {
    "A1": "H0",
    "B14": "H1",
    "C2": "H2",
    "C5": "H3",
    "D2": "H4",
    "D6": "H5",
    "O8": "H6",
    "O18": "H7",
    "O20": "H8",
    "O24": "H9",
    "O27": "H10",
    "E4": "H11",
    "E7": "H12",
    "E9": "H13",
    "E10": "H14",
}


@pytest.mark.parametrize("kind", KINDS)
def test_each_hazard_has_its_caution_at_its_step(kind: str) -> None:
    for step in planned(kind).card.steps:
        found = {c.hazard for c in step.cautions}
        assert HAZARDS.get(step.id, set()) <= found, f"{step.id}: {HAZARDS.get(step.id)} against {found}"


def test_carbon_dust_and_isocyanate_and_a_film_left_in_are_named_where_they_arise() -> None:
    carbon = planned("cowling")
    assert any("conducts" in c.words for c in steps(carbon, "B7")[0].cautions)
    assert not any("conducts" in c.words for c in steps(planned("gear_door"), "B7")[0].cautions)
    assert any("isocyanate" in c.words for c in steps(carbon, "E5")[0].cautions)
    assert all(any("cannot be seen later" in c.words for c in s.cautions) for s in steps(carbon, "O18"))


def test_the_exotherm_caution_prints_the_largest_batch() -> None:
    plan = planned("gear_door")
    for step in steps(plan, "O11"):
        words = next(c.words for c in step.cautions if c.hazard == "exotherm")
        assert re.search(r"never more than (250|300)\.0+ g in one cup", words), words


def _fault(blank: Blank) -> str:
    """What a blank lacks; nothing for a sound one."""
    if blank.entry == "number":
        if not blank.unit:
            return "no unit"
        if blank.low is None and blank.high is None and not blank.said:
            return "no limit"
    if blank.entry == "time" and blank.unit != "h:min":
        return "a time without its unit"
    if blank.entry == "tick" and not blank.said:
        return "nothing that must be so"
    return ""


@pytest.mark.parametrize("kind", KINDS)
def test_every_blank_has_unit_and_limit(kind: str) -> None:
    for step in planned(kind).card.steps:
        assert step.blanks, f"{step.id} writes nothing down"
        for blank in step.blanks:
            assert not _fault(blank), f"{step.id}, {blank.what}: {_fault(blank)}"


def _units_differ(blank: Blank, view: str) -> list[str]:
    """Limits of a blank that are printed in another unit than it is written in."""
    written = blank.unit.split(" ")[0] if blank.unit.startswith("%") else blank.unit
    found = []
    for figure in (blank.low, blank.high, blank.aim):
        if figure is None or not figure.kind:
            continue
        printed = words_of(figure, view)
        unit = "°" if printed.endswith("°") else re.sub(r"^[-−\d./ ]+", "", printed)
        if unit not in (written, written.removeprefix("°"), written.partition(" in the test")[0]):
            found.append(f"{blank.what}: {printed} against {blank.unit}")
    return found


@pytest.mark.parametrize("kind", KINDS)
def test_limits_are_printed_in_the_unit_of_their_blank(kind: str) -> None:
    plan = planned(kind)
    differ = [x for s in plan.card.steps for b in s.blanks for x in _units_differ(b, plan.case.view)]
    assert differ == []


@pytest.mark.parametrize("kind", KINDS)
def test_every_limit_of_a_blank_is_rounded_to_its_safe_side(kind: str) -> None:
    plan = planned(kind)
    data = card_data(plan)["steps"]
    for step, shown in zip(plan.card.steps, data, strict=True):
        for blank, printed in zip(step.blanks, shown["blanks"], strict=True):
            parts = [p["text"] for p in printed["limits"] if isinstance(p, dict)]
            if blank.low is not None and blank.low.kind not in ("", "angle"):
                assert read(parts[0].replace("−", "-"), blank.low.kind) >= float(blank.low) * (1 - 1e-9), (
                    parts
                )
            if blank.high is not None and blank.high.kind not in ("", "angle"):
                assert read(parts[-1].replace("−", "-"), blank.high.kind) <= float(blank.high) * (1 + 1e-9), (
                    parts
                )


def test_a_thin_limit_is_not_rounded_up() -> None:
    coat = next(b for b in steps(planned("gear_door"), "E5")[0].blanks if "thickness" in b.what)
    assert coat.high is not None
    assert words_of(coat.high, "mm") == "0.15 mm"


def test_a_limit_in_another_unit_is_seen() -> None:
    plan = planned("gear_door")
    vapour = next(b for b in steps(plan, "A3")[0].blanks if b.what.startswith("Fuel vapour"))
    assert vapour.high is not None
    assert words_of(vapour.high, "mm") == "10 %"
    assert _units_differ(Blank("x", None, vapour.high, "mm"), "mm")


def test_the_check_of_blanks_sees_what_lacks() -> None:
    assert _fault(Blank("x", None, None, "")) == "no unit"
    assert _fault(Blank("x", None, None, "mm")) == "no limit"
    assert _fault(Blank("x", None, None, "", "tick")) == "nothing that must be so"


@pytest.mark.parametrize("kind", KINDS)
def test_holds_stand_where_they_belong_and_say_what_accepted_means(kind: str) -> None:
    plan = planned(kind)
    for step in plan.card.steps:
        wanted = HOLD_AT.get(step.id)
        if wanted is not None:
            assert step.hold is not None, step.id
            no_bag = wanted == "H9" and "before it is touched" in step.title
            assert step.hold == (UNBAGGED if no_bag else HOLDS[wanted])
            assert step.hold.accepted
        elif step.hold is not None:
            assert (step.id, step.hold.code) in {("O17", "H7"), ("D10", "H4")}


@pytest.mark.parametrize("kind", KINDS)
def test_each_bag_is_opened_only_after_its_log_was_accepted(kind: str) -> None:
    plan = planned(kind)
    for k in operations(plan).numbers:
        (judged,) = steps(plan, "O24", k)
        (opened,) = steps(plan, "O25", k)
        assert judged.hold is not None
        assert judged.hold.code == "H9"
        assert opened.number == judged.number + 1
        (inspected,) = steps(plan, "O27", k)
        assert inspected.hold is not None
        later = [s.number for s in plan.card.steps if s.operation == k + 1 and s.id in ("O1", "O18")]
        assert all(n > inspected.number for n in later), "judged before it is plied over"


@pytest.mark.parametrize("kind", KINDS)
def test_each_operation_on_the_panel_has_its_own_preparation_and_clock(kind: str) -> None:
    plan, ops = planned(kind), operations(planned(kind))
    for k in ops.on_panel:
        for ident in ("O1", "O2", "O3", "O5", "O7", "O8"):
            assert len(steps(plan, ident, k)) == 1, (ident, k)
        (accepted,) = steps(plan, "O8", k)
        assert "bond-within clock" in accepted.title
        assert any(b.what == "Bond before" and b.entry == "time" for b in accepted.blanks)
    later = list(ops.on_panel)[1:]
    assert all("sand flush" in said(plan, steps(plan, "O1", k)[0]) for k in later)


@pytest.mark.parametrize("kind", KINDS)
def test_each_mix_prints_its_three_times(kind: str) -> None:
    plan = planned(kind)
    assert plan.work is not None
    for step in steps(plan, "O11"):
        times = [b.what.split(": ")[-1] for b in step.blanks if b.entry == "time"]
        bagged = next(b.bagged for b in plan.work.bag.operations if b.number == step.operation)
        assert times[:3] == ["mixed at", "lay by", "vacuum on by" if bagged else "accepted by"]
        assert len(times) % 3 == 0
        if plan.case.document.bay.pace is not None:
            by = [b.said for b in step.blanks if b.what.endswith("lay by")]
            assert all(re.fullmatch(r"mixed at \+ \d+ min", words) for words in by)


@pytest.mark.parametrize("kind", KINDS)
def test_the_tape_is_applied_and_taken_off_and_plies_are_marked_again_after_sanding(kind: str) -> None:
    plan = planned(kind)
    assert plan.work is not None
    for bag in plan.work.bag.operations:
        if {"plies", "fill"} & set(bag.lays) and bag.cure.cured_on == "panel":
            (marked,) = steps(plan, "O4", bag.number)
            words = said(plan, marked)
            assert "again from the datum marks" in marked.title
            assert "PTFE tape" in words
            assert marked.number > steps(plan, "O2", bag.number)[0].number
    assert "outside the work area" in steps(plan, "B4")[0].title
    assert "PTFE tape" in steps(plan, "E1")[0].title


def test_core_out_in_part_never_says_to_the_far_skin() -> None:
    part = planned("part of the core")
    words = said(part, steps(part, "B9")[0])
    assert "8.0" in words
    assert "far skin is not reached" in words
    assert not steps(part, "B10"), "no adhesive of the far skin is dressed where it is not reached"
    whole = planned("gear_door")
    assert "to the far skin" in said(whole, steps(whole, "B9")[0])


def test_a_hole_through_both_skins_asks_nothing_of_a_far_skin_that_is_gone() -> None:
    plan = planned("cowling")
    for step in plan.card.steps:
        words = said(plan, step) + str([b.what for b in step.blanks])
        assert "part it from the far skin" not in words.lower()
        assert "Far skin undamaged" not in words
        assert "Far skin sound" not in words
    (far,) = steps(plan, "B11")
    assert far.drawing == "cutout far"
    assert [b.unit for b in far.blanks][:2] == ["mm", "mm"]
    assert any(b.what == "Far skin, largest size" for b in steps(plan, "B14")[0].blanks)
    spread = next(s for s in steps(plan, "O14") if "plug" in s.title)
    assert "its bottom" in said(plan, spread), (
        "the inner plies are cured before: its bottom is bonded to them"
    )
    assert plan.work is not None
    assert plan.work.core.floor_on == "far plies"
    assert plan.work.core.floor_volume is not None, "what is spread is mixed"


def test_no_core_step_stands_where_no_core_is_cut() -> None:
    plan = planned("one skin")
    assert not [s.id for s in plan.card.steps if s.id in ("B9", "B10", "B12", "D2")]


def test_what_the_data_orders_when_a_cure_is_interrupted_is_printed_before_heat() -> None:
    plan = planned("gear_door")
    for step in steps(plan, "O22"):
        table = next(t for t in step.tables if t.title == "When the cure is interrupted")
        assert [row[0][0] for row in table.rows] == [
            "Power fails",
            "Pump stops",
            "Blanket or controller fails",
            "Bag leaks",
        ]
        assert all("51-30-04 para 6" in str(row[1]) for row in table.rows)
    bare = planned("cowling")
    asked = [
        b.what for b in steps(bare, "O22")[0].blanks if b.what.endswith("what the data says, before heat")
    ]
    assert [what.split(":")[0] for what in asked] == [row[0][0] for row in table.rows]


def test_the_cut_out_is_proved_before_any_heat() -> None:
    plan = planned("gear_door")
    (laid,) = steps(plan, "D5")
    assert "trip it before any heat" in said(plan, laid)
    trips = next(b for b in laid.blanks if b.what == "Cut-out trips at")
    assert trips.high is not None
    assert laid.number < min(s.number for s in plan.card.steps if s.id in ("C4", "D6", "O22"))


def test_air_and_dew_point_are_read_before_bonding_with_the_limits_of_the_data() -> None:
    plan = planned("gear_door")
    for step in steps(plan, "O10"):
        air, humid, dew = step.blanks[:3]
        assert air.low is not None
        assert air.high is not None
        assert humid.high is not None
        assert dew.low is not None
    assert steps(planned("cowling"), "O10")[0].blanks[0].said == "limit: approved data"


def test_steps_that_only_some_repairs_have() -> None:
    wanted = {
        "hinge": {"A6", "E7"},
        "lightning": {"B15", "E2", "E6"},
        "water break": {"O6"},
        "cap on a plate": {"D9", "D10"},
    }
    plain = {s.id for s in planned("gear_door").card.steps}
    for kind, ids in wanted.items():
        assert ids <= {s.id for s in planned(kind).card.steps}, kind
        assert not ids & plain, kind
    assert "C4" not in {s.id for s in planned("dry").card.steps}
    assert {"C3", "C4"} <= {s.id for s in planned("nobody looked").card.steps}
    assert not [s for s in steps(planned("room temperature"), "O22") if s.operation == 2]
    assert {"A5", "O13"} <= {s.id for s in planned("flap_rib_bay").card.steps}


def test_a_balance_is_weighed_before_and_after_with_its_limit() -> None:
    plan = planned("hinge")
    assert steps(plan, "A6")[0].number < steps(plan, "B5")[0].number
    change = next(b for b in steps(plan, "E7")[0].blanks if b.what == "Change of moment")
    assert change.high is not None
    assert float(change.high) == pytest.approx(2.0)


def test_one_way_to_cut_and_wet_for_each_operation() -> None:
    wet, dry = planned("gear_door"), planned("cut then wet")
    for plan, cuts_wet in ((wet, True), (dry, False)):
        for k in (1, 2):
            assert bool(steps(plan, "O16", k)) is cuts_wet
            assert ("not yet the pieces" in steps(plan, "D8", k)[0].title) is cuts_wet
            drawn = "O16" if cuts_wet else "D8"
            assert steps(plan, drawn, k)[0].drawing.startswith("nests ")


def test_how_cloth_is_cut_is_said_once() -> None:
    for kind in KINDS:
        plan = planned(kind)
        found = [s for s in plan.card.steps if "never turned over" in said(plan, s)]
        assert len(found) == 1, kind


def test_no_engine_stands_on_the_card() -> None:
    for kind in KINDS:
        plan = planned(kind)
        for step in plan.card.steps:
            assert "shelves" not in said(plan, step)
            assert "made by" not in said(plan, step)


def test_a_pot_life_that_is_not_given_stops_the_mixing_in_words() -> None:
    plan = door(('pot_life = "45 min"\n', ""))
    step = next(s for s in steps(plan, "O11") if s.place.batch == 1)
    assert "no pot life, no mixing" in said(plan, step)
