"""Distances between outlines, points and lines: exact for every pair of lines and arcs."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

from panelmend.derive.memory import remembered
from panelmend.errors import ShapeError
from panelmend.shapes.meeting import crossings, nearest
from panelmend.shapes.outline import Outline
from panelmend.shapes.overlap import SEGMENT_SAMPLES, extreme_fractions, farthest_outside
from panelmend.shapes.segments import TINY, Line, Point, Segment


@dataclass(frozen=True)
class Clearance:
    """Least distance [m] between two boundaries and the points (x, y) [m] where it is reached.

    ``overlaps``: the areas share more than boundary points (one lies in the other, or they cross).
    """

    distance: float
    at_a: Point
    at_b: Point
    overlaps: bool


@remembered
def clearance(a: Outline, b: Outline) -> Clearance:
    """Least distance [m] between the boundaries of two outlines; 0 where they meet."""
    distance, at_a, at_b = boundary_distance(a, b)
    if distance > TINY:
        overlaps = a.contains(at_b, 0.0) or b.contains(at_a, 0.0)
    else:
        overlaps = _areas_meet(a, b)
    return Clearance(distance, at_a, at_b, overlaps)


@remembered
def boundary_distance(a: Outline, b: Outline) -> tuple[float, Point, Point]:
    """Least distance [m] between two boundaries with a point of each [m]."""
    best = (math.inf, 0.0, 0.0, 0.0, 0.0)
    pairs = []
    for s, (ax0, ay0, ax1, ay1) in zip(a.parts, a.boxes, strict=True):
        for t, (bx0, by0, bx1, by1) in zip(b.parts, b.boxes, strict=True):
            dx = max(bx0 - ax1, ax0 - bx1, 0.0)
            dy = max(by0 - ay1, ay0 - by1, 0.0)
            pairs.append((dx * dx + dy * dy, s, t))
    pairs.sort(key=lambda row: row[0])
    for gap2, s, t in pairs:
        if gap2 >= best[0] * best[0]:
            break
        near = nearest(s, t)
        if near[0] < best[0]:
            best = near
    return best[0], (best[1], best[2]), (best[3], best[4])


def _areas_meet(a: Outline, b: Outline) -> bool:
    """Whether two outlines whose boundaries meet share any area (more than 1e-9 m deep)."""
    return any(_deepest(mine, other) > 2.0 * TINY for mine, other in ((a, b), (b, a))) or _middle_in(a, b)


def _deepest(a: Outline, b: Outline) -> float:
    """How far [m] boundary pieces of ``a``, cut where they meet ``b``, lie inside ``b`` at their middles."""
    deepest = -math.inf
    for s in a.parts:
        for x, y in _middles(s, b):
            d = b.reach(x, y)[0]
            deepest = max(deepest, d if b.contains((x, y), 0.0) else -d)
    return deepest


def _middles(s: Segment, b: Outline) -> list[Point]:
    marks = [0.0, 1.0]
    for t in b.parts:
        marks += [s.fraction(x, y) for x, y in crossings(s, t)]
    marks = sorted(min(max(m, 0.0), 1.0) for m in marks)
    return [s.at(0.5 * (u + v)) for u, v in itertools.pairwise(marks) if (v - u) * s.length > TINY]


def _middle_in(a: Outline, b: Outline) -> bool:
    """For boundaries that run along each other: whether a point just inside ``a`` lies inside ``b``."""
    s = max(a.parts, key=lambda part: part.length)
    for x, y in _middles(s, b):
        ux, uy = s.tangent(s.fraction(x, y))
        p = (x - 1e-7 * uy, y + 1e-7 * ux)
        if a.contains(p, 0.0) and b.contains(p, 0.0):
            return True
    return False


def depth_within(a: Outline, b: Outline) -> float:
    """How deep [m] the boundary of ``a`` lies inside ``b`` where it does so most; 0 where it lies outside.

    Tried at corners, where an arc of ``a`` comes closest to or farthest from a line or arc of ``b`` (exact
    for one that runs a little way into ``b``), at the middles of the pieces that ``b`` cuts ``a`` into, and
    at even places between.
    """
    deepest = 0.0
    for s in a.parts:
        places = [
            s.at(t)
            for t in (*extreme_fractions(s, b), *(k / SEGMENT_SAMPLES for k in range(1, SEGMENT_SAMPLES)))
        ]
        for x, y in (*places, *_middles(s, b)):
            if b.contains((x, y), 0.0):
                deepest = max(deepest, b.reach(x, y)[0])
    return deepest


def distance_to_point(outline: Outline, point: Point) -> float:
    """Distance [m] from the boundary to the point [m]: above zero inside, below zero outside."""
    d = outline.reach(*point)[0]
    return d if outline.contains(point, 0.0) else -d


def distance_to_segment(outline: Outline, start: Point, end: Point) -> float:
    """Least distance [m] from the boundary to the straight line between two points [m]; 0 if they cross.

    Raises:
        ShapeError: a segment without length.
    """
    if math.dist(start, end) <= TINY:
        raise ShapeError("a segment without length", read=f"{start} to {end}")
    line = Line(*start, *end)
    return min(nearest(s, line)[0] for s in outline.parts)


@remembered
def least_overlap(inner: Outline, outer: Outline) -> tuple[float, Point, Point]:
    """How far ``outer`` reaches beyond ``inner`` where it does so least, corners included.

    Returns:
        The least distance [m] from the boundary of ``inner`` to that of ``outer`` with a point of each [m].
        Where ``inner`` pokes out the distance is below zero: minus the farthest it reaches outside.
    """
    distance, p, q = boundary_distance(inner, outer)
    if distance > TINY and outer.contains(p, 0.0):
        # Not crossing and one boundary point inside: all of inner is inside.
        return distance, p, q
    worst, at_inner, at_outer = farthest_outside(inner, outer)
    if worst > TINY:
        return -worst, at_inner, at_outer
    return (0.0 if distance <= TINY else distance), p, q


def inside(inner: Outline, outer: Outline, gap: float = 0.0) -> bool:
    """Whether ``inner`` lies in ``outer`` with at least ``gap`` [m] all round (to 1e-9 m)."""
    return least_overlap(inner, outer)[0] >= gap - TINY
