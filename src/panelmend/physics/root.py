"""Where a continuous function of one variable crosses zero, between two places where its sign differs."""

from __future__ import annotations

import math
from collections.abc import Callable

from panelmend.errors import SolverError


def crossing(function: Callable[[float], float], low: float, high: float, *, width: float) -> float:
    """The variable at which ``function`` crosses zero, by interpolation that falls back to halving.

    Own code for one reason: scipy.optimize takes half a second to load, and every plan asks for a root.

    Args:
        function: continuous, its value and variable each [any unit].
        low: one end [any unit].
        high: the other end [any unit]; the signs at both ends differ, or one value is zero.
        width: the answer is this close to the crossing, or as close as numbers lie [any unit].

    Returns:
        the variable at the crossing [any unit].

    Raises:
        SolverError: the function has one sign at both ends, or a value is no number.

    Source: T. R. Chandrupatla, Advances in Engineering Software 28 (1997) 145-149 (from memory).
    """
    a, b = high, low
    fa, fb = function(a), function(b)
    if fa == 0.0:
        return a
    if fb == 0.0:
        return b
    if not fa * fb < 0.0:
        raise SolverError(f"no crossing of zero between {low:g} and {high:g}: {fb:g} and {fa:g} at the ends")
    share = 0.5
    for _ in range(400):
        x = a + share * (b - a)
        fx = function(x)
        if math.isnan(fx):
            raise SolverError(f"no number at {x:g} between {low:g} and {high:g}")
        if (fx > 0.0) == (fa > 0.0):
            c, fc = a, fa
        else:
            c, fc = b, fb
            b, fb = a, fa
        a, fa = x, fx
        best, value = (a, fa) if abs(fa) < abs(fb) else (b, fb)
        least = 2.0 * math.ulp(1.0) * abs(best) + 0.5 * width
        edge = least / abs(b - a)
        if value == 0.0 or edge > 0.5:
            return best
        place, height = (a - b) / (c - b), (fa - fb) / (fc - fb)
        share = 0.5
        if 1.0 - math.sqrt(1.0 - place) < height < math.sqrt(place):
            share = fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
        share = min(1.0 - edge, max(edge, share))
    raise SolverError(f"no crossing of zero found between {low:g} and {high:g} in 400 steps")
