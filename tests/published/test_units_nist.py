"""NIST Special Publication 811 (2008), appendix B.8: factors for units (values from memory).

The table prints seven digits; factors in bold type are exact. So the tolerance is half a unit of the seventh
digit, 5e-7 relative, and for the exact ones the rounding of doubles, 1e-15.
"""

from __future__ import annotations

import pytest

from panelmend.units import KINDS, read

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
    assert read(f"1 {unit}", kind) == pytest.approx(factor, rel=5e-7)


@pytest.mark.parametrize(("kind", "unit", "factor"), EXACT)
def test_exact_factors(kind: str, unit: str, factor: float) -> None:
    assert read(f"1 {unit}", kind) == pytest.approx(factor, rel=1e-15)


def test_temperatures() -> None:
    """Appendix B.8: T/K = t/C + 273.15 and T/K = (t/F + 459.67)/1.8; a difference has no offset."""
    for fahrenheit in (-40.0, 32.0, 250.0, 350.0):
        assert read(f"{fahrenheit} F", "temperature") == pytest.approx((fahrenheit + 459.67) / 1.8, rel=1e-15)
    assert read("121 C", "temperature") == pytest.approx(394.15, rel=1e-15)
    assert read("10 F", "temperature difference") == pytest.approx(10 / 1.8, rel=1e-15)
    assert read("6 C", "temperature difference") == 6.0
    assert read("5 F/min", "temperature rate") == pytest.approx(5 / 1.8 / 60, rel=1e-15)


def test_vacuum_of_the_handbook() -> None:
    """TM 1-1500-204-23-11 para 6-18b: psi = inHg x 0.49116 and inHg = psi x 2.036, to the digits printed."""
    assert read("1 inHg", "pressure") / read("1 psi", "pressure") == pytest.approx(0.49116, abs=1e-5)
    assert read("1 psi", "pressure") / read("1 inHg", "pressure") == pytest.approx(2.036, abs=5e-4)


def test_every_kind_has_an_example_that_reads() -> None:
    for kind in KINDS.values():
        first, _, second = kind.example.partition(" or ")
        values = [read(part.split(" (")[0], kind.name) for part in (first, second) if part]
        # both examples mean about the same thing, so neither carries a wrong factor
        assert max(values) <= 1.13 * min(values), kind.example
