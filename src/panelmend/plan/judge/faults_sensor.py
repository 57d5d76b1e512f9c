"""Faults of a single thermocouple, with the others as witnesses of what the part did."""

from __future__ import annotations

import numpy as np

from panelmend.errors import Code
from panelmend.plan.judge import codes
from panelmend.plan.judge.fault import OFF, ON, BoolArray, Fault, fault, length, length_up, runs
from panelmend.plan.judge.log import CureLog, FloatArray
from panelmend.plan.judge.pieces import last_of, pieces
from panelmend.plan.judge.said import apart, show

LOWEST, HIGHEST = 213.15, 643.15  # -60 C and 370 C: no bond line of a hot-bonded repair is outside
SPIKE = 8.0  # K
SHORT = 90.0  # s: longest spike
PIECES, PIECE = 50, 400  # samples of a long column that tell its noise
NOISE_SPAN = 8.0  # times the noise: what a steady middle spans by it in a long stay


def absent_faults(log: CureLog, name: str, values: FloatArray, alone: BoolArray) -> list[Fault]:
    """No reading, open circuit, loose contact, missing cells; ``values`` (n,) [K]; ``alone`` (n,): others
    do read."""
    if values.size and np.min(values) >= LOWEST and np.max(values) <= HIGHEST:  # false where one is missing
        return []
    if not np.isfinite(values).any():
        return [_lost(log, codes.DEAD, "every cell is empty or no number", name, 0.0)]
    outside = np.isfinite(values) & ((values < LOWEST) | (values > HIGHEST))
    episodes = list(runs(outside))
    blank = list(runs(~np.isfinite(values) & alone))
    end = float(log.times[-1])
    found: list[Fault] = []
    if len(episodes) + len([b for b in blank if _seconds(log, b) > 60]) >= 3:
        start = float(log.times[min(e[0] for e in episodes + blank)])
        words = f"{len(episodes) + len(blank)} times without a usable reading"
        until = float(log.times[-1])  # what it reads in between stands: see lost.py
        return [fault(log, codes.LOOSE, words, channel=name, time=start, until=until, sensor_lost=True)]
    for start, stop in episodes:
        value = show(float(values[start]), "temperature")
        to_end = stop >= values.size - 2
        until = end if to_end else float(log.times[min(stop + 1, values.size - 1)])
        words = f"shows {value}" + (
            " to the end" if to_end else f" for {length(_seconds(log, (start, stop)))}"
        )
        found.append(
            fault(log, codes.OPEN, words, channel=name, time=float(log.times[start]), until=until, lost=True)
        )
    last = last_of(np.isfinite(values)) or 0  # all may be silent after it
    for start, stop in blank:
        if (last <= stop or stop >= values.size - 2) and _seconds(log, (start, stop)) > 120:
            found.append(_lost(log, codes.STOPPED, "no reading to the end", name, float(log.times[start])))
    missing = sum(b - a + 1 for a, b in blank)
    if missing and not found:
        longest = max(blank, key=lambda r: r[1] - r[0])
        words = f"{missing} cells, the longest run {length_up(_seconds(log, longest))}"
        found.append(fault(log, codes.MISSING, words, channel=name, time=float(log.times[longest[0]])))
    return found


def late_faults(log: CureLog, names: tuple[str, ...], temps: FloatArray) -> list[Fault]:
    """Thermocouples of ``temps`` [K], shape (n, m), whose first reading comes after another has risen by 5 K,
    and more than two minutes after the first sample: lost until then."""
    found = []
    seen = np.isfinite(temps)
    starts = [int(np.argmax(c)) if c.any() else -1 for c in seen.T]
    for i, name in enumerate(names):
        at = starts[i]
        if at <= 0 or log.times[at] - log.times[0] <= 120.0:
            continue
        before = temps[:at]
        firsts = np.array(
            [np.median(c[np.isfinite(c)][:5]) if np.isfinite(c).any() else np.nan for c in before.T]
        )
        with np.errstate(invalid="ignore"):
            warm = bool((before > firsts + 5.0).any())
        if warm:
            span = length(float(log.times[at] - log.times[0]))
            words = f"no reading for the first {span}, others were warm by then"
            until = float(log.times[at - 1])
            found.append(fault(log, codes.LATE, words, channel=name, until=until, lost=True))
    return found


def _seconds(log: CureLog, run: tuple[int, int]) -> float:
    return float(log.times[min(run[1] + 1, len(log) - 1)] - log.times[max(run[0] - 1, 0)])


def _lost(log: CureLog, code: Code, words: str, name: str, time: float) -> Fault:
    return fault(log, code, words, channel=name, time=time, until=float(log.times[-1]), lost=True)


def could_be_stuck(times: FloatArray, some: FloatArray) -> bool:
    """Some of the samples (n,) [K] do not rule out a stay of five minutes: those in it are all the same."""
    step = float(np.max(np.diff(times), initial=0.0))
    same = np.concatenate([[False], np.diff(some) == 0])
    return any(times[b] - times[a - 1] >= 300.0 - 2.0 * step for a, b in runs(same)) or step > 100.0


def stuck_faults(log: CureLog, name: str, values: FloatArray, others: FloatArray) -> list[Fault]:
    """A value that stays the same to the last digit while the others move: stuck, or cut off at its range.

    ``others`` shape (n, m) [K]. A stay counts when it is longer than 5 min and 20 samples and the median of
    the others moved more than 5 K meanwhile, or when it is three times as long and none of the others stayed
    for even a quarter of it.
    """
    if not others.shape[1]:
        return []
    same = np.concatenate([[False], np.diff(values) == 0])
    for start, stop in runs(same):
        first = start - 1
        span = float(log.times[stop] - log.times[first])
        if span < 300 or stop - first < 20:
            continue
        beside = others[first : stop + 1]
        middle = median_of(beside)
        moved = moved_meanwhile(log.times[first : stop + 1], middle, span)
        lively = span > 900 and stop - first >= 60 and _all_lively(values, beside, (stop - first) // 4)
        if moved <= 5.0 and not lively:
            continue
        value = float(values[first])
        top = value >= np.nanmax(values) - 1e-9 and stop < values.size - 1
        if top and np.nanmedian(middle) > value + 2 and abs(values[stop + 1] - value) < 5:
            words = f"never above {show(value, 'temperature')} while the others were hotter"
            code = codes.CLIPPED
        else:
            words, code = f"at {show(value, 'temperature', decimals=1)} for {length(span)}", codes.STUCK
        told = moved > 5.0  # else a quiet place could stay so: a suspicion, its readings are judged
        begin, end = float(log.times[first]), float(log.times[stop])
        return [fault(log, code, words, channel=name, time=begin, until=end, lost=told, doubt=not told)]
    return []


def moved_meanwhile(times: FloatArray, middle: FloatArray, span: float) -> float:
    """How far the others moved beside their noise [K] in the middle of a stay of ``span`` [s]: its ends are
    left to sensors that follow late; ``times`` (n,) [s], ``middle`` (n,) [K]."""
    trim = min(300.0, span / 3)
    inner = middle[(times >= times[0] + trim) & (times <= times[-1] - trim) & np.isfinite(middle)]
    return float(np.ptp(inner)) - NOISE_SPAN * noise_of(inner) if inner.size else 0.0


def _all_lively(values: FloatArray, beside: FloatArray, longest: int) -> bool:
    """Whether each neighbour moves so much more than the channel's own step that a rest must be a fault."""
    steps = np.abs(np.diff(values[np.isfinite(values)]))
    moved = steps[steps > 1e-9]
    if not moved.size:
        return False
    for column in beside.T:
        good = column[np.isfinite(column)]
        if good.size < 10 or float(np.std(np.diff(good, 2))) / np.sqrt(6) < 0.4 * float(moved.min()):
            return False
        same = np.concatenate([[False], np.diff(column) == 0])
        if any(stop - start + 2 > longest for start, stop in runs(same)) or not np.isfinite(column).any():
            return False
    return True


def median_of(rows: FloatArray) -> FloatArray:
    """Median [its unit] of each row of what is there [its unit], NaN where nothing is; shape (n, m) to
    (n,)."""
    if rows.shape[1] and np.isfinite(np.sum(rows)):
        return np.asarray(np.median(rows, axis=1))
    out = np.full(len(rows), np.nan)
    finite = np.isfinite(rows)
    whole = finite.all(axis=1)
    if rows.shape[1] and whole.any():
        out[whole] = np.median(rows[whole], axis=1)
    part = finite.any(axis=1) & ~whole
    if part.any():
        out[part] = np.nanmedian(rows[part], axis=1)
    return out


def mean_of_rows(temps: FloatArray) -> FloatArray:
    """Mean [its unit] of each row of what is there [its unit], NaN where nothing is; shape (n, m) to (n,)."""
    if temps.shape[1] and np.isfinite(np.sum(temps)):
        return np.asarray(temps.mean(axis=1))
    good = np.isfinite(temps)
    out = np.full(len(temps), np.nan)
    rows = good.any(axis=1)
    out[rows] = np.nanmean(temps[rows], axis=1)
    return out


def spike_mask(log: CureLog, values: FloatArray) -> BoolArray:
    """Readings (n,) [K] that jump more than 8 K away and come back within three samples and 90 s, one of
    both ways
    faster than the part can follow with the blanket fully on or off; shape (n,). What it could follow is a
    reading."""
    mask = np.zeros(values.size, np.bool_)
    calm = (_calm(values[part.start : part.stop + 1]) for part in pieces(0, values.size))
    if log.usual_step > SHORT / 2 or all(calm):
        return mask
    finite = np.flatnonzero(np.isfinite(values))
    if finite.size < 5:
        return mask
    v, t = values[finite], log.times[finite]
    if not (np.abs(np.diff(v)) > SPIKE).any():
        return mask
    for width in (1, 2, 3):
        before, after = v[: -width - 1], v[width + 1 :]
        middle = [v[k : k + len(before)] for k in range(1, width + 1)]
        quick = (t[width + 1 :] - t[: -width - 1] <= SHORT) & (np.abs(after - before) < SPIKE / 2)
        for sign in (1.0, -1.0):
            base = np.maximum(sign * before, sign * after)
            away = np.all([sign * m - base > SPIKE for m in middle], axis=0) & quick
            there = sign * (middle[0] - before) / np.maximum(t[1 : 1 + len(before)] - t[: len(before)], 1e-9)
            back = sign * (middle[-1] - after) / np.maximum(t[width + 1 :] - t[width:-1], 1e-9)
            away &= (there > ON) | (back > OFF) if sign > 0 else (there > OFF) | (back > ON)
            for at in np.flatnonzero(away):
                mask[finite[at + 1 : at + 1 + width]] = True
    return mask


def _calm(values: FloatArray) -> bool:
    """Readings (n,) [K], all there, of which none jumps."""
    return bool(np.max(np.abs(np.diff(values)), initial=0.0) <= SPIKE)


def spike_faults(log: CureLog, name: str, values: FloatArray, mask: BoolArray) -> list[Fault]:
    """One finding for the spikes of a channel (n,) [K]; the readings are taken out one by one."""
    places = list(runs(mask))
    if not places:
        return []
    at = places[0][0]
    words = f"{len(places)} readings, the first {show(float(values[at]), 'temperature')}"
    return [fault(log, codes.SPIKE, words, channel=name, time=float(log.times[at]))]


def texture_faults(
    log: CureLog, name: str, values: FloatArray, noise: float, others_noise: float
) -> list[Fault]:
    """Coarse steps (2 K and more) and noise [K] five times that of the others and above 1 K."""
    found = []
    some = values[: PIECES * PIECE]
    few = np.abs(np.diff(some[np.isfinite(some)]))
    if few[few > 1e-9].min(initial=np.inf) < 1.9:  # the rest cannot make the steps coarse
        steps = moved = few[:0]
    else:
        steps = np.abs(np.diff(values[np.isfinite(values)]))
        moved = steps[steps > 1e-9]
    if moved.size > 5 and float(np.min(moved)) >= 1.9 and np.mean(steps < 1e-9) > 0.3:
        words = f"smallest step {apart(float(np.min(moved)), decimals=1)}"
        found.append(fault(log, codes.COARSE, words, channel=name))
    elif noise > 1.0 and noise > 5 * others_noise:
        words = (
            f"{apart(noise, decimals=1)} from sample to sample, the others {apart(others_noise, decimals=1)}"
        )
        found.append(fault(log, codes.NOISY, words, channel=name))
    return found


def noise_of(values: FloatArray) -> float:
    """Noise [K] from sample to sample: a robust spread of second differences of values [K]; of long columns
    in pieces from beginning to end."""
    if values.size > 2 * PIECES * PIECE:
        starts = np.linspace(0, values.size - PIECE, PIECES).astype(np.int64)
        parts = [values[a : a + PIECE] for a in starts.tolist()]
        kept = [p[np.isfinite(p)] for p in parts]
        bends = [np.diff(p, 2) for p in kept if p.size >= 10]
        if bends:
            bend = np.concatenate(bends)
            return float(1.4826 * np.median(np.abs(bend - np.median(bend))) / np.sqrt(6))
    v = values[np.isfinite(values)]
    if v.size < 10:
        return 0.0
    bend = np.diff(v, 2)
    return float(1.4826 * np.median(np.abs(bend - np.median(bend))) / np.sqrt(6))
