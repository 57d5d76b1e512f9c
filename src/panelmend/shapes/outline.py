"""Outlines: closed, simple, counter-clockwise shapes of exact lines and arcs. Metres and radians."""

from __future__ import annotations

import hashlib
import math
from array import array
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from panelmend.errors import ShapeError
from panelmend.shapes.checking import crossing_near, tidy_bulge
from panelmend.shapes.segments import TINY, Arc, Line, Point, Segment, segment_from_bulge
from panelmend.units import show

LARGEST_COORDINATE = 1e4  # [m] beyond this a coordinate is a slip, not a panel
MOST_VERTICES = 20_000


@dataclass(frozen=True, slots=True)
class Vertex:
    """A corner (x, y) [m] and the bulge tan(included angle / 4) [1] of the segment that leaves it.

    A positive bulge turns counter-clockwise; 0 is a straight segment (as in DXF polylines).
    """

    x: float
    y: float
    bulge: float = 0.0


@dataclass(frozen=True)
class Outline:
    """A closed, simple, counter-clockwise shape. Make one with :func:`outline`, which checks it."""

    vertices: tuple[Vertex, ...]

    @cached_property
    def parts(self) -> tuple[Segment, ...]:
        """The segments in order, each from a vertex to the next."""
        return tuple(
            segment_from_bulge(v.x, v.y, w.x, w.y, v.bulge)
            for v, w in zip(self.vertices, self.vertices[1:] + self.vertices[:1], strict=True)
        )

    def segments(self) -> tuple[Segment, ...]:
        """The segments in order: :class:`Line` or :class:`Arc` (centre, radius [m], angles [rad])."""
        return self.parts

    @cached_property
    def exact(self) -> bytes:
        """Every bit of the vertices: what results made from the outline are kept by."""
        return array("d", [n for v in self.vertices for n in (v.x, v.y, v.bulge)]).tobytes()

    @cached_property
    def boxes(self) -> tuple[tuple[float, float, float, float], ...]:
        """Bounds of each segment [m]."""
        return tuple(s.box() for s in self.parts)

    @cached_property
    def _moments(self) -> tuple[float, float, float]:
        # Taken about the first vertex so that far-off shapes keep their digits.
        ox, oy = self.vertices[0].x, self.vertices[0].y
        area = mx = my = 0.0
        for s in self.parts:
            x0, y0, x1, y1 = s.x0 - ox, s.y0 - oy, s.x1 - ox, s.y1 - oy
            cross = x0 * y1 - x1 * y0
            area += cross / 2.0
            mx += (x0 + x1) * cross / 6.0
            my += (y0 + y1) * cross / 6.0
            if isinstance(s, Arc):
                piece, cx, cy = _arc_cap(s, ox, oy)
                area += piece
                mx += cx
                my += cy
        return area, mx, my

    @property
    def area(self) -> float:
        """Enclosed area [m2]."""
        return self._moments[0]

    @property
    def centroid(self) -> Point:
        """Centre of area (x, y) [m]."""
        area, mx, my = self._moments
        return (self.vertices[0].x + mx / area, self.vertices[0].y + my / area)

    @cached_property
    def perimeter(self) -> float:
        """Length of the boundary [m]."""
        return math.fsum(s.length for s in self.parts)

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """Least x, least y, greatest x, greatest y [m]."""
        x0, y0, x1, y1 = zip(*self.boxes, strict=True)
        return min(x0), min(y0), max(x1), max(y1)

    def moved(self, dx: float, dy: float) -> Outline:
        """The outline moved by (dx, dy) [m]."""
        return Outline(tuple(Vertex(v.x + dx, v.y + dy, v.bulge) for v in self.vertices))

    def turned(self, angle: float, about: Point = (0.0, 0.0)) -> Outline:
        """The outline turned by ``angle`` [rad], counter-clockwise positive, about a point [m]."""
        c, s = math.cos(angle), math.sin(angle)
        ax, ay = about
        return Outline(
            tuple(
                Vertex(ax + c * (v.x - ax) - s * (v.y - ay), ay + s * (v.x - ax) + c * (v.y - ay), v.bulge)
                for v in self.vertices
            )
        )

    def mirrored_y(self) -> Outline:
        """The outline with y turned to -y: the shape seen from the other side, flipped about 0 degrees."""
        vs = self.vertices
        n = len(vs)
        # Travelled backwards, so that it stays counter-clockwise; the first vertex stays first.
        return Outline(tuple(Vertex(vs[-i % n].x, -vs[-i % n].y, vs[(-i - 1) % n].bulge) for i in range(n)))

    @cached_property
    def _climbs(self) -> tuple[tuple[float, float, int, Segment], ...]:
        found: list[tuple[float, float, int, Segment]] = []
        for s in self.parts:
            if isinstance(s, Line):
                found.append((s.y0, s.y1, 0, s))
                continue
            cuts = _level_cuts(s)
            ys = [s.y0, *(s.cy + math.copysign(s.radius, math.sin(a)) for a in cuts), s.y1]
            angles = [s.start_angle, *cuts, s.end_angle]
            for i in range(len(ys) - 1):
                right = 1 if math.cos(0.5 * (angles[i] + angles[i + 1])) > 0.0 else -1
                found.append((ys[i], ys[i + 1], right, s))
        return tuple(found)

    def contains(self, point: Point, slack: float = TINY) -> bool:
        """Whether the point [m] lies inside, or on the boundary within ``slack`` [m]."""
        x, y = point
        x0, y0, x1, y1 = self.bounds
        if x < x0 - slack or x > x1 + slack or y < y0 - slack or y > y1 + slack:
            return False
        inside = False
        for ya, yb, right, s in self._climbs:
            if (ya <= y) != (yb <= y):
                if isinstance(s, Arc):
                    dy = y - s.cy
                    at = s.cx + right * math.sqrt(max((s.radius - dy) * (s.radius + dy), 0.0))
                else:
                    at = s.x0 + (y - s.y0) * (s.x1 - s.x0) / (s.y1 - s.y0)
                if x < at:
                    inside = not inside
        return inside or self.reach(x, y)[0] <= slack

    def reach(self, x: float, y: float) -> tuple[float, float, float]:
        """Least distance [m] from (x, y) [m] to the boundary, and the nearest boundary point [m]."""
        best = (math.inf, 0.0, 0.0)
        for s, (x0, y0, x1, y1) in zip(self.parts, self.boxes, strict=True):
            d = best[0]
            if x0 - x > d or x - x1 > d or y0 - y > d or y - y1 > d:
                continue
            near = s.nearest(x, y)
            if near[0] < d:
                best = near
        return best

    @cached_property
    def is_convex(self) -> bool:
        """Whether no part of the outline turns inwards."""
        parts = self.parts
        if any(isinstance(s, Arc) and s.sweep < 0.0 for s in parts):
            return False
        return all(turn_at(parts[i - 1], parts[i]) >= -1e-9 for i in range(len(parts)))

    def support(self, angle: float) -> float:
        """How far the outline reaches along the direction ``angle`` [rad]: greatest p . u [m]."""
        ux, uy = math.cos(angle), math.sin(angle)
        return max(s.support(ux, uy) for s in self.parts)

    def extent(self, angle: float) -> float:
        """Width of the outline measured along the direction ``angle`` [rad], [m]."""
        return self.support(angle) + self.support(angle + math.pi)

    def largest_extent(self) -> float:
        """Greatest distance [m] between two points of the outline, in any direction."""
        best = 0.0
        arcs = [s for s in self.parts if isinstance(s, Arc)]
        for v in self.vertices:
            best = max(best, max(math.hypot(v.x - w.x, v.y - w.y) for w in self.vertices))
            for s in arcs:
                best = max(best, _farthest(s, v.x, v.y))
        for i, a in enumerate(arcs):
            for b in arcs[i:]:
                best = max(best, _farthest_arcs(a, b))
        return best

    def digest(self) -> str:
        """SHA-256 (hex) of the vertices rounded to 1e-9 m, whichever vertex comes first."""
        rows = [tuple(round(n, 9) + 0.0 for n in (v.x, v.y, v.bulge)) for v in self.vertices]
        first = rows.index(min(rows))
        text = ";".join(f"{x:.9f},{y:.9f},{b:.9f}" for x, y, b in rows[first:] + rows[:first])
        return hashlib.sha256(text.encode()).hexdigest()

    def summary(self, view: str = "mm") -> str:
        """One line for people: vertices and overall size in ``view`` "mm" or "in"."""
        x0, y0, x1, y1 = self.bounds
        width = show(x1 - x0, "length", view).rsplit(" ", 1)[0]
        return f"closed outline, {len(self.vertices)} vertices, {width} x {show(y1 - y0, 'length', view)}"

    def to_json(self) -> dict[str, Any]:
        """Plain data: ``{"vertices": [[x, y, bulge], ...]}`` [m, m, 1]."""
        return {"vertices": [[v.x, v.y, v.bulge] for v in self.vertices]}


def outline(vertices: Iterable[Vertex | Sequence[float]], where: str = "") -> Outline:
    """A checked outline from vertices, or rows (x, y) or (x, y, bulge) [m, m, 1], in either sense.

    Args:
        vertices: the corners in order; the last joins the first [m].
        where: the place to name in a refusal.

    Raises:
        ShapeError: too few vertices, numbers that are not finite, segments without length, an outline that
            crosses or touches itself, or one that encloses nothing.
    """
    vs = [_vertex(v, where) for v in vertices]
    if len(vs) > MOST_VERTICES:
        raise ShapeError(
            "too many vertices", where=where, read=str(len(vs)), expected=f"{MOST_VERTICES} at most"
        )
    vs = [tidy_vertex(v, vs[(i + 1) % len(vs)]) for i, v in enumerate(vs)]
    least = 2 if any(v.bulge != 0.0 for v in vs) else 3
    if len(vs) < least:
        raise ShapeError(
            "an outline with too few vertices",
            where=where,
            read=f"{len(vs)} vertices",
            expected="at least 3, or 2 where a segment is an arc",
        )
    for i, v in enumerate(vs):
        w = vs[(i + 1) % len(vs)]
        if math.hypot(v.x - w.x, v.y - w.y) <= TINY:
            raise ShapeError(
                "two vertices in a row at the same place",
                where=where,
                read=f"vertices {i + 1} and {(i + 1) % len(vs) + 1} at {place(v.x, v.y)}",
                todo="leave one of them out (the outline closes by itself)",
            )
    made = Outline(tuple(vs))
    near = crossing_near(made.parts, made.boxes)
    if near is not None:
        i, j, x, y = near
        raise ShapeError(
            "the outline crosses or touches itself",
            where=where,
            read=f"segments {i + 1} and {j + 1} meet near {place(x, y)}",
            expected="a closed outline that never meets itself",
        )
    if abs(made.area) <= 1e-12:
        raise ShapeError("the outline encloses nothing", where=where, read=f"area {made.area * 1e6:.3g} mm2")
    return made if made.area > 0.0 else _reversed(made)


def _vertex(v: Vertex | Sequence[float], where: str) -> Vertex:
    try:
        row = (v.x, v.y, v.bulge) if isinstance(v, Vertex) else tuple(float(n) for n in v)
    except (TypeError, ValueError):
        row = ()
    if len(row) not in (2, 3):
        raise ShapeError(
            "not a vertex", where=where, read=repr(v)[:60], expected="x, y and, for an arc, a bulge"
        )
    if not all(math.isfinite(n) for n in row):
        raise ShapeError("a vertex that is no number", where=where, read=repr(v)[:60])
    if max(abs(row[0]), abs(row[1])) > LARGEST_COORDINATE:
        raise ShapeError(
            "a vertex too far away",
            where=where,
            read=place(row[0], row[1]),
            expected="within 10 km of the origin",
        )
    return Vertex(*row)


def tidy_vertex(v: Vertex, w: Vertex) -> Vertex:
    """The vertex with a bulge that nobody could measure made straight."""
    return Vertex(v.x, v.y, tidy_bulge(v.bulge, math.hypot(w.x - v.x, w.y - v.y)))


def _reversed(o: Outline) -> Outline:
    vs = o.vertices
    n = len(vs)
    return Outline(tuple(Vertex(vs[-i % n].x, vs[-i % n].y, -vs[(-i - 1) % n].bulge) for i in range(n)))


def place(x: float, y: float) -> str:
    """A point [m] as people read it."""
    return f"({x * 1e3:.2f}, {y * 1e3:.2f}) mm"


def turn_at(before: Segment, after: Segment) -> float:
    """The angle [rad] the outline turns at the vertex between two segments, left positive."""
    ax, ay = before.tangent(1.0)
    bx, by = after.tangent(0.0)
    return math.atan2(ax * by - ay * bx, ax * bx + ay * by)


def _arc_cap(s: Arc, ox: float, oy: float) -> tuple[float, float, float]:
    """Area [m2] between arc and chord and its first moments [m3], signed like the sweep."""
    w = s.sweep
    if abs(w) < 0.1:
        w2 = w * w
        lune = w * w2 / 6.0 * (1.0 - w2 / 20.0 * (1.0 - w2 / 42.0 * (1.0 - w2 / 72.0)))
    else:
        lune = w - math.sin(w)
    area = 0.5 * s.radius * s.radius * lune
    reach = 2.0 / 3.0 * (s.radius * math.sin(0.5 * w)) ** 3
    middle = s.start_angle + 0.5 * w
    return area, area * (s.cx - ox) + reach * math.cos(middle), area * (s.cy - oy) + reach * math.sin(middle)


def _level_cuts(s: Arc) -> list[float]:
    """The angles [rad] strictly inside the sweep where the arc runs level (its top and bottom)."""
    low, high = sorted((s.start_angle, s.end_angle))
    k = math.ceil((low - 0.5 * math.pi) / math.pi)
    cuts = []
    while (angle := 0.5 * math.pi + k * math.pi) < high:
        if angle > low:
            cuts.append(angle)
        k += 1
    return cuts if s.sweep > 0.0 else cuts[::-1]


def _farthest(s: Arc, x: float, y: float) -> float:
    dx, dy = s.cx - x, s.cy - y
    d = math.hypot(dx, dy)
    if d > 0.0 and s.holds(s.cx + s.radius * dx / d, s.cy + s.radius * dy / d):
        return d + s.radius
    return max(math.hypot(x - s.x0, y - s.y0), math.hypot(x - s.x1, y - s.y1))


def _farthest_arcs(a: Arc, b: Arc) -> float:
    dx, dy = b.cx - a.cx, b.cy - a.cy
    d = math.hypot(dx, dy)
    if d <= TINY:
        return 0.0  # one centre: a point opposite an arc's end does as well, and is tried with the vertices
    px, py = a.cx - a.radius * dx / d, a.cy - a.radius * dy / d
    return _farthest(b, px, py) if a.holds(px, py) else 0.0
