"""What gaps can hide of a dwell: time in its band in a gap with readings below it on both sides, and how long
not every thermocouple was read. Bounds as in ``holes``: from the readings on either side, with the blanket
fully on or fully off."""

from __future__ import annotations

import math

import numpy as np

from panelmend.plan.judge.evidence import Evidence
from panelmend.plan.judge.fault import OFF, ON, BoolArray
from panelmend.plan.judge.holes import holes
from panelmend.plan.judge.log import FloatArray
from panelmend.plan.judge.pieces import last_of
from panelmend.plan.judge.spans import SLACK, Span, samples_within, spans_above
from panelmend.plan.judge.walk import Stretch

Times = list[tuple[float, float]]


def hidden_in_band(e: Evidence, level: float, since: float, until: float) -> Times:
    """From when to when [s] the slowest can have been at a level [K] and above within a time [s], in holes
    both sides of which lie below it, and in rows before the first reading and after the last: there every
    working thermocouple has to be, and one that is read in the hole says so itself."""
    good = np.flatnonzero(np.isfinite(e.lowest))
    if not good.size:
        return []
    below = e.lowest[good] < level - SLACK * max(1.0, abs(level))
    sides = np.concatenate([[0], good, [len(e.times) - 1]])
    low = np.concatenate([[True], below, [True]])
    between = (np.diff(e.times[sides]) > e.gap) & low[:-1] & low[1:]
    out: Times = []
    for k in np.flatnonzero(between).tolist():
        rows = slice(int(sides[k]), int(sides[k + 1]) + 1)
        begin, end = max(since, float(e.times[sides[k]])), min(until, float(e.times[sides[k + 1]]))
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
    one after it: how long it stayed, and how hot it became, no reading shows. So does that of one alone that
    is read no more while others are, unless it counts as lost: what its place did is asked by that rule."""
    end = last_of(np.isfinite(e.highest))
    if not math.isinf(s.until) or end is None:
        return False
    if e.highest[end] >= s.level:
        return True
    for column, works in zip(e.temps.T, e.working.T, strict=True):
        at = None if np.isfinite(column[end]) else last_of(np.isfinite(column[:end]))
        hot = at is not None and column[at] >= s.level and e.times[end] - e.times[at] > e.gap
        if hot and works[at : end + 1].all():
            return True
    return False


def heat_ends(e: Evidence, s: Stretch) -> float:
    """Until when [s] the heat of a dwell is held against its top: where the fastest left its band for good,
    which may be after the slowest had."""
    stop = samples_within(e.times, s.start, s.until).stop
    with np.errstate(invalid="ignore"):
        last = last_of(e.highest[:stop] >= s.level)
    return s.end if last is None else max(s.end, float(e.times[last]))


def fastest_in_band(
    s: Stretch, times: FloatArray, highest: FloatArray, known: BoolArray, first: float
) -> list[Span]:
    """Where the fastest (n,) [K] is at or above the low end of a dwell's band from its first entry [s] on."""
    spans = [x for x in spans_above(times, highest, s.level, known) if x.end > first and x.start <= s.until]
    return [Span(max(x.start, first), min(x.end, s.until)) for x in spans]


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
    slowest (n,) [s]: as read; between readings further apart than a gap [s], before the first and after the
    last, as soon and as late as they allow; at any time where it is lost."""
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
    first, last = float(t[0]), float(t[-1])
    if working[: good[0] + 1].all():
        first -= max(0.0, level - float(v[0])) / OFF
    if working[good[-1] :].all():
        last += max(0.0, level - float(v[-1])) / ON
    ends = [(float(times[0]), first), (last, float(times[-1]))]
    return _joined([*out, *((a, b) for a, b in ends if a <= b)])


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
