"""The log prepared for the rules: traces without lost sensors, and the gaps where nothing is known."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from panelmend.plan.judge import codes
from panelmend.plan.judge.fault import BoolArray, runs
from panelmend.plan.judge.faults import Checked, check_readings
from panelmend.plan.judge.faults_clock import gap_limit, stood_before_gaps
from panelmend.plan.judge.log import CureLog, FloatArray
from panelmend.plan.judge.pieces import pieces

RISE = 5.0  # K above the start: heat is on
# s of readings that a lost thermocouple gives again, together, and that count (common practice, no source)
AGAIN, AT_ONCE = 120.0, 60.0


@dataclass(frozen=True, eq=False)
class Evidence:
    """Shapes: n samples, m thermocouples. ``temps`` [K] (n, m): NaN where lost or not known; ``working``
    (n, m): the sensor is not lost; ``lowest`` and ``highest`` [K] (n,): of the working ones, ``lowest`` NaN
    where one of them is not known; ``known`` (n-1,): the piece between two samples is no gap; ``vacuum``
    [Pa] (n,): the least of the vacuum channels, NaN where not known; ``lost_at`` [s]: when each lost sensor
    was lost (not channels that no sensor stands behind); ``order`` False when the clock jumps back."""

    log: CureLog
    checked: Checked
    temps: FloatArray
    working: BoolArray
    lowest: FloatArray
    highest: FloatArray
    known: BoolArray
    vacuum: FloatArray
    lost_at: tuple[tuple[str, float], ...]
    order: bool
    gap: float

    @property
    def times(self) -> FloatArray:
        """[s], shape (n,)."""
        return self.log.times

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the thermocouples."""
        return self.checked.names

    @cached_property
    def blur(self) -> float:
        """How far a time between two samples may be from their stamps [s]: the smallest step of stamps that
        repeat, or that stand at uneven steps of more than a second; plus what a clock seems to have been set
        back. Otherwise zero."""
        steps, step = np.diff(self.times), self.log.stamp_step
        uneven = step > 1.0 and steps.size > 0 and float(np.ptp(steps)) > 1e-6
        coarse = step if uneven or bool((steps == 0.0).any()) else 0.0
        return coarse + self.log.set_back

    def slowest_at(self, index: int) -> str:
        """The working thermocouple that reads least at a sample, "" for none."""
        row = np.where(self.working[index], self.temps[index], np.nan)
        return self.names[int(np.nanargmin(row))] if np.isfinite(row).any() else ""

    def fastest_at(self, index: int) -> str:
        """The working thermocouple that reads most at a sample, "" for none."""
        row = np.where(self.working[index], self.temps[index], np.nan)
        return self.names[int(np.nanargmax(row))] if np.isfinite(row).any() else ""

    def index_at(self, time: float) -> int:
        """The last sample at or before a time [s]."""
        return max(0, int(np.searchsorted(self.times, time, side="right")) - 1)


_NONE = np.zeros(0, np.bool_)


def gather(
    log: CureLog,
    longest_gap: float | None = None,
    *,
    without: tuple[str, ...] = (),
    live: bool = False,
    checked: Checked | None = None,
    back: bool = False,
) -> Evidence:
    """Prepare a log for the rules.

    Args:
        log: as read.
        longest_gap: [s], instead of what the log's own steps suggest.
        without: thermocouples left out from where a doubt begins, else from the first sample.
        live: the log still grows.
        checked: the log's faults, where they are known already.
        back: lost thermocouples count again wherever they read for a minute, if that makes two minutes.
    """
    checked = check_readings(log, live=live) if checked is None else checked
    log = checked.log
    gap = gap_limit(log, checked.step) if longest_gap is None else longest_gap
    temps = checked.temps
    lost: dict[str, float] = {}
    for f in checked.faults:
        if f.sensor_lost and f.channel in checked.names:
            lost[f.channel] = min(f.time, lost.get(f.channel, f.time))
        if f.doubt and f.channel in without:
            lost[f.channel] = min(f.time, lost.get(f.channel, f.time))
    for name in without:
        if name in checked.names and not any(f.doubt and f.channel == name for f in checked.faults):
            lost[name] = float(log.times[0])
    # one value for all where none was lost: long logs need no table of them
    working = np.ones(temps.shape, np.bool_, order="F") if lost else np.broadcast_to(np.True_, temps.shape)
    late = {f.channel: f.until for f in checked.faults if f.finding.code == codes.LATE.code}
    for name, time in lost.items():
        at = checked.names.index(name)
        only_before = name in late and not any(
            f.channel == name and (f.sensor_lost or (f.doubt and name in without))
            for f in checked.faults
            if f.finding.code != codes.LATE.code
        )
        until = late[name] if only_before else np.inf
        gone = (log.times >= time) & (log.times <= until)
        working[gone & ~_reads_again(log.times, temps[:, at], time) if back else gone, at] = False
    reckoned = {f.channel for f in checked.faults if f.reckoned}
    if lost or not np.isfinite(np.sum(temps)):
        temps = temps.copy(order="F")
        temps[~working] = np.nan
        for i in range(temps.shape[1]):
            temps[:, i] = joined_by_lines(log.times, temps[:, i], gap)
    lowest, highest = np.full(len(log), np.inf), np.full(len(log), -np.inf)
    unknown = np.zeros(len(log), np.bool_)
    for column, works in zip(temps.T, working.T, strict=True):
        np.fmin(lowest, column, out=lowest)
        np.fmax(highest, column, out=highest)
        unknown |= works & np.isnan(column)
    highest[~np.isfinite(highest)] = np.nan
    lowest[unknown | ~np.isfinite(lowest)] = np.nan
    vacuum: FloatArray = np.full(0 if checked.vacuum.shape[1] else len(log), np.nan)
    if checked.vacuum.shape[1]:
        vacuum = joined_by_lines(log.times, checked.vacuum[:, 0], gap)
        for column in checked.vacuum.T[1:]:
            vacuum = np.minimum(vacuum, joined_by_lines(log.times, column, gap))
    return Evidence(
        log,
        checked,
        temps,
        working,
        lowest,
        highest,
        _known(log, gap),
        vacuum,
        tuple(sorted(((n, t) for n, t in lost.items() if n not in reckoned), key=lambda x: (x[1], x[0]))),
        checked.sure,
        gap,
    )


def _known(log: CureLog, gap: float) -> BoolArray:
    """The pieces (n-1,) between samples that are no gap [s], and none where the clock stood before one: there
    they were read anywhere in both."""
    parts = [np.diff(log.times[x.start : x.stop + 1]) <= gap for x in pieces(0, len(log) - 1)]
    known = np.concatenate(parts or [_NONE])
    for a, b in stood_before_gaps(log, gap):
        known[a:b] = False
    return known


def hour_moved(e: Evidence, start: float, end: float) -> float:
    """By how much [s] the clock may have been put forward between two times [s]: gaps of an hour, in which an
    hour may or may not have passed."""
    hours = (f for f in e.checked.faults if f.finding.code == codes.CLOCK_HOUR.code)
    return sum(f.until - f.time for f in hours if f.time >= start and f.until <= end)


def _reads_again(times: FloatArray, values: FloatArray, lost: float) -> BoolArray:
    """Samples (n,) after a thermocouple was lost [s] in which it reads [K] for a minute or more, where those
    make two minutes."""
    out = np.isfinite(values) & (times > lost)
    total = 0.0
    for a, b in runs(out):
        if times[b] - times[a] < AT_ONCE:
            out[a : b + 1] = False
        else:
            total += float(times[b] - times[a])
    return out if total >= AGAIN else np.zeros(out.size, np.bool_)


def joined_by_lines(times: FloatArray, values: FloatArray, gap: float) -> FloatArray:
    """Single missing readings (n,) [any unit] joined by a straight line where both neighbours are within a
    gap limit [s]."""
    good = np.flatnonzero(np.isfinite(values))
    if good.size < 2 or good.size == values.size:
        return values
    out = values.copy()
    missing = np.flatnonzero(~np.isfinite(values))
    at = np.searchsorted(good, missing)
    missing, at = (x[(at > 0) & (at < good.size)] for x in (missing, at))
    a, b = good[at - 1], good[at]
    near = (times[b] - times[a] <= gap) & (times[b] > times[a])
    i, a, b = missing[near], a[near], b[near]
    out[i] = values[a] + (values[b] - values[a]) * (times[i] - times[a]) / (times[b] - times[a])
    return out
