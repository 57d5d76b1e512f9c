"""Air and steam. Tolerances are half of the last printed digit."""

from __future__ import annotations

import pytest

from panelmend.physics import atmosphere, steam
from panelmend.units import FOOT, INHG
from printed_values import Seen, Source, printed

STANDARD = Source(
    "US Standard Atmosphere 1976 (NOAA/NASA/USAF, Washington 1976), by geopotential height", Seen.MEMORY
)
QUOTED = Source(STANDARD.title, Seen.QUOTED)
IF97 = Source("IAPWS R7-97(2012), Revised Release on the Industrial Formulation 1997", Seen.QUOTED)
SR1 = Source("IAPWS SR1-86(1992), Supplementary Release on Saturation Properties", Seen.QUOTED)
CENGEL = Source("Y. A. Cengel, M. A. Boles, Thermodynamics", Seen.MEMORY)


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
    pressure = atmosphere.standard_pressure(feet * FOOT) / INHG
    assert pressure == printed(inhg, source=STANDARD, place=f"pressure at {feet:g} ft [inHg]", within=0.0006)


def test_pressure_and_temperature_at_eleven_kilometres() -> None:
    pressure, kelvin = atmosphere.standard_pressure(11000.0), atmosphere.standard_temperature(11000.0)
    assert pressure / 100.0 == printed(226.32, source=QUOTED, place="pressure at 11 km [mb]", within=0.005)
    assert kelvin == printed(216.65, source=QUOTED, place="temperature at 11 km [K]", within=1e-9)


@pytest.mark.parametrize(
    ("kelvin", "mpa"), [(300.0, 3.53658941e-3), (500.0, 2.63889776), (600.0, 12.3443146)]
)
def test_if97_saturation_pressure_table_35(kelvin: float, mpa: float) -> None:
    pressure = steam.saturation_pressure(kelvin) / 1e6
    assert pressure == printed(mpa, source=IF97, place=f"table 35, pressure at {kelvin:g} K [MPa]", rel=2e-9)


@pytest.mark.parametrize(("mpa", "kelvin"), [(0.1, 372.755919), (1.0, 453.035632), (10.0, 584.149488)])
def test_if97_saturation_temperature_table_36(mpa: float, kelvin: float) -> None:
    found = steam.saturation_temperature(mpa * 1e6)
    assert found == printed(
        kelvin, source=IF97, place=f"table 36, temperature at {mpa:g} MPa [K]", within=6e-7
    )


def test_iapws_supplementary_release_table_1() -> None:
    vapour, liquid = "table 1, density of vapour [kg/m3] at", "table 1, density of liquid [kg/m3] at"
    cold, hot = 273.16, 373.1243
    assert steam.vapour_density(cold) == printed(0.00485426, source=SR1, place=f"{vapour} 273.16 K", rel=1e-5)
    assert steam.liquid_density(cold) == printed(999.789, source=SR1, place=f"{liquid} 273.16 K", rel=1e-6)
    assert steam.vapour_density(hot) == printed(0.597586, source=SR1, place=f"{vapour} 373.1243 K", rel=1e-5)
    assert steam.liquid_density(hot) == printed(958.365, source=SR1, place=f"{liquid} 373.1243 K", rel=1e-6)


@pytest.mark.parametrize(
    ("kpa", "celsius"), [(10.0, 45.81), (25.0, 64.96), (30.0, 69.09), (50.0, 81.32), (75.0, 91.76)]
)
def test_boiling_under_the_bag_against_steam_tables(kpa: float, celsius: float) -> None:
    assert steam.saturation_temperature(kpa * 1e3) - 273.15 == printed(
        celsius, source=CENGEL, place=f"table A-5, boiling at {kpa:g} kPa [C]", within=0.015
    )


def test_altimeter_setting_is_not_air_pressure() -> None:
    # standard day at 5,000 ft: reported 29.92 inHg, in the air 24.90 inHg
    here = atmosphere.station_pressure(29.9213 * INHG, 5000 * FOOT) / INHG
    assert here == printed(24.896, source=STANDARD, place="pressure at 5000 ft [inHg]", within=0.001)
