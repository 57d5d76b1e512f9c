"""Approved data on making the panel ready: coatings, dry core, air at bonding."""

from __future__ import annotations

from panelmend.document.given import Given
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
    """Making the panel ready to be bonded."""

    coating_removal: Given[Name] | None = None
    """How paint and primer come off."""
    coating_beyond: Given[Length] | None = None
    """Bare of paint and primer beyond the largest ply."""
    conductive_layer: Given[Name] | None = None
    """How a conductive layer (lightning) is cut back and joined again; left out where the skin has none."""
    metal_treatment: Given[Name] | None = None
    """Treatment of a metal surface before it is bonded."""
    pot_core_edge: Given[Name] | None = None
    """How cells at the edge of the core opening are potted, where that is asked."""
    form_core: Given[Name] | None = None
    """How flat core is formed to the panel's curve."""
    solvent_release: Given[Duration] | None = None
    """Least time from the last solvent to bonding."""
    dry_reading: Given[Name] | None = None
    """What meter or indicator must read before the core counts as dry."""
    vapour_most: Given[Share] | None = None
    """Highest fuel vapour at which it may be worked on, share of the lower explosive limit."""
    air_low: Given[Temperature] | None = None
    """Coolest air at which it may be bonded."""
    air_high: Given[Temperature] | None = None
    """Warmest air at which it may be bonded."""
    humidity_most: Given[Share] | None = None
    """Highest relative humidity at which it may be bonded."""
    above_dew_point: Given[TemperatureDifference] | None = None
    """How far the panel must be warmer than the dew point."""
    contour_gap: Given[Length] | None = None
    """Largest gap between panel and support."""
    wet_core_again: Given[Flag] | None = None
    """Whether water may touch open core again after drying; false where the data does not say."""
