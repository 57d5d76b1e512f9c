"""What a heat run gives back."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelmend.errors import MissingError
from panelmend.physics.heat.grid import Array


@dataclass(frozen=True)
class Progress:
    """How far a run is, for the caller's report, which may raise :class:`panelmend.errors.Cancelled`."""

    share: float  # of the longest time allowed [-]
    seconds: float  # of the process [s]
    words: str


@dataclass(frozen=True)
class LegTimes:
    """When a leg of a recipe came about; None where it never did."""

    arrived: float | None  # set point at the target [s]
    holding: float | None  # all sensors in the band, the clock starts [s]
    ended: float | None  # [s]


@dataclass(frozen=True)
class Energy:
    """Where the heat went, from the beginning to the end."""

    heaters: float  # put in [J]
    cure: float  # given by the resin [J]
    lost: tuple[float, ...]  # through each cover [J]
    latent: float  # taken by boiling water [J]
    stored: float  # gained by the panel [J]

    @property
    def unbalanced(self) -> float:
        """What does not add up, as a share of the largest term [-]."""
        miss = self.heaters + self.cure - sum(self.lost) - self.latent - self.stored
        largest = max(abs(v) for v in (self.heaters, self.cure, self.latent, self.stored, *self.lost))
        return miss / largest if largest > 0.0 else 0.0


@dataclass(frozen=True, eq=False)
class WatchedRegion:
    """A watched region: every cell at every sample."""

    x: Array  # centres [m], shape (n,)
    y: Array
    area: Array  # [m2]
    temperature: Array  # [K], shape (samples, n)
    degree: Array  # of cure [-], shape (samples, n); 0 where nothing cures
    times: Array  # [s], shape (samples,)

    @property
    def hottest(self) -> Array:
        """Hottest cell at each sample [K], shape (samples,)."""
        return np.asarray(self.temperature.max(axis=1))

    @property
    def coldest(self) -> Array:
        """Coldest cell at each sample [K], shape (samples,)."""
        return np.asarray(self.temperature.min(axis=1))

    def place(self, cell: int) -> tuple[float, float]:
        """Where a cell lies [m]."""
        return float(self.x[cell]), float(self.y[cell])


@dataclass(frozen=True, eq=False)
class HeatResult:
    """A finished heat run."""

    times: Array  # samples [s], shape (samples,)
    probes: dict[str, Array]  # [K]
    duty: dict[str, Array]  # of each heater [-]
    target: dict[str, Array]  # set point of each heater [K]
    regions: dict[str, WatchedRegion]
    legs: dict[str, tuple[LegTimes, ...]]  # of each heater's recipe
    finished: bool  # every recipe ended before the longest time
    energy: Energy
    temperature: Array  # at the end [K], shape (nz, ny, nx)
    present: NDArray[np.bool_]  # which cells have material
    water_left: float  # [kg]
    steps: int
    step: float  # the longest taken [s]; parts of it where the heat of cure is lively
    cells: int

    def region(self, name: str) -> WatchedRegion:
        """A watched region by its name.

        Raises:
            MissingError: none of that name was watched.
        """
        try:
            return self.regions[name]
        except KeyError:
            raise MissingError(
                f"no region {name!r} was watched; there are: {', '.join(self.regions)}"
            ) from None
