"""The air around the repair: standard atmosphere, pressure at a field, reach of a vacuum.

US Standard Atmosphere 1976 (NOAA/NASA/USAF, Washington 1976), lowest layer (-5 to 11 km). Elevations are
taken as geopotential heights, as aviation does; at 10,000 ft that moves the pressure by 0.02 %.
"""

from __future__ import annotations

from panelmend.errors import RangeError
from panelmend.units.fundamental import GRAVITY, SEA_LEVEL_PRESSURE

SEA_LEVEL_TEMPERATURE = 288.15  # K
LAPSE_RATE = 0.0065  # K/m
AIR_MOLAR = 0.0289644  # kg/mol
GAS_1976 = 8.31432  # J/(mol K), the value the 1976 standard uses
_POWER = GRAVITY * AIR_MOLAR / (GAS_1976 * LAPSE_RATE)


def standard_temperature(elevation: float) -> float:
    """Temperature of the standard atmosphere.

    Args:
        elevation: height above sea level [m], -5,000 to 11,000.

    Returns:
        [K].

    Raises:
        RangeError: outside the lowest layer of the atmosphere.

    Source: US Standard Atmosphere 1976, equation 23.
    """
    if not -5000.0 <= elevation <= 11000.0:
        raise RangeError(f"elevation {elevation:g} m is outside the lowest layer (-5,000 to 11,000 m)")
    return SEA_LEVEL_TEMPERATURE - LAPSE_RATE * elevation


def standard_pressure(elevation: float) -> float:
    """Pressure of the standard atmosphere.

    Args:
        elevation: height above sea level [m], -5,000 to 11,000.

    Returns:
        absolute pressure [Pa].

    Raises:
        RangeError: outside the lowest layer.

    Source: US Standard Atmosphere 1976, equation 33a.
    """
    return float(SEA_LEVEL_PRESSURE * (standard_temperature(elevation) / SEA_LEVEL_TEMPERATURE) ** _POWER)


def standard_elevation(pressure: float) -> float:
    """Elevation at which the standard atmosphere has this pressure (pressure altitude).

    Args:
        pressure: absolute [Pa].

    Returns:
        height above sea level [m].

    Raises:
        RangeError: pressure of no elevation in the lowest layer.

    Source: US Standard Atmosphere 1976, equation 33a inverted.
    """
    if not 22700.0 <= pressure <= 177700.0:
        raise RangeError(f"{pressure:g} Pa is no pressure of the lowest layer (22.7 to 177.7 kPa absolute)")
    ratio = (pressure / SEA_LEVEL_PRESSURE) ** (1.0 / _POWER)
    return float(SEA_LEVEL_TEMPERATURE / LAPSE_RATE * (1.0 - ratio))


def station_pressure(altimeter_setting: float, elevation: float) -> float:
    """Air pressure at a field from its altimeter setting, which is reduced to sea level.

    A weather report gives the altimeter setting: at 5,000 ft it reads near 29.9 inHg while the air
    has only 24.9 inHg. Vacuum is limited by the second.

    Args:
        altimeter_setting: as reported, reduced to sea level [Pa].
        elevation: of the field [m].

    Returns:
        absolute pressure at the field [Pa].

    Source: definition of the altimeter setting (ICAO Doc 7488: the standard column shifted to fit).
    """
    shift = standard_elevation(altimeter_setting)
    return standard_pressure(elevation + shift)


def highest_elevation(gauge: float, pump_ultimate: float = 0.0) -> float:
    """Elevation above which a gauge vacuum cannot exist in the standard atmosphere.

    Args:
        gauge: vacuum wanted, positive [Pa].
        pump_ultimate: absolute pressure the pump can reach [Pa].

    Returns:
        height above sea level [m].

    Source: US Standard Atmosphere 1976.
    """
    return standard_elevation(gauge + pump_ultimate)
