"""The search behind least boxes: variables angle, centre, half sizes, radius, in units of the body's size."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from panelmend.shapes.body import Body
from panelmend.shapes.box import Box, ordered
from panelmend.shapes.descent import descend
from panelmend.shapes.segments import Point

Array = Any
OUTSIDE_BY = 1e-10  # [size] nothing lies farther outside than this
CORNERS = np.array([0.0, 0.08, 0.16, 0.25, 0.35, 0.5, 0.75, 1.0])  # how far a corner's centre lies inside
WIDER = np.linspace(0.0, 1.0, 9)  # oval radius from the half width to the least circle's
ASIDE = np.array([-1.0, -0.5, 0.0, 0.5, 1.0])


@dataclass(frozen=True)
class BoxProblem:
    """Least box of points: ``radius`` in units of ``size`` [m] (None: an oval's, free), ``margin`` [m]."""

    size: float
    middle: Point
    radius: float | None
    margin: float

    def scaled(self, points: Sequence[Point]) -> Array:
        """Points [m] about the middle in units of the size, shape (n, 2)."""
        return (np.asarray(points, float).reshape(-1, 2) - self.middle) / self.size

    def box(self, z: Array) -> Box:
        """The box [m] of the variables."""
        angle, cx, cy, s, t, r = (float(n) for n in z)
        k = self.size
        centre = (self.middle[0] + k * cx, self.middle[1] + k * cy)
        return ordered(Box(centre, angle, k * s, k * t, k * r))

    def area(self, z: Array) -> float:
        """Outer area [sizes squared] of the variables z [sizes, rad], up to a constant."""
        _, _, _, s, t, r = z
        a = r + self.margin
        if self.radius is None:
            return float(4.0 * s * a + math.pi * a * a)
        return float(4.0 * (s + a) * (t + a))

    def slope(self, z: Array) -> Array:
        """Gradient (6,) of the area [sizes squared] by the variables z [sizes, rad]."""
        _, _, _, s, t, r = z
        a = r + self.margin
        if self.radius is None:
            return np.array([0.0, 0.0, 0.0, 4.0 * a, 0.0, 4.0 * s + 2.0 * math.pi * a])
        return np.array([0.0, 0.0, 0.0, 4.0 * (t + a), 4.0 * (s + a), 0.0])

    def starts(self, points: Sequence[Point], turns: Sequence[float], most: int) -> list[Array]:
        """Starting variables (6,) [sizes, rad] in the deepest basins of the coarse sweep over ``turns``
        [rad]."""
        p = self.scaled(points)
        rows = [self._coarse(p, angle) for angle in turns]
        n = len(rows)
        if n <= 2:
            return rows
        areas = [self.area(z) for z in rows]
        low = [k for k in range(n) if areas[k] <= areas[k - 1] and areas[k] <= areas[(k + 1) % n]]
        low.sort(key=lambda k: (areas[k], k))
        return [rows[k] for k in low[:most]]

    def _coarse(self, p: Array, angle: float) -> Array:
        c, s = math.cos(angle), math.sin(angle)
        x, y = p[:, 0] * c + p[:, 1] * s, p[:, 1] * c - p[:, 0] * s
        u, v, a, b, r = _oval(x, y) if self.radius is None else _rectangle(x, y, self.radius, self.margin)
        return np.array([angle, u * c - v * s, u * s + v * c, a, b, r])


def _oval(x: Array, y: Array) -> tuple[float, float, float, float, float]:
    half, middle = 0.5 * (y.max() - y.min()), 0.5 * (y.max() + y.min())
    radius = (half + WIDER * max(1.0 - half, 0.0))[:, None, None]
    v = middle + ASIDE[None, :, None] * (radius - half)
    reach = np.sqrt(np.maximum(radius**2 - (y - v) ** 2, 0.0))
    right, left = (x - reach).max(axis=2), (x + reach).min(axis=2)
    s = np.maximum(0.5 * (right - left), 0.0)
    r = radius[:, :, 0]
    i, j = np.unravel_index(np.argmin(4.0 * s * r + math.pi * r * r), s.shape)
    return 0.5 * float(right[i, j] + left[i, j]), float(v[i, j, 0]), float(s[i, j]), 0.0, float(r[i, 0])


def _rectangle(x: Array, y: Array, r: float, margin: float) -> tuple[float, float, float, float, float]:
    x2, x1 = (x.max() - CORNERS * r)[:, None], (x.min() + CORNERS * r)[:, None]
    right = np.sqrt(np.maximum(r * r - np.maximum(x - x2, 0.0) ** 2, 0.0))
    left = np.sqrt(np.maximum(r * r - np.maximum(x1 - x, 0.0) ** 2, 0.0))
    top = np.maximum((y - right).max(axis=1)[:, None], (y - left).max(axis=1)[None, :])
    low = np.minimum((y + right).min(axis=1)[:, None], (y + left).min(axis=1)[None, :])
    a, b = np.maximum(0.5 * (x2 - x1.T), 0.0), np.maximum(0.5 * (top - low), 0.0)
    i, j = np.unravel_index(np.argmin((a + r + margin) * (b + r + margin)), a.shape)
    u, v = 0.5 * float(x2[i, 0] + x1[j, 0]), 0.5 * float(top[i, j] + low[i, j])
    return u, v, float(a[i, j]), float(b[i, j]), r


def distance_from_box(z: Array, p: Array) -> tuple[Array, Array]:
    """Distance [sizes] of points [sizes] from the box (negative inside), shape (n,), and its gradient (n,
    6)."""
    angle, cx, cy, s, t, _ = z
    c, d = math.cos(angle), math.sin(angle)
    dx, dy = p[:, 0] - cx, p[:, 1] - cy
    x, y = dx * c + dy * d, dy * c - dx * d
    ax, ay = np.abs(x) - s, np.abs(y) - t
    corner = (ax > 0.0) & (ay > 0.0)
    far = np.hypot(ax, ay)
    safe = np.where(far > 0.0, far, 1.0)
    wx = np.where(corner, ax / safe, np.where(ax >= ay, 1.0, 0.0))
    wy = np.where(corner, ay / safe, np.where(ax >= ay, 0.0, 1.0))
    value = np.where(corner, far, np.maximum(ax, ay))
    gx, gy = wx * np.sign(x), wy * np.sign(y)
    slope = np.stack(
        [gx * y - gy * x, -gx * c + gy * d, -gx * d - gy * c, -wx, -wy, np.zeros_like(wx)], axis=1
    )
    return value, slope


def search_basin(
    problem: BoxProblem, body: Body, points: Sequence[Point], start: Array, turns: bool
) -> tuple[float, Array] | None:
    """The bottom of the basin of ``start`` [sizes, rad]: area [sizes squared] (enlarged until it covers) and
    variables (6,)."""
    p = problem.scaled(points)
    arcs = [problem.scaled([s.at(k / 64) for k in range(65)]) for s in body.arcs]
    z = start
    lacks = math.inf
    for _ in range(12):
        z = _settled(problem, p, z, turns)
        more = _outliers(problem, body, arcs, z)
        mine = float((distance_from_box(z, p)[0] - z[5]).max())
        lacks = max([mine, *(gap for gap, _ in more)])
        fresh = [spot for gap, spot in more if gap > OUTSIDE_BY]
        if fresh:
            p = np.vstack([p, problem.scaled(fresh)])
        elif mine <= 1e-8:
            break
    if not math.isfinite(lacks) or lacks > 1e-4:
        return None
    z = z.copy()
    if problem.radius is None:
        z[5] += max(lacks, 0.0)
    else:
        z[3:5] += max(lacks, 0.0)
    return problem.area(z), z


def _settled(problem: BoxProblem, p: Array, start: Array, turns: bool) -> Array:
    free = [k for k in range(6) if (k or turns) and k != (4 if problem.radius is None else 5)]
    # Points deep inside can't matter near the start; all are looked at again afterwards.
    near = p[distance_from_box(start, p)[0] > start[5] - 0.3]

    def whole(q: Array) -> Array:
        z = start.copy()
        z[free] = q
        return z

    def cost(q: Array) -> tuple[float, Array]:
        z = whole(q)
        return problem.area(z), problem.slope(z)[free]

    def gaps(q: Array) -> tuple[Array, Array]:
        z = whole(q)
        value, slope = distance_from_box(z, near)
        slope[:, 5] = -1.0
        return value - z[5], slope[:, free]

    bounds = [(0.0, 4.0) if k >= 3 else (-20.0, 20.0) for k in free]
    z = whole(descend(cost, gaps, start[free], bounds, change=1e-13))
    return z if np.all(np.isfinite(z)) else start


def _outliers(problem: BoxProblem, body: Body, arcs: list[Array], z: Array) -> list[tuple[float, Point]]:
    """The point of each arc that lies farthest out, with how far [size]: sampled, then closed in on."""
    found = []
    for s, p in zip(body.arcs, arcs, strict=True):
        k = int(np.argmax(distance_from_box(z, p)[0]))
        low, high = max(k - 1, 0) / 64, min(k + 1, 64) / 64
        for _ in range(5):
            ts = np.linspace(low, high, 17)
            spots = [s.at(float(t)) for t in ts]
            gaps = distance_from_box(z, problem.scaled(spots))[0] - z[5]
            k = int(np.argmax(gaps))
            low, high = float(ts[max(k - 1, 0)]), float(ts[min(k + 1, 16)])
        found.append((float(gaps[k]), spots[k]))
    return found
