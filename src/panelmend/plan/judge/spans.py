"""Times at which a trace crosses a level, and spans in which it stays at or above it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from panelmend.plan.judge.fault import BoolArray
from panelmend.plan.judge.log import FloatArray
from panelmend.plan.judge.pieces import last_of, pieces

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

    def within(self, start: float, end: float) -> Span:
        """The part from ``start`` to ``end`` [s]; a side that is cut off is closed."""
        return Span(
            max(self.start, start),
            min(self.end, end),
            self.open_start and self.start >= start,
            self.open_end and self.end <= end,
        )


def spans_above(times: FloatArray, values: FloatArray, level: float, known: BoolArray) -> list[Span]:
    """Spans in which straight lines between samples are at or above a level.

    Args:
        times: [s], shape (n,), not falling.
        values: shape (n,) [any unit], NaN where not known.
        level: [the unit of the values].
        known: shape (n-1,), False for pieces nothing is known about.
    """
    level = level - SLACK * max(1.0, abs(level))
    count = len(times)
    if not count:
        return []
    finite = np.isfinite(values)
    with np.errstate(invalid="ignore"):
        above = finite & (values >= level)
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
    """The first time from ``after`` on [s] at which a trace is at or beyond a level [its unit]; or None."""
    sign = -1.0 if falling else 1.0
    wanted = sign * level - SLACK * max(1.0, abs(level))
    begin = int(np.searchsorted(times, after, side="left"))
    found = first_above(values[begin:], wanted, sign)
    if found is None:
        return None
    i = begin + found
    v = sign * values[max(0, i - 1) : i + 1]
    if i > 0 and np.isfinite(v[0]) and v[0] < wanted:
        return max(after, _cross(times[i - 1 : i + 1], v, 0, wanted))
    return float(times[i])


def first_above(values: FloatArray, level: float, sign: float = 1.0) -> int | None:
    """The first place at which values (n,), times ``sign``, are at or above a level [their unit]; or None."""
    for part in pieces(0, values.size):
        there = sign * values[part] >= level
        at = int(np.argmax(there))
        if there[at]:
            return int(part.start) + at
    return None


def trace_at(times: FloatArray, values: FloatArray, time: float) -> float:
    """What a trace (n,) [any unit] shows at a time [s], on a straight line between the readings beside it;
    the nearest one before the first and after the last; NaN for none."""
    at = int(np.searchsorted(times, time, side="right"))
    before, after = last_of(np.isfinite(values[:at])), first_above(values[at:], -np.inf)
    if before is None and after is None:
        return float("nan")
    if before is None or after is None:
        return float(values[at + after if after is not None else before or 0])
    pair = [before, at + after]
    return float(np.interp(time, times[pair], values[pair]))


def last_up(times: FloatArray, values: FloatArray, level: float, start: float, end: float) -> float | None:
    """The last time [s] between ``start`` and ``end`` at which a trace rises through a level [its unit]."""
    inside = samples_within(times, start, end)
    t, v = times[inside], values[inside]
    good = np.isfinite(v)
    t, v = t[good], v[good]
    rises = np.flatnonzero((v[:-1] <= level) & (v[1:] > level))
    if not rises.size:
        return None
    a = int(rises[-1])
    return float(t[a] + (level - v[a]) / (v[a + 1] - v[a]) * (t[a + 1] - t[a]))


def samples_within(times: FloatArray, start: float, end: float) -> slice:
    """Where times (n,) [s], which do not fall, lie from ``start`` to ``end``, both counted."""
    return slice(int(np.searchsorted(times, start, "left")), int(np.searchsorted(times, end, "right")))


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
    inside = samples_within(times, start, end)
    t, v = times[inside], values[inside]
    if not np.isfinite(np.sum(v)):
        good = np.isfinite(v)
        t, v = t[good], v[good]
    steps = np.diff(t)
    if steps.size and not steps.min() > 0:
        keep = np.concatenate([[True], steps > 0])
        t, v = t[keep], v[keep]
        steps = np.diff(t)
    if t.size < 2:
        return np.empty(0), np.empty(0), max(0.0, end - start)
    width = min(window, float(t[-1] - t[0]))
    whole = int(np.searchsorted(t, t[-1] - width + 1e-9, side="right"))
    begins, before = t[:whole], v[:whole]
    last = float(t[-1]) - width
    if not whole or begins[-1] < last:
        begins = np.append(begins, last)
        before = np.append(before, np.interp(last, t, v))
    rates = (np.interp(begins + width, t, v) - before) / width
    unseen = float(np.sum(steps[steps > max(gap, width)]))
    return begins, rates, unseen
