"""What the heat solver is told: layers, outer faces, heaters with their recipe, and what to watch."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from panelmend.errors import InputError
from panelmend.physics.cure_chemistry.laws import RateLaw
from panelmend.physics.film import BOLTZMANN, Flux, convection_row, covered_flux
from panelmend.physics.heat.grid import Array, Grid
from panelmend.units.fundamental import SEA_LEVEL_PRESSURE

Map = float | Array  # one value for the whole layer, or one for each cell, shape (ny, nx)


@dataclass(frozen=True, eq=False)
class HeatResin:
    """Resin that cures in a layer and gives heat."""

    law: RateLaw
    heat: Map  # heat of full cure of the layer's whole thickness [J/m2]
    start: float = 0.0  # degree of cure at the beginning [-]


@dataclass(frozen=True, eq=False)
class Water:
    """Free water in a core layer."""

    mass: Map  # [kg/m3 of core]
    sealed: bool = True  # cells closed (vapour stays) or open to the bag (water boils off)
    boiling: float = 373.15  # temperature at which open cells boil [K]


@dataclass(frozen=True, eq=False)
class HeatLayer:
    """One layer, from the top down. A thickness of 0 says it is absent there."""

    name: str
    thickness: Map  # [m]
    k_x: Map  # [W/(m K)]
    k_y: Map  # [W/(m K)]
    k_z: Map  # [W/(m K)]
    heat: Map  # volumetric heat capacity, density times specific heat [J/(m3 K)]
    cells: int = 1  # through its thickness
    contact: Map = 0.0  # resistance of the joint under it [m2 K/W]
    resin: HeatResin | None = None
    water: Water | None = None


@dataclass(frozen=True)
class FaceCover:
    """An outer face: film and radiation to the air, under insulation (its mass is not counted) if any."""

    air: float  # temperature of air and surroundings [K]
    film: float | None = None  # given film coefficient [W/(m2 K)]; None for natural convection
    emissivity: float = 0.0  # [-]
    insulation: float = 0.0  # resistance of insulation on top [m2 K/W]
    length: float = 0.3  # for natural convection [m]
    facing: str = "up"
    pressure: float = SEA_LEVEL_PRESSURE  # of the air [Pa]
    history: tuple[tuple[float, float], ...] = ()  # air temperature (time [s], [K]); given film only
    draught: float = 0.0  # moving air: added to the film coefficient [W/(m2 K)]

    def __post_init__(self) -> None:
        if not 150.0 <= self.air <= 2000.0:
            raise InputError("no air temperature in kelvin", read=f"{self.air:g} K")
        if self.film is not None and not self.film >= 0.0:
            raise InputError("a film coefficient cannot be negative", read=f"{self.film:g} W/(m2 K)")
        if not 0.0 <= self.emissivity <= 1.0:
            raise InputError("an emissivity lies between 0 and 1", read=f"{self.emissivity:g}")
        if not self.draught >= 0.0:
            raise InputError("moving air cannot take heat back", read=f"{self.draught:g} W/(m2 K)")
        if not self.insulation >= 0.0:
            raise InputError("an insulation resistance cannot be negative", read=f"{self.insulation:g}")
        if self.history and (self.film is None or self.emissivity > 0.0 or self.insulation > 0.0):
            raise InputError(
                "an air temperature that changes needs a given film and nothing else on the face"
            )

    def coefficient(self, surface: float) -> float:
        """Heat lost over temperature difference [W/(m2 K)] at a surface temperature [K]."""
        flux = Flux(
            self.air,
            film=self.film,
            emissivity=self.emissivity,
            length=self.length,
            facing=self.facing,
            pressure=self.pressure,
            draught=self.draught,
        )
        t = surface if abs(surface - self.air) > 0.01 else self.air + 0.01
        return covered_flux(t, self.air, flux, self.insulation) / (t - self.air)

    def coefficients(self, surface: Array) -> Array:
        """:meth:`coefficient` for many surface temperatures [K], shape (n,) both [W/(m2 K)]."""
        if self.insulation > 0.0:
            return np.array([self.coefficient(float(t)) for t in surface])
        t = np.where(np.abs(surface - self.air) > 0.01, surface, self.air + 0.01)
        if self.film is None:
            bare = convection_row(t, self.air, self.length, self.facing, self.pressure)
        else:
            bare = np.full(t.shape, self.film)
        factored = (t**2 + self.air**2) * (t + self.air)
        return np.asarray(bare + self.draught + self.emissivity * BOLTZMANN * factored)


INSULATED = FaceCover(293.15, film=0.0)


def held(temperature: float) -> FaceCover:
    """A face held at a temperature [K] (a film of 1e9 W/(m2 K))."""
    return FaceCover(temperature, film=1e9)


@dataclass(frozen=True)
class HeatSegment:
    """One leg of a recipe: go to a temperature at a rate, then hold until the clock has run.

    Heating, the clock runs while the coldest sensor is within ``band`` of the target; cooling, the leg ends
    when the hottest is within ``band`` above it.
    """

    target: float  # [K]
    rate: float  # of the set point, positive also when cooling [K/s]
    dwell: float = 0.0  # [s]
    band: float = 3.0  # [K]

    def __post_init__(self) -> None:
        if not 200.0 <= self.target <= 700.0:
            raise InputError("no cure temperature in kelvin", read=f"{self.target:g} K")
        if not 0.0 < self.rate < 1.0:
            raise InputError(
                "a ramp rate must be positive",
                read=f"{self.rate:g} K/s",
                expected="below 1 K/s",
                todo="check whether it was given per minute",
            )
        if not (0.0 <= self.dwell <= 30 * 86400.0 and self.band >= 0.0):
            raise InputError("dwell and band cannot be negative", read=f"{self.dwell:g} s, {self.band:g} K")


class Follow(StrEnum):
    """Which of its sensors a controller follows."""

    LEADING = "leading"
    LAGGING = "lagging"
    AVERAGE = "average"
    CONSTANT = "constant"  # no controller: constant duty


@dataclass(frozen=True)
class HeatPlace:
    """A point in a layer where a sensor or probe sits."""

    name: str
    layer: str
    x: float  # [m]
    y: float  # [m]
    cell: int = 0  # which cell through the layer, counted down; -1 the lowest
    error: float = 0.0  # by which what it shows is off: shown less true [K]


@dataclass(frozen=True, eq=False)
class Heater:
    """A heated blanket zone with its own controller (proportional and integral, duty 0 to ``most``)."""

    name: str
    layer: str  # where the heat arises
    power: Map  # at full duty [W/m2]
    follow: Follow = Follow.CONSTANT
    sensors: tuple[HeatPlace, ...] = ()
    recipe: tuple[HeatSegment, ...] = ()
    most: float = 1.0  # greatest duty, or the constant one [-]
    gain: float | None = None  # [1/K]; None: from the stack's heat capacity
    reset: float | None = None  # integral time [s]; None: ten times the closed-loop time
    ceiling: float = math.inf  # power is cut while a sensor is above [K]

    def __post_init__(self) -> None:
        if not 0.0 <= self.most <= 1.0:
            raise InputError("a duty lies between 0 and 1", read=f"{self.most:g}")
        if self.follow is not Follow.CONSTANT and not (self.sensors and self.recipe):
            raise InputError(f"heater {self.name} follows sensors and needs them and a cure cycle")
        for leg in self.recipe:
            if leg.target > self.ceiling:
                raise InputError(
                    f"heater {self.name}: a dwell above the maximum temperature",
                    read=f"{leg.target:g} K",
                    expected=f"<= {self.ceiling:g} K",
                )


@dataclass(frozen=True, eq=False)
class Watch:
    """A region of one layer whose every cell is recorded."""

    name: str
    layer: str
    where: NDArray[np.bool_]  # shape (ny, nx)
    cell: int = 0  # which cell through the layer; -1 the lowest


@dataclass(frozen=True, eq=False)
class HeatModel:
    """Everything the solver needs."""

    grid: Grid
    layers: tuple[HeatLayer, ...]  # from the top down
    start: Map | float  # temperature at the beginning [K]
    covers: tuple[FaceCover, ...]
    top: NDArray[np.int64] | int = 0  # which cover lies on each place, shape (ny, nx)
    bottom: NDArray[np.int64] | int = 0
    edges: tuple[int, int, int, int] | None = None  # covers at low x, high x, low y, high y; None insulated
    heaters: tuple[Heater, ...] = ()
    probes: tuple[HeatPlace, ...] = ()
    watches: tuple[Watch, ...] = field(default=())

    def layer_index(self, name: str) -> int:
        """Place of a layer in the stack, from the top [-].

        Raises:
            InputError: no layer is called so.
        """
        for i, layer in enumerate(self.layers):
            if layer.name == name:
                return i
        raise InputError(f"no layer is called {name!r}", expected=", ".join(x.name for x in self.layers))

    def first_cell(self, name: str, cell: int) -> int:
        """Index through the thickness of a cell of a layer, counted from the top [-].

        Raises:
            InputError: the layer has no such cell, or no layer is called so.
        """
        i = self.layer_index(name)
        n = self.layers[i].cells
        if not -n <= cell < n:
            raise InputError(f"layer {name} has {n} cells", read=f"cell {cell}")
        return sum(x.cells for x in self.layers[:i]) + cell % n
