"""Approved data on making the panel ready: coatings, dry core, air at bonding."""

from __future__ import annotations

from typing import Annotated

from panelmend.document.given import Given
from panelmend.materials.bounds import DEGREES, common
from panelmend.materials.quantities import (
    Duration,
    Flag,
    Length,
    Name,
    Share,
    Temperature,
    TemperatureDifference,
    Typed,
)


class PreparationData(Typed):
    """Getting the panel ready for bonding."""

    coating_removal: Given[Name] | None = None
    """How paint and primer are removed."""
    coating_beyond: Annotated[Given[Length] | None, common("0.5 mm", "2 m", usual=("3 mm", "300 mm"))] = None
    """Width bared of paint and primer beyond the largest ply."""
    conductive_layer: Given[Name] | None = None
    """How a conductive layer (lightning) is cut back and joined again; leave out if the skin has none."""
    metal_treatment: Given[Name] | None = None
    """Treatment of a metal surface before it is bonded."""
    pot_core_edge: Given[Name] | None = None
    """How cells at the edge of the core opening are potted, if required."""
    form_core: Given[Name] | None = None
    """How flat core is formed to the panel's curve."""
    solvent_release: Annotated[
        Given[Duration] | None,
        common("1 s", "30 days", usual=("2 min", "2 h"), what="time from the last solvent to bonding"),
    ] = None
    """Least flash-off time, from the last solvent to bonding."""
    dry_reading: Given[Name] | None = None
    """What the meter or indicator must read before the core counts as dry."""
    vapour_most: Annotated[
        Given[Share] | None,
        common(
            "0.1 %",
            "50 %",
            usual=("0.5 %", "20 %"),
            what="share of fuel vapour",
            zero=True,
            high_todo="share of the lower explosive limit; look it up once more",
        ),
    ] = None
    """Highest fuel vapour at which work is allowed, as a share of the lower explosive limit."""
    air_low: Annotated[
        Given[Temperature] | None,
        common("-20 C", "40 C", usual=("5 C", "25 C"), what="temperature of the air", todo=DEGREES),
    ] = None
    """Lowest air temperature for bonding."""
    air_high: Annotated[
        Given[Temperature] | None,
        common("0 C", "60 C", usual=("18 C", "38 C"), what="temperature of the air", todo=DEGREES),
    ] = None
    """Highest air temperature for bonding."""
    humidity_most: Annotated[
        Given[Share] | None, common("1 %", "100 %", usual=("20 %", "90 %"), what="humidity")
    ] = None
    """Highest relative humidity for bonding."""
    above_dew_point: Annotated[
        Given[TemperatureDifference] | None,
        common(
            "0.1 K",
            "60 K",
            usual=("1 K", "20 K"),
            what="distance from the dew point",
            todo="check C or F (a difference)",
        ),
    ] = None
    """How far above the dew point the panel must be."""
    contour_gap: Annotated[
        Given[Length] | None, common("0.01 mm", "50 mm", usual=("0.05 mm", "3 mm"), what="gap to a support")
    ] = None
    """Largest gap between panel and support."""
    wet_core_again: Given[Flag] | None = None
    """Whether water may touch open core again after drying; false if the data does not say."""
