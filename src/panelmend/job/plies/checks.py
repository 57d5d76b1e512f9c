"""Findings of the plies stage."""

from __future__ import annotations

from panelmend.derive import Ledger
from panelmend.errors import Finding, caution_code, note_code, stop_code
from panelmend.job.case import Case
from panelmend.job.cutout.part import CutoutPart
from panelmend.job.plies.curved_checks import check_curved
from panelmend.job.plies.part import FitKind, PliesPart
from panelmend.shapes import clearance
from panelmend.units import show

P101 = stop_code(
    "P101", "The repair does not fit its surroundings", "use the remedy that is named, or ask the engineer"
)
P102 = caution_code(
    "P102", "Part of the repair covers an area it should keep clear of", "look at the place before you go on"
)
P103 = caution_code(
    "P103",
    "A distance was not checked, because none was typed",
    "look it up in the approved data and type it with its place",
)
P104 = stop_code(
    "P104", "A ply overlaps by less than its margin somewhere", "shorten the corner trims or enlarge the ply"
)
P105 = note_code(
    "P105", "Structure behind the repair draws heat away", "allow for it when you place the thermocouples"
)
P106 = note_code(
    "P106",
    "The panel is curved: the templates show the surface laid flat",
    "lay them along the surface; measure distances along it",
)
P107 = caution_code(
    "P107",
    "Fill plies are typed, but an external patch has none",
    "take them out of the data section or choose another scheme",
)
P108 = caution_code(
    "P108",
    "The plies run over an area without core",
    "find out what the approved data says about a repair over solid laminate",
)
P109 = caution_code("P109", "A paste is named where the repair needs a film adhesive", "name a film adhesive")
P110 = caution_code(
    "P110",
    "The cloth or the heater is too small for the largest ply",
    "use the remedy that is named, or ask the engineer",
)

WEIGHS = {FitKind.NEIGHBOUR: P101, FitKind.GROUND: P102, FitKind.STORES: P110}


def check(case: Case, ledger: Ledger, part: PliesPart, cutout: CutoutPart) -> tuple[Finding, ...]:
    """The findings of the plies: fit, overlaps, distances not checked, areas they cover."""
    view = case.view
    found: list[Finding] = []
    for fit in part.fits:
        if fit.holds:
            continue
        short = show(float(fit.asked) - float(fit.clear), "length", view)
        words = (
            f"{fit.what}: {show(float(fit.clear), 'length', view)}, required "
            f"{show(float(fit.asked), 'length', view)}, {short} short"
        )
        found.append(WEIGHS[fit.kind](words, place=fit.clear.key, todo=fit.cure))
    for ply in part.plies:
        if float(ply.overlap) < float(ply.margin) - 1e-8:
            found.append(
                P104(
                    f"{ply.id}: {show(float(ply.overlap), 'length', view)} of "
                    f"{show(float(ply.margin), 'length', view)}",
                    place=ply.overlap.key,
                )
            )
    return (
        *found,
        *_not_checked(case),
        *_on_structure(case, part),
        *_data(case),
        *check_curved(case, ledger, part),
    )


def _not_checked(case: Case) -> list[Finding]:
    limits, g = case.document.data.limits, case.geometry
    found = []
    if limits.edge_distance is None:
        found.append(
            P103(
                "NOT CHECKED: distance from the cut-out to the panel's edge. The plan checks only that "
                "the plies stay on the panel",
                place="data.limits.edge_distance",
            )
        )
    if limits.repair_distance is None and g.earlier:
        found.append(
            P103(
                "NOT CHECKED: distance to other repairs. The plan checks only that they do not overlap",
                place="data.limits.repair_distance",
            )
        )
    if limits.fastener_distance is None and any(s.keep_out == 0.0 for s in g.spots):
        found.append(
            P103(
                "NOT CHECKED: distance to fasteners without a keep-out. The plan checks only that "
                "the plies stay off them",
                place="data.limits.fastener_distance",
            )
        )
    return found


def _on_structure(case: Case, part: PliesPart) -> list[Finding]:
    g, panel, found = case.geometry, case.document.panel, []
    from panelmend.job.curvature import outline_on
    from panelmend.shapes import least_overlap

    for side in part.sides:
        largest = side.largest.outline
        for area, typed in zip(g.structure, panel.structure, strict=True):
            here = clearance(largest, outline_on(case, area.outline, "outside", side.side))
            if here.overlaps and typed.side != side.side:
                found.append(
                    P105(
                        f"{area.kind} {area.id} ({typed.metal}) runs behind the plies on the {side.side}",
                        place=f"panel.structure, {area.id}",
                    )
                )
            elif not here.overlaps and here.distance < 0.1:
                found.append(
                    P105(
                        f"{area.kind} {area.id} ({typed.metal}) is "
                        f"{show(here.distance, 'length', case.view)} from the largest ply on the "
                        f"{side.side}",
                        place=f"panel.structure, {area.id}",
                    )
                )
        for area in g.solid:
            if clearance(largest, outline_on(case, area.outline, "outside", side.side)).overlaps:
                found.append(
                    P108(
                        f"the largest ply on the {side.side} runs over solid area {area.id}",
                        place=f"panel.solid_area, {area.id}",
                    )
                )
        edge = least_overlap(largest, outline_on(case, g.outline, "outside", side.side))[0]
        if 0.0 <= edge < panel.edge_band:
            found.append(
                P108(
                    f"the largest ply on the {side.side} comes within "
                    f"{show(edge, 'length', case.view)} of the edge, into the edge band of "
                    f"{show(panel.edge_band, 'length', case.view)}",
                    place="panel.edge_band",
                )
            )
    if g.cylinder is not None and panel.curvature is not None and panel.curvature.second_radius is None:
        found.append(
            P106(
                f"radius of the outer surface {show(g.cylinder.radius, 'length', case.view)}, "
                f"bulging to the {g.bulges}",
                place="panel.curvature",
            )
        )
    return found


def _data(case: Case) -> list[Finding]:
    data, found = case.document.data.plies, []
    if data.scheme is not None and data.scheme.value == "external":
        for name in ("outside", "inside"):
            given = getattr(data, name)
            if given is not None and given.fill is not None:
                found.append(
                    P107(f"{len(given.fill.value)} fill plies on the {name}", place=f"data.plies.{name}.fill")
                )
    if data.film_adhesive is not None and case.catalogue.adhesive(data.film_adhesive.value).form != "film":
        found.append(P109(data.film_adhesive.value, place="data.plies.film_adhesive"))
    return found
