"""Approved data on inspecting a bond after its cure."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from panelmend.document.given import Given
from panelmend.materials.bounds import common
from panelmend.materials.quantities import Area, Count, Length, Name, PotMass, Pressure, Text, Typed

Method = Literal["tap", "ultrasonic", "bond tester", "thermography", "visual"]


class CouponData(Typed):
    """Witness coupons, made from the same batch under the same heat and vacuum."""

    kind: Literal["lap shear", "flatwise tension", "laminate"]
    """Type of coupon."""
    number: Count = Field(ge=1, le=50)
    """How many."""
    resin: Annotated[
        PotMass | None, common("0.01 g", "1 kg", usual=("0.3 g", "15 g"), what="resin of a coupon")
    ] = None
    """Mixed resin or adhesive for one coupon."""
    least: Annotated[
        Pressure | None, common("10 kPa", "5 GPa", usual=("200 kPa", "1 GPa"), what="strength of a coupon")
    ] = None
    """Least strength of each."""


class InspectionData(Typed):
    """Inspecting a bond after its cure. A limit that is left out is asked for on the card, never made up."""

    methods: Given[tuple[Method, ...]] | None = None
    """Methods, in order."""
    standard: Given[Name] | None = None
    """Reference standard the instrument is set up on."""
    void_length: Annotated[
        Given[Length] | None, common("0.1 mm", "2 m", usual=("0.5 mm", "150 mm"), what="length of a void")
    ] = None
    """Longest void accepted."""
    void_area: Annotated[
        Given[Area] | None, common("0.1 mm2", "1 m2", usual=("1 mm2", "200 cm2"), what="area of a void")
    ] = None
    """Largest void accepted, by area."""
    void_count: Annotated[
        Given[Count] | None, common("0", "1000", usual=("0", "5"), what="count of voids")
    ] = None
    """Largest number of voids accepted in one repair."""
    void_spacing: Annotated[
        Given[Length] | None, common("0.1 mm", "5 m", usual=("1 mm", "500 mm"), what="distance between voids")
    ] = None
    """Least distance between two voids."""
    void_edge: Annotated[
        Given[Length] | None,
        common("0.1 mm", "2 m", usual=("1 mm", "150 mm"), what="distance of a void from an edge"),
    ] = None
    """Least distance from a void to the edge of a ply."""
    hardness: Annotated[
        Given[Count] | None, common("1", "100", usual=("5", "80"), what="hardness", todo="Barcol, such as 40")
    ] = None
    """Least Barcol hardness of the squeeze-out."""
    squeeze_out: Given[Name] | None = None
    """What to do where no resin or adhesive squeezed out."""
    coupon: Given[CouponData] | None = None
    """Witness coupons."""
    notes: Text = ""
    """Anything else the data requires."""
