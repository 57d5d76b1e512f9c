"""Plane geometry of outlines made of exact lines and arcs. Metres and radians; kernels, no files.

Double bends (``torus``, ``drape``) are asked for by module: they load numpy, which a check does without.
"""

from panelmend.shapes.boolean import StraightRegion as StraightRegion
from panelmend.shapes.boolean import common as common
from panelmend.shapes.boolean import united as united
from panelmend.shapes.boolean import united_area as united_area
from panelmend.shapes.boolean import without_area as without_area
from panelmend.shapes.chords import to_polygon as to_polygon
from panelmend.shapes.clearance import Clearance as Clearance
from panelmend.shapes.clearance import clearance as clearance
from panelmend.shapes.clearance import depth_within as depth_within
from panelmend.shapes.clearance import distance_to_point as distance_to_point
from panelmend.shapes.clearance import distance_to_segment as distance_to_segment
from panelmend.shapes.clearance import inside as inside
from panelmend.shapes.clearance import least_overlap as least_overlap
from panelmend.shapes.cylinder import Cylinder as Cylinder
from panelmend.shapes.enclosing import EnclosingShape as EnclosingShape
from panelmend.shapes.enclosing import least_circle as least_circle
from panelmend.shapes.enclosing import least_ellipse as least_ellipse
from panelmend.shapes.enclosing import least_oval as least_oval
from panelmend.shapes.enclosing import least_rectangle as least_rectangle
from panelmend.shapes.makers import circle as circle
from panelmend.shapes.makers import ellipse as ellipse
from panelmend.shapes.makers import oval as oval
from panelmend.shapes.makers import polygon as polygon
from panelmend.shapes.makers import rectangle as rectangle
from panelmend.shapes.mapped import mapped as mapped
from panelmend.shapes.mapped import stretched as stretched
from panelmend.shapes.offset import offset as offset
from panelmend.shapes.outline import Outline as Outline
from panelmend.shapes.outline import Vertex as Vertex
from panelmend.shapes.outline import outline as outline
from panelmend.shapes.segments import Arc as Arc
from panelmend.shapes.segments import Line as Line
from panelmend.shapes.segments import Point as Point
from panelmend.shapes.segments import Segment as Segment
from panelmend.shapes.trim import longest_trim as longest_trim
from panelmend.shapes.trim import sharp_corners as sharp_corners
from panelmend.shapes.trim import trim_corners as trim_corners
from panelmend.shapes.trim import trim_for_overlap as trim_for_overlap
