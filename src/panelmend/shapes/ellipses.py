"""A quarter of an ellipse as tangent arcs with a proven distance from the true curve."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable

from panelmend.shapes.biarcs import biarc
from panelmend.shapes.segments import Arc, Point, segment_from_bulge

Row = tuple[float, float, float]


def ellipse_rows(a: float, b: float, tolerance: float) -> list[Row]:
    """The whole ellipse of half axes a > b [m] as rows (x, y, bulge), symmetric about both axes [m, m, 1].

    The arcs that meet at an end of an axis lie on one circle and are made one arc.
    """
    points, bulges = quarter_arcs(a, b, tolerance)
    m = len(bulges)
    upper = [(*points[i], bulges[i]) for i in range(1, m - 1)]
    upper.append((*points[m - 1], _doubled(bulges[m - 1])))
    upper += [(-points[i][0], points[i][1], bulges[i - 1]) for i in range(m - 1, 1, -1)]
    upper.append((-points[1][0], points[1][1], _doubled(bulges[0])))
    return upper + [(-x, -y, bulge) for x, y, bulge in upper]


def _doubled(bulge: float) -> float:
    return 2.0 * bulge / (1.0 - bulge * bulge)


def quarter_arcs(a: float, b: float, tolerance: float) -> tuple[list[Point], list[float]]:
    """Points from (a, 0) to (0, b) [m] and the bulges between them [1], within ``tolerance`` [m]."""
    spread = _equal_errors(a, b)
    n = 1
    while True:
        cuts = [0.0, *(spread(i / n) for i in range(1, n)), 0.5 * math.pi]
        rows: list[Row] = []
        worst = 0.0
        for t0, t1 in itertools.pairwise(cuts):
            first, second = biarc(_point(a, b, t0), _way(a, b, t0), _point(a, b, t1), _way(a, b, t1))
            rows += [first, second]
            worst = max(worst, _deviation(a, b, t0, t1, first, second))
        if worst <= tolerance:
            return [(x, y) for x, y, _ in rows] + [(0.0, b)], [bulge for _, _, bulge in rows]
        n = max(n + 1, math.ceil(n * min(4.0, (worst / tolerance) ** (1.0 / 3.0) * 0.95)))


def _point(a: float, b: float, t: float) -> Point:
    if t == 0.0:
        return (a, 0.0)
    return (0.0, b) if t == 0.5 * math.pi else (a * math.cos(t), b * math.sin(t))


def _way(a: float, b: float, t: float) -> Point:
    if t == 0.0:
        return (0.0, 1.0)
    if t == 0.5 * math.pi:
        return (-1.0, 0.0)
    x, y = -a * math.sin(t), b * math.cos(t)
    size = math.hypot(x, y)
    return (x / size, y / size)


def _equal_errors(a: float, b: float) -> Callable[[float], float]:
    """Cut parameters that give each biarc the same error: equal shares of the integral of |dk/ds|^(1/3) ds.

    (A biarc's error goes with the change of curvature and the cube of its length.)
    """
    n = 400
    total = [0.0]
    for i in range(n):
        t = (i + 0.5) / n * 0.5 * math.pi
        c, s = math.cos(t), math.sin(t)
        speed2 = a * a * s * s + b * b * c * c
        change = 3.0 * a * b * (a * a - b * b) * s * c / speed2**3  # |dk/ds|
        total.append(total[-1] + change ** (1.0 / 3.0) * math.sqrt(speed2))

    def cut(share: float) -> float:
        want = share * total[-1]
        i = next(k for k in range(1, n + 1) if total[k] >= want)
        return (i - 1 + (want - total[i - 1]) / (total[i] - total[i - 1])) / n * 0.5 * math.pi

    return cut


def _deviation(a: float, b: float, t0: float, t1: float, first: Row, second: Row) -> float:
    """Greatest distance [m] between the ellipse from t0 to t1 and the two arcs, along the arcs' normals."""
    arc1 = segment_from_bulge(first[0], first[1], second[0], second[1], first[2])
    arc2 = segment_from_bulge(second[0], second[1], *_point(a, b, t1), second[2])
    if not (isinstance(arc1, Arc) and isinstance(arc2, Arc)):
        return math.inf
    jx, jy = second[0] - arc1.cx, second[1] - arc1.cy
    middle = _root(lambda t: jx * (b * math.sin(t) - arc1.cy) - jy * (a * math.cos(t) - arc1.cx), t0, t1)
    return max(_off(a, b, t0, middle, arc1), _off(a, b, middle, t1, arc2))


def _off(a: float, b: float, t0: float, t1: float, arc: Arc) -> float:
    """Greatest | |E(t) - C| - r | [m]: at the ends, or where the distance to the centre is stationary.

    That happens at most four times round an ellipse, so twelve steps a piece separate the places.
    """

    def slope(t: float) -> float:
        x, y = a * math.cos(t), b * math.sin(t)
        return -(x - arc.cx) * a * math.sin(t) + (y - arc.cy) * b * math.cos(t)

    ts = [t0 + (t1 - t0) * i / 12 for i in range(13)]
    spots = [*ts]
    for u, v in itertools.pairwise(ts):
        if slope(u) * slope(v) < 0.0:
            spots.append(_root(slope, u, v))
    return max(
        abs(math.hypot(a * math.cos(t) - arc.cx, b * math.sin(t) - arc.cy) - arc.radius) for t in spots
    )


def _root(f: Callable[[float], float], low: float, high: float) -> float:
    at_low = f(low)
    for _ in range(48):
        mid = 0.5 * (low + high)
        if (f(mid) > 0.0) == (at_low > 0.0):
            low = mid
        else:
            high = mid
    return 0.5 * (low + high)
