"""Biarcs: two arcs, tangent to each other, between two points with given directions."""

from __future__ import annotations

import math

from panelmend.shapes.segments import Point


def arc_bulge(start: Point, direction: Point, end: Point) -> float:
    """Bulge [1] of the arc that leaves ``start`` in the unit ``direction`` and reaches ``end`` [m]."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    cross = direction[0] * dy - direction[1] * dx
    dot = direction[0] * dx + direction[1] * dy
    return math.tan(0.5 * math.atan2(cross, dot))  # the chord turns by half the sweep


def biarc(
    p0: Point, t0: Point, p1: Point, t1: Point
) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    """Two tangent arcs from ``p0`` to ``p1`` with the unit directions ``t0`` and ``t1`` at the ends.

    The two control legs are equal (the usual choice; it is symmetric in its ends).

    Returns:
        Rows (x, y, bulge) [m, m, 1] of the first point and of the joint.
    """
    vx, vy = p1[0] - p0[0], p1[1] - p0[1]
    vv = vx * vx + vy * vy
    vt = vx * (t0[0] + t1[0]) + vy * (t0[1] + t1[1])
    k = 2.0 * (1.0 - (t0[0] * t1[0] + t0[1] * t1[1]))
    # Leg d from k d^2 + 2 vt d - vv = 0, in the form that also holds for parallel ends (k = 0).
    d = vv / (vt + math.sqrt(max(vt * vt + k * vv, 0.0)))
    jx = 0.5 * (p0[0] + p1[0] + d * (t0[0] - t1[0]))
    jy = 0.5 * (p0[1] + p1[1] + d * (t0[1] - t1[1]))
    joint = (jx, jy)
    second = -arc_bulge(p1, (-t1[0], -t1[1]), joint)
    return (p0[0], p0[1], arc_bulge(p0, t0, joint)), (jx, jy, second)
