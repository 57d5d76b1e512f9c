"""Approved data on finishing a repair: sealing, conductive layers, static bonding, weight."""

from __future__ import annotations

from typing import Annotated

from panelmend.document.given import Given
from panelmend.materials.bounds import common
from panelmend.materials.quantities import (
    ArealMass,
    Duration,
    Length,
    LineMass,
    Mass,
    Moment,
    Name,
    Resistance,
    Typed,
)


class FinishData(Typed):
    """Finishing."""

    seal: Given[Name] | None = None
    """How edges and other paths for water are sealed."""
    seal_rate: Annotated[
        Given[LineMass] | None,
        common("0.1 g/m", "10 kg/m", usual=("1 g/m", "500 g/m"), what="mass of sealant on its line"),
    ] = None
    """Sealant along the edge of the largest ply, per metre; losses are not counted."""
    isolate: Given[Name] | None = None
    """How carbon is isolated from aluminium."""
    conductive_overlap: Annotated[
        Given[Length] | None, common("0.5 mm", "1 m", usual=("3 mm", "200 mm"), what="overlap")
    ] = None
    """Overlap of a new conductive layer over the old one."""
    conductive_rate: Annotated[
        Given[ArealMass] | None,
        common("1 g/m2", "20 kg/m2", usual=("20 g/m2", "2 kg/m2"), what="mass on an area"),
    ] = None
    """Adhesive or resin applied with a conductive layer, per area; losses are not counted."""
    conductive_resistance: Annotated[
        Given[Resistance] | None, common("1e-6 ohm", "1e6 ohm", what="resistance")
    ] = None
    """Largest resistance across the joined conductive layer."""
    static_resistance: Annotated[
        Given[Resistance] | None, common("1e-6 ohm", "1e12 ohm", what="resistance")
    ] = None
    """Largest resistance of the static bonding."""
    coating: Given[Name] | None = None
    """Primer and paint."""
    primer_rate: Annotated[
        Given[ArealMass] | None,
        common("1 g/m2", "20 kg/m2", usual=("10 g/m2", "1 kg/m2"), what="mass of a coating"),
    ] = None
    """Primer, wet, all coats together, per area covered; losses are not counted."""
    paint_rate: Annotated[
        Given[ArealMass] | None,
        common("1 g/m2", "20 kg/m2", usual=("10 g/m2", "2 kg/m2"), what="mass of a coating"),
    ] = None
    """Paint, wet, all coats together, per area covered; losses are not counted."""
    coating_most: Annotated[
        Given[Length] | None,
        common("1 um", "10 mm", usual=("20 um", "0.4 mm"), what="thickness of a coating"),
    ] = None
    """Largest coating thickness over a conductive layer."""
    weight_most: Annotated[
        Given[Mass] | None, common("0.1 g", "2000 kg", usual=("10 g", "300 kg"), what="weight of the part")
    ] = None
    """Largest weight of the part after the repair."""
    moment_most: Annotated[
        Given[Moment] | None,
        common("-1e6 N m", "1e6 N m", usual=("-1e4 N m", "1e4 N m"), what="moment of the part"),
    ] = None
    """Largest moment of the part about its hinge line after the repair."""
    before_flight: Annotated[
        Given[Duration] | None,
        common("1 min", "90 days", usual=("1 h", "14 days"), what="time before the first load"),
    ] = None
    """Least time from the last cure to the first load."""
