"""Plans with made-up predictions of every cure, to try pages, card and verbs with."""

from __future__ import annotations

from dataclasses import replace

from made_prediction import made_prediction, made_problem
from panelmend.derive import Figure, Source
from panelmend.derive.figure import Origin
from panelmend.job.case import Case
from panelmend.job.cure.part import Circuited, CureOperation, CurePart, Placed
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan

MADE = Source("made up for a test")


def figure(plan: Plan, key: str, value: float, kind: str) -> Figure:
    """A figure in the plan's ledger."""
    if key in plan.ledger:
        return plan.ledger[key]
    return plan.ledger.add(Figure(key, value, kind, Origin.TYPED, MADE))


def made_cure(plan: Plan) -> CurePart:
    """A cure part for every bag of a plan, each with a made-up prediction."""
    assert plan.work is not None
    operations = []
    for bag in plan.work.bag.operations:
        problem = made_problem(plan, bag)
        prediction = made_prediction(problem)
        key = f"cure.{bag.number}.made"
        power = figure(plan, f"{key}.power", 1999.0, "power")
        current = figure(plan, f"{key}.current", 8.7, "current")
        allowed = figure(plan, f"{key}.allowed", 12.8, "current")
        density = figure(plan, f"{key}.density", 7750.0, "power density")
        operations.append(
            CureOperation(
                number=bag.number,
                name=bag.name,
                blankets=(
                    Circuited(bag.blanket, "socket 4", power, current, allowed, True, power, density, None),
                ),
                set_point=figure(plan, f"{key}.set_point", problem.dwell.target, "temperature"),
                rate=figure(plan, f"{key}.rate", problem.dwell.rate, "temperature rate"),
                problem=problem,
                missing=(),
                prediction=prediction,
                sensors=tuple(Placed(s.id, s.at, s.face, s.why) for s in prediction.sensors),
            )
        )
    return CurePart(tuple(operations))


def predicted_plan(case: Case) -> Plan:
    """The plan of a repair with a made-up prediction of every cure that can be predicted."""
    plan = make_plan(case)
    assert plan.work is not None
    problems = [problem for problem, _ in plan.work.cure.heats]
    return make_plan(case, predictions={p.digest(): made_prediction(p) for p in problems})


def pretended_plan(case: Case) -> Plan:
    """The plan of a repair with made-up problems and predictions, whatever its document lacks."""
    plan = make_plan(case)
    assert plan.work is not None
    return replace(plan, work=replace(plan.work, cure=made_cure(plan)))
