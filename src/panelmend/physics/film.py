"""Heat given to the air and the surroundings: natural convection, radiation, and insulation on top.

Convection: Churchill and Chu, Int. J. Heat Mass Transfer 18 (1975) 1323 for upright plates; McAdams, Heat
Transmission (3rd ed. 1954) for level plates. Air: US Standard Atmosphere 1976, equations 51 and 53.
"""

from __future__ import annotations

from collections.abc import Callable
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from panelmend.errors import InputError
from panelmend.physics.root import crossing
from panelmend.units.fundamental import GRAVITY, SEA_LEVEL_PRESSURE

BOLTZMANN = 5.670374419e-8  # W/(m2 K4), CODATA 2018
AIR_HEAT = 1007.0  # J/(kg K), dry air 300 to 400 K
AIR_GAS = 287.053  # J/(kg K)


class Facing(StrEnum):
    """Which way a surface looks."""

    UP = "up"
    DOWN = "down"
    SIDE = "side"


def air_conductivity(temperature: float) -> float:
    """Thermal conductivity of dry air.

    Args:
        temperature: [K].

    Returns:
        [W/(m K)].

    Source: US Standard Atmosphere 1976, equation 53.
    """
    return float(2.64638e-3 * temperature**1.5 / (temperature + 245.4 * 10.0 ** (-12.0 / temperature)))


def air_viscosity(temperature: float) -> float:
    """Dynamic viscosity of air.

    Args:
        temperature: [K].

    Returns:
        [Pa s].

    Source: US Standard Atmosphere 1976, equation 51 (Sutherland).
    """
    return float(1.458e-6 * temperature**1.5 / (temperature + 110.4))


def nusselt_upright(rayleigh: float, prandtl: float) -> float:
    """Mean Nusselt number of an upright plate, all Rayleigh numbers.

    Args:
        rayleigh: on the height [-].
        prandtl: of the air [-].

    Returns:
        [-].

    Source: Churchill and Chu 1975, equation 8.
    """
    base = (1.0 + (0.492 / prandtl) ** (9.0 / 16.0)) ** (8.0 / 27.0)
    return float((0.825 + 0.387 * rayleigh ** (1.0 / 6.0) / base) ** 2)


def nusselt_level(rayleigh: float, *, hot_side_up: bool) -> float:
    """Mean Nusselt number of a level plate on the length area / perimeter.

    Args:
        rayleigh: on area / perimeter [-].
        hot_side_up: hot plate facing up, or cold facing down [-].

    Returns:
        [-].

    Source: McAdams 1954: 0.54 Ra^1/4 to 1e7, 0.15 Ra^1/3 above; 0.27 Ra^1/4 for the still side.
    """
    if not hot_side_up:
        return float(0.27 * rayleigh**0.25)
    return float(max(0.54 * rayleigh**0.25, 0.15 * rayleigh ** (1.0 / 3.0)))


def convection(
    surface: float, air: float, length: float, facing: Facing | str, pressure: float = SEA_LEVEL_PRESSURE
) -> float:
    """Film coefficient of natural convection.

    Args:
        surface: temperature of the surface [K].
        air: temperature of the still air [K].
        length: height of an upright plate; area / perimeter of a level one [m].
        facing: which way the surface looks.
        pressure: of the air [Pa].

    Returns:
        [W/(m2 K)], 0 when there is no difference.

    Raises:
        InputError: no length, temperature or pressure.

    Source: Churchill and Chu; McAdams; properties at the film temperature.
    """
    for name, value in (("surface", surface), ("air", air), ("length", length), ("pressure", pressure)):
        if not value > 0.0:
            raise InputError(f"{name} must be positive", read=f"{value:g}")
    mean = 0.5 * (surface + air)
    k, mu = air_conductivity(mean), air_viscosity(mean)
    rho = pressure / (AIR_GAS * mean)
    prandtl = mu * AIR_HEAT / k
    rayleigh = GRAVITY * abs(surface - air) / mean * length**3 * (rho / mu) ** 2 * prandtl
    if rayleigh == 0.0:
        return 0.0
    if Facing(facing) is Facing.SIDE:
        return nusselt_upright(rayleigh, prandtl) * k / length
    rising = (Facing(facing) is Facing.UP) == (surface > air)
    return nusselt_level(rayleigh, hot_side_up=rising) * k / length


def convection_row(
    surface: NDArray[np.float64],
    air: float,
    length: float,
    facing: Facing | str,
    pressure: float = SEA_LEVEL_PRESSURE,
) -> NDArray[np.float64]:
    """:func:`convection` for many surface temperatures at once.

    Args:
        surface: temperatures of the surface, any shape [K].
        air: temperature of the still air [K].
        length: height of an upright plate; area / perimeter of a level one [m].
        facing: which way the surface looks.
        pressure: of the air [Pa].

    Returns:
        of the same shape [W/(m2 K)].

    Source: as :func:`convection`, of which a test holds every value to be the same.
    """
    mean = 0.5 * (surface + air)
    k = 2.64638e-3 * mean**1.5 / (mean + 245.4 * 10.0 ** (-12.0 / mean))
    mu = 1.458e-6 * mean**1.5 / (mean + 110.4)
    prandtl = mu * AIR_HEAT / k
    density = pressure / (AIR_GAS * mean)
    rayleigh = GRAVITY * np.abs(surface - air) / mean * length**3 * (density / mu) ** 2 * prandtl
    match Facing(facing):
        case Facing.SIDE:
            base = (1.0 + (0.492 / prandtl) ** (9.0 / 16.0)) ** (8.0 / 27.0)
            nusselt = np.where(rayleigh == 0.0, 0.0, (0.825 + 0.387 * rayleigh ** (1.0 / 6.0) / base) ** 2)
        case Facing.UP:
            nusselt = _level_row(rayleigh, surface > air)
        case Facing.DOWN:
            nusselt = _level_row(rayleigh, surface < air)
    return np.asarray(nusselt * k / length)


def _level_row(rayleigh: NDArray[np.float64], rises: NDArray[np.bool_]) -> NDArray[np.float64]:
    lively = np.maximum(0.54 * rayleigh**0.25, 0.15 * rayleigh ** (1.0 / 3.0))
    return np.asarray(np.where(rises, lively, 0.27 * rayleigh**0.25))


def radiation(surface: float, surroundings: float, emissivity: float) -> float:
    """Radiation as a film coefficient to large surroundings.

    Args:
        surface: [K].
        surroundings: [K].
        emissivity: of the surface [-].

    Returns:
        [W/(m2 K)].

    Source: Stefan-Boltzmann law, factored.
    """
    return emissivity * BOLTZMANN * (surface**2 + surroundings**2) * (surface + surroundings)


def covered_flux(surface: float, air: float, bare: Callable[[float], float], resistance: float) -> float:
    """Heat lost through a layer of insulation whose outside has a film of its own.

    Args:
        surface: temperature under the insulation [K].
        air: temperature at which the outside loses nothing [K].
        bare: heat flux of the outside as a function of its temperature [W/m2].
        resistance: thickness / conductivity of the insulation, its own heat left out [m2 K/W].

    Returns:
        [W/m2], positive when lost.

    Source: series resistance, solved for the outside temperature.
    """
    if resistance <= 0.0 or surface == air:
        return bare(surface)
    low, high = min(surface, air), max(surface, air)
    outside = crossing(lambda t: bare(t) - (surface - t) / resistance, low, high, width=1e-9)
    return (surface - outside) / resistance


class Flux:
    """Heat flux of a surface as a function of its temperature: convection or a given film, and radiation."""

    def __init__(
        self,
        air: float,
        *,
        film: float | None = None,
        emissivity: float = 0.0,
        length: float = 0.3,
        facing: Facing | str = Facing.UP,
        pressure: float = SEA_LEVEL_PRESSURE,
        draught: float = 0.0,
    ) -> None:
        self.draught = draught
        self.air, self.film, self.emissivity = air, film, emissivity
        self.length, self.facing, self.pressure = length, Facing(facing), pressure

    def __call__(self, surface: float) -> float:
        """Heat lost [W/m2] at a surface temperature [K]."""
        if self.film is None:
            h = convection(surface, self.air, self.length, self.facing, self.pressure)
        else:
            h = self.film
        return (h + self.draught + radiation(surface, self.air, self.emissivity)) * (surface - self.air)
