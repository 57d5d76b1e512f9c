"""A length no layout can go below, whatever finds it.

Four arguments, each true of every layout; the greatest counts:

* longest: every piece is at least as long as its own box;
* area: pieces grown by half the gap are apart and lie in the strip grown by half the gap. A convex piece of
  area A and perimeter P grown by r covers A + P r + pi r^2 (Steiner); any piece covers at least (sqrt A +
  sqrt(pi) r)^2 (Brunn-Minkowski);
* middle line: a piece more than half the width across always crosses the strip's middle line, so the chords
  it can have there stand one after the other with gaps between;
* slices: on a cut across the strip the chords and their gaps add up to no more than the width. This stays
  true of dual feasible functions of them, which count what cannot stand beside each other in full (Lueker
  1983 and Fekete and Schepers 2001, from memory); the sum along the strip is a length.

The layout check lets distances be short by :data:`DISTANCE_SHORT_BY`; the bound grants the same, so that no
layout that passes the check can undercut it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from panelmend.job.nest.geometry import Points, is_convex, perimeter, signed_area
from panelmend.job.nest.part import NestProblem, Piece, Strip

DISTANCE_SHORT_BY = 1e-6
"""How far a distance may be short before a layout is refused [m]."""

_SLACK = 1e-9
_STEPS = 32
Values = NDArray[np.float64]
Chord = tuple[float, float, float, float]  # from y0 to y1 the chord length goes straight from l0 to l1


def length_bound(strip: Strip, pieces: Sequence[Piece]) -> float:
    """Used length that no layout of these pieces on this strip can go below.

    Args:
        strip: the strip; its length is not looked at.
        pieces: one entry for each copy.

    Returns:
        Length, kept ends included [m].
    """
    return _length_bound(strip, tuple(pieces))


@lru_cache(maxsize=256)
def _length_bound(strip: Strip, pieces: tuple[Piece, ...]) -> float:
    if not pieces:
        return 0.0
    width, gap = strip.usable_width + 2.0 * DISTANCE_SHORT_BY, strip.gap - DISTANCE_SHORT_BY
    lying = [(p, p.lying()) for p in pieces]
    shapes = [points for _, points in lying]
    bounds = (
        max(float(s[:, 0].max()) for s in shapes),
        sum(grown_area(s, gap) for s in shapes) / (width + gap) - gap,
        _middle_bound(shapes, width, gap),
        _slice_bound(shapes, width, gap),
    )
    return max(0.0, max(bounds) - 2.0 * DISTANCE_SHORT_BY) + 2.0 * strip.edge


def roll_bound(problem: NestProblem) -> float:
    """Roll that no nest of this cloth can save: remnants may take all they could ever hold.

    Args:
        problem: pieces and strips.

    Returns:
        Length cut from rolls [m]; 0 when the remnants might take everything or there is no roll.
    """
    rolls = [s for s in problem.strips if not s.remnant]
    remnants = [s for s in problem.strips if s.remnant]
    if not rolls:
        return 0.0
    gap, edge = min(s.gap for s in problem.strips), min(s.edge for s in rolls)
    inner = max(s.usable_width for s in rolls)
    widest = Strip("widest", inner + 2.0 * edge, None, edge, gap)
    copies = [p for p in problem.pieces for _ in range(p.quantity)]
    only_roll = [p for p in copies if not any(fits_strip(p, s) for s in remnants)]
    apart = (len(rolls) - 1) * max(0.0, gap - 2.0 * edge)
    grown = sum(grown_area(p.lying(), gap - DISTANCE_SHORT_BY) for p in copies)
    held = sum((s.usable_width + gap) * (s.usable_length + gap) for s in remnants)
    area = (grown - held) / (inner + gap) - gap - 4.0 * DISTANCE_SHORT_BY
    best = max(length_bound(widest, only_roll), area + 2.0 * edge if area > 0.0 else 0.0)
    return max(0.0, best - apart)


def fits_strip(piece: Piece, strip: Strip) -> bool:
    """Whether the piece's box goes on the strip at all (alone, in its allowed turns)."""
    along, across = piece.extents()
    return across <= strip.usable_width + _SLACK and along <= strip.usable_length + _SLACK


def grown_area(points: Points, gap: float) -> float:
    """Least area of the piece grown by half the gap.

    Args:
        points: boundary (n, 2) [m].
        gap: distance between pieces; a negative one shrinks [m].

    Returns:
        Area [m2].
    """
    area, r = signed_area(points), gap / 2.0
    if r <= 0.0:
        return max(0.0, area + perimeter(points) * r)
    if is_convex(points):
        return area + perimeter(points) * r + math.pi * r * r
    return (math.sqrt(area) + math.sqrt(math.pi) * r) ** 2


def _chords(points: Points) -> list[Chord]:
    """Total chord length along x as a function of y: straight between the heights of the vertices."""
    levels = np.unique(points[:, 1])
    low, high = levels[:-1], levels[1:]
    apart = high - low > 1e-12
    low, high = low[apart], high[apart]
    ends = [_spans(points, low + f * (high - low)) for f in (0.25, 0.75)]
    made = []
    for y0, y1, one, two in zip(low.tolist(), high.tolist(), *ends, strict=True):
        made.append((y0, y1, 1.5 * one - 0.5 * two, 1.5 * two - 0.5 * one))
    return made


def _spans(points: Points, heights: Values) -> list[float]:
    """Length inside the piece along the horizontal line at each height [m] (chord_ends, all at once)."""
    a, b, y = points, np.roll(points, -1, axis=0), heights[:, None]
    hit = (a[:, 1] > y) != (b[:, 1] > y)
    row, edge = np.nonzero(hit)
    a, b = a[edge], b[edge]
    at = a[:, 0] + (heights[row] - a[:, 1]) * (b[:, 0] - a[:, 0]) / (b[:, 1] - a[:, 1])
    found, start, all_ends = [], 0, at.tolist()
    for stop in np.cumsum(hit.sum(axis=1)).tolist():
        places = sorted(all_ends[start:stop])
        found.append(sum(places[1::2]) - sum(places[0::2]))
        start = stop
    return found


def _least_chord(chords: list[Chord], low: float, high: float) -> float:
    """Least chord between two heights [m]."""
    least = math.inf
    for y0, y1, l0, l1 in chords:
        a, b = max(y0, low), min(y1, high)
        if a <= b:
            least = min(least, *(l0 + (l1 - l0) * (y - y0) / (y1 - y0) for y in (a, b)))
    return max(0.0, least) if math.isfinite(least) else 0.0


def _middle_bound(shapes: list[Points], width: float, gap: float) -> float:
    total, count = 0.0, 0
    for points in shapes:
        height = float(points[:, 1].max())
        if height > width / 2.0 + _SLACK:
            total += _least_chord(_chords(points), height - width / 2.0 - _SLACK, width / 2.0 + _SLACK)
            count += 1
    return total + max(0, count - 1) * gap


def _slice_bound(shapes: list[Points], width: float, gap: float) -> float:
    """The best of the dual feasible functions over cuts across the strip."""
    sizes, steps = [], []
    for points in shapes:
        for x0, x1, l0, l1 in _chords(points[:, ::-1]):
            at = np.linspace(l0, l1, _STEPS + 1)
            sizes.append((np.minimum(at[:-1], at[1:]) + gap) / (width + gap))
            steps.append(np.full(_STEPS, (x1 - x0) / _STEPS))
    size, step = np.clip(np.concatenate(sizes), 0.0, 1.0), np.concatenate(steps)

    def total(function: Callable[[Values], Values]) -> float:
        return float(np.sum(function(size) * step))

    best = 0.0
    for cut in np.linspace(0.0, 0.5, 26):

        def rounded(s: Values, cut: float = float(cut)) -> Values:
            return np.where(s > 1.0 - cut + _SLACK, 1.0, np.where(s < cut + _SLACK, 0.0, s))

        best = max(best, total(rounded))
    for k in range(1, 8):

        def stepped(s: Values, k: int = k) -> Values:
            return np.maximum(0.0, np.floor((k + 1) * s - _SLACK)) / k

        best = max(best, total(stepped))
    return best
