"""The least rounded rectangle or straight-sided oval round a body.

Both are a box of half sizes s and t grown by a radius: the rectangle has a given radius, the oval t = 0 and
a free radius. They cover a point when its distance from the box is within the radius. A coarse sweep over
angle and proportions finds every basin; a constrained search with exact gradients (sequential quadratic
programming) then finds its bottom; points of arcs that still lie outside are added and the search repeated.
"""

from __future__ import annotations

import math
from typing import Any

from panelmend.errors import SolverError
from panelmend.shapes.body import Body
from panelmend.shapes.box import Box, ordered
from panelmend.shapes.least_circle import circle_about

ANGLES = 60
BASINS = 6
SAMPLED_TURN = math.radians(6.0)
SHARP = 1e-6  # radius over size below which corners count as sharp


def least_box(
    body: Body, radius: float | None, margin: float, held: float | None, corner_radius: float = 0.0
) -> Box:
    """The box of least outer area: a rounded rectangle for a ``radius`` [m], an oval for None.

    Args:
        body: what to cover.
        radius: grown round the box to cover the body itself [m]; None for an oval.
        margin: further growth, counted in the area [m].
        held: direction of an axis [rad], or None.
        corner_radius: of the finished rectangle, no side of which is shorter than twice this [m].

    Raises:
        SolverError: the search did not settle.
    """
    x, y, size = circle_about(body)
    if size <= 1e-9:
        return Box((x, y), held or 0.0, 0.0, 0.0, radius or 0.0)
    if radius is not None and radius <= SHARP * size:
        return _sharp(body, margin, held, corner_radius)
    from panelmend.shapes.box_search import BoxProblem, search_basin

    problem = BoxProblem(size, (x, y), None if radius is None else radius / size, margin / size)
    if radius is None:
        turns = (
            [k * math.pi / ANGLES for k in range(ANGLES)] if held is None else [held, held + 0.5 * math.pi]
        )
    else:
        turns = [k * 0.5 * math.pi / ANGLES for k in range(ANGLES)] if held is None else [held]
    points = body.samples(SAMPLED_TURN)
    starts = problem.starts(points, turns, BASINS)
    best: tuple[float, Any] | None = None
    for start in starts:
        found = search_basin(problem, body, points, start, held is None)
        if found is not None and (best is None or found[0] < best[0] - 1e-13):
            best = found
    if best is None:
        raise SolverError("no least cover was found; hold it to an axis, or report this outline")
    return problem.box(best[1])


def _sharp(body: Body, margin: float, held: float | None, corner_radius: float) -> Box:
    """Sharp corners: the widths follow exactly from the angle; every basin of the area is searched.

    (For straight-sided hulls the least area has a side along the hull: those angles are tried too.)
    """
    least = max(corner_radius - margin, 0.0)

    def sides(angle: float) -> tuple[float, float, float, float]:
        return tuple(body.support(angle + k * 0.5 * math.pi) for k in range(4))  # type: ignore[return-value]

    def area(angle: float) -> float:
        right, up, left, down = sides(angle)
        return (max(right + left, 2 * least) + 2 * margin) * (max(up + down, 2 * least) + 2 * margin)

    if held is not None:
        best = held
    else:
        n = 180
        width = 0.5 * math.pi / n
        values = [area(k * width) for k in range(n)]
        candidates = [
            _lowest(area, (k - 1) * width, (k + 1) * width)
            for k in range(n)
            if values[k] <= values[k - 1] and values[k] <= values[(k + 1) % n]
        ]
        corners = body.corners
        if not body.arcs:
            candidates += [
                math.atan2(q[1] - p[1], q[0] - p[0])
                for p, q in zip(corners, corners[1:] + corners[:1], strict=True)
            ]
        best = min(candidates, key=lambda angle: (round(area(angle), 15), angle % (0.5 * math.pi)))
    right, up, left, down = sides(best)
    c, s = math.cos(best), math.sin(best)
    u, v = 0.5 * (right - left), 0.5 * (up - down)
    a, b = max(0.5 * (right + left), least), max(0.5 * (up + down), least)
    centre = (c * u - s * v, s * u + c * v)
    return ordered(Box(centre, best, a, b, 0.0))


def _lowest(f: Any, low: float, high: float) -> float:
    ratio = 0.5 * (math.sqrt(5.0) - 1.0)
    u, v = high - ratio * (high - low), low + ratio * (high - low)
    fu, fv = f(u), f(v)
    while high - low > 1e-12:
        if fu <= fv:
            high, v, fv = v, u, fu
            u = high - ratio * (high - low)
            fu = f(u)
        else:
            low, u, fu = u, v, fv
            v = low + ratio * (high - low)
            fv = f(v)
    return 0.5 * (low + high)
