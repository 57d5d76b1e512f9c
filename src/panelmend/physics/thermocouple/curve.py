"""Voltage of a thermocouple from its temperature and back (ITS-90, NIST Monograph 175)."""

from __future__ import annotations

import math
import tomllib
from dataclasses import dataclass
from enum import StrEnum
from importlib import resources

from panelmend.errors import RangeError
from panelmend.physics.root import crossing
from panelmend.units.fundamental import ZERO_CELSIUS

ICE = ZERO_CELSIUS  # K, the reference junction of the tables


class Wire(StrEnum):
    """Letter types used on bonded repairs."""

    J = "J"
    K = "K"
    T = "T"


@dataclass(frozen=True)
class CurveRange:
    """One polynomial of a reference function, in degrees Celsius and millivolts as published."""

    low: float
    high: float
    c: tuple[float, ...]
    a: tuple[float, ...] = ()

    def millivolts(self, celsius: float) -> float:
        """Value of the polynomial [mV] at a temperature [C]."""
        total = 0.0
        for coefficient in reversed(self.c):
            total = total * celsius + coefficient
        if self.a:
            total += self.a[0] * math.exp(self.a[1] * (celsius - self.a[2]) ** 2)
        return total


def _read() -> dict[Wire, tuple[CurveRange, ...]]:
    text = resources.files("panelmend.physics.thermocouple").joinpath("its90.toml").read_text("utf8")
    table = tomllib.loads(text)
    return {
        wire: tuple(
            CurveRange(r["from"], r["to"], tuple(r["c"]), tuple(r.get("a", ())))
            for r in table[wire.value]["range"]
        )
        for wire in Wire
    }


CURVES = _read()
_LOWEST = -200.0  # below, the curves are too flat to invert with any use for a repair


def emf(wire: Wire | str, temperature: float, reference: float = ICE) -> float:
    """Voltage of a thermocouple.

    Args:
        wire: its letter.
        temperature: of the measuring junction [K].
        reference: of the reference junction [K].

    Returns:
        [V].

    Raises:
        RangeError: outside the type's range (from 73.15 K).

    Source: NIST Monograph 175.
    """
    kind = Wire(wire)
    return 1e-3 * (_millivolts(kind, temperature - ICE) - _millivolts(kind, reference - ICE))


def temperature(wire: Wire | str, voltage: float, reference: float = ICE) -> float:
    """Temperature that a voltage means.

    Args:
        wire: the letter the instrument is set to.
        voltage: measured [V].
        reference: of the reference junction [K].

    Returns:
        [K].

    Raises:
        RangeError: a voltage the type cannot give.

    Source: NIST Monograph 175, the reference function inverted (not its fitted inverse).
    """
    kind = Wire(wire)
    wanted = 1e3 * voltage + _millivolts(kind, reference - ICE)
    low, high = _LOWEST, CURVES[kind][-1].high
    bottom, top = _millivolts(kind, low), _millivolts(kind, high)
    if not bottom <= wanted <= top:
        raise RangeError(
            f"{wanted:.3f} mV is no type {kind} voltage ({bottom:.3f} to {top:.3f} mV): "
            "open circuit or wrong input"
        )
    return crossing(lambda t: _millivolts(kind, t) - wanted, low, high, width=1e-10) + ICE


def _millivolts(wire: Wire, celsius: float) -> float:
    curves = CURVES[wire]
    if not _LOWEST - 1e-9 <= celsius <= curves[-1].high + 1e-9:
        raise RangeError(
            f"type {wire} is tabled from {_LOWEST:g} to {curves[-1].high:g} C, not for {celsius:g} C"
        )
    for piece in curves:
        if celsius <= piece.high:
            return piece.millivolts(celsius)
    return curves[-1].millivolts(celsius)
