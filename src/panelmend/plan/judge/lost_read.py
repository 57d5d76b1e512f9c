"""Readings of a lost thermocouple: single readings through a loose contact after the loss, and the first ones
of a thermocouple that was plugged in late."""

from __future__ import annotations

import numpy as np

from panelmend.plan.judge.evidence import Evidence, joined_by_lines
from panelmend.plan.judge.fault import OFF, ON, BoolArray
from panelmend.plan.judge.log import FloatArray
from panelmend.plan.judge.spans import samples_within
from panelmend.plan.judge.walk import Stretch

# common practice, no source, both: K by which a reading may miss what the part can follow from the one before
# it or to the one after it, and how many of them rule out flicker
BESIDE, FEWEST = 2.0, 3
# common practice, no source, all: the time before a loss, or after a first reading, that shows how a
# thermocouple moved, for how long that is carried on, and the time that readings are averaged over
RISING, FOLLOW, MEAN = 300.0, 600.0, 120.0  # s
# K, the same: a distance to the others that grows; others that moved no more stand
GROWS, STANDS = 0.7, 2.0


def readings_of_lost(e: Evidence, again: Evidence, name: str, lost: float) -> tuple[FloatArray, BoolArray]:
    """What a thermocouple lost at a time [s] read (n,) [K], NaN elsewhere: all until then, what counts again
    after it, and single readings that the part could have followed, where there are three; and which (n,)
    those last are."""
    at = e.names.index(name)
    column, raw = again.temps[:, at], e.checked.temps[:, at]
    single = np.isfinite(raw) & np.isnan(column) & (e.times > lost)
    single &= _followed(e.times, raw)
    if single.sum() < FEWEST:
        return column, np.zeros(column.size, np.bool_)
    return joined_by_lines(e.times, np.where(single, raw, column), e.gap), single


def _followed(times: FloatArray, values: FloatArray) -> BoolArray:
    """Readings (n,) [K] that the part could have come to from the one before, or gone from to the next."""
    out = np.zeros(values.size, np.bool_)
    seen = np.flatnonzero(np.isfinite(values))
    steps, moves = np.diff(times[seen]), np.diff(values[seen])
    could = (moves <= ON * steps + BESIDE) & (moves >= -(OFF * steps + BESIDE))
    sides = np.concatenate([[False], could]) | np.concatenate([could, [False]])
    out[seen] = sides
    return out


def read_late(e: Evidence, column: FloatArray, start: float, end: float) -> int | None:
    """The sample of the first reading (n,) [K] of a thermocouple that came late, within a time [s]; None for
    one that read before it, or not until after it."""
    within = samples_within(e.times, start, end)
    if np.isfinite(column[: within.start]).any():
        return None
    seen = np.flatnonzero(np.isfinite(column[within]))
    first = within.start + int(seen[0]) if seen.size else None
    return None if first is None or e.times[first] - start <= e.gap else first


def carried_back(
    e: Evidence, column: FloatArray, other: FloatArray, sign: float, first: int, start: float
) -> tuple[slice, FloatArray]:
    """The samples from a time [s] to the first reading, and what the place of (n,) [K] may have been there
    [K]: as far from the slowest ``other`` (n,) [K] as when it was first read (``sign`` 1), or from the
    hottest (-1); what came nearer to it in the five minutes after that is carried back for ten."""
    gone = slice(samples_within(e.times, start, float(e.times[first])).start, first)
    apart = sign * (column - other)
    now, later = (_mean_from(e, apart, float(e.times[first]) + x) for x in (0.0, RISING))
    beside, after = (_mean_from(e, other, float(e.times[first]) + x) for x in (0.0, RISING))
    stands = abs(after - beside) <= STANDS and later - now >= GROWS
    drift = (later - now) / RISING if stands else 0.0
    moved = now - drift * np.minimum(e.times[first] - e.times[gone], FOLLOW)
    return gone, other[gone] + sign * np.minimum(moved, 0.0)


def _mean_from(e: Evidence, values: FloatArray, time: float) -> float:
    """The mean [their unit] of two minutes from a time [s] on; NaN where nothing is known."""
    here = values[samples_within(e.times, time, time + MEAN)]
    return float(np.nanmean(here)) if np.isfinite(here).any() else float("nan")


def last_into_band(e: Evidence, s: Stretch) -> str:
    """Which came last into the band of a dwell, of those that were not lost by its end; "" for none."""
    lost = {n for n, t in e.lost_at if t <= s.end}
    came = {n: t for n, t in s.entries if t is not None}
    return max(sorted(came), key=lambda n: (n not in lost, came[n]), default="")
