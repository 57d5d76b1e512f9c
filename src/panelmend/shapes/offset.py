"""Exact offsets: lines stay lines, arcs stay arcs of radius r + d or r - d."""

from __future__ import annotations

import itertools
import math
from typing import Literal

from panelmend.errors import ShapeError
from panelmend.shapes.chains import loops_from
from panelmend.shapes.meeting import crossings
from panelmend.shapes.outline import Outline, Vertex, turn_at
from panelmend.shapes.segments import TINY, Arc, Line, Point, Segment, arc_about, shifted

Corners = Literal["round", "mitre"]
MITRE_LIMIT = 5.0  # corners that would reach more than this times the distance are rounded
SMOOTH_TURN = 1e-9  # [rad] a turn less than this is no corner
SHORTEST_PIECE = 3e-7  # [m] pieces shorter than this are rounding, not geometry
OFFSET_ROUNDING = 1e-9  # [m]
LEAST_OFFSET = 5e-6  # [m] less leaves the outline as it is (growing a convex one is always exact)
Kite = tuple[Point, Point, Point, Point]


def offset(outline: Outline, distance: float, corners: Corners = "round") -> tuple[Outline, ...]:
    """The outline grown (distance above zero) or shrunk (below zero) by the same distance everywhere.

    Every line and arc is moved, corners that open get a true arc ("round") or are drawn out to a sharp
    corner where both neighbours are lines and the tip stays within five times the distance ("mitre"). The
    moved pieces are cut where they meet, and those are kept that are nowhere nearer to the outline than the
    distance: so hollows fill, necks part, and a shape shrunk too far vanishes.

    Args:
        outline: the shape.
        distance: [m], positive outwards; less than 0.005 mm may change nothing.
        corners: "round" or "mitre".

    Returns:
        The outer boundaries, greatest area first; empty when nothing is left. (Hollows closed off by growing,
        which would be holes, are not returned: they count as filled.)

    Raises:
        ShapeError: a distance that is no number, or unknown corners.
    """
    if not math.isfinite(distance) or abs(distance) > 1e4:
        raise ShapeError("an offset distance that is no usable number", read=str(distance))
    if corners not in ("round", "mitre"):
        raise ShapeError("unknown corners", read=repr(corners), expected="round or mitre")
    easy = distance > 0.0 and outline.is_convex
    if abs(distance) <= (TINY if easy else LEAST_OFFSET):
        return (outline,)
    pieces, kites = _raw(outline, distance, corners)
    if easy:
        return (_chain_of(pieces),)
    if distance < 0.0 and outline.area <= math.pi * distance * distance:
        return ()  # a shape that holds a circle of this radius is larger than the circle
    kept = _boundary_parts(outline, abs(distance), pieces, kites)
    return tuple(sorted((o for o in loops_from(kept) if o.area > 1e-12), key=_rank))


def _rank(o: Outline) -> tuple[float, float, float]:
    return (-round(o.area, 12), o.bounds[0], o.bounds[1])


def _raw(outline: Outline, d: float, corners: Corners) -> tuple[list[Segment], list[Kite]]:
    """The moved segments with their joins, in order, and the corners drawn out to a point."""
    parts = outline.segments()
    moved = [shifted(s, d) for s in parts]
    pieces: list[Segment] = []
    kites: list[Kite] = []
    lead: Point | None = None  # where the next line starts earlier, at a drawn-out corner
    n = len(parts)
    first_tip = None
    for i in range(n):
        before = (i - 1) % n
        join = _join(parts[before], parts[i], moved[before], moved[i], d, corners)
        if isinstance(join, tuple):
            a, b = moved[before], moved[i]
            if a is not None and b is not None:  # lines always are
                kites.append((parts[i].start, a.end, join, b.start))
            lead = join
            if i == 0:
                first_tip = join
            else:
                last = pieces.pop()
                pieces.append(Line(*last.start, *join))
        elif join is not None:
            pieces.append(join)
        s = moved[i]
        if s is not None:
            pieces.append(s if lead is None else Line(*lead, *s.end))
        lead = None
    if first_tip is not None:
        pieces[-1] = Line(*pieces[-1].start, *first_tip)
    return pieces, kites


def _join(
    before: Segment, after: Segment, a: Segment | None, b: Segment | None, d: float, corners: Corners
) -> Arc | Point | None:
    turn = turn_at(before, after)
    opens = turn > SMOOTH_TURN if d > 0.0 else turn < -SMOOTH_TURN
    if not opens:
        return None
    centre = after.start
    half = 0.5 * abs(turn)
    lines = isinstance(a, Line) and isinstance(b, Line)
    if corners == "mitre" and lines and MITRE_LIMIT * math.cos(half) >= 1.0:
        ux, uy = before.tangent(1.0)
        run = d * math.tan(0.5 * turn)
        return (centre[0] + d * uy + run * ux, centre[1] - d * ux + run * uy)
    (ax, ay), (bx, by) = before.tangent(1.0), after.tangent(0.0)
    start = (centre[0] + d * ay, centre[1] - d * ax)
    end = (centre[0] + d * by, centre[1] - d * bx)
    if math.hypot(start[0] - end[0], start[1] - end[1]) <= TINY:
        return None
    return arc_about(centre, start, end, 1.0 if d > 0.0 else -1.0)


def _chain_of(pieces: list[Segment]) -> Outline:
    return Outline(
        tuple(Vertex(s.x0, s.y0, s.bulge) for s in pieces if math.hypot(s.x1 - s.x0, s.y1 - s.y0) > TINY)
    )


def _boundary_parts(outline: Outline, d: float, pieces: list[Segment], kites: list[Kite]) -> list[Segment]:
    """The parts of the raw pieces that belong to the offset boundary."""
    pieces = [p for p in pieces if p.length > SHORTEST_PIECE]
    boxes = [p.box() for p in pieces]
    cuts: list[list[float]] = [[0.0, 1.0] for _ in pieces]
    n = len(pieces)
    order = sorted(range(n), key=lambda k: boxes[k][0])
    for rank, i in enumerate(order):
        x1, y0, y1 = (
            boxes[i][2] + OFFSET_ROUNDING,
            boxes[i][1] - OFFSET_ROUNDING,
            boxes[i][3] + OFFSET_ROUNDING,
        )
        for j in order[rank + 1 :]:
            if boxes[j][0] > x1:
                break
            if boxes[j][1] > y1 or boxes[j][3] < y0:
                continue
            for x, y in crossings(pieces[i], pieces[j], OFFSET_ROUNDING):
                cuts[i].append(pieces[i].fraction(x, y))
                cuts[j].append(pieces[j].fraction(x, y))
    kept: list[Segment] = []
    for piece, marks in zip(pieces, cuts, strict=True):
        least = SHORTEST_PIECE / piece.length
        marks.sort()
        clean = [0.0]
        for t in marks:
            if t - clean[-1] > least and t < 1.0 - least:
                clean.append(t)
        clean.append(1.0)
        for t0, t1 in itertools.pairwise(clean):
            if all(_is_boundary(outline, d, kites, piece.at(t0 + f * (t1 - t0))) for f in (0.5, 0.15)):
                kept.append(piece if t0 == 0.0 and t1 == 1.0 else piece.part(t0, t1))
    return kept


def _is_boundary(outline: Outline, d: float, kites: list[Kite], p: Point) -> bool:
    if outline.reach(*p)[0] < d - OFFSET_ROUNDING:
        return False
    return not any(_inside_kite(kite, p) for kite in kites)


def _inside_kite(kite: Kite, p: Point) -> bool:
    """Whether p lies strictly inside the kite (its corners in order, either sense)."""
    sides = []
    for (ax, ay), (bx, by) in zip(kite, kite[1:] + kite[:1], strict=True):
        size = math.hypot(bx - ax, by - ay)
        sides.append(((bx - ax) * (p[1] - ay) - (by - ay) * (p[0] - ax)) / size)
    return min(sides) > OFFSET_ROUNDING or max(sides) < -OFFSET_ROUNDING
