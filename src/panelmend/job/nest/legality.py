"""An independent check of a nest: is it what a technician may cut?

Nothing here knows how a layout was found. Every copy lies once, in an allowed turn, not turned over unless
the cloth has no face, inside the kept edges, its gap to every other piece kept, and the lengths told are
true.
"""

from __future__ import annotations

import math
from collections import Counter

import numpy as np

from panelmend.derive.memory import remembered
from panelmend.job.nest.bound import DISTANCE_SHORT_BY
from panelmend.job.nest.geometry import Points, separation
from panelmend.job.nest.part import Layout, Nest, NestProblem, Piece, Placement, Strip
from panelmend.job.nest.placements import placed_boundary
from panelmend.units import show

TURN_TOLERANCE = 1e-9
"""How far a turn may be off an allowed one [rad]."""


def _long(value: float, view: str) -> str:
    return show(value, "length", view, decimals=3 if view == "mm" else 4)


@remembered
def faults(problem: NestProblem, nest: Nest, view: str = "mm") -> tuple[str, ...]:
    """Everything that is wrong with a nest of this problem.

    Args:
        problem: the pieces and strips it should be of.
        nest: the layouts and what was left over.
        view: the reader's units.

    Returns:
        One sentence for each fault; empty when the nest may be cut.
    """
    found = list(_copy_counts(problem, nest))
    strips = {s.id: s for s in problem.strips}
    seen: set[str] = set()
    for layout in nest.layouts:
        name = layout.strip.id
        if name in seen:
            found.append(f"strip {name} is laid out twice")
        seen.add(name)
        if strips.get(name) != layout.strip:
            found.append(f"strip {name} is not one of the strips of cloth {problem.cloth}, or was changed")
            continue
        found += _layout_faults(problem, layout, view)
    return tuple(found)


def _copy_counts(problem: NestProblem, nest: Nest) -> list[str]:
    found = []
    laid = Counter((p.piece, p.copy) for layout in nest.layouts for p in layout.placements)
    left = {u.piece: u.copies for u in nest.unplaced}
    for (name, copy), times in sorted(laid.items()):
        piece = problem.piece(name)
        if piece is None:
            found.append(f"piece {name} is not one of the pieces of cloth {problem.cloth}")
        elif not 1 <= copy <= piece.quantity:
            found.append(f"piece {name} has no copy {copy}: {piece.quantity} to cut")
        if times > 1:
            found.append(f"piece {name} copy {copy} lies {times} times")
    for piece in problem.pieces:
        placed = sum(1 for name, _ in laid if name == piece.id)
        if placed + left.get(piece.id, 0) != piece.quantity:
            found.append(f"piece {piece.id}: {piece.quantity} to cut, {placed} lie on the cloth")
    return found


def _layout_faults(problem: NestProblem, layout: Layout, view: str) -> list[str]:
    found: list[str] = []
    shapes: list[tuple[Placement, Points]] = []
    for at in layout.placements:
        piece = problem.piece(at.piece)
        if piece is None:
            continue
        if not all(math.isfinite(v) for v in (at.x, at.y, at.turn)):
            found.append(f"{_name(at)}: its place is not a number")
            continue
        found += _turn_faults(piece, at)
        if at.strip != layout.strip.id:
            found.append(f"{_name(at)}: says strip {at.strip}, lies on {layout.strip.id}")
        shape = placed_boundary(piece, at)
        found += _edge_faults(layout.strip, at, shape, view)
        shapes.append((at, shape))
    found += _gap_faults(layout.strip, shapes, view)
    found += _length_faults(problem, layout, shapes, view)
    return found


def _name(at: Placement) -> str:
    return f"piece {at.piece} copy {at.copy}"


def _turn_faults(piece: Piece, at: Placement) -> list[str]:
    if at.mirrored and not piece.mirror:
        return [f"{_name(at)} is turned over, but its cloth has a face"]
    off = [abs(math.remainder(at.turn - turn, 2.0 * math.pi)) for turn in piece.turns(at.mirrored)]
    if min(off) <= TURN_TOLERANCE:
        return []
    return [f"{_name(at)}: its warp lies {math.degrees(min(off)):.4f} degrees off an allowed direction"]


def _edge_faults(strip: Strip, at: Placement, shape: Points, view: str) -> list[str]:
    (x0, y0), (x1, y1) = shape.min(axis=0), shape.max(axis=0)
    over = {
        "the right-hand edge": strip.edge - y0,
        "the left-hand edge": y1 - (strip.width - strip.edge),
        "the start": strip.edge - x0,
        "the end": x1 + strip.edge - (math.inf if strip.length is None else strip.length),
    }
    return [
        f"{_name(at)} runs {_long(float(by), view)} into the kept edge at {side} of strip {strip.id}"
        for side, by in over.items()
        if by > DISTANCE_SHORT_BY
    ]


def _gap_faults(strip: Strip, shapes: list[tuple[Placement, Points]], view: str) -> list[str]:
    found = []
    boxes = [(s.min(axis=0), s.max(axis=0)) for _, s in shapes]
    for i, (a, shape_a) in enumerate(shapes):
        for j in range(i):
            b, shape_b = shapes[j]
            clear = np.maximum(boxes[i][0] - boxes[j][1], boxes[j][0] - boxes[i][1])
            if clear.max() >= strip.gap:
                continue
            distance, _ = separation(shape_a, shape_b)
            if distance < 0.0 and -distance > DISTANCE_SHORT_BY:
                found.append(f"{_name(b)} and {_name(a)} overlap by {_long(-distance, view)}")
            elif max(distance, 0.0) < strip.gap - DISTANCE_SHORT_BY:
                apart = f"{_long(max(distance, 0.0), view)} apart, the gap is {_long(strip.gap, view)}"
                found.append(f"{_name(b)} and {_name(a)} lie {apart}")
    return found


def _length_faults(
    problem: NestProblem, layout: Layout, shapes: list[tuple[Placement, Points]], view: str
) -> list[str]:
    if not shapes:
        return [f"strip {layout.strip.id} is laid out without any piece"]
    used = max(float(s[:, 0].max()) for _, s in shapes) + layout.strip.edge
    found, length = [], _long(used, view)
    if not abs(layout.used_length - used) <= DISTANCE_SHORT_BY:
        found.append(
            f"strip {layout.strip.id}: told {_long(layout.used_length, view)} of used length, it is {length}"
        )
    area = sum(piece.area() for at, _ in shapes if (piece := problem.piece(at.piece)) is not None)
    density = area / (layout.strip.width * used)
    if not abs(layout.density - density) <= 1e-6:
        found.append(f"strip {layout.strip.id}: told density {layout.density:.4f}, measured {density:.4f}")
    if not layout.bound <= used + DISTANCE_SHORT_BY:
        bound = _long(layout.bound, view)
        found.append(f"strip {layout.strip.id}: told bound {bound} is above {length} used")
    return found
