"""Outlines through a smooth map of the plane, fitted again with lines and arcs."""

from __future__ import annotations

import math
from collections.abc import Callable

from panelmend.errors import ShapeError
from panelmend.shapes.biarcs import biarc
from panelmend.shapes.outline import Outline, outline
from panelmend.shapes.segments import Point, Segment, segment_from_bulge

Map = Callable[[float, float], Point]
Row = tuple[float, float, float]
EXACT = 1e-10  # [m] a fit this close is taken as the curve itself
DIFFERENCE_STEP = 1e-5  # fraction of a segment for its direction by central difference
FIT_PLACES = 24  # places at which a fit is measured
KEPT_BACK = 0.95  # share of the tolerance used, for what lies between the places
DEEPEST_SPLIT = 12


def mapped(outline_: Outline, function: Map, tolerance: float = 1e-5) -> Outline:
    """The outline through a smooth map, as lines and arcs within ``tolerance`` of the mapped curve.

    A segment whose image is straight or circular stays one segment; any other is replaced by pairs of arcs
    with the image's own end directions, so smooth joints stay smooth. The distance of the fit is measured
    at 24 places of every piece along the arcs' normals; pieces are halved until it is within 95 % of the
    tolerance.

    Args:
        outline_: the shape.
        function: (x, y) [m] to (x, y) [m], one to one and twice differentiable near the outline.
        tolerance: greatest distance of the result from the mapped curve [m].

    Raises:
        ShapeError: a tolerance out of reach, a map that folds, or one too rough to follow.
    """
    if not 1e-8 <= tolerance <= 1e-2:
        raise ShapeError("a mapping tolerance out of reach", read=str(tolerance), expected="1e-8 m to 0.01 m")
    rows: list[Row] = []
    for s in outline_.parts:
        rows += _fit(s, function, tolerance, 0.0, 1.0, 0)
    return outline(rows)


def stretched(outline_: Outline, angle: float, factor: float) -> Outline:
    """The outline stretched by ``factor`` [1] along the direction ``angle`` [rad] about the origin.

    Straight sides stay exact; arcs become arcs within 0.01 mm.

    Raises:
        ShapeError: a factor that is not above zero.
    """
    if not (math.isfinite(factor) and factor > 0.0):
        raise ShapeError("a stretch factor must be above zero", read=str(factor))
    c, s = math.cos(angle), math.sin(angle)

    def move(x: float, y: float) -> Point:
        along = (factor - 1.0) * (x * c + y * s)
        return (x + along * c, y + along * s)

    return outline_ if factor == 1.0 else mapped(outline_, move)


def _fit(s: Segment, f: Map, tolerance: float, t0: float, t1: float, depth: int) -> list[Row]:
    """Rows (x, y, bulge) for the image of ``s`` from t0 to t1, without its last point."""
    p, q = f(*s.at(t0)), f(*s.at(t1))
    places = [f(*s.at(t0 + (t1 - t0) * k / FIT_PLACES)) for k in range(1, FIT_PLACES)]
    middle = places[FIT_PLACES // 2 - 1]
    simple = (p[0], p[1], _bulge_through(p, middle, q))
    if _distance([simple], q, places) <= EXACT:
        return [simple]
    first, second = biarc(p, _way(s, f, t0), q, _way(s, f, t1))
    if _distance([first, second], q, places) <= KEPT_BACK * tolerance:
        return [first, second]
    if depth >= DEEPEST_SPLIT:
        raise ShapeError("the map is too rough to be followed with arcs", read=f"near {middle}")
    half = 0.5 * (t0 + t1)
    return _fit(s, f, tolerance, t0, half, depth + 1) + _fit(s, f, tolerance, half, t1, depth + 1)


def _way(s: Segment, f: Map, t: float) -> Point:
    a, b = f(*s.at(t - DIFFERENCE_STEP)), f(*s.at(t + DIFFERENCE_STEP))
    size = math.dist(a, b)
    if size <= 0.0:
        raise ShapeError("the map brings different points to one place", read=f"near {a}")
    return ((b[0] - a[0]) / size, (b[1] - a[1]) / size)


def _bulge_through(p: Point, m: Point, q: Point) -> float:
    """Bulge [1] of the arc from p to q through m; 0 for points on one straight."""
    ax, ay, bx, by = m[0] - p[0], m[1] - p[1], q[0] - m[0], q[1] - m[1]
    # The chords p-m and m-q turn by half the sweep.
    bulge = math.tan(0.5 * math.atan2(ax * by - ay * bx, ax * bx + ay * by))
    return 0.0 if abs(bulge) * math.dist(p, q) <= EXACT else bulge


def _distance(rows: list[Row], end: Point, places: list[Point]) -> float:
    """Greatest distance [m] of the places from the chain of segments."""
    ends = [(r[0], r[1]) for r in rows[1:]] + [end]
    chain = [segment_from_bulge(r[0], r[1], *e, r[2]) for r, e in zip(rows, ends, strict=True)]
    return max(min(s.nearest(*p)[0] for s in chain) for p in places)
