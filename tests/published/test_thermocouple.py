"""Thermocouples: tables printed to 0.001 mV, and tolerances."""

from __future__ import annotations

import pytest

from panelmend.physics import thermocouple as tc
from printed_values import Seen, Source, printed

MONOGRAPH = Source(
    "G. W. Burns et al., NIST Monograph 175, Temperature-Electromotive Force Reference Functions and Tables "
    "for the Letter-Designated Thermocouple Types Based on the ITS-90, 1993",
    Seen.MEMORY,
)
QUOTED = Source(MONOGRAPH.title, Seen.QUOTED)  # type K: seen in sources that give NIST's type_k.tab
E230 = Source("ASTM E230/E230M, table 1", Seen.MEMORY)
ICE = 273.15


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
def test_tables(wire: str, celsius: float, mv: float) -> None:
    volts, source = tc.emf(wire, celsius + ICE), QUOTED if wire == "K" else MONOGRAPH
    assert volts * 1e3 == printed(mv, source=source, place=f"type {wire} at {celsius} C [mV]", within=0.0005)


def test_tolerances_at_cure_temperatures() -> None:
    for celsius in (121.0, 177.0):
        usual, special = tc.tolerance("J", celsius + ICE), tc.tolerance("K", celsius + ICE, special=True)
        assert usual == printed(2.2, source=E230, place="type J, usual [C]")
        assert special == printed(1.1, source=E230, place="type K, special [C]")


def test_tolerances_of_type_t() -> None:
    """1.0 C or 0.75 %, special 0.5 C or 0.4 %, whichever is greater."""
    cold, hot = 100.0 + ICE, 200.0 + ICE
    assert tc.tolerance("T", cold) == printed(1.0, source=E230, place="type T, usual [C]")
    assert tc.tolerance("T", cold, special=True) == printed(0.5, source=E230, place="type T, special [C]")
    share, tight = tc.tolerance("T", hot) / 2.0, tc.tolerance("T", hot, special=True) / 2.0
    assert share == printed(0.75, source=E230, place="type T, usual [% of the reading]")
    assert tight == printed(0.4, source=E230, place="type T, special [% of the reading]")
