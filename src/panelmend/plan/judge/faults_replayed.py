"""Stretches of readings that occur twice: a buffer sent again under new times, or readings copied over
others.

Noise does not repeat itself: if a dozen rows of at least three thermocouples agree to the last digit with a
dozen others, while they change from row to row, they were not measured the second time.
"""

from __future__ import annotations

import numpy as np

from panelmend.plan.judge import codes
from panelmend.plan.judge.fault import BoolArray, Fault, fault, length, runs
from panelmend.plan.judge.faults_frozen import is_coarse
from panelmend.plan.judge.log import CureLog, FloatArray
from panelmend.plan.judge.pieces import pieces

Numbers = np.ndarray[tuple[int], np.dtype[np.uint64]]

ROWS = 12
CHANGES = 24  # readings that differ from the row before, in such a stretch
CHANNELS = 3
MOST_NAMED = 4


def replayed_faults(log: CureLog, temps: FloatArray) -> tuple[list[Fault], BoolArray]:
    """Stretches of all thermocouples, shape (n, m) [K], that repeat an earlier one.

    Returns:
        The findings, and the samples (n,) inside the repeats.
    """
    out = np.zeros(len(log), np.bool_)
    half = [np.isfinite(c).mean() > 0.5 for c in temps.T] if len(log) else []
    whole = temps if all(half) else temps[:, half]
    if len(log) < 2 * ROWS or whole.shape[1] < CHANNELS or is_coarse(whole):
        return [], out
    first = _first_of(whole)
    if first is None:
        return [], out
    again = first < np.arange(first.size) - ROWS + 1
    for a, b in runs(again) if again.any() else ():
        out[a : b + ROWS] = True
    found = []
    for a, b in list(runs(out))[:MOST_NAMED]:
        begin, end = float(log.times[a]), float(log.times[b])
        earlier = log.clock(float(log.times[first[a]]))
        words = f"{length(end - begin)} of readings are those from {earlier} on, to the last digit"
        found.append(fault(log, codes.REPLAYED, words, time=begin, until=end))
    return found, out


def _first_of(temps: FloatArray) -> np.ndarray[tuple[int], np.dtype[np.int64]] | None:
    """For each stretch of :data:`ROWS` rows where the same first stood; itself where too little changes; None
    where no stretch comes twice."""
    row = np.zeros(len(temps), np.uint64)
    for column in temps.T:
        there = column if np.isfinite(np.sum(column)) else np.nan_to_num(column, nan=-1.0)
        row ^= np.ascontiguousarray(there).view(np.uint64)
        stir(row)
    count = len(row) - ROWS + 1
    two = _joined(row, row, 1)  # of 2, 4, 8 and 12 rows
    four = _joined(two, two, 2)
    stretch = _joined(_joined(four.copy(), four, 4), four, 8)[:count]
    del row, two, four
    ordered = np.sort(stretch)
    if not (ordered[1:] == ordered[:-1]).any():
        return None
    del ordered
    moved = np.concatenate([[0], np.cumsum(_changes(temps))])
    lively = moved[ROWS - 1 :] - moved[:count] >= CHANGES
    _, first, inverse = np.unique(stretch, return_index=True, return_inverse=True)
    return np.where(lively, first[inverse], np.arange(count))


def _changes(temps: FloatArray) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    """How many thermocouples (n, m) [K] differ in each row but the first from their own reading before it:
    cells without one, which are alike wherever they stand, repeat nothing."""
    if np.isfinite(np.sum(temps)):
        return np.asarray((temps[1:] != temps[:-1]).sum(axis=1), np.int64)
    out = np.zeros(len(temps), np.int64)
    for column in temps.T:
        read = np.flatnonzero(np.isfinite(column))
        out[read[1:][column[read[1:]] != column[read[:-1]]]] += 1
    return out[1:]


def _joined(mine: Numbers, other: Numbers, later: int) -> Numbers:
    """Each of whole numbers (n,) [1] stirred together with another that stands later, in the memory of the
    first; shorter by as many."""
    count = min(mine.size, other.size - later)
    for part in pieces(0, count):
        x = mine[part].copy()
        stir(x)
        x ^= other[part.start + later : part.stop + later]
        mine[part] = x
    return mine[:count]


def stir(numbers: Numbers) -> None:
    """Stir the bits of whole numbers (n,) [1] in their place (Steele, Lea and Flood 2014, SplitMix)."""
    for part in pieces(0, numbers.size):
        x = numbers[part]
        x ^= x >> np.uint64(30)
        x *= np.uint64(0xBF58476D1CE4E5B9)
        x ^= x >> np.uint64(27)
        x *= np.uint64(0x94D049BB133111EB)
        x ^= x >> np.uint64(31)
