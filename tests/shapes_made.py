"""Outlines for property tests, and shapely copies of them as an independent reference."""

from __future__ import annotations

import math
import random
from itertools import pairwise

from hypothesis import strategies as st
from shapely import union_all
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from panelmend.errors import ShapeError
from panelmend.shapes import Outline, circle, ellipse, outline, oval, rectangle


def copied(o: Outline, steps: int = 200) -> Polygon:
    """A fine polygon with its corners on the outline."""
    points = []
    for s in o.segments():
        n = steps if s.bulge else 1
        points += [s.at(i / n) for i in range(n)]
    return Polygon(points)


def spiky(seed: int, count: int, arcs: bool = True, size: float = 0.1) -> Outline | None:
    """A star-shaped outline with straight and bulging sides; None when the dice crossed it."""
    dice = random.Random(seed)
    rows = []
    for i in range(count):
        angle = math.tau * (i + 0.7 * dice.random()) / count
        r = size * (0.35 + 0.65 * dice.random())
        bulge = dice.choice([0.0, dice.uniform(-0.4, 0.6)]) if arcs else 0.0
        rows.append((r * math.cos(angle), r * math.sin(angle), bulge))
    try:
        return outline(rows)
    except ShapeError:
        return None


def any_outlines(arcs: bool = True) -> st.SearchStrategy[Outline]:
    """Star-shaped outlines of 3 to 9 corners, about 0.2 m across."""
    return (
        st.tuples(st.integers(0, 10_000), st.integers(3, 9))
        .map(lambda t: spiky(t[0], t[1], arcs))
        .filter(lambda o: o is not None)
    )


def convex_outlines() -> st.SearchStrategy[Outline]:
    """Circles, ellipses, ovals and rectangles, turned."""

    def made(kind: int, long: float, part: float, angle: float, x: float) -> Outline:
        short = long * part
        if kind == 0:
            return circle((x, -x), long)
        if kind == 1:
            return ellipse((x, 0.1), long, short, angle)
        if kind == 2:
            return oval((0.0, x), long, short, angle)
        if kind == 3:
            return rectangle((x, x), long, short, angle)
        return rectangle((x, x), long, short, angle, 0.4 * short)

    return st.builds(
        made,
        st.integers(0, 4),
        st.floats(0.02, 0.5),
        st.floats(0.2, 1.0),
        st.floats(-3.0, 3.0),
        st.floats(-1.0, 1.0),
    )


def swept(o: Outline, d: float, steps: int = 40) -> BaseGeometry:
    """Growth or shrinkage by the union of round-ended strips along every chord.

    (GEOS's own buffer of the whole polygon simplifies hollow curves by up to 1 % of the distance first.)
    """
    p = copied(o, steps)
    ring = list(p.exterior.coords)
    strips = union_all([LineString(pair).buffer(abs(d), quad_segs=48) for pair in pairwise(ring)])
    return p.union(strips) if d > 0 else p.difference(strips)


def ring_area(shape: BaseGeometry) -> float:
    """Area inside the outer boundaries, holes filled [m2]."""
    parts = getattr(shape, "geoms", [shape])
    return sum(Polygon(part.exterior).area for part in parts if not part.is_empty)
