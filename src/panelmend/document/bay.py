"""The bay where the work is done, and the stores it is done from."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from panelmend.document.pace import Pace
from panelmend.materials.bounds import DEGREES, JOULE, KILOJOULE, common
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

OUT_SO_FAR = common("1 s", "3650 days", usual=("1 min", "2400 h"), what="time out of the freezer", zero=True)
OUT_MOST = common("1 min", "3650 days", usual=("12 h", "90 days"), what="longest time out of the freezer")


class Circuit(Typed):
    """A supply circuit."""

    id: Name
    """Short name."""
    rating: Annotated[Current, common("0.5 A", "200 A", words="no rating of a breaker of a bay")]
    """Rating of its breaker."""
    continuous: Annotated[
        Share | None,
        common(
            "20 %",
            "100 %",
            what="share of the rating: hardly anything could be drawn",
            low_todo='eighty per cent is "80 %" or 0.8; leave it out if it is not known',
        ),
    ] = None
    """Share of the rating that may be drawn continuously, for hours."""


class Blanket(Typed):
    """A heat blanket."""

    id: Name
    """Its number."""
    length: Annotated[Length, common("20 mm", "5 m", what="length of a blanket")]
    """Length, unheated border included."""
    width: Annotated[Length, common("20 mm", "5 m", what="width of a blanket")]
    """Width, unheated border included."""
    power_density: Annotated[
        PowerDensity | None,
        common(
            "200 W/m2",
            "40 kW/m2",
            what="power density of a blanket",
            low_todo="check the unit: W/in2 or W/cm2 may have been written as W/m2",
            high_todo="check the unit: W/m2 may have been written as W/in2, W/cm2 or kW/m2",
        ),
    ] = None
    """Power per area at its rated voltage."""
    power: Power | None = None
    """Power at its rated voltage."""
    voltage: Annotated[Voltage, common("10 V", "1000 V", what="rated voltage")]
    """Rated voltage."""
    border: Annotated[
        Margin, common("0.1 mm", "300 mm", usual=("1 mm", "100 mm"), what="border of a blanket", zero=True)
    ] = 0.0
    """Unheated border on each side; 0 for none."""
    limit: Annotated[Temperature | None, common("40 C", "400 C", what="limit of a blanket", todo=DEGREES)] = (
        None
    )
    """Highest temperature it may reach."""
    thickness: Annotated[Length | None, common("0.2 mm", "50 mm", what="thickness of a blanket")] = None
    """Thickness."""
    areal_mass: Annotated[
        ArealMass | None,
        common(
            "0.2 kg/m2",
            "30 kg/m2",
            what="mass of a blanket on its area",
            low_todo="check the unit: kg/m2 may have been written as g/m2",
            high_todo="check the unit: g/m2 may have been written as kg/m2",
        ),
    ] = None
    """Mass per area."""
    specific_heat: Annotated[
        SpecificHeat | None,
        common("300 J/kgK", "5000 J/kgK", what="specific heat", low_todo=KILOJOULE, high_todo=JOULE),
    ] = None
    """Specific heat capacity."""
    conductivity: Annotated[
        Conductivity | None,
        common(
            "0.02 W/mK",
            "20 W/mK",
            what="conductivity of a blanket",
            high_todo="check the unit: mW/mK may have been written as W/mK",
        ),
    ] = None
    """Thermal conductivity through its thickness (most are silicone rubber)."""


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
    step: Annotated[
        Mass | None, common("1e-6 g", "10 kg", usual=("1e-4 g", "100 g"), what="step of a balance")
    ] = None
    """Smallest step a balance shows."""
    uncertainty: Annotated[
        Mass | None,
        common("1e-6 g", "10 kg", usual=("1e-4 g", "100 g"), what="uncertainty of a balance", zero=True),
    ] = None
    """Uncertainty of a balance; its step if nothing better is known."""
    tolerance: Literal["", "standard", "special", "class 1", "class 2"] = ""
    """Tolerance of a thermocouple: limits of error of ASTM E230, or a class of IEC 60584-1."""


class Bay(Typed):
    """The bay."""

    elevation: Annotated[
        Length | None, common("0.1 m", "6000 m", usual=("1 m", "3500 m"), words="higher than any bay")
    ] = None
    """Elevation of the bay above sea level."""
    barometer: Annotated[
        Pressure | None,
        common("400 hPa", "1100 hPa", words="not a barometer reading on earth", todo="absolute, at the bay"),
    ] = None
    """Barometer reading (station pressure, absolute)."""
    air_temperature: Annotated[
        Temperature | None,
        common("-40 C", "60 C", usual=("5 C", "45 C"), words="nobody works in this air", todo="check C or F"),
    ] = None
    """Air temperature."""
    humidity: Annotated[
        Share | None,
        common(
            "0.1 %",
            "100 %",
            usual=("10 %", "95 %"),
            what="humidity",
            low_todo='fifty per cent is "50 %" or 0.5',
        ),
    ] = None
    """Relative humidity."""
    supply: Annotated[Voltage | None, common("10 V", "1000 V", words="not a supply voltage")] = None
    """Supply voltage."""
    circuit: tuple[Circuit, ...] = ()
    """Circuits."""
    blanket: tuple[Blanket, ...] = ()
    """Heat blankets."""
    pump: Text = ""
    """Vacuum pump."""
    instrument: tuple[Instrument, ...] = ()
    """Instruments."""
    film_coefficient: Annotated[
        FilmCoefficient | None,
        common(
            "1 W/m2K",
            "500 W/m2K",
            what="loss to the air",
            low_todo="still air takes 3 to 10 W/m2K; leave it out if it was not measured",
            high_todo="check the unit: moving air takes up to some 100 W/m2K",
        ),
    ] = None
    """Film coefficient of the moving air, if known."""
    pace: Pace | None = None
    """How long each job at the bench takes, rehearsed with dry material."""
    blanket_placed: Annotated[
        Length | None,
        common("0.05 mm", "500 mm", usual=("0.5 mm", "50 mm"), what="error of placing", zero=True),
    ] = None
    """How far a blanket may be off its marks."""
    thermocouple_placed: Annotated[
        Length | None,
        common("0.05 mm", "500 mm", usual=("0.2 mm", "30 mm"), what="error of placing", zero=True),
    ] = None
    """How far a thermocouple may be off its mark."""


class Remnant(Typed):
    """A piece left over from a roll."""

    id: Name
    """Short name."""
    length: Annotated[Length, common("1 mm", "2000 m", what="length of a remnant")]
    """Length along the warp."""
    width: Annotated[Length, common("1 mm", "10 m", what="width of a remnant")]
    """Width."""


class Roll(Typed):
    """A roll of cloth, film adhesive or bagging."""

    id: Name
    """Short name."""
    material: Name
    """Material id."""
    lot: Name
    """Lot number."""
    width: Annotated[Length, common("2 mm", "10 m", usual=("5 mm", "4 m"), what="width of a roll")]
    """Width of the roll."""
    length: Annotated[Length, common("1 mm", "20000 m", usual=("10 mm", "1000 m"), what="length on a roll")]
    """Length left on the roll."""
    edge: Annotated[
        Margin | None, common("0.1 mm", "1 m", usual=("3 mm", "100 mm"), what="edge of a roll", zero=True)
    ] = None
    """Width left unused at each edge (selvedge)."""
    expires: Day | None = None
    """Last day it may be used."""
    opened: Flag = False
    """Already opened."""
    out_time: Annotated[Duration, OUT_SO_FAR] = 0.0
    """Accumulated out-time so far (time out of the freezer)."""
    out_life: Annotated[Duration | None, OUT_MOST] = None
    """Out-life: longest accumulated time out of the freezer."""
    remnant: tuple[Remnant, ...] = ()
    """Pieces left from it."""


class Lot(Typed):
    """A lot that is weighed, measured or counted."""

    id: Name
    """Short name."""
    material: Name
    """Material id."""
    lot: Name
    """Lot number."""
    mass: Annotated[
        Mass | None, common("0.1 g", "2000 kg", usual=("1 g", "250 kg"), what="mass of a lot", zero=True)
    ] = None
    """Mass left."""
    hardener_mass: Annotated[
        Mass | None, common("0.1 g", "2000 kg", usual=("1 g", "250 kg"), what="mass of hardener", zero=True)
    ] = None
    """Mass of hardener left, for a two-part kit."""
    volume: Annotated[
        Volume | None, common("0.1 ml", "2 m3", usual=("1 ml", "250 l"), what="volume of a lot")
    ] = None
    """Volume left."""
    area: Annotated[
        Area | None, common("1 mm2", "10000 m2", usual=("1 cm2", "200 m2"), what="area of a lot")
    ] = None
    """Area left (core sheets)."""
    thickness: Annotated[
        Length | None, common("0.5 mm", "1 m", usual=("1 mm", "300 mm"), what="thickness of a sheet")
    ] = None
    """Thickness (core sheets)."""
    count: Count | None = Field(default=None, ge=0)
    """Pieces left."""
    expires: Day | None = None
    """Last day it may be used."""
    opened: Flag = False
    """Already opened."""
    out_time: Annotated[Duration, OUT_SO_FAR] = 0.0
    """Accumulated out-time so far (time out of the freezer)."""
    out_life: Annotated[Duration | None, OUT_MOST] = None
    """Out-life: longest accumulated time out of the freezer."""


class Stores(Typed):
    """What is in the stores."""

    gap: Annotated[
        Margin | None,
        common("0.1 mm", "500 mm", usual=("2 mm", "50 mm"), what="space between pieces", zero=True),
    ] = None
    """Space between pieces on the roll."""
    roll: tuple[Roll, ...] = Field(default=(), max_length=500)
    """Rolls."""
    lot: tuple[Lot, ...] = Field(default=(), max_length=500)
    """Lots."""
