"""What the cut takes out of the panel besides skin and core: inserts, fastener holes, solid areas, edge band.

The card has steps for skin and core alone; what else is cut away needs steps from the approved data.
"""

from __future__ import annotations

from panelmend.document.panel import Side
from panelmend.job.bend import outline_on, point_on
from panelmend.job.case import Case
from panelmend.job.work import Work
from panelmend.shapes import Outline, clearance, distance_to_point, least_overlap


def taken(case: Case, work: Work) -> list[tuple[str, str]]:
    """What lies in the cut-out, in part or whole, in words, and the path of its field.

    Inserts and fasteners count as soon as skin is cut, solid areas and the edge band once core is cut too.
    """
    cut, panel = work.cutout, case.document.panel
    openings: list[tuple[Side, Outline]] = [(cut.side, cut.opening.outline)]
    if cut.far is not None:
        openings.append(("inside" if cut.side == "outside" else "outside", cut.far))
    found: dict[str, str] = {}
    for side, opening in openings:
        for spot in case.geometry.spots:
            at = point_on(case, spot.at, "outside", side)
            if distance_to_point(opening, at) > -0.5 * spot.diameter:
                found.setdefault(f"{spot.kind} {spot.id}", f"panel.{spot.kind}, {spot.id}")
        if work.core.action == "none":
            continue
        for area in case.geometry.solid:
            if clearance(opening, outline_on(case, area.outline, "outside", side)).overlaps:
                found.setdefault(f"solid area {area.id}", f"panel.solid_area, {area.id}")
        edge = outline_on(case, case.geometry.outline, "outside", side)
        if panel.edge_band and least_overlap(opening, edge)[0] < panel.edge_band - 1e-9:
            found.setdefault("part of the edge band", "panel.edge_band")
    return list(found.items())
