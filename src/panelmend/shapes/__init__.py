"""Plane geometry of outlines made of exact lines and arcs. Metres and radians; kernels, no files."""

from panelmend.shapes.clearance import (
    Clearance,
    clearance,
    distance_to_point,
    distance_to_segment,
    inside,
    least_overlap,
)
from panelmend.shapes.makers import circle, ellipse, oval, polygon, rectangle
from panelmend.shapes.offset import offset
from panelmend.shapes.outline import Outline, Vertex, outline
from panelmend.shapes.segments import Arc, Line, Point, Segment
from panelmend.shapes.trim import longest_trim, sharp_corners, trim_corners, trim_for_overlap

__all__ = [
    "Arc",
    "Clearance",
    "Line",
    "Outline",
    "Point",
    "Segment",
    "Vertex",
    "circle",
    "clearance",
    "distance_to_point",
    "distance_to_segment",
    "ellipse",
    "inside",
    "least_overlap",
    "longest_trim",
    "offset",
    "outline",
    "oval",
    "polygon",
    "rectangle",
    "sharp_corners",
    "trim_corners",
    "trim_for_overlap",
]
