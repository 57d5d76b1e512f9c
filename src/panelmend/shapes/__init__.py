"""Plane geometry of outlines made of exact lines and arcs. Metres and radians; kernels, no files.

Double bends (``torus``, ``drape``) are asked for by module: they load numpy, which a check does without.
"""

from panelmend.shapes.boolean import (
    StraightRegion,
    common,
    united,
    united_area,
    without,
    without_area,
)
from panelmend.shapes.chords import to_polygon
from panelmend.shapes.clearance import (
    Clearance,
    clearance,
    distance_to_point,
    distance_to_segment,
    inside,
    least_overlap,
)
from panelmend.shapes.cylinder import Cylinder
from panelmend.shapes.enclosing import (
    EnclosingShape,
    least_circle,
    least_ellipse,
    least_oval,
    least_rectangle,
)
from panelmend.shapes.makers import circle, ellipse, oval, polygon, rectangle
from panelmend.shapes.mapped import mapped, stretched
from panelmend.shapes.offset import offset
from panelmend.shapes.outline import Outline, Vertex, outline
from panelmend.shapes.segments import Arc, Line, Point, Segment
from panelmend.shapes.trim import longest_trim, sharp_corners, trim_corners, trim_for_overlap

__all__ = [
    "Arc",
    "Clearance",
    "Cylinder",
    "EnclosingShape",
    "Line",
    "Outline",
    "Point",
    "Segment",
    "StraightRegion",
    "Vertex",
    "circle",
    "clearance",
    "common",
    "distance_to_point",
    "distance_to_segment",
    "ellipse",
    "inside",
    "least_circle",
    "least_ellipse",
    "least_oval",
    "least_overlap",
    "least_rectangle",
    "longest_trim",
    "mapped",
    "offset",
    "outline",
    "oval",
    "polygon",
    "rectangle",
    "sharp_corners",
    "stretched",
    "to_polygon",
    "trim_corners",
    "trim_for_overlap",
    "united",
    "united_area",
    "without",
    "without_area",
]
