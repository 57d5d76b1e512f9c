"""Singly curved panels: a cylinder's surface, seen in plan and laid flat. Exact for a cylinder."""

from __future__ import annotations

import math
from dataclasses import dataclass

from panelmend.errors import RangeError, ShapeError
from panelmend.shapes.mapped import mapped
from panelmend.shapes.outline import Outline
from panelmend.shapes.segments import Point
from panelmend.units import show


@dataclass(frozen=True)
class Cylinder:
    """A cylindrical surface of ``radius`` [m] whose axis runs along ``axis_angle`` [rad] in plan.

    Plan coordinates are the projection on the plane that touches the surface at a reference point; the
    developed coordinates are those of the surface laid flat with the reference point and the axis
    direction kept. Along the axis nothing changes; across it v (plan) = radius sin(s / radius).
    """

    radius: float
    axis_angle: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.radius) and self.radius > 0.0 and math.isfinite(self.axis_angle)):
            raise ShapeError("a radius of curvature must be above zero", read=str(self.radius))

    def develop(self, point: Point, about: Point = (0.0, 0.0)) -> Point:
        """Plan (x, y) [m] to developed (x, y) [m] about the reference point [m].

        Raises:
            RangeError: a point beyond the radius from the reference line: it is not on the surface.
        """
        u, v = self._axes(point, about)
        if abs(v) > self.radius:
            raise RangeError(
                f"a point {show(abs(v), 'length')} off the reference line is not on a surface of "
                f"{show(self.radius, 'length')} radius; check the radius, or move the reference point"
            )
        return self._plane(u, self.radius * math.asin(v / self.radius), about)

    def project(self, point: Point, about: Point = (0.0, 0.0)) -> Point:
        """Developed (x, y) [m] to plan (x, y) [m] about the reference point [m].

        Raises:
            RangeError: a point more than a quarter turn round: it is hidden in plan.
        """
        u, s = self._axes(point, about)
        if abs(s) > 0.5 * math.pi * self.radius:
            raise RangeError(
                f"a point {show(abs(s), 'length')} round the surface of {show(self.radius, 'length')} radius "
                "is hidden in plan; move the reference point nearer"
            )
        return self._plane(u, self.radius * math.sin(s / self.radius), about)

    def distance(self, a: Point, b: Point, about: Point = (0.0, 0.0)) -> float:
        """Distance [m] along the surface between two points given in plan [m]. Raises RangeError."""
        return math.dist(self.develop(a, about), self.develop(b, about))

    def developed(self, plan: Outline, about: Point = (0.0, 0.0), tolerance: float = 1e-5) -> Outline:
        """An outline drawn in plan, laid flat, as arcs within ``tolerance`` [m]. Raises RangeError."""
        self._whole(plan, about, self.radius * (1.0 - 1e-4))
        return mapped(plan, lambda x, y: self.develop((x, y), about), tolerance)

    def projected(self, flat: Outline, about: Point = (0.0, 0.0), tolerance: float = 1e-5) -> Outline:
        """A developed outline as it is seen in plan, as arcs within ``tolerance`` [m]. Raises RangeError."""
        self._whole(flat, about, 0.5 * math.pi * self.radius * (1.0 - 1e-4))
        return mapped(flat, lambda x, y: self.project((x, y), about), tolerance)

    def _axes(self, point: Point, about: Point) -> Point:
        c, s = math.cos(self.axis_angle), math.sin(self.axis_angle)
        dx, dy = point[0] - about[0], point[1] - about[1]
        return (c * dx + s * dy, -s * dx + c * dy)

    def _plane(self, u: float, v: float, about: Point) -> Point:
        c, s = math.cos(self.axis_angle), math.sin(self.axis_angle)
        return (about[0] + c * u - s * v, about[1] + s * u + c * v)

    def _whole(self, o: Outline, about: Point, reach: float) -> None:
        across = self.axis_angle + 0.5 * math.pi
        middle = about[0] * math.cos(across) + about[1] * math.sin(across)
        far = max(o.support(across) - middle, o.support(across + math.pi) + middle)
        if far > reach:
            raise RangeError(
                f"the outline reaches {show(far, 'length')} off the reference line of a surface of "
                f"{show(self.radius, 'length')} radius: it does not lie on the visible half"
            )
