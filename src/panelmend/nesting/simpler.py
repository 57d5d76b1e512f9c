"""Fewer corners for the engines: a polygon that contains the piece and hardly exceeds it.

Outlines come with their arcs as many short sides. Engines slow down with every side, so they get a polygon
with fewer; the check uses the full one. What contains a piece and keeps its gap keeps the piece's gap too.
"""

from __future__ import annotations

import math

import numpy as np

from panelmend.job.nest.geometry import Points, boundary_fault

ALLOWED = 2e-4
"""How far the simpler polygon may stand off the piece [m]."""

Point = tuple[float, float]


def simpler(points: Points, allowed: float = ALLOWED) -> Points:
    """A polygon with fewer corners that contains this one, inside the same box.

    Args:
        points: counter-clockwise boundary (n, 2) [m].
        allowed: greatest distance between the two boundaries [m].

    Returns:
        Counter-clockwise boundary (m, 2), m <= n [m].
    """
    low, high = points.min(axis=0), points.max(axis=0)
    box = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
    corners: list[Point] = [(float(x), float(y)) for x, y in points]
    spare = [allowed] * len(corners)  # what is left at each corner, so that steps never add up beyond it
    while len(corners) > 8:
        fewer = _pass(corners, spare, box)
        if len(fewer[0]) == len(corners):
            break
        corners, spare = fewer
    made = np.asarray(corners)
    return points if boundary_fault(made) else made


def _pass(
    corners: list[Point], spare: list[float], box: tuple[float, ...]
) -> tuple[list[Point], list[float]]:
    """Go round once; take out every other side or corner that may go."""
    n = len(corners)
    made: list[Point] = []
    left: list[float] = []
    i = 0
    while i < n:
        if 1 <= i <= n - 3:
            a, b, c, d = made[-1], corners[i], corners[i + 1], corners[i + 2]
            found = _meeting(a, b, c, d, box)
            if found is not None and found[1] <= min(spare[i], spare[i + 1]):
                made.append(found[0])
                left.append(min(spare[i], spare[i + 1]) - found[1])
                made.append(d)
                left.append(spare[i + 2])
                i += 3
                continue
            dip = _dip(a, b, c)
            least = min(left[-1], spare[i], spare[i + 1])
            if dip is not None and dip <= least:
                made.append(c)
                left[-1] = least - dip
                left.append(least - dip)
                i += 2
                continue
        made.append(corners[i])
        left.append(spare[i])
        i += 1
    return made, left


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])


def _meeting(a: Point, b: Point, c: Point, d: Point, box: tuple[float, ...]) -> tuple[Point, float] | None:
    """Where the sides before and after bc meet outside it, and how far from bc; None if they do not."""
    first, second = _turn(a, b, c), _turn(b, c, d)
    across = (b[0] - a[0]) * (d[1] - c[1]) - (b[1] - a[1]) * (d[0] - c[0])
    if first <= 0.0 or second <= 0.0 or across <= 0.0:
        return None
    t = ((c[0] - b[0]) * (d[1] - c[1]) - (c[1] - b[1]) * (d[0] - c[0])) / across
    x, y = b[0] + t * (b[0] - a[0]), b[1] + t * (b[1] - a[1])
    if not (box[0] <= x <= box[2] and box[1] <= y <= box[3]):
        return None
    off = _turn(b, (x, y), c) / math.hypot(c[0] - b[0], c[1] - b[1])
    return (x, y), abs(off)


def _dip(a: Point, b: Point, c: Point) -> float | None:
    """How deep the inward corner b lies behind ac; None if it is no inward corner."""
    turn = _turn(a, b, c)
    return None if turn > 0.0 else -turn / max(math.hypot(c[0] - a[0], c[1] - a[1]), 1e-12)
