"""How far one outline reaches outside another."""

from __future__ import annotations

import math

from panelmend.shapes.outline import Outline
from panelmend.shapes.segments import TINY, Arc, Line, Point, Segment

SEGMENT_SAMPLES = 16


def farthest_outside(inner: Outline, outer: Outline) -> tuple[float, Point, Point]:
    """Greatest distance [m] from ``outer`` of a boundary point of ``inner`` outside it; 0 if none is.

    With it the point of ``inner`` and the nearest point of ``outer`` [m]. Along a segment of ``inner`` the
    distance to a line or arc of ``outer`` is greatest at the segment's ends or where the segment runs along
    it or across its centre; those places are tried exactly. Where the nearest segment of ``outer`` changes
    in between (possible only outside a hollow of ``outer``), samples refined by a golden-section search
    find the place to 1e-9 m.
    """
    best = (0.0, inner.vertices[0].x, inner.vertices[0].y, inner.vertices[0].x, inner.vertices[0].y)
    convex = outer.is_convex
    for s in inner.parts:
        marks = extreme_fractions(s, outer)
        if not convex:
            marks += [k / SEGMENT_SAMPLES for k in range(1, SEGMENT_SAMPLES)]
        values = []
        marks.sort()
        for t in marks:
            x, y = s.at(t)
            d, qx, qy = outside_by(outer, x, y)
            values.append(d)
            if d > best[0]:
                best = (d, x, y, qx, qy)
        if convex:
            continue
        for k in range(1, len(marks) - 1):
            if values[k] > 0.0 and values[k] >= max(values[k - 1], values[k + 1]):
                t = _farthest_share(s, outer, marks[k - 1], marks[k + 1])
                x, y = s.at(t)
                d, qx, qy = outside_by(outer, x, y)
                if d > best[0]:
                    best = (d, x, y, qx, qy)
    return best[0], (best[1], best[2]), (best[3], best[4])


def outside_by(outer: Outline, x: float, y: float) -> tuple[float, float, float]:
    """Distance [m] of (x, y) [m] from ``outer``, 0 inside, and the nearest boundary point [m]."""
    if outer.contains((x, y), TINY):
        return (0.0, x, y)
    return outer.reach(x, y)


def extreme_fractions(s: Segment, outer: Outline) -> list[float]:
    """Fractions of ``s`` [1] at its ends and where its distance to a segment of ``outer`` can be greatest."""
    marks = [0.0, 1.0]
    if isinstance(s, Line):
        return marks  # distance to a convex part is greatest at an end; hollow parts are searched
    points: list[Point] = []
    for t in outer.parts:
        if isinstance(t, Line):
            ux, uy = t.tangent(0.0)
            points += [
                (s.cx + s.radius * uy, s.cy - s.radius * ux),
                (s.cx - s.radius * uy, s.cy + s.radius * ux),
            ]
        for cx, cy in [t.start, *([t.centre] if isinstance(t, Arc) else [])]:
            d = math.hypot(s.cx - cx, s.cy - cy)
            if d > TINY:
                kx, ky = s.radius * (s.cx - cx) / d, s.radius * (s.cy - cy) / d
                points += [(s.cx + kx, s.cy + ky), (s.cx - kx, s.cy - ky)]
    return marks + [s.fraction(x, y) for x, y in points if s.holds(x, y) and 0.0 < s.fraction(x, y) < 1.0]


def _farthest_share(s: Segment, outer: Outline, low: float, high: float) -> float:
    """Fraction in (low, high) where the distance outside is greatest (one peak assumed)."""
    ratio = 0.5 * (math.sqrt(5.0) - 1.0)
    u, v = high - ratio * (high - low), low + ratio * (high - low)
    fu, fv = outside_by(outer, *s.at(u))[0], outside_by(outer, *s.at(v))[0]
    while (high - low) * s.length > 1e-9:
        if fu >= fv:
            high, v, fv = v, u, fu
            u = high - ratio * (high - low)
            fu = outside_by(outer, *s.at(u))[0]
        else:
            low, u, fu = u, v, fv
            v = low + ratio * (high - low)
            fv = outside_by(outer, *s.at(v))[0]
    return 0.5 * (low + high)
