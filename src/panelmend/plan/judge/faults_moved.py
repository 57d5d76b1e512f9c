"""Rows whose readings stand one column too far to the left.

A program that leaves a missing cell out makes a row short, which the reader sets aside; one that fills the
row up again at its end (a spreadsheet does) makes a whole row of readings that stand under the wrong names.
"""

from __future__ import annotations

import numpy as np

from panelmend.plan.judge import codes
from panelmend.plan.judge.fault import BoolArray, Fault, fault, length, runs
from panelmend.plan.judge.log import CureLog, FloatArray, IntArray

# common practice, no source, all: a channel that is read less often than this is no last cell that went
# missing; whole rows that are carried on, and rows without their last cell that are held against them; a
# row stands where it should when its readings lie so much nearer to the own course than to the neighbours'
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
    out = np.zeros(len(log), np.bool_)
    if len(log.channels) < 3 or not len(log):
        return [], out
    last = np.isfinite(log.channels[-1].values)
    if last.all() or last.mean() < USUALLY:
        return [], out
    found: list[Fault] = []
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
    # the cell that was left out may be any: those to its right moved
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
