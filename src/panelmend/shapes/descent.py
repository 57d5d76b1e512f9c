"""The least of a smooth cost of a few variables within bounds, while every gap stays at or below zero."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

Array = Any
MOST_EVALUATIONS = 400  # evaluations of the cost; a bottom takes ten to forty
SHUT = 1e-12  # gap that still counts as none, in the gaps' own unit


def descend(
    cost: Callable[[Array], tuple[float, Array]],
    gaps: Callable[[Array], tuple[Array, Array]],
    start: Array,
    bounds: Sequence[tuple[float, float]],
    *,
    change: float,
) -> Array:
    """Variables at the bottom of the basin of ``start`` (sequential quadratic programming, Kraft 1988).

    The library is loaded in hundredths of a second; scipy's optimisers take half a second of every plan.

    Args:
        cost: value and slope (n,) at variables (n,) [any units, the caller's].
        gaps: values (m,), each to be at or below zero, and their slopes (m, n) [any units].
        start: where to begin (n,), clipped into the bounds [any units].
        bounds: least and most of each variable [any units].
        change: stop when a step changes the cost by less than this share of it [-].

    Returns:
        variables (n,) [any units]: the last that were reached, also where the search could not go on (the
        caller looks whether they do), and the start where it came to no numbers.
    """
    import nlopt

    n = len(start)
    low, high = (np.array([b[k] for b in bounds], float) for k in (0, 1))
    first = best = np.clip(np.asarray(start, float), low, high)

    def value(z: Array, slope: Array) -> float:
        nonlocal best
        best = z.copy()
        found, way = cost(z)
        if slope.size:
            slope[:] = way
        return float(found)

    def room(out: Array, z: Array, slope: Array) -> None:
        found, way = gaps(z)
        out[:] = found
        if slope.size:
            slope[:] = way

    search: Any = nlopt.opt(nlopt.LD_SLSQP, n)
    search.set_lower_bounds(low)
    search.set_upper_bounds(high)
    search.set_min_objective(value)
    search.add_inequality_mconstraint(room, np.full(len(gaps(best)[0]), SHUT))
    search.set_ftol_rel(change)
    search.set_xtol_rel(1e-14)
    search.set_maxeval(MOST_EVALUATIONS)
    with contextlib.suppress(nlopt.RoundoffLimited, RuntimeError):
        best = np.asarray(search.optimize(best.copy()), float)
    return best if np.all(np.isfinite(best)) else first
