"""Factors for units. The table prints seven digits; factors in bold type are exact.

So the tolerance is half a unit of the seventh digit, 5e-7 relative, and for the exact ones the rounding of
doubles, 1e-15.
"""

from __future__ import annotations

import pytest

from panelmend.units import read
from printed_values import Seen, Source, printed

NIST = Source("NIST Special Publication 811 (2008)", Seen.MEMORY)
ARMY = Source("US Army TM 1-1500-204-23-11, general aircraft maintenance", Seen.MEMORY)

ROUNDED = [
    ("mass", "lb", 4.535924e-01),
    ("mass", "oz", 2.834952e-02),
    ("area", "yd2", 8.361274e-01),
    ("volume", "in3", 1.638706e-05),
    ("volume", "ft3", 2.831685e-02),
    ("areal mass", "oz/yd2", 3.390575e-02),
    ("areal mass", "lb/ft2", 4.882428),
    ("density", "lb/ft3", 1.601846e01),
    ("density", "lb/in3", 2.767990e04),
    ("pressure", "inHg", 3.386389e03),
    ("pressure", "mmHg", 1.333224e02),
    ("pressure", "psi", 6.894757e03),
    ("pressure", "ksi", 6.894757e06),
    ("force", "lbf", 4.448222),
    ("moment", "in lbf", 1.129848e-01),
    ("moment", "ft lbf", 1.355818),
    ("running load", "lbf/in", 1.751268e02),
    ("power density", "W/in2", 1.550003e03),
    ("angle", "deg", 1.745329e-02),
]
EXACT = [
    ("length", "in", 2.54e-02),
    ("length", "ft", 3.048e-01),
    ("length", "yd", 9.144e-01),
    ("length", "mil", 2.54e-05),
    ("area", "in2", 6.4516e-04),
    ("area", "ft2", 9.290304e-02),
    ("volume", "l", 1.0e-03),
    ("density", "g/cm3", 1.0e03),
    ("pressure", "atm", 1.01325e05),
    ("pressure", "bar", 1.0e05),
    ("pressure", "mbar", 1.0e02),
    ("time", "h", 3.6e03),
    ("time", "day", 8.64e04),
]


@pytest.mark.parametrize(("kind", "unit", "factor"), ROUNDED)
def test_factors_as_printed(kind: str, unit: str, factor: float) -> None:
    assert read(f"1 {unit}", kind) == printed(
        factor, source=NIST, place=f"appendix B.8, {kind}, {unit}", rel=5e-7
    )


@pytest.mark.parametrize(("kind", "unit", "factor"), EXACT)
def test_exact_factors(kind: str, unit: str, factor: float) -> None:
    assert read(f"1 {unit}", kind) == printed(
        factor, source=NIST, place=f"appendix B.8, {kind}, {unit}", rel=1e-15
    )


def test_vacuum_of_the_handbook() -> None:
    inch, pound = read("1 inHg", "pressure"), read("1 psi", "pressure")
    assert inch / pound == printed(0.49116, source=ARMY, place="para 6-18b, psi in one inHg", within=1e-5)
    assert pound / inch == printed(2.036, source=ARMY, place="para 6-18b, inHg in one psi", within=5e-4)
