"""What holes hide of a dwell: time in its band in a hole both sides of which are read below it, and how long
not every thermocouple was read. Bounds as in ``holes``: from the readings either side, with the blanket fully
on or fully off."""

from __future__ import annotations

import math

import numpy as np

from panelmend.plan.judge.evidence import Evidence
from panelmend.plan.judge.fault import OFF, ON, BoolArray
from panelmend.plan.judge.holes import holes
from panelmend.plan.judge.log import FloatArray
from panelmend.plan.judge.spans import SLACK, spans_above
from panelmend.plan.judge.walk import Stretch

Times = list[tuple[float, float]]


def hidden_in_band(e: Evidence, level: float, since: float, until: float) -> Times:
    """From when to when [s] the slowest can have been at a level [K] and above within a time [s], in holes
    both sides of which lie below it: there every working thermocouple has to be, and one that is read in
    the hole says so itself."""
    good = np.flatnonzero(np.isfinite(e.lowest))
    below = e.lowest[good] < level - SLACK * max(1.0, abs(level))
    between = (np.diff(e.times[good]) > e.gap) & below[:-1] & below[1:]
    out: Times = []
    for k in np.flatnonzero(between).tolist():
        rows = slice(int(good[k]), int(good[k + 1]) + 1)
        begin, end = max(since, float(e.times[good[k]])), min(until, float(e.times[good[k + 1]]))
        here = [(begin, end)] if begin < end else []
        for i in range(len(e.names)):
            could = _can_be(e.times[rows], e.temps[rows, i], e.working[rows, i], level, e.gap)
            here = _both(here, could)
        out += here
    return out


def in_band_at_most(e: Evidence, level: float, since: float, until: float, shown: Times) -> float:
    """How long [s] the fastest can have been at a level [K] and above within a time [s]: as shown, and in
    the holes of each working thermocouple as soon and as late as its sides allow."""
    out = list(shown)
    for _, begin, end, before, after in holes(e, since, until):
        sides = np.array([begin, end]), np.array([before, after]), np.ones(2, np.bool_)
        could = _can_be(*sides, level, e.gap)
        out += _both([(since, until)], could)
    return sum(b - a for a, b in _joined(out))


def ends_in_band(e: Evidence, s: Stretch) -> bool:
    """Whether the last reading of the fastest stands in a dwell's band or above it, with no way to a hotter
    one after it: how long it stayed, and how hot it became, no reading shows."""
    good = np.flatnonzero(np.isfinite(e.highest))
    return math.isinf(s.until) and good.size > 0 and bool(e.highest[good[-1]] >= s.level)


def least_read(e: Evidence) -> FloatArray:
    """The least (n,) [K] of the working thermocouples that are read; NaN where fewer than two are."""
    if np.isfinite(e.lowest).all():
        return e.lowest
    read = np.isfinite(e.temps) & e.working
    least = np.min(np.where(read, e.temps, np.inf), axis=1, initial=np.inf)
    least[read.sum(axis=1) < 2] = np.nan
    return np.where(np.isfinite(e.lowest), e.lowest, least)


def unread_time(e: Evidence, begin: float, end: float) -> float:
    """How long [s] of a time [s] lies in holes of the slowest: not every working thermocouple was read."""
    t = e.times[np.isfinite(e.lowest)]
    a, b = np.maximum(t[:-1], begin), np.minimum(t[1:], end)
    return float(np.sum(np.maximum(0.0, b - a)[np.diff(t) > e.gap]))


def _can_be(times: FloatArray, values: FloatArray, working: BoolArray, level: float, gap: float) -> Times:
    """From when to when [s] a thermocouple (n,) [K] can have been at a level [K] and above in a hole of the
    slowest (n,) [s]: as read; between readings further apart than a gap [s] as soon and as late as its sides
    allow; at any time where it is lost."""
    good = np.flatnonzero(np.isfinite(values))
    if not good.size:
        return [(float(times[0]), float(times[-1]))]
    t, v = times[good], values[good]
    steps = np.diff(t)
    out = [(s.start, s.end) for s in spans_above(t, v, level, steps <= gap)]
    for k in np.flatnonzero(steps > gap).tolist():
        start, end = float(t[k]), float(t[k + 1])
        if working[good[k] : good[k + 1]].all():
            start += max(0.0, level - float(v[k])) / ON
            end -= max(0.0, level - float(v[k + 1])) / OFF
        out += [(start, end)] if start <= end else []
    return _joined([(float(times[0]), float(t[0])), *out, (float(t[-1]), float(times[-1]))])


def _joined(times: Times) -> Times:
    """The same times [s] in order, with those joined that touch."""
    out: Times = []
    for start, end in sorted(times):
        if out and start <= out[-1][1]:
            out[-1] = (out[-1][0], max(out[-1][1], end))
        else:
            out.append((start, end))
    return out


def _both(one: Times, other: Times) -> Times:
    """The times [s] that lie in both."""
    cut = [(max(a, c), min(b, d)) for a, b in one for c, d in other]
    return [(a, b) for a, b in cut if a < b]
