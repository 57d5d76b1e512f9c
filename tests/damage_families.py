"""Damages of many shapes, for simulated surveys. Lengths over tap spacing; shapes are shapely polygons.

Each maker takes a generator and gives the damage and, where it runs to a panel's edge, the height y of that
edge (the panel lies above it).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np

from panelmend.job.survey.readings import Array

Made = tuple[Any, float | None]
Maker = Callable[[np.random.Generator], Made]


def _turned_by_chance(shape: Any, rng: np.random.Generator) -> Any:
    from shapely import affinity

    return affinity.rotate(shape, rng.uniform(0.0, 360.0), origin=(0, 0))


def _polar(radius: Array, angle: Array) -> Any:
    from shapely import Polygon

    return Polygon(np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])).buffer(0.0)


def blob(rng: np.random.Generator, low: float, high: float, longest: float = 2.2) -> Any:
    """A wavy ellipse of mean radius ``low`` to ``high`` [spacings], at most ``longest`` times as long as
    wide."""
    size, stretch = rng.uniform(low, high), math.sqrt(rng.uniform(1.0, longest))
    t = np.linspace(-math.pi, math.pi, 160, endpoint=False)
    wavy = 1.0 + sum(
        (rng.uniform(0, 0.15 / k) * np.cos(k * t + rng.uniform(0, 6.28)) for k in (2, 3, 4)), np.zeros(160)
    )
    r = wavy / np.hypot(np.cos(t) / (size * stretch), np.sin(t) / max(size / stretch, 0.8 * low))
    return _turned_by_chance(_polar(r, t), rng)


def wavy(rng: np.random.Generator) -> Made:
    """A wavy ellipse, three spacings across and more."""
    return blob(rng, 1.5, 5.0), None


def small(rng: np.random.Generator) -> Made:
    """One to three spacings across."""
    return blob(rng, 0.5, 1.5, 1.8), None


def lumps(rng: np.random.Generator) -> Made:
    """A body with two to four lumps on its rim."""
    from shapely import Point, union_all

    base = blob(rng, 1.5, 4.0)
    rim = np.array(base.exterior.coords)
    more = [
        Point(*rim[rng.integers(len(rim))]).buffer(rng.uniform(0.7, 1.8)) for _ in range(rng.integers(2, 5))
    ]
    return union_all([base, *more]), None


def star(rng: np.random.Generator) -> Made:
    """Three to five arms: not convex."""
    t = np.linspace(0.0, 2 * math.pi, 200, endpoint=False)
    deep, size = rng.uniform(0.3, 0.55), rng.uniform(2.5, 5.0)
    r = size * (1.0 + deep * np.cos(int(rng.integers(3, 6)) * t)) / (1.0 + deep)
    return _turned_by_chance(_polar(r, t), rng), None


def two(rng: np.random.Generator) -> Made:
    """Two bodies 0.3 to 4 spacings apart."""
    from shapely import affinity, union_all

    a, b = blob(rng, 1.5, 3.5, 1.6), blob(rng, 1.0, 2.5, 1.6)
    angle, gap = rng.uniform(0, 6.28), rng.uniform(0.3, 4.0)
    placed = b
    for d in np.arange(0.5, 20.0, 0.1):
        placed = affinity.translate(b, d * math.cos(angle), d * math.sin(angle))
        if a.distance(placed) >= gap:
            break
    return union_all([a, placed]), None


def edge(rng: np.random.Generator) -> Made:
    """A body cut off by the panel's edge."""
    from shapely import box

    while True:
        whole, at = blob(rng, 1.5, 4.5), float(rng.uniform(-1.4, 1.4))
        shape = whole.intersection(box(-40.0, at, 40.0, 40.0))
        if not shape.is_empty and shape.area > 1.0:
            return shape, at


def _moon(rng: np.random.Generator, blunt: float) -> Any:
    from shapely import Point

    while True:
        big = rng.uniform(2.5, 5.0)
        shape = Point(0, 0).buffer(big)
        bite = Point(big * rng.uniform(0.35, 0.75), 0).buffer(big * rng.uniform(0.75, 1.0))
        left = shape.difference(bite).buffer(-blunt).buffer(blunt)
        if not left.is_empty:
            return _turned_by_chance(max(getattr(left, "geoms", [left]), key=lambda g: g.area), rng)


def crescent(rng: np.random.Generator) -> Made:
    """A crescent whose tips are round, one spacing wide."""
    return _moon(rng, 0.5), None


def sharp_crescent(rng: np.random.Generator) -> Made:
    """A crescent whose tips run out to nothing: not promised."""
    return _moon(rng, 0.01), None


def crack(rng: np.random.Generator) -> Made:
    """A bent crack 0.1 to 0.8 spacings wide: not promised."""
    from shapely import LineString

    points, angle = [(0.0, 0.0)], rng.uniform(0, 6.28)
    for _ in range(rng.integers(2, 5)):
        angle += rng.normal(0, 0.4)
        step = rng.uniform(1.0, 3.5)
        points.append((points[-1][0] + step * math.cos(angle), points[-1][1] + step * math.sin(angle)))
    return LineString(points).buffer(rng.uniform(0.05, 0.4)), None


PROMISED: dict[str, Maker] = {
    "wavy ellipse": wavy,
    "under three spacings": small,
    "lumps": lumps,
    "arms, not convex": star,
    "two bodies": two,
    "at the panel's edge": edge,
    "crescent, blunt tips": crescent,
}
NOT_PROMISED: dict[str, Maker] = {"crescent, sharp tips": sharp_crescent, "crack": crack}
