"""What may have happened where nothing was read: bounds from the readings either side of a hole and from the
blanket fully on or fully off, never from the course that was to be expected.

Both rates are upper bounds of our choice (common practice, no source): a blanket of 12 kW/m2 over its own
heat capacity and little else, and a bare thin panel in blown air.
"""

from __future__ import annotations

import numpy as np

from panelmend.plan.judge.evidence import Evidence
from panelmend.plan.judge.fault import OFF, ON


def peak(before: float, after: float, seconds: float) -> float:
    """The highest temperature between two readings [K]: up with the blanket on, back with it off."""
    return max(before, after, (ON * OFF * seconds + ON * after + OFF * before) / (ON + OFF))


def trough(before: float, after: float, seconds: float) -> float:
    """The lowest temperature between two readings [K]: down with the blanket off, back with it on."""
    return min(before, after, (ON * before + OFF * after - ON * OFF * seconds) / (ON + OFF))


def holes(e: Evidence, start: float, end: float) -> list[tuple[str, float, float, float, float]]:
    """Times within a range in which a working thermocouple has no reading for longer than counts as unbroken:
    its name, begin and end [s], reading before and after [K]."""
    out: list[tuple[str, float, float, float, float]] = []
    if e.known.all() and e.working.all() and np.isfinite(np.sum(e.temps)):
        return out
    for i, name in enumerate(e.names):
        good = np.flatnonzero(np.isfinite(e.temps[:, i]) & e.working[:, i])
        steps = np.diff(e.times[good])
        for k in np.flatnonzero(steps > e.gap):
            a, b = int(good[k]), int(good[k + 1])
            if e.times[b] > start and e.times[a] < end:
                out.append(
                    (name, float(e.times[a]), float(e.times[b]), float(e.temps[a, i]), float(e.temps[b, i]))
                )
    return out
