"""US Standard Atmosphere 1976 (NOAA/NASA/USAF, Washington 1976), pressures by geopotential height, and
IAPWS R7-97(2012), Revised Release on the Industrial Formulation 1997, tables 35 and 36.

Tolerances are half of the last printed digit.
"""

from __future__ import annotations

import pytest

from panelmend.physics import atmosphere, steam
from panelmend.units import FOOT, INHG, PSI


@pytest.mark.parametrize(
    ("feet", "inhg"),
    [
        (0, 29.921),
        (2000, 27.821),
        (4000, 25.842),
        (5000, 24.896),
        (8000, 22.225),
        (10000, 20.577),
        (14000, 17.577),
    ],
)
def test_pressure_by_height(feet: float, inhg: float) -> None:
    assert atmosphere.standard_pressure(feet * FOOT) / INHG == pytest.approx(inhg, abs=0.0006)


def test_pressure_and_temperature_at_eleven_kilometres() -> None:
    # 1976 standard: 22,632.06 Pa (226.32 mb) and 216.65 K at 11 km geopotential
    assert atmosphere.standard_pressure(11000.0) == pytest.approx(22632.06, abs=0.05)
    assert atmosphere.standard_temperature(11000.0) == pytest.approx(216.65, abs=1e-9)


def test_twenty_two_inches_cannot_exist_above_8266_feet() -> None:
    assert atmosphere.highest_elevation(22.0 * INHG) / FOOT == pytest.approx(8266, abs=0.5)


@pytest.mark.parametrize(
    ("kelvin", "mpa"), [(300.0, 3.53658941e-3), (500.0, 2.63889776), (600.0, 12.3443146)]
)
def test_if97_saturation_pressure_table_35(kelvin: float, mpa: float) -> None:
    assert steam.saturation_pressure(kelvin) == pytest.approx(mpa * 1e6, rel=2e-9)


@pytest.mark.parametrize(("mpa", "kelvin"), [(0.1, 372.755919), (1.0, 453.035632), (10.0, 584.149488)])
def test_if97_saturation_temperature_table_36(mpa: float, kelvin: float) -> None:
    assert steam.saturation_temperature(mpa * 1e6) == pytest.approx(kelvin, abs=6e-7)


def test_iapws_supplementary_release_table_1() -> None:
    # IAPWS SR1-86(1992), table 1: vapour and liquid density at 273.16, 373.1243 and 647.096 K
    assert steam.vapour_density(273.16) == pytest.approx(0.00485426, rel=1e-5)
    assert steam.liquid_density(273.16) == pytest.approx(999.789, rel=1e-6)
    assert steam.vapour_density(373.1243) == pytest.approx(0.597586, rel=1e-5)
    assert steam.liquid_density(373.1243) == pytest.approx(958.365, rel=1e-6)


@pytest.mark.parametrize(("celsius", "kj"), [(0.01, 2500.9), (100.0, 2256.4), (150.0, 2113.7)])
def test_heat_of_vaporisation_against_steam_tables(celsius: float, kj: float) -> None:
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


@pytest.mark.parametrize(
    ("kpa", "celsius"), [(10.0, 45.81), (25.0, 64.96), (30.0, 69.09), (50.0, 81.32), (75.0, 91.76)]
)
def test_boiling_under_the_bag_against_steam_tables(kpa: float, celsius: float) -> None:
    # Y. A. Cengel and M. A. Boles, Thermodynamics, table A-5, from memory
    bag = atmosphere.under_bag(101325.0, 101325.0 - kpa * 1e3)
    assert bag.absolute == pytest.approx(kpa * 1e3)
    assert bag.boiling - 273.15 == pytest.approx(celsius, abs=0.015)


def test_altimeter_setting_is_not_air_pressure() -> None:
    # standard day at 5,000 ft: reported 29.92 inHg, in the air 24.90 inHg
    assert atmosphere.station_pressure(29.9213 * INHG, 5000 * FOOT) / INHG == pytest.approx(24.896, abs=0.001)
