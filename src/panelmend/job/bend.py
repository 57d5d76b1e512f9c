"""The bend of a panel: the same radial cut on the other skin, developed there. Flat panels pass through."""

from __future__ import annotations

import math

from panelmend.derive import Figure, Source, formula
from panelmend.document.panel import Side
from panelmend.job.case import Case, Point
from panelmend.job.ground import Ground
from panelmend.shapes import Outline, stretched


@formula(
    "round the bend x (radius - to) / (radius - from); along the axis unchanged",
    source=Source("geometry of a cylinder, exact"),
)
def radial_cut(outline: Outline, radius: float, axis: float, start: float, end: float) -> Outline:
    """The cut square to the surface, developed at another depth.

    outline: the cut developed at the first depth [outline]
    radius: of the outer surface [m]
    axis: direction of the cylinder's axis [rad]
    start: first depth below the outer surface, towards the axis [m]
    end: second depth, towards the axis [m]
    return: the same cut developed at the second depth [outline]
    """
    return stretched(outline, axis + 0.5 * math.pi, (radius - end) / (radius - start))


def _towards_axis(case: Case, side: Side) -> float:
    depth = case.skin_depth(side)
    return depth if case.geometry.bulges == "outside" else -depth


def factor(case: Case, start: Side, end: Side) -> float:
    """How much lengths round the bend change from one skin's face to the other's [1]."""
    cylinder = case.geometry.cylinder
    if cylinder is None or start == end:
        return 1.0
    return (cylinder.radius - _towards_axis(case, end)) / (cylinder.radius - _towards_axis(case, start))


def point_on(case: Case, point: Point, start: Side, end: Side) -> Point:
    """A point of one skin's face radially carried to the other's, developed there [m]."""
    cylinder = case.geometry.cylinder
    if cylinder is None or start == end:
        return point
    more = factor(case, start, end) - 1.0
    across = cylinder.axis_angle + 0.5 * math.pi
    c, s = math.cos(across), math.sin(across)
    along = more * (point[0] * c + point[1] * s)
    return (point[0] + along * c, point[1] + along * s)


def outline_on(case: Case, outline: Outline, start: Side, end: Side) -> Outline:
    """An outline of one skin's face radially carried to the other's, developed there."""
    cylinder = case.geometry.cylinder
    if cylinder is None or start == end:
        return outline
    return stretched(outline, cylinder.axis_angle + 0.5 * math.pi, factor(case, start, end))


def on_skin(ground: Ground, key: str, outline: Figure, start: Side, end: Side) -> Figure:
    """An outline as a figure on the face of another skin; the same figure where nothing changes."""
    case = ground.case
    curve = case.document.panel.curvature
    if curve is None or case.geometry.cylinder is None or start == end:
        return outline

    def depth(side: Side) -> Figure:
        path = "panel.outer_skin, panel.core, panel.inner_skin"
        return ground.typed(f"panel.depth.{side}", _towards_axis(case, side), "length", path=path)

    return ground.ledger.derive(
        key,
        radial_cut,
        outline=outline,
        radius=ground.typed("panel.radius", curve.radius, "length", path="panel.curvature.radius"),
        axis=ground.typed(
            "panel.axis", case.geometry.cylinder.axis_angle, "angle", path="panel.curvature.axis"
        ),
        start=depth(start),
        end=depth(end),
    )
