"""Saturated steam, and the pressure in a closed cell that holds water.

Saturation line: IAPWS-IF97, region 4 (Revised Release on the Industrial Formulation 1997 for the
Thermodynamic Properties of Water and Steam, equations 29 to 31), 273.15 K to 647.096 K.
"""

from __future__ import annotations

import math

from panelmend.errors import RangeError
from panelmend.physics.root import crossing
from panelmend.units.fundamental import ZERO_CELSIUS

LOWEST = ZERO_CELSIUS  # K, where the IF97 saturation line begins
CRITICAL = 647.096  # K
_CRITICAL_DENSITY = 322.0  # kg/m3
_VAPOUR = (-2.03150240, -2.68302940, -5.38626492, -17.2991605, -44.7586581, -63.9201063)
_LIQUID = (1.99274064, 1.09965342, -0.510839303, -1.75493479, -45.5170352, -6.74694450e5)

_N = (
    0.11670521452767e4,
    -0.72421316703206e6,
    -0.17073846940092e2,
    0.12020824702470e5,
    -0.32325550322333e7,
    0.14915108613530e2,
    -0.48232657361591e4,
    0.40511340542057e6,
    -0.23855557567849,
    0.65017534844798e3,
)


def saturation_pressure(temperature: float) -> float:
    """Vapour pressure over liquid water.

    Args:
        temperature: of the water [K], 273.15 to 647.096.

    Returns:
        absolute pressure [Pa].

    Raises:
        RangeError: outside the saturation line.

    Source: IAPWS-IF97, equation 30.
    """
    if not LOWEST <= temperature <= CRITICAL:
        raise RangeError(f"water has no vapour pressure line at {temperature:g} K (273.15 to 647.096 K)")
    theta = temperature + _N[8] / (temperature - _N[9])
    a = theta**2 + _N[0] * theta + _N[1]
    b = _N[2] * theta**2 + _N[3] * theta + _N[4]
    c = _N[5] * theta**2 + _N[6] * theta + _N[7]
    return 1e6 * float((2.0 * c / (-b + math.sqrt(b * b - 4.0 * a * c))) ** 4)


def saturation_temperature(pressure: float) -> float:
    """Boiling temperature of water at an absolute pressure.

    Args:
        pressure: absolute [Pa], 611.213 Pa to 22.064 MPa.

    Returns:
        temperature [K].

    Raises:
        RangeError: outside the saturation line.

    Source: IAPWS-IF97, equation 31.
    """
    if not 611.2126 <= pressure <= 22.064e6:
        raise RangeError(
            f"water has no boiling point at {pressure:g} Pa absolute (the line runs 611.2 Pa to 22.064 MPa)"
        )
    beta = (pressure * 1e-6) ** 0.25
    e = beta**2 + _N[2] * beta + _N[5]
    f = _N[0] * beta**2 + _N[3] * beta + _N[6]
    g = _N[1] * beta**2 + _N[4] * beta + _N[7]
    d = 2.0 * g / (-f - math.sqrt(f * f - 4.0 * e * g))
    return float((_N[9] + d - math.sqrt((_N[9] + d) ** 2 - 4.0 * (_N[8] + _N[9] * d))) / 2.0)


def vapour_density(temperature: float) -> float:
    """Density of saturated vapour.

    Args:
        temperature: [K], 273.15 to 647.

    Returns:
        [kg/m3].

    Source: IAPWS SR1-86(1992), Revised Supplementary Release on Saturation Properties, equation 3.
    """
    t = _below_critical(temperature)
    terms = zip(_VAPOUR, (2 / 6, 4 / 6, 8 / 6, 18 / 6, 37 / 6, 71 / 6), strict=True)
    return _CRITICAL_DENSITY * math.exp(sum(c * t**n for c, n in terms))


def liquid_density(temperature: float) -> float:
    """Density of saturated liquid water.

    Args:
        temperature: [K], 273.15 to 647.

    Returns:
        [kg/m3].

    Source: IAPWS SR1-86(1992), equation 2.
    """
    t = _below_critical(temperature)
    terms = zip(_LIQUID, (1 / 3, 2 / 3, 5 / 3, 16 / 3, 43 / 3, 110 / 3), strict=True)
    return float(_CRITICAL_DENSITY * (1.0 + sum(c * t**n for c, n in terms)))


def latent_heat(temperature: float) -> float:
    """Heat of vaporisation of water.

    Args:
        temperature: [K], 273.15 to 640.

    Returns:
        [J/kg].

    Source: Clausius-Clapeyron equation with the IF97 line and the IAPWS saturation densities.
    """
    _below_critical(temperature)
    step = 0.01
    low, high = max(LOWEST, temperature - step), temperature + step
    slope = (saturation_pressure(high) - saturation_pressure(low)) / (high - low)
    return temperature * slope * (1.0 / vapour_density(temperature) - 1.0 / liquid_density(temperature))


def _below_critical(temperature: float) -> float:
    if not LOWEST <= temperature <= 647.0:
        raise RangeError(f"water is not saturated at {temperature:g} K (273.15 to 647 K)")
    return 1.0 - temperature / CRITICAL


def sealed_cell_pressure(
    temperature: float, sealed_at: float, sealed_pressure: float, *, saturated: bool = True
) -> float:
    """Absolute pressure in a closed cell that holds liquid water and the air it was sealed with.

    The air keeps its amount and volume; liquid stays present, so its vapour is saturated. The volume the
    liquid itself takes up is not counted: a cell more than about a tenth full reaches more than this.

    Args:
        temperature: of the cell now [K].
        sealed_at: temperature at which the air was last in balance with the outside [K].
        sealed_pressure: absolute pressure then, air and vapour together [Pa].
        saturated: the sealed air was already moist to saturation (so it holds less air) [-].

    Returns:
        absolute pressure in the cell [Pa].

    Raises:
        RangeError: outside the saturation line, or the sealed pressure below the vapour pressure.

    Source: Dalton's law with IAPWS-IF97.
    """
    air = sealed_pressure - (saturation_pressure(sealed_at) if saturated else 0.0)
    if air < 0.0:
        raise RangeError(
            f"water at {sealed_at:g} K already boils at {sealed_pressure:g} Pa: no air is left in the cell"
        )
    return air * temperature / sealed_at + saturation_pressure(temperature)


def cell_temperature(
    pressure: float, sealed_at: float, sealed_pressure: float, *, saturated: bool = True
) -> float:
    """Temperature at which a closed wet cell reaches a pressure: the inverse of :func:`sealed_cell_pressure`.

    Args:
        pressure: absolute pressure in the cell [Pa].
        sealed_at: temperature at which the air was last in balance with the outside [K].
        sealed_pressure: absolute pressure then, air and vapour together [Pa].
        saturated: the sealed air was already moist to saturation [-].

    Returns:
        temperature [K].

    Raises:
        RangeError: a pressure the cell has nowhere between freezing and the critical point of water.

    Source: Dalton's law with IAPWS-IF97, solved for the temperature (the pressure rises with it throughout).
    """

    def over(temperature: float) -> float:
        return sealed_cell_pressure(temperature, sealed_at, sealed_pressure, saturated=saturated) - pressure

    if over(LOWEST) > 0.0 or over(CRITICAL) < 0.0:
        raise RangeError(f"a closed wet cell has {pressure:g} Pa at no temperature from 273.15 to 647.096 K")
    return crossing(over, LOWEST, CRITICAL, width=1e-9)
