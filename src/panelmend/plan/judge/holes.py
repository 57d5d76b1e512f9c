"""What may have happened in a gap without readings: bounds from the readings on either side and from the
blanket fully on or fully off, never from the expected course.

Both rates are upper bounds of our choice (common practice, no source): a blanket of 12 kW/m2 over its own
heat capacity and little else, and a bare thin panel in blown air.
"""

from __future__ import annotations

import numpy as np

from panelmend.plan.judge.evidence import Evidence
from panelmend.plan.judge.fault import OFF, ON, BoolArray
from panelmend.plan.judge.log import FloatArray
from panelmend.plan.judge.pieces import last_of
from panelmend.plan.judge.spans import first_above


def peak(before: float, after: float, seconds: float) -> float:
    """The highest temperature [K] between two readings [K] so many seconds [s] apart: up with the blanket
    on, back with it off."""
    return max(before, after, (ON * OFF * seconds + ON * after + OFF * before) / (ON + OFF))


def trough(before: float, after: float, seconds: float) -> float:
    """The lowest temperature [K] between two readings [K] so many seconds [s] apart: down with the blanket
    off, back with it on."""
    return min(before, after, (ON * before + OFF * after - ON * OFF * seconds) / (ON + OFF))


def hottest_unread(e: Evidence, at: int) -> tuple[str, float]:
    """Of the working thermocouples without a reading at a sample the one that can be hottest there, and the
    temperature [K] it can have reached by its readings on either side, or by the one before where none
    follows. "" and less than any limit for none."""
    most = ("", -np.inf)
    for i, name in enumerate(e.names):
        column = e.temps[:, i]
        before, after = last_of(np.isfinite(column[:at])), first_above(column[at:], -np.inf)
        if np.isfinite(column[at]) or not e.working[at, i] or before is None:
            continue
        could = float(column[before])
        if after is not None:
            up = could + ON * float(e.times[at] - e.times[before])
            could = min(up, float(column[at + after]) + OFF * float(e.times[at + after] - e.times[at]))
        most = max(most, (name, could), key=lambda x: x[1])
    return most


def highest_with_unread(e: Evidence, level: float) -> FloatArray:
    """The hottest (n,) [K] including those that are not read in a gap but above a level [K] on both sides of
    it: a thermocouple read hot again was not seen to cool."""
    hot = [x for x in holes(e, float(e.times[0]), float(e.times[-1])) if min(x[3], x[4]) > level + 1e-6]
    if not hot:
        return e.highest
    highest = e.highest.copy()
    for _, begin, until, before, after in hot:
        inside = slice(*np.searchsorted(e.times, (begin, until)))
        highest[inside] = np.fmax(highest[inside], min(before, after))
    return highest


def slowest_at_least(e: Evidence, level: float) -> tuple[FloatArray, BoolArray]:
    """The slowest (n,) [K] and which pieces between samples are known (n-1,), with those gaps closed in which
    no thermocouple can have fallen below a level [K] with the blanket fully off."""
    lowest, known = e.lowest, e.known
    found = holes(e, float(e.times[0]), float(e.times[-1])) if len(e.times) else []
    safe = [x for x in found if trough(x[3], x[4], x[2] - x[1]) >= level]
    if not safe:
        return lowest, known
    temps, known = e.temps.copy(order="F"), known.copy()
    for name, begin, until, before, after in safe:
        inside = slice(*np.searchsorted(e.times, (begin, until)))
        column = temps[inside, e.names.index(name)]
        column[np.isnan(column)] = trough(before, after, until - begin)
    unsafe = [x for x in found if x not in safe]
    for k in np.flatnonzero(~known).tolist():
        here = [x for x in found if x[1] <= e.times[k] and x[2] >= e.times[k + 1]]
        known[k] = bool(here) and not any(x in unsafe for x in here) and len(here) == e.working[k].sum()
    missing = (np.isnan(temps) & e.working).any(axis=1)
    made = np.min(np.where(np.isnan(temps), np.inf, temps), axis=1, initial=np.inf)
    made[missing | np.isinf(made)] = np.nan
    return made, known


def crossing_between(
    e: Evidence, values: FloatArray, level: float, time: float, *, falling: bool = False
) -> tuple[float, float]:
    """The earliest and the latest time [s] at which readings (n,) [K] that are found at a level [K] at a time
    [s] can have reached it: both the same where it is read; in a gap the bounds from the readings on either
    side with the blanket fully on or fully off."""
    good = np.flatnonzero(np.isfinite(values))
    k = int(np.searchsorted(e.times[good], time, side="left"))
    if k in (0, good.size):
        return time, time
    a, b = int(good[k - 1]), int(good[k])
    if e.times[b] - e.times[a] <= e.gap:
        return time, time
    rate, sign = (OFF, -1.0) if falling else (ON, 1.0)
    soonest = e.times[a] + max(0.0, sign * (level - values[a])) / rate
    latest = e.times[b] - max(0.0, sign * (values[b] - level)) / rate
    return min(time, float(soonest)), max(time, float(latest))


def holes(
    e: Evidence, start: float, end: float, *, touching: bool = False
) -> list[tuple[str, float, float, float, float]]:
    """Times within a range in which a working thermocouple has no reading for longer than counts as unbroken:
    its name, begin and end [s], reading before and after [K]. ``touching``: those too that only end where the
    range begins, or begin where it ends."""
    out: list[tuple[str, float, float, float, float]] = []
    if e.known.all() and e.working.all() and np.isfinite(np.sum(e.temps)):
        return out
    for i, name in enumerate(e.names):
        good = np.flatnonzero(np.isfinite(e.temps[:, i]) & e.working[:, i])
        steps = np.diff(e.times[good])
        for k in np.flatnonzero(steps > e.gap):
            a, b = int(good[k]), int(good[k + 1])
            beside = (e.times[b] >= start, e.times[a] <= end)
            within = (e.times[b] > start, e.times[a] < end)
            if all(beside if touching else within) and e.working[a : b + 1, i].all():
                out.append(
                    (name, float(e.times[a]), float(e.times[b]), float(e.temps[a, i]), float(e.temps[b, i]))
                )
    return out
