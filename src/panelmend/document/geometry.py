"""From a typed shape to an exact outline, in the document's own axes (nothing is mirrored here)."""

from __future__ import annotations

from panelmend.document.shape import Shape, TracedShape
from panelmend.errors import ShapeError
from panelmend.shapes import Outline, circle, ellipse, outline, oval, rectangle
from panelmend.units import KINDS


def shape_outline(shape: Shape) -> Outline:
    """The outline of a typed shape.

    Args:
        shape: circle, ellipse, oval, rectangle or traced outline [m, rad].

    Returns:
        The exact outline, counter-clockwise in the axes of the document [m].

    Raises:
        ShapeError: it crosses itself, encloses nothing, a radius too large, a width above the length.
    """
    if shape.circle is not None:
        return circle(shape.circle.centre, shape.circle.diameter)
    if shape.ellipse is not None:
        e = shape.ellipse
        return ellipse(e.centre, e.length, e.width, e.angle)
    if shape.oval is not None:
        o = shape.oval
        return oval(o.centre, o.length, o.width, o.angle)
    if shape.rectangle is not None:
        r = shape.rectangle
        return rectangle(r.centre, r.length, r.width, r.angle, r.corner_radius)
    if shape.outline is not None:
        return _traced(shape.outline)
    raise ShapeError("a shape of a form that nobody can draw", read=", ".join(sorted(shape.model_fields_set)))


def _traced(traced: TracedShape) -> Outline:
    scale, _ = KINDS["length"].units[traced.unit]
    rows = [(p[0] * scale, p[1] * scale, p[2] if len(p) == 3 else 0.0) for p in traced.points]
    if len(rows) > 2 and rows[0][:2] == rows[-1][:2]:
        rows.pop()  # closed by hand: it closes by itself
    return outline(rows)
