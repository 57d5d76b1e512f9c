"""Limits of a cure against what is predicted, row by row."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from panelmend.job.cure.prediction import LimitRow
from panelmend.job.cure.problem import HeatProblem
from panelmend.physics.heat import HeatResult
from panelmend.predict.cases import limits, read
from panelmend.predict.model import Spot

Array = NDArray[np.float64]
RATE_WINDOW = 600.0  # s: rates are taken over ten minutes; common practice, no source


def limit_rows(problem: HeatProblem, spots: Sequence[Spot], result: HeatResult) -> tuple[LimitRow, ...]:
    """Band, time in the band, ceiling, panel, ribs, blanket.

    Args:
        problem: the cure.
        spots: its thermocouples.
        result: a run of it.

    Returns:
        rows [K, s]; a row for each limit that is known.
    """
    case, dwell = read(problem, spots, result), problem.dwell
    at = case.dwelling
    rows = [_above("coldest in the dwell", "bond line", dwell.low, float(case.coldest[at].min()))]
    if dwell.high is not None:
        rows.append(_below("hottest in the dwell", "bond line", dwell.high, float(case.hottest[at].max())))
    held = longest_above(case.times, case.coldest, dwell.low)
    rows.append(
        LimitRow(
            "time in the band of the coldest",
            "bond line",
            dwell.dwell,
            held,
            "time",
            "above",
            held - dwell.dwell,
        )
    )
    if problem.ceiling is not None:
        rows.append(_below("hottest at any time", "bond line", problem.ceiling, float(case.hottest.max())))
        shown = float(case.sensors.max())
        rows.append(_below("hottest thermocouple at any time", "thermocouples", problem.ceiling, shown))
    tops = dict(zip(case.other_names, case.others.max(axis=0), strict=True))
    for name, limit in limits(problem).items():
        if name in tops:
            rows.append(_below("hottest at any time", name, limit, float(tops[name])))
    rows += _rates(problem, spots, case.times, case.sensors)
    return tuple(rows)


def _rates(problem: HeatProblem, spots: Sequence[Spot], times: Array, sensors: Array) -> list[LimitRow]:
    """Rise of the fastest thermocouple while heating, against the data's greatest rate."""
    limits_ = [leg.rate_most for leg in problem.legs if leg.kind == "heat" and leg.rate_most is not None]
    if not limits_:
        return []
    rise = max(steepest(times, sensors[:, n]) for n in range(len(spots)))
    most = min(limits_)
    return [
        LimitRow("fastest rise over ten minutes", "thermocouples", most, rise, "rate", "below", most - rise)
    ]


def worst_of(rows: Sequence[LimitRow]) -> float:
    """Least margin of the rows on temperature [K]."""
    return min((r.margin for r in rows if r.kind == "temperature"), default=math.inf)


def longest_above(times: Array, values: Array, level: float) -> float:
    """Longest unbroken time at or above a level, straight between samples [s]."""
    best = start = 0.0
    inside = False
    for n in range(len(times)):
        now = bool(values[n] >= level)
        if n and now != inside:
            share = (level - values[n - 1]) / (values[n] - values[n - 1])
            cross = float(times[n - 1] + share * (times[n] - times[n - 1]))
            if now:
                start = cross
            else:
                best = max(best, cross - start)
        elif n == 0 and now:
            start = float(times[0])
        inside = now
    return max(best, float(times[-1]) - start) if inside else best


def _below(what: str, place: str, limit: float, predicted: float) -> LimitRow:
    return LimitRow(what, place, limit, predicted, "temperature", "below", limit - predicted)


def _above(what: str, place: str, limit: float, predicted: float) -> LimitRow:
    return LimitRow(what, place, limit, predicted, "temperature", "above", predicted - limit)


def steepest(times: Array, values: Array, window: float = RATE_WINDOW) -> float:
    """Greatest rise over a window, as a rate [K/s]."""
    step = float(np.median(np.diff(times))) if len(times) > 1 else window
    n = max(1, round(window / step))
    if len(values) <= n:
        return 0.0
    return float((values[n:] - values[:-n]).max()) / (n * step)
