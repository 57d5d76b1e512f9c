"""Calculated channels without a sensor: the mean, the highest or the lowest of the others, as controllers
write them beside their thermocouples. They do not count as thermocouples."""

from __future__ import annotations

from itertools import combinations

import numpy as np

from panelmend.plan.judge import codes
from panelmend.plan.judge.fault import Fault, fault
from panelmend.plan.judge.faults_sensor import noise_of
from panelmend.plan.judge.log import CureLog, FloatArray, LogReadings

MOST_ROWS = 3000
FINEST = 0.15  # K: a mean can be told where the last digit is no coarser
LEAST_NOISE = 0.01  # K: curves without noise lie where they were drawn
MOST_GROUPED = 12
ALIKE = 0.7  # the others agree among themselves as often: nothing can be concluded


def reckoned_faults(log: CureLog, names: tuple[str, ...], readings: LogReadings) -> list[Fault]:
    """Channels of ``readings`` [K], shape (n, m), that follow from at least two others; they are blanked."""
    found: list[Fault] = []
    rows = readings.table[:: max(1, len(log) // MOST_ROWS)]
    left = [j for j in range(len(names)) if np.isfinite(rows[:, j]).sum() > 50]
    for j in reversed(range(len(names))):
        others = [i for i in left if i != j]
        if j not in left or len(others) < 2:
            continue
        whole = np.isfinite(rows[:, [j, *others]]).all(axis=1)
        mine, beside = rows[whole, j], rows[whole][:, others]
        if mine.size <= 50 or np.ptp(mine) <= 5.0:
            continue
        digit = digit_of(mine)
        noise = float(np.median([noise_of(beside[:, i]) for i in range(len(others))]))
        every = tuple(range(len(others)))
        ways = [
            ("highest", beside.max(axis=1), 0.25 * digit, every),
            ("lowest", beside.min(axis=1), 0.25 * digit, every),
        ]
        near = 1.01 * digit
        if digit <= FINEST and noise >= max(
            0.5 * near, LEAST_NOISE
        ):  # else a real one could lie there as well
            ways += [("mean", beside[:, of].mean(axis=1), near, of) for of in _groups(len(others))]
        for words, value, near, of in ways:
            if np.mean(np.abs(mine - value) <= near) < 0.98 or _alike(beside[:, of], near):
                continue
            text = f"{names[j]} is the {words} of {', '.join(names[others[i]] for i in of)} all through"
            end = float(log.times[-1])
            found.append(fault(log, codes.TWIN, text, channel=names[j], until=end, lost=True, reckoned=True))
            readings.blank(slice(None), j)
            left.remove(j)
            break
    return found


def _groups(count: int) -> list[tuple[int, ...]]:
    """All of the others, and of up to a dozen every two and three."""
    some = [x for k in (2, 3) for x in combinations(range(count), k)] if count <= MOST_GROUPED else []
    return [tuple(range(count)), *(x for x in some if len(x) < count)]


def digit_of(values: FloatArray) -> float:
    """The step of the last digit [K] of values [K]."""
    steps = np.diff(np.unique(np.round(values, 4)))
    return float(np.percentile(steps, 5)) if steps.size else 0.0


def _alike(beside: FloatArray, near: float) -> bool:
    """The others lie as near to one another as that."""
    m = beside.shape[1]
    shares = [np.mean(np.abs(beside[:, i] - beside[:, k]) <= near) for i in range(m) for k in range(i)]
    return bool(np.mean(shares) > ALIKE)
