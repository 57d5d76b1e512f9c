"""Where two segments meet, and the nearest points of two segments, analytically."""

from __future__ import annotations

import math

from panelmend.shapes.segments import TINY, Arc, Line, Point, Segment

Near = tuple[float, float, float, float, float]  # distance, point on the first, point on the second [m]


def crossings(a: Segment, b: Segment, slack: float = TINY) -> list[Point]:
    """Points [m] common to both segments; ends within ``slack`` [m] count.

    Overlapping lines on one straight, or arcs on one circle, give the ends of the common part.
    """
    if isinstance(a, Line):
        points = _line_line(a, b, slack) if isinstance(b, Line) else _line_arc(a, b, slack)
    elif isinstance(b, Line):
        points = _line_arc(b, a, slack)
    else:
        points = _arc_arc(a, b, slack)
    return points


def _ends_on(a: Segment, b: Segment, slack: float) -> list[Point]:
    found = [p for p in (a.start, a.end) if b.nearest(*p)[0] <= slack]
    return found + [p for p in (b.start, b.end) if a.nearest(*p)[0] <= slack]


def _line_line(a: Line, b: Line, slack: float) -> list[Point]:
    ax, ay, bx, by = a.x1 - a.x0, a.y1 - a.y0, b.x1 - b.x0, b.y1 - b.y0
    la, lb = math.hypot(ax, ay), math.hypot(bx, by)
    cross = ax * by - ay * bx
    if abs(cross) <= 1e-12 * la * lb:
        return _ends_on(a, b, slack)
    wx, wy = b.x0 - a.x0, b.y0 - a.y0
    t, s = (wx * by - wy * bx) / cross, (wx * ay - wy * ax) / cross
    if -slack <= t * la <= la + slack and -slack <= s * lb <= lb + slack:
        return [(a.x0 + t * ax, a.y0 + t * ay)]
    return []


def _line_arc(a: Line, b: Arc, slack: float) -> list[Point]:
    dx, dy = a.x1 - a.x0, a.y1 - a.y0
    length = math.hypot(dx, dy)
    ux, uy = dx / length, dy / length
    wx, wy = b.cx - a.x0, b.cy - a.y0
    along, off = wx * ux + wy * uy, wx * uy - wy * ux
    gap = b.radius - abs(off)
    if gap < -slack:
        return []
    half = math.sqrt(max(gap * (b.radius + abs(off)), 0.0))
    found = []
    for t in (along - half, along + half) if half > 0.0 else (along,):
        if -slack <= t <= length + slack:
            x, y = a.x0 + t * ux, a.y0 + t * uy
            if b.holds(x, y) or min(math.hypot(x - b.x0, y - b.y0), math.hypot(x - b.x1, y - b.y1)) <= slack:
                found.append((x, y))
    return found


def _arc_arc(a: Arc, b: Arc, slack: float) -> list[Point]:
    dx, dy = b.cx - a.cx, b.cy - a.cy
    d = math.hypot(dx, dy)
    if d <= slack:
        return _ends_on(a, b, slack) if abs(a.radius - b.radius) <= slack else []
    ra, rb = a.radius, b.radius
    if d > ra + rb + slack or d < abs(ra - rb) - slack:
        return []
    # Distance along the line of centres, and half the common chord (Heron's form keeps its digits).
    along = 0.5 * (d + (ra - rb) * (ra + rb) / d)
    heron = (ra + rb + d) * (ra + rb - d) * (d + ra - rb) * (d - ra + rb)
    half = math.sqrt(max(heron, 0.0)) / (2.0 * d)
    ux, uy = dx / d, dy / d
    found = []
    for h in (half, -half) if half > 0.0 else (0.0,):
        x, y = a.cx + along * ux - h * uy, a.cy + along * uy + h * ux
        if _on_arc(a, x, y, slack) and _on_arc(b, x, y, slack):
            found.append((x, y))
    return found


def _on_arc(arc: Arc, x: float, y: float, slack: float) -> bool:
    return (
        arc.holds(x, y)
        or math.hypot(x - arc.x0, y - arc.y0) <= slack
        or math.hypot(x - arc.x1, y - arc.y1) <= slack
    )


def nearest(a: Segment, b: Segment) -> Near:
    """Least distance [m] of two segments and the points of each where it is reached [m]."""
    for x, y in crossings(a, b, 0.0):
        return (0.0, x, y, x, y)
    best = _from_ends(a, b)
    if isinstance(a, Line):
        inner = [] if isinstance(b, Line) else _line_to_arc(a, b)
    elif isinstance(b, Line):
        inner = [(d, px, py, qx, qy) for d, qx, qy, px, py in _line_to_arc(b, a)]
    else:
        inner = _arc_to_arc(a, b)
    for near in inner:
        if near[0] < best[0]:
            best = near
    return best


def _from_ends(a: Segment, b: Segment) -> Near:
    d, qx, qy = b.nearest(a.x0, a.y0)
    best = (d, a.x0, a.y0, qx, qy)
    d, qx, qy = b.nearest(a.x1, a.y1)
    if d < best[0]:
        best = (d, a.x1, a.y1, qx, qy)
    for x, y in ((b.x0, b.y0), (b.x1, b.y1)):
        d, px, py = a.nearest(x, y)
        if d < best[0]:
            best = (d, px, py, x, y)
    return best


def _line_to_arc(a: Line, b: Arc) -> list[Near]:
    dx, dy = a.x1 - a.x0, a.y1 - a.y0
    t = ((b.cx - a.x0) * dx + (b.cy - a.y0) * dy) / (dx * dx + dy * dy)
    if not 0.0 < t < 1.0:
        return []
    fx, fy = a.x0 + t * dx, a.y0 + t * dy
    d, qx, qy = b.nearest(fx, fy)
    return [(d, fx, fy, qx, qy)]


def _arc_to_arc(a: Arc, b: Arc) -> list[Near]:
    dx, dy = b.cx - a.cx, b.cy - a.cy
    d = math.hypot(dx, dy)
    if d <= TINY:
        return []
    ux, uy = dx / d, dy / d
    found = []
    for sign in (1.0, -1.0):
        px, py = a.cx + sign * a.radius * ux, a.cy + sign * a.radius * uy
        if a.holds(px, py):
            gap, qx, qy = b.nearest(px, py)
            found.append((gap, px, py, qx, qy))
    return found
