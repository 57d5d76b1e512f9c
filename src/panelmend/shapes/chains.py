"""Closed loops from loose segments that meet end to end."""

from __future__ import annotations

import math
from collections.abc import Sequence

from panelmend.errors import SolverError
from panelmend.shapes.outline import Outline, Vertex
from panelmend.shapes.segments import Point, Segment

ENDS_JOINED_WITHIN = 1e-6  # [m] nearer ends are one point (rounding where arcs and lines touch smoothly)
SPLINTER = 2e-5  # [m] an open rest shorter than this is rounding


def loops_from(pieces: Sequence[Segment]) -> list[Outline]:
    """Counter-clockwise outlines from segments that run counter-clockwise round what they enclose.

    Clockwise loops (holes) and loops without area are left out.

    Raises:
        SolverError: segments that don't close.
    """
    rest = _without_doubles(list(pieces))
    found = []
    while rest:
        start = max(range(len(rest)), key=lambda k: rest[k].length)
        chain = [rest.pop(start)]
        while math.dist(chain[-1].end, chain[0].start) > ENDS_JOINED_WITHIN or (
            len(chain) == 1 and chain[0].length < 4.0 * ENDS_JOINED_WITHIN
        ):
            nxt = _next(rest, chain[-1])
            if nxt is None:
                break
            chain.append(rest.pop(nxt))
        closed = math.dist(chain[-1].end, chain[0].start) <= ENDS_JOINED_WITHIN
        if closed:
            made = _outline_of(chain)
            if made is not None and made.area > 1e-12:
                found.append(made)
        elif math.fsum(s.length for s in chain) > SPLINTER:
            raise SolverError(
                f"an offset did not close: {len(chain)} pieces, {_at(chain[0].start)} to {_at(chain[-1].end)}"
            )
    return found


def _at(p: Point) -> str:
    return f"({p[0] * 1e3:.4f}, {p[1] * 1e3:.4f}) mm"


def _without_doubles(pieces: list[Segment]) -> list[Segment]:
    """Leave out a piece that repeats another, and both of two that run along each other backwards."""
    keep: list[Segment | None] = list(pieces)
    for i, a in enumerate(pieces):
        if keep[i] is None:
            continue
        for j in range(i + 1, len(pieces)):
            b = keep[j]
            if b is None or math.dist(a.at(0.5), b.at(0.5)) > ENDS_JOINED_WITHIN:
                continue
            if (
                math.dist(a.start, b.start) <= ENDS_JOINED_WITHIN
                and math.dist(a.end, b.end) <= ENDS_JOINED_WITHIN
            ):
                keep[j] = None
            elif (
                math.dist(a.start, b.end) <= ENDS_JOINED_WITHIN
                and math.dist(a.end, b.start) <= ENDS_JOINED_WITHIN
            ):
                keep[i] = keep[j] = None
                break
    return [s for s in keep if s is not None]


def _next(rest: list[Segment], last: Segment) -> int | None:
    """The segment that goes on from ``last``: the nearest start, among equals the sharpest right turn."""
    x, y = last.end
    ux, uy = last.tangent(1.0)
    best, choice = None, None
    for k, s in enumerate(rest):
        if abs(s.x0 - x) <= ENDS_JOINED_WITHIN and abs(s.y0 - y) <= ENDS_JOINED_WITHIN:
            vx, vy = s.tangent(0.0)
            rank = math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)
            if best is None or rank < best:
                best, choice = rank, k
    return choice


def _outline_of(chain: list[Segment]) -> Outline | None:
    vertices = [Vertex(s.x0, s.y0, s.bulge) for s in chain]
    n = len(vertices)
    kept = [
        v
        for i, v in enumerate(vertices)
        if math.hypot(v.x - vertices[(i + 1) % n].x, v.y - vertices[(i + 1) % n].y) > 1e-8
    ]
    if len(kept) < 2 or (len(kept) == 2 and not any(v.bulge for v in kept)):
        return None
    return Outline(tuple(kept))
