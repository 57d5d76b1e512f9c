"""Times at which a trace crosses a level, and spans in which it stays at or above it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from panelmend.plan.judge.fault import BoolArray
from panelmend.plan.judge.log import FloatArray

SLACK = 1e-6  # of floating arithmetic only: a reading exactly on a limit conforms


@dataclass(frozen=True)
class Span:
    """From ``start`` to ``end`` [s]; an open side is one where a gap cut the span, not the trace."""

    start: float
    end: float
    open_start: bool = False
    open_end: bool = False

    @property
    def length(self) -> float:
        """[s]."""
        return self.end - self.start


def spans_above(times: FloatArray, values: FloatArray, level: float, known: BoolArray) -> list[Span]:
    """Spans in which straight lines between samples are at or above a level.

    Args:
        times: [s], shape (n,), not falling.
        values: shape (n,), NaN where not known.
        level: in the unit of the values.
        known: shape (n-1,), False for pieces nothing is known about.
    """
    level = level - SLACK * max(1.0, abs(level))
    count = len(times)
    if not count:
        return []
    finite = np.isfinite(values)
    above = finite & (np.nan_to_num(values, nan=-np.inf) >= level)
    joined = known & finite[:-1] & finite[1:]  # a line is drawn between two samples
    inside = joined & above[:-1] & above[1:]
    starts = np.flatnonzero(above & ~np.concatenate([[False], inside]))
    ends = np.flatnonzero(above & ~np.concatenate([inside, [False]]))
    out: list[Span] = []
    for i, k in zip(starts.tolist(), ends.tolist(), strict=True):
        rises, falls = i > 0 and bool(joined[i - 1]), k < count - 1 and bool(joined[k])
        start = _cross(times, values, i - 1, level) if rises else float(times[i])
        end = _cross(times, values, k, level) if falls else float(times[k])
        out.append(Span(start, end, i > 0 and not rises, k < count - 1 and not falls))
    return out


def _cross(times: FloatArray, values: FloatArray, i: int, level: float) -> float:
    rise = values[i + 1] - values[i]
    share = (level - values[i]) / rise if rise else 1.0
    return float(times[i] + share * (times[i + 1] - times[i]))


def first_at(
    times: FloatArray, values: FloatArray, level: float, after: float, *, falling: bool = False
) -> float | None:
    """The first time from ``after`` on at which a trace is at or beyond a level [s], None for never."""
    sign = -1.0 if falling else 1.0
    v, wanted = sign * values, sign * level - SLACK * max(1.0, abs(level))
    there = np.flatnonzero((times >= after) & np.isfinite(v) & (v >= wanted))
    if not there.size:
        return None
    i = int(there[0])
    if i > 0 and np.isfinite(v[i - 1]) and v[i - 1] < wanted:
        return max(after, _cross(times, v, i - 1, wanted))
    return float(times[i])


def last_up(times: FloatArray, values: FloatArray, level: float, start: float, end: float) -> float | None:
    """The last time between ``start`` and ``end`` at which a trace rises through a level [s]."""
    inside = np.flatnonzero((times >= start) & (times <= end) & np.isfinite(values))
    for a, b in zip(inside[-2::-1], inside[:0:-1], strict=True):
        if values[a] <= level < values[b]:
            share = (level - values[a]) / (values[b] - values[a])
            return float(times[a] + share * (times[b] - times[a]))
    return None


def window_rates(
    times: FloatArray, values: FloatArray, start: float, end: float, window: float, gap: float
) -> tuple[FloatArray, FloatArray, float]:
    """Mean rates over a sliding window within a time range.

    Args:
        times: [s], shape (n,), not falling.
        values: [K], shape (n,), NaN where not known.
        start, end: range [s].
        window: [s]; a shorter range is taken as one window.
        gap: steps longer than this are gaps [s].

    Returns:
        Starts of the windows [s] and rates [K/s], shape (k,), and the time [s] that windows could not show.
    """
    good = np.flatnonzero(np.isfinite(values) & (times >= start) & (times <= end))
    if good.size < 2:
        return np.empty(0), np.empty(0), max(0.0, end - start)
    t, v = times[good], values[good]
    keep = np.concatenate([[True], np.diff(t) > 0])
    t, v = t[keep], v[keep]
    if t.size < 2:
        return np.empty(0), np.empty(0), max(0.0, end - start)
    width = min(window, float(t[-1] - t[0]))
    begins = np.unique(np.concatenate([t[t <= t[-1] - width + 1e-9], [t[-1] - width]]))
    rates = (np.interp(begins + width, t, v) - np.interp(begins, t, v)) / width
    holes = np.flatnonzero(np.diff(t) > max(gap, width))
    unseen = float(np.sum(np.diff(t)[holes]))
    return begins, rates, unseen
