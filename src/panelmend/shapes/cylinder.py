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

    def develop(self, point: Point) -> Point:
        """Plan (x, y) [m] to developed (x, y) [m] about the reference point.

        Raises:
            RangeError: a point beyond the radius from the reference line: it is not on the surface.
        """
        u, v = self._axes(point)
        if abs(v) > self.radius:
            raise RangeError(
                f"a point {show(abs(v), 'length')} off the reference line is not on a surface of "
                f"{show(self.radius, 'length')} radius; check the radius, or move the reference point"
            )
        return self._plane(u, self.radius * math.asin(v / self.radius))

    def project(self, point: Point) -> Point:
        """Developed (x, y) [m] to plan (x, y) [m] about the reference point.

        Raises:
            RangeError: a point more than a quarter turn round: it is hidden in plan.
        """
        u, s = self._axes(point)
        if abs(s) > 0.5 * math.pi * self.radius:
            raise RangeError(
                f"a point {show(abs(s), 'length')} round the surface of {show(self.radius, 'length')} radius "
                "is hidden in plan; move the reference point nearer"
            )
        return self._plane(u, self.radius * math.sin(s / self.radius))

    def developed(self, plan: Outline) -> Outline:
        """An outline drawn in plan, laid flat, as arcs within 0.01 mm. Raises RangeError."""
        self._whole(plan, self.radius * (1.0 - 1e-4))
        return mapped(plan, lambda x, y: self.develop((x, y)))

    def _axes(self, point: Point) -> Point:
        c, s = math.cos(self.axis_angle), math.sin(self.axis_angle)
        return (c * point[0] + s * point[1], -s * point[0] + c * point[1])

    def _plane(self, u: float, v: float) -> Point:
        c, s = math.cos(self.axis_angle), math.sin(self.axis_angle)
        return (c * u - s * v, s * u + c * v)

    def _whole(self, o: Outline, reach: float) -> None:
        across = self.axis_angle + 0.5 * math.pi
        far = max(o.support(across), o.support(across + math.pi))
        if far > reach:
            raise RangeError(
                f"the outline reaches {show(far, 'length')} off the reference line of a surface of "
                f"{show(self.radius, 'length')} radius: it does not lie on the visible half"
            )
