"""Approved data on the vacuum bag."""

from __future__ import annotations

from typing import Annotated

from panelmend.document.given import Given
from panelmend.materials.bounds import common
from panelmend.materials.quantities import Count, Duration, Flag, Fraction, Length, Name, Pressure, Typed

BAG_MARGIN = common("0.5 mm", "1 m", usual=("3 mm", "250 mm"))
NARROW_MARGIN = common("0.5 mm", "500 mm", usual=("1 mm", "100 mm"))


class BagData(Typed):
    """The vacuum bag."""

    least_vacuum: Annotated[
        Given[Pressure] | None,
        common(
            "1 kPa",
            "110 kPa",
            usual=("33 kPa", "101 kPa"),
            what="vacuum",
            todo="check the unit: inHg, kPa or psi, gauge",
        ),
    ] = None
    """Least vacuum, gauge."""
    leak_drop: Annotated[
        Given[Pressure] | None,
        common(
            "10 Pa",
            "50 kPa",
            usual=("100 Pa", "20 kPa"),
            what="loss in a leak test",
            todo="check the unit: inHg, kPa or mbar",
        ),
    ] = None
    """Largest loss of vacuum in the leak test."""
    leak_time: Annotated[
        Given[Duration] | None, common("5 s", "24 h", usual=("30 s", "2 h"), what="time of a leak test")
    ] = None
    """Duration of the leak test."""
    peel_ply_margin: Annotated[Given[Length] | None, BAG_MARGIN] = None
    """Reach of the peel ply beyond the largest ply."""
    bleeder_margin: Annotated[Given[Length] | None, BAG_MARGIN] = None
    """Reach of the bleeder beyond the largest ply."""
    film_inset: Annotated[Given[Length] | None, BAG_MARGIN] = None
    """Distance of the non-porous release film's edge inside the bleeder's."""
    breather_margin: Annotated[Given[Length] | None, BAG_MARGIN] = None
    """Reach of the breather beyond the blanket, to carry the vacuum bases."""
    tape_distance: Annotated[Given[Length] | None, BAG_MARGIN] = None
    """Distance from the blanket to the inner edge of the sealing tape."""
    film_allowance: Annotated[
        Given[Fraction] | None,
        common("0.1 %", "500 %", usual=("1 %", "100 %"), zero=True, todo='twenty per cent is "20 %" or 0.2'),
    ] = None
    """Extra bag film in length and width, for pleats."""
    bleeder_plies: Annotated[
        Given[Count] | None, common("0", "60", usual=("0", "6"), what="number of bleeder plies")
    ] = None
    """Number of bleeder plies."""
    blanket_margin: Annotated[Given[Length] | None, BAG_MARGIN] = None
    """Reach of the blanket beyond patch and thermocouples."""
    adhesive_margin: Annotated[Given[Length] | None, NARROW_MARGIN] = None
    """Reach of the adhesive beyond the patch."""
    sensor_margin: Annotated[Given[Length] | None, NARROW_MARGIN] = None
    """Distance of the thermocouples beyond the adhesive."""
    lower_breather: Given[Flag] | None = None
    """Whether a breather also lies under the blanket and runs out past it."""
    edge_breather: Annotated[Given[Length] | None, BAG_MARGIN] = None
    """Width of the edge breather that leads from the edge of the plies out to the breather."""
    dry_bleeder: Annotated[Given[Length] | None, NARROW_MARGIN] = None
    """Rim of the bleeder that must stay dry so that air can pass through it."""
    no_bleed: Given[Flag] | None = None
    """Whether no resin may bleed out of the plies: no bleeder, edges open to air only."""
    both_sides: Given[Flag] | None = None
    """Hole through both skins: whether both sides are bagged at once."""
    support: Given[Name] | None = None
    """Hole through both skins: what closes the other side and holds it to contour while one side cures."""
    support_margin: Annotated[Given[Length] | None, BAG_MARGIN] = None
    """Reach of that support beyond the opening."""
    plate_margin: Annotated[Given[Length] | None, BAG_MARGIN] = None
    """Reach of the plate a cap is cured on beyond the sealing tape."""
