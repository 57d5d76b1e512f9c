"""What the cases tried say decides: headline, findings, standing, exit code, the step of heat."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from examples_here import case, case_from, text
from heat_problem import demo, operations
from made_prediction import made_prediction
from panelmend.app.exits import Exit, of_plan
from panelmend.app.heat_tries import TriedPlan
from panelmend.app.heat_words import heat_words
from panelmend.job.case import Case
from panelmend.job.cure.prediction import (
    LEAST_CASES,
    SHARE_HELD,
    CureState,
    Likelihood,
    Limit,
    LimitRow,
    Outlook,
    Prediction,
    held_key,
)
from panelmend.job.cure.problem import HeatProblem, Unknown
from panelmend.physics import reduced
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.plan.standing import Standing
from panelmend.predict import case_arrays, ensemble, reading
from panelmend.predict.counting import drivers, wilson
from panelmend.predict.ensemble import Ask, CaseTable, likelihood
from panelmend.predict.model import Fineness, SensorSpot
from panelmend.render.cure_plan import cure_plan_data
from panelmend.render.cure_rows import likelihood_data, outcome_words
from panelmend.screen.pages_heat import tried_data

QUICK = Fineness(0.040, 60.0, 1)


@cache
def _base() -> Likelihood:
    base = made_prediction(demo()).likelihood
    assert base is not None
    return base


def _tried(everything: int, firm: int | None = None, blind: int = 0) -> Likelihood:
    base = _base()
    least = everything if firm is None else firm
    return replace(base, cases=200, everything=everything, firm=least, perhaps=200, blind=blind)


def _few(cases: int) -> Likelihood:
    """All of a few cases hold."""
    return replace(_tried(cases, firm=cases), cases=cases, perhaps=cases)


def _held(problem: HeatProblem, tried: Likelihood | None) -> Prediction:
    """A made-up prediction that keeps every limit."""
    made = made_prediction(problem)
    rows = tuple(replace(r, margin=abs(r.margin) + 1.0) for r in made.limits)
    return replace(made, limits=rows, worst=1.0, likelihood=tried)


def _of(document: Case, tried: Likelihood | None) -> Plan:
    before = make_plan(document)
    assert before.work is not None
    problems = [o.problem for o in before.work.cure.operations if o.problem is not None]
    drying = before.work.cure.drying
    assert drying is not None
    kept = {p.digest(): _held(p, tried) for p in problems} | {drying.digest(): _held(drying, None)}
    return make_plan(document, predictions=kept)


@cache
def _plan(tried: Likelihood | None, more: str = "") -> Plan:
    """The demonstration with these cases tried."""
    return _of(case_from(text("gear_door") + more), tried)


@pytest.mark.parametrize(
    ("tried", "expected"),
    [
        (_tried(99), Outlook.MOSTLY_BREAKS),
        (_tried(100), Outlook.UNSURE),
        (_tried(200, firm=179), Outlook.UNSURE),
        (_tried(200, firm=180), Outlook.HOLDS),
        (_few(34), Outlook.UNSURE),
        (_few(35), Outlook.HOLDS),
        (_tried(179), Outlook.UNSURE),
        (_tried(180), Outlook.HOLDS),
        (None, Outlook.UNTRIED),
    ],
)
def test_just_inside_and_just_outside(tried: Likelihood | None, expected: Outlook) -> None:
    assert _held(demo(), tried).outlook is expected


def test_a_cure_whose_heat_is_not_all_counted_is_never_sure() -> None:
    """Cases cannot make good what every one of them leaves out."""
    problem = demo(2)
    made = _held(problem, _tried(200))
    assert made.outlook is Outlook.HOLDS
    lacking = replace(made, uncounted=("Film adhesive",))
    assert lacking.outlook is Outlook.UNSURE
    said = outcome_words(lacking, "mm")
    assert said.startswith("NOT SURE")
    assert "The heat of cure of Film adhesive is NOT counted" in said
    flap = operations(("[repair]", "[repair]"), name="flap_rib_bay")[0].problem
    assert flap is not None
    assert flap.uncounted is not None
    assert [n.split(",")[0] for n in flap.uncounted] == ["Film adhesive on a carrier", "E-glass prepreg"]
    assert problem.uncounted is None


def test_so_few_cases_are_too_few_by_the_interval_of_their_share() -> None:
    assert wilson(LEAST_CASES, LEAST_CASES)[0] >= SHARE_HELD > wilson(LEAST_CASES - 1, LEAST_CASES - 1)[0]
    plan = _plan(_few(2))
    assert plan.standing is Standing.DRAFT, "two of two cases are no ground to switch on"
    said = next(f.words for f in plan.findings if f.code == "H131")
    assert "2 of 2 cases tried keep every limit" in said


def test_a_broken_limit_of_the_one_run_is_never_made_good_by_cases() -> None:
    made = _held(demo(), _tried(200))
    broken = LimitRow("hottest", "bond line", 350.0, 351.0, "temperature", "below", -1.0, Limit.HOTTEST)
    assert replace(made, limits=(*made.limits, broken)).outlook is Outlook.BREAKS
    assert replace(made, finished=False).outlook is Outlook.BREAKS


@pytest.mark.parametrize(
    ("tried", "code", "standing", "leaves"),
    [
        (_tried(9), "H130", Standing.STOP, Exit.STOP_PLAN),
        (_tried(150), "H131", Standing.DRAFT, Exit.DRAFT),
        (None, "H133", Standing.DRAFT, Exit.DRAFT),
        (_tried(190), "", Standing.READY, Exit.DONE),
    ],
)
def test_what_fails_mostly_stops_the_plan(
    tried: Likelihood | None, code: str, standing: Standing, leaves: Exit
) -> None:
    plan = _plan(tried)
    own = {f.code for f in plan.findings} & {"H130", "H131", "H132", "H133"}
    assert [f.code for f in plan.findings].count("H602") == 2 * (tried is None)
    assert own == ({code} if code else set())
    assert plan.standing is standing
    assert of_plan(plan.standing, strict=True) is leaves


@pytest.mark.parametrize("tried", [_tried(9), _tried(150), None])
def test_no_page_reads_like_holds_where_cases_do_not(tried: Likelihood | None) -> None:
    plan = _plan(tried)
    assert plan.work is not None
    data = cure_plan_data(plan)
    for row, operation in zip(data["overview"], plan.work.cure.operations, strict=True):
        found = operation.prediction
        assert found is not None
        assert found.holds, "the one run does"
        assert not row["holds"]
        assert "✓" not in row["mark"]
        words = outcome_words(found, "mm")
        assert words in " ".join(heat_words(plan).split())
        assert words.startswith(("DO NOT SWITCH ON", "NOT SURE")) or "NO OTHER CASE WAS TRIED" in words


def _heat_on(plan: Plan) -> str:
    steps = [s for s in plan.card.steps if s.place.id == "O22"]
    assert len(steps) == 2
    return " ".join("".join(str(w) for w in line) for s in steps for line in s.words)


def test_the_step_at_which_heat_goes_on_says_so() -> None:
    said = _heat_on(_plan(_tried(9)))
    assert said.count("Do not switch on until the planner has settled it") == 2
    assert "a limit in 191 of 200 cases tried" in said
    assert _heat_on(_plan(_tried(150))).count("Do not heat until the engineer accepts it by name") == 2
    assert _heat_on(_plan(None)).count("no other case was tried") == 2
    sure = _heat_on(_plan(_tried(190)))
    for words in ("Do not switch on", "accepted", "no other case"):
        assert words not in sure


CONFIRM = '\n[[confirm]]\nfigure = "{key}"\nby = "D. Aune"\non = 2026-11-24\nreason = "seen"\n'


def _accepting(held: int) -> str:
    keys = (held_key(n, _held(demo(n), _tried(held))) for n in (1, 2))
    return "".join(CONFIRM.format(key=k) for k in keys)


def test_a_named_person_accepts_these_numbers_and_no_others() -> None:
    both = _accepting(150)
    plan = _plan(_tried(150), both)
    assert plan.standing is Standing.READY
    assert [f.code for f in plan.findings].count("H132") == 2
    assert "Accepted by D. Aune" in _heat_on(plan)
    later = _plan(_tried(149), both)
    assert later.standing is Standing.DRAFT
    assert {"H131", "J003"} <= {f.code for f in later.findings}
    other = case_from(
        (text("gear_door") + both).replace('air_temperature = "18 C"', 'air_temperature = "17 C"')
    )
    assert _of(other, _tried(150)).standing is Standing.DRAFT, "the same count of another set-up"
    worse = _plan(_tried(9), _accepting(9))
    assert worse.standing is Standing.STOP, "what fails mostly nobody accepts"


def _wide(held: int, of: int = 50, rests: bool = True) -> Likelihood:
    return replace(_tried(200), wider=(held, of), rests_on=("core",) if rests else ())


def test_the_first_box_says_what_the_count_rests_on() -> None:
    problem = demo()
    rests = outcome_words(_held(problem, replace(_wide(50), firm=193, held_out_worst=0.7)), "mm")
    assert rests.startswith("If these ranges are right, every limit is held in 200 of 200 cases tried")
    assert "193 after allowing for the quick method's worst error of 0.7 C" in rests
    measured = outcome_words(_held(problem, _wide(50, rests=False)), "mm")
    assert measured.startswith("Every limit is held in 200 of 200 cases tried")
    unsure = outcome_words(_held(problem, replace(_tried(195, firm=111), rests_on=("core",))), "mm")
    assert "111 after allowing for the quick method" in unsure, "or nobody sees why 195 of 200 are not enough"


def test_what_collapses_with_wider_ranges_is_not_sure() -> None:
    """All of 200 hold, and fewer than half with ranges half as wide again that nobody measured."""
    made = _held(demo(), _wide(24))
    assert made.outlook is Outlook.UNSURE
    said = outcome_words(made, "mm")
    assert said.startswith("NOT SURE")
    assert "24 of 50 do" in said
    assert _held(demo(), _wide(25)).outlook is Outlook.HOLDS
    assert _held(demo(), _wide(24, rests=False)).outlook is Outlook.HOLDS, "measured ranges are no guess"


def test_what_holds_in_its_ranges_alone_is_told() -> None:
    for tried, told in ((_wide(45), False), (_wide(44), True), (_wide(44, rests=False), False)):
        plan = _plan(tried)
        own = [f.words for f in plan.findings if f.code == "H330"]
        assert bool(own) == told
        assert plan.standing is Standing.READY
        if told:
            assert "44 of 50" in own[0]


def test_good_logs_of_bad_cures_are_told() -> None:
    for blind, told in ((9, False), (10, True)):
        plan = _plan(_tried(190, blind=blind))
        assert ("H134" in {f.code for f in plan.findings}) == told
        assert f"In {blind} of 200 cases tried every thermocouple reads inside" in _heat_on(plan)


def test_the_method_s_error_is_printed_with_the_count() -> None:
    said = likelihood_data(_tried(150, firm=101), "mm", demo().unknowns)
    assert "101 keep the limits; with it added, 200" in said["held"]
    instead = replace(_tried(40), held_out_rms=None, held_out_worst=None, quick_error=17.1, method="full")
    assert "17.1 C off" in likelihood_data(instead, "mm", demo().unknowns)["held"]


def test_cases_near_a_limit_are_counted_both_ways() -> None:
    problem = replace(demo(), panel_limit=None, ribs=())
    dwell = problem.dwell
    assert dwell.high is not None

    def row(hottest: float) -> list[float]:
        made = [dwell.low + 5.0, hottest, hottest, dwell.low, dwell.low + 1, dwell.low + 1, dwell.low]
        return made + [300.0] * len(reading.limits(problem))

    kelvin = np.array([row(dwell.high + off) for off in (-1.5, -0.5, 0.5, 1.5)])
    rest = np.full((4, 4), reading.MOST_MARGIN)
    began = np.ones(4, dtype=bool)
    read = case_arrays.CaseArrays(np.zeros((4, 1)), kelvin, rest, began)
    verdicts = case_arrays.verdicts_of(problem, read)
    assert [v is not None and v.everything for v in verdicts] == [True, True, False, False]
    table = CaseTable(np.zeros((4, 1)), kelvin, rest, began, verdicts, None, 0)
    assert ensemble._give_or_take(problem, table, 0.0) == (2, 2)
    assert ensemble._give_or_take(problem, table, 1.0) == (1, 3)
    late = replace(
        table, rest=np.tile([reading.MOST_MARGIN, reading.MOST_MARGIN, reading.MOST_MARGIN, -1.0], (4, 1))
    )
    assert ensemble._give_or_take(problem, late, 1.0) == (0, 0), "a broken time is not made good by kelvins"
    assert reading.least_margin(problem, kelvin[0], rest[0], False) == -np.inf


def test_what_does_harm_off_either_way_is_among_the_drivers() -> None:
    unknowns = (
        Unknown("uneven along", "", 0.0, -0.1, 0.1, "1", ""),
        Unknown("air", "", 0.0, -3.0, 3.0, "K", ""),
    )
    values = reduced.latin_hypercube(5000, np.array([-0.1, -3.0]), np.array([0.1, 3.0]), 3)
    kelvin = np.zeros((5000, 7))
    kelvin[:, reading.HOTTEST] = 360.0 + 40.0 * np.abs(values[:, 0]) + 0.1 * values[:, 1]
    first = drivers(unknowns, values, kelvin)[0]
    assert first.unknown == "uneven along"
    assert abs(first.hottest) < 0.2, "its two ends do the same"
    # mean of |x| is 0.8 of the half range in the outer fifths, 0.1 in the middle one
    assert first.either[1] == pytest.approx(40.0 * 0.07, abs=0.1)
    assert first.most > 2.5


def test_a_quick_method_that_errs_too_much_is_not_used(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ensemble, "FULL", QUICK)
    monkeypatch.setattr(ensemble, "COARSE", Fineness(0.050, 60.0, 1))
    monkeypatch.setattr(ensemble, "IN_STEAD", 6)
    monkeypatch.setattr(ensemble, "TRAIN", 14)
    monkeypatch.setattr(ensemble, "HELD_OUT", 4)
    problem = demo()
    legs = tuple(replace(leg, dwell=min(leg.dwell, 900.0)) for leg in problem.legs if leg.kind == "heat")
    wanted = Ask(replace(problem, legs=legs), tuple(SensorSpot(n, at) for n, at in problem.sensors), cases=20)
    usual = likelihood(wanted)
    assert usual.method == "reduced"
    assert usual.quick_error is None
    worst = usual.held_out_worst
    assert worst is not None
    monkeypatch.setattr(ensemble, "TRUST", worst - 0.001)
    made = likelihood(wanted)
    assert (made.method, made.cases) == ("full", 6)
    assert made.quick_error == pytest.approx(worst, abs=1e-3)
    alone = [
        reading.run_case(c) for c in replace(wanted, full=True, cases=6).drawn(6, wanted.seed + 1, QUICK)
    ]
    held = [reading.case_verdict(wanted.problem, r.kelvin, r.rest, r.began).everything for r in alone]
    assert made.everything == sum(held)


def test_a_resin_left_far_from_cured_is_said_where_heat_goes_on() -> None:
    """The demonstration's cap reaches four fifths at 64 C: card and cure plan say what that forbids and which
    heat finishes it, or that none does."""
    problem = demo(1)
    first = _held(problem, _tried(190))
    name = next(c.name for c in problem.curing if c.layer == "patch")
    below, at = (replace(first, cured=(CureState(name, least, 0.99, 337.0),)) for least in (0.8499, 0.85))
    second = _held(demo(2), _tried(190))
    for made, later, said in (
        (below, second, "Repair plies has finished it (99 %)"),
        (below, None, "No later heat of this repair finishes it"),
        (at, second, ""),
    ):
        kept = {p.problem: p for p in (made, later) if p is not None}
        plan = make_plan(case_from(text("gear_door")), predictions=kept)
        for page in (_heat_on(plan), str(cure_plan_data(plan)["operations"][0]["notes"])):
            assert ("is only 84 % cured after this cure and softens from" in page) is bool(said)
            assert said in page


def test_the_demonstration_s_own_count_is_what_its_pages_say() -> None:
    assert _of(case("gear_door"), _tried(190)).standing is Standing.READY


def test_a_tried_change_reads_like_holds_only_where_its_cases_do() -> None:
    """On the screen: one run with likely values, as a try makes it, has no tick and says so."""
    plan = _plan(_tried(190))
    for tried, holds in ((_tried(190), True), (_tried(150), False), (_tried(9), False), (None, False)):
        found = {n: _held(demo(n), tried) for n in (1, 2)}
        then = make_plan(plan.case)
        rows = tried_data(TriedPlan(plan, then, {}, found))["rows"]
        assert [row["holds"] for row in rows] == [holds, holds]
        assert ["✓" in row["mark"] for row in rows] == [holds, holds]
        assert tried is not None or all("NO OTHER CASE WAS TRIED" in row["outcome"] for row in rows)


def test_a_try_tells_what_it_would_find_there_and_elsewhere_and_worse() -> None:
    """A code that stands already is told where it comes at another place or says something else."""
    plan = _plan(_tried(190))
    there = plan.findings[0]
    elsewhere, worse = replace(there, place="bay.blanket[9]"), replace(there, words=f"{there.words}; more")
    then = replace(plan, findings=(*plan.findings, elsewhere, worse))
    assert tried_data(TriedPlan(plan, then, {}, {}))["findings"] == [elsewhere, worse]
    assert tried_data(TriedPlan(plan, plan, {}, {}))["findings"] == []
