"""Air and steam to numbers of our own: the standard's formulas evaluated, and steam tables without a name.

22 inHg end at 8,266 ft by the US Standard Atmosphere 1976; 29.84 and 134.60 psia are IAPWS-IF97's
saturation pressures at 250 and 350 F, with the air of a closed cell added (Dalton). The heats of
vaporisation are those of steam tables on IF97, from memory; which tables was not kept.
"""

from __future__ import annotations

import pytest

from panelmend.physics import atmosphere, steam
from panelmend.units import FOOT, INHG, PSI


def test_pressure_at_eleven_kilometres_to_a_twentieth_of_a_pascal() -> None:
    assert atmosphere.standard_pressure(11000.0) == pytest.approx(22632.06, abs=0.05)


def test_twenty_two_inches_cannot_exist_above_8266_feet() -> None:
    assert atmosphere.highest_elevation(22.0 * INHG) / FOOT == pytest.approx(8266, abs=0.5)


@pytest.mark.parametrize(("celsius", "kj"), [(0.01, 2500.9), (100.0, 2256.4), (150.0, 2113.7)])
def test_heat_of_vaporisation(celsius: float, kj: float) -> None:
    # steam tables on IF97; the mixed use of two IAPWS releases leaves 0.1 %
    assert steam.latent_heat(celsius + 273.15) == pytest.approx(kj * 1e3, rel=1e-3)


@pytest.mark.parametrize(
    ("fahrenheit", "saturated", "sealed"), [(250.0, 29.84, 49.1), (350.0, 134.60, 156.6)]
)
def test_wet_cell_at_cure_temperature(fahrenheit: float, saturated: float, sealed: float) -> None:
    t = (fahrenheit + 459.67) / 1.8
    assert steam.saturation_pressure(t) / PSI == pytest.approx(saturated, abs=0.006)
    cell = steam.sealed_cell_pressure(t, 293.15, 101325.0)
    assert cell / PSI == pytest.approx(sealed, abs=0.06)
    assert (cell - 101325.0) / PSI == pytest.approx(sealed - 14.7, abs=0.06)
