"""Doubly curved panels: part of a torus near its equator, laid flat as if it were a cylinder.

Developed coordinates are Fermi coordinates of the line through a reference point along the axis: along the
line by its own length, then square off the line along the surface. Across the axis lengths are true
everywhere; along it they are true on the line alone, and the surface is ``stretch`` times as long as its
flat picture off it. A cylinder is the case without a second radius; a sphere has both equal.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
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
        return np.stack([np.stack(place, axis=-1) for place in self._stepped(start, angle, length, steps)])

    def _stepped(
        self, start: tuple[float, float], angle: Any, length: Any, steps: int
    ) -> Iterator[tuple[Array, Array]]:
        """The same step by step, u and v by themselves: one array for each quantity takes a third of the
        time that rows of four take."""
        angle, length = np.broadcast_arrays(np.asarray(angle, float), np.asarray(length, float))
        h = length / steps
        half = 0.5 * h
        u, v = np.full(angle.shape, start[0]), np.full(angle.shape, start[1])
        p, q = np.cos(angle) / self.stretch(start[1]), np.sin(angle)

        def turned(v: Array, p: Array, q: Array) -> tuple[Array, Array]:
            """Change of p and of q on the way; that of u is p, and that of v is q."""
            f, d = self.stretch(v), self.slope(v)
            return -2.0 * d / f * p * q, f * d * p * p

        yield u, v
        for _ in range(steps):
            p1, q1 = turned(v, p, q)
            pa, qa = p + half * p1, q + half * q1
            p2, q2 = turned(v + half * q, pa, qa)
            pb, qb = p + half * p2, q + half * q2
            p3, q3 = turned(v + half * qa, pb, qb)
            pc, qc = p + h * p3, q + h * q3
            p4, q4 = turned(v + h * qb, pc, qc)
            u = u + h * (p + 2.0 * pa + 2.0 * pb + pc) / 6.0
            v = v + h * (q + 2.0 * qa + 2.0 * qb + qc) / 6.0
            p = p + h * (p1 + 2.0 * p2 + 2.0 * p3 + p4) / 6.0
            q = q + h * (q1 + 2.0 * q2 + 2.0 * q3 + q4) / 6.0
            yield u, v

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
            tried = ((0, 0), (1e-6, 0), (0, 1e-6))
            angles, sizes = (
                np.stack([angle + a for a, _ in tried]),
                np.stack([size * (1.0 + b) for _, b in tried]),
            )
            *_, last = self._stepped(start, angles, sizes, GEODESIC_STEPS)
            there, turned, longer = np.stack(last, axis=-1)
            miss = ends - there
            if float(np.max(np.hypot(miss[:, 0], miss[:, 1]))) < 1e-9:
                return size, angle
            jacobian = np.stack([(turned - there) / 1e-6, (longer - there) / (size * 1e-6)[:, None]], axis=-1)
            step = np.linalg.solve(jacobian, miss[..., None])[..., 0]
            angle, size = angle + step[:, 0], size + step[:, 1]
        raise SolverError("no straightest line was found to every point")
