"""All faults of a log, and the readings left for the verdict."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from panelmend.plan.judge import codes
from panelmend.plan.judge.fault import BoolArray, Fault, fault
from panelmend.plan.judge.faults_clock import any_finite, clock_faults, gap_limit, whole_log_faults
from panelmend.plan.judge.faults_compare import compare_faults
from panelmend.plan.judge.faults_drawn import drawn_faults
from panelmend.plan.judge.faults_filled import filled_faults
from panelmend.plan.judge.faults_frozen import frozen_faults, is_coarse
from panelmend.plan.judge.faults_joint import joined_faults, jump_faults
from panelmend.plan.judge.faults_moved import moved_faults
from panelmend.plan.judge.faults_quiet import quiet_faults
from panelmend.plan.judge.faults_reckoned import reckoned_faults
from panelmend.plan.judge.faults_replayed import replayed_faults
from panelmend.plan.judge.faults_sensor import (
    HIGHEST,
    LOWEST,
    absent_faults,
    could_be_stuck,
    late_faults,
    median_of,
    noise_of,
    spike_faults,
    spike_mask,
    stuck_faults,
    texture_faults,
)
from panelmend.plan.judge.faults_together import together_faults
from panelmend.plan.judge.faults_vacuum import BEYOND_AIR, SEA_LEVEL_MOST, vacuum_faults
from panelmend.plan.judge.log import ChannelRole, CureLog, FloatArray, IntArray, LogReadings, matrix
from panelmend.plan.judge.no_readings import without_codes
from panelmend.plan.judge.order import times_in_order
from panelmend.plan.judge.said import show

REPEATED = 0.98  # of the samples
SOME = 3000  # samples that are looked at first
DRAWN = 0.01  # K of noise: curves without it run beside each other as they were drawn
ON_SET_POINT = 0.1  # K (common practice, no source)


@dataclass(frozen=True, eq=False)
class Checked:
    """A log with its faults. ``log``: in order (:mod:`~panelmend.plan.judge.order`); ``sure``: its clock was
    not set back; ``waiting``: newest samples not believed yet; ``frozen`` (n,): nothing moved there;
    ``step``: the usual time between readings [s]. ``temps`` [K], shape (n, thermocouples): readings that can
    be used, NaN elsewhere; ``names`` of the thermocouples; ``vacuum`` [Pa], shape (n, vacuum channels),
    likewise."""

    faults: tuple[Fault, ...]
    names: tuple[str, ...]
    temps: FloatArray
    vacuum_names: tuple[str, ...]
    vacuum: FloatArray
    log: CureLog
    sure: bool
    waiting: int
    frozen: BoolArray
    step: float

    def of(self, channel: str) -> tuple[Fault, ...]:
        """The faults of one channel."""
        return tuple(f for f in self.faults if f.channel == channel)


def find_faults(log: CureLog) -> tuple[Fault, ...]:
    """Every fault found in a log, in order of time."""
    return check_readings(log).faults


def check_readings(log: CureLog, *, live: bool = False) -> Checked:
    """Find the faults of a log and take out the readings they spoil; ``live``: the log still grows."""
    ordered = times_in_order(log, live=live)
    air = ordered.log.ambient if math.isfinite(ordered.log.ambient) else SEA_LEVEL_MOST
    log = without_codes(ordered.log, air + BEYOND_AIR, LOWEST, HIGHEST)
    couples = log.of_role(ChannelRole.THERMOCOUPLE)
    raw = matrix(couples, len(log))
    names = tuple(c.name for c in couples)
    found = [*ordered.faults, *clock_faults(log), *whole_log_faults(log)]
    readings = LogReadings(raw)
    for i, column in enumerate(raw.T):
        if len(log) and not (np.min(column) >= LOWEST and np.max(column) <= HIGHEST):
            readings.blank((column < LOWEST) | (column > HIGHEST), i)
    alone = any_finite(raw)
    for i, name in enumerate(names):
        found += absent_faults(log, name, raw[:, i], alone if len(names) > 1 else np.ones(len(log), np.bool_))
        mask = spike_mask(log, readings.table[:, i])
        if mask.any():
            found += spike_faults(log, name, readings.table[:, i], mask)
            readings.blank(mask, i)
    found += late_faults(log, names, readings.table)
    found += jump_faults(log, readings.table, gap_limit(log))
    found += joined_faults(log, readings.table, gap_limit(log))
    found += _twins(log, names, readings)
    found += _set_points(log, names, readings)
    found += reckoned_faults(log, names, readings)
    stopped = together_faults(log, names, readings.table)
    found += stopped
    found += _beside(log, names, _without(log, names, readings.table, stopped))
    vacuums = log.of_role(ChannelRole.VACUUM)
    vacuum = LogReadings(matrix(vacuums, len(log)))
    for channel in vacuums:
        found += vacuum_faults(log, channel, readings.table)
    again, replayed = replayed_faults(log, readings.table)
    found += again
    shifted, moved = moved_faults(log, gap_limit(log))
    found += shifted
    stood, frozen, everything = frozen_faults(log, readings.table)
    found += stood
    filled = filled_faults(log, readings.table, frozen)
    found += filled.faults
    spoilt = frozen | replayed | moved | filled.couples
    more, drawn = drawn_faults(log, readings.table, frozen | replayed | moved)
    found += more
    spoilt |= drawn
    moved = moved | drawn
    if spoilt.any():
        readings.blank(spoilt)
    if everything.any() or moved.any() or filled.everything.any():
        vacuum.blank(everything | moved | filled.everything)
    for f in found:
        if f.lost and f.channel:
            spoiled = (log.times >= f.time) & (log.times <= f.until)
            if f.channel in names:
                readings.blank(spoiled, names.index(f.channel))
            else:
                vacuum.blank(spoiled, [c.name for c in vacuums].index(f.channel))
    found.sort(key=lambda f: (f.time, f.channel, f.finding.code))
    return Checked(
        tuple(found),
        names,
        readings.table,
        tuple(c.name for c in vacuums),
        vacuum.table,
        log,
        ordered.sure,
        ordered.waiting,
        frozen,
        filled.step,
    )


def _without(log: CureLog, names: tuple[str, ...], temps: FloatArray, stopped: list[Fault]) -> FloatArray:
    """Readings (n, m) [K] in which those that stopped together are no witnesses of their neighbours; what is
    told of all of them at once (drawn, filled, frozen) is asked of the readings as they stand."""
    if not stopped:
        return temps
    out = temps.copy(order="F")
    for f in stopped:
        out[(log.times >= f.time) & (log.times <= f.until), names.index(f.channel)] = np.nan
    return out


def _beside(log: CureLog, names: tuple[str, ...], usable: FloatArray) -> list[Fault]:
    """Faults found by comparison; a channel already found faulty is no longer a witness for the others."""
    found: list[Fault] = []
    noise = [noise_of(usable[:, i]) for i in range(len(names))]
    whole, every = usable, log
    log, usable = _thinned(log, usable)  # what parts neighbours takes minutes
    condemned: set[int] = set()
    reads = np.isfinite(usable).mean(axis=0) >= SPEAKS if len(log) else np.zeros(len(names), np.bool_)
    for _ in range(2):  # the second pass leaves out those found faulty in the first
        found.clear()
        doubtful, parted = False, dict[int, str]()
        for i, name in enumerate(names):
            others = [j for j in range(len(names)) if j != i and j not in condemned]
            beside = usable[:, others]
            mine = []
            if log is every or could_be_stuck(log.times, usable[:, i]):
                mine = stuck_faults(every, name, whole[:, i], whole[:, others])
            speak = [j for j in others if reads[j]]  # one that reads nothing is no witness
            if len(speak) >= 2 and not mine:
                beside_it = usable[:, speak]
                mine = compare_faults(log, name, usable[:, i], median_of(beside_it))
                if len(speak) == 2 and mine and not agree(usable[:, i], beside_it):
                    doubtful, mine = True, []
            elif len(speak) == 1 and reads[i] and not mine:
                told = compare_faults(log, name, usable[:, i], usable[:, speak[0]])
                parted |= {
                    k: names[i + speak[0] - k] for k in (i, speak[0]) if any(f.doubt or f.lost for f in told)
                }
            if not mine:
                mine = quiet_faults(log, name, usable[:, i], beside)
            quiet = float(np.median([noise[j] for j in others])) if others else noise[i]
            found += mine + texture_faults(every, name, whole[:, i], noise[i], quiet)
        condemned = {names.index(f.channel) for f in found if f.sensor_lost or f.doubt}
        if not condemned or len(condemned) * 2 >= len(names):
            break
    if doubtful and not condemned:
        words = f"{', '.join(names)} disagree, and their readings do not show which of them is wrong"
        found.append(fault(log, codes.UNDECIDED, words, channel=", ".join(names)))
    end = float(log.times[-1]) if len(log) else 0.0
    for i, other in sorted(parted.items()):
        words = f"{names[i]} and {other} disagree, and there is no third to show which of them is wrong"
        found.append(fault(log, codes.UNDECIDED, words, channel=names[i], until=end, doubt=True))
    if 0 < reads.sum() < FEWEST_TOLD:
        few = [n for n, r in zip(names, reads, strict=True) if r]
        words = (
            f"{' and '.join(few)} only: two that are wrong alike agree, and if two disagree "
            "nothing shows which is wrong"
        )
        found.append(fault(log, codes.FEW_TOLD, words, channel=few[0], until=end))
    return found


SPEAKS = 0.5  # of the samples (common practice, no source)
FEWEST_TOLD = 3  # thermocouples of which one that is wrong can be named
MOST_COMPARED = 20_000  # samples


def _thinned(log: CureLog, temps: FloatArray) -> tuple[CureLog, FloatArray]:
    """A long log at no more samples than that, from the first to the last, with readings (n, m)."""
    every = -(-len(log) // MOST_COMPARED)
    if every <= 1:
        return log, temps
    kept = np.unique(np.append(np.arange(0, len(log), every), len(log) - 1))
    thin = CureLog(log.times[kept], (), log.started, log.digest, log.lines[kept], log.stamp_step, log.ambient)
    return thin, np.asfortranarray(temps[kept])


TOGETHER, SHARE = 3.0, 0.4  # K, and of what the third is away: so near two neighbours must be to speak of it


def agree(values: FloatArray, beside: FloatArray) -> bool:
    """Whether two neighbours agree well enough to speak about a third, all [K], shapes (n,) and (n, 2).

    If one of the two is wrong, their mean is off by half of its error.
    """
    there = np.isfinite(values) & np.isfinite(beside).all(axis=1)
    if there.sum() < 2:
        return True
    pair = beside[there]
    apart = float(np.percentile(np.abs(pair[:, 0] - pair[:, 1]), 90))
    away = float(np.percentile(np.abs(values[there] - pair.mean(axis=1)), 90))
    return apart <= max(TOGETHER, SHARE * away)


def _twins(log: CureLog, names: tuple[str, ...], readings: LogReadings) -> list[Fault]:
    found = []
    some = _sampled(len(log))
    for j in range(1, len(names)):
        for i in range(j):
            usable = readings.table
            if not _could_repeat(usable[:, i], usable[:, j], some):
                continue
            both = np.isfinite(usable[:, i]) & np.isfinite(usable[:, j])
            a, b = usable[both, i], usable[both, j]
            how = _repeats(a, b) if both.sum() > 50 and np.ptp(a) > 5 else ""
            if how:
                words = f"{names[j]} repeats {names[i]} to the last digit{how.rstrip()}"
                end = float(log.times[-1])
                found.append(fault(log, codes.TWIN, words, channel=names[j], until=end, lost=True))
                readings.blank(slice(None), j)
                break
    return found


def _sampled(count: int) -> IntArray:
    """Places of some of the samples, none the last."""
    return np.arange(0, max(0, count - 1), max(1, count // SOME))


def _could_repeat(a: FloatArray, b: FloatArray, some: IntArray) -> bool:
    """Some of the samples do not rule out that one channel repeats the other."""
    now, late, beside, behind = a[some], a[some + 1], b[some], b[some + 1]
    seen = np.isfinite(now) & np.isfinite(late) & np.isfinite(beside) & np.isfinite(behind)
    if seen.sum() <= 50:
        return True
    now, late, beside, behind = now[seen], late[seen], beside[seen], behind[seen]
    apart = np.abs(beside - now - np.median(beside - now)) < 1e-6
    same = (now == beside, late == beside, behind == now, apart)
    return any(float(np.mean(x)) > REPEATED - 0.1 for x in same)


def _repeats(a: FloatArray, b: FloatArray) -> str:
    """How one channel repeats another, "" for not: the same, a sample late, or by a steady shift."""
    if np.mean(a == b) > REPEATED:
        return " "
    if noise_of(a) <= DRAWN:
        return ""
    for late, early in ((a[1:], b[:-1]), (b[1:], a[:-1])):
        if np.mean(late == early) > REPEATED and np.mean(a[1:] == a[:-1]) < 1.0 - REPEATED / 2:
            return ", one sample late"
    apart = b - a
    middle = float(np.median(apart))
    if np.mean(np.abs(apart - middle) < 1e-6) > REPEATED:
        return f", shifted by {show(middle, 'temperature difference')}"
    return ""


def _set_points(log: CureLog, names: tuple[str, ...], readings: LogReadings) -> list[Fault]:
    """Thermocouples in fine digits within 0.1 K of the set point while it rises: every part lags."""
    found = []
    for channel in log.of_role(ChannelRole.SET_POINT):
        wanted, every = channel.values, max(1, len(log) // SOME)
        some, seen = log.times[::every], np.isfinite(wanted[::every])
        rises = np.zeros(some.size, np.bool_)
        if seen.any():
            known, level = some[seen], wanted[::every][seen]
            rises = np.interp(some + 60.0, known, level) - np.interp(some - 60.0, known, level) > 1.0
        for j, name in enumerate(names):
            usable = readings.table
            near = np.abs(usable[::every, j] - wanted[::every])
            good = np.isfinite(near)
            if good.sum() > 50 and np.mean(near[good] <= ON_SET_POINT) < 0.05:
                continue
            climb = near[good & rises]
            if every > 1 and climb.size and np.mean(climb <= ON_SET_POINT) < REPEATED - 0.1:
                continue
            both = np.isfinite(usable[:, j]) & np.isfinite(wanted)
            a, b, t = usable[both, j], wanted[both], log.times[both]
            if both.sum() <= 50 or np.ptp(b) <= 30.0 or is_coarse(a[:, None]):
                continue
            moves = np.interp(t + 60.0, t, b) - np.interp(t - 60.0, t, b) > 1.0
            if moves.sum() > 20 and np.mean(np.abs(a - b)[moves] <= ON_SET_POINT) > REPEATED:
                words = (
                    f"{name} is the set point {channel.name} while that rises: no part follows without lag"
                )
                end = float(log.times[-1])
                found.append(fault(log, codes.TWIN, words, channel=name, until=end, lost=True))
                readings.blank(slice(None), j)
    return found
