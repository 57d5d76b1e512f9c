"""Category of a repair, and what the data orders when a cure is interrupted."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from panelmend.document.given import Given
from panelmend.materials.bounds import common
from panelmend.materials.quantities import Count, Day, Name, Text, Typed

UNTIL_DUE = common("1", "200000", usual=("1", "20000"), what="time until it is due")


class Category(Typed):
    """Whether the repair stays, or is due for replacement or another inspection."""

    kind: Literal["permanent", "interim"]
    """Permanent, or interim until it is due."""
    due_hours: Annotated[Count | None, UNTIL_DUE] = Field(default=None, ge=1)
    """Flight hours after which an interim repair is due."""
    due_cycles: Annotated[Count | None, UNTIL_DUE] = Field(default=None, ge=1)
    """Flight cycles after which it is due."""
    due_date: Day | None = None
    """Day on which it is due."""
    inspect: Text = ""
    """Repeat inspections: what, how and how often."""
    place: Name
    """Where the category stands in the approved data."""


class InterruptionData(Typed):
    """What the data says to do when a cure is interrupted."""

    power: Given[Name] | None = None
    """Power fails."""
    pump: Given[Name] | None = None
    """Pump stops."""
    blanket: Given[Name] | None = None
    """Blanket or controller fails."""
    oven: Given[Name] | None = None
    """Oven or its controller fails."""
    leak: Given[Name] | None = None
    """Bag leaks."""


class NothingOf(Typed):
    """A part the approved data does not have at all, according to somebody who looked."""

    part: Literal["preparation", "inspection", "finishing", "interruption"]
    """Which part of the data."""
    place: Name
    """Where the data shows it: what was looked through, such as its table of contents."""


def is_empty(part: Typed) -> bool:
    """Whether nothing is typed of a part of the data: no field, or empty words alone."""
    return not any(getattr(part, name) for name in type(part).model_fields)
