"""Doubly curved panels: part of a torus near its equator, laid flat as if it were a cylinder.

Developed coordinates are Fermi coordinates of the line through a reference point along the axis: along the
line by its own length, then square off the line along the surface. Across the axis lengths are true
everywhere; along it they are true on the line alone, and the surface is ``stretch`` times as long as its
flat picture off it. A cylinder is the case without a second radius; a sphere has both equal.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from panelmend.errors import ShapeError, SolverError
from panelmend.shapes.segments import Point

Array = NDArray[np.float64]
HALF_ANGLE = 1.0  # [rad] how far off the reference point, over the radius, a surface is answered for
GEODESIC_STEPS = 24  # of a geodesic


@dataclass(frozen=True)
class Torus:
    """A surface of ``radius`` [m] across the axis and ``second`` [m] along it.

    ``sense`` is 1 where both bulge to the same side, -1 for a saddle. ``axis_angle`` [rad] as for a cylinder.
    Both radii hold at the reference line; off it the surface goes on as a torus does, which a real panel
    need not.
    """

    radius: float
    second: float
    sense: int
    axis_angle: float = 0.0

    def __post_init__(self) -> None:
        for size in (self.radius, self.second):
            if not (math.isfinite(size) and size > 0.0):
                raise ShapeError("a radius of curvature must be above zero", read=str(size))
        if self.sense not in (1, -1) or not math.isfinite(self.axis_angle):
            raise ShapeError("a doubly curved surface that is none", read=f"{self.sense}, {self.axis_angle}")

    def local(self, x: Any, y: Any, about: Point = (0.0, 0.0)) -> tuple[Any, Any]:
        """Developed x, y [m] as u along the axis and v across it [m] from the reference point."""
        c, s = math.cos(self.axis_angle), math.sin(self.axis_angle)
        dx, dy = x - about[0], y - about[1]
        return c * dx + s * dy, c * dy - s * dx

    def stretch(self, v: Any) -> Any:
        """Length along the axis on the surface over its developed length [1], ``v`` [m] off the line."""
        return 1.0 - self.sense * (self.radius / self.second) * (1.0 - np.cos(v / self.radius))

    def slope(self, v: Any) -> Any:
        """Change of ``stretch`` with v [1/m]."""
        return -self.sense / self.second * np.sin(v / self.radius)

    def gauss(self, v: Any) -> Any:
        """Gaussian curvature [1/m2] at ``v`` [m] off the line."""
        return self.sense * np.cos(v / self.radius) / (self.radius * self.second * self.stretch(v))

    def sagitta(self, u: Any, v: Any) -> Any:
        """How far the surface lies below the tangent plane at the reference point [m], above it below zero.

        Positive towards the hollow side of ``radius``.
        """
        low = self.radius * (1.0 - np.cos(v / self.radius))
        ring = self.second - self.sense * low
        # sense 1: the ring's axis lies on the hollow side; -1: on the other, so rings rise along the axis
        return low + self.sense * ring * (1.0 - np.cos(u / self.second))

    def embedded(self, u: Any, v: Any) -> Array:
        """Places in space [m], shape (..., 3), last axis x y z, z away from the side towards which
        ``second`` is hollow."""
        low = self.radius * (1.0 - np.cos(v / self.radius))
        ring = self.second - self.sense * low
        turn = u / self.second
        x, y = ring * np.sin(turn), self.radius * np.sin(v / self.radius)
        return np.stack([x, y + 0.0 * x, ring * np.cos(turn) - self.second], axis=-1)

    def flattened(self, place: Array) -> tuple[Array, Array]:
        """u and v [m] of places [m] in space on the surface."""
        ring = np.hypot(place[..., 0], place[..., 2] + self.second)
        u = self.second * np.arctan2(place[..., 0], place[..., 2] + self.second)
        v = self.radius * np.arctan2(place[..., 1], self.radius - self.sense * (self.second - ring))
        return u, v

    def off(self, place: Array) -> tuple[Array, Array]:
        """The surface's equation [m2] at places in space and its gradient [m]: zero on the surface."""
        ring = np.hypot(place[..., 0], place[..., 2] + self.second)
        tube = self.radius - self.sense * (self.second - ring)
        y = place[..., 1]
        value = tube**2 + y**2 - self.radius**2
        slope = 2.0 * self.sense * tube / ring
        gradient = np.stack([slope * place[..., 0], 2.0 * y, slope * (place[..., 2] + self.second)], axis=-1)
        return value, gradient

    def geodesic(
        self, start: tuple[float, float], angle: Any, length: Any, steps: int = GEODESIC_STEPS
    ) -> Array:
        """Places u, v [m] along straightest lines, shape (steps, ..., 2).

        Args:
            start: u, v [m].
            angle: from the axis, on the surface [rad]; one or many.
            length: of each line [m].
            steps: how many; Runge-Kutta of the fourth order.
        """
        angle, length = np.broadcast_arrays(np.asarray(angle, float), np.asarray(length, float))
        h = length / steps
        here = np.stack([np.full(angle.shape, start[0]), np.full(angle.shape, start[1])], axis=-1)
        way = np.stack([np.cos(angle) / self.stretch(start[1]), np.sin(angle)], axis=-1)
        state = np.concatenate([here, way], axis=-1)

        def rate(s: Array) -> Array:
            f, d = self.stretch(s[..., 1]), self.slope(s[..., 1])
            p, q = s[..., 2], s[..., 3]
            return np.stack([p, q, -2.0 * d / f * p * q, f * d * p * p], axis=-1)

        found = [state[..., :2]]
        k = h[..., None]
        for _ in range(steps):
            a = rate(state)
            b = rate(state + 0.5 * k * a)
            c = rate(state + 0.5 * k * b)
            d = rate(state + k * c)
            state = state + k * (a + 2.0 * b + 2.0 * c + d) / 6.0
            found.append(state[..., :2])
        return np.stack(found)

    def answers(self, u: Any, v: Any) -> Any:
        """Whether places u, v [m] from the reference point lie where the surface is answered for."""
        return np.maximum(np.abs(u) / self.second, np.abs(v) / self.radius) <= HALF_ANGLE

    def ways(self, start: tuple[float, float], ends: Array) -> tuple[Array, Array]:
        """Length [m] and direction from the axis [rad] of the straightest lines from u, v [m] to many.

        Raises:
            SolverError: a line was not found.
        """
        du = (ends[:, 0] - start[0]) * self.stretch(0.5 * (start[1] + ends[:, 1]))
        dv = ends[:, 1] - start[1]
        size, angle = np.maximum(np.hypot(du, dv), 1e-9), np.arctan2(dv, du)
        for _ in range(40):
            there, turned, longer = (
                self.geodesic(start, angle + a, size * (1.0 + b))[-1]
                for a, b in ((0, 0), (1e-6, 0), (0, 1e-6))
            )
            miss = ends - there
            if float(np.max(np.hypot(miss[:, 0], miss[:, 1]))) < 1e-9:
                return size, angle
            jacobian = np.stack([(turned - there) / 1e-6, (longer - there) / (size * 1e-6)[:, None]], axis=-1)
            step = np.linalg.solve(jacobian, miss[..., None])[..., 0]
            angle, size = angle + step[:, 0], size + step[:, 1]
        raise SolverError("no straightest line was found to every point")
