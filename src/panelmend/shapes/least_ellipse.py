"""The least ellipse round a body.

The ellipse is written |L p - w| <= 1 with L upper triangular; its area is pi / det L, so that -log of L's
diagonal is minimised: a convex problem with one minimum (the Loewner ellipse). Axes held to a direction
make L diagonal there. Points of arcs that still lie outside are added and the problem solved again.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from panelmend.errors import SolverError
from panelmend.shapes.body import Body
from panelmend.shapes.descent import descend
from panelmend.shapes.segments import Point

Array = Any
SAMPLED_TURN = math.radians(6.0)
OUTSIDE_BY = 1e-10


@dataclass(frozen=True)
class FoundEllipse:
    """Centre [m], half axes [m] and direction of the longer [rad]."""

    centre: Point
    half_length: float
    half_width: float
    angle: float


def ellipse_about(body: Body, held: float | None) -> FoundEllipse:
    """The least ellipse, its axis along ``held`` [rad], round a body that does not lie on one straight.

    Raises:
        SolverError: none was found.
    """
    angle = _first_angle(body) if held is None else held
    c, s = math.cos(angle), math.sin(angle)
    right, up, left, down = (body.support(angle + 0.5 * k * math.pi) for k in range(4))
    u, v, a, b = 0.5 * (right - left), 0.5 * (up - down), 0.5 * (right + left), 0.5 * (up + down)
    middle = np.array([c * u - s * v, s * u + c * v])
    # Unit box: the problem is the same for every affine image, and well scaled here.
    to_unit = np.array([[c / a, s / a], [-s / b, c / b]])

    def unit(points: list[Point]) -> Array:
        return (np.asarray(points, float).reshape(-1, 2) - middle) @ to_unit.T

    points = unit(body.samples(SAMPLED_TURN))
    arcs = [unit([arc.at(k / 64) for k in range(65)]) for arc in body.arcs]
    z = np.array([0.7, 0.0, 0.7, 0.0, 0.0])  # p, h, q, w: a circle round the unit box
    for _ in range(12):
        z = _settled(points, z, held is None)
        fresh = []
        for arc, coarse in zip(body.arcs, arcs, strict=True):
            k = int(np.argmax(_beyond_ellipse(z, coarse)))
            low, high = max(k - 1, 0) / 64, min(k + 1, 64) / 64
            for _ in range(5):
                ts = np.linspace(low, high, 17)
                spots = unit([arc.at(float(t)) for t in ts])
                k = int(np.argmax(_beyond_ellipse(z, spots)))
                low, high = float(ts[max(k - 1, 0)]), float(ts[min(k + 1, 16)])
            if _beyond_ellipse(z, spots[k : k + 1])[0] > OUTSIDE_BY:
                fresh.append(spots[k])
        if not fresh:
            break
        points = np.vstack([points, *fresh])
    p, h, q, w1, w2 = z
    if not np.all(np.isfinite(z)) or float(_beyond_ellipse(z, points).max()) > 1e-4:
        raise SolverError("no least ellipse was found; report this outline")
    shape = np.array([[p, h], [0.0, q]])
    centre = middle + np.linalg.solve(to_unit, np.linalg.solve(shape, [w1, w2]))
    _, sizes, axes = np.linalg.svd(shape @ to_unit)
    # The longer half axis belongs to the smaller singular value.
    way = axes[1]
    found = math.atan2(float(way[1]), float(way[0])) % math.pi
    if held is not None:
        quarter = 0.5 * math.pi
        found = (held + quarter * round((found - held) / quarter)) % math.pi
    if math.pi - found < 1e-12:
        found = 0.0
    return FoundEllipse(
        (float(centre[0]), float(centre[1])), 1.0 / float(sizes[1]), 1.0 / float(sizes[0]), found
    )


def _first_angle(body: Body) -> float:
    """The angle of a coarse least rectangle [rad]."""
    turns = [k * math.pi / 24.0 for k in range(12)]
    return min(
        turns,
        key=lambda t: (
            (body.support(t) + body.support(t + math.pi))
            * (body.support(t + 0.5 * math.pi) + body.support(t + 1.5 * math.pi))
        ),
    )


def _beyond_ellipse(z: Array, x: Array) -> Array:
    """|L x - w|^2 - 1: above zero outside."""
    p, h, q, w1, w2 = z
    return (p * x[:, 0] + h * x[:, 1] - w1) ** 2 + (q * x[:, 1] - w2) ** 2 - 1.0


def _settled(x: Array, start: Array, turns: bool) -> Array:
    free = [0, 1, 2, 3, 4] if turns else [0, 2, 3, 4]

    def whole(v: Array) -> Array:
        z = start.copy()
        z[free] = v
        return z

    def gaps(v: Array) -> tuple[Array, Array]:
        z = whole(v)
        p, h, q, w1, w2 = z
        m, n = p * x[:, 0] + h * x[:, 1] - w1, q * x[:, 1] - w2
        slope = 2.0 * np.stack([m * x[:, 0], m * x[:, 1], n * x[:, 1], -m, -n], axis=1)
        return _beyond_ellipse(z, x), slope[:, free]

    def cost(v: Array) -> tuple[float, Array]:
        z = whole(v)
        value = -math.log(z[0]) - math.log(z[2])
        return value, np.array([-1.0 / z[0], 0.0, -1.0 / z[2], 0.0, 0.0])[free]

    bounds = [(1e-3, 10.0) if k in (0, 2) else (-10.0, 10.0) for k in free]
    return whole(descend(cost, gaps, start[free], bounds, change=1e-14))
