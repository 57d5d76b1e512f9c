"""Refusals shared by the structural modules, and the result that says why there is no number."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelmend.errors import InputError

Array = NDArray[np.float64]


@dataclass(frozen=True)
class NotComputed:
    """A check that could not be made, with the reason; never a pass."""

    reason: str


def positive(value: float, name: str, unit: str) -> float:
    """``value`` [any] given back [any], refused unless it is finite and above zero.

    Raises:
        InputError: zero, negative, infinite or no number.
    """
    number = finite(value, name, unit)
    if number <= 0.0:
        raise InputError(
            f"{name} must be above zero", read=f"{number:g} {unit}", expected="a positive number"
        )
    return number


def not_negative(value: float, name: str, unit: str) -> float:
    """``value`` [any] given back [any], refused unless it is finite and zero or above.

    Raises:
        InputError: negative, infinite or no number.
    """
    number = finite(value, name, unit)
    if number < 0.0:
        raise InputError(f"{name} must not be negative", read=f"{number:g} {unit}", expected="zero or more")
    return number


def finite(value: float, name: str, unit: str) -> float:
    """``value`` [any] given back [any], refused unless it is a finite number.

    Raises:
        InputError: infinite or no number.
    """
    if isinstance(value, bool) or not isinstance(value, int | float | np.floating | np.integer):
        raise InputError(f"{name} is no number", read=repr(value)[:40], expected=f"a number in {unit}")
    if not math.isfinite(value):
        raise InputError(f"{name} is not finite", read=f"{value!r}", expected=f"a number in {unit}")
    return float(value)


def angle(value: float, name: str) -> float:
    """An angle [rad] given back [rad]; more than one turn is taken for degrees and refused.

    Raises:
        InputError: no finite number, or beyond one turn either way.
    """
    number = finite(value, name, "rad")
    if abs(number) > 2.0 * math.pi:
        raise InputError(
            f"{name} is more than one full turn",
            read=f"{number:g} rad",
            expected="an angle in radians between -2 pi and 2 pi",
            todo="degrees must be turned into radians first: 45 deg is 0.785 rad",
        )
    return number
