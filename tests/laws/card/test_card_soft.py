"""A cap that its own cure leaves half cured: what is told at each step that taps, cuts, sands or heats it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from card_plans import said, steps
from examples_here import case_from, text
from heat_problem import demo
from made_prediction import made_prediction
from panelmend.job.cure.prediction import CureState, Prediction
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan

TOLD = "84 % cured by the prediction"
DONE = {(1, "O27"), (1, "O28"), (2, "D6"), (2, "O1"), (2, "O2")}


def _held(problem_of: int, cured: tuple[CureState, ...] | None = None) -> Prediction:
    made = made_prediction(demo(problem_of))
    rows = tuple(replace(r, margin=abs(r.margin) + 1.0) for r in made.limits)
    return replace(made, limits=rows, worst=1.0, cured=made.cured if cured is None else cured)


def _left(least: float, glass: float | None, *, finished: bool) -> Plan:
    """The gear door whose first cure leaves its laminating resin at a degree of cure."""
    name = next(c.name for c in demo(1).curing if c.layer == "patch")
    made = [_held(1, (CureState(name, least, 0.99, glass),)), *([_held(2)] if finished else [])]
    return make_plan(case_from(text("gear_door")), predictions={p.problem: p for p in made})


def _told(plan: Plan) -> dict[tuple[int, str], str]:
    return {(s.operation, s.id): said(plan, s) for s in plan.card.steps if TOLD in said(plan, s)}


def test_a_half_cured_cap_is_told_at_each_step_that_could_harm_it() -> None:
    """It stood at the step of heat alone; it was tapped, sanded and heated without a word."""
    told = _told(_left(0.8499, 337.0, finished=True))
    assert set(told) == DONE
    assert "tap it only cold" in told[1, "O27"]
    assert "cut or sand it only cold" in told[1, "O28"]
    assert "soft from 63 C: stay below that in this survey" in told[2, "D6"], "336.85 K, rounded down"
    assert "sand it only cold" in told[2, "O1"]


@pytest.mark.parametrize(("least", "told"), [(0.8499, True), (0.85, False)])
def test_it_is_told_below_the_degree_of_the_step_of_heat(least: float, told: bool) -> None:
    plan = _left(least, None, finished=True)
    found = {(s.operation, s.id) for s in plan.card.steps if "cured by the prediction" in said(plan, s)}
    assert found == (DONE if told else set())
    heated = said(plan, steps(plan, "O22", 1)[0])
    assert ("cured after this cure" in heated) is told
    if told:
        assert "warm it as little as this survey allows" in said(plan, steps(plan, "D6", 2)[0])


def test_what_no_later_heat_finishes_is_told_to_the_end() -> None:
    told = _told(_left(0.8499, 337.0, finished=False))
    assert set(told) == DONE | {(2, "O27"), (0, "E1"), (0, "E4")}
