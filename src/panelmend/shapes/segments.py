"""Straight and circular segments: length, points, bounds, nearest points, crossings. All exact."""

from __future__ import annotations

import math
from dataclasses import dataclass

TINY = 1e-9  # [m] two points closer than this are one point
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Line:
    """A straight segment from (x0, y0) to (x1, y1) [m]."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def start(self) -> Point:
        """First point [m]."""
        return (self.x0, self.y0)

    @property
    def end(self) -> Point:
        """Last point [m]."""
        return (self.x1, self.y1)

    @property
    def length(self) -> float:
        """Length [m]."""
        return math.hypot(self.x1 - self.x0, self.y1 - self.y0)

    @property
    def bulge(self) -> float:
        """Zero: the segment is straight [1]."""
        return 0.0

    def at(self, t: float) -> Point:
        """The point at the fraction ``t`` [1] of the length [m]."""
        return (self.x0 + t * (self.x1 - self.x0), self.y0 + t * (self.y1 - self.y0))

    def fraction(self, x: float, y: float) -> float:
        """The fraction [1] of the length at which the point (x, y) [m] of the segment lies."""
        dx, dy = self.x1 - self.x0, self.y1 - self.y0
        return ((x - self.x0) * dx + (y - self.y0) * dy) / (dx * dx + dy * dy)

    def tangent(self, t: float) -> Point:
        """Unit direction of travel at the fraction ``t`` [1]."""
        length = self.length
        return ((self.x1 - self.x0) / length, (self.y1 - self.y0) / length)

    def part(self, t0: float, t1: float) -> Line:
        """The piece between the fractions ``t0`` and ``t1`` [1]."""
        return Line(*self.at(t0), *self.at(t1))

    def box(self) -> tuple[float, float, float, float]:
        """Least x, least y, greatest x, greatest y [m]."""
        return (min(self.x0, self.x1), min(self.y0, self.y1), max(self.x0, self.x1), max(self.y0, self.y1))

    def nearest(self, x: float, y: float) -> tuple[float, float, float]:
        """Distance [m] from (x, y) [m] and the nearest point of the segment [m]."""
        dx, dy = self.x1 - self.x0, self.y1 - self.y0
        t = ((x - self.x0) * dx + (y - self.y0) * dy) / (dx * dx + dy * dy)
        t = 0.0 if t < 0.0 else (1.0 if t > 1.0 else t)
        px, py = self.x0 + t * dx, self.y0 + t * dy
        return math.hypot(x - px, y - py), px, py

    def support(self, ux: float, uy: float) -> float:
        """Greatest p . u [m] over the segment for the unit direction u [1]."""
        return max(self.x0 * ux + self.y0 * uy, self.x1 * ux + self.y1 * uy)


@dataclass(frozen=True, slots=True)
class Arc:
    """A circular arc from (x0, y0) to (x1, y1) about (cx, cy), radius r [m].

    ``start_angle`` [rad] is the direction from the centre to the start, ``sweep`` [rad] the angle run
    through, counter-clockwise positive, less than a full turn.
    """

    x0: float
    y0: float
    x1: float
    y1: float
    cx: float
    cy: float
    radius: float
    start_angle: float
    sweep: float

    @property
    def start(self) -> Point:
        """First point [m]."""
        return (self.x0, self.y0)

    @property
    def end(self) -> Point:
        """Last point [m]."""
        return (self.x1, self.y1)

    @property
    def centre(self) -> Point:
        """Centre [m]."""
        return (self.cx, self.cy)

    @property
    def end_angle(self) -> float:
        """Direction from the centre to the end [rad]."""
        return self.start_angle + self.sweep

    @property
    def length(self) -> float:
        """Length along the arc [m]."""
        return self.radius * abs(self.sweep)

    @property
    def bulge(self) -> float:
        """tan(sweep / 4) [1]."""
        return math.tan(self.sweep / 4.0)

    def at(self, t: float) -> Point:
        """The point at the fraction ``t`` [1] of the length [m]."""
        angle = self.start_angle + t * self.sweep
        return (self.cx + self.radius * math.cos(angle), self.cy + self.radius * math.sin(angle))

    def fraction(self, x: float, y: float) -> float:
        """The fraction [1] of the length at which the point (x, y) [m] of the arc lies."""
        middle = self.start_angle + 0.5 * self.sweep
        off = math.remainder(math.atan2(y - self.cy, x - self.cx) - middle, math.tau)
        return 0.5 + off / self.sweep

    def tangent(self, t: float) -> Point:
        """Unit direction of travel at the fraction ``t`` [1]."""
        angle = self.start_angle + t * self.sweep
        sign = 1.0 if self.sweep > 0.0 else -1.0
        return (-sign * math.sin(angle), sign * math.cos(angle))

    def part(self, t0: float, t1: float) -> Arc:
        """The piece between the fractions ``t0`` and ``t1`` [1]."""
        a, b = self.at(t0), self.at(t1)
        angle = self.start_angle + t0 * self.sweep
        return Arc(*a, *b, self.cx, self.cy, self.radius, angle, (t1 - t0) * self.sweep)

    def holds(self, x: float, y: float) -> bool:
        """Whether the point (x, y) [m] of the full circle lies on the arc (on its side of the chord)."""
        dx, dy = self.x1 - self.x0, self.y1 - self.y0
        side = dx * (y - self.y0) - dy * (x - self.x0)
        slack = 1e-12 * (abs(dx) + abs(dy))
        return side <= slack if self.sweep > 0.0 else side >= -slack

    def box(self) -> tuple[float, float, float, float]:
        """Least x, least y, greatest x, greatest y [m]."""
        xs, ys = [self.x0, self.x1], [self.y0, self.y1]
        r = self.radius
        if self.holds(self.cx + r, self.cy):
            xs.append(self.cx + r)
        if self.holds(self.cx - r, self.cy):
            xs.append(self.cx - r)
        if self.holds(self.cx, self.cy + r):
            ys.append(self.cy + r)
        if self.holds(self.cx, self.cy - r):
            ys.append(self.cy - r)
        return min(xs), min(ys), max(xs), max(ys)

    def nearest(self, x: float, y: float) -> tuple[float, float, float]:
        """Distance [m] from (x, y) [m] and the nearest point of the arc [m]."""
        dx, dy = x - self.cx, y - self.cy
        out = math.hypot(dx, dy)
        if out > 0.0:
            px, py = self.cx + self.radius * dx / out, self.cy + self.radius * dy / out
            if self.holds(px, py):
                return abs(out - self.radius), px, py
        d0, d1 = math.hypot(x - self.x0, y - self.y0), math.hypot(x - self.x1, y - self.y1)
        return (d0, self.x0, self.y0) if d0 <= d1 else (d1, self.x1, self.y1)

    def support(self, ux: float, uy: float) -> float:
        """Greatest p . u [m] over the arc for the unit direction u [1]."""
        if self.holds(self.cx + self.radius * ux, self.cy + self.radius * uy):
            return self.cx * ux + self.cy * uy + self.radius
        return max(self.x0 * ux + self.y0 * uy, self.x1 * ux + self.y1 * uy)


Segment = Line | Arc


def arc_about(centre: Point, start: Point, end: Point, sweep_sign: float) -> Arc:
    """The arc about ``centre`` from ``start`` to ``end`` [m], counter-clockwise for ``sweep_sign`` +1."""
    a0 = math.atan2(start[1] - centre[1], start[0] - centre[0])
    a1 = math.atan2(end[1] - centre[1], end[0] - centre[0])
    sweep = (a1 - a0) % math.tau if sweep_sign > 0 else -((a0 - a1) % math.tau)
    radius = math.hypot(start[0] - centre[0], start[1] - centre[1])
    return Arc(*start, *end, *centre, radius, a0, sweep)


def segment_from_bulge(x0: float, y0: float, x1: float, y1: float, bulge: float) -> Segment:
    """The segment between two points [m] with a DXF bulge tan(sweep / 4) [1]."""
    if bulge == 0.0:
        return Line(x0, y0, x1, y1)
    dx, dy = x1 - x0, y1 - y0
    chord = math.hypot(dx, dy)
    # Centre on the chord's normal, left of the chord for a short counter-clockwise arc.
    off = (1.0 - bulge * bulge) / (4.0 * bulge)
    cx, cy = 0.5 * (x0 + x1) - off * dy, 0.5 * (y0 + y1) + off * dx
    radius = chord * (1.0 + bulge * bulge) / (4.0 * abs(bulge))
    return Arc(x0, y0, x1, y1, cx, cy, radius, math.atan2(y0 - cy, x0 - cx), 4.0 * math.atan(bulge))


def shifted(segment: Segment, distance: float) -> Segment | None:
    """The segment moved by ``distance`` [m] to the right of its travel; None when a radius is used up."""
    if isinstance(segment, Line):
        ux, uy = segment.tangent(0.0)
        ox, oy = uy * distance, -ux * distance
        return Line(segment.x0 + ox, segment.y0 + oy, segment.x1 + ox, segment.y1 + oy)
    radius = segment.radius + (distance if segment.sweep > 0.0 else -distance)
    if radius <= TINY:
        return None
    k = radius / segment.radius
    cx, cy = segment.cx, segment.cy
    return Arc(
        cx + k * (segment.x0 - cx),
        cy + k * (segment.y0 - cy),
        cx + k * (segment.x1 - cx),
        cy + k * (segment.y1 - cy),
        cx,
        cy,
        radius,
        segment.start_angle,
        segment.sweep,
    )
