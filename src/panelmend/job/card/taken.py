"""What the cut takes out of the panel besides skin and core: inserts, fastener holes, solid areas, edge band.

The card has steps for skin and core; what else is cut away is put back by the approved data's own reference
(``data.put_back``), or stops the plan.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from panelmend.document.panel import Side
from panelmend.document.put_back import PutBack
from panelmend.job.case import Case, Point
from panelmend.job.curvature import outline_on, point_on
from panelmend.job.put_back import OTHER_SIDE, SPOTS, Kind, names, put_back_of
from panelmend.job.work import Work
from panelmend.shapes import Outline, clearance, distance_to_point, distance_to_segment, least_overlap

TOUCHING = 1e-3
"""[m] within which a hinge line counts as touching a cut-out."""


@dataclass(frozen=True)
class InCutout:
    """Something in the cut-out, in part or whole: the path of its field, and how the data puts it back, if it does."""

    kind: Kind
    id: str
    path: str
    back: PutBack | None

    @property
    def words(self) -> str:
        """What it is."""
        return f"{self.kind} {self.id}" if self.id else f"part of the {self.kind}"


def lying_in_cutout(case: Case, work: Work) -> list[InCutout]:
    """What lies in the cut-out, in part or whole.

    Inserts and fasteners count as soon as skin is cut, solid areas and the edge band once core is cut too.
    """
    cut, panel = work.cutout, case.document.panel
    openings: list[tuple[Side, Outline]] = [(cut.side, cut.opening.outline)]
    if cut.far is not None:
        openings.append((OTHER_SIDE[cut.side], cut.far))
    found: dict[tuple[Kind, str], str] = {}
    for side, opening in openings:
        for spot in case.geometry.spots:
            at = point_on(case, spot.at, "outside", side)
            if distance_to_point(opening, at) > -0.5 * spot.diameter:
                found.setdefault((SPOTS[spot.kind], spot.id), f"panel.{spot.kind}, {spot.id}")
        if work.core.action == "none":
            continue
        for area in case.geometry.solid:
            if clearance(opening, outline_on(case, area.outline, "outside", side)).overlaps:
                found.setdefault(("solid area", area.id), f"panel.solid_area, {area.id}")
        edge = outline_on(case, case.geometry.outline, "outside", side)
        if panel.edge_band and least_overlap(opening, edge)[0] < panel.edge_band - 1e-9:
            found.setdefault(("edge band", ""), "panel.edge_band")
    return [InCutout(k, i, path, put_back_of(case, k, i)) for (k, i), path in found.items()]


def put_back_in_vain(case: Case, work: Work) -> list[tuple[str, str]]:
    """Entries of ``data.put_back`` for which this card has no step: in words, and the path of each.

    In a job of several damages what the panel has may lie in the cut-out of another.
    """
    mine: list[tuple[Kind, str]] = [(t.kind, t.id) for t in lying_in_cutout(case, work)]
    if case.others:
        mine += [(SPOTS[s.kind], s.id) for s in case.geometry.spots]
        mine += [*(("solid area", a.id) for a in case.geometry.solid), ("edge band", "")]
    return [
        (f"{b.kind} {b.id}".strip(), f"data.put_back[{i}]")
        for i, b in enumerate(case.document.data.put_back, 1)
        if not any(names(b, kind, ident) for kind, ident in mine)
    ]


def hinge_crossed(case: Case, work: Work, line: tuple[Point, Point]) -> bool:
    """Whether the hinge line, between its two points, runs through a cut-out or touches it."""
    cut = work.cutout
    openings: list[tuple[Side, Outline]] = [(cut.side, cut.opening.outline)]
    if cut.far is not None:
        openings.append((OTHER_SIDE[cut.side], cut.far))
    for side, opening in openings:
        start, end = (point_on(case, at, "outside", side) for at in line)
        if distance_to_segment(opening, start, end) < TOUCHING or opening.contains(start, 0.0):
            return True
    return False


def hinge_beside(case: Case, work: Work, line: tuple[Point, Point]) -> list[tuple[Side, bool]]:
    """Skins whose largest ply or cut-out lies over the hinge line: the side, and whether only past its typed points.

    Two points are typed; hinges, fittings and a rod stand along the whole of the line.
    """
    found: list[tuple[Side, bool]] = []
    for side in work.plies.sides:
        start, end = (point_on(case, at, "outside", side.side) for at in line)
        pieces = (side.largest.outline, side.cutout)
        if any(_touches(p, start, end) for p in pieces):
            found.append((side.side, False))
        elif any(_touches(p, *_past_pieces(start, end, pieces)) for p in pieces):
            found.append((side.side, True))
    return found


def _touches(piece: Outline, start: Point, end: Point) -> bool:
    return distance_to_segment(piece, start, end) < TOUCHING or piece.contains(start, 0.0)


def _past_pieces(start: Point, end: Point, pieces: Sequence[Outline]) -> tuple[Point, Point]:
    """The line, run past both its points beyond every piece."""
    size = math.dist(start, end)
    far = size + sum(math.dist(start, p.centroid) + math.sqrt(p.area) + p.perimeter for p in pieces)
    dx, dy = (end[0] - start[0]) / size * far, (end[1] - start[1]) / size * far
    return (start[0] - dx, start[1] - dy), (end[0] + dx, end[1] + dy)
