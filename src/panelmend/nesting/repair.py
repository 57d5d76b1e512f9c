"""Push a layout that is off by an engine's rounding back into what is allowed.

Engines work in single precision and in a strip a hair too wide. Pieces that lie a few hundredths of a
millimetre too close or over the edge are moved apart; anything worse is left as it is, for the check to
refuse.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from panelmend.job.nest.geometry import Points, separation
from panelmend.job.nest.part import Piece, Placement, Strip
from panelmend.job.nest.placements import placed_boundary

FARTHEST = 5e-4
"""A piece is moved no farther than this [m]."""
_AIM = 1e-7
_ROUNDS = 60


def repaired(
    strip: Strip, placements: tuple[Placement, ...], pieces: dict[str, Piece]
) -> tuple[Placement, ...]:
    """The same layout with small faults of distance moved out, and its start moved to the kept edge.

    Args:
        strip: the strip.
        placements: where the pieces lie.
        pieces: pieces by name.

    Returns:
        Placements moved by at most :data:`FARTHEST` beside the common shift; not necessarily legal.
    """
    shapes = [placed_boundary(pieces[p.piece], p) for p in placements]
    first = strip.edge - min(float(s[:, 0].min()) for s in shapes)
    shapes = [s + np.array([first, 0.0]) for s in shapes]
    moved = np.zeros((len(shapes), 2))
    for _ in range(_ROUNDS):
        push = _pushes(strip, shapes)
        if not push.any():
            break
        moved += push
        shapes = [s + d for s, d in zip(shapes, push, strict=True)]
        if np.abs(moved).max() > FARTHEST:
            return placements
    return tuple(
        replace(p, x=p.x + first + float(d[0]), y=p.y + float(d[1]))
        for p, d in zip(placements, moved, strict=True)
    )


def _pushes(strip: Strip, shapes: list[Points]) -> Points:
    push = np.zeros((len(shapes), 2))
    boxes = [(s.min(axis=0), s.max(axis=0)) for s in shapes]
    for i, (low, high) in enumerate(boxes):
        for j in range(i):
            clear = np.maximum(low - boxes[j][1], boxes[j][0] - high)
            if clear.max() >= strip.gap + _AIM:
                continue
            step = _move_apart(shapes[j], shapes[i], strip.gap)
            push[i] += step / 2.0
            push[j] -= step / 2.0
    for i, (low, high) in enumerate(boxes):
        over_low = strip.edge - (low[1] + push[i][1])
        over_high = high[1] + push[i][1] - (strip.width - strip.edge)
        if over_low > 0.0 or over_high > 0.0:
            push[i][1] += over_low if over_low > over_high else -over_high
        push[i][0] += max(0.0, strip.edge - (low[0] + push[i][0]))
    return push


def _move_apart(a: Points, b: Points, gap: float) -> Points:
    """How far b must move from a to lie the gap away: along the line between their nearest places."""
    distance, step = separation(a, b)
    if distance >= gap + min(gap, _AIM / 2.0):
        return np.zeros(2)
    length = float(np.hypot(*step))
    if length == 0.0:
        return np.zeros(2)
    made: Points = step / length * (gap - distance + _AIM)
    return made
