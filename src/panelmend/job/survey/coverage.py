"""How well the ground is covered: the reach of each dull reading, and the gaps nobody tapped.

The coverage spacing near a place is sqrt(2) times the radius of the largest empty circle there: on a square
grid it is the grid's spacing. A line that stands a number of coverage spacings past every dull
reading leaves room for what lies between the readings, however they are placed.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from panelmend.job.survey.readings import Array, SkinReadings

PLACE_WITHIN = 0.005  # [m] a reading is believed to lie this near to where it was written down
SAME_PLACE_WITHIN = 1e-4  # [m] readings nearer than this are at one place
RASTER_STEPS = 3.0  # steps of the raster in the closest spacing of the neighbourhood
MOST_REACH = 5.0  # a reach looks no further than this many coverage spacings of the survey
MOST_RASTER_POINTS = 250_000  # points of the raster at most
ROOT2 = float(np.sqrt(2.0))


@dataclass(frozen=True)
class Spots:
    """Distinct places (n, 2) [m], with how many readings there spoke for damage and for sound skin."""

    at: Array
    dull: Array
    sound: Array

    @property
    def bad(self) -> NDArray[np.bool_]:
        """Places (n,) [yes or no] where anything spoke for damage."""
        return np.asarray(self.dull > 0, dtype=bool)

    @property
    def proved(self) -> NDArray[np.bool_]:
        """Places (n,) [yes or no] where damage was read twice, and more often than not."""
        return np.asarray((self.dull >= 2) & (self.dull > self.sound), dtype=bool)


def readings_by_place(readings: SkinReadings) -> Spots:
    """Readings put together by place, in a fixed order."""
    if not len(readings):
        return Spots(np.zeros((0, 2)), np.zeros(0), np.zeros(0))
    keys = np.round(readings.at / SAME_PLACE_WITHIN).astype(np.int64)
    _, first, inverse = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    inverse = inverse.reshape(-1)
    dull = np.bincount(inverse, readings.dull.astype(float), len(first))
    count = np.bincount(inverse, minlength=len(first)).astype(float)
    return Spots(readings.at[first], np.asarray(dull, float), count - dull)


def closest_spacing(at: Array) -> float:
    """Median distance [m] of places (n, 2) [m] to the nearest other one."""
    if len(at) < 2:
        return 0.0
    return float(np.median(np.asarray(cKDTree(at).query(at, k=2)[0])[:, 1]))


@dataclass(frozen=True)
class TappedGround:
    """Places of the ground (n, 2) [m], ``far`` (n,) how far the nearest reading is [m], ``owner`` which."""

    nodes: Array
    far: Array
    owner: NDArray[np.int64]
    tree: cKDTree
    usual: float

    def profile(self, at: Array, within: float) -> tuple[Array, Array]:
        """Distances (k,) [m] from a place [m] to the nodes round it, sorted, and the coverage spacing until
        there."""
        near = self.tree.query_ball_point(at, within, return_sorted=True)
        r = np.hypot(*(self.nodes[near] - at).T)
        order = np.argsort(r, kind="stable")
        return r[order], ROOT2 * np.maximum.accumulate(self.far[near][order])


def tapped_ground(
    at: Array, dull: Array, inside: Callable[[Array], NDArray[np.bool_]] | None = None
) -> TappedGround:
    """The ground round the ``dull`` places: a raster, and the centres of the empty circles between readings.

    Args:
        at: all places read (n, 2) [m].
        dull: those that speak for damage (m, 2) [m], one at least.
        inside: which of some places (n, 2) [m] lie on the panel; None where its edge is not known.

    Ground past the readings is left out: whether damage may run off there is asked of the line.
    """
    from shapely import MultiPoint, contains_xy

    spacing = closest_spacing(at)
    hull = MultiPoint(at).convex_hull
    # between the last readings and the panel's edge lies ground too
    hull = hull.buffer(1e-9 if inside is None and hull.area > spacing**2 else spacing)
    places = cKDTree(at)
    x0, y0, x1, y1 = hull.bounds
    coarse = _raster(np.array([x0, y0]), np.array([x1, y1]), max(spacing, 1e-6), 10_000)
    coarse = coarse[contains_xy(hull, coarse[:, 0], coarse[:, 1])]
    far = np.asarray(places.query(coarse)[0]) if len(coarse) else np.array([spacing])
    usual = max(spacing, ROOT2 * float(np.quantile(far, 0.9)))
    reach = MOST_REACH * usual
    low = np.maximum((x0, y0), dull.min(0) - reach)
    high = np.minimum((x1, y1), dull.max(0) + reach)
    nodes = np.vstack(
        [_raster(low, high, spacing / RASTER_STEPS, MOST_RASTER_POINTS), _centres(at, low, high)]
    )
    keep = contains_xy(hull, nodes[:, 0], nodes[:, 1])
    if inside is not None:
        keep &= inside(nodes)
    nodes = nodes[keep] if keep.any() else dull
    far, owner = places.query(nodes)
    return TappedGround(nodes, np.asarray(far), np.asarray(owner), cKDTree(nodes), usual)


def _raster(low: Array, high: Array, step: float, most: int) -> Array:
    size = np.maximum(np.subtract(high, low), step)
    step = max(step, float(np.sqrt(np.prod(size) / most)))
    x = np.arange(low[0], low[0] + size[0] + 0.5 * step, step)
    y = np.arange(low[1], low[1] + size[1] + 0.5 * step, step)
    gx, gy = np.meshgrid(x, y)
    return np.column_stack([gx.ravel(), gy.ravel()])


def _centres(at: Array, low: Array, high: Array) -> Array:
    """Centres of the empty circles between readings: corners of their Voronoi diagram."""
    from scipy.spatial import QhullError, Voronoi

    try:
        found = np.asarray(Voronoi(at).vertices)
    except (QhullError, ValueError):  # all on one straight
        return np.zeros((0, 2))
    return found[((found >= low) & (found <= high)).all(1)]
