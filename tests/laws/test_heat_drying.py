"""The heat of drying: what the far face gets, steam at the hottest place, and what is said of both."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy.optimize import brentq

from examples_here import case_from, edited, text
from panelmend.app.heat_words import heat_words
from panelmend.job.card.drying_heat import drying_heat_lines
from panelmend.job.cure.prediction import Prediction
from panelmend.job.cure.problem import HeatProblem
from panelmend.physics.steam import sealed_cell_pressure
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.predict.cases import outcome, solve
from panelmend.predict.dried_cases import DRYING_CASES, dried_cases
from panelmend.predict.model import FULL, QUICK
from panelmend.predict.predict import predict
from panelmend.predict.sensors import choose

ONE_SIDED = ('blanket_behind = "HB-21"\n', "")
DRYING = {"H140", "H141", "H142", "H143"}


@cache
def _plan(*changes: tuple[str, str], predicted: bool = True) -> Plan:
    made = edited(text("gear_door"), *changes)
    document = case_from(made)
    plan = make_plan(document)
    problem = _problem(plan)
    if problem is None or not predicted:
        return plan
    found = _predicted(problem)
    return make_plan(document, predictions={found.problem: found})


@cache
def _predicted(problem: HeatProblem) -> Prediction:
    return predict(problem, advice=False, fine=QUICK)


def _problem(plan: Plan) -> HeatProblem | None:
    assert plan.work is not None
    return plan.work.cure.drying


def _codes(plan: Plan) -> set[str]:
    return {f.code for f in plan.findings} & DRYING


def _said(plan: Plan) -> str:
    steps = [s for s in plan.card.steps if s.place.id == "C4"]
    return " ".join(str(w) for s in steps for line in s.words for w in line)


def test_nothing_of_the_repair_lies_there_yet_and_nothing_may_boil() -> None:
    problem = _problem(_plan())
    assert problem is not None
    assert {s.layer for s in problem.sheets} <= {
        "bag", "blanket", "near skin", "far skin", "blanket behind", "bag behind",
    }  # fmt: skip
    assert problem.curing == ()
    assert problem.bled is None
    assert problem.follow == "leading"
    assert problem.dwell.target == pytest.approx(344.15)
    assert problem.dwell.dwell == pytest.approx(4 * 3600.0)


def test_one_blanket_leaves_the_far_side_cold_and_two_do_not() -> None:
    one, both = _plan(ONE_SIDED), _plan()
    foot = [float(p.ledger["drying.heat.reaches"]) - 273.15 for p in (one, both)]
    assert foot[0] < 60.0
    assert foot[1] > 68.0
    assert "H141" in _codes(one)
    assert "H141" not in _codes(both)
    assert "NEVER comes near the drying temperature" in _said(one)
    assert "never turn the blanket up" in _said(one)
    assert "NEVER" not in _said(both)
    assert "Count the time once the coldest thermocouple shows the drying temperature" in _said(both)
    for plan in (one, both):
        at = _said(plan).find("The hottest of the skins is then above")
        assert at < _said(plan).find(" foot is within" if plan is both else "The foot NEVER")
    assert "with the hottest within its limit: heat off, no time counts" in _said(both)
    assert "drying.heat.arrives" not in one.ledger
    for plan in (one, both):
        assert "the hottest of the skins gets" in " ".join(heat_words(plan).split())
        assert ("A lower setting makes the coldest colder too" in _said(plan)) is ("H143" in _codes(plan))
    assert {"H143" in _codes(plan) for plan in (one, both)} != {False}, "one of them at least gets too hot"


def test_without_a_prediction_it_says_so() -> None:
    plan = _plan(predicted=False)
    assert _codes(plan) == {"H140"}
    assert "The temperatures of drying are NOT PREDICTED" in _said(plan)
    assert "The temperatures of drying are NOT PREDICTED" in " ".join(heat_words(plan).split())


def test_what_cannot_be_predicted_is_said_too() -> None:
    """Without a blanket's constants there is no problem to predict: the card says it all the same."""
    made = text("gear_door").replace('areal_mass = "2.1 kg/m2", ', "")
    plan = make_plan(case_from(made))
    assert plan.work is not None
    assert plan.work.cure.drying is None
    assert _codes(plan) == {"H140"}
    assert "The temperatures of drying are NOT PREDICTED" in _said(plan)
    found = 'moisture = "found"\nwet_area = "40 cm2"'
    assert not _codes(make_plan(case_from(made.replace(found, 'moisture = "none found"'))))


@pytest.mark.parametrize(("over", "stops"), [(0.99, True), (1.01, False)])
def test_the_hottest_cell_counts_and_not_the_set_point(over: float, stops: bool) -> None:
    top = float(_plan().ledger["drying.heat.hottest"])
    assert top > 344.15 + 2.0
    cell = sealed_cell_pressure(top, 291.15, 98500.0, saturated=True)
    at_point = sealed_cell_pressure(344.15, 291.15, 98500.0, saturated=True)
    assert cell * 0.99 > at_point, "the set point alone would pass it"
    changed = ('flatwise_hot_wet = "2 MPa"', f'flatwise_hot_wet = "{over * cell / 1e6:.6f} MPa"')
    plan = _plan(changed)
    found = [f for f in plan.findings if f.code == "H142"]
    assert bool(found) == stops
    if stops:
        assert "skins to core in the panel" in found[0].words


def test_nothing_is_predicted_without_a_drying_temperature() -> None:
    plan = _plan(('temperature = { value = "71 C", place = "51-30-01 para 2" }\n', ""), predicted=False)
    assert _problem(plan) is None
    assert not _codes(plan)


def test_a_check_that_found_none_says_less_of_steam() -> None:
    dry = _plan(('moisture = "found"\nwet_area = "40 cm2"\nhow_found', 'moisture = "none found"\nhow_found'))
    assert "H142" not in _codes(dry)


def test_cases_of_a_drying_are_tried_and_told() -> None:
    """Not one number that reads as sure: the outermost cases stand beside it, the likely one among them."""
    plan = _plan()
    assert plan.work is not None
    assert plan.work.cure.dried is not None
    tried = plan.work.cure.dried.tried
    assert tried is not None
    foot, top = (float(plan.ledger[f"drying.heat.{k}"]) for k in ("reaches", "hottest"))
    assert tried.foot[0] < foot - 1.0, "moving air and contact to ribs count"
    assert tried.skin[1] > top + 0.1, "so do an uneven blanket and one off its place"
    assert tried.foot[0] <= foot <= tried.foot[1]
    assert tried.skin[0] <= top <= tried.skin[1]
    assert tried.cases + tried.unsolved == DRYING_CASES
    assert float(plan.ledger["drying.heat.least"]) == tried.foot[0]
    assert float(plan.ledger["drying.heat.most"]) == tried.skin[1]
    for said in (_said(plan), " ".join(heat_words(plan).split())):
        assert f"In {tried.cases} cases over the ranges of what nobody measured" in said
        assert "If these ranges are right" in said


def test_the_time_counts_from_the_last_of_the_cases() -> None:
    plan = _plan()
    assert float(plan.ledger["drying.heat.late"]) >= float(plan.ledger["drying.heat.arrives"])
    one = _plan(ONE_SIDED)
    assert "drying.heat.late" not in one.ledger, "in no case does the far side come near"


def test_without_cases_it_says_so() -> None:
    plan = _plan()
    assert plan.work is not None
    assert plan.work.cure.dried is not None
    bare = replace(plan.work.cure, dried=replace(plan.work.cure.dried, tried=None))
    said = " ".join(
        str(w) for row in drying_heat_lines(bare, plan.work.drying, plan.ledger, "mm") for w in row
    )
    assert "NO other case was tried" in said
    assert "cases over the ranges" not in said


def test_what_the_coarser_grid_is_off_by_is_taken_off() -> None:
    """Two ends of the ranges, run in full: the cases come to them within a kelvin, on the hot side more."""
    problem = _problem(_plan())
    assert problem is not None
    spots = choose(problem)
    likely = outcome(problem, spots, {}, FULL)
    few = dried_cases(problem, spots, likely, cases=3)
    again = dried_cases(problem, spots, likely, cases=3, fine=FULL)
    assert few.foot == pytest.approx(again.foot, abs=0.2)
    assert few.skin == pytest.approx(again.skin, abs=0.8)
    assert few.skin[1] > again.skin[1] - 0.3
    assert few == dried_cases(problem, spots, likely, cases=3, threads=1), "for any number of threads"


def test_the_cold_far_side_is_what_a_column_by_hand_says() -> None:
    """Still air behind: what the core lets through, the far skin gives off by radiation and by a film.

    Under a warm plate: 0.27 Ra^1/4 (W. H. McAdams, Heat Transmission, 1954, from memory).
    """
    problem = _problem(_plan(ONE_SIDED))
    assert problem is not None
    assert problem.core is not None
    _, made = solve(problem, choose(problem), {"draught behind": 0.0, "draught over": 0.0}, QUICK)
    near, far = made.regions["near skin"], made.regions["far skin"]
    held = int(np.abs(made.times - 3.5 * 3600.0).argmin())
    place = int((near.x**2 + near.y**2).argmin())  # beside the opening, under the blanket
    below = int(((far.x - near.x[place]) ** 2 + (far.y - near.y[place]) ** 2).argmin())
    hot, air = float(near.temperature[held, place]), problem.air
    through = (
        0.07 / 0.020
    )  # W/(m2 K), of the document's core; its skin of half a millimetre is nothing beside it
    across = problem.panel.area / problem.panel.perimeter  # m, the length of a plate that films hang on

    def gains(skin: float) -> float:
        film = 0.5 * (skin + air)
        rayleigh = 9.81 / film * (skin - air) * across**3 / (1.6e-5 * 2.26e-5)
        loss = 0.27 * rayleigh**0.25 * 0.026 / across * (skin - air) + 0.9 * 5.67e-8 * (skin**4 - air**4)
        return through * (hot - skin) - loss

    by_hand = float(brentq(gains, air + 1e-6, hot))
    assert by_hand < hot - 30.0
    assert float(far.temperature[held, below]) == pytest.approx(by_hand, abs=1.0)
