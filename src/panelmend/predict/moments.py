"""Maps of one predicted cure at even steps of its time, from the same full run that was kept."""

from __future__ import annotations

import numpy as np

from panelmend.job.cure.prediction import HeatMap, Prediction
from panelmend.job.cure.problem import HeatProblem
from panelmend.long_work import Tell, silent
from panelmend.physics.heat import Progress
from panelmend.predict.cases import solve
from panelmend.predict.ensemble import spots_of
from panelmend.predict.model import FULL, Fineness
from panelmend.predict.predict import map_of

LAYER = "repair side"


def moments(
    problem: HeatProblem, made: Prediction, count: int, tell: Tell = silent, *, fine: Fineness = FULL
) -> tuple[HeatMap, ...]:
    """Maps of the repair side through the whole cycle.

    Args:
        problem: the cure.
        made: its prediction; the thermocouples stand where it has them.
        count: how many, the first and the last moment among them.
        tell: told about progress; may raise Cancelled to stop.
        fine: grid and time step, those of the prediction.

    Returns:
        ``count`` maps or fewer, in order of time.

    Raises:
        InputError, SolverError: a problem that cannot be solved.
        Cancelled: raised by ``tell``.
    """

    def report(progress: Progress) -> None:
        tell(f"{problem.operation}: {progress.words}")

    model, result = solve(problem, spots_of(made), {}, fine, report=report)
    steps = np.unique(np.linspace(0, len(result.times) - 1, count).round().astype(int))
    return tuple(map_of(problem, model, result, LAYER, "through the cure", int(n)) for n in steps)
