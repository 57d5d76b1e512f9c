"""Faults of a vacuum channel."""

from __future__ import annotations

import math

import numpy as np

from panelmend.plan.judge import codes
from panelmend.plan.judge.fault import Fault, fault, length, runs
from panelmend.plan.judge.log import Channel, CureLog
from panelmend.units import show

SEA_LEVEL_MOST = 104e3  # Pa: about the highest air pressure at sea level in ordinary weather
_FITS = (("kPa", "inHg", 3.386389), ("mbar", "kPa", 10.0), ("mbar", "inHg", 33.86389), ("mmHg", "inHg", 25.4))


def vacuum_faults(log: CureLog, channel: Channel) -> list[Fault]:
    """Vacuum that cannot exist, has the wrong sense, is stuck, far too small, or missing."""
    v = channel.values
    good = v[np.isfinite(v)]
    end = float(log.times[-1])
    if not good.size:
        return [fault(log, codes.DEAD, "every cell is empty", channel=channel.name, until=end, lost=True)]
    ambient = log.ambient if math.isfinite(log.ambient) else SEA_LEVEL_MOST
    top, middle, first = (float(x) for x in (np.percentile(good, 98), np.median(good), good[0]))
    if middle < -3e3:
        words = f"half of the readings are below {show(middle, 'pressure')}: the sign is turned"
        return [fault(log, codes.V_SENSE, words, channel=channel.name, until=end, lost=True)]
    if first > 0.9 * min(ambient, 101325.0) and middle < 0.5 * first and top < 1.05 * ambient:
        words = (
            f"starts at {show(first, 'pressure')} and falls to {show(middle, 'pressure')}: absolute pressure"
        )
        return [fault(log, codes.V_SENSE, words, channel=channel.name, until=end, lost=True)]
    found: list[Fault] = []
    if top > ambient + 1e3:
        at = int(np.nanargmax(np.where(v > ambient + 1e3, 1.0, 0.0)))
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
    if good.size > 60 and np.ptp(good) == 0 and abs(middle) > 1e3:
        words = f"{show(middle, 'pressure', decimals=2)} in all {good.size} samples"
        found.append(fault(log, codes.V_STUCK, words, channel=channel.name, until=end, lost=True))
    blank = list(runs(~np.isfinite(v)))
    if blank:
        start, stop = max(blank, key=lambda r: r[1] - r[0])
        span = float(log.times[min(stop + 1, len(log) - 1)] - log.times[max(start - 1, 0)])
        words = f"{sum(b - a + 1 for a, b in blank)} cells, the longest run {length(span)}"
        found.append(fault(log, codes.V_MISSING, words, channel=channel.name, time=float(log.times[start])))
    return found


def _scaled(value: float, words: str) -> float:
    return value / next(s for a, b, s in _FITS if words == f"{a} taken as {b}")
