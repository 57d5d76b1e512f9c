"""The numbers of a piece on a curved panel: strain and mismatch of its template, shear of cloth, sagitta."""

from __future__ import annotations

import math

import numpy as np

from panelmend.derive import Source, formula
from panelmend.shapes import Outline, to_polygon
from panelmend.shapes.drape import Net, drape
from panelmend.shapes.torus import Array, Torus

TORUS = Source("geometry of a torus at its equator, own derivation; see docs/method/curved.md")
NET = Source("fishnet of yarns that keep their length, own derivation; see docs/method/curved.md")
POLYGON_WITHIN = 1e-5  # [m] how closely a polygon follows an outline here
MISMATCH_PLACES = 400  # places across the axis at which the mismatch is measured
NET_STEP = 0.02  # [m] reaches of nets are rounded up to it, so that plies of like size share a net
NET_MORE = 1.15  # how far a net goes beyond the piece


@formula("radius - depth", source=Source("parallel surfaces"), kind="length")
def radius_at(radius: float, depth: float) -> float:
    """Radius of a face below the outer surface.

    radius: of the outer surface [m]
    depth: of the face, towards the hollow side [m]
    return: radius of the face [m]
    """
    return radius - depth


@formula("radius - sense x depth", source=Source("parallel surfaces"), kind="length")
def second_at(radius: float, sense: int, depth: float) -> float:
    """Second radius of a face below the outer surface.

    radius: of the outer surface, along the axis [m]
    sense: 1 where both bulge to the same side, -1 for a saddle [1]
    depth: of the face, towards the hollow side of the first radius [m]
    return: second radius of the face [m]
    """
    return radius - sense * depth


@formula(
    "greatest |1 - f(v)|, f(v) = 1 - sense (r/R) (1 - cos(v/r)), v across the axis",
    source=TORUS,
    kind="strain",
)
def template_strain(
    outline: Outline, x: float, y: float, axis: float, radius: float, second: float, sense: int
) -> float:
    """Strain along the axis of a template developed as a cylinder, from its centre to its rim.

    outline: the piece [outline]
    x: its centre [m]
    y: its centre [m]
    axis: direction of the axis [rad]
    radius: r, across the axis, on the face it lies on [m]
    second: R, along the axis [m]
    sense: 1 where both bulge to the same side, -1 for a saddle [1]
    return: the strain, as a size without sign [1]
    """
    surface = Torus(radius, second, sense, axis)
    _, v = reaches(outline, x, y, axis)
    return abs(1.0 - float(surface.stretch(v)))


@formula("greatest of chord(v) x |1 - f(v)| over the piece", source=TORUS, kind="length")
def edge_mismatch(
    outline: Outline, x: float, y: float, axis: float, radius: float, second: float, sense: int
) -> float:
    """How much longer or shorter the flat template is, along the axis, than the place it is laid on.

    outline: the piece [outline]
    x: its centre [m]
    y: its centre [m]
    axis: direction of the axis [rad]
    radius: r, across the axis, on the face it lies on [m]
    second: R, along the axis [m]
    sense: 1 where both bulge to the same side, -1 for a saddle [1]
    return: the greatest difference in length, as a size without sign [m]
    """
    surface = Torus(radius, second, sense, axis)
    u, v = local_points(outline, x, y, surface)
    low, high = float(v.min()), float(v.max())
    levels = np.linspace(low + 1e-9, high - 1e-9, MISMATCH_PLACES + 1)
    return float(np.max(np.abs(1.0 - surface.stretch(levels)) * _chords(u, v, levels)))


@formula("greatest shear of the fishnet over the piece", source=NET, kind="angle")
def cloth_shear(
    outline: Outline, x: float, y: float, axis: float, radius: float, second: float, sense: int, warp: float
) -> float:
    """Shear of a woven cloth smoothed down from its centre along warp and fill.

    outline: the piece [outline]
    x: its centre [m]
    y: its centre [m]
    axis: direction of the axis [rad]
    radius: r, across the axis, on the face it lies on [m]
    second: R, along the axis [m]
    sense: 1 where both bulge to the same side, -1 for a saddle [1]
    warp: direction of the warp at the centre [rad]
    return: the greatest departure from a right angle between the yarns [rad]
    """
    p, q, _, net = _laid(outline, x, y, Torus(radius, second, sense, axis), warp)
    return round(float(np.max(np.abs(net.shear_at(p, q)))), 9)


@formula("greatest distance of the draped template's edge from where it belongs", source=NET, kind="length")
def cloth_off(
    outline: Outline, x: float, y: float, axis: float, radius: float, second: float, sense: int, warp: float
) -> float:
    """How far the edge of a cloth cut by the flat template comes down from its place.

    outline: the piece [outline]
    x: its centre [m]
    y: its centre [m]
    axis: direction of the axis [rad]
    radius: r, across the axis, on the face it lies on [m]
    second: R, along the axis [m]
    sense: 1 where both bulge to the same side, -1 for a saddle [1]
    warp: direction of the warp at the centre [rad]
    return: the greatest distance, along the cloth [m]
    """
    p, q, flat, _ = _laid(outline, x, y, Torus(radius, second, sense, axis), warp)
    return round(float(np.max(np.hypot(p - flat[0], q - flat[1]))), 9)


@formula(
    "r (1 - cos(v/r)), the greatest over the outline", source=Source("geometry of a circle"), kind="length"
)
def sagitta_once(outline: Outline, x: float, y: float, axis: float, radius: float) -> float:
    """How far a flat piece stands off a surface that is bent one way.

    outline: the piece, developed [outline]
    x: its centre [m]
    y: its centre [m]
    axis: direction of the axis [rad]
    radius: across the axis [m]
    return: difference in height between centre and rim [m]
    """
    _, v = reaches(outline, x, y, axis)
    return radius * (1.0 - math.cos(v / radius))


@formula("highest less lowest of the surface over the outline", source=TORUS, kind="length")
def sagitta_twice(
    outline: Outline, x: float, y: float, axis: float, radius: float, second: float, sense: int
) -> float:
    """How far a flat piece stands off a surface that is bent both ways.

    outline: the piece, developed [outline]
    x: its centre [m]
    y: its centre [m]
    axis: direction of the axis [rad]
    radius: r, across the axis [m]
    second: R, along the axis [m]
    sense: 1 where both bulge to the same side, -1 for a saddle [1]
    return: difference in height over the piece, its centre included [m]
    """
    surface = Torus(radius, second, sense, axis)
    u, v = local_points(outline, x, y, surface)
    low = np.append(surface.sagitta(u, v), 0.0)
    return float(low.max() - low.min())


def local_points(outline: Outline, x: float, y: float, surface: Torus) -> tuple[Array, Array]:
    """Corners of a polygon on the outline as u along the axis and v across it [m] from (x, y) [m]."""
    points = np.array(to_polygon(outline, POLYGON_WITHIN))
    u, v = surface.local(points[:, 0], points[:, 1], (x, y))
    return np.asarray(u), np.asarray(v)


def reaches(outline: Outline, x: float, y: float, axis: float) -> tuple[float, float]:
    """How far an outline reaches from (x, y) [m] along the ``axis`` [rad] and across it [m]."""
    found = []
    for angle in (axis, axis + 0.5 * math.pi):
        middle = x * math.cos(angle) + y * math.sin(angle)
        found.append(max(outline.support(angle) - middle, outline.support(angle + math.pi) + middle))
    return found[0], found[1]


def _chords(u: Array, v: Array, levels: Array) -> Array:
    """From the first to the last crossing of a polygon with each level of v [m]."""
    u1, v1 = np.roll(u, -1), np.roll(v, -1)
    rise = v1 - v
    with np.errstate(divide="ignore", invalid="ignore"):
        t = (levels[:, None] - v[None, :]) / rise[None, :]
        at = np.where((t >= 0.0) & (t <= 1.0), u[None, :] + t * (u1 - u)[None, :], np.nan)
    return np.asarray(np.nanmax(at, axis=1) - np.nanmin(at, axis=1))


def _laid(
    outline: Outline, x: float, y: float, surface: Torus, warp: float
) -> tuple[Array, Array, tuple[Array, Array], Net]:
    """Yarn lengths of the outline's points on the net, their flat places along warp and fill, and the net."""
    u, v = local_points(outline, x, y, surface)
    turn = warp - surface.axis_angle
    reach = NET_STEP * math.ceil(NET_MORE * float(np.max(np.hypot(u, v))) / NET_STEP)
    net = drape(Torus(surface.radius, surface.second, surface.sense), turn, reach)
    p, q = net.lengths_at(u, v, turn)
    c, s = math.cos(turn), math.sin(turn)
    return p, q, (c * u + s * v, c * v - s * u), net
