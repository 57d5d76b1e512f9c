"""Push a legal layout together along the roll: linear programmes in double precision, on the full outlines.

Every piece is cut into convex parts. Two convex parts that lie a distance apart across a straight line stay
that far apart however they move, so long as they do not move towards each other across it. With one such
line for each pair of parts, the shortest layout is a linear programme over the pieces' moves; no step is too
long for it. Then better lines are drawn and it is solved again, until nothing is gained.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from panelmend.job.nest.geometry import Points, is_convex, separation
from panelmend.job.nest.part import Piece, Placement, Strip
from panelmend.job.nest.placements import placed_boundary
from panelmend.long_work import Stop

LEAST_GAIN = 1e-5
"""A round that gains less is the last [m]."""

_MILLI = 1e3  # solved in millimetres, so that the tolerance of 1e-7 is far below a micrometre
_FAR = 0.1  # of the width: pieces whose boxes lie farther apart are kept apart by one line between the boxes
_ROUNDS = 40


def compacted(
    strip: Strip,
    placements: tuple[Placement, ...],
    pieces: dict[str, Piece],
    seconds: float,
    cancel: Stop | None = None,
) -> tuple[Placement, ...]:
    """The same pieces in the same turns, pushed towards the start of the strip.

    Args:
        strip: the strip; its length is not looked at.
        placements: a layout that keeps its gaps and edges.
        pieces: pieces by name.
        seconds: processor time after which no new round begins [s].
        cancel: no new round begins when set.

    Returns:
        Placements with the same or less length; where no programme could be solved, those given.
    """
    began = time.thread_time()
    try:
        at = [_Parts.of(pieces[p.piece], p) for p in placements]
    except NoPartsError:
        return placements
    moved = np.zeros((len(at), 2))
    for _ in range(_ROUNDS):
        if cancel is not None and cancel.is_set():
            break
        step = _round(strip, at)
        if step is None:
            break
        before = max(float(p.high[0]) for p in at)
        at = [p.moved(d) for p, d in zip(at, step, strict=True)]
        moved += step
        gain = before - max(float(p.high[0]) for p in at)
        if gain < LEAST_GAIN or time.thread_time() - began > seconds:
            break
    return tuple(
        replace(p, x=p.x + float(d[0]), y=p.y + float(d[1])) for p, d in zip(placements, moved, strict=True)
    )


class NoPartsError(Exception):
    """A polygon could not be cut into convex parts."""


@dataclass(frozen=True)
class _Parts:
    """A placed piece as convex parts, and its box."""

    parts: tuple[Points, ...]
    low: Points
    high: Points

    @classmethod
    def of(cls, piece: Piece, at: Placement) -> _Parts:
        whole = placed_boundary(piece, at)
        return cls(convex_parts(whole), whole.min(axis=0), whole.max(axis=0))

    def moved(self, step: Points) -> _Parts:
        return _Parts(tuple(p + step for p in self.parts), self.low + step, self.high + step)


def convex_parts(points: Points) -> tuple[Points, ...]:
    """A simple polygon cut into convex ones: ears are cut off, then joined while they stay convex.

    Args:
        points: counter-clockwise boundary (n, 2) [m].

    Returns:
        Counter-clockwise convex polygons that cover it together, each (m, 2) [m].
    """
    if is_convex(points):
        return (points,)
    parts = _ears(points)
    joined = True
    while joined:
        joined = False
        for i in range(len(parts)):
            for j in range(i):
                made = _joined(points, parts[j], parts[i])
                if made is not None:
                    parts[j] = made
                    del parts[i]
                    joined = True
                    break
            if joined:
                break
    return tuple(points[list(p)] for p in parts)


def _ears(points: Points) -> list[tuple[int, ...]]:
    left = list(range(len(points)))
    made: list[tuple[int, ...]] = []
    while len(left) > 3:
        for k in range(len(left)):
            ear = (left[k - 1], left[k], left[(k + 1) % len(left)])
            a, b, c = points[list(ear)]
            if _side(a, b, c) <= 0.0:
                continue
            others = points[[i for i in left if i not in ear]]
            held = (_side(a, b, others) >= 0) & (_side(b, c, others) >= 0) & (_side(c, a, others) >= 0)
            if not held.any():
                break
        else:
            raise NoPartsError
        made.append(ear)
        del left[k]
    return [*made, tuple(left)]


def _side(a: Points, b: Points, c: Points) -> NDArray[np.float64]:
    return np.asarray((b[0] - a[0]) * (c[..., 1] - a[1]) - (b[1] - a[1]) * (c[..., 0] - a[0]))


def _joined(points: Points, a: tuple[int, ...], b: tuple[int, ...]) -> tuple[int, ...] | None:
    """Two polygons that share a side as one, where that is convex."""
    for k in range(len(a)):
        p, q = a[k], a[(k + 1) % len(a)]
        if p in b and b[(b.index(p) - 1) % len(b)] == q:
            m = b.index(p)
            round_b = [b[(m + 1 + i) % len(b)] for i in range(len(b) - 2)]
            whole = (*a[: k + 1], *round_b, *a[k + 1 :])
            return whole if is_convex(points[list(whole)]) else None
    return None


def _round(strip: Strip, at: Sequence[_Parts]) -> Points | None:
    """The moves (n, 2) [m] of one programme, or None where it could not be solved."""
    from scipy.optimize import linprog  # late: only a search needs it
    from scipy.sparse import csr_array

    n = len(at)
    low, high = np.array([p.low for p in at]), np.array([p.high for p in at])
    ways, rooms, firsts, seconds = _lines(strip, at, low, high)
    rows = np.arange(len(rooms))
    # way . (step of second - step of first) >= -room; and the end of each piece before the end of all
    i = np.concatenate((rows, rows, rows, rows, len(rows) + np.arange(n), len(rows) + np.arange(n)))
    j = np.concatenate(
        (2 * firsts, 2 * firsts + 1, 2 * seconds, 2 * seconds + 1, 2 * np.arange(n), np.full(n, 2 * n))
    )
    v = np.concatenate((ways[:, 0], ways[:, 1], -ways[:, 0], -ways[:, 1], np.ones(n), -np.ones(n)))
    limits = np.concatenate((rooms, -high[:, 0])) * _MILLI
    start, top = strip.edge, strip.width - strip.edge
    bounds = []
    for a, b in zip(low, high, strict=True):
        bounds += [(min(0.0, start - a[0]) * _MILLI, None)]
        bounds += [(min(0.0, start - a[1]) * _MILLI, max(0.0, top - b[1]) * _MILLI)]
    cost = np.zeros(2 * n + 1)
    cost[-1] = 1.0
    cost[:-1:2] = 1e-5  # pieces that do not reach the end go towards the start
    table = csr_array((v, (i, j)), shape=(len(limits), 2 * n + 1))
    found = linprog(cost, table, limits, bounds=[*bounds, (None, None)], method="highs")
    if found.x is None or not found.success:
        return None
    return np.asarray(found.x[:-1].reshape(n, 2) / _MILLI)


def _lines(
    strip: Strip, at: Sequence[_Parts], low: Points, high: Points
) -> tuple[Points, Points, NDArray[np.int64], NDArray[np.int64]]:
    """Across each line: its direction, the room beyond the gap, and the two pieces it keeps apart."""
    ways, rooms, firsts, seconds = [], [], [], []
    far = _FAR * strip.usable_width
    for i in range(len(at)):
        for j in range(i):
            clear = np.array([low[i] - high[j], low[j] - high[i]])
            side, axis = divmod(int(np.argmax(clear)), 2)
            if clear[side, axis] > strip.gap + far:
                way = np.zeros(2)
                way[axis] = 1.0 - 2.0 * side
                lines = [(way, float(clear[side, axis]))]
            else:
                lines = [_line(a, b, strip.gap) for a in at[j].parts for b in at[i].parts]
            for way, room in lines:
                ways.append(way)
                rooms.append(max(0.0, room - strip.gap))
                firsts.append(j)
                seconds.append(i)
    count = len(rooms)
    return (
        np.array(ways).reshape(count, 2),
        np.array(rooms),
        np.array(firsts, dtype=np.int64),
        np.array(seconds, dtype=np.int64),
    )


def _line(a: Points, b: Points, gap: float) -> tuple[Points, float]:
    """The direction from a to b across which two convex parts lie farthest apart, and how far [m]."""
    edges = np.concatenate((np.roll(a, -1, axis=0) - a, b - np.roll(b, -1, axis=0)))
    ways = np.column_stack((edges[:, 1], -edges[:, 0])) / np.hypot(edges[:, 0], edges[:, 1])[:, None]
    rooms = (b @ ways.T).min(axis=0) - (a @ ways.T).max(axis=0)
    best = int(np.argmax(rooms))
    if rooms[best] >= gap or gap == 0.0:
        return ways[best], float(rooms[best])
    distance, step = separation(a, b)  # corner to corner they lie farther apart than across any side
    length = float(np.hypot(*step))
    if distance <= rooms[best] or length == 0.0:
        return ways[best], float(rooms[best])
    return step / length, distance
