"""Approved data on finishing a repair: sealing, conductive layers, static bonding, weight."""

from __future__ import annotations

from panelmend.document.given import Given
from panelmend.materials.quantities import Duration, Length, Mass, Moment, Name, Resistance, Typed


class FinishData(Typed):
    """Finishing."""

    seal: Given[Name] | None = None
    """How edges and ways for water are sealed."""
    isolate: Given[Name] | None = None
    """How carbon is kept off aluminium."""
    conductive_overlap: Given[Length] | None = None
    """Overlap of a new conductive layer over the old one."""
    conductive_resistance: Given[Resistance] | None = None
    """Largest resistance across the joined conductive layer."""
    static_resistance: Given[Resistance] | None = None
    """Largest resistance of the static bonding."""
    coating: Given[Name] | None = None
    """Primer and paint."""
    coating_most: Given[Length] | None = None
    """Thickest coating over a conductive layer."""
    weight_most: Given[Mass] | None = None
    """Largest weight of the part after the repair."""
    moment_most: Given[Moment] | None = None
    """Largest moment of the part about its hinge line after the repair."""
    before_flight: Given[Duration] | None = None
    """Least time from the last cure to the first load."""
