"""Approved data on the vacuum bag."""

from __future__ import annotations

from typing import Annotated

from panelmend.document.given import Given
from panelmend.materials.bounds import within
from panelmend.materials.quantities import Count, Duration, Flag, Fraction, Length, Name, Pressure, Typed

BAG_MARGIN = within("0.5 mm", "1 m", usual=("3 mm", "250 mm"))
NARROW_MARGIN = within("0.5 mm", "500 mm", usual=("1 mm", "100 mm"))


class BagData(Typed):
    """The vacuum bag."""

    least_vacuum: Annotated[
        Given[Pressure] | None,
        within(
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
        within(
            "10 Pa",
            "50 kPa",
            usual=("100 Pa", "20 kPa"),
            what="loss in a leak test",
            todo="check the unit: inHg, kPa or mbar",
        ),
    ] = None
    """Largest loss in the leak test."""
    leak_time: Annotated[
        Given[Duration] | None, within("5 s", "24 h", usual=("30 s", "2 h"), what="time of a leak test")
    ] = None
    """Duration of the leak test."""
    peel_ply_margin: Annotated[Given[Length] | None, BAG_MARGIN] = None
    """Peel ply beyond the largest ply."""
    bleeder_margin: Annotated[Given[Length] | None, BAG_MARGIN] = None
    """Bleeder beyond the largest ply."""
    film_inset: Annotated[Given[Length] | None, BAG_MARGIN] = None
    """Solid film smaller than the bleeder."""
    breather_margin: Annotated[Given[Length] | None, BAG_MARGIN] = None
    """Breather beyond blanket and probes."""
    tape_distance: Annotated[Given[Length] | None, BAG_MARGIN] = None
    """Inner edge of the sealing tape outside the blanket."""
    film_allowance: Annotated[
        Given[Fraction] | None,
        within("0.1 %", "500 %", usual=("1 %", "100 %"), zero=True, todo='twenty per cent is "20 %" or 0.2'),
    ] = None
    """Bag film added for pleats on length and width."""
    bleeder_plies: Annotated[
        Given[Count] | None, within("0", "60", usual=("0", "6"), what="number of bleeder plies")
    ] = None
    """Number of bleeder plies."""
    blanket_margin: Annotated[Given[Length] | None, BAG_MARGIN] = None
    """Blanket beyond patch and sensors."""
    adhesive_margin: Annotated[Given[Length] | None, NARROW_MARGIN] = None
    """Adhesive beyond the patch."""
    sensor_margin: Annotated[Given[Length] | None, NARROW_MARGIN] = None
    """Thermocouples beyond the adhesive."""
    lower_breather: Given[Flag] | None = None
    """Whether a breather lies under the blanket too and runs out past it."""
    edge_breather: Annotated[Given[Length] | None, BAG_MARGIN] = None
    """Width of edge breather laid against the plies' edge and out to the breather."""
    dry_bleeder: Annotated[Given[Length] | None, NARROW_MARGIN] = None
    """Rim of the bleeder that must stay dry, so that air passes in it."""
    no_bleed: Given[Flag] | None = None
    """Whether no resin may leave the plies: no bleeder, edges open to air only."""
    both_sides: Given[Flag] | None = None
    """Hole through both skins: whether both sides are bagged at once."""
    support: Given[Name] | None = None
    """Hole through both skins: what closes and holds the other side to contour while one cures."""
    support_margin: Annotated[Given[Length] | None, BAG_MARGIN] = None
    """That support beyond the opening."""
    plate_margin: Annotated[Given[Length] | None, BAG_MARGIN] = None
    """Plate a cap is cured on, beyond the sealing tape."""
