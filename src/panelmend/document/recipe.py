"""Approved recipes: each cure operation with its segments, its pad and its caul sheet."""

from __future__ import annotations

from typing import Annotated, Literal, assert_never

from pydantic import Field

from panelmend.document.panel import Side
from panelmend.document.pressing import Pressing
from panelmend.materials.bounds import DEGREES, PER_SECOND, common
from panelmend.materials.quantities import (
    Count,
    Duration,
    Flag,
    Length,
    Margin,
    Name,
    Pressure,
    Temperature,
    TemperatureDifference,
    TemperatureRate,
    Typed,
)

HEATING_RATE = common(
    "0.02 C/min",
    "20 C/min",
    usual=("0.35 C/min", "5.6 C/min"),
    what="rate",
    low_todo="check the unit, or leave it out",
    high_todo=PER_SECOND,
)
CURE_TEMPERATURE = common("-20 C", "400 C", words="no temperature of a cure", todo=DEGREES)
WAIT = common("1 min", "60 days", what="time")


class PressurePad(Typed):
    """A pad that presses on a cap or plies in a recess."""

    material: Name
    """Material id of the pad (a bagging material for "caul")."""
    thickness: Annotated[Length | None, common("0.2 mm", "150 mm", what="thickness of a pad")] = None
    """Total thickness of its sheets."""
    proud: Annotated[Margin | None, common("0 mm", "20 mm", what="height of a pad over the skin")] = None
    """How far it stands above the skin round the opening."""
    inset: Annotated[
        Margin | None, common("0 mm", "200 mm", usual=("0 mm", "30 mm"), what="inset of a pad")
    ] = None
    """How far its edge stays inside the opening, all round."""
    wrapped: Flag = True
    """Wrapped in PTFE film or tape, so that nothing bonds to it."""


class PressureAid(Typed):
    """A caul, rubber pad or the like under the bag, as the shop has it."""

    what: Name
    """What it is, in the shop's words; nothing is decided from them."""
    material: Name | None = None
    """Material id (a bagging material for "caul"); if left out, nothing is known of it."""
    covers: Literal["cut-out", "plies"] | None = None
    """What it is the size of; if left out, the cut-out where only core or cap is laid, else the plies."""


class CaulSheet(Typed):
    """A bare metal sheet between bleeder and blanket, over the plies: it evens out the heat."""

    material: Name
    """Material id of the sheet (a bagging material for "caul")."""
    margin: Annotated[
        Margin, common("0 mm", "150 mm", usual=("5 mm", "50 mm"), what="margin of a caul sheet", zero=True)
    ]
    """How far it reaches beyond the plies, all round."""


class Segment(Typed):
    """One stage of a cure cycle."""

    kind: Literal["ramp", "dwell", "cool"]
    """Heating (ramp), holding (dwell) or cooling."""
    to: Annotated[
        Temperature,
        common("-20 C", "400 C", usual=("15 C", "250 C"), words="no temperature of a cure", todo=DEGREES),
    ]
    """Temperature it goes to or is held at."""
    rate_least: Annotated[
        TemperatureRate | None,
        common(
            "0 C/min",
            "20 C/min",
            usual=("0 C/min", "10 C/min"),
            what="rate",
            low_todo="check the unit, or leave it out",
            high_todo=PER_SECOND,
        ),
    ] = None
    """Least rate."""
    rate_most: Annotated[TemperatureRate | None, HEATING_RATE] = None
    """Greatest rate."""
    rate: Annotated[TemperatureRate | None, HEATING_RATE] = None
    """Rate of the set point."""
    low: Annotated[Temperature | None, CURE_TEMPERATURE] = None
    """Bottom of the dwell band."""
    high: Annotated[Temperature | None, CURE_TEMPERATURE] = None
    """Top of the dwell band."""
    least: Duration | None = None
    """Least dwell time."""
    most: Annotated[Duration | None, common("1 min", "60 days", what="longest dwell")] = None
    """Longest dwell."""
    summed: Flag = False
    """Whether dwell time may be added up across interruptions."""


CurePart = Literal["cap", "core", "fill", "plies", "potting"]


class Cure(Typed):
    """One cure operation: what is laid up for it, how it is bagged and heated."""

    name: Name
    """Name of the operation."""
    lays: tuple[CurePart, ...] = Field(min_length=1)
    """What is laid up in it."""
    side: Side | None = None
    """Skin it is done on, where both skins are repaired one after the other."""
    place: Name
    """Where the cure cycle stands in the approved data."""
    cured_on: Literal["panel", "plate"] = "panel"
    """On the panel, or (a cap) beforehand on a heat-proof plate away from it."""
    heated_by: Literal["blanket", "oven", "room temperature"] = "blanket"
    """What heats it; an oven heats the whole panel, off the aircraft; at room temperature nothing does."""
    bagged: Flag = True
    """Whether it is cured under a vacuum bag."""
    pressed: Pressing | None = None
    """What presses on it without a bag: weights, clamps, contact alone or nothing, as the data says."""
    pressure_aid: PressureAid | None = None
    """Caul, rubber pad or the like."""
    pad: PressurePad | None = None
    """Pressure pad over a cap or plies in a recess."""
    caul_sheet: CaulSheet | None = None
    """Metal sheet over bleeder and film that evens out the heat."""
    sand_after: Annotated[Duration | None, WAIT] = None
    """Room-temperature cure: least time from vacuum on (or lay-up) until it may be sanded."""
    load_after: Annotated[Duration | None, WAIT] = None
    """Room-temperature cure: least time from vacuum on (or lay-up) until it may be loaded."""
    segment: tuple[Segment, ...] = Field(min_length=1, max_length=40)
    """Stages of the cure cycle, in order."""
    ceiling: Annotated[
        Temperature | None,
        common("20 C", "400 C", usual=("40 C", "250 C"), what="maximum temperature", todo="check C or F"),
    ] = None
    """Maximum temperature: no thermocouple may ever go above it."""
    control: Literal["leading", "lagging", "average"] | None = None
    """Which thermocouple the controller follows."""
    release_below: Annotated[
        Temperature | None,
        common(
            "0 C",
            "300 C",
            usual=("20 C", "120 C"),
            what="temperature at which the vacuum is released",
            todo=DEGREES,
        ),
    ] = None
    """Temperature all thermocouples must be below before the vacuum is released."""
    thermocouples_least: Count | None = Field(default=None, ge=1, le=64)
    """Least number of working thermocouples."""
    may_fail: Count = Field(default=0, ge=0, le=64)
    """How many thermocouples may fail during the cure."""
    spread_most: Annotated[
        TemperatureDifference | None,
        common(
            "0.5 K",
            "100 K",
            usual=("2 K", "40 K"),
            what="spread of thermocouples",
            todo="check C or F (a difference)",
        ),
    ] = None
    """Largest difference between thermocouples in the dwell."""
    vacuum: Annotated[
        Pressure | None,
        common(
            "1 kPa",
            "110 kPa",
            usual=("33 kPa", "101 kPa"),
            what="vacuum",
            todo="check the unit: inHg, kPa or psi, gauge",
        ),
    ] = None
    """Least vacuum in this cure, gauge, if it differs from the bag's."""
    rate_window: Annotated[
        Duration | None, common("5 s", "4 h", usual=("1 min", "1 h"), what="window of rates")
    ] = None
    """Time window over which rates are measured."""
    longest_gap: Annotated[
        Duration | None, common("1 s", "4 h", usual=("5 s", "15 min"), what="time without readings")
    ] = None
    """Longest gap between readings that does not count as a break in the cure log, if the data gives one."""

    @property
    def on_plate(self) -> bool:
        """Whether it is cured beforehand, on a plate away from the panel.

        Raises:
            AssertionError: a place of curing that nobody knows; it must not pass for the panel.
        """
        match self.cured_on:
            case "plate":
                return True
            case "panel":
                return False
            case _:
                assert_never(self.cured_on)

    @property
    def aid_covers(self) -> Literal["cut-out", "plies"]:
        """What a pressure aid is as large as."""
        if self.pressure_aid is not None and self.pressure_aid.covers is not None:
            return self.pressure_aid.covers
        return "cut-out" if set(self.lays) <= {"core", "cap", "potting"} else "plies"

    @property
    def aid_on_cut_out(self) -> bool:
        """Whether a pressure aid is as large as the cut-out; if not, as the plies.

        Raises:
            AssertionError: something to cover that nobody knows.
        """
        covers = self.aid_covers
        match covers:
            case "cut-out":
                return True
            case "plies":
                return False
            case _:
                assert_never(covers)

    @property
    def cut_out_room(self) -> float | None:
        """From the top of the highest dwell band to the maximum temperature [K]; None where one lacks."""
        tops = [s.high for s in self.segment if s.kind == "dwell" and s.high is not None]
        return self.ceiling - max(tops) if self.ceiling is not None and tops else None

    @property
    def longest_dwell(self) -> Segment:
        """The longest dwell: the one that counts. A recipe without any is refused when it is read."""
        return max((s for s in self.segment if s.kind == "dwell"), key=lambda s: s.least or 0.0)
