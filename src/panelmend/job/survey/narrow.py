"""Which taps narrow the line for any shape: all that fill the ground it stands on to a closer spacing.

The line stands so many coverage spacings past every dull reading, and a coverage spacing is the widest gap
near it. One tap more leaves the widest gap as it was; taps at dull places even move the line out. Only where
every gap within the line is filled does it come in. So the places are asked for together: first those that
bring all ground within the line to the closest spacing there, else, where it is even, to that over sqrt(2)
(on a square grid: the middles of its squares).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import Delaunay, QhullError, cKDTree

from panelmend.job.survey.anyshape import DullCore, rounds
from panelmend.job.survey.coverage import PLACE_WITHIN, ROOT2
from panelmend.job.survey.readings import Array

UNEVEN = 0.85  # closest over widest gap below which the gaps are brought to the closest first
GAP_FILLED_WITHIN = 1.05  # a gap is filled when it is no wider than this times what is aimed at
MOST_PLACES = 120  # places in one set


@dataclass(frozen=True)
class Filling:
    """Places to tap (n, 2) [m], nearest to the damage first; the ``spacing`` they make [m].

    ``area`` is that of the line where all of them sound [m2]; ``whole`` that MOST_PLACES were enough.
    """

    at: Array
    spacing: float
    area: float
    whole: bool


def filling(core: DullCore, at: Array, k: float) -> Filling | None:
    """The places that fill the ground within the line; None where there is nothing to fill.

    Args:
        core: dull readings that make areas, with their ground.
        at: all places read (n, 2) [m].
        k: how many coverage spacings the line stands past the dull readings [1].
    """
    if not len(core.at):
        return None
    reach, gap, _ = core.reach(k)
    widest, closest = float(gap.max()), float(gap.min())
    aim = closest if closest < UNEVEN * widest else widest / ROOT2
    best = np.minimum(reach, PLACE_WITHIN + k * core.weight * GAP_FILLED_WITHIN * aim)
    nodes = core.ground.nodes[_needed(core, at, reach, best)]
    left, found = np.asarray(cKDTree(at).query(nodes)[0]) if len(nodes) else np.zeros(0), list[Array]()
    while len(nodes) and len(found) < MOST_PLACES:
        i = int(np.argmax(np.round(left, 9)))
        if left[i] * ROOT2 <= GAP_FILLED_WITHIN * aim:
            break
        found.append(nodes[i])
        left = np.minimum(left, np.hypot(*(nodes - nodes[i]).T))
    if not found:
        return None
    places = np.array(found)
    near = np.round(cKDTree(core.at).query(places)[0], 6)
    order = np.lexsort((np.round(places[:, 1], 6), np.round(places[:, 0], 6), near))
    area = float(sum(shape.area for shape in rounds(core.at, best)))
    return Filling(places[order], aim, area, bool(left.max() * ROOT2 <= GAP_FILLED_WITHIN * aim))


def _needed(core: DullCore, at: Array, reach: Array, best: Array) -> NDArray[np.bool_]:
    """Which ground must be filled: what the line holds outside the dull readings, and as far inside as the
    readings on their rim will look. What lies deeper has no part in where the line runs."""
    dull = np.zeros(len(at), bool)
    dull[cKDTree(at).query(core.at)[1]] = True
    rim = _rim(at, dull)[cKDTree(at).query(core.at)[1]]
    if not rim.any():
        rim[:] = True
    far, who = cKDTree(core.at[rim]).query(core.ground.nodes)
    most = np.where(dull[core.ground.owner], best[rim][who], reach[rim][who])
    return np.asarray(far <= most, dtype=bool)


def _rim(at: Array, dull: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Which places have a neighbour that is not dull, or none at all on one side."""
    try:
        mesh = Delaunay(at)
    except (QhullError, ValueError):
        return np.ones(len(at), bool)
    found = np.zeros(len(at), bool)
    for a, b in ((0, 1), (1, 2), (2, 0)):
        i, j = mesh.simplices[:, a], mesh.simplices[:, b]
        found[i[~dull[j]]] = True
        found[j[~dull[i]]] = True
    found[np.unique(mesh.convex_hull)] = True
    return found
