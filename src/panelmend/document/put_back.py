"""How the approved data puts back what a cut takes away besides skin and core."""

from __future__ import annotations

from typing import Annotated, Literal

from panelmend.materials.bounds import DEGREES, common
from panelmend.materials.quantities import Duration, Name, Temperature, Text, Typed


class PutBack(Typed):
    """An insert, fastener, solid area or the edge band that is cut away, and how it is put back."""

    kind: Literal["insert", "fastener", "solid area", "edge band"]
    """What it is."""
    id: Text = ""
    """Its short name in the panel's list; leave out for the edge band."""
    how: Name
    """What the data says to do, in its words: parts, compound, drilling, cure."""
    place: Name
    """Where that stands in the approved data."""
    who: Name
    """Who may do it: trade, licence or shop, as the data or the operator says."""
    when: Literal["before bonding", "after the last cure"]
    """Whether it is set in the opening or the plug before bonding, or through the cured repair."""
    pot_life: Annotated[
        Duration | None, common("1 min", "24 h", usual=("5 min", "8 h"), what="working life of a compound")
    ] = None
    """Pot life of its compound once mixed; leave out if the data gives none or nothing is mixed."""
    cure_for: Annotated[
        Duration | None, common("1 min", "30 days", usual=("10 min", "7 days"), what="time of a cure")
    ] = None
    """Least cure time of its compound before anything else is done on it."""
    cure_low: Annotated[
        Temperature | None,
        common("0 C", "200 C", usual=("15 C", "130 C"), what="temperature of a cure", todo=DEGREES),
    ] = None
    """Lowest temperature while it cures."""
    cure_high: Annotated[
        Temperature | None,
        common("10 C", "250 C", usual=("20 C", "180 C"), what="temperature of a cure", todo=DEGREES),
    ] = None
    """Highest temperature while it cures."""
