"""Faults of a vacuum channel."""

from __future__ import annotations

import math

import numpy as np

from panelmend.plan.judge import codes
from panelmend.plan.judge.fault import Fault, fault, length, length_up, run_ends, runs
from panelmend.plan.judge.faults_sensor import mean_of_rows
from panelmend.plan.judge.log import Channel, CureLog, FloatArray
from panelmend.plan.judge.said import show
from panelmend.units.fundamental import SEA_LEVEL_PRESSURE

SEA_LEVEL_MOST = 104e3  # Pa: about the highest air pressure at sea level in ordinary weather
BEYOND_AIR = 1e3  # Pa: so much more than the air can give
AIR_SHARE = 0.95  # of the air pressure
STAY = 600.0  # s
LIVELY = 0.3  # of the samples change: fewer is a coarse gauge between two of its marks
TURNS = 0.25  # of those changes reverse: fewer are a bag that is pumped down or vented
_FITS = (("kPa", "inHg", 3.386389), ("mbar", "kPa", 10.0), ("mbar", "inHg", 33.86389), ("mmHg", "inHg", 25.4))


def vacuum_faults(log: CureLog, channel: Channel, temps: FloatArray) -> list[Fault]:
    """Vacuum that cannot exist, has the wrong sense, is stuck, far too small, or missing; ``temps`` [K] of
    the thermocouples (n, m) tell when the part was hot."""
    v = channel.values
    good = v[np.isfinite(v)]
    end = float(log.times[-1])
    if not good.size:
        return [fault(log, codes.DEAD, "every cell is empty", channel=channel.name, until=end, lost=True)]
    ambient = log.ambient if math.isfinite(log.ambient) else SEA_LEVEL_MOST
    first, moved, count = float(good[0]), bool(np.ptp(good) > 0), good.size
    top, middle, least = np.percentile(good, [98, 50, 5], overwrite_input=True).tolist()
    del good  # its order is lost
    if middle < -3e3:
        words = f"half of the readings are below {show(middle, 'pressure')}: the sign is turned"
        return [fault(log, codes.V_SENSE, words, channel=channel.name, until=end, lost=True)]
    if first > 0.9 * min(ambient, SEA_LEVEL_PRESSURE) and middle < 0.5 * first and top < 1.05 * ambient:
        words = (
            f"starts at {show(first, 'pressure')} and falls to {show(middle, 'pressure')}: absolute pressure"
        )
        return [fault(log, codes.V_SENSE, words, channel=channel.name, until=end, lost=True)]
    words = _air_shown(log, v, ambient, middle, least)
    if words:
        return [fault(log, codes.V_SENSE, words, channel=channel.name, until=end, lost=True)]
    found: list[Fault] = []
    if top > ambient + BEYOND_AIR:
        at = int(np.nanargmax(np.where(v > ambient + BEYOND_AIR, 1.0, 0.0)))
        fits = [f"{a} taken as {b}" for a, b, s in _FITS if 0.4 * ambient < top / s < 0.98 * ambient]
        words = f"{show(top, 'pressure')} below air of {show(ambient, 'pressure')}"
        words += f"; {fits[0]} would give {show(_scaled(top, fits[0]), 'pressure')}" if fits else ""
        found.append(
            fault(
                log,
                codes.V_IMPOSSIBLE,
                words,
                channel=channel.name,
                time=float(log.times[at]),
                until=end,
                lost=True,
            )
        )
    elif 100.0 < top < 8e3 and middle > 0.5 * top:
        words = f"never more than {show(top, 'pressure', decimals=1)}: inHg taken as mbar, or no vacuum"
        found.append(fault(log, codes.V_UNIT, words, channel=channel.name, until=end))
    if count > 60 and not moved and abs(middle) > 1e3:
        words = f"{show(middle, 'pressure', decimals=2)} in all {count} samples"
        found.append(fault(log, codes.V_STUCK, words, channel=channel.name, until=end, lost=True))
    else:
        found += _stays(log, channel.name, v, temps)
    blank = list(runs(~np.isfinite(v)))
    if blank:
        start, stop = max(blank, key=lambda r: r[1] - r[0])
        span = float(log.times[min(stop + 1, len(log) - 1)] - log.times[max(start - 1, 0)])
        words = f"{sum(b - a + 1 for a, b in blank)} cells, the longest run {length_up(span)}"
        found.append(fault(log, codes.V_MISSING, words, channel=channel.name, time=float(log.times[start])))
    return found


def _air_shown(log: CureLog, v: FloatArray, ambient: float, middle: float, least: float) -> str:
    """Whether the gauge shows the whole air pressure as vacuum before the pump-down or after the release, and
    less in between (``middle`` and ``least`` of ``v`` [Pa]): its sense is the other one. "" where nothing
    shows that."""
    good = np.flatnonzero(np.isfinite(v))
    if good.size < 8:
        return ""
    count = max(3, min(10, good.size // 8))
    near = AIR_SHARE * min(ambient, SEA_LEVEL_PRESSURE)
    for part, words in ((good[:count], "before the pump-down"), (good[-count:], "after the release")):
        shown = float(np.median(v[part]))
        if shown >= near and least < shown - 0.06 * ambient and abs(shown - middle) > 0.06 * ambient:
            return (
                f"{show(shown, 'pressure')} {words}, {show(middle, 'pressure')} in the cure: "
                "the gauge shows air where there is no vacuum"
            )
    return ""


def _stays(log: CureLog, name: str, v: FloatArray, temps: FloatArray) -> list[Fault]:
    """A vacuum that does not change by its last digit while it changed before, or from the ramp to the end of
    the log although the part was heated and cooled."""
    same = np.concatenate([[False], np.diff(v) == 0])
    begins, ends = run_ends(same)
    long = log.times[ends] - log.times[np.maximum(begins - 1, 0)] >= STAY
    if not long.any():
        return []
    middle = mean_of_rows(temps)
    found: list[Fault] = []
    for a, b in zip(begins[long].tolist(), ends[long].tolist(), strict=True):
        first = a - 1
        span, steps = float(log.times[b] - log.times[first]), b - first
        if span < STAY or steps < 20 or v[first] < 3e3:
            continue
        drawn = np.isfinite(v) & (v > 0.8 * v[first]) & (v < 1.2 * v[first])
        drawn[first : b + 1] = False
        drawn[:1] = False
        share = float(np.mean(~same[drawn])) if drawn.sum() >= 20 else 0.0
        others = (ends - begins + 1)[(ends < first) | (begins > b)]
        moved = np.diff(v, prepend=np.nan)[drawn]
        moved = np.sign(moved[np.isfinite(moved) & (moved != 0)])
        turns = float(np.mean(moved[1:] != moved[:-1])) if moved.size > 1 else 0.0
        lively = (
            share >= LIVELY
            and turns >= TURNS
            and share * steps >= 12.0
            and steps >= 3 * others.max(initial=1)
        )
        inside = middle[first : b + 1]
        inside = inside[np.isfinite(inside)]
        heated = bool(inside.size) and float(inside.max() - inside[0]) > 30.0
        cooled = heated and float(inside.max() - inside[-1]) > 30.0
        to_end = b >= len(v) - 2
        if lively or (heated and cooled and to_end):
            why = (
                "it changed all the time before"
                if lively
                else "through heat and cooling to the end of the log"
            )
            words = f"at {show(float(v[first]), 'pressure', decimals=2)} for {length(span)}: {why}"
            begin = float(log.times[first + 1])
            until = float(log.times[b])
            found.append(
                fault(
                    log,
                    codes.FROZEN,
                    words,
                    channel=name,
                    time=begin,
                    until=until,
                    lost=True,
                    sensor_lost=False,
                )
            )
    return found


def _scaled(value: float, words: str) -> float:
    return value / next(s for a, b, s in _FITS if words == f"{a} taken as {b}")
