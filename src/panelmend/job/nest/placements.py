"""From placements to a measured layout."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from panelmend.job.nest.bound import length_bound
from panelmend.job.nest.geometry import Points, turned_boundary
from panelmend.job.nest.part import Layout, Piece, Placement, Strip


def placed_boundary(piece: Piece, at: Placement) -> Points:
    """The boundary of a placed piece.

    Args:
        piece: the piece.
        at: where it lies.

    Returns:
        Counter-clockwise points in strip axes (n, 2) [m].
    """
    made: Points = turned_boundary(piece.boundary, at.turn, at.mirrored) + np.array([at.x, at.y])
    return made


def furthest_end(pieces: dict[str, Piece], placements: Iterable[Placement]) -> float:
    """The far end of the placed pieces along the strip.

    Args:
        pieces: pieces by name.
        placements: where they lie.

    Returns:
        Greatest x [m]; 0 when nothing is placed.
    """
    return max((float(placed_boundary(pieces[p.piece], p)[:, 0].max()) for p in placements), default=0.0)


def layout_measured(strip: Strip, placements: tuple[Placement, ...], pieces: tuple[Piece, ...]) -> Layout:
    """A layout with its used length, density and bound.

    Args:
        strip: the strip it is cut from.
        placements: where each copy lies, at least one.
        pieces: the pieces they name.

    Returns:
        The layout, placements in order along the strip.
    """
    by_name = {p.id: p for p in pieces}
    used = furthest_end(by_name, placements) + strip.edge
    area = sum(by_name[p.piece].area() for p in placements)
    on_it = tuple(by_name[p.piece] for p in placements)
    ordered = tuple(sorted(placements, key=lambda p: (p.x, p.y, p.piece, p.copy)))
    return Layout(strip, ordered, used, area / (strip.width * used), length_bound(strip, on_it))
