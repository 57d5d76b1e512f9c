"""The cure plan's text as printed: limits, thermocouples, advice, unknowns, and what is NOT PREDICTED."""

from __future__ import annotations

import re

import pytest

import kept_pages
from examples_here import case, case_from, text
from made_cures import predicted_plan, pretended_plan
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.predict import advice, placing, sensors
from panelmend.predict.model import QUICK
from panelmend.predict.predict import predict
from panelmend.render.cure_plan import bench_of, cure_plan_pdf
from panelmend.render.cure_rows import advice_row, expected_reading, limit_row, unknown_row, unseen_told
from panelmend.render.views.heat_places import words_for_place
from render_pages import page_words

# The demo as its data has it, without what the planner chose from the advice.
UNCHOSEN = re.compile(r"\[\[choice\.heat\]\]\n(?:[^\n\[][^\n]*\n)+")


def _flat(words: str) -> str:
    """Without spaces and breaks, which a page sets as it likes; a minus is one however it is drawn."""
    return re.sub(r"[\s\u00ad-]", "", words).replace("−", "").replace("’", "'")


_SAID: dict[int, tuple[Plan, str]] = {}  # by the plan itself: it is set and read back once


def _said(plan: Plan) -> str:
    if id(plan) not in _SAID:
        _SAID[id(plan)] = plan, _flat("".join(page_words(cure_plan_pdf(plan))))
    return _SAID[id(plan)][1]


@pytest.fixture(scope="module", params=["gear_door", "flap_rib_bay"])
def plan(request: pytest.FixtureRequest) -> Plan:
    return predicted_plan(case(request.param))


@pytest.fixture(scope="module")
def overheated() -> Plan:
    """The repair plies of the demo without the planner's choice, really predicted, with advice."""
    document, count = UNCHOSEN.subn("", text("gear_door"))
    assert count == 2
    made = case_from(document)
    before = make_plan(made)
    assert before.work is not None
    problem = before.work.cure.operations[1].problem
    assert problem is not None
    with pytest.MonkeyPatch.context() as patch:
        for module in (sensors, advice, placing):
            patch.setattr(module, "MEDIUM", QUICK)
        patch.setattr(advice, "ADVICE_CASES", 4)
        found = predict(problem, fine=QUICK)
    return make_plan(made, predictions={found.problem: found})


def test_unknowns_and_placement_keep_to_one_family_of_units(plan: Plan) -> None:
    """Films, widths and usual placements in the reader's units; usual inch values are fractions of a rule."""
    said, view = _said(plan), plan.case.view
    other = ("W/(m2K)", "W/(mK)", "0.394in", "0.197in") if view == "in" else ("of1in", "Btu")
    assert not [words for words in other if words in said]
    assert ("atmost3/8inoffitsmarks" if view == "in" else "rimof25mm") in said
    if view == "in":
        assert "atmost3/16inofftheirs" in said
        assert "26to260Btu/(hft2F)" in said
        assert "0.35Btu/(hft2F)" in said  # 2 W/(m2 K)


def test_limits_thermocouples_and_unknowns_are_printed(plan: Plan) -> None:
    said, view = _said(plan), plan.case.view
    assert plan.work is not None
    for operation in plan.work.cure.operations:
        found, bench = operation.prediction, bench_of(plan, operation)
        assert found is not None
        for row in found.limits:
            words = limit_row(row, view)
            assert _flat(f"{words['what']}{words['place']}{words['limit']}{words['predicted']}") in said
            assert _flat(f"{words['margin']}{'✓ held' if row.holds else '✗ NOT HELD'}") in said
        for sensor in found.sensors:
            along, across, edge = words_for_place(bench, sensor.at, view)
            face = {"far face": "opposite side"}.get(sensor.face, sensor.face)
            assert _flat(f"{sensor.id}{along}, {across}{edge} the patch's edge, {face}") in said
            assert _flat(expected_reading(sensor, view)) in said
        assert _flat("watches only") in said
        for unknown in found.unknowns:
            assert _flat("".join(unknown_row(unknown, view)[:3])) in said
        for told in found.advice:
            row = advice_row(told, view)
            assert _flat(f"{row['change']}{row['field']}{row['before']}{row['after']}{row['gain']}") in said
    assert _flat("approves nothing") in said


def test_the_rate_of_the_ramp_is_the_one_the_card_sets(plan: Plan) -> None:
    """A rate of 0.53 C/min beside a least of 0.5 is not 0.5, nor is 0.55 the 0.6 of one digit."""
    said = _said(plan)
    if plan.case.view == "in":
        assert _flat("4.0 F/min") in said
    else:
        assert _flat("0.53 C/min") in said
        assert _flat("0.55 C/min") in said


def test_a_check_has_no_differences(plan: Plan) -> None:
    assert plan.work is not None
    for operation in plan.work.cure.operations:
        assert operation.prediction is not None
        for sensor in operation.prediction.sensors:
            words = unseen_told(sensor, plan.case.view)
            assert ("coldest" in words) == (sensor.role != "check")


def test_cases_are_printed_with_what_they_rest_on_and_their_error(plan: Plan) -> None:
    said = _said(plan)
    assert _flat("301 of 400 cases tried keep every limit, if these ranges are right") in said
    assert _flat("Nobody measured what moves it most") in said
    assert _flat("every unmeasured range half as wide again 61 of 100 hold") in said
    assert _flat("It does not know: leads swapped") in said, "in the box itself"
    assert _flat("75.2 %") not in said
    assert _flat("it judged 1 of them differently from the full run") in said


def test_vacuum_and_drying_are_printed(plan: Plan) -> None:
    said, ledger = _said(plan), plan.ledger
    assert plan.work is not None
    view = plan.case.view
    height = "2519 m" if view == "mm" else "8266 ft"
    assert _flat(height) in said
    drying = plan.work.drying
    if drying.dries:
        assert _flat("Dry at 71 C for at least 4 h, after at least 18 min of heating up.") in said
        assert drying.skins
        assert _flat("Skins that were saturated, dried by diffusion") in said
    else:
        assert _flat("The data asks for no drying.") in said
    assert _flat("What lifts a skin over a closed cell that holds water") in said
    for missing in drying.missing:
        if missing.of != "skins" or drying.dries:
            assert _flat(f"{missing.what}{missing.field}{missing.ask}") in said
    assert "bag.1.highest_elevation" in ledger


def test_what_is_missing_is_asked_for_and_nothing_is_drawn_for_it() -> None:
    plan = make_plan(case("cowling"))
    said = _said(plan)
    assert plan.work is not None
    assert said.count(_flat("NOT PREDICTED Constants are missing.")) == len(plan.work.cure.operations)
    for operation in plan.work.cure.operations:
        assert operation.missing
        for m in operation.missing:
            assert _flat(f"{m.what}{m.field}{m.ask}") in said
    assert _flat("spread evenly: not predicted") in said
    for heading in ("Temperatures over the panel", "Temperatures over time", "What nobody measured"):
        assert _flat(heading) not in said


def test_a_prediction_that_was_not_made_yet_says_so() -> None:
    said = _said(make_plan(case("gear_door")))
    assert said.count(_flat("this cure is not predicted yet: panelmend heat makes and keeps")) == 2


def test_a_cure_that_does_not_hold_says_what_would_change_it(overheated: Plan) -> None:
    assert overheated.work is not None
    found = overheated.work.cure.operations[1].prediction
    assert found is not None
    assert not found.holds
    assert found.advice
    assert found.advice[0].after > found.advice[0].before + 2.0, (
        "it says which way to go, and how far that goes"
    )
    said = _said(overheated)
    broken = min((r for r in found.limits if not r.holds), key=lambda r: r.margin)
    assert _flat(f"NOT HELD in the prediction: {broken.what}, {broken.place}") in said
    for told in found.advice:
        row = advice_row(told, "mm")
        assert _flat(f"{row['change']}{row['field']}{row['before']}{row['after']}{row['gain']}") in said
    assert {f.code for f in overheated.findings} & {"H022", "H023"}


def test_the_same_plan_gives_the_same_bytes(plan: Plan) -> None:
    with kept_pages.set_anew():
        assert cure_plan_pdf(plan) == cure_plan_pdf(plan)


def test_a_repair_on_the_inside_is_seen_from_there() -> None:
    plan = pretended_plan(case("cowling"))
    said = _said(plan)
    assert plan.work is not None
    sides = {b.side for b in plan.work.bag.operations}
    assert sides == {"inside", "outside"}
    for side in sides:
        assert _flat(f"seen from the {side}") in said
