"""Many points at once: which of them lie inside an outline."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from panelmend.shapes.chords import to_polygon
from panelmend.shapes.outline import Outline

Array = NDArray[np.float64]


def inside_test(outline: Outline) -> Callable[[Array, Array], NDArray[np.bool_]]:
    """Which of many points lie inside an outline, its arcs taken as chords within 0.1 mm.

    Args:
        outline: the outline.

    Returns:
        says for arrays of x and y [m], of one shape, which points lie inside.
    """
    import shapely

    polygon = shapely.Polygon(to_polygon(outline, 1e-4))
    shapely.prepare(polygon)
    return lambda x, y: np.asarray(shapely.contains_xy(polygon, x, y))
