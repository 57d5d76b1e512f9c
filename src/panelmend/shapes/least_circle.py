"""The least circle round points and arcs."""

from __future__ import annotations

import math

from panelmend.shapes.body import Body
from panelmend.shapes.segments import TINY, Arc, Point


def circle_about(body: Body) -> tuple[float, float, float]:
    """Centre and radius (x, y, r) [m] of the least circle round a body.

    The least circle of a few points is widened by the farthest point of the body, found exactly on every
    arc, until nothing lies outside. A single point has the radius 0.
    """
    points = list(body.corners)
    x, y, r = circle_of_points(points)
    for _ in range(200):
        far, p = max(
            ((math.hypot(px - x, py - y), (px, py)) for px, py in [*body.corners, *_far_points(body, x, y)]),
            key=lambda row: row[0],
        )
        if far <= r + 1e-13:
            break
        points.append(p)
        x, y, r = circle_of_points(points)
        points = [q for q in points if math.hypot(q[0] - x, q[1] - y) > 0.9 * r]
    return x, y, max(r, far)


def _far_points(body: Body, x: float, y: float) -> list[Point]:
    found = []
    for s in body.arcs:
        dx, dy = s.cx - x, s.cy - y
        d = math.hypot(dx, dy)
        ux, uy = (dx / d, dy / d) if d > TINY else _middle(s)
        p = (s.cx + s.radius * ux, s.cy + s.radius * uy)
        if s.holds(*p):
            found.append(p)
    return found


def _middle(s: Arc) -> Point:
    angle = s.start_angle + 0.5 * s.sweep
    return math.cos(angle), math.sin(angle)


def circle_of_points(points: list[Point]) -> tuple[float, float, float]:
    """Least circle (x, y, r) [m] round points, each new one that lies outside taken in in turn."""
    x, y = points[0]
    r = 0.0
    for i, p in enumerate(points):
        if _outside_circle(p, x, y, r):
            x, y, r = p[0], p[1], 0.0
            for j in range(i):
                if _outside_circle(points[j], x, y, r):
                    x, y, r = _two(p, points[j])
                    for k in range(j):
                        if _outside_circle(points[k], x, y, r):
                            x, y, r = _three(p, points[j], points[k])
    return x, y, r


def _outside_circle(p: Point, x: float, y: float, r: float) -> bool:
    return math.hypot(p[0] - x, p[1] - y) > r * (1.0 + 1e-13) + 1e-15


def _two(p: Point, q: Point) -> tuple[float, float, float]:
    return 0.5 * (p[0] + q[0]), 0.5 * (p[1] + q[1]), 0.5 * math.dist(p, q)


def _three(p: Point, q: Point, s: Point) -> tuple[float, float, float]:
    ax, ay, bx, by = q[0] - p[0], q[1] - p[1], s[0] - p[0], s[1] - p[1]
    cross = 2.0 * (ax * by - ay * bx)
    if abs(cross) <= 1e-14 * (math.hypot(ax, ay) * math.hypot(bx, by)):
        return max((_two(a, b) for a, b in ((p, q), (p, s), (q, s))), key=lambda c: c[2])
    aa, bb = ax * ax + ay * ay, bx * bx + by * by
    ux, uy = (by * aa - ay * bb) / cross, (ax * bb - bx * aa) / cross
    return p[0] + ux, p[1] + uy, math.hypot(ux, uy)
