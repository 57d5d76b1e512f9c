"""The usual shapes: circle, ellipse (in arcs), oval, rectangle, polygon."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from panelmend.errors import ShapeError
from panelmend.shapes.ellipses import ellipse_rows
from panelmend.shapes.outline import LARGEST_COORDINATE, Outline, Vertex, outline
from panelmend.shapes.segments import Point
from panelmend.units import show

QUARTER = math.tan(math.pi / 8.0)  # bulge of a quarter circle


def _positive(what: str, value: float) -> float:
    if not math.isfinite(value) or value <= 1e-6 or value > LARGEST_COORDINATE:
        raise ShapeError(
            f"the {what} of a shape must be above zero",
            read=show(value, "length") if math.isfinite(value) else str(value),
            expected="more than 0.001 mm",
        )
    return float(value)


def _placed(rows: Iterable[tuple[float, float, float]], centre: Point, angle: float) -> Outline:
    if not all(math.isfinite(n) for n in (*centre, angle)):
        raise ShapeError("a centre or angle that is no number", read=f"{centre}, {angle}")
    c, s = math.cos(angle), math.sin(angle)
    return Outline(tuple(Vertex(centre[0] + c * x - s * y, centre[1] + s * x + c * y, b) for x, y, b in rows))


def circle(centre: Point, diameter: float) -> Outline:
    """A circle as two half circles.

    Args:
        centre: (x, y) [m].
        diameter: above zero [m].

    Raises:
        ShapeError: a size that is not above zero.
    """
    r = _positive("diameter", diameter) / 2.0
    return _placed([(r, 0.0, 1.0), (-r, 0.0, 1.0)], centre, 0.0)


def rectangle(
    centre: Point, length: float, width: float, angle: float = 0.0, corner_radius: float = 0.0
) -> Outline:
    """A rectangle, with rounded corners where ``corner_radius`` is above zero.

    Args:
        centre: (x, y) [m].
        length: along ``angle`` [m].
        width: across it [m].
        angle: direction of the length, counter-clockwise from the x axis [rad].
        corner_radius: 0 to half the shorter side [m].

    Raises:
        ShapeError: a size not above zero, a negative radius, one over half the shorter side.
    """
    a, b = _positive("length", length) / 2.0, _positive("width", width) / 2.0
    r = corner_radius
    if not math.isfinite(r) or r < 0.0:
        raise ShapeError("a corner radius below zero", read=str(r), expected="0 or more")
    if r > min(a, b) * (1.0 + 1e-12):
        raise ShapeError(
            "the corner radius is larger than half the shorter side",
            read=f"radius {show(r, 'length')} on {show(2 * a, 'length')} x {show(2 * b, 'length')}",
            expected=f"{show(min(a, b), 'length')} at most",
        )
    if r <= 1e-9:
        return _placed([(-a, -b, 0.0), (a, -b, 0.0), (a, b, 0.0), (-a, b, 0.0)], centre, angle)
    rows = []
    for x, y, before, after in (
        (a - r, -(b - r), (0.0, -r), (r, 0.0)),
        (a - r, b - r, (r, 0.0), (0.0, r)),
        (-(a - r), b - r, (0.0, r), (-r, 0.0)),
        (-(a - r), -(b - r), (-r, 0.0), (0.0, -r)),
    ):
        rows += [(x + before[0], y + before[1], QUARTER), (x + after[0], y + after[1], 0.0)]
    kept = [
        row
        for row, nxt in zip(rows, rows[1:] + rows[:1], strict=True)
        if row[2] or math.hypot(row[0] - nxt[0], row[1] - nxt[1]) > 1e-9
    ]
    return _placed(kept, centre, angle)


def oval(centre: Point, length: float, width: float, angle: float = 0.0) -> Outline:
    """A straight-sided oval: two straight sides and two half circles.

    Args:
        centre: (x, y) [m].
        length: overall, along ``angle`` [m].
        width: across it, not above the length [m].
        angle: direction of the length [rad].

    Raises:
        ShapeError: a size not above zero, or a width above the length.
    """
    a, r = _positive("length", length) / 2.0, _positive("width", width) / 2.0
    _not_wider(a, r)
    s = max(a - r, 0.0)
    if s <= 1e-9:
        return _placed([(0.0, -r, 1.0), (0.0, r, 1.0)], centre, angle)
    return _placed([(-s, -r, 0.0), (s, -r, 1.0), (s, r, 0.0), (-s, r, 1.0)], centre, angle)


def _not_wider(a: float, b: float) -> None:
    if b > a * (1.0 + 1e-12):
        raise ShapeError(
            "an oval wider than it is long",
            read=f"length {show(2 * a, 'length')}, width {show(2 * b, 'length')}",
            expected="a width not above the length",
            todo="exchange the two and turn the angle by 90 degrees",
        )


def polygon(points: Iterable[Sequence[float]], where: str = "") -> Outline:
    """A checked outline of straight sides through the points (x, y) [m]. Raises ShapeError."""
    return outline([(p[0], p[1]) if len(p) >= 2 else p for p in points], where)


def ellipse(
    centre: Point, length: float, width: float, angle: float = 0.0, tolerance: float = 1e-5
) -> Outline:
    """An ellipse as tangent-continuous arcs, symmetric about both axes.

    Each quarter is cut at points of the true ellipse; between two cuts a pair of arcs, tangent to the
    ellipse at its ends and to each other, replaces it. The number of cuts grows until the greatest
    distance between arcs and ellipse, found along every arc's normal, is within ``tolerance``.

    Args:
        centre: (x, y) [m].
        length: overall, along ``angle`` [m].
        width: overall, across it, not above the length [m].
        angle: direction of the length [rad].
        tolerance: greatest distance between arcs and the true ellipse [m].

    Raises:
        ShapeError: a size not above zero, a width above the length, a tolerance not above zero.
    """
    a, b = _positive("length", length) / 2.0, _positive("width", width) / 2.0
    _not_wider(a, b)
    if not 1e-9 <= tolerance <= 1e-2:
        raise ShapeError(
            "an ellipse tolerance out of reach", read=str(tolerance), expected="1e-9 m to 0.01 m"
        )
    if a - b <= 1e-9:
        return _placed([(a, 0.0, 1.0), (-a, 0.0, 1.0)], centre, angle)
    return _placed(ellipse_rows(a, b, tolerance), centre, angle)
