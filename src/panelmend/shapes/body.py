"""What a cover has to cover: the convex hull of outlines or points, kept as points and true arcs."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from panelmend.errors import ShapeError
from panelmend.shapes.clearance import distance_to_point, least_overlap
from panelmend.shapes.makers import circle
from panelmend.shapes.offset import offset
from panelmend.shapes.outline import Outline
from panelmend.shapes.segments import Arc, Point

Coverable = Outline | Iterable[Outline] | Iterable[Sequence[float]]


@dataclass(frozen=True)
class Body:
    """Outlines and points [m] to be covered together."""

    outlines: tuple[Outline, ...]
    points: tuple[Point, ...]

    @cached_property
    def arcs(self) -> tuple[Arc, ...]:
        """The arcs that bulge outwards; the others never touch a convex cover between their ends."""
        return tuple(s for o in self.outlines for s in o.parts if isinstance(s, Arc) and s.sweep > 0.0)

    @cached_property
    def corners(self) -> tuple[Point, ...]:
        """Convex hull of all vertices and points, counter-clockwise [m]."""
        return hull([(v.x, v.y) for o in self.outlines for v in o.vertices] + list(self.points))

    def support(self, angle: float) -> float:
        """How far the body reaches along ``angle`` [rad]: greatest p . u [m]."""
        ux, uy = math.cos(angle), math.sin(angle)
        best = max(x * ux + y * uy for x, y in self.corners)
        return max([best, *(s.support(ux, uy) for s in self.arcs)])

    def grown(self, margin: float) -> Body:
        """The body grown by ``margin`` [m]; points become circles."""
        if margin <= 0.0:
            return self
        outlines = [g for o in self.outlines for g in offset(o, margin)]
        outlines += [circle(p, 2.0 * margin) for p in hull(list(self.points))]
        return Body(tuple(outlines), ())

    def lacks(self, cover: Outline, margin: float) -> float:
        """What [m] the convex ``cover`` lacks to cover the body with ``margin`` [m] (0 or less: nothing)."""
        worst = max((margin - least_overlap(o, cover)[0] for o in self.outlines), default=-math.inf)
        return max([worst, *(margin - distance_to_point(cover, p) for p in self.points)])

    def samples(self, step: float) -> list[Point]:
        """Hull of corners and arc points no more than ``step`` [rad] apart [m]."""
        found = list(self.corners)
        for s in self.arcs:
            n = math.ceil(s.sweep / step)
            found += [s.at(k / n) for k in range(1, n)]
        return list(hull(found))


def body_of(what: Coverable) -> Body:
    """The body made of one outline, several, or points (x, y) [m].

    Raises:
        ShapeError: nothing, or a point that is none.
    """
    if isinstance(what, Outline):
        return Body((what,), ())
    outlines: list[Outline] = []
    points: list[Point] = []
    for item in what:
        if isinstance(item, Outline):
            outlines.append(item)
            continue
        try:
            x, y = (float(n) for n in item)
        except (TypeError, ValueError):
            raise ShapeError(
                "not a point to cover", read=repr(item)[:60], expected="x and y in metres"
            ) from None
        if not (math.isfinite(x) and math.isfinite(y)):
            raise ShapeError("a point to cover that is no number", read=repr(item)[:60])
        points.append((x, y))
    if not outlines and not points:
        raise ShapeError("nothing to cover", expected="an outline, outlines or points")
    return Body(tuple(outlines), hull(points) if points else ())


def hull(points: Sequence[Point]) -> tuple[Point, ...]:
    """Convex hull, counter-clockwise, without points on its sides (monotone chain) [m]."""
    rows = sorted(set(points))
    if len(rows) <= 2:
        return tuple(rows)

    def half(way: Iterable[Point]) -> list[Point]:
        chain: list[Point] = []
        for p in way:
            while len(chain) >= 2 and _cross(chain[-2], chain[-1], p) <= 0.0:
                chain.pop()
            chain.append(p)
        return chain[:-1]

    return tuple(half(rows) + half(reversed(rows)))


def _cross(o: Point, a: Point, b: Point) -> float:
    return (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0])
