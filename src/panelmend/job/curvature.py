"""The bend of a panel: the same radial cut on the other skin, developed there. Flat panels pass through."""

from __future__ import annotations

import math

from panelmend.derive import Figure, Source, formula
from panelmend.derive.memory import remembered
from panelmend.document.panel import Side
from panelmend.job.basis import Basis
from panelmend.job.case import Case, Point
from panelmend.shapes import Outline, mapped, stretched
from panelmend.shapes.torus import Torus

FORMULAS_STAND_AS = "job.bend"  # the name that plans in hand carry


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


@formula(
    "round each bend x (radius - to) / (radius - from), depths towards the hollow side of each",
    source=Source("geometry of parallel surfaces of a torus, at its equator"),
)
def radial_cut_twice(
    outline: Outline, radius: float, second: float, sense: int, axis: float, start: float, end: float
) -> Outline:
    """The cut square to a doubly curved surface, developed at another depth.

    outline: the cut developed at the first depth [outline]
    radius: of the outer surface across the axis [m]
    second: of the outer surface along the axis [m]
    sense: 1 where both bulge to the same side, -1 for a saddle [1]
    axis: direction of the axis [rad]
    start: first depth below the outer surface, towards the hollow side of radius [m]
    end: second depth, towards the same side [m]
    return: the same cut developed at the second depth [outline]
    """
    across = (radius - end) / (radius - start)
    return _both(outline, axis, (second - sense * end) / (second - sense * start), across)


@remembered
def _both(outline: Outline, axis: float, along: float, across: float) -> Outline:
    """The outline stretched along and across an axis [rad] at once, which keeps its arcs few."""
    if along == 1.0:
        return stretched(outline, axis + 0.5 * math.pi, across)
    c, s = math.cos(axis), math.sin(axis)

    def move(x: float, y: float) -> Point:
        u, v = along * (c * x + s * y), across * (c * y - s * x)
        return (c * u - s * v, s * u + c * v)

    return mapped(outline, move)


def _towards_axis(case: Case, side: Side) -> float:
    depth = case.skin_depth(side)
    return depth if case.geometry.bulges == "outside" else -depth


def bend_sense(case: Case) -> int:
    """1 where both radii bulge to the same side, -1 for a saddle, 0 without a second radius."""
    curve = case.document.panel.curvature
    if curve is None or curve.second_radius is None:
        return 0
    return 1 if curve.second_bulges == curve.bulges else -1


def surface_on(case: Case, side: Side) -> Torus | None:
    """The doubly curved face of a skin; None where the panel is not bent both ways."""
    curve, cylinder, way = case.document.panel.curvature, case.geometry.cylinder, bend_sense(case)
    if curve is None or cylinder is None or curve.second_radius is None:
        return None
    depth = _towards_axis(case, side)
    return Torus(cylinder.radius - depth, curve.second_radius - way * depth, way, cylinder.axis_angle)


def length_factor(case: Case, start: Side, end: Side) -> float:
    """How much lengths round the bend change from one skin's face to the other's [1]."""
    cylinder = case.geometry.cylinder
    if cylinder is None or start == end:
        return 1.0
    return (cylinder.radius - _towards_axis(case, end)) / (cylinder.radius - _towards_axis(case, start))


def factor_along(case: Case, start: Side, end: Side) -> float:
    """How much lengths along the axis change from one skin's face to the other's [1]."""
    curve, way = case.document.panel.curvature, bend_sense(case)
    if curve is None or curve.second_radius is None or start == end:
        return 1.0
    second = curve.second_radius
    return (second - way * _towards_axis(case, end)) / (second - way * _towards_axis(case, start))


def point_on(case: Case, point: Point, start: Side, end: Side) -> Point:
    """A point of one skin's face radially carried to the other's, developed there [m]."""
    cylinder = case.geometry.cylinder
    if cylinder is None or start == end:
        return point
    c, s = math.cos(cylinder.axis_angle), math.sin(cylinder.axis_angle)
    along = factor_along(case, start, end) * (point[0] * c + point[1] * s)
    across = length_factor(case, start, end) * (point[1] * c - point[0] * s)
    return (along * c - across * s, along * s + across * c)


def outline_on(case: Case, outline: Outline, start: Side, end: Side) -> Outline:
    """An outline of one skin's face radially carried to the other's, developed there."""
    cylinder = case.geometry.cylinder
    if cylinder is None or start == end:
        return outline
    return _both(
        outline, cylinder.axis_angle, factor_along(case, start, end), length_factor(case, start, end)
    )


def on_skin(basis: Basis, key: str, outline: Figure, start: Side, end: Side) -> Figure:
    """An outline as a figure on the face of another skin; the same figure where nothing changes."""
    case = basis.case
    curve = case.document.panel.curvature
    if curve is None or case.geometry.cylinder is None or start == end:
        return outline

    def depth(side: Side) -> Figure:
        path = "panel.outer_skin, panel.core, panel.inner_skin"
        return basis.typed(f"panel.depth.{side}", _towards_axis(case, side), "length", path=path)

    bend = bend_figures(basis)
    by = radial_cut if "second" not in bend else radial_cut_twice
    return basis.ledger.derive(key, by, outline=outline, **bend, start=depth(start), end=depth(end))


def bend_figures(basis: Basis) -> dict[str, Figure]:
    """Radius and axis, and the second radius and its sense where there is one; nothing for a flat panel."""
    curve, cylinder = basis.case.document.panel.curvature, basis.case.geometry.cylinder
    if curve is None or cylinder is None:
        return {}
    found = {
        "radius": basis.typed("panel.radius", curve.radius, "length", path="panel.curvature.radius"),
        "axis": basis.typed("panel.axis", cylinder.axis_angle, "angle", path="panel.curvature.axis"),
    }
    if curve.second_radius is not None:
        path = "panel.curvature.second_radius"
        found["second"] = basis.typed("panel.second_radius", curve.second_radius, "length", path=path)
        path = "panel.curvature.bulges, second_bulges"
        found["sense"] = basis.typed("panel.sense", bend_sense(basis.case), path=path)
    return found
