"""A box round a body, before it is grown by its radius."""

from __future__ import annotations

import math
from dataclasses import dataclass

from panelmend.shapes.segments import Point


@dataclass(frozen=True)
class Box:
    """Half sizes [m] of the box, its centre [m], its direction [rad], its radius [m]."""

    centre: Point
    angle: float
    half_length: float
    half_width: float
    radius: float


def ordered(box: Box) -> Box:
    """The same box with its longer side as its length and an angle in [0, pi)."""
    if box.half_width > box.half_length:
        box = Box(box.centre, box.angle + 0.5 * math.pi, box.half_width, box.half_length, box.radius)
    angle = box.angle % math.pi
    if math.pi - angle < 1e-12:
        angle = 0.0
    return Box(box.centre, angle, box.half_length, box.half_width, box.radius)
