"""Corner trims: sharp corners of plies cut off square to their bisector."""

from __future__ import annotations

import math

from panelmend.errors import ShapeError
from panelmend.shapes.clearance import boundary_distance, least_overlap
from panelmend.shapes.outline import Outline, Vertex, turn_at
from panelmend.shapes.segments import TINY, Line, Point
from panelmend.units import show

LEAST_TURN = math.radians(50.0)  # a trimmed right angle leaves turns of 45 degrees: those are not sharp


def sharp_corners(outline: Outline) -> tuple[int, ...]:
    """The vertices (by number) where two lines meet and turn left by ``LEAST_TURN`` [rad] or more."""
    parts = outline.parts
    return tuple(
        i
        for i in range(len(parts))
        if isinstance(parts[i - 1], Line)
        and isinstance(parts[i], Line)
        and turn_at(parts[i - 1], parts[i]) >= LEAST_TURN
    )


def _half_sine(outline: Outline, i: int) -> float:
    """sin of half the inside angle at a vertex [1]."""
    return math.cos(0.5 * turn_at(outline.parts[i - 1], outline.parts[i]))


def longest_trim(outline: Outline) -> float:
    """The trim edge [m] at which two trims first meet; infinite without corners sharper than ``LEAST_TURN``
    [rad]."""
    legs = {i: 0.5 / _half_sine(outline, i) for i in sharp_corners(outline)}  # leg per unit edge
    n = len(outline.parts)
    best = math.inf
    for i, s in enumerate(outline.parts):
        use = legs.get(i, 0.0) + legs.get((i + 1) % n, 0.0)
        if use > 0.0:
            best = min(best, s.length / use)
    return best


def trim_corners(outline: Outline, length: float) -> Outline:
    """The outline with every sharp corner cut off by an edge of ``length`` square to the corner's bisector.

    At a right angle that is a cut at 45 degrees that takes length / sqrt(2) off both sides. Sharp is a
    corner of two lines that turns left by ``LEAST_TURN`` or more; others stay as they are.

    Args:
        outline: the shape.
        length: of the trim edge, 0 for none [m].

    Raises:
        ShapeError: a negative length, or trims so long that two of them meet.
    """
    if not math.isfinite(length) or length < 0.0:
        raise ShapeError("a corner trim below zero", read=str(length), expected="0 or more")
    if length <= TINY:
        return outline
    most = longest_trim(outline)
    if length >= most - 1e-7:
        raise ShapeError(
            "the corner trims meet",
            read=f"trim {show(length, 'length')}",
            expected=f"less than {show(most, 'length')} on this outline",
            todo="take a shorter trim",
        )
    sharp = set(sharp_corners(outline))
    rows: list[Vertex] = []
    for i, v in enumerate(outline.vertices):
        if i not in sharp:
            rows.append(v)
            continue
        p, q = trim_edge(outline, i, length)
        rows += [Vertex(*p), Vertex(*q)]
    return Outline(tuple(rows))


def trim_edge(outline: Outline, corner: int, length: float) -> tuple[Point, Point]:
    """Both ends [m] of the trim edge of ``length`` [m] at a sharp corner."""
    before, after = outline.parts[corner - 1], outline.parts[corner]
    leg = 0.5 * length / _half_sine(outline, corner)
    (ax, ay), (bx, by) = before.tangent(1.0), after.tangent(0.0)
    x, y = after.start
    return (x - leg * ax, y - leg * ay), (x + leg * bx, y + leg * by)


def trim_for_overlap(inner: Outline, outer: Outline, least: float, cap: float) -> float:
    """The longest trim of ``outer``'s corners that leaves at least ``least`` from ``inner`` to the boundary.

    Args:
        inner: the outline to be overlapped.
        outer: the untrimmed outline round it.
        least: overlap to keep everywhere [m].
        cap: longest trim allowed [m].

    Returns:
        The trim edge [m], at most ``cap`` and short of trims that meet; 0 where the untrimmed outline has
        less than ``least`` already, or has no sharp corner.
    """
    corners = sharp_corners(outer)
    if not corners or cap <= 0.0 or least_overlap(inner, outer)[0] < least - TINY:
        return 0.0
    high = min(cap, longest_trim(outer) * 0.999)

    def keeps(length: float) -> bool:
        trimmed = trim_corners(outer, length)
        return boundary_distance(inner, trimmed)[0] >= least - 1e-12 and trimmed.contains(first)

    first = inner.parts[0].start
    if keeps(high):
        return high
    low = 0.0
    while high - low > 1e-10:
        middle = 0.5 * (low + high)
        if keeps(middle):
            low = middle
        else:
            high = middle
    return low
