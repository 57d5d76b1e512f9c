"""Thermocouples: tolerances in Fahrenheit, the wrong wire on an input.

Tolerances in Fahrenheit and shares of a reading follow from ASTM E230's. The tables stand as printed in
tests/published/test_thermocouple.py; test_thermocouple_laws.py holds that they are read back.
"""

from __future__ import annotations

import pytest

from panelmend.physics import thermocouple as tc

ICE = 273.15


def kelvin(fahrenheit: float) -> float:
    return (fahrenheit + 459.67) / 1.8


def test_tolerance_at_cure_temperatures() -> None:
    for fahrenheit in (250.0, 350.0):
        assert tc.tolerance("J", kelvin(fahrenheit)) * 1.8 == pytest.approx(3.96)
        assert tc.tolerance("K", kelvin(fahrenheit), special=True) * 1.8 == pytest.approx(1.98)


def test_the_greater_of_the_two_tolerances_of_type_t_counts() -> None:
    assert tc.tolerance("T", 200.0 + ICE) == pytest.approx(1.5)
    assert tc.tolerance("T", 200.0 + ICE, special=True) == pytest.approx(0.8)


def test_iron_wire_on_a_k_input_reads_302() -> None:
    assert tc.reading("J", "K", kelvin(250.0), kelvin(77.0)) == pytest.approx(kelvin(302.0), abs=0.5)
