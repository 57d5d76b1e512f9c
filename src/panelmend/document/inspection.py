"""Approved data on inspecting a bond after its cure."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from panelmend.document.given import Given
from panelmend.materials.quantities import Area, Count, Length, Name, PotMass, Pressure, Text, Typed

Method = Literal["tap", "ultrasonic", "bond tester", "thermography", "visual"]


class CouponData(Typed):
    """Witness coupons, made from the same batch under the same heat and vacuum."""

    kind: Literal["lap shear", "flatwise tension", "laminate"]
    """What is made."""
    number: Count = Field(ge=1, le=50)
    """How many."""
    resin: PotMass | None = None
    """Mixed resin or adhesive that one takes."""
    least: Pressure | None = None
    """Least strength of each."""


class InspectionData(Typed):
    """Inspecting a bond after its cure. A limit that is left out is asked for on the card, never made up."""

    methods: Given[tuple[Method, ...]] | None = None
    """Methods, in order."""
    standard: Given[Name] | None = None
    """Reference standard that the instrument is set on."""
    void_length: Given[Length] | None = None
    """Longest void that is accepted."""
    void_area: Given[Area] | None = None
    """Largest void that is accepted."""
    void_count: Given[Count] | None = None
    """Most voids that are accepted in one repair."""
    void_spacing: Given[Length] | None = None
    """Least distance between two voids."""
    void_edge: Given[Length] | None = None
    """Least distance from a void to the edge of a ply."""
    hardness: Given[Count] | None = None
    """Least hardness of the resin squeezed out, Barcol."""
    squeeze_out: Given[Name] | None = None
    """What is done where resin or adhesive did not squeeze out."""
    coupon: Given[CouponData] | None = None
    """Witness coupons."""
    notes: Text = ""
    """Anything else the data asks for."""
