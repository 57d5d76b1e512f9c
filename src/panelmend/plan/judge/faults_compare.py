"""Faults a thermocouple shows against its neighbours: polarity, type, unit, loose from the part, offset."""

from __future__ import annotations

from functools import cache

import numpy as np

from panelmend.errors import Code, RangeError
from panelmend.physics.thermocouple import Wire, reading, reversed_reading, twice_reversed_reading
from panelmend.plan.judge import codes
from panelmend.plan.judge.fault import Fault, fault, runs
from panelmend.plan.judge.log import CureLog, FloatArray
from panelmend.plan.judge.said import apart, show
from panelmend.units.fundamental import ZERO_CELSIUS

HEATED = 30.0  # K the neighbours must have risen before anything is said
LEVELS = (0.5, 0.75, 1.0)
APART, APART_SHARE = 15.0, 0.15  # K, share of the rise: nearer the signature is that of a cold or hot place


def compare_faults(log: CureLog, name: str, values: FloatArray, middle: FloatArray) -> list[Fault]:
    """Faults of ``values`` [K] against the median of its neighbours ``middle`` [K], both shape (n,).

    Names one fault at most, the most telling first.
    """
    both = np.isfinite(values) & np.isfinite(middle)
    if both.sum() < 20:
        return []
    v, m = values[both], middle[both]
    t = log.times[both]
    rise = float(m.max() - m[0])
    if rise < HEATED:
        return _offset(log, name, v, m)
    for check in (_unit, _swapped, _cold, _came_off, _drift, _wrong_wire, _offset_heated, _slow, _lead):
        found = check(log, name, t, v, m)
        if found:
            return found
    return []


def _whole(log: CureLog, code: Code, words: str, name: str) -> list[Fault]:
    return [fault(log, code, words, channel=name, until=float(log.times[-1]), lost=True)]


def _doubted(
    log: CureLog, code: Code, words: str, name: str, time: float = 0.0, shift: float = 0.0
) -> list[Fault]:
    """A suspicion: the readings may just as well come from a cold or hot place, so they stay in the
    judgement."""
    end = float(log.times[-1])
    return [fault(log, code, words, channel=name, time=time, until=end, doubt=True, shift=shift)]


def _unit(log: CureLog, name: str, t: FloatArray, v: FloatArray, m: FloatArray) -> list[Fault]:
    c = m - ZERO_CELSIUS
    for words, shown in (
        ("Fahrenheit taken as Celsius", c * 1.8 + 32.0),
        ("Celsius taken as Fahrenheit", (c - 32.0) / 1.8),
    ):
        wrong = np.abs(v - ZERO_CELSIUS - shown)
        allowed = 4.0 + 0.03 * np.abs(shown)
        if np.mean(wrong < allowed) > 0.9 and np.median(np.abs(v - m)) > 12:
            return _doubted(log, codes.UNIT, f"{words} fits all through", name)
    return []


def _swapped(log: CureLog, name: str, t: FloatArray, v: FloatArray, m: FloatArray) -> list[Fault]:
    top = int(np.argmax(m))
    fell = float(v[0] - v[top])
    if fell < 0.3 * (m[top] - m[0]):
        return []
    words = f"fell {apart(fell)} while the others rose {apart(float(m[top] - m[0]))}"
    for wire in Wire:
        try:
            shown = reversed_reading(wire, float(m[top]), float(m[0]))
        except RangeError:
            continue
        if abs(shown - v[top]) < 0.12 * (m[top] - m[0]):
            words += f"; a type {wire} with its legs swapped would show {show(shown, 'temperature')}"
            break
    return _whole(log, codes.SWAPPED, words, name)


def _at_level(m: FloatArray, level: float) -> int:
    """The sample where the neighbours stand nearest to a share of their rise, as steady as possible."""
    wanted = m[0] + level * (m.max() - m[0])
    if level == 1.0:
        top = np.flatnonzero(m >= m.max() - 0.05 * (m.max() - m[0]))
        return int(top[len(top) // 2])
    return int(np.argmax(m >= wanted))


def _steady(t: FloatArray, m: FloatArray) -> bool:
    """The neighbours stayed near their highest for 5 min: lags no longer look like wrong readings."""
    top = np.flatnonzero(m >= m.max() - 0.05 * (m.max() - m[0]))
    return bool(t[top[-1]] - t[top[0]] >= 300.0)


def _wrong_wire(log: CureLog, name: str, t: FloatArray, v: FloatArray, m: FloatArray) -> list[Fault]:
    places = [_at_level(m, level) for level in LEVELS]
    rise = m[places[-1]] - m[0]
    if not _steady(t, m):
        return []
    apart = abs(v[places[-1]] - m[places[-1]])
    if abs(v[0] - m[0]) > 5.0 or apart < max(APART, APART_SHARE * rise):
        return []
    best = ("", np.inf)
    for wire in Wire:
        for instrument in Wire:
            if wire is instrument:
                continue
            try:
                shown = [reading(wire, instrument, float(m[i]), float(m[0])) for i in places]
            except RangeError:
                continue
            away = [abs(s - v[i]) / (0.06 * (m[i] - m[0]) + 3.0) for s, i in zip(shown, places, strict=True)]
            words = (
                f"type {wire} wire on a type {instrument} input would show {show(shown[-1], 'temperature')}"
            )
            if max(away) < min(1.0, best[1]):
                best = (words, max(away))
    if not best[0]:
        return []
    top = places[-1]
    words = f"shows {show(float(v[top]), 'temperature')} at {show(float(m[top]), 'temperature')}; {best[0]}"
    return _doubted(log, codes.WRONG_WIRE, words, name)


@cache
def told_apart_from(wire: Wire, instrument: Wire) -> float:
    """The lowest temperature of the part [K] at which a wire on another type's input reads further off than
    ordinary spread, with the terminals at 21 C; infinite if it does not up to 260 C."""
    start = 294.15
    for true in np.arange(start + HEATED, 533.0, 1.0):
        off = abs(reading(wire, instrument, float(true), start) - true)
        if off >= max(APART, APART_SHARE * (true - start)):
            return float(true)
    return float("inf")


def _cold(log: CureLog, name: str, t: FloatArray, v: FloatArray, m: FloatArray) -> list[Fault]:
    rise = float(m.max() - m[0])
    own = float(v.max() - v[0])
    if own > 0.35 * rise or not (_steady(t, m) or rise > 80.0):
        return []
    return _doubted(log, codes.COLD, f"rose {apart(own)} while the others rose {apart(rise)}", name)


def _came_off(log: CureLog, name: str, t: FloatArray, v: FloatArray, m: FloatArray) -> list[Fault]:
    """With the others to within 15 K, then 20 K below them within 10 min while they did not fall so."""
    away = v - m
    for start, stop in runs(away < -20.0):
        if t[stop] - t[start] < 120.0 or m[start] - m[0] < HEATED:
            continue
        before = np.flatnonzero((t >= t[start] - 600.0) & (t < t[start]) & (np.abs(away) < 15.0))
        if not before.size:
            continue
        beside = before[np.abs(away[before]) < 8.0]
        with_them = int(beside[-1] if beside.size else before[-1])
        if v[with_them] - v[start] > 5.0 and m[with_them] - m[start] < 5.0:
            end = np.flatnonzero(np.abs(away[: start + 1]) < 5.0)
            left = int(end[-1]) if end.size else with_them
            words = f"left the others and reads {apart(-float(away[start : stop + 1].min()))} below them"
            return _doubted(log, codes.CAME_OFF, words, name, float(t[left]))
    return []


def _offset(log: CureLog, name: str, v: FloatArray, m: FloatArray) -> list[Fault]:
    away = v - m
    middle = float(np.median(away))
    if abs(middle) < 8.0 or np.percentile(np.abs(away - middle), 90) > 4.0:
        return []
    return _doubted(log, codes.OFFSET, f"{apart(middle, signed=True)} all through", name, shift=middle)


def _offset_heated(log: CureLog, name: str, t: FloatArray, v: FloatArray, m: FloatArray) -> list[Fault]:
    still = t <= t[0] + 120.0
    at_start = float(np.median((v - m)[still]))
    if abs(at_start) < 6.0:
        return []
    top = m >= m.max() - 3.0
    words = f"{apart(at_start, signed=True)} in the first minutes, "
    words += f"{apart(float(np.median((v - m)[top])), signed=True)} at the top"
    return _doubted(log, codes.OFFSET, words, name, shift=at_start)


def _drift(log: CureLog, name: str, t: FloatArray, v: FloatArray, m: FloatArray) -> list[Fault]:
    """Parts from the others steadily through the hot time and does not come back with them in the cold."""
    top = np.flatnonzero(m >= m.max() - 5.0)
    if top.size < 20 or t[top[-1]] - t[top[0]] < 1200.0:
        return []
    away = v - m
    slope, start = np.polyfit(t[top] - t[top[0]], away[top], 1)
    moved = float(slope * (t[top[-1]] - t[top[0]]))
    left = float(np.std(away[top] - start - slope * (t[top] - t[top[0]])))
    grows = abs(start + moved) > abs(start) + 4.0
    if abs(moved) < 6.0 or abs(moved) < 4 * left or not grows:
        return []
    words = f"{apart(moved, signed=True)} against the others while they held"
    return _doubted(log, codes.DRIFT, words, name, float(t[top[0]]))


def _lead(log: CureLog, name: str, t: FloatArray, v: FloatArray, m: FloatArray) -> list[Fault]:
    """Reads right when cold and low by a steady amount when hot.

    An extension lead swapped at both ends takes off about twice what its warm joint lies above the
    instrument. A cold place looks the same, so it is only reported."""
    top = m >= m.max() - 3.0
    away = float(np.median((v - m)[top]))
    if abs(v[0] - m[0]) > 2.0 or not -40.0 < away < -4.0 or not _steady(t, m):
        return []
    true, air = float(np.median(m[top])), float(m[0])
    for wire in Wire:
        joints = np.arange(air + 1.0, true, 0.5)
        try:
            shown = [twice_reversed_reading(wire, true, float(j), air) for j in joints]
        except RangeError:
            continue
        off = np.abs(np.array(shown) - (true + away))
        if off.size and off.min() < 1.0:
            joint = show(float(joints[int(off.argmin())] - air), "temperature difference")
            words = (
                f"{apart(-away)} below the others in the heat and with them in the cold: a type {wire} lead "
                f"swapped at both ends shows so with its joint {joint} warmer than the instrument; so does a "
                "cold place"
            )
            return [fault(log, codes.LEAD_SWAPPED, words, channel=name)]
    return []


def _slow(log: CureLog, name: str, t: FloatArray, v: FloatArray, m: FloatArray) -> list[Fault]:
    level = m[0] + 0.6 * (m.max() - m[0])
    own, their = np.flatnonzero(v >= level), np.flatnonzero(m >= level)
    if not own.size or not their.size:
        return []
    late = float(t[own[0]] - t[their[0]])
    if late < 600.0:
        return []
    words = f"passed {show(float(level), 'temperature')} {late / 60:.0f} min after the others"
    return [fault(log, codes.SLOW, words, channel=name, time=float(t[their[0]]))]
