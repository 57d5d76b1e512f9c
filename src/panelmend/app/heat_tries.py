"""Heat looked at closer, and tried: maps through a cure, what a changed field would do. Nothing is kept."""

from __future__ import annotations

from dataclasses import dataclass

from panelmend.app.stopping import told_unless_stopped
from panelmend.job.cure.drying import NUMBER
from panelmend.job.cure.prediction import HeatMap, Prediction
from panelmend.long_work import Stop, Tell
from panelmend.plan.plan import Plan
from panelmend.predict.moments import moments
from panelmend.predict.predict import predict

COUNT = 25  # maps through a cure


@dataclass(frozen=True)
class TriedPlan:
    """A plan with changed fields and the predictions made for it, by number of the operation."""

    now: Plan
    then: Plan
    typed: dict[str, str]
    found: dict[int, Prediction]


def maps_through(plan: Plan, tell: Tell, stop: Stop) -> dict[str, tuple[HeatMap, ...]]:
    """Maps of every predicted cure through its time, by the digest of its problem.

    Raises:
        Cancelled: ``stop`` was set.
        InputError, SolverError: a cure that cannot be solved.
    """
    told = told_unless_stopped(tell, stop, "nothing was kept")
    made: dict[str, tuple[HeatMap, ...]] = {}
    for operation in plan.work.cure.operations if plan.work is not None else ():
        if operation.prediction is not None and operation.problem is not None:
            made[operation.prediction.problem] = moments(operation.problem, operation.prediction, COUNT, told)
    return made


def what_if(now: Plan, then: Plan, typed: dict[str, str], tell: Tell, stop: Stop) -> TriedPlan:
    """Predict the cures of a tried plan that nobody has predicted yet: with likely values, no other case.

    Raises:
        Cancelled: ``stop`` was set.
        InputError, SolverError: a cure that cannot be solved.
    """
    told = told_unless_stopped(tell, stop, "nothing was kept")
    found: dict[int, Prediction] = {}
    for operation in then.work.cure.operations if then.work is not None else ():
        if operation.prediction is not None:
            found[operation.number] = operation.prediction
        elif operation.problem is not None and operation.number != NUMBER:
            found[operation.number] = predict(operation.problem, told, advice=False)
    return TriedPlan(now, then, typed, found)
