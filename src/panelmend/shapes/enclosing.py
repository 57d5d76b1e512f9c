"""Least covers: the smallest circle, ellipse, oval or rounded rectangle round outlines or points."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from panelmend.errors import ShapeError, SolverError
from panelmend.shapes.body import Body, Coverable, body_of
from panelmend.shapes.box import Box
from panelmend.shapes.least_box import least_box
from panelmend.shapes.least_circle import circle_about
from panelmend.shapes.makers import circle, ellipse, oval, rectangle
from panelmend.shapes.outline import Outline
from panelmend.shapes.segments import Point
from panelmend.units import show

SAME_AREA = 1.0 + 1e-7  # areas whose ratio is below this are equal
TOUCH_WITHIN = 1e-9  # [m] a cover that lacks less than this covers
# Solvers differ in their last digits with the number of threads; found covers are set on a fine grid, so
# that the same outline gives the same cover, then enlarged by the little that takes away.
CENTRE_DECIMALS, ANGLE_DECIMALS = 8, 7  # decimals kept of a centre [m] and of a free angle [rad]


@dataclass(frozen=True)
class EnclosingShape:
    """A cover as its maker takes it, and as an outline.

    ``kind`` is "circle", "ellipse", "oval" (straight-sided) or "rectangle"; ``centre`` [m], ``length`` along
    ``angle`` [m, rad] not below ``width`` [m], ``corner_radius`` [m] (half the width for the others).
    """

    kind: str
    centre: Point
    length: float
    width: float
    angle: float
    corner_radius: float
    outline: Outline

    @property
    def area(self) -> float:
        """Area of the outline [m2]."""
        return self.outline.area


def least_circle(what: Coverable, margin: float = 0.0) -> EnclosingShape:
    """The circle of least area that covers ``what`` with ``margin`` all round.

    Args:
        what: an outline, several outlines, or points (x, y) [m].
        margin: 0 or more [m].

    Raises:
        ShapeError: nothing to cover, a single point without margin, or a negative margin.
    """
    body = _checked(what, margin)
    x, y, r = circle_about(body)
    if r + margin <= 1e-6:
        raise ShapeError("a single point has no cover without a margin", read=f"({x}, {y}) m")

    def made(more: float) -> EnclosingShape:
        d = 2.0 * (r + margin + more)
        return EnclosingShape("circle", (x, y), d, d, 0.0, 0.5 * d, circle((x, y), d))

    return _until_covered(made, body, margin)


def least_oval(what: Coverable, margin: float = 0.0, held: float | None = None) -> EnclosingShape:
    """The straight-sided oval of least area that covers ``what`` with ``margin`` all round.

    Args:
        what: an outline, several outlines, or points (x, y) [m].
        margin: 0 or more [m].
        held: direction of one of its axes [rad]; None lets it turn freely.

    Raises:
        ShapeError: nothing to cover, all on one point without margin, or a negative margin.
        SolverError: no least oval was found.
    """
    body = _checked(what, margin)
    box = least_box(body, None, margin, held)
    if held is None:
        box = _plainer(box, least_box(body, None, margin, 0.0), margin)

    centre, angle = _on_fine_grid(box.centre), _angle(box.angle, held)

    def made(more: float) -> EnclosingShape:
        r = _up(box.radius + margin + more)
        length, width = 2.0 * (_up(box.half_length) + r), 2.0 * r
        return EnclosingShape("oval", centre, length, width, angle, r, oval(centre, length, width, angle))

    return _until_covered(made, body, margin)


def least_rectangle(
    what: Coverable, corner_radius: float, margin: float = 0.0, held: float | None = None
) -> EnclosingShape:
    """The rectangle with corners of ``corner_radius`` and least area that covers ``what`` with ``margin``.

    Args:
        what: an outline, several outlines, or points (x, y) [m].
        corner_radius: 0 or more; the sides are never shorter than twice this [m].
        margin: 0 or more [m].
        held: direction of one of its sides [rad]; None lets it turn freely.

    Raises:
        ShapeError: nothing to cover, no area to enclose, a negative radius or margin.
        SolverError: no least rectangle was found.
    """
    body = _checked(what, margin)
    if not (math.isfinite(corner_radius) and corner_radius >= 0.0):
        raise ShapeError("a corner radius below zero", read=str(corner_radius), expected="0 or more")
    # A cover of the body grown by the margin is, shrunk by the margin, a cover of the body.
    inner_radius = max(corner_radius - margin, 0.0)
    box = least_box(body, inner_radius, margin, held, corner_radius)
    if held is None:
        box = _plainer(box, least_box(body, inner_radius, margin, 0.0, corner_radius), margin)

    centre, angle = _on_fine_grid(box.centre), _angle(box.angle, held)

    def made(more: float) -> EnclosingShape:
        a = 2.0 * max(_up(box.half_length + inner_radius + margin + more), corner_radius)
        b = 2.0 * max(_up(box.half_width + inner_radius + margin + more), corner_radius)
        shape = rectangle(centre, a, b, angle, corner_radius)
        return EnclosingShape("rectangle", centre, a, b, angle, corner_radius, shape)

    return _until_covered(made, body, margin)


def least_ellipse(
    what: Coverable, margin: float = 0.0, held: float | None = None, tolerance: float = 1e-5
) -> EnclosingShape:
    """The ellipse of least area that covers ``what`` with ``margin`` all round.

    The outline is made of arcs within ``tolerance`` of an ellipse, and truly covers: the ellipse is made
    larger by the little that the arcs would cut off (below twice the tolerance).

    Args:
        what: an outline, several outlines, or points (x, y) [m].
        margin: 0 or more [m].
        held: direction of one of its axes [rad]; None lets it turn freely.
        tolerance: greatest distance of the arcs from the ellipse [m].

    Raises:
        ShapeError: nothing to cover, points on one straight without margin, or a negative margin.
        SolverError: no least ellipse was found.
    """
    from panelmend.shapes.least_ellipse import ellipse_about

    body = _checked(what, margin)
    grown = body.grown(margin)
    if not grown.arcs and len(grown.corners) < 3:
        raise ShapeError("points on one straight have no least ellipse without a margin")
    found = ellipse_about(grown, held)
    if held is None:
        along = ellipse_about(grown, 0.0)
        if along.half_length * along.half_width <= found.half_length * found.half_width * SAME_AREA:
            found = along

    centre, angle = _on_fine_grid(found.centre), _angle(found.angle, held)

    def made(more: float) -> EnclosingShape:
        a, b = 2.0 * _up(found.half_length + more), 2.0 * _up(found.half_width + more)
        shape = ellipse(centre, a, b, angle, tolerance)
        return EnclosingShape("ellipse", centre, a, b, angle, 0.5 * b, shape)

    return _until_covered(made, body, margin)


def _checked(what: Coverable, margin: float) -> Body:
    if not (math.isfinite(margin) and 0.0 <= margin <= 1e3):
        shown = show(margin, "length") if math.isfinite(margin) else str(margin)
        raise ShapeError("a cover's margin below zero", read=shown, expected="0 or more")
    return body_of(what)


def _on_fine_grid(p: Point) -> Point:
    """A point on the fine grid [m]."""
    return (round(p[0], CENTRE_DECIMALS) + 0.0, round(p[1], CENTRE_DECIMALS) + 0.0)


def _angle(found: float, held: float | None) -> float:
    """A free angle on the fine grid [rad]; a held one as it was given."""
    return found if held is not None else round(found, ANGLE_DECIMALS) + 0.0


def _up(length: float) -> float:
    """A length [m] on the next nanometre, so that it is never made smaller."""
    return math.ceil(length * 1e9 - 1e-3) * 1e-9


def _plainer(free: Box, along: Box, margin: float) -> Box:
    """The box held to the axes where turning gains nothing worth having, so that ties fall the same way."""

    def area(box: Box) -> float:
        a = box.radius + margin
        return 4.0 * (box.half_length + a) * (box.half_width + a) - (4.0 - math.pi) * a * a

    return along if area(along) <= area(free) * SAME_AREA else free


def _until_covered(made: Callable[[float], EnclosingShape], body: Body, margin: float) -> EnclosingShape:
    """Enlarge the cover by what it still lacks, measured exactly, until it lacks nothing."""
    more = 0.0
    for _ in range(12):
        cover = made(more)
        lacks = body.lacks(cover.outline, margin)
        if lacks <= TOUCH_WITHIN:
            return cover
        more += lacks * 1.05
    raise SolverError(f"a cover still lacks {lacks:.3g} m; report this outline")
