"""Several thermocouples, not all, that stop and go on in the same rows: an input card that hung.

Beside them others go on, so that the log as a whole moves; and most neighbours of each that stopped may have
stopped too. That two and more stay to the last digit from one row to another, and no row longer, is told
where the noise of two of them beside the stay makes it no chance, or where those that go on moved meanwhile.
What was not read is unknown: the readings are taken out, and no sensor counts as lost. All figures are common
practice, no source.
"""

from __future__ import annotations

import numpy as np

from panelmend.plan.judge import codes
from panelmend.plan.judge.fault import BoolArray, Fault, fault, length, run_ends, runs
from panelmend.plan.judge.faults_quiet import WARM, no_chance
from panelmend.plan.judge.faults_reckoned import digit_of
from panelmend.plan.judge.faults_sensor import median_of, moved_meanwhile
from panelmend.plan.judge.log import CureLog, FloatArray

SPAN = 300.0  # s, as for one alone
LEAST = 8  # rows
FEWEST = 2  # thermocouples
EDGE = 3  # rows by which a stay may seem longer, as some readings repeat by chance
ROWS_MOVED = 20  # rows of a stay that is told by how far the others moved, as for one alone
MOVED = 5.0  # K
TELLS = 24  # readings of a channel that tell its last digit


def together_faults(log: CureLog, names: tuple[str, ...], temps: FloatArray) -> list[Fault]:
    """Stays of two thermocouples and more, not of all that read, in ``temps`` (n, m) [K]: one finding for
    each thermocouple and stay, over what is no evidence: all but the first reading, which was one."""
    found: list[Fault] = []
    if temps.shape[1] <= FEWEST or len(log) < LEAST:
        return found
    same = _same_rows(temps)
    starts, stops = run_ends(same.sum(axis=1) >= FEWEST)
    long = (stops - starts + 1 >= LEAST) & (log.times[stops] - log.times[starts - 1] >= SPAN)
    for start, stop in zip(starts[long].tolist(), stops[long].tolist(), strict=True):
        for first, last, columns in _groups(log.times, same, start, stop):
            who = _sure(log.times, temps, columns, first, last)
            begin, until = float(log.times[first + 1]), float(log.times[last])
            span = length(until - float(log.times[first]))
            words = (
                f"{', '.join(names[i] for i in who)} stood at one value each, {span}, while others went on"
            )
            found += [
                fault(
                    log,
                    codes.STOOD_TOGETHER,
                    f"{names[i]}: {words}",
                    channel=names[i],
                    time=begin,
                    until=until,
                    lost=True,
                    sensor_lost=False,
                )
                for i in who
            ]
    return found


def _same_rows(temps: FloatArray) -> BoolArray:
    """Samples (n, m) that show what the one before showed, of ``temps`` (n, m) [K]."""
    out = np.zeros(temps.shape, np.bool_, order="F")
    for i, column in enumerate(temps.T):
        out[1:, i] = column[1:] == column[:-1]
    return out


def _groups(times: FloatArray, same: BoolArray, start: int, stop: int) -> list[tuple[int, int, list[int]]]:
    """First and last row of each stay within rows ``start`` to ``stop``, and the columns that share it."""
    low, high = max(0, start - EDGE - 1), min(len(times), stop + EDGE + 2)
    stays: list[tuple[int, int, int]] = []
    for i in range(same.shape[1]):
        for a, b in runs(same[low:high, i]):
            first, last = low + a - 1, low + b
            if last - first >= LEAST and times[last] - times[first] >= SPAN:
                stays.append((first, last, i))
    out: list[tuple[int, int, list[int]]] = []
    while stays:
        one = max(stays, key=lambda s: s[1] - s[0])
        alike = [s for s in stays if abs(s[0] - one[0]) <= EDGE and abs(s[1] - one[1]) <= EDGE]
        stays = [s for s in stays if s not in alike]
        if len(alike) >= FEWEST:
            out.append((max(s[0] for s in alike), min(s[1] for s in alike), sorted(s[2] for s in alike)))
    return out


def _sure(times: FloatArray, temps: FloatArray, columns: list[int], first: int, last: int) -> list[int]:
    """``columns`` where no chance keeps them still from row ``first`` to ``last``; none where nothing else
    goes on or all of them were cold."""
    inner = slice(first, last + 1)
    rest = [i for i in range(temps.shape[1]) if i not in columns and _goes_on(temps[inner, i])]
    if not rest or not any(_warm(temps[:, i], first) for i in columns):
        return []
    span = float(times[last] - times[first])
    moved = moved_meanwhile(times[inner], median_of(temps[inner][:, rest]), span)
    told = moved > MOVED and last - first >= ROWS_MOVED
    sure = told or sum(_beyond_chance(temps[:, i], first, last) for i in columns) >= FEWEST
    return columns if sure else []


def _goes_on(values: FloatArray) -> bool:
    read = values[np.isfinite(values)]
    return bool(read.size and np.ptp(read) > 0)


def _warm(values: FloatArray, first: int) -> bool:
    read = values[np.isfinite(values)]
    return bool(read.size and values[first] >= read[0] + WARM)


def _beyond_chance(values: FloatArray, first: int, last: int) -> bool:
    read = values[np.isfinite(values)]
    digit = digit_of(read) if read.size >= TELLS else 0.0
    return digit > 0 and no_chance(values, digit, first, last, stays=True)
