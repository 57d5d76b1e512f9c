"""The line for a damage of any shape: so many coverage spacings past every dull reading.

No shape is assumed: a place is in the line when it lies within reach of a dull reading. The reach is
``PLACE_WITHIN + k w g``: g the coverage spacing of the ground within that reach (so that untapped ground
beside a dull reading lengthens it), k calibrated, w between 1 and LONE_DULL_FACTOR, more where little round
the reading is dull: at a thin tip the damage may run on between the readings.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from panelmend.job.survey.coverage import (
    MOST_REACH,
    PLACE_WITHIN,
    Spots,
    TappedGround,
    closest_spacing,
    tapped_ground,
)
from panelmend.job.survey.readings import Array

LONE_DULL_FACTOR = 1.8  # how much further the line stands where little round a dull reading is dull
ROUND_LOOKED_AT = 2.2  # how far round a dull reading that is looked at, over coverage spacing
FROM, TO = (
    0.12,
    0.28,
)  # share of the ground round it that is dull: LONE_DULL_FACTOR below the first, 1 above the second
LINK = 1.6  # dull readings nearer than this belong together, over spacing
CROWD = 3  # so many dull readings together are an area; fewer are named, to be read again
FIRST_MULTIPLE = 1.2  # multiple at which the spacing near a reading is taken, to look at what is round it
QUARTER_SIDES = 12  # straight sides to a quarter of a round
Inside = Callable[[Array], NDArray[np.bool_]]


@dataclass(frozen=True)
class DullCore:
    """The dull readings that make areas: ``at`` (n, 2) [m], ``weight`` (n,) [1], and the ground round them.

    ``share`` (n,) says how much of the ground round each is dull [1].
    ``lone`` (m, 2) are those that make none: fewer than three together and not read twice.
    """

    at: Array
    weight: Array
    share: Array
    lone: Array
    ground: TappedGround

    def reach(self, k: float) -> tuple[Array, Array, NDArray[np.bool_]]:
        """Reach [m], coverage spacing within it [m], and whether it was bounded, of each reading."""
        rows = [self._one(p, k * w) for p, w in zip(self.at, self.weight, strict=True)]
        reach, gap, bounded = (np.array(c) for c in zip(*rows, strict=True))
        return reach, gap, bounded.astype(bool)

    def _one(self, p: Array, k: float) -> tuple[float, float, bool]:
        most = MOST_REACH * self.ground.usual
        for within in (0.4 * most, most):
            r, g = self.ground.profile(p, within)
            enough = np.flatnonzero(r >= k * g + PLACE_WITHIN)
            if len(enough):
                i = int(enough[0])
                gap = float(g[max(i - 1, 0)])
                return k * gap + PLACE_WITHIN, gap, True
        gap = float(g[-1]) if len(g) else self.ground.usual
        return min(k * gap + PLACE_WITHIN, most), gap, False

    def needed(self, places: Array) -> Array:
        """The least k (n,) [1] at which each of some places (n, 2) [m] lies in the line."""
        need = np.full(len(places), np.inf)
        most = MOST_REACH * self.ground.usual
        for p, w in zip(self.at, self.weight, strict=True):
            r, g = self.ground.profile(p, most)
            rho = np.hypot(*(places - p).T)
            asked = (
                np.maximum.accumulate((r - PLACE_WITHIN) / np.maximum(w * g, 1e-9)) if len(r) else np.zeros(1)
            )
            i = np.minimum(np.searchsorted(r, rho), len(asked) - 1)
            here = np.where(rho <= PLACE_WITHIN, 0.0, np.maximum(asked[i], 0.0))
            need = np.minimum(need, np.where((rho > most) & (rho > PLACE_WITHIN), np.inf, here))
        return need


def dull_core(spots: Spots, inside: Inside | None = None) -> DullCore | None:
    """The dull readings of a survey with their ground; None where nothing speaks for damage."""
    bad = np.flatnonzero(spots.bad)
    if not len(bad):
        return None
    at = spots.at
    ground = tapped_ground(at, at[bad], inside)
    group = _together(at, bad)
    crowd = (np.bincount(group)[group] >= CROWD) | spots.proved[bad]
    core = bad[crowd]
    share = _dull_shares(ground, at, core)
    weight = 1.0 + (LONE_DULL_FACTOR - 1.0) * np.clip((TO - share) / (TO - FROM), 0.0, 1.0)
    return DullCore(at[core], weight, share, at[bad[~crowd]], ground)


def _together(at: Array, bad: NDArray[np.int64]) -> NDArray[np.int64]:
    """Number of the group each dull place belongs to: neighbours no further than LINK spacings."""
    spacing = closest_spacing(at)
    pairs = cKDTree(at[bad]).query_pairs(LINK * spacing, output_type="ndarray")
    pairs = np.vstack([pairs.reshape(-1, 2), _neighbours(at, bad)])
    ones = np.ones(len(pairs))
    graph = coo_matrix((ones, (pairs[:, 0], pairs[:, 1])), (len(bad), len(bad)))
    return np.asarray(connected_components(graph, directed=False)[1])


def _neighbours(at: Array, bad: NDArray[np.int64]) -> NDArray[np.int64]:
    """Pairs of dull places with no other reading between them, where the survey is coarse."""
    from scipy.spatial import Delaunay, QhullError

    try:
        sides = np.asarray(Delaunay(at).simplices)
    except (QhullError, ValueError):
        return np.zeros((0, 2), np.int64)
    edges = np.vstack([sides[:, [0, 1]], sides[:, [1, 2]], sides[:, [2, 0]]])
    number = np.full(len(at), -1)
    number[bad] = np.arange(len(bad))
    both = number[edges]
    both = both[(both >= 0).all(1)]
    # at the rim of a survey the triangles are long: no further than the usual gap between readings
    length = np.hypot(*(at[bad][both[:, 0]] - at[bad][both[:, 1]]).T)
    usual = np.median(np.hypot(*(at[edges[:, 0]] - at[edges[:, 1]]).T))
    return np.asarray(both[length <= LINK * usual], np.int64)


def _dull_shares(ground: TappedGround, at: Array, core: NDArray[np.int64]) -> Array:
    dull = np.zeros(len(at), bool)
    dull[core] = True
    here = dull[ground.owner]
    found = []
    for p in at[core]:
        r, g = ground.profile(p, 2.0 * FIRST_MULTIPLE * ground.usual)
        enough = np.flatnonzero(r >= FIRST_MULTIPLE * g)
        gap = float(g[enough[0]]) if len(enough) else ground.usual
        near = ground.tree.query_ball_point(p, ROUND_LOOKED_AT * gap)
        found.append(float(here[near].mean()) if near else 0.0)
    return np.array(found)


def rounds(at: Array, reach: Array) -> list[Any]:
    """Polygons round places (n, 2) [m] that hold circles of ``reach`` (n,) [m]; joined where they meet."""
    from shapely import buffer, points, union_all

    wide = reach / np.cos(np.pi / (4 * QUARTER_SIDES))  # the polygon goes round the circle
    whole = union_all(buffer(points(at), wide, quad_segs=QUARTER_SIDES))
    return [g for g in getattr(whole, "geoms", [whole]) if not g.is_empty]
