"""One case of an ensemble as plain numbers: what it is judged by, small enough to be sent about."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import assert_never

import numpy as np
from numpy.typing import NDArray

from panelmend.errors import SolverError
from panelmend.job.cure.prediction import Limit, LimitRow
from panelmend.job.cure.problem import HeatProblem, Unknown
from panelmend.predict.cases import CaseVerdict, judged, limits, read_run, solve
from panelmend.predict.limits import limit_rows
from panelmend.predict.model import Fineness, SensorSpot

Array = NDArray[np.float64]
COLDEST, HOTTEST, PEAK, LOWEST, HIGHEST, TOP, REACH = range(7)
TOPS = 7  # from here on: hottest of what has a limit of its own, in the order of limits()


def drawn(problem: HeatProblem, spots: Sequence[SensorSpot]) -> tuple[Unknown, ...]:
    """What a case draws: the problem's unknowns, then place and error of each thermocouple that counts."""
    made = list(problem.unknowns)
    off = problem.places[1]
    for spot in spots:
        if not spot.count:
            continue
        if off > 0.0:
            made += [
                Unknown(f"{spot.id} {way}", PLACES, 0.0, -off, off, "m", "", "held", True) for way in WAYS
            ]
        if problem.channel > 0.0:
            made.append(
                Unknown(
                    f"{spot.id} shows",
                    CHANNELS,
                    0.0,
                    -problem.channel,
                    problem.channel,
                    "K",
                    "",
                    "assumed",
                    True,
                )
            )
    return tuple(made)


PLACES, CHANNELS = "places of the thermocouples", "one thermocouple beside the others"
WAYS = ("along", "across")


@dataclass(frozen=True)
class CaseValues:
    """Values of the unknowns of a problem, in their order, and how finely it is solved."""

    problem: HeatProblem
    spots: tuple[SensorSpot, ...]
    fine: Fineness
    values: tuple[float, ...]

    def __str__(self) -> str:
        names = [u.name for u in drawn(self.problem, self.spots)]
        parts = [f"{name} {v:.3g}" for name, v in zip(names, self.values, strict=True)]
        return f"{self.problem.operation}: {', '.join(parts)}"


@dataclass(frozen=True)
class CaseReading:
    """What a case came to.

    ``kelvin``: coldest and hottest of the bond line in the dwell, its peak; lowest and highest thermocouple
    in the dwell, highest at any time; how far the one that lags came; then the hottest of what has a limit
    of its own [K]. ``rest``: least margins of every other limit, by REST. ``began``: the longest dwell began
    and the recipe came to its end. None of it where the case could not be solved: the resin ran away.
    """

    kelvin: tuple[float, ...]
    rest: tuple[float, ...]
    began: bool
    solved: bool = True


# Least margins of what is no temperature of the longest dwell: other dwells, blanket behind, paste [K],
# spread [K], rates [K/min], times [min]. Nothing that could be missed by more than MOST_MARGIN is told apart.
REST = ("temperature", "temperature difference", "rate", "time")
_UNITS = (1.0, 1.0, 60.0, 1.0 / 60.0)
MOST_MARGIN = 30.0


def rest_of(rows: Sequence[LimitRow]) -> tuple[float, ...]:
    """Least margins of the rows that a verdict does not know, one for each kind of REST."""
    found = []
    for kind, unit in zip(REST, _UNITS, strict=True):
        own = [r.margin * unit for r in rows if r.kind == kind and _beside_the_verdict(r)]
        found.append(min(max(min(own, default=MOST_MARGIN), -MOST_MARGIN), MOST_MARGIN))
    return tuple(found)


def _beside_the_verdict(row: LimitRow) -> bool:
    """Whether a row is not known to a verdict otherwise: temperatures of another dwell, the blanket behind or
    paste round a plug, and every rate, spread and longest time. The least time of the coldest is its band."""
    match row.code:
        case Limit.COLDEST | Limit.HOTTEST | Limit.HELD | Limit.PEAK | Limit.SHOWN:
            return False
        case Limit.AROUND | Limit.INSULATION:
            return False
        case Limit.OTHER_DWELL | Limit.BEHIND | Limit.SPLICE:
            return True
        case Limit.HELD_LONG | Limit.SPREAD:
            return True
        case Limit.RISE | Limit.FALL | Limit.MEAN_RISE | Limit.MEAN_FALL:
            return True
        case _:
            assert_never(row.code)


def run_case(case: CaseValues) -> CaseReading:
    """Run a case and read it.

    Raises:
        InputError: the problem makes no sense.
    """
    problem = case.problem
    names = [u.name for u in drawn(problem, case.spots)]
    values = dict(zip(names, case.values, strict=True))
    try:
        _, result = solve(problem, case.spots, values, case.fine, maps=False)
    except SolverError:
        return CaseReading((), (), began=False, solved=False)
    found = read_run(problem, case.spots, result)
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
        *(tops.get(name, problem.air) for name in limits(problem)),
    )
    return CaseReading(
        tuple(float(v) for v in kelvin),
        rest_of(limit_rows(problem, case.spots, result)),
        found.window is not None and found.finished,
    )


def case_verdict(
    problem: HeatProblem, kelvin: Sequence[float], rest: Sequence[float], began: bool
) -> CaseVerdict:
    """The verdict on the numbers of a reading."""
    made = judged(
        problem,
        began=began,
        coldest=kelvin[COLDEST],
        hottest=kelvin[HOTTEST],
        peak=kelvin[PEAK],
        shown=(kelvin[LOWEST], kelvin[HIGHEST], kelvin[TOP]),
        tops=dict(zip(limits(problem), kelvin[TOPS:], strict=True)),
    )
    return replace(made, rest=all(m >= 0.0 for m in rest))


def least_margin(problem: HeatProblem, kelvin: Sequence[float], rest: Sequence[float], began: bool) -> float:
    """Least margin of a case on any temperature [K]; endlessly below zero where its dwell never began."""
    if not began:
        return -np.inf
    dwell = problem.dwell
    made = [kelvin[COLDEST] - dwell.low, *rest[: REST.index("rate")]]
    made += [dwell.high - kelvin[HOTTEST]] if dwell.high is not None else []
    made += [problem.ceiling - kelvin[PEAK]] if problem.ceiling is not None else []
    made += [most - t for most, t in zip(limits(problem).values(), kelvin[TOPS:], strict=True)]
    return float(min(made))


def in_time(rest: Sequence[float]) -> bool:
    """Whether a case keeps its rates and times."""
    return all(m >= 0.0 for m in rest[REST.index("rate") :])
