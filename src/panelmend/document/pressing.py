"""What presses on a cure that no vacuum bag holds, as the approved data has it."""

from __future__ import annotations

from typing import Annotated, Literal

from panelmend.materials.bounds import common
from panelmend.materials.quantities import Name, Pressure, Text, Typed


class Pressing(Typed):
    """What presses on the lay-up while it cures without a bag, and where the data says so."""

    by: Literal["weights", "clamps", "contact", "nothing"]
    """What presses: weights, clamps, contact alone (it touches and is held), or nothing at all."""
    what: Text = ""
    """The parts the data names for it, in its words; nothing is decided from them."""
    least: Annotated[
        Pressure | None,
        common(
            "50 Pa",
            "500 kPa",
            usual=("0.5 kPa", "100 kPa"),
            what="pressure on what is laid",
            todo="check the unit: Pa, kPa or psi, over the area of what is laid",
        ),
    ] = None
    """Least pressure on the lay-up from weights or clamps; leave out if the data names none."""
    place: Name
    """Where that stands in the approved data."""
