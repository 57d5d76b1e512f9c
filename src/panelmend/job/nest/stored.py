"""A nest as plain data, and back: what is kept beside the document so that a pack can be made again."""

from __future__ import annotations

import math
from typing import Any

from panelmend.errors import ReadingError
from panelmend.job.nest.part import Nest, NestProblem, Placement
from panelmend.job.nest.placements import layout_measured
from panelmend.job.nest.shelf import copies_of, unplaced

PLACE_DECIMALS = 9
"""Decimals of a metre that are kept: a nanometre, far below what the check lets pass."""


def rounded(placement: Placement) -> Placement:
    """The placement as it will be read back: x and y to a nanometre."""
    return Placement(
        placement.piece,
        placement.copy,
        placement.strip,
        round(placement.x, PLACE_DECIMALS) + 0.0,
        round(placement.y, PLACE_DECIMALS) + 0.0,
        placement.turn,
        placement.mirrored,
    )


def nest_data(problem: NestProblem, nest: Nest) -> dict[str, Any]:
    """A nest as JSON data. Turns are kept as words, not as numbers: along the warp, or half a turn from it.

    Args:
        problem: what it is a nest of.
        nest: the nest.

    Returns:
        Cloth and, for each strip, its placements; x and y [m].
    """
    strips = []
    for layout in nest.layouts:
        rows = []
        for at in map(rounded, layout.placements):
            piece = problem.piece(at.piece)
            base = 0.0 if piece is None else piece.turns(at.mirrored)[0]
            half = abs(math.remainder(at.turn - base, 2.0 * math.pi)) > 1.0
            row = {"piece": at.piece, "copy": at.copy, "x": at.x, "y": at.y}
            rows.append(row | {"half_turn": half, "turned_over": at.mirrored})
        strips.append({"strip": layout.strip.id, "pieces": rows})
    return {"cloth": problem.cloth, "strips": strips}


def nest_from(problem: NestProblem, data: Any) -> Nest:
    """Read a nest of this problem; whether it is legal is for :mod:`panelmend.job.nest.legality` to say.

    Args:
        problem: what it should be a nest of.
        data: what :func:`nest_data` made.

    Returns:
        The nest, measured anew; copies that do not lie anywhere stand in ``unplaced``.

    Raises:
        ReadingError: the data names what the problem does not have, or is no nest at all.
    """
    strips = {s.id: s for s in problem.strips}
    layouts, laid = [], set()
    try:
        for entry in data["strips"]:
            strip = strips[entry["strip"]]
            placed = tuple(_placement(problem, strip.id, row) for row in entry["pieces"])
            if not placed:
                raise ValueError(f"strip {strip.id} is empty")
            laid |= {(p.piece, p.copy) for p in placed}
            layouts.append(layout_measured(strip, placed, problem.pieces))
    except (LookupError, TypeError, ValueError, AttributeError) as error:
        raise ReadingError(
            f"the stored layout of cloth {problem.cloth} cannot be read ({error})",
            todo="search again; the shelf layout is used until then",
        ) from error
    left = [c for c in copies_of(problem) if (c.piece.id, c.number) not in laid]
    return Nest(tuple(layouts), unplaced(problem, left))


def _placement(problem: NestProblem, strip: str, row: Any) -> Placement:
    piece = problem.piece(row["piece"])
    half, over = row["half_turn"], row["turned_over"]
    if piece is None or not isinstance(half, bool) or not isinstance(over, bool):
        raise ValueError(f"no such piece or no yes or no: {row}")
    x, y, copy = row["x"], row["y"], row["copy"]
    if isinstance(copy, bool) or not isinstance(copy, int):
        raise ValueError(f"copy {copy!r} is no number")
    if not (math.isfinite(x) and math.isfinite(y)):
        raise ValueError(f"piece {piece.id} lies nowhere")
    turn = piece.turns(over)[0] + (math.pi if half else 0.0)
    return Placement(piece.id, copy, strip, float(x), float(y), turn, over)
