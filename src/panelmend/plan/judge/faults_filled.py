"""Rows that were filled with the readings of the row before: no thermocouple moves, then all do at once.

A program that exports more rows than were read, or that bridges a lost connection, carries the last reading
forward. Noise and drift move the last digits one channel after the other; if all of them stand still for
longer than chance allows, and then half of them or more change in one row, these rows were not measured. How
often last digits move is taken from the rows beside the stay. All figures are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from panelmend.plan.judge import codes
from panelmend.plan.judge.fault import BoolArray, Fault, fault, length, length_up, run_ends
from panelmend.plan.judge.faults_clock import gap_limit, gap_step
from panelmend.plan.judge.faults_frozen import is_coarse, others_of, still_rows
from panelmend.plan.judge.faults_reckoned import digit_of
from panelmend.plan.judge.log import CureLog, FloatArray, IntArray
from panelmend.plan.judge.pieces import pieces

CHANNELS = 3
BESIDE, ENOUGH = 20, 5  # rows with a change looked at on either side of a stay; fewer single ones count none
NEAREST, NEAR = 3, 0.7  # of them, those just before the stay: what comes to rest changes less and less there
SURPRISE = 20.0  # chance below exp(-20)
DIGITS = 3.0  # last digits, and
QUICKER, AFTER = 2.5, 5  # times as quick as the rows after it: a jump
AT_ONCE = 0.5  # of the channels change in the row that ends a stay
MOSTLY = 0.5  # of the rows: then the true step is that between the others
MOST_NAMED = 8
ROUNDS = 200
MOST_LOOKED = 5000  # rows that tell the last digit


@dataclass(frozen=True, eq=False)
class FilledRows:
    """``faults``; rows (n,) that repeat ``couples`` readings, and those that repeat ``everything``; the usual
    ``step`` [s] between the others, the log's own where no more than half of the rows are repeats."""

    faults: tuple[Fault, ...]
    couples: BoolArray
    everything: BoolArray
    step: float


def filled_faults(log: CureLog, temps: FloatArray, frozen: BoolArray) -> FilledRows:
    """Rows that were filled up.

    Args:
        log: in order.
        temps: thermocouples [K], shape (n, m).
        frozen: rows (n,) that are no evidence already.
    """
    none = np.zeros(len(log), np.bool_)
    nothing = FilledRows((), none, none, log.usual_step)
    whole = [np.isfinite(c).mean() > 0.5 for c in temps.T] if len(log) else []
    if sum(whole) < CHANNELS or len(log) < 2 * BESIDE:
        return nothing
    read = temps if all(whole) else temps[:, whole]
    still = still_rows(read)
    begins, ends = run_ends(still)
    inside = ends + 1 < len(log)
    begins, ends = begins[inside], ends[inside]
    hidden = log.times[ends + 1] - log.times[begins - 1]
    some = (hidden > gap_step(log)) & ~frozen[ends]
    if not some.any():
        return nothing
    begins, ends = begins[some], ends[some]
    told = _jumped(log, read, begins, ends)
    if not is_coarse(read):
        told |= _no_chance(read, still, begins, ends)
    if not told.any():
        return nothing
    out = np.zeros(len(log), np.bool_)
    for a, b in zip(begins[told].tolist(), ends[told].tolist(), strict=True):
        out[a : b + 1] = True
    others = others_of(log)
    everything = out & still_rows(others) if others.shape[1] else out
    left = log.times[~out]
    step = float(np.median(np.diff(left))) if out.mean() > MOSTLY else log.usual_step
    return FilledRows(tuple(_said(log, begins[told], ends[told], step)), out, everything, step)


def _no_chance(temps: FloatArray, still: BoolArray, begins: IntArray, ends: IntArray) -> BoolArray:
    """Which stays, from and to rows (k,) [1], no chance explains; shape (k,)."""
    changed, read = _changes(temps)
    rows = np.flatnonzero(~still & (read > 0))
    at = np.searchsorted(rows, ends + 1)
    ending = np.zeros(len(temps), np.bool_)
    ending[ends + 1] = True  # what moved during a stay changes there as well
    single = ~ending[rows]
    before = at - BESIDE, at
    after = at + 1, at + 1 + BESIDE
    alone = np.minimum(_sum(single, *before), _sum(single, *after)) >= ENOUGH
    share = np.full(at.size, np.inf)
    for side in (before, after):
        of_all = _sum(changed[rows], *side) / np.maximum(1, _sum(read[rows], *side))
        of_single = _sum(changed[rows] * single, *side) / np.maximum(1, _sum(read[rows] * single, *side))
        share = np.minimum(share, np.where(alone, of_single, of_all))
    near = _sum(changed[rows], at - NEAREST, at) / np.maximum(1, _sum(read[rows], at - NEAREST, at))
    channels = read[ends]
    chance = share
    for _ in range(ROUNDS):  # of one channel, where rows in which none changes are not seen
        chance = share * (1.0 - (1.0 - chance) ** channels)
    surprise = -(ends - begins + 1) * channels * np.log1p(-np.minimum(chance, 1.0 - 1e-6))
    at_once = changed[ends + 1] >= AT_ONCE * read[ends + 1]
    return np.asarray((surprise >= SURPRISE) & at_once & (near >= NEAR * share), np.bool_)


def _sum(values: IntArray | BoolArray, begin: IntArray, end: IntArray) -> IntArray:
    """Sums of values (n,) from places to places (k,) [1], the last left out."""
    sums = np.concatenate([[0], np.cumsum(values)])
    low, high = np.clip(begin, 0, values.size), np.clip(end, 0, values.size)
    return np.asarray(sums[high] - sums[low], np.int64)


def _jumped(log: CureLog, temps: FloatArray, begins: IntArray, ends: IntArray) -> BoolArray:
    """Which stays (k,) end in a jump.

    Every channel moves the same way by three last digits and more in one row, and far quicker than the rows
    after it go on.
    """
    some = temps[:: max(1, len(temps) // MOST_LOOKED)]
    digits = np.array([digit_of(c[np.isfinite(c)]) for c in some.T])
    last = np.minimum(ends + 1 + AFTER, len(log) - 1)
    moved = temps[ends + 1] - temps[begins - 1]
    onward = (temps[last] - temps[ends + 1]) / np.maximum(1e-9, log.times[last] - log.times[ends + 1])[
        :, None
    ]
    step = (log.times[ends + 1] - log.times[ends])[:, None]
    far = (np.abs(moved) >= DIGITS * digits) & (np.sign(moved) == np.sign(moved[:, :1]))
    quick = np.abs(moved) >= QUICKER * np.abs(onward) * step
    return np.asarray((far & quick).all(axis=1) & (last > ends + 1), np.bool_)


def _changes(temps: FloatArray) -> tuple[IntArray, IntArray]:
    """How many channels differ from the row before, and how many were read in both; each (n,) [1]."""
    changed, read = np.zeros(len(temps), np.int64), np.zeros(len(temps), np.int64)
    for part in pieces(1, len(temps)):
        for column in temps.T:
            now, before = column[part], column[part.start - 1 : part.stop - 1]
            both = np.isfinite(now) & np.isfinite(before)
            read[part] += both
            changed[part] += both & (now != before)
    return changed, read


def _said(log: CureLog, begins: IntArray, ends: IntArray, step: float) -> Iterator[Fault]:
    """The stretches that leave a hole, and in one note all shorter ones."""
    hidden = log.times[ends + 1] - log.times[begins - 1]
    long = hidden > gap_limit(log, step)
    for a, b in list(zip(begins[long].tolist(), ends[long].tolist(), strict=True))[:MOST_NAMED]:
        begin, until = float(log.times[a - 1]), float(log.times[b + 1])
        words = f"{b - a + 1} rows repeat every thermocouple of the one before for {length(until - begin)}"
        yield fault(log, codes.FILLED, words + ", then all move at once", time=begin, until=until)
    if long.sum() > MOST_NAMED:
        words = f"{long.sum() - MOST_NAMED} further stretches"
        yield fault(log, codes.FILLED, words, time=float(log.times[begins[long][MOST_NAMED] - 1]))
    if not long.all():
        rows = int((ends - begins + 1)[~long].sum())
        words = (
            f"{rows} rows in {(~long).sum()} stretches repeat every thermocouple of the one before; "
            f"readings come up to {length_up(float(hidden[~long].max()))} apart"
        )
        yield fault(log, codes.REPEATS, words, time=float(log.times[begins[~long][0] - 1]))
