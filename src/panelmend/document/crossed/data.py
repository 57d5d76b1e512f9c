"""Approved limits, cut-out and plies against each other: sizes that one page of a manual gives together."""

from __future__ import annotations

import math
from typing import Any

from panelmend.document.given import value_of
from panelmend.document.model import Document
from panelmend.document.ply_ways import each_side
from panelmend.document.question import PRACTICE, Asked, Subject, Usual, Weighed, part_of_whole

FIVE = math.radians(5.0)
FINEST_RULE, RULE = 0.00025, "no rule at a bench reads less"  # m


def ply_reach(document: Document) -> float | None:
    """How far the outermost ply reaches past the cut-out, as the margins say [m]; None for a scarf."""
    plies = document.data.plies
    first, further, sanding = (
        value_of(g) for g in (plies.first_margin, plies.further_margin, plies.sanding_margin)
    )
    if first is None or value_of(plies.scheme) == "scarf":
        return None
    half = 1.0 if plies.margins_are is None or each_side(plies.margins_are.value) else 0.5
    most = 0.0
    for side in (plies.outside, plies.inside):
        if side is None:
            continue
        count = sum(len(plies.value) for plies in (side.repair, side.extra) if plies is not None)
        reach = first + max(count - 1, 0) * (further or 0.0)
        most = max(most, half * (reach + ((sanding or 0.0) if side.sanding is not None else 0.0)))
    return most or half * first


def _limits(document: Document) -> Weighed:
    of = Subject("data.limits", document.data.limits, source=PRACTICE)
    length, area = of.value("repairable"), of.value("repairable_area")
    what = "size that needs no repair over the size that may be repaired"
    yield of.share("allowable", "repairable", what, 0.02, 0.5)
    yield of.row(
        "repairable_area.against_repairable",
        "area that may be repaired over that of a square of its length limit",
        part_of_whole(area, None if length is None else length**2),
        "ratio",
        0.08,
        1.0,
        because="damage is between a strip and a disc",
    )
    yield of.row(
        "edge_distance.against_plies",
        "least distance from the cut-out to the edge over the reach of the plies past it",
        part_of_whole(of.value("edge_distance"), ply_reach(document)),
        "ratio",
        0.25,  # repairs of an edge band run to the edge itself
        4.0,
        because="the plies stay on the panel",
    )
    what = "least distance to another repair over the size that may be repaired"
    yield of.share("repair_distance", "repairable", what, 0.04, 2.0)
    yield of.usual("repair_distance", "least distance to another repair", "length", 0.02)
    yield of.usual("resolution", "step of sizes", "length", FINEST_RULE, because=RULE)
    what = "step of sizes over the size that needs no repair"
    yield of.share("resolution", "allowable", what, 0.0, 0.2)


def _cutout(document: Document) -> Weighed:
    cutout, first = document.data.cutout, value_of(document.data.plies.first_margin)
    of, angle = Subject("data.cutout", cutout, source=PRACTICE), value_of(cutout.mouth_angle)
    yield of.usual("size_step", "step of cut-out sizes", "length", FINEST_RULE, because=RULE)
    yield of.usual("corner_radius", "corner radius of the cut-out", "length", 0.005, 0.1)
    yield of.share("size_step", "margin", "step of cut-out sizes over the margin round the damage", 0.0, 1.0)
    share = part_of_whole(value_of(cutout.margin), first)
    what = "margin round the damage over the first ply's margin"
    yield of.row("margin.against_first_margin", what, share, "ratio", 0.0, 1.0)
    if angle is not None and abs(angle / FIVE - round(angle / FIVE)) * FIVE > math.radians(0.01):
        near = FIVE * math.floor(angle / FIVE)
        what = "angle of the mouth, which is a multiple of 5 deg as a rule:"
        yield of.usual("mouth_angle", what, "angle", near, near)


def _margins(document: Document) -> Weighed:
    of = Subject("data.plies", document.data.plies, source=PRACTICE)
    source = "1 in and 3/4 in of TM 1-1500-204-23-11, widened"
    what = "margin of each further ply over that of the first"
    yield of.share("further_margin", "first_margin", what, 0.4, 1.0, source=source)
    what = "margin of the sanding ply over that of a further ply"
    yield of.share("sanding_margin", "further_margin", what, 0.5, 2.0, source=source)
    what = "width of the tape over the margin of the sanding ply"
    yield of.share("tape_width", "sanding_margin", what, 0.75, 12.0)
    yield of.row("trim.usual", "trimmed edge of a corner", of.value("trim") or None, "length", 0.005, 0.15)
    cap = value_of(document.data.core.cap)
    yield Usual(
        "data.core.cap.margin.against_first_margin",
        "how far a cap is laid past the opening over the first ply's margin",
        part_of_whole(getattr(cap, "margin", None) or None, of.value("first_margin")),
        "ratio",
        0.25,
        2.0,
        source=PRACTICE,
    )


def _one_way(document: Document) -> Weighed:
    """Plies of a cap or a fill that all lie one way: the line above or below was typed again."""
    core, plies = document.data.core, document.data.plies
    cap = value_of(core.cap)
    stacks: list[tuple[str, str, Any]] = [("data.core.cap", "cap", getattr(cap, "plies", ()))]
    for side in ("outside", "inside"):
        given = getattr(plies, side)
        if given is not None and given.fill is not None:
            stacks.append((f"data.plies.{side}.fill", "fill", given.fill.value))
    for at, what, rows in stacks:
        ways = {round(math.degrees(p.warp) % 180.0, 3) % 180.0 for p in rows}
        if len(rows) > 1 and len(ways) == 1:
            text = f"{len(rows)} plies one way"
            words = f"{what}: all {len(rows)} plies lie along one direction; usual is two ({PRACTICE})"
            yield Asked(f"{at}.warp", at, words, 0.0, "", text)


def _standard_grit(document: Document) -> Weighed:
    """Grits are sold in steps: one that is none of them has its digits changed about."""
    grit: Any = value_of(document.data.surface.grit)
    if grit is None or grit in GRITS:
        return
    near = sorted(sorted(GRITS, key=lambda g: abs(math.log(g / grit)))[:2])
    yield Usual(
        "data.surface.grit.usual",
        f"grit, which is {near[0]} or {near[1]} as papers are sold:",
        float(grit),
        "",
        near[0],
        near[0],
        source="steps of FEPA 43 and ANSI B74.18, from memory",
    )


GRITS = (
    16,
    20,
    24,
    30,
    36,
    40,
    50,
    60,
    70,
    80,
    90,
    100,
    120,
    150,
    180,
    220,
    230,
    240,
    280,
    320,
    360,
    400,
    500,
    600,
    800,
    1000,
    1200,
    1500,
    2000,
    2500,
    3000,
)

CHECKS = (_limits, _cutout, _margins, _one_way, _standard_grit)
