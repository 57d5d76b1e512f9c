"""Where to tap next: the places that narrow the outline most.

The line for any shape narrows by a whole set of taps (``narrow.py``), the compact line by single ones.
The doubt is the sum of the standard deviations of f over the strip between the 50 % line and the outer line.
A tap's worth is how much that sum is expected to fall (the fall in variance does not depend on what is
heard: Rasmussen and Williams 2006, eq. 2.24, with the tap's curvature in place of the noise). The best place
is taken, the covariance is brought up to date, and so on.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import expit

from panelmend.job.survey.calibration import reach_at
from panelmend.job.survey.narrow import Filling, filling
from panelmend.job.survey.readings import Array
from panelmend.job.survey.trace import TracedSurvey

STRIP_PLACES = 700  # places looked at
NEAREST_TAP = 0.3  # no tap nearer to an earlier one than this, over tap spacing
STRIPE = 2.0  # [logit] how far past the two lines places are looked at


@dataclass(frozen=True)
class NextTap:
    """A place to tap: ``at`` [m]; ``narrows`` the share of the remaining doubt it is expected to take [1].

    A place in untapped ground has 0: what it takes is not known. So has one of a set that narrows together.
    """

    at: tuple[float, float]
    narrows: float


def set_of(traced: TracedSurvey) -> Filling | None:
    """The taps that narrow the line for any shape together; None where single taps are asked for."""
    if (
        traced.line != "any shape"
        or traced.gaps
        or traced.core is None
        or traced.places is None
        or not traced.areas
    ):
        return None
    return filling(traced.core, traced.places, reach_at(traced.confidence))


def next_taps(traced: TracedSurvey, count: int = 5) -> tuple[NextTap, ...]:
    """The ``count`` [1] places to tap next, best first; fewer where nothing is in doubt or dull.

    Untapped ground beside the damage comes first, the widest gap before the others. For the line of any
    shape it is a whole set, whatever ``count``: fewer of them do not narrow it.
    """
    if not traced.areas and not traced.doubtful:
        return ()
    together = set_of(traced)
    if together is not None:
        return tuple(NextTap((float(x), float(y)), 0.0) for x, y in together.at)
    n = traced.nodes
    gx, gy = np.meshgrid(n.x, n.y)
    open_ = (n.mean > -traced.level - STRIPE) & (n.mean < STRIPE)
    places = np.column_stack([gx[open_], gy[open_]])
    if traced.panel is not None:
        places = places[np.array([traced.panel.contains((float(x), float(y))) for x, y in places], bool)]
    if not len(places):
        return ()
    places = places[:: max(1, -(-len(places) // STRIP_PLACES))]
    cov = traced.posterior.covariance(places)
    mean, _ = traced.posterior.latent(places)
    weight = expit(mean) * expit(-mean)
    known = [traced.posterior.at, *(np.array([p]) for p in traced.gaps)]
    found = [NextTap(p, 0.0) for p in traced.gaps[:count]]
    counts = _undecided(mean, traced.level)
    start = float((counts * np.sqrt(np.maximum(np.diag(cov), 0.0))).sum())
    for _ in range(count - len(found)):
        var = np.maximum(np.diag(cov), 1e-12)
        left = np.maximum(var[:, None] - cov**2 / (var + 1.0 / weight)[None, :], 0.0)
        gain = (counts[:, None] * (np.sqrt(var)[:, None] - np.sqrt(left))).sum(0)
        gain[_taken(places, known, NEAREST_TAP * traced.spacing)] = -1.0
        best = int(np.argmax(np.round(gain, 9)))
        if gain[best] <= 0.0:
            break
        found.append(NextTap((float(places[best, 0]), float(places[best, 1])), float(gain[best]) / start))
        cov = cov - np.outer(cov[:, best], cov[best]) / (var[best] + 1.0 / weight[best])
        known.append(places[best : best + 1])
    return tuple(found)


def _undecided(mean: Array, level: float) -> Array:
    """How much a place counts: most half-way between the 50 % line and the outer line."""
    return np.asarray(np.exp(-0.5 * (mean + 0.5 * level) ** 2))


def _taken(places: Array, known: list[Array], near: float) -> Array:
    from scipy.spatial import cKDTree

    return np.asarray(cKDTree(np.vstack(known)).query(places)[0] < near)
