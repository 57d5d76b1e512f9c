"""Whether a closed chain of segments meets itself."""

from __future__ import annotations

import math
from collections.abc import Sequence

from panelmend.shapes.meeting import crossings
from panelmend.shapes.segments import TINY, Segment

# [m] an arc that rises less than this over its chord is a line: of radii above some km the crossings of two
# neighbours come out wrong by more than NEAR_CORNER.
FLAT = 1e-8
NEAR_CORNER = 1e-5  # [m] meeting points of neighbours closer to their common vertex than this are the vertex


def tidy_bulge(bulge: float, chord: float) -> float:
    """The bulge [1], or 0 where the arc rises less than 1e-8 m over its chord [m]."""
    return 0.0 if abs(bulge) * chord / 2.0 <= FLAT else bulge


def crossing_near(
    parts: Sequence[Segment], boxes: Sequence[tuple[float, float, float, float]]
) -> tuple[int, int, float, float] | None:
    """Two segments of a closed chain (``boxes`` [m]) that meet where they should not: numbers and place
    [m]."""
    n = len(parts)
    order = sorted(range(n), key=lambda k: boxes[k][0])
    for rank, i in enumerate(order):
        for j in order[rank + 1 :]:
            if boxes[j][0] > boxes[i][2] + TINY:
                break
            if boxes[j][1] > boxes[i][3] + TINY or boxes[i][1] > boxes[j][3] + TINY:
                continue
            first, second = min(i, j), max(i, j)
            for x, y in crossings(parts[first], parts[second]):
                if not _is_shared(parts, first, second, x, y):
                    return first, second, x, y
    return None


def _is_shared(parts: Sequence[Segment], i: int, j: int, x: float, y: float) -> bool:
    """Whether (x, y) is a vertex the segments i < j have in common."""
    n = len(parts)
    if j == i + 1 and math.hypot(x - parts[j].x0, y - parts[j].y0) <= NEAR_CORNER:
        return True
    return i == 0 and j == n - 1 and math.hypot(x - parts[0].x0, y - parts[0].y0) <= NEAR_CORNER
