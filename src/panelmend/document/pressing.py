"""What presses on a cure that no vacuum bag holds, as the approved data has it."""

from __future__ import annotations

from typing import Annotated, Literal

from panelmend.materials.bounds import within
from panelmend.materials.quantities import Name, Pressure, Text, Typed


class Pressing(Typed):
    """What presses on what is laid while it cures without a bag, and who says so."""

    by: Literal["weights", "clamps", "contact", "nothing"]
    """What presses: weights, clamps, contact alone (it touches and is held), or nothing at all."""
    what: Text = ""
    """The parts the data names for it, in its words; nothing is decided by them."""
    least: Annotated[
        Pressure | None,
        within(
            "50 Pa",
            "500 kPa",
            usual=("0.5 kPa", "100 kPa"),
            what="pressure on what is laid",
            todo="check the unit: Pa, kPa or psi, over the area of what is laid",
        ),
    ] = None
    """Least pressure on what is laid, by weights or clamps; left out where the data names none."""
    place: Name
    """Where that stands in the approved data."""
