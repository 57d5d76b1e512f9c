"""Union, common part and difference of outlines through a polygon library.

The results are polygons within the stated tolerance: for checks, areas and pictures, **never for what is
cut**. What is cut comes from exact outlines, offsets and trims only.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from panelmend.shapes.chords import to_polygon
from panelmend.shapes.outline import Outline, Vertex


@dataclass(frozen=True)
class StraightRegion:
    """One connected area: its outer boundary and its holes, all of straight sides (approximate) [m]."""

    outer: Outline
    holes: tuple[Outline, ...] = ()

    @property
    def area(self) -> float:
        """Area without the holes [m2]."""
        return self.outer.area - sum(h.area for h in self.holes)


def _shape(o: Outline, tolerance: float) -> Any:
    from shapely import Polygon, make_valid

    made = Polygon(to_polygon(o, tolerance))
    return made if made.is_valid else make_valid(made)


def _regions(shape: Any) -> tuple[StraightRegion, ...]:
    found = []
    for part in getattr(shape, "geoms", [shape]):
        if part.geom_type == "Polygon" and part.area > 1e-12:
            outer = _ring(part.exterior)
            found.append(StraightRegion(outer, tuple(_ring(r) for r in part.interiors)))
    return tuple(sorted(found, key=lambda r: (-round(r.area, 12), r.outer.bounds[0], r.outer.bounds[1])))


def _ring(ring: Any) -> Outline:
    points = list(ring.coords)[:-1]
    if not ring.is_ccw:
        points.reverse()
    return Outline(tuple(Vertex(x, y) for x, y in points))


def united(outlines: Iterable[Outline], tolerance: float = 1e-5) -> tuple[StraightRegion, ...]:
    """What any of the outlines covers, approximate within ``tolerance`` [m]; greatest area first."""
    from shapely import union_all

    return _regions(union_all([_shape(o, tolerance) for o in outlines]))


def common(a: Outline, b: Outline, tolerance: float = 1e-5) -> tuple[StraightRegion, ...]:
    """What lies in both outlines, approximate within ``tolerance`` [m]; greatest area first."""
    return _regions(_shape(a, tolerance).intersection(_shape(b, tolerance)))


def united_area(outlines: Iterable[Outline], tolerance: float = 1e-6) -> float:
    """Area [m2] covered by any of the outlines, arcs as chords within ``tolerance`` [m]."""
    from shapely import union_all

    return float(union_all([_shape(o, tolerance) for o in outlines]).area)


def without_area(a: Outline, b: Outline, tolerance: float = 1e-6) -> float:
    """Area [m2] in ``a`` but not in ``b``, arcs as chords within ``tolerance`` [m]."""
    return float(_shape(a, tolerance).difference(_shape(b, tolerance)).area)
