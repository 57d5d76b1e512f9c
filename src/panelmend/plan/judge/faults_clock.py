"""Faults of the clock and of the log as a whole."""

from __future__ import annotations

import numpy as np

from panelmend.plan.judge import codes
from panelmend.plan.judge.fault import BoolArray, Fault, fault, length, length_up, runs
from panelmend.plan.judge.log import ChannelRole, CureLog, FloatArray, matrix
from panelmend.plan.judge.order import sample_step
from panelmend.plan.judge.pieces import pieces
from panelmend.plan.judge.said import show

HOT = 318.15  # 45 C: above any shop
# a part that is heated already in the first sample (common practice, no source, all): K above the shop, of
# which 25 C is taken where no air was read or it was warmer; seconds of the first rise and of the next;
# share of the next, as a rise from rest begins slowly; K/s
SHOP, ABOVE_SHOP = 298.15, 5.0
EARLY, LATER = 120.0, 300.0
FULL, RISING = 0.8, 0.3 / 60
FULL_COLD = 0.9  # where it is no warmer and no air was read: the shop may have been colder
MOST_NAMED = 12
SPARSE = 300.0
UNBROKEN = 60.0  # s


def gap_step(log: CureLog) -> float:
    """A step longer than this is reported as a gap [s]: two and a half usual steps, plus the resolution of
    the stamps."""
    return 2.5 * log.usual_step + log.stamp_step


def gap_limit(log: CureLog, step: float | None = None) -> float:
    """A step longer than this is a hole in the evidence [s]: a gap, and longer than a minute, since a log of
    one sample a minute counts as unbroken, and never more than five minutes and what the stamps can blur:
    between samples further apart a part can be spoilt unseen (common practice, no source). ``step``: the
    usual one [s] where that of the log's rows is not that of its readings."""
    gap = gap_step(log) if step is None else 2.5 * step + log.stamp_step
    return min(max(gap, UNBROKEN), SPARSE + log.stamp_step)


def any_finite(table: FloatArray) -> BoolArray:
    """Rows in which something was read [any unit]; shape (n, m) to (n,)."""
    out = np.zeros(len(table), np.bool_)
    for column in table.T:
        if out.all():
            break
        out |= np.isfinite(column)
    return out


def stood_before_gaps(log: CureLog, gap: float) -> list[tuple[int, int]]:
    """First and last sample of each stay of the clock before a gap [s]: more of them have one stamp than fit
    between two stamps."""
    found = []
    step = sample_step(log.times, log.stamp_step)[0]
    for part in pieces(0, len(log) - 1):
        for k in np.flatnonzero(np.diff(log.times[part.start : part.stop + 1]) > gap) + part.start:
            first = int(np.searchsorted(log.times, log.times[k]))
            if (k - first) * step > log.stamp_step:
                found.append((first, int(k)))
    return found


def clock_faults(log: CureLog) -> list[Fault]:
    """Changes by an hour, repeated stamps, gaps, uneven or sparse sampling, in a log whose times never
    fall."""
    if len(log) < 2:
        return []
    steps = np.diff(log.times)
    usual = log.usual_step
    found: list[Fault] = []
    again = steps == 0
    for a, b in stood_before_gaps(log, gap_limit(log)):
        again[a:b] = False
        words = (
            f"{b - a + 1} samples have one stamp, and none comes for {length_up(steps[b])} after it: when "
        )
        words += "in that time they were read is not known"
        begin, end = (float(log.times[i]) for i in (a, b + 1))
        found.append(fault(log, codes.CLOCK_STOOD, words, time=begin, until=end))
    same = np.flatnonzero(again)
    if same.size:
        often = same.size > 0.2 * steps.size
        words = f"{same.size} stamps repeat the one before" + (", the stamps are too coarse" if often else "")
        found.append(fault(log, codes.REPEATED, words, time=float(log.times[same[0]])))
    limit = gap_step(log)
    gaps = np.flatnonzero(steps > limit)
    for i in gaps[:MOST_NAMED]:
        code = codes.CLOCK_HOUR if _is_hour(steps[i], usual) else codes.GAP
        words = f"{length_up(steps[i])} without a sample, usual is {length(usual)}"
        found.append(fault(log, code, words, time=float(log.times[i]), until=float(log.times[i + 1])))
    if gaps.size > MOST_NAMED:
        words = f"{gaps.size - MOST_NAMED} further gaps"
        found.append(fault(log, codes.GAP, words, time=float(log.times[gaps[MOST_NAMED]])))
    forward = steps[steps > 0]
    if forward.size > 20 and usual:
        low, high = np.percentile(forward, [10, 90], overwrite_input=True)
        if high - low > max(0.5 * usual, 1.5 * log.stamp_step):
            found.append(fault(log, codes.IRREGULAR, f"steps from {length(low)} to {length(high)}"))
    if usual > SPARSE:
        found.append(fault(log, codes.SPARSE, f"one sample every {length(usual)}"))
    return found


def _is_hour(step: float, usual: float) -> bool:
    return abs(abs(step - usual) - 3600.0) <= max(2.0, 0.5 * usual)


def _in_ramp(log: CureLog, temps: FloatArray, first: float) -> list[Fault]:
    """Rising from the first reading on as fast as later: the beginning of the ramp is missing. ``temps`` [K],
    shape (n, m); ``first`` [K]."""
    airs = [c.values[np.isfinite(c.values)][:5] for c in log.of_role(ChannelRole.AIR)]
    known = [float(np.median(a)) for a in airs if a.size]
    shop = min([SHOP, *known])
    if not first > shop + ABOVE_SHOP and known:
        return []
    full = FULL if first > shop + ABOVE_SHOP else FULL_COLD
    begin = log.times[np.argmax(any_finite(temps))]  # thermocouples may be plugged in after the first sample
    head = (log.times >= begin) & (log.times <= begin + EARLY + LATER + 2.0 * log.usual_step)
    middle = np.array([np.median(r[np.isfinite(r)]) if np.isfinite(r).any() else np.nan for r in temps[head]])
    good = np.isfinite(middle)
    t, v = log.times[head][good], middle[good]
    if t[-1] < t[0] + EARLY + LATER:
        return []
    begun, there, end = np.interp([t[0], t[0] + EARLY, t[0] + EARLY + LATER], t, v)
    later = (end - there) / LATER
    if not later >= RISING or (there - begun) / EARLY < full * later:
        return []
    rise = show(float(there - begun), "temperature difference", decimals=1)
    words = f"{show(first, 'temperature')} in the first sample, {rise} more after {length(EARLY)}: "
    return [fault(log, codes.IN_RAMP, words + "where it began to rise is not shown")]


def whole_log_faults(log: CureLog) -> list[Fault]:
    """A log that starts or ends hot, and times at which every thermocouple is missing."""
    temps = matrix(log.of_role(ChannelRole.THERMOCOUPLE), len(log))
    some = any_finite(temps)
    if not some.any():
        return []
    begin_row, end_row = int(np.argmax(some)), len(some) - 1 - int(np.argmax(some[::-1]))
    found = []
    first, last = float(np.nanmedian(temps[begin_row])), float(np.nanmedian(temps[end_row]))
    if first > HOT:
        words = f"thermocouples read {show(first, 'temperature')} in the first sample"
        found.append(fault(log, codes.STARTS_HOT, words))
    else:
        found += _in_ramp(log, temps, first)
    if last > HOT + 5:
        words = f"thermocouples read {show(last, 'temperature')} in the last sample"
        found.append(fault(log, codes.ENDS_HOT, words, time=float(log.times[end_row])))
    if temps.shape[1] > 1:
        for start, stop in list(runs(~some))[:MOST_NAMED]:
            until = float(log.times[min(stop + 1, len(log) - 1)])
            begin = float(log.times[start])
            words = f"{stop - start + 1} samples, {length(until - begin)}"
            found.append(fault(log, codes.BLANK, words, time=begin, until=until))
    return found
