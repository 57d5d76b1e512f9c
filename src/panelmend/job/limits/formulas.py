"""The numbers of the limits stage."""

from __future__ import annotations

from panelmend.derive import formula
from panelmend.job.formulas import ARITHMETIC, GEOMETRY, rounded_up
from panelmend.shapes import Outline


@formula("extent along the direction", source=GEOMETRY, kind="length")
def extent(outline: Outline, direction: float) -> float:
    """Size of an outline along a direction.

    outline: the shape [outline]
    direction: counter-clockwise from 0 degrees [rad]
    return: its extent [m]
    """
    return outline.extent(direction)


@formula("greatest distance between two points of the outline", source=GEOMETRY, kind="length")
def largest_dimension(outline: Outline) -> float:
    """Largest dimension in any direction.

    outline: the shape [outline]
    return: the greatest distance between two of its points [m]
    """
    return outline.largest_extent()


@formula("value rounded up to a whole number of steps", source=ARITHMETIC, kind="length")
def up_to_step(value: float, step: float) -> float:
    """A size rounded up, never down.

    value: the size [m]
    step: the data's resolution [m]
    return: the least whole number of steps that is not below it [m]
    """
    return rounded_up(value, step)


@formula("repairs already there + 1", source=ARITHMETIC)
def repairs_with_this(earlier: int) -> int:
    """Repairs in the panel, this one included.

    earlier: repairs that are already there [1]
    return: the number with this one [1]
    """
    return earlier + 1
