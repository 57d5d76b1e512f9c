"""Counting the cases of an ensemble: interval of a share, spread, and what drives the extremes."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from panelmend.errors import InputError
from panelmend.job.cure.prediction import Driver
from panelmend.job.cure.problem import Unknown
from panelmend.predict.reading import CHANNELS, COLDEST, HOTTEST, PLACES

Array = NDArray[np.float64]
_NORMAL = 1.959963984540054  # 97.5 % of the standard normal distribution


def quantiles(values: Array) -> tuple[float, float, float]:
    """5, 50 and 95 % of values."""
    low, middle, high = (round(float(v), 2) for v in np.quantile(values, (0.05, 0.5, 0.95)))
    return low, middle, high


def drivers(unknowns: Sequence[Unknown], values: Array, kelvin: Array) -> tuple[Driver, ...]:
    """What each unknown moves: mean of the cases in the top fifth of its range less mean of the bottom fifth.

    Before, what the other unknowns do is taken out as far as it is straight (least squares), so that chance
    in how they fall into the two fifths does not count. Places and errors of single thermocouples are taken
    together, each in a row of its own, without a sign.

    Args:
        unknowns: what was drawn, in the order of the columns of ``values``.
        values: of the unknowns, shape (cases, unknowns).
        kelvin: temperatures of the cases [K], shape (cases, temperatures).

    What is off either way does alike harm at both ends, so the two outer fifths together are held against the
    middle fifth too.

    Returns:
        for the coldest and hottest of the bond line in the dwell [K], what moves most first; 0 where no case
        lies in a fifth.
    """
    aim = kelvin[:, [COLDEST, HOTTEST]]
    off = values - values.mean(axis=0)
    lowest, highest = values.min(axis=0), values.max(axis=0)
    width = np.maximum(highest - lowest, 1e-12)
    slopes = np.linalg.lstsq(off / width, aim - aim.mean(axis=0), rcond=None)[0] / width[:, None]
    made, together = list[Driver](), dict[str, Array]()
    for n, unknown in enumerate(unknowns):
        fifth = 0.2 * (unknown.high - unknown.low)
        top, bottom = values[:, n] >= unknown.high - fifth, values[:, n] <= unknown.low + fifth
        middle = ~(top | bottom) & (np.abs(values[:, n] - 0.5 * (unknown.low + unknown.high)) <= 0.5 * fifth)
        moved = np.zeros(4)
        if top.any() and bottom.any() and fifth > 0.0:
            others = off @ slopes - np.outer(off[:, n], slopes[n])
            own = aim - others
            moved[:2] = own[top].mean(axis=0) - own[bottom].mean(axis=0)
            if middle.any():
                ends = 0.5 * (own[top].mean(axis=0) + own[bottom].mean(axis=0))
                moved[2:] = ends - own[middle].mean(axis=0)
        if unknown.words in (PLACES, CHANNELS):
            together[unknown.words] = together.get(unknown.words, np.zeros(4)) + moved**2
        else:
            made.append(_driver(unknown.name, moved))
    made += [_driver(words, np.sqrt(squares)) for words, squares in together.items()]
    return tuple(sorted(made, key=lambda d: -d.most))


def _driver(name: str, moved: Array) -> Driver:
    cold, hot, cold_either, hot_either = (round(float(v), 2) for v in moved)
    return Driver(name, cold, hot, (cold_either, hot_either))


def wilson(held: int, cases: int) -> tuple[float, float]:
    """95 % interval of a share that was counted.

    Args:
        held: how many.
        cases: of how many.

    Returns:
        lowest and highest share [1].

    Source: E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209.
    """
    if not 0 <= held <= cases or cases < 1:
        raise InputError("no count of cases", read=f"{held} of {cases}")
    p, z2 = held / cases, _NORMAL**2
    middle = (p + z2 / (2 * cases)) / (1 + z2 / cases)
    half = _NORMAL / (1 + z2 / cases) * math.sqrt(p * (1 - p) / cases + z2 / (4 * cases**2))
    return (0.0 if held == 0 else middle - half, 1.0 if held == cases else middle + half)
