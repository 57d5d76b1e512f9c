"""Limits of a cure against what is predicted, row by row."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from panelmend.job.cure.prediction import Limit, LimitRow
from panelmend.job.cure.problem import HeatProblem, Leg
from panelmend.job.defaults import RATE_WINDOW
from panelmend.physics.heat import HeatResult, LegTimes
from panelmend.predict.cases import BEHIND, OVER, CaseOutcome, limits, read_run
from panelmend.predict.model import SensorSpot
from panelmend.predict.splice import SPLICE
from panelmend.units import show

Array = NDArray[np.float64]
NOISE = 1e-8  # of sums of times and rates, in any unit: no limit is passed by that
PAST = 5.0  # K past its start from which a mean rate counts, as in the verdict on a log


def limit_rows(problem: HeatProblem, spots: Sequence[SensorSpot], result: HeatResult) -> tuple[LimitRow, ...]:
    """Bands, times, spread, ceiling, panel, ribs, blankets, rates.

    Args:
        problem: the cure.
        spots: its thermocouples.
        result: a run of it.

    Returns:
        rows [K, s, K/s]; a row for each limit that is known. The longest dwell comes first.
    """
    case, dwell = read_run(problem, spots, result), problem.dwell
    at = case.dwelling
    rows = [
        _above(Limit.COLDEST, "coldest in the dwell", "bond line", dwell.low, float(case.coldest[at].min()))
    ]
    if dwell.high is not None:
        rows.append(
            _below(
                Limit.HOTTEST, "hottest in the dwell", "bond line", dwell.high, float(case.hottest[at].max())
            )
        )
    rows += _times(problem, case, result)
    rows += _other_dwells(problem, case, result)
    if problem.spread_most is not None:
        counted = case.sensors[at][:, list(case.counts)]
        apart, most = float((counted.max(axis=1) - counted.min(axis=1)).max()), problem.spread_most
        words = "spread in the dwell"
        rows.append(
            LimitRow(
                words,
                "thermocouples",
                most,
                apart,
                "temperature difference",
                "below",
                most - apart,
                Limit.SPREAD,
            )
        )
    if problem.ceiling is not None:
        top, shown = float(case.hottest.max()), float(case.sensors.max())
        rows.append(_below(Limit.PEAK, "hottest at any time", "bond line", problem.ceiling, top))
        words = "hottest thermocouple at any time"
        rows.append(_below(Limit.SHOWN, words, "thermocouples", problem.ceiling, shown))
    tops = dict(zip(case.other_names, case.others.max(axis=0), strict=True))
    for name, limit in limits(problem).items():
        if name in tops:
            code = Limit.INSULATION if name in (OVER, BEHIND) else Limit.AROUND
            rows.append(_below(code, "hottest at any time", name, limit, float(tops[name])))
    rows += _splice(problem, result)
    behind = problem.source_behind
    if behind is not None and behind.limit is not None and "blanket behind" in result.regions:
        top = float(result.regions["blanket behind"].hottest.max())
        rows.append(_below(Limit.BEHIND, "hottest at any time", "blanket behind", behind.limit, top))
    return (*rows, *_rates(problem, spots, case, result))


def _splice(problem: HeatProblem, result: HeatResult) -> list[LimitRow]:
    """The paste round a plug against the maximum temperature; where the data gives none, the band's top."""
    most = problem.ceiling if problem.ceiling is not None else problem.dwell.high
    if SPLICE not in result.regions or most is None:
        return []
    top = float(result.regions[SPLICE].hottest.max())
    return [_below(Limit.SPLICE, "hottest at any time", "paste round the plug", most, top)]


def _times(problem: HeatProblem, case: CaseOutcome, result: HeatResult) -> list[LimitRow]:
    """Time in the band of the coldest place, and of the thermocouples where the data gives a longest time."""
    dwell, upto = problem.dwell, _before_hotter(problem, problem.dwell, case.times, result)
    held = longest_above(case.times[upto], case.coldest[upto], dwell.low)
    what = "time in the band of the coldest"
    asked = dwell.dwell
    rows = [LimitRow(what, "bond line", asked, held, "time", "above", held - asked, Limit.HELD)]
    lagging = case.sensors[:, list(case.counts)].min(axis=1)
    for leg in problem.legs:
        most = leg.dwell_most
        if most is None:
            continue
        upto = _before_hotter(problem, leg, case.times, result)
        there = longest_above(case.times[upto], lagging[upto], leg.low)
        at = "" if leg is dwell else f" at {show(leg.target, 'temperature', problem.view)}"
        what, left = f"time in the band{at}", most - there
        rows.append(LimitRow(what, "thermocouples", most, there, "time", "below", left, Limit.HELD_LONG))
    return rows


def _before_hotter(problem: HeatProblem, dwell: Leg, times: Array, result: HeatResult) -> NDArray[np.bool_]:
    """Samples that can lie in a dwell's band: all, or up to its end where a hotter leg follows."""
    n = problem.legs.index(dwell)
    if not any(leg.kind == "heat" and leg.target > dwell.target for leg in problem.legs[n + 1 :]):
        return np.ones(len(times), dtype=bool)
    ended = [legs[n].ended for legs in result.legs.values()]
    return np.asarray(times <= min(e if e is not None else math.inf for e in ended) + 1e-6)


def _other_dwells(problem: HeatProblem, case: CaseOutcome, result: HeatResult) -> list[LimitRow]:
    """Coldest and hottest of the bond line in every dwell but the longest."""
    rows = []
    for n, leg in enumerate(problem.legs):
        if leg is problem.dwell or leg.kind != "heat" or leg.dwell <= 0.0:
            continue
        held = [legs[n] for legs in result.legs.values()]
        if any(h.holding is None or h.ended is None for h in held):
            continue  # it never came about: the run did not come to its end, which is said
        start, end = max(h.holding or 0.0 for h in held), min(h.ended or 0.0 for h in held)
        at = (case.times >= start - 1e-6) & (case.times <= end + 1e-6)
        if not at.any():
            continue
        words = f"in the dwell at {show(leg.target, 'temperature', problem.view)}"
        code, cold, hot = Limit.OTHER_DWELL, float(case.coldest[at].min()), float(case.hottest[at].max())
        rows.append(_above(code, f"coldest {words}", "bond line", leg.low, cold))
        if leg.high is not None:
            rows.append(_below(code, f"hottest {words}", "bond line", leg.high, hot))
    return rows


def _rates(
    problem: HeatProblem, spots: Sequence[SensorSpot], case: CaseOutcome, result: HeatResult
) -> list[LimitRow]:
    """Rates of the thermocouples that count, leg by leg, as the verdict on a log takes them: the fastest
    window up to the band or down to the end, and the mean from 5 K past the start."""
    rows = []
    heating = [leg for leg in problem.legs if leg.kind == "heat"]
    several = sum(leg.rate_most is not None or leg.rate_least is not None for leg in heating) > 1
    for n, leg in enumerate(problem.legs):
        if leg.rate_most is None and leg.rate_least is None:
            continue
        rising = leg.kind == "heat"
        found = [
            rates
            for s, values in zip(spots, case.sensors.T, strict=True)
            if s.count and (rates := _leg_rates(problem, s, case.times, values, result, n)) is not None
        ]
        if not found:
            continue
        to = f" to {show(leg.target, 'temperature', problem.view)}" if rising and several else ""
        word = "rise" if rising else "fall"
        most, least = leg.rate_most, leg.rate_least
        if most is not None:
            fast = max(f for f, _ in found)
            what = f"fastest {word}{to} over {_rate_window(problem.rate_window)}"
            code = Limit.RISE if rising else Limit.FALL
            rows.append(LimitRow(what, "thermocouples", most, fast, "rate", "below", most - fast, code))
        means = [m for _, m in found if m is not None]
        if least is not None and means:
            slow = min(means)
            what, code = f"mean {word}{to}", Limit.MEAN_RISE if rising else Limit.MEAN_FALL
            rows.append(LimitRow(what, "thermocouples", least, slow, "rate", "above", slow - least, code))
    return rows


def _rate_window(window: float) -> str:
    return "ten minutes" if window == RATE_WINDOW else show(window, "time")


def _leg_rates(
    problem: HeatProblem, spot: SensorSpot, times: Array, values: Array, result: HeatResult, n: int
) -> tuple[float, float | None] | None:
    """Fastest and mean rate of one thermocouple in a leg [K/s]; None where the leg never began."""
    leg, legs = problem.legs[n], _legs_of(problem, spot, result)
    begun = 0.0 if n == 0 else legs[n - 1].ended
    if begun is None:
        return None
    ended = legs[n].ended
    last = min(ended if ended is not None else math.inf, float(times[-1]))
    sign = 1.0 if leg.kind == "heat" else -1.0
    inside = times[(times >= begun - 1e-6) & (times <= last + 1e-6)]
    rise = sign * np.interp(inside, times, values)
    if len(inside) < 2:
        return None
    if leg.kind == "heat":
        entered = np.flatnonzero(rise >= leg.low)
        if len(entered):
            inside, rise = inside[: entered[0] + 1], rise[: entered[0] + 1]
    if len(inside) < 2:
        return None
    past = np.flatnonzero(rise >= rise[0] + PAST)
    mean = None
    if len(past) and inside[-1] > inside[past[0]]:
        mean = float((rise[-1] - rise[past[0]]) / (inside[-1] - inside[past[0]]))
    return steepest(inside, rise, problem.rate_window), mean


def _legs_of(problem: HeatProblem, spot: SensorSpot, result: HeatResult) -> tuple[LegTimes, ...]:
    """Times of the legs of the blanket that follows a thermocouple."""
    if spot.face == "far face" and problem.source_behind is not None:
        return result.legs[f"{problem.source_behind.id} behind"]
    return result.legs[problem.source.id]


def worst_of(rows: Sequence[LimitRow]) -> float:
    """Least margin of the rows on temperature [K]."""
    return min((r.margin for r in rows if r.kind == "temperature"), default=math.inf)


def rounded_row(row: LimitRow) -> LimitRow:
    """A row as it is kept and shown [K, s, K/s]: a limit that is passed by less than the last digit stays
    passed."""
    digits = 6 if row.kind == "rate" else 2
    margin = round(row.margin, digits)
    if row.margin < -NOISE and margin >= 0.0:
        margin = -(10.0**-digits)
    return replace(row, predicted=round(row.predicted, digits), margin=margin)


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


def _below(code: Limit, what: str, place: str, limit: float, predicted: float) -> LimitRow:
    return LimitRow(what, place, limit, predicted, "temperature", "below", limit - predicted, code)


def _above(code: Limit, what: str, place: str, limit: float, predicted: float) -> LimitRow:
    return LimitRow(what, place, limit, predicted, "temperature", "above", predicted - limit, code)


def steepest(times: Array, values: Array, window: float = RATE_WINDOW) -> float:
    """Greatest rise over a window, as a rate [K/s]; a shorter range is taken as one window.

    Samples need not lie evenly."""
    if len(times) < 2:
        return 0.0
    width = min(window, float(times[-1] - times[0]))
    begins = np.append(times[times <= times[-1] - width + 1e-9], times[-1] - width)
    rises = np.interp(begins + width, times, values) - np.interp(begins, times, values)
    return float(rises.max()) / width
