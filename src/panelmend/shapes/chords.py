"""Outlines as polygons within a stated tolerance, for solvers and pictures; never for what is cut."""

from __future__ import annotations

import math
from typing import Literal

from panelmend.errors import ShapeError
from panelmend.shapes.outline import Outline
from panelmend.shapes.segments import Arc, Point

Side = Literal["inside", "outside", "nearest"]


def to_polygon(outline: Outline, tolerance: float = 1e-4, side: Side = "nearest") -> list[Point]:
    """Corners of a polygon that follows the outline.

    Args:
        outline: the shape.
        tolerance: greatest distance between polygon and outline [m].
        side: "outside": the polygon contains the shape (sides touch the arcs from outside); "inside": the
            shape contains the polygon; "nearest": corners on the outline.

    Returns:
        Corners (x, y) [m], counter-clockwise, the first not repeated. At a corner sharper than the
        tolerance can follow, sides drawn on the outer side of an arc may cross.

    Raises:
        ShapeError: a tolerance not above zero, or an unknown side.
    """
    if not 1e-9 <= tolerance <= 1.0:
        raise ShapeError("a polygon tolerance out of reach", read=str(tolerance), expected="1e-9 m to 1 m")
    if side not in ("inside", "outside", "nearest"):
        raise ShapeError("unknown side", read=repr(side), expected="inside, outside or nearest")
    points: list[Point] = []
    for s in outline.parts:
        points.append(s.start)
        if not isinstance(s, Arc):
            continue
        n = _chord_count(s, tolerance)
        bulges_out = s.sweep > 0.0
        if side == "nearest" or bulges_out == (side == "inside"):
            points += [s.at(k / n) for k in range(1, n)]
            continue
        # Sides that touch the arc: corners on the wider circle, half-way between the touching points.
        reach = s.radius / math.cos(0.5 * s.sweep / n)
        for k in range(n):
            angle = s.start_angle + (k + 0.5) / n * s.sweep
            points.append((s.cx + reach * math.cos(angle), s.cy + reach * math.sin(angle)))
    return points


def _chord_count(s: Arc, tolerance: float) -> int:
    """Steps such that chords and touching sides stay within the tolerance (the latter are farther off)."""
    half = math.acos(s.radius / (s.radius + tolerance))  # r / cos(half) - r = tolerance
    return max(1, math.ceil(abs(s.sweep) / (2.0 * half)), math.ceil(abs(s.sweep) / (0.5 * math.pi) - 1e-9))
