"""Shapes as they are typed: a circle, an ellipse, an oval, a rectangle or a traced outline."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from panelmend.errors import InputError
from panelmend.materials.quantities import Angle, Length, Margin, Point, Typed, Vertex


class Circle(Typed):
    """A circle."""

    centre: Point
    """Centre."""
    diameter: Length
    """Diameter."""


class Ellipse(Typed):
    """A true ellipse."""

    centre: Point
    """Centre."""
    length: Length
    """Longer axis."""
    width: Length
    """Shorter axis."""
    angle: Angle = 0.0
    """Angle of the longer axis from 0 degrees."""


class Oval(Typed):
    """A straight-sided oval: two straight sides and two half circles."""

    centre: Point
    """Centre."""
    length: Length
    """Overall length."""
    width: Length
    """Overall width."""
    angle: Angle = 0.0
    """Angle of the length from 0 degrees."""


class Rectangle(Typed):
    """A rectangle, with rounded corners if a radius is given."""

    centre: Point
    """Centre."""
    length: Length
    """Length."""
    width: Length
    """Width."""
    angle: Angle = 0.0
    """Angle of the length from 0 degrees."""
    corner_radius: Margin = 0.0
    """Radius of the corners."""


class TracedShape(Typed):
    """A traced outline: points in order, closed by itself; bulge is the tangent of a quarter of the angle."""

    unit: Literal["mm", "cm", "m", "in", "ft"]
    """Unit of all the coordinates."""
    points: tuple[Vertex, ...] = Field(min_length=2, max_length=20_000)
    """Points [x, y], or [x, y, bulge] if the segment that starts at the point is an arc."""


class Shape(Typed):
    """Exactly one of circle, ellipse, oval, rectangle or outline."""

    circle: Circle | None = None
    """A circle."""
    ellipse: Ellipse | None = None
    """A true ellipse."""
    oval: Oval | None = None
    """A straight-sided oval."""
    rectangle: Rectangle | None = None
    """A rectangle."""
    outline: TracedShape | None = None
    """A traced outline."""

    @model_validator(mode="after")
    def _one(self) -> Shape:
        given = [name for name in type(self).model_fields if getattr(self, name) is not None]
        if len(given) != 1:
            raise InputError(
                "a shape is exactly one of circle, ellipse, oval, rectangle or outline",
                read=", ".join(given) or "none of them",
                expected="one",
            )
        return self

    @property
    def form(self) -> str:
        """Which one it is."""
        return next(name for name in type(self).model_fields if getattr(self, name) is not None)
