"""Several thermocouples, not all, that stop and resume in the same rows: a frozen input card.

The other thermocouples go on, so that the log as a whole moves; and most neighbours of each one that stopped
may have stopped too. Two or more that stand still to the last digit at the same time are reported if the
noise of each before and after rules out chance; those that stop and resume in the same rows are reported if
it does so for two of them or if those that go on moved meanwhile. The temperatures meanwhile are unknown: the
readings are taken out, and no sensor counts as lost. All figures are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from panelmend.plan.judge import codes
from panelmend.plan.judge.fault import Fault, fault, length, run_ends
from panelmend.plan.judge.faults_quiet import WARM, keeps_noise, no_chance
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


@dataclass(frozen=True)
class Stay:
    """Rows ``first`` to ``last`` in which ``column`` shows one value."""

    first: int
    last: int
    column: int

    def beside(self, other: Stay) -> bool:
        """Both ends within the rows that chance adds."""
        return abs(self.first - other.first) <= EDGE and abs(self.last - other.last) <= EDGE


def together_faults(log: CureLog, names: tuple[str, ...], temps: FloatArray) -> list[Fault]:
    """Stays of two thermocouples and more, not of all that read, in ``temps`` (n, m) [K]: one finding for
    each thermocouple and stay, over what is no evidence: all but the first reading, which was one."""
    found: list[Fault] = []
    if temps.shape[1] <= FEWEST or len(log) < LEAST:
        return found
    stays = [s for i in range(temps.shape[1]) for s in _stays(log.times, temps[:, i], i)]
    while len(stays) >= FEWEST:
        one = max(stays, key=lambda s: s.last - s.first)
        over = [s for s in stays if _overlap(log.times, one, s)]
        group = _group(log.times, temps, one, over)
        stays = [s for s in stays if s is not one and s not in group]
        told = ", ".join(names[s.column] for s in group)
        for s in group:
            begin, until = float(log.times[s.first + 1]), float(log.times[s.last])
            span = length(until - float(log.times[s.first]))
            words = f"{names[s.column]}: {told} stood at one value each, this one for {span}, others went on"
            found.append(
                fault(
                    log,
                    codes.STOOD_TOGETHER,
                    words,
                    channel=names[s.column],
                    time=begin,
                    until=until,
                    lost=True,
                    sensor_lost=False,
                )
            )
    return found


def _stays(times: FloatArray, values: FloatArray, column: int) -> list[Stay]:
    same = np.concatenate([[False], values[1:] == values[:-1]])
    starts, stops = run_ends(same)
    long = (stops - starts + 1 >= LEAST) & (times[stops] - times[starts - 1] >= SPAN)
    return [Stay(a - 1, b, column) for a, b in zip(starts[long].tolist(), stops[long].tolist(), strict=True)]


def _overlap(times: FloatArray, one: Stay, other: Stay) -> bool:
    first, last = max(one.first, other.first), min(one.last, other.last)
    return last - first >= LEAST and bool(times[last] - times[first] >= SPAN)


def _group(times: FloatArray, temps: FloatArray, one: Stay, over: list[Stay]) -> list[Stay]:
    """Those of the stays ``over`` the longest that stopped together with it: in the same rows, or because
    chance explains none of them; none where nothing else goes on or all of them were cold."""
    unlikely = [s for s in over if _beyond_chance(temps[:, s.column], s.first, s.last)]
    alike = [s for s in over if s.beside(one)]
    by_rows = len(alike) >= FEWEST and (
        sum(s in unlikely for s in alike) >= FEWEST or _left_behind(times, temps, one, alike)
    )
    if by_rows:
        group = [s for s in over if s in alike or s in unlikely]
    else:
        group = unlikely if one in unlikely and len(unlikely) >= FEWEST else []
    columns = {s.column for s in group}
    rest = [temps[:, i] for i in range(temps.shape[1]) if i not in columns]
    if by_rows:
        going = any(_goes_on(c[one.first : one.last + 1]) for c in rest)
    else:  # channels that come to rest one after another, without noise, are not a frozen card
        going = any(keeps_noise(c, one.first, one.last) for c in rest)
    warm = any(_warm(temps[:, s.column], s.first) for s in group)
    return sorted(group, key=lambda s: s.column) if going and warm else []


def _left_behind(times: FloatArray, temps: FloatArray, one: Stay, alike: list[Stay]) -> bool:
    """Whether those that go on moved meanwhile."""
    rows = slice(one.first, one.last + 1)
    columns = {s.column for s in alike}
    rest = [i for i in range(temps.shape[1]) if i not in columns and _goes_on(temps[rows, i])]
    if not rest or one.last - one.first < ROWS_MOVED:
        return False
    span = float(times[one.last] - times[one.first])
    return moved_meanwhile(times[rows], median_of(temps[rows][:, rest]), span) > MOVED


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
