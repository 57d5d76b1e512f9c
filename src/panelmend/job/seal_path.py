"""Where the sealing tape of a bag cannot lie as drawn: past the panel's edge, over fasteners or inserts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from panelmend.document.panel import Side
from panelmend.job.bag.part import BagOperation
from panelmend.job.case import Case
from panelmend.job.curvature import outline_on, point_on
from panelmend.job.defaults import SEALING_TAPE
from panelmend.shapes import Outline, distance_to_point, least_overlap


@dataclass(frozen=True)
class SealPath:
    """The tape on one side: how far it reaches past the panel's edge [m], 0 where it lies on it, and which
    fasteners and inserts it crosses."""

    side: Side
    past: float
    crossed: tuple[str, ...]


def seal_paths(case: Case, bag: BagOperation) -> Iterator[SealPath]:
    """The tape of every bag of an operation that lies on the panel, this side's first."""
    if not (bag.bagged and bag.on_panel):
        return
    yield _path(case, bag.side, bag.seal_line)
    if bag.behind is not None and bag.behind.bagged:
        yield _path(case, bag.behind.side, bag.behind.seal_line)


def _path(case: Case, side: Side, seal: Outline) -> SealPath:
    room = least_overlap(seal, outline_on(case, case.geometry.outline, "outside", side))[0]
    crossed = []
    for spot in case.geometry.spots:
        at = point_on(case, spot.at, "outside", side)
        gap = abs(distance_to_point(seal, at)) - spot.diameter / 2
        if gap < (0.0 if seal.contains(at) else SEALING_TAPE) - 1e-9:
            crossed.append(f"{spot.kind} {spot.id}")
    past = SEALING_TAPE - room
    return SealPath(side, past if past > 1e-9 else 0.0, tuple(crossed))
