"""Plane geometry of cut boundaries: turning, extents, distance and overlap of simple polygons.

A boundary is an array of shape (n, 2) [m], counter-clockwise, the closing point not repeated. Everything
here is written apart from any search engine, because it is what their layouts are checked with.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]

_SNAP = 1e-12
_SAMPLES = np.linspace(0.0, 1.0, 17)[1:-1]


def cos_sin(angle: float) -> tuple[float, float]:
    """Cosine and sine of an angle, exact at quarter turns.

    Args:
        angle: the angle [rad].

    Returns:
        (cosine, sine) [1].
    """
    c, s = math.cos(angle), math.sin(angle)
    if abs(c) < _SNAP:
        return 0.0, math.copysign(1.0, s)
    if abs(s) < _SNAP:
        return math.copysign(1.0, c), 0.0
    return c, s


def turned_boundary(
    boundary: Sequence[tuple[float, float]] | Points, turn: float, mirrored: bool = False
) -> Points:
    """The boundary mirrored in its own x axis (if asked), then turned about its origin.

    Args:
        boundary: points (n, 2) [m].
        turn: counter-clockwise [rad].
        mirrored: whether y changes sign first.

    Returns:
        Counter-clockwise points (n, 2) [m].
    """
    points = np.asarray(boundary, dtype=np.float64)
    c, s = cos_sin(turn)
    x, y = points[:, 0], -points[:, 1] if mirrored else points[:, 1]
    made = np.column_stack((c * x - s * y, s * x + c * y))
    return made[::-1] if mirrored else made


def signed_area(points: Points) -> float:
    """Enclosed area, positive when counter-clockwise.

    Args:
        points: boundary (n, 2) [m].

    Returns:
        Area [m2].
    """
    p = points - points[0]  # near the origin: no digits lost far out on the roll
    q = np.roll(p, -1, axis=0)
    return float(0.5 * np.sum(p[:, 0] * q[:, 1] - q[:, 0] * p[:, 1]))


def perimeter(points: Points) -> float:
    """Length of the boundary.

    Args:
        points: boundary (n, 2) [m].

    Returns:
        Length [m].
    """
    return float(np.sum(np.hypot(*(np.roll(points, -1, axis=0) - points).T)))


def is_convex(points: Points) -> bool:
    """Whether a counter-clockwise boundary never turns right (beyond rounding)."""
    edge = np.roll(points, -1, axis=0) - points
    after = np.roll(edge, -1, axis=0)
    cross = edge[:, 0] * after[:, 1] - edge[:, 1] * after[:, 0]
    return bool(np.all(cross >= -1e-12 * float(np.ptp(points)) ** 2))


def _edges(points: Points) -> tuple[Points, Points]:
    return points, np.roll(points, -1, axis=0) - points


def _cross(a: Points, b: Points) -> NDArray[np.float64]:
    return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0])


def _crossings(a: Points, b: Points) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """Where each edge of a (rows) meets each edge of b (columns): parameter along a, and whether it does."""
    p, r = _edges(a)
    q, s = _edges(b)
    denominator = _cross(r[:, None, :], s[None, :, :])
    gap = q[None, :, :] - p[:, None, :]
    safe = np.where(denominator == 0.0, 1.0, denominator)
    t = _cross(gap, s[None, :, :]) / safe
    u = _cross(gap, r[:, None, :]) / safe
    meets = (denominator != 0.0) & (t >= 0.0) & (t <= 1.0) & (u >= 0.0) & (u <= 1.0)
    return t, meets


def nearest_on_boundary(points: Points, boundary: Points) -> tuple[NDArray[np.float64], Points]:
    """Distance from each point to a boundary, and the nearest place on it.

    Args:
        points: (m, 2) [m].
        boundary: (n, 2) [m].

    Returns:
        distances (m,) [m] and places (m, 2) [m].
    """
    start, edge = _edges(boundary)
    rel = points[:, None, :] - start[None, :, :]
    length2 = np.sum(edge * edge, axis=1)
    t = np.clip(np.sum(rel * edge[None, :, :], axis=2) / np.where(length2 == 0.0, 1.0, length2), 0.0, 1.0)
    foot = start[None, :, :] + t[:, :, None] * edge[None, :, :]
    distance = np.hypot(points[:, None, 0] - foot[:, :, 0], points[:, None, 1] - foot[:, :, 1])
    best = np.argmin(distance, axis=1)
    rows = np.arange(len(points))
    return distance[rows, best], foot[rows, best]


def inside_boundary(points: Points, boundary: Points) -> NDArray[np.bool_]:
    """Whether each point lies inside (even-odd; either answer on the boundary itself).

    Args:
        points: (m, 2) [m].
        boundary: (n, 2) [m].

    Returns:
        (m,) of bool [-].
    """
    a, b = boundary, np.roll(boundary, -1, axis=0)
    x, y = points[:, 0][:, None], points[:, 1][:, None]
    above = (a[None, :, 1] > y) != (b[None, :, 1] > y)
    rise = b[:, 1] - a[:, 1]
    at = (
        a[None, :, 0]
        + (y - a[None, :, 1]) * ((b[:, 0] - a[:, 0]) / np.where(rise == 0.0, 1.0, rise))[None, :]
    )
    return np.asarray(np.sum(above & (x < at), axis=1) % 2 == 1)


def _deep_point(points: Points) -> Points:
    """A point well inside, from the widest chords at a few heights; shape (1, 2)."""
    low, high = float(points[:, 1].min()), float(points[:, 1].max())
    candidates = []
    for f in (0.5, 0.31, 0.69, 0.13, 0.87):
        y = low + f * (high - low)
        xs = chord_ends(points, y)
        candidates += [((xs[i] + xs[i + 1]) / 2, y) for i in range(0, len(xs) - 1, 2)]
    found = np.asarray(candidates)
    return found[[int(np.argmax(nearest_on_boundary(found, points)[0]))]]


def chord_ends(points: Points, y: float) -> list[float]:
    """Where the horizontal line at y enters and leaves the piece, in pairs from the left.

    Args:
        points: boundary (n, 2) [m].
        y: height of the line [m].

    Returns:
        Places along the line, an even number of them [m].
    """
    a, b = points, np.roll(points, -1, axis=0)
    hit = (a[:, 1] > y) != (b[:, 1] > y)
    a, b = a[hit], b[hit]
    return sorted((a[:, 0] + (y - a[:, 1]) * (b[:, 0] - a[:, 0]) / (b[:, 1] - a[:, 1])).tolist())


def overlap_depth(a: Points, b: Points) -> tuple[float, Points]:
    """How deep one boundary runs inside the other, and the way out.

    Every stretch of either boundary that lies inside the other is sampled between its crossings, and a point
    well inside each piece is tried too (for pieces that lie exactly on one another).

    Args:
        a: boundary (n, 2) [m].
        b: boundary (m, 2) [m].

    Returns:
        depth [m], 0 when the pieces at most touch; and the step (2,) by which b leaves a there [m].
    """
    in_b, out_of_b = _deepest(a, b)
    in_a, out_of_a = _deepest(b, a)
    return (in_a, out_of_a) if in_a >= in_b else (in_b, -out_of_b)


def _deepest(a: Points, b: Points) -> tuple[float, Points]:
    t, meets = _crossings(a, b)
    start, edge = _edges(a)
    samples = [_deep_point(a), a]
    for i in range(len(a)):
        cuts = np.unique(np.concatenate(([0.0], t[i][meets[i]], [1.0])))
        spans = cuts[:-1, None] + np.diff(cuts)[:, None] * _SAMPLES[None, :]
        samples.append(start[i] + spans.reshape(-1, 1) * edge[i])
    points = np.concatenate(samples)
    points = points[inside_boundary(points, b)]
    if not len(points):
        return 0.0, np.zeros(2)
    distance, foot = nearest_on_boundary(points, b)
    i = int(np.argmax(distance))
    return float(distance[i]), foot[i] - points[i]


def separation(a: Points, b: Points) -> tuple[float, Points]:
    """Distance between two pieces and the step along it.

    Args:
        a: boundary (n, 2) [m].
        b: boundary (m, 2) [m].

    Returns:
        distance [m], negative (the depth) when they overlap; and the step (2,) from a's nearest place to
        b's, or by which b leaves a when they overlap [m].
    """
    _, meets = _crossings(a, b)
    if meets.any() or inside_boundary(a[:1], b)[0] or inside_boundary(b[:1], a)[0]:
        depth, way = overlap_depth(a, b)
        return -depth, way
    from_a, on_b = nearest_on_boundary(a, b)
    from_b, on_a = nearest_on_boundary(b, a)
    i, j = int(np.argmin(from_a)), int(np.argmin(from_b))
    if from_a[i] <= from_b[j]:
        return float(from_a[i]), on_b[i] - a[i]
    return float(from_b[j]), b[j] - on_a[j]


def boundary_fault(points: Points) -> str:
    """What is wrong with a boundary, in words; empty when it is a usable simple polygon."""
    if points.ndim != 2 or points.shape[1:] != (2,) or len(points) < 3:
        return "a boundary needs at least three points with x and y"
    if not np.isfinite(points).all():
        return "the boundary holds a value that is not a finite number"
    _, meets = _crossings(points, points)
    n = len(points)
    index = np.arange(n)
    apart = (index[None, :] - index[:, None]) % n
    bad = np.argwhere(meets & (apart > 1) & (apart < n - 1))
    if len(bad):
        i, j = (int(k) for k in bad[0])
        return f"the boundary crosses or touches itself (between its points {i + 1} and {j + 1})"
    size = float(np.ptp(points, axis=0).max())
    if abs(signed_area(points)) <= 1e-9 * size * size:
        return "the boundary encloses nothing"
    return ""
