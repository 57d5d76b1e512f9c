"""One case of an ensemble as plain numbers: what it is judged by, small enough to be sent about."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelmend.errors import SolverError
from panelmend.job.cure.problem import HeatProblem
from panelmend.predict.cases import Verdict, judged, limits, outcome
from panelmend.predict.model import Fineness, Spot

Array = NDArray[np.float64]
COLDEST, HOTTEST, PEAK, LOWEST, HIGHEST, TOP, REACH = range(7)
TOPS = 7  # from here on: hottest of what has a limit of its own, in the order of limits()


@dataclass(frozen=True)
class Case:
    """Values of the unknowns of a problem, in their order, and how finely it is solved."""

    problem: HeatProblem
    spots: tuple[Spot, ...]
    fine: Fineness
    values: tuple[float, ...]

    def __str__(self) -> str:
        parts = [f"{u.name} {v:.3g}" for u, v in zip(self.problem.unknowns, self.values, strict=True)]
        return f"{self.problem.operation}: {', '.join(parts)}"


@dataclass(frozen=True)
class Reading:
    """What a case came to.

    ``kelvin``: coldest and hottest of the bond line in the dwell, its peak; lowest and highest thermocouple
    in the dwell, highest at any time; how far the one that lags came; then the hottest of what has a limit
    of its own [K]. ``began``: the longest dwell began and the recipe came to its end. None of it where
    the case could not be solved: the resin ran away.
    """

    kelvin: tuple[float, ...]
    began: bool
    solved: bool = True


def run_case(case: Case) -> Reading:
    """Run a case and read it.

    Raises:
        InputError: the problem makes no sense.
    """
    names = [u.name for u in case.problem.unknowns]
    try:
        found = outcome(case.problem, case.spots, dict(zip(names, case.values, strict=True)), case.fine)
    except SolverError:
        return Reading((), began=False, solved=False)
    at, sensors = found.dwelling, found.sensors[:, list(found.counts)]
    tops = dict(zip(found.other_names, found.others.max(axis=0), strict=True))
    kelvin = (
        found.coldest[at].min(),
        found.hottest[at].max(),
        found.hottest.max(),
        sensors[at].min(),
        sensors[at].max(),
        sensors.max(),
        sensors.min(axis=1).max(),
        *(tops.get(name, case.problem.air) for name in limits(case.problem)),
    )
    return Reading(tuple(float(v) for v in kelvin), found.window is not None and found.finished)


def judge(problem: HeatProblem, kelvin: Sequence[float], began: bool) -> Verdict:
    """The verdict on the numbers of a reading."""
    return judged(
        problem,
        began=began,
        coldest=kelvin[COLDEST],
        hottest=kelvin[HOTTEST],
        peak=kelvin[PEAK],
        shown=(kelvin[LOWEST], kelvin[HIGHEST], kelvin[TOP]),
        tops=dict(zip(limits(problem), kelvin[TOPS:], strict=True)),
    )
