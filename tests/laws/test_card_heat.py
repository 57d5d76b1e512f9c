"""The card's steps of a cure: where thermocouples go, what they should read, circuits, what to do."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from examples_here import case, case_from, text
from made_cures import predicted_plan
from panelmend.derive import Figure
from panelmend.derive.ledger import words_for
from panelmend.job.card.heating import as_set
from panelmend.job.card.part import Step, StepTable, Words
from panelmend.job.card.thermocouples import measured_from
from panelmend.job.cure.part import CureOperation
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.render.cure_plan import bench_of
from panelmend.render.views.bag import bag_plan
from panelmend.render.views.heat_places import words_for_place
from panelmend.render.workings import measured as on_the_page
from panelmend.trade import trade_word


@pytest.fixture(scope="module", params=["gear_door", "flap_rib_bay"])
def plan(request: pytest.FixtureRequest) -> Plan:
    return predicted_plan(case(request.param))


def _words(words: Words, view: str = "mm") -> str:
    """As the card prints them: on inch pages computed lengths as a rule has them."""
    return "".join(
        w if isinstance(w, str) else on_the_page(w, view, "") or words_for(w.value, w.kind, view)
        for w in words
    )


def _step(plan: Plan, operation: CureOperation, which: str) -> Step:
    return next(s for s in plan.card.steps if s.id == which and s.operation == operation.number)


def _lines(plan: Plan, operation: CureOperation, which: str) -> str:
    """What a step says, and the reasoning that belongs to it."""
    notes = [n for n in plan.card.notes if n.place == _step(plan, operation, which).place]
    said = [*_step(plan, operation, which).words, *(w for n in notes for w in n.words)]
    return "\n".join(_words(w, plan.case.view) for w in said)


def _operations(plan: Plan) -> tuple[CureOperation, ...]:
    assert plan.work is not None
    assert plan.work.cure.operations
    return plan.work.cure.operations


def _table(step: Step, beginning: str) -> StepTable:
    return next(t for t in step.tables if t.title.startswith(beginning))


def test_places_are_those_of_the_cure_plan(plan: Plan) -> None:
    view = plan.case.view
    for operation in _operations(plan):
        rows = _table(_step(plan, operation, "D6"), "Where the thermocouples go").rows
        assert len(rows) == len(operation.sensors)
        for row, sensor in zip(rows, operation.sensors, strict=True):
            along, across, edge = words_for_place(bench_of(plan, operation), sensor.at, view)
            cells = [_words(cell, view) for cell in row]
            first = next(s.id for s in operation.sensors if s.note == sensor.note)
            why = sensor.note if first == sensor.id else f"as {first}"
            assert cells[0] == f"{sensor.id}: {why}"
            assert cells[1:3] == [along, across]
            assert cells[3].startswith(edge.split()[0])
            assert cells[4] == trade_word(sensor.face)


def test_readings_are_those_of_the_prediction(plan: Plan) -> None:
    for operation in _operations(plan):
        found = operation.prediction
        assert found is not None
        rows = _table(_step(plan, operation, "O22"), "What each thermocouple should read").rows
        for row, sensor in zip(rows, found.sensors, strict=True):
            low, _, high = row[1]
            assert isinstance(low, Figure)
            assert isinstance(high, Figure)
            assert (low.value, high.value) == (sensor.low, sensor.high)
            assert _words(row[0]).startswith(f"{sensor.id}: ")
            assert ("never counts" in _words(row[0])) == (sensor.role == "check")
            when = row[2][0]
            if sensor.arrives is None:
                assert when == "not in this cure"
            else:
                assert isinstance(when, Figure)
                assert when.value == sensor.arrives
    assert plan.ledger.replay() == []


def test_the_dwell_counts_at_the_earliest_when_the_coldest_place_is_in_the_band(plan: Plan) -> None:
    for operation in _operations(plan):
        found, said = operation.prediction, _lines(plan, operation, "O22")
        assert found is not None
        if found.coldest_arrives is None:
            assert "never enters the band" in said
        else:
            when = words_for(found.coldest_arrives, "time", plan.case.view)
            assert f"enters the band {when} after heat goes on: count no dwell before that" in said
        assert "check its lead" in said
        assert "go by the cure cycle and the thermocouples" in said
        hot = min(s.below_hottest for s in found.sensors if s.role != "check")
        assert ("No thermocouple sees the hottest" in said) == (hot > 0.5)


def test_a_prediction_that_does_not_hold_stops_the_hand() -> None:
    plan = predicted_plan(case("flap_rib_bay"))
    operation = _operations(plan)[0]
    found = operation.prediction
    assert found is not None
    broken = replace(found, finished=False)
    assert operation.problem is not None
    other = make_plan(plan.case, predictions={operation.problem.digest(): broken})
    said = _lines(other, _operations(other)[0], "O22")
    assert "NOT HELD in the prediction: " in said
    assert "the cure cycle never finishes. Do not switch on" in said


def test_each_blanket_has_its_circuit_and_power() -> None:
    plan = make_plan(case("gear_door"))
    first, second = _operations(plan)
    said = _lines(plan, first, "O22")
    assert [b.blanket for b in first.blankets] == ["HB-20", "HB-21"]
    for b in first.blankets:
        assert b.power is not None
        assert b.current is not None
        power, current = (words_for(f.value, f.kind) for f in (b.power, b.current))
        assert (
            f"Blanket {b.blanket} draws {power} and {current} at the bay's supply: plug it into {b.circuit}"
            in said
        )
    assert "nothing else into that circuit beyond its share" in said
    assert "Never plug HB-20 and HB-21 into one circuit" in said
    bagged = _lines(plan, first, "O10")
    assert (
        "Blanket HB-21 goes on the opposite side under a bag of its own, with a controller of its own"
        in bagged
    )
    hazards = [c.hazard for c in _step(plan, first, "O22").cautions]
    assert hazards.count("electricity") == 2
    assert "heat" in hazards
    assert "Never plug" not in _lines(plan, second, "O22")


def test_a_second_blanket_follows_its_own_thermocouples() -> None:
    before = predicted_plan(case("gear_door"))
    operation = _operations(before)[0]
    found = operation.prediction
    assert found is not None
    own = [replace(s, id=f"B{n}", face="far face", role="behind") for n, s in enumerate(found.sensors[:3], 1)]
    traces = tuple(replace(t, name=s.id) for t, s in zip(found.traces, own, strict=False))
    made = replace(found, sensors=(*found.sensors, *own), traces=(*found.traces, *traces))
    plan = make_plan(before.case, predictions={found.problem: made})
    assert "which follows B1, B2, B3 on that side" in _lines(plan, _operations(plan)[0], "O10")


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('supply = "230 V"\n', "", "What it draws here is NOT CHECKED"),
        ('rating = "16 A"', 'rating = "4 A"', "no free circuit carries that for hours"),
    ],
)
def test_electricity_that_is_not_known_or_not_enough_is_said(old: str, new: str, words: str) -> None:
    document = text("gear_door")
    assert old in document
    plan = make_plan(case_from(document.replace(old, new)))
    assert words in _lines(plan, _operations(plan)[1], "O22")


def test_a_chosen_set_point_is_what_the_controller_is_set_to() -> None:
    plan = make_plan(case("gear_door"))
    operation = _operations(plan)[0]
    assert plan.work is not None
    recipe = plan.work.bag.operations[0].cure
    said = _lines(plan, operation, "O22")
    assert (
        "1. Heat to 64 C (chosen inside the band; the data has 66 C), set to 0.53 C/min, no faster than"
        in said
    )
    assert (
        "2. Hold at 64 C (chosen inside the band; the data has 66 C), every thermocouple between 60 C" in said
    )
    assert [round(s.to - 273.15) for s in as_set(recipe, operation).segment] == [64, 64, 49]
    assert [s.low for s in as_set(recipe, operation).segment] == [s.low for s in recipe.segment]
    plain = make_plan(case("cowling"))
    assert "chosen inside the band" not in _lines(plain, _operations(plain)[0], "O22")


@pytest.mark.parametrize("name", ["cowling", "gear_door"])
def test_what_is_not_predicted_says_so_and_where_to_look(name: str) -> None:
    plan = make_plan(case(name))
    for operation in _operations(plan):
        for which in ("O10", "O22"):
            said = _lines(plan, operation, which)
            assert "NOT PREDICTED" in said
            assert ("cure-plan.pdf" if operation.missing else "panelmend heat") in said
        heat = _step(plan, operation, "O22")
        ordered = [t for t in heat.tables if t.title == "When the cure is interrupted"]
        assert list(heat.tables) == ordered
        asked = [b.what for b in heat.blanks if b.what.endswith("what the data says, before heat")]
        # each of the four ways a cure stops has its order, or a line to write it on
        assert sum(len(t.rows) for t in ordered) + len(asked) == 4
        rows = _table(_step(plan, operation, "D6"), "Where the thermocouples go").rows
        assert {_words(r[4]) for r in rows} == {"repair side"}


def test_insulation_that_was_chosen_is_laid() -> None:
    document = text("gear_door").replace(
        'blanket_behind = "HB-21"\n', 'blanket_behind = "HB-21"\ninsulation_over = "demo-insulation"\n'
    )
    plan = make_plan(case_from(document))
    name = plan.case.catalogue.bagging("demo-insulation").name
    first, second = _operations(plan)
    assert f"Insulation over the bag: {name}." in _lines(plan, first, "O10")
    assert "Insulation" not in _lines(plan, second, "O10")


def test_the_bag_drawing_shows_the_places_of_the_cure_plan(plan: Plan) -> None:
    assert plan.work is not None
    for operation, bag in zip(_operations(plan), plan.work.bag.operations, strict=True):
        view = bag_plan(plan.case, bag, operation.sensors, (120.0, 88.0))
        words = {getattr(f, "words", "") for f in view.flats}
        assert {s.id for s in operation.sensors} <= words
        k = 1e3 / float(view.words.rsplit("1:", 1)[1])
        turned = 1.0 if bag.side == "outside" else -1.0
        rings = [
            f
            for f in view.flats
            if getattr(f, "fill", None) in ("warn", "paper") and len(f.loops[0].rows) == 2
        ]
        middles = [
            (0.5 * (f.loops[0].rows[0][0] + f.loops[0].rows[1][0]), f.loops[0].rows[0][1]) for f in rings
        ]
        for s in operation.sensors:
            at = (k * s.at[0], -turned * k * s.at[1])
            assert min(math.dist(at, m) for m in middles) < 0.05


def test_measures_turn_with_the_opening_and_over_with_the_side() -> None:
    at, centre = (0.31, 0.12), (0.1, 0.2)
    assert measured_from(at, centre, 0.0, "outside") == pytest.approx((0.21, -0.08))
    assert measured_from(at, centre, 0.0, "inside") == pytest.approx((0.21, 0.08))
    assert measured_from(at, centre, math.pi / 2, "outside") == pytest.approx((-0.08, -0.21))
    for side in ("outside", "inside"):
        u, v = measured_from(at, centre, 0.7, side)
        assert math.hypot(u, v) == pytest.approx(math.dist(at, centre))
