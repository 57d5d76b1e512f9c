"""Spans in which nothing moved although physics says it must: no evidence, whatever they read.

Four signs, each for the thermocouples together and for all that is measured together:

- in the rest of the steady hot time some channel changed so often that the stay is no chance;
- ten minutes of readings finer than half a kelvin, in a log with too few other steady hot samples to show
  that such a stay is usual; a coarser last digit can stand for as long under a good controller, which is
  printed as the longest stay and not held against the log;
- the readings before and after the stay differ by more than a stay can hide;
- half an hour without the last digit of any channel changing while the part was hot (a controller that holds
  heat makes something move; common practice, no source).
"""

from __future__ import annotations

import math

import numpy as np

from panelmend.plan.judge import codes
from panelmend.plan.judge.fault import BoolArray, Fault, fault, length, run_ends, runs
from panelmend.plan.judge.faults_clock import any_finite
from panelmend.plan.judge.faults_sensor import mean_of_rows
from panelmend.plan.judge.log import ChannelRole, CureLog, FloatArray, matrix
from panelmend.plan.judge.said import show

SHORTEST = 180.0  # s
FEWEST = 6  # steps
SURPRISE = 12.0  # changes that should have been seen: chance below exp(-12)
JUMP = 3.0  # K hidden by a stay
LONGEST = 1800.0  # s
WARM = 10.0  # K above the first readings
UNTOLD = 600.0  # s: a stay this long with nothing in the log to compare it with
COARSE = (0.5, 5 / 9)  # K: a last digit of half a kelvin or of a degree F (common practice, no source)
SWING = 2.0  # K: two whole degrees, as one flickers on a slow way too
STOOD_LONG = (
    900.0  # s: a stay of all that was let pass and is said with the verdict (common practice, no source)
)
OF_ONE = 300.0  # s: a stay of one thermocouple that is printed
MOST_ROWS = 10_000
MOST_NAMED = 8
MOST_LOOKED = 2000
TOGETHER = 1 << 16  # samples looked at together


def longest_stay(log: CureLog, temps: FloatArray) -> float:
    """The longest stay of all thermocouples while hot [s] in readings ``temps`` [K] that count, 0 for none: a
    logger that stops for as long cannot be distinguished from it."""
    read = any_finite(temps)
    if temps.shape[1] == 0 or len(log) < FEWEST + 2 or not read.any():
        return 0.0
    at = int(np.argmax(read))
    first = mean_of_rows(temps[at : at + 1])[0]
    begins, ends = run_ends(still_rows(temps))
    hot = mean_of_rows(temps[ends]) > first + WARM
    return float(np.max((log.times[ends] - log.times[begins - 1])[hot], initial=0.0))


def stays_of_each(log: CureLog, names: tuple[str, ...], temps: FloatArray) -> tuple[tuple[str, float], ...]:
    """The longest stay of each thermocouple while hot [s] in readings ``temps`` [K], shape (n, m), that
    count, where it is five minutes or more; of long logs as some of their rows show it, which makes none
    shorter."""
    rows = slice(None, None, max(1, len(log) // MOST_ROWS))
    few = CureLog(log.times[rows], (), lines=log.lines[rows])
    found = ((n, longest_stay(few, temps[rows, i : i + 1])) for i, n in enumerate(names))
    return tuple((n, span) for n, span in found if span >= OF_ONE)


def frozen_faults(log: CureLog, temps: FloatArray) -> tuple[list[Fault], BoolArray, BoolArray]:
    """Stays of all thermocouples, shape (n, m) [K].

    Returns:
        The findings; the samples (n,) inside such stays, all but the first of each, which was a reading; and
        those in which nothing else that is measured moved either.
    """
    out = np.zeros(len(log), np.bool_)
    if temps.shape[1] == 0 or len(log) < FEWEST + 2:
        return [], out, out
    still = still_rows(temps)
    others = others_of(log)
    all_still = still & still_rows(others) if others.shape[1] else still
    middle = mean_of_rows(temps)
    hot = middle > middle[0] + WARM if np.isfinite(middle[0]) else np.ones(len(log), np.bool_)
    coarse = is_coarse(temps)
    found: list[Fault] = []
    looked = [("no thermocouple", still)] + ([("nothing that is measured", all_still)] if others.size else [])
    for what, stays in looked:
        for a, b in runs(stays):
            first = a - 1
            told = out[first + 1 : b + 1].all()
            why = "" if told else _why(log, first, b, stays, all_still, middle, hot, coarse)
            if not why:
                continue
            out[first + 1 : b + 1] = True
            if len(found) < MOST_NAMED:
                begin, end = float(log.times[first]), float(log.times[b])
                words = f"{what} changed by its last digit for {length(end - begin)}: {why}"
                found.append(fault(log, codes.FROZEN, words, time=begin, until=end))
    return found, out, out & all_still


def others_of(log: CureLog) -> FloatArray:
    """What else is measured, vacuum, power and air, (n, k) [as in the log]."""
    roles = (ChannelRole.VACUUM, ChannelRole.POWER, ChannelRole.AIR)
    return matrix(tuple(c for c in log.channels if c.role in roles), len(log))


def still_rows(table: FloatArray) -> BoolArray:
    """Samples (n,) at which no channel of a table (n, m) [any unit] differs from the sample before, and at
    least one was read."""
    out = np.zeros(len(table), np.bool_)
    for begin in range(1, len(table), TOGETHER):
        left = np.arange(begin, min(begin + TOGETHER, len(table)))
        read = np.zeros(left.size, np.bool_)
        for column in table.T:  # each leaves fewer samples to look at
            now, before = column[left], column[left - 1]
            same = now == before
            unread = np.isnan(now) | np.isnan(before)
            keep = same | unread
            read = (read | same)[keep]
            left = left[keep]
        out[left[read]] = True
    return out


def is_coarse(temps: FloatArray) -> bool:
    """Every channel is written in whole or half kelvins or whole degrees F; ``temps`` (n, m) [K]."""
    for column in temps.T:
        seen = column[np.isfinite(column)]
        if not seen.size:
            continue
        some = seen[:: max(1, seen.size // MOST_LOOKED)]
        if not any(
            np.mean(np.abs(x - np.round(x)) < 0.01) > 0.9 for x in ((some - seen[0]) / d for d in COARSE)
        ):
            return False
        steps = ((seen - seen[0]) / d for d in COARSE)
        if not any(np.mean(np.abs(x - np.round(x)) < 0.01) > 0.99 for x in steps):
            return False
    return True


def _steady(times: FloatArray, middle: FloatArray, coarse: bool = False) -> BoolArray:
    """Samples at which the middle moves by less than 1.5 K in two minutes, shape (n,); of readings with a
    coarse last digit by less than that digit in ten minutes as well: on a slow way up or down every one of
    them changes now and then, which says nothing of a part that stands. One that swings, 2 K and more wider
    within these ten minutes than from their begin to their end (common practice, no source), is on no way."""
    good = np.isfinite(middle)
    if good.sum() < 2:
        return np.zeros(middle.size, np.bool_)

    def beside(seconds: float) -> FloatArray:
        return np.asarray(np.interp(times + seconds, times[good], middle[good]))

    out = np.asarray(np.abs(beside(60.0) - beside(-60.0)) < 1.5)
    if coarse and out.any():
        around = [beside(60.0 * k) for k in range(-5, 6)]
        net = np.abs(around[-1] - around[0])
        wide = np.max(around, axis=0) - np.min(around, axis=0)
        out &= (net < COARSE[0]) | (wide - net >= SWING - 1e-6)
    return out


def _why(
    log: CureLog,
    first: int,
    last: int,
    still: BoolArray,
    all_still: BoolArray,
    middle: FloatArray,
    hot: BoolArray,
    coarse: bool,
) -> str:
    """Why a stay is no evidence, "" for one that may be real."""
    span, steps = float(log.times[last] - log.times[first]), last - first
    if span < SHORTEST or steps < FEWEST or not (hot[first] or hot[last]):
        return ""
    near = np.abs(middle - middle[first]) <= 5.0
    near[first + 1 : last + 1] = False
    steady = _steady(log.times, middle, coarse)
    steady[first + 1 : last + 1] = False
    steady[0] = False
    level = np.flatnonzero(near & hot & steady)
    changed = int(np.count_nonzero(~still[level]))
    share = changed / max(1, level.size)
    surprise = min(share * steps, _surprise(changed, level.size - changed, steps))
    others = [e - b + 1 for b, e in runs(still) if (e < first or b > last) and near[b]]
    alone = steps >= 3 * max(others, default=1) and surprise >= SURPRISE / 2
    if surprise >= SURPRISE or alone:
        return f"elsewhere as hot and as steady they change in {100 * share:.0f} % of {level.size} samples"
    if last + 1 < len(middle) and np.isfinite(middle[last + 1]):
        jumped = float(middle[last + 1] - middle[first])
        beside = np.abs(np.diff(middle[max(0, first - 30) : first + 1]))
        beside = beside[np.isfinite(beside)]  # where readings are missing beside it, none may be left
        usual = float(np.median(beside)) if beside.size else 0.0
        into = abs(float(middle[first] - middle[first - 1])) if first else 0.0  # a stay begins where it was
        if abs(jumped) > max(JUMP, 6.0 * usual) and into < 0.5 * abs(jumped):
            return f"then they jump by {show(jumped, 'temperature difference', decimals=1)}"
    if span >= LONGEST and all_still[first + 1 : last + 1].all():
        return "nor did anything else that is measured"
    if not coarse and span >= UNTOLD and _surprise(level.size, 0, steps) < SURPRISE / 2:
        return f"only {level.size} other hot and steady samples, too few to show that this is usual"
    return ""


def _surprise(changed: int, stayed: int, steps: int) -> float:
    """Minus the logarithm of the chance that ``steps`` further samples all stay, after ``changed`` and
    ``stayed`` were seen and nothing was known before (Laplace's rule of succession)."""
    before = math.lgamma(stayed + 1) - math.lgamma(changed + stayed + 2)
    after = math.lgamma(stayed + steps + 1) - math.lgamma(changed + stayed + steps + 2)
    return before - after
