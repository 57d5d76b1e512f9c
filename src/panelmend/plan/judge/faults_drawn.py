"""Rows that lie on straight lines drawn between two readings: no noise is left in any thermocouple.

A spreadsheet that fills a gap draws a line from the reading before to the one after. Rounded to the last
digit, every row then lies within one of that line (the ends are rounded too), in all thermocouples at once.
How often single rows do so by chance is taken from the rest of the log: if noise does not show above the last
digit, nothing can be detected. All figures are common practice, no source.
"""

from __future__ import annotations

from functools import cache

import numpy as np

from panelmend.plan.judge import codes
from panelmend.plan.judge.fault import BoolArray, Fault, fault, length, runs
from panelmend.plan.judge.faults_clock import gap_limit
from panelmend.plan.judge.faults_reckoned import digit_of
from panelmend.plan.judge.log import CureLog, FloatArray
from panelmend.plan.judge.pieces import pieces

CHANNELS, ROWS = 3, 60  # thermocouples and rows of the log
LEAST = 6  # rows on the line
SURPRISE = 20.0  # chance below exp(-20); every third row tells, as each is compared with its neighbours
ENDS = 3  # rows at either end that may be straight by chance
WARM = 10.0  # K above the first readings
TURN = 1e-6  # K of floating arithmetic only
MOST_NAMED = 4
MOST_LOOKED = 5000  # rows that tell the last digit


def drawn_faults(log: CureLog, temps: FloatArray, spoilt: BoolArray) -> tuple[list[Fault], BoolArray]:
    """Rows on straight lines.

    Args:
        log: in order.
        temps: thermocouples [K], shape (n, m).
        spoilt: rows (n,) that are no evidence already.

    Returns:
        Faults, and the rows (n,) between the two readings.
    """
    out = np.zeros(len(log), np.bool_)
    read = [c for c in temps.T if len(c) and np.isfinite(c).mean() > 0.9]
    if len(read) < CHANNELS or len(log) < ROWS:
        return [], out
    somes = [c[:: max(1, c.size // MOST_LOOKED)] for c in read]
    digits = [digit_of(c[np.isfinite(c)]) for c in somes]
    straight = [straight_rows(log.times, c, d) for c, d in zip(read, digits, strict=True)]
    whole = np.logical_and.reduce(straight) & ~spoilt
    limit = gap_limit(log)
    found: list[Fault] = []
    long = [
        (a, b)
        for a, b in runs(whole)
        if b - a + 1 >= LEAST and log.times[min(b + 1, len(log) - 1)] - log.times[a - 1] > limit
    ]
    if not long:
        return [], out
    rest = ~spoilt
    for a, b in long:
        rest[a : b + 1] = False
    share = np.array([s[rest].mean() for s in straight]) if rest.sum() >= ROWS else np.ones(len(read))
    rarity = -float(np.log(np.clip(share, 1e-3, 1.0)).sum())
    for a, b in long:
        line = line_between(log.times, read, digits, a - 1, b + 1)
        if line is None or (line[1] - line[0] - 1) / 3.0 * rarity < SURPRISE:
            continue
        begin, until = (float(log.times[k]) for k in line)
        one_way = all(goes_one_way(c[line[0] + ENDS : line[1] + 1 - ENDS]) for c in read)
        if until - begin <= limit or not one_way or not _warm(read, *line):
            continue
        out[line[0] + 1 : line[1]] = True
        if len(found) < MOST_NAMED:
            words = f"all {len(read)} lie on straight lines for {length(until - begin)}, without any noise"
            found.append(fault(log, codes.DRAWN, words, time=begin, until=until))
    return found, out


def straight_rows(times: FloatArray, values: FloatArray, digit: float) -> BoolArray:
    """Rows (n,) that lie within a last digit [K] of the line between their neighbours."""
    out = np.zeros(values.size, np.bool_)
    for part in pieces(1, values.size - 1):
        before, after = slice(part.start - 1, part.stop - 1), slice(part.start + 1, part.stop + 1)
        wide = np.maximum(times[after] - times[before], 1e-9)
        share = (times[part] - times[before]) / wide
        between = values[before] + (values[after] - values[before]) * share
        with np.errstate(invalid="ignore"):
            out[part] = np.abs(values[part] - between) <= 1.001 * digit
    return out


def goes_one_way(values: FloatArray) -> bool:
    """Whether values (n,) [any unit] nowhere reverse: a line does not, however coarsely it is rounded; noise
    in whole digits, which also keeps within one of a line, does."""
    steps = np.diff(values)
    return bool((steps >= -TURN).all() or (steps <= TURN).all())


def _warm(read: list[FloatArray], first: int, last: int) -> bool:
    """In a part at shop temperature no digit moves: the test applies only above the first readings."""
    begun = [float(c[np.isfinite(c)][0]) for c in read]
    return any(
        float(np.nanmedian([c[k] for c in read])) > float(np.median(begun)) + WARM for k in (first, last)
    )


def line_between(
    times: FloatArray, read: list[FloatArray], digits: list[float], first: int, last: int, most: int = ENDS
) -> tuple[int, int] | None:
    """The two rows between which every channel (n,) [K] keeps to one line over ``times`` [s] within a last
    digit [K], up to ``most`` rows cut off at either end; None for none."""
    column, off = 0, -1  # where the line before was left: the next is mostly left there too
    for i, k in _cuts(most):
        a, b = first + i, min(last, len(times) - 1) - k
        if b - a <= LEAST or times[b] <= times[a]:
            continue
        if a < off < b and not _row_within(times, read[column], digits[column], (a, b), off):
            continue
        for n, (c, d) in enumerate(zip(read, digits, strict=True)):
            within = _within(times, c, d, (a, b), slice(a, b + 1))
            if not within.all():
                column, off = n, a + int(np.argmin(within))
                break
        else:
            return a, b
    return None


@cache
def _cuts(most: int) -> tuple[tuple[int, int], ...]:
    """How many rows are cut off at the beginning and at the end, fewest in all first."""
    return tuple(
        (i, k) for _, i, k in sorted((i + k, i, k) for i in range(most + 1) for k in range(most + 1))
    )


def _row_within(times: FloatArray, values: FloatArray, digit: float, ends: tuple[int, int], row: int) -> bool:
    """What :func:`_within` says of one row, in plain numbers: asked of most cuts, and quicker than arrays."""
    a, b = ends
    begin, start = times.item(a), values.item(a)
    share = (times.item(row) - begin) / (times.item(b) - begin)
    return bool(abs(values.item(row) - (start + share * (values.item(b) - start))) <= 1.02 * digit)


def _within(
    times: FloatArray, values: FloatArray, digit: float, ends: tuple[int, int], rows: slice
) -> BoolArray:
    """Which of some rows (k,) keep within a last digit [K] to the line between two rows of values (n,) [K]
    over ``times`` (n,) [s]."""
    a, b = ends
    share = (times[rows] - times[a]) / (times[b] - times[a])
    return np.asarray(np.abs(values[rows] - (values[a] + share * (values[b] - values[a]))) <= 1.02 * digit)
