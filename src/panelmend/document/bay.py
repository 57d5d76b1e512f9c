"""The bay where the work is done, and the stores it is done from."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from panelmend.document.pace import Pace
from panelmend.materials.quantities import (
    Area,
    ArealMass,
    Conductivity,
    Count,
    Current,
    Day,
    Duration,
    FilmCoefficient,
    Flag,
    Length,
    Margin,
    Mass,
    Name,
    Power,
    PowerDensity,
    Pressure,
    Share,
    SpecificHeat,
    Temperature,
    Text,
    Typed,
    Voltage,
    Volume,
)


class Circuit(Typed):
    """A supply circuit."""

    id: Name
    """Short name."""
    rating: Current
    """Rating of its breaker."""
    continuous: Share | None = None
    """Share of the rating that may be drawn for hours."""


class Blanket(Typed):
    """A heat blanket."""

    id: Name
    """Its number."""
    length: Length
    """Length, with its unheated border."""
    width: Length
    """Width, with its unheated border."""
    power_density: PowerDensity | None = None
    """Power on its area, at its rated voltage."""
    power: Power | None = None
    """Power, at its rated voltage."""
    voltage: Voltage
    """Rated voltage."""
    border: Margin = 0.0
    """Unheated border on each side; 0 for none."""
    limit: Temperature | None = None
    """Highest temperature it may reach."""
    thickness: Length | None = None
    """Thickness."""
    areal_mass: ArealMass | None = None
    """Mass on its area."""
    specific_heat: SpecificHeat | None = None
    """Specific heat capacity."""
    conductivity: Conductivity | None = None
    """Conductivity through it (silicone rubber for most)."""


class Instrument(Typed):
    """An instrument with its calibration."""

    id: Name
    """Its number."""
    kind: Literal[
        "vacuum gauge",
        "thermocouple",
        "balance",
        "moisture meter",
        "tap instrument",
        "thermometer",
        "torque",
        "logger",
    ]
    """What it measures."""
    calibrated_until: Day
    """Last day of its calibration."""
    type: Literal["", "J", "K", "T"] = ""
    """Type of a thermocouple."""
    step: Mass | None = None
    """Smallest step a balance shows."""
    uncertainty: Mass | None = None
    """Uncertainty of a balance; its step where nothing better is known."""
    tolerance: Literal["", "standard", "special", "class 1", "class 2"] = ""
    """Tolerance of a thermocouple: limits of ASTM E230, or a class of IEC 60584-1."""


class Bay(Typed):
    """The bay."""

    elevation: Length | None = None
    """Elevation of the bay above sea level."""
    barometer: Pressure | None = None
    """Barometer reading (station pressure, absolute)."""
    air_temperature: Temperature | None = None
    """Air temperature."""
    humidity: Share | None = None
    """Relative humidity."""
    supply: Voltage | None = None
    """Supply voltage."""
    circuit: tuple[Circuit, ...] = ()
    """Circuits."""
    blanket: tuple[Blanket, ...] = ()
    """Heat blankets."""
    pump: Text = ""
    """Vacuum pump."""
    instrument: tuple[Instrument, ...] = ()
    """Instruments."""
    film_coefficient: FilmCoefficient | None = None
    """Loss to the moving air, if known."""
    pace: Pace | None = None
    """How long the bench takes, rehearsed with dry material."""
    blanket_placed: Length | None = None
    """How far a blanket may lie off its marks."""
    thermocouple_placed: Length | None = None
    """How far a thermocouple may lie off its mark."""


class Remnant(Typed):
    """A piece left over from a roll."""

    id: Name
    """Short name."""
    length: Length
    """Length along the warp."""
    width: Length
    """Width."""


class Roll(Typed):
    """A roll of cloth, film adhesive or bagging."""

    id: Name
    """Short name."""
    material: Name
    """Material id."""
    lot: Name
    """Lot number."""
    width: Length
    """Width of the roll."""
    length: Length
    """Length left on the roll."""
    edge: Margin | None = None
    """Kept free at each edge (selvedge)."""
    expires: Day | None = None
    """Last day it may be used."""
    opened: Flag = False
    """Opened already."""
    out_time: Duration = 0.0
    """Time out of the freezer so far, summed."""
    out_life: Duration | None = None
    """Longest time out of the freezer."""
    remnant: tuple[Remnant, ...] = ()
    """Pieces left from it."""


class Lot(Typed):
    """A lot of something that is weighed, measured or counted."""

    id: Name
    """Short name."""
    material: Name
    """Material id."""
    lot: Name
    """Lot number."""
    mass: Mass | None = None
    """Mass left."""
    hardener_mass: Mass | None = None
    """Mass of hardener left, for a two-part kit."""
    volume: Volume | None = None
    """Volume left."""
    area: Area | None = None
    """Area left (core sheets)."""
    thickness: Length | None = None
    """Thickness (core sheets)."""
    count: Count | None = Field(default=None, ge=0)
    """Pieces left."""
    expires: Day | None = None
    """Last day it may be used."""
    opened: Flag = False
    """Opened already."""
    out_time: Duration = 0.0
    """Time out of the freezer so far, summed."""
    out_life: Duration | None = None
    """Longest time out of the freezer."""


class Stores(Typed):
    """What is in the stores."""

    gap: Margin | None = None
    """Space between pieces on the roll."""
    roll: tuple[Roll, ...] = Field(default=(), max_length=500)
    """Rolls."""
    lot: tuple[Lot, ...] = Field(default=(), max_length=500)
    """Lots."""
