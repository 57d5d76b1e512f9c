"""Thermocouples: the tables the other way round, tolerances in Fahrenheit, the wrong wire on an input.

The tables of NIST Monograph 175, from memory; as printed they stand in
tests/published/test_thermocouple.py. Tolerances in Fahrenheit and shares of a reading follow from ASTM
E230's.
"""

from __future__ import annotations

import pytest

from panelmend.physics import thermocouple as tc

ICE = 273.15


def kelvin(fahrenheit: float) -> float:
    return (fahrenheit + 459.67) / 1.8


@pytest.mark.parametrize(
    ("wire", "celsius", "mv"),
    [
        ("K", -100, -3.554),
        ("K", 100, 4.096),
        ("K", 120, 4.920),
        ("K", 150, 6.138),
        ("K", 180, 7.340),
        ("K", 200, 8.138),
        ("K", 300, 12.209),
        ("J", -100, -4.633),
        ("J", 100, 5.269),
        ("J", 120, 6.360),
        ("J", 150, 8.010),
        ("J", 180, 9.669),
        ("J", 200, 10.779),
        ("J", 300, 16.327),
        ("T", -100, -3.379),
        ("T", 100, 4.279),
        ("T", 120, 5.228),
        ("T", 150, 6.704),
        ("T", 180, 8.237),
        ("T", 200, 9.288),
        ("T", 300, 14.862),
    ],
)
def test_tables_the_other_way_round(wire: str, celsius: float, mv: float) -> None:
    assert tc.temperature(wire, mv * 1e-3) == pytest.approx(celsius + ICE, abs=0.02)


def test_tolerance_at_cure_temperatures() -> None:
    for fahrenheit in (250.0, 350.0):
        assert tc.tolerance("J", kelvin(fahrenheit)) * 1.8 == pytest.approx(3.96)
        assert tc.tolerance("K", kelvin(fahrenheit), special=True) * 1.8 == pytest.approx(1.98)


def test_the_greater_of_the_two_tolerances_of_type_t_counts() -> None:
    assert tc.tolerance("T", 200.0 + ICE) == pytest.approx(1.5)
    assert tc.tolerance("T", 200.0 + ICE, special=True) == pytest.approx(0.8)


def test_iron_wire_on_a_k_input_reads_302() -> None:
    assert tc.reading("J", "K", kelvin(250.0), kelvin(77.0)) == pytest.approx(kelvin(302.0), abs=0.5)
