"""The temperature that the place of a thermocouple may have reached if it was moving when its reading ended,
or if it is read again: forward from its very last reading, as steeply as it moved in the last minutes, and
back from the first one after the gap."""

from __future__ import annotations

import numpy as np

from panelmend.plan.judge.evidence import Evidence
from panelmend.plan.judge.fault import BoolArray
from panelmend.plan.judge.faults_reckoned import digit_of
from panelmend.plan.judge.faults_sensor import noise_of
from panelmend.plan.judge.log import FloatArray
from panelmend.plan.judge.lost_read import FOLLOW, GROWS, RISING, STANDS, carried_back
from panelmend.plan.judge.pieces import last_of
from panelmend.plan.judge.spans import samples_within

# common practice, no source, all: the times before its last reading over which a place's way is taken; the
# last digits, and times its noise, that it has to move by in one of them; and the share of the others' way up
# that has to lie behind them: what a place does beside them before that tells nothing of the dwell
BACK = (1200.0, 600.0, RISING, 120.0, 60.0)  # s
DIGITS, NOISES, UP = 3.0, 8.0, 0.5
MOST_LOOKED = 2000


def at_worst(
    e: Evidence,
    column: FloatArray,
    other: FloatArray,
    sign: float,
    carried: tuple[int, slice, FloatArray],
    back: int,
) -> FloatArray:
    """What the place of (n,) [K] may have come to [K], (k,), at worst: as it is ``carried`` on, as it moved
    when it was read last, or by where it is read again, at a sample ``back``."""
    last, gone, place = carried
    ways = (
        place,
        moved_further(e, column, other, sign, last, gone),
        came_back(e, column, other, sign, gone, back),
    )
    return np.asarray(sign * np.fmin.reduce([sign * x for x in ways]))


def least_told(column: FloatArray) -> float:
    """From what on a move [K] of readings (n,) [K] is told from their last digit and their noise."""
    seen = column[np.isfinite(column)]
    some = seen[:: max(1, seen.size // MOST_LOOKED)]
    return max(GROWS, DIGITS * digit_of(some), NOISES * noise_of(seen))


def steepest_way(
    times: FloatArray, gap: float, own: FloatArray, apart: FloatArray, last: int, least: float
) -> float:
    """How fast [K/s] a distance (n,) [K] fell until the last reading: the most of twenty, ten, five, two
    and one minutes in which it and the ``own`` readings (n,) [K] fell by ``least`` [K] or more; one above
    nought still, that came nearer all the time, fell by so much more in the last two than in five; 0 for
    none."""
    rate = usual = 0.0
    first = samples_within(times, float(times[last]) - BACK[0] - gap, float(times[last])).start
    for time in BACK:
        before = slice(first, last)
        found = last_of(np.isfinite(apart[before]) & (times[before] <= times[last] - time + 1e-6))
        if found is None or times[last] - times[first + found] > time + gap:
            continue
        at = first + found
        fell, took = float(apart[last] - apart[at]), float(times[last] - times[at])
        if time > RISING and abs(own[last] - own[at] - fell) > STANDS:
            continue  # the others moved: over so long that is their way up
        if time >= RISING and apart[last] > 0.0:
            usual = min(0.0, fell / took) if time == RISING else 0.0
        elif max(own[last] - own[at], fell - usual * took) <= 1e-6 - least:
            rate = min(rate, fell / took)
    return rate


def moved_further(
    e: Evidence, column: FloatArray, other: FloatArray, sign: float, last: int, gone: slice
) -> FloatArray:
    """What the place of (n,) [K] may have come to [K], (k,), from its last reading on: as it moved then away
    from the slowest ``other`` (n,) [K] (``sign`` 1), or the hottest (-1), or towards it, for ten minutes
    more; NaN where no move is told, or the others were not half way up."""
    apart, rate = sign * (column - other), 0.0
    cold, now, hot = np.fmin.reduce(other[: last + 1]), other[last], np.fmax.reduce(other[last : gone.stop])
    if now - cold >= UP * (hot - cold):
        rate = steepest_way(e.times, e.gap, sign * column, apart, last, least_told(column))
    if rate == 0.0:
        return np.full(gone.stop - gone.start, np.nan)
    moved = rate * np.minimum(e.times[gone] - e.times[last], FOLLOW)
    return np.asarray(other[gone] + sign * (apart[last] + moved))


def came_back(
    e: Evidence, column: FloatArray, other: FloatArray, sign: float, gone: slice, back: int
) -> FloatArray:
    """What the place of (n,) [K] may have come to [K], (k,), by where it was read again; NaN where it was
    not, or while all cooled, no later, or earlier, than it was on the way up."""
    if back == len(column) or _as_on_the_way_up(e, column, other, sign, back):
        return np.full(gone.stop - gone.start, np.nan)
    _, place = back_at_worst(e, column, other, sign, back, float(e.times[gone.start]))
    return place[len(place) - (back - gone.start) :][: gone.stop - gone.start]


def back_at_worst(
    e: Evidence, column: FloatArray, other: FloatArray, sign: float, first: int, start: float
) -> tuple[slice, FloatArray]:
    """The samples from a time [s] to the ``first`` reading, and what the place of (n,) [K] may have been
    there [K] at worst: carried back, or as it moves from its very first reading on, to ten minutes before
    it; not where the others go its way by more than 2 K in five minutes, as one that is late comes nearer
    then anyhow."""
    gone, place = carried_back(e, column, other, sign, first, start)
    time, apart = float(e.times[first]), sign * (column - other)
    soon = sign * other[samples_within(e.times, time, time + RISING)]
    if not np.fmax.reduce(soon) - soon[0] <= STANDS:
        return gone, place
    seen = slice(first, samples_within(e.times, time, time + BACK[0] + e.gap).stop)
    times, own, away = (x[seen][::-1] for x in (-e.times, sign * column, apart))
    rate = steepest_way(times, e.gap, own, away, len(times) - 1, least_told(column))
    if rate == 0.0:
        return gone, place
    moved = apart[first] + rate * np.minimum(time - e.times[gone], FOLLOW)
    return gone, np.asarray(sign * np.fmin(sign * place, sign * other[gone] + moved))


def _as_on_the_way_up(e: Evidence, column: FloatArray, other: FloatArray, sign: float, back: int) -> bool:
    """Whether one that is read again while the others (n,) [K] cool is no longer behind the hottest of them
    (``sign`` -1), or ahead of the slowest (1), than it was when it came to that temperature."""
    level, time = column[back], float(e.times[back])
    soon = other[samples_within(e.times, time, time + RISING)]
    if not soon[0] - np.fmin.reduce(soon) > STANDS:
        return False
    above = other >= level
    own, first, last = (
        f(x) for f, x in ((_first, column[:back] >= level), (_first, above), (last_of, above))
    )
    if own is None or first is None or last is None:
        return False
    up, down = e.times[first] - e.times[own], e.times[last] - time
    return bool(sign * (down - up) <= BACK[-1] + e.gap)


def _first(some: BoolArray) -> int | None:
    return int(np.argmax(some)) if some.any() else None
