"""How the approved data puts back what a cut takes away besides skin and core."""

from __future__ import annotations

from typing import Literal

from panelmend.materials.quantities import Name, Text, Typed


class PutBack(Typed):
    """One insert, fastener, solid area or the edge band that is cut away, and how it is put back."""

    kind: Literal["insert", "fastener", "solid area", "edge band"]
    """What it is."""
    id: Text = ""
    """Its short name in the panel's own list; left out for the edge band."""
    how: Name
    """What the data orders, in its words: parts, compound, drilling, cure."""
    place: Name
    """Where that stands in the approved data."""
    who: Name
    """Who may do it: trade, licence or shop, as the data or the operator says."""
    when: Literal["before bonding", "after the last cure"]
    """Whether it is set in the opening or the plug before anything is bonded, or through the cured repair."""
