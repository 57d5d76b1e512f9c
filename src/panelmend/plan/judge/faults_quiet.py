"""One thermocouple without its noise while it shows some before and after: stuck, or interpolated.

A frozen input, or a gap in one column that somebody filled, shows one value or a straight line where the
place may have gone cold or hot. A stay or a line is reported if the noise of the rows on both sides,
underestimated on purpose, rules out chance, and only while most of the others keep their noise. A suspicion:
the readings stay in the judgement. All figures are common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from panelmend.plan.judge import codes
from panelmend.plan.judge.fault import BoolArray, Fault, fault, length, run_ends
from panelmend.plan.judge.faults_drawn import line_between, straight_rows
from panelmend.plan.judge.faults_reckoned import digit_of
from panelmend.plan.judge.log import CureLog, FloatArray
from panelmend.plan.judge.said import show

SPAN = 300.0  # s, as for a value that stays the same while the others move
LEAST = 6  # rows
BESIDE = 60  # rows on either side that tell the noise
FEWEST = 12  # of them: fewer tell none
SHARE = 0.9  # of that noise is counted
# last digits of noise, before that: less leaves stays by chance, as it hangs on where between two marks the
# place stands
STAY_DIGITS, LINE_DIGITS = 0.7, 1.0
# chance below exp(-10) of a stay, exp(-16) of a line; a stay of fewer rows than that takes goes unseen: a
# reading a minute, 20 with noise of a last digit, 15 with one and a half
STAY_SURPRISE, LINE_SURPRISE = 10.0, 16.0
CUTS = 12  # rows at either end that may be straight by chance
LONGER = 3.0  # times as long as any other stay near it
OTHERS = 0.5  # of their noise is left in at least half of the others
WARM = 10.0  # K above the first reading


def quiet_faults(log: CureLog, name: str, values: FloatArray, others: FloatArray) -> list[Fault]:
    """The longest stay, else line, of one thermocouple (n,) [K] that chance does not explain; ``others`` (n,
    m) [K]."""
    read = values[np.isfinite(values)]
    digit = digit_of(read) if read.size >= 2 * FEWEST and others.shape[1] else 0.0
    if not digit > 0:
        return []
    for stays in (True, False):
        for first, last in _long(log.times, values, digit, stays=stays):
            cold = max(values[first], values[last]) < read[0] + WARM
            if cold or not no_chance(values, digit, first, last, stays=stays):
                continue
            if not _go_on(others, first, last):
                continue
            begin, until = float(log.times[first]), float(log.times[last])
            code = codes.STUCK if stays else codes.DRAWN
            where = (
                f"at {show(float(values[first]), 'temperature', decimals=1)}" if stays else f"{name} alone"
            )
            words = (
                f"{where} for {length(until - begin)}, with noise before and after that the others go on with"
            )
            return [fault(log, code, words, channel=name, time=begin, until=until, doubt=True)]
    return []


def _long(times: FloatArray, values: FloatArray, digit: float, *, stays: bool) -> Iterator[tuple[int, int]]:
    """First and last row of each stay, or line, of five minutes and more, the longest first; a stay only
    where it is three times as long as any other near it."""
    mask = _same(values) if stays else straight_rows(times, values, digit)
    begins, ends = run_ends(mask)
    firsts = begins - 1
    rows = ends - firsts
    long = np.flatnonzero((rows >= LEAST) & (times[ends] - times[firsts] >= SPAN))
    for k in long[np.argsort(-rows[long], kind="stable")].tolist():
        first, last = int(firsts[k]), int(ends[k])
        if stays:
            near = (firsts >= first - BESIDE) & (ends <= last + BESIDE) & (np.arange(ends.size) != k)
            if rows[k] >= LONGER * np.max(rows[near], initial=0):
                yield first, last
            continue
        line = line_between(times, [values], [digit], first, last + 1, CUTS)
        if line is not None and times[line[1]] - times[line[0]] >= SPAN:
            yield line


def _same(values: FloatArray) -> BoolArray:
    return np.concatenate([[False], np.diff(values) == 0])


def no_chance(values: FloatArray, digit: float, first: int, last: int, *, stays: bool) -> bool:
    """Whether the noise before and after makes so long a stay, or line within a last ``digit``, too rare for
    chance; ``values`` (n,) and ``digit`` [K], rows ``first`` to ``last``."""
    noise = _noise_beside(values, first, last) / digit
    if noise < (STAY_DIGITS if stays else LINE_DIGITS):
        return False
    chance = math.erf((0.5 if stays else 1.0) / (SHARE * noise * math.sqrt(2.0)))
    return (last - first) * -math.log(chance) >= (STAY_SURPRISE if stays else LINE_SURPRISE)


def _noise_beside(values: FloatArray, first: int, last: int) -> float:
    """The smaller noise [K] of the rows before and behind a stay in values (n,) [K]; 0 where neither has
    enough rows."""
    sides = (values[max(0, first - BESIDE) : first], values[last + 1 : last + 1 + BESIDE])
    return min((_noise(s) for s in sides if np.isfinite(s).sum() >= FEWEST), default=0.0)


def _noise(values: FloatArray) -> float:
    """Noise [K] from the mean of the second differences of few rows (n,) [K], which last digits step less
    than their median."""
    seen = values[np.isfinite(values)]
    if seen.size < LEAST:
        return 0.0
    bend = np.diff(seen, 2)
    return float(np.mean(np.abs(bend - np.median(bend))) * math.sqrt(math.pi / 2.0) / math.sqrt(6.0))


def keeps_noise(values: FloatArray, first: int, last: int) -> bool:
    """Readings (n,) [K] have half of the noise beside rows ``first`` to ``last`` in them too."""
    beside = max(_noise_beside(values, first, last), 1e-9)
    return _noise(values[first : last + 1]) >= OTHERS * beside


def _go_on(others: FloatArray, first: int, last: int) -> bool:
    """Whether half of the others (n, m) [K] keep their noise meanwhile: a log that is quiet as a whole is not
    one thermocouple's fault."""
    keep = [keeps_noise(c, first, last) for c in others.T]
    return 2 * sum(keep) >= len(keep)
