"""Damages and ways of tapping that nothing was ever tuned on: only measured on. Lengths over tap spacing."""

from __future__ import annotations

import math

import numpy as np

from damage_families import Made, Maker
from panelmend.job.survey.readings import Array
from simulated_taps import Layout, turned_grid


def _turned(shape: object, rng: np.random.Generator) -> object:
    from shapely import affinity

    return affinity.rotate(shape, rng.uniform(0.0, 360.0), origin=(0, 0))


def dumb_bell(rng: np.random.Generator) -> Made:
    """Two rounds joined by a neck 1 to 1.6 spacings wide."""
    from shapely import LineString, Point, union_all

    length = rng.uniform(2.5, 6.0)
    neck = LineString([(0, 0), (length, 0)]).buffer(0.5 * rng.uniform(1.0, 1.6))
    a = Point(0, 0).buffer(rng.uniform(1.2, 2.5))
    b = Point(length, 0).buffer(rng.uniform(1.0, 2.2))
    return _turned(union_all([a, b, neck]), rng), None


def elbow(rng: np.random.Generator) -> Made:
    """Two legs at a right angle, 1.2 to 2.5 spacings wide."""
    from shapely import LineString

    legs = LineString([(rng.uniform(2.5, 6), 0), (0, 0), (0, rng.uniform(2.5, 6))])
    return _turned(legs.buffer(0.5 * rng.uniform(1.2, 2.5)), rng), None


def drop(rng: np.random.Generator) -> Made:
    """A round with a tail that narrows to one spacing."""
    from shapely import Point, union_all

    big, length = rng.uniform(1.5, 3.0), rng.uniform(3.0, 6.0)
    hull = union_all([Point(0, 0).buffer(big), Point(length, 0).buffer(0.5)]).convex_hull
    return _turned(hull, rng), None


def thin_tail(rng: np.random.Generator) -> Made:
    """A round with a tail 0.3 spacings wide: not promised."""
    from shapely import LineString, Point, union_all

    tail = LineString([(0, 0), (rng.uniform(4.0, 7.0), 0)]).buffer(0.15)
    return _turned(union_all([Point(0, 0).buffer(rng.uniform(1.5, 3.0)), tail]), rng), None


def rows_by_eye(rng: np.random.Generator, half: float) -> Array:
    """Rows 0.7 to 1.5 spacings apart, taps 0.4 to 0.8 along them."""
    n = int(half)
    heights = np.cumsum(rng.uniform(0.7, 1.5, 2 * n + 2))
    made = []
    for y in heights - heights.mean():
        x = np.cumsum(rng.uniform(0.4, 0.8, int(2 * half / 0.6) + 4))
        made.append(np.column_stack([x - x.mean(), y + rng.normal(0, 0.08, len(x))]))
    return np.vstack(made)


def look_and_spokes(rng: np.random.Generator, half: float) -> Array:
    """A coarse look of two to four spacings, then dense spokes from the middle."""
    step, count, r = rng.uniform(2.0, 4.0), int(rng.integers(8, 17)), np.arange(0.5, 0.6 * half, 0.5)
    rows = [
        np.column_stack([r * math.cos(a), r * math.sin(a)]) for a in 2 * math.pi * np.arange(count) / count
    ]
    return np.vstack([turned_grid(rng, half / step) * step, *rows])


HELD: dict[str, Maker] = {"dumb-bell": dumb_bell, "elbow": elbow, "drop": drop}
HELD_NOT_PROMISED: dict[str, Maker] = {"thin tail": thin_tail}
HELD_LAYOUTS: dict[str, Layout] = {"rows by eye": rows_by_eye, "look and spokes": look_and_spokes}
