"""Rows whose readings are one column too far to the left.

A program that drops a missing cell makes a row short, which the reader sets aside; one that pads the row at
its end (as a spreadsheet does) makes a complete row of readings under the wrong names.
"""

from __future__ import annotations

import numpy as np

from panelmend.plan.judge import codes
from panelmend.plan.judge.fault import BoolArray, Fault, fault, length, runs
from panelmend.plan.judge.log import ChannelRole, CureLog, FloatArray, IntArray

# common practice, no source, all: a channel read less often than this is not a last cell that went missing;
# complete rows that are extended, and rows without their last cell that are compared with them; a row is in
# place when its readings lie so much nearer to their own course than to the neighbours'
USUALLY, NEARER = 0.5, 0.5
BESIDE, MOVED_ROWS = 5, 3
MOST_NAMED = 4


def moved_faults(log: CureLog, gap: float) -> tuple[list[Fault], BoolArray]:
    """Runs of rows without their last cell in which the channels read what their right-hand neighbours read
    the moment before, or after.

    Args:
        log: in order; its channels stand as in the file.
        gap: rows further apart than this tell nothing about each other [s].

    Returns:
        The findings, and the samples (n,) that were moved or may have been.
    """
    found, out = _ended_twice(log)
    if len(log.channels) < 3 or not len(log):
        return found, out
    last = np.isfinite(log.channels[-1].values)
    if last.all() or last.mean() < USUALLY:
        return found, out
    for a, b in runs(~last):
        sides = [(a - 1, a, -1), (b + 1, b, 1)]
        if any(_moved(log, beside, at, way, gap) for beside, at, way in sides):
            out[a : b + 1] = True
            begin, until = float(log.times[a]), float(log.times[b])
            words = (
                f"{b - a + 1} rows, {length(until - begin)}, have no last cell, and their readings fit the "
                "channels to the left as well: a cell may have been left out before"
            )
            if len(found) < MOST_NAMED:
                found.append(fault(log, codes.MOVED, words, time=begin, until=until))
    return found, out


# common practice, no source, all: share of the rows that may end twice by themselves; what a reading of the
# last channel but one is off its own course by, where it is of another kind than the last [K] and [Pa]; how
# much better the neighbours' courses have to fit, and how far off the own ones are in all at least [K]
# a last channel that is no thermocouple, such as a set point, is met by sound readings of the one before it:
# a row tells only where one is off its own course by so many of its usual steps, of nearly all rows [%]
OWN_STEPS, NEARLY_ALL = 3.0, 95
SELDOM, OFF_COURSE, BETTER, LEAST_OFF = 0.5, {"temperature": 5.0, "pressure": 5e3}, 0.5, 0.5


def _ended_twice(log: CureLog) -> tuple[list[Fault], BoolArray]:
    """Rows that end in the same number twice, of which the last channel but one is off its own course, or all
    from some channel on fit the course of the channel to their right better; as :func:`moved_faults`."""
    out = np.zeros(len(log), np.bool_)
    twice = log.ends_twice
    if twice.size != len(log) or len(log.channels) < 3 or not twice.any() or twice.mean() > SELDOM:
        return [], out
    at, good = np.flatnonzero(twice), ~twice
    own = np.array([_course(log.times, c.values, good, at) for c in log.channels])
    read = np.array([c.values[at] for c in log.channels])
    warm = np.array([c.kind == "temperature" for c in log.channels])
    found: list[Fault] = []
    for a, b in runs(twice):
        rows = slice(*np.searchsorted(at, (a, b + 1)))
        if not _off_course(log, read[:, rows], own[:, rows], warm):
            continue
        out[a : b + 1] = True
        begin, until = float(log.times[a]), float(log.times[b])
        words = (
            f"{b - a + 1} rows, {length(until - begin)}, end in the same number twice, and their readings "
            "fit the channels to the left: a cell was left out before and the last one written again"
        )
        if len(found) < MOST_NAMED:
            found.append(fault(log, codes.MOVED, words, time=begin, until=until))
    return found, out


def _off_course(log: CureLog, read: FloatArray, own: FloatArray, warm: BoolArray) -> bool:
    """Whether a run of rows, read (channels, k) and as drawn across it, stands to the left of it; ``warm``:
    channels that are temperatures."""
    before, last = log.channels[-2:]
    stay, shift = np.abs(read - own), np.abs(read[:-1] - own[1:])
    if before.kind != last.kind:
        return bool(np.median(stay[-2]) > OFF_COURSE.get(before.kind, np.inf))
    pairs = np.flatnonzero(warm[:-1] & warm[1:])
    if warm[-1] and last.role is not ChannelRole.THERMOCOUPLE:
        usual = np.array([max(LEAST_OFF, OWN_STEPS * _steps(log.channels[k].values)) for k in pairs.tolist()])
        off = np.median(stay[pairs], axis=1) > usual
        if off[-1] or not off.any():
            return bool(off[-1])
        pairs = pairs[:-1]
    mine, next_to = np.mean(stay[pairs], axis=1), np.mean(shift[pairs], axis=1)
    fits = [float(mine[:j].sum() + next_to[j:].sum()) for j in range(len(pairs))]
    return bool(fits) and min(fits) <= BETTER * float(mine.sum()) and float(mine.sum()) >= LEAST_OFF


def _steps(values: FloatArray) -> float:
    """How far nearly all readings of a channel (n,) [its unit] lie from the middle of those beside them."""
    off = np.abs(values[1:-1] - 0.5 * (values[:-2] + values[2:]))
    off = off[np.isfinite(off)]
    return float(np.percentile(off, NEARLY_ALL, overwrite_input=True)) if off.size else 0.0


def _course(times: FloatArray, values: FloatArray, good: BoolArray, at: IntArray) -> FloatArray:
    """A channel (n,) [its unit] at some rows (k,) as drawn between rows that are ``good``."""
    known = good & np.isfinite(values)
    return np.interp(times[at], times[known], values[known]) if known.any() else np.full(at.size, np.nan)


def _moved(log: CureLog, beside: int, at: int, way: int, gap: float) -> bool:
    """Whether rows from ``at`` on, away from the whole row ``beside`` it, may stand to the left of it."""
    if not 0 <= beside < len(log) or abs(float(log.times[at] - log.times[beside])) > gap:
        return False
    before, here = _rows(log, beside, way, gap), _rows(log, at, -way, gap)[:MOVED_ROWS]
    short = np.array([c.values[here] for c in log.channels])
    cells, some = len(short), np.isfinite(short).any(axis=1)
    by = cells - 1 - int(np.flatnonzero(some)[-1]) if some.any() else cells
    warm = np.array([c.kind == "temperature" for c in log.channels])
    pairs = warm[:-by] & warm[by:] if by < cells else np.zeros(0, np.bool_)
    whole = np.array([_carried(log, c.values, before, here) for c in log.channels])
    stay = np.mean(np.abs(short[: pairs.size] - whole[: pairs.size]), axis=1)
    shift = np.mean(np.abs(short[: pairs.size] - whole[by:]), axis=1)
    pairs &= np.isfinite(stay) & np.isfinite(shift)
    # any cell may have been dropped: those to its right moved
    near = [
        float(np.sum(stay[j:], where=pairs[j:])) >= NEARER * float(np.sum(shift[j:], where=pairs[j:]))
        for j in np.flatnonzero(pairs).tolist()
    ]
    return any(near)


def _rows(log: CureLog, at: int, way: int, gap: float) -> IntArray:
    """A few rows from one on, away from the change (``way`` -1: before it), whole or short as it is."""
    rows = np.arange(at, at + BESIDE * way, way)
    rows = rows[(rows >= 0) & (rows < len(log))]
    ends = np.isfinite(log.channels[-1].values[rows])
    near = np.abs(np.diff(log.times[rows], prepend=log.times[at])) <= gap
    return rows[np.logical_and.accumulate((ends == ends[0]) & near)]


def _carried(log: CureLog, values: FloatArray, rows: IntArray, to: IntArray) -> FloatArray:
    """A channel carried on by a straight line from some rows to others (k,) [its unit]."""
    good = rows[np.isfinite(values[rows])]
    if not good.size:
        return np.full(to.size, np.nan)
    t, v = log.times[good] - log.times[good[0]], values[good]
    if np.ptp(t) == 0.0:
        return np.full(to.size, float(np.mean(v)))
    slope, level = np.polyfit(t, v, 1)
    return np.asarray(level + slope * (log.times[to] - log.times[good[0]]), np.float64)
