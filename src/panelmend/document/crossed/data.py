"""Approved limits, cut-out and plies against each other: sizes that one page of a manual gives together."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any, TypeVar

from panelmend.document.given import Given
from panelmend.document.model import Document
from panelmend.document.question import PRACTICE, Asked, Reader

T = TypeVar("T")
FIVE = math.radians(5.0)
FINEST, RULE = 0.00025, "no rule at a bench reads less"  # m


def value_of(given: Given[T] | None) -> T | None:
    """An approved value, None where the data gives none."""
    return None if given is None else given.value


def part_of_whole(part: float | None, whole: float | None) -> float | None:
    """One value over another, None where either is missing or the other is zero."""
    return None if part is None or not whole else part / whole


def ply_reach(document: Document) -> float | None:
    """How far the outermost ply reaches past the cut-out, as the margins say [m]; None for a scarf."""
    plies = document.data.plies
    first, further, sanding = (
        value_of(g) for g in (plies.first_margin, plies.further_margin, plies.sanding_margin)
    )
    if first is None or value_of(plies.scheme) == "scarf":
        return None
    half = 0.5 if value_of(plies.margins_are) == "in total" else 1.0
    most = 0.0
    for side in (plies.outside, plies.inside):
        if side is None:
            continue
        count = sum(len(plies.value) for plies in (side.repair, side.extra) if plies is not None)
        reach = first + max(count - 1, 0) * (further or 0.0)
        most = max(most, half * (reach + ((sanding or 0.0) if side.sanding is not None else 0.0)))
    return most or half * first


def _limits(document: Document, view: str) -> Iterator[Asked]:
    ask, data = Reader(view), document.data
    at = "data.limits"
    of = {n: value_of(getattr(data.limits, n)) for n in type(data.limits).model_fields}
    length, area, none = of["repairable"], of["repairable_area"], of["allowable"]
    yield from ask.about(
        f"{at}.allowable.against_repairable",
        "size that needs no repair over the size that may be repaired",
        part_of_whole(none, length),
        "ratio",
        0.02,
        0.5,
    )
    yield from ask.about(
        f"{at}.repairable_area.against_repairable",
        "area that may be repaired over that of a square of its length limit",
        part_of_whole(area, None if length is None else length**2),
        "ratio",
        0.08,
        1.0,
        because="damage is between a strip and a disc",
    )
    reach = ply_reach(document)
    yield from ask.about(
        f"{at}.edge_distance.against_plies",
        "least distance from the cut-out to the edge over the reach of the plies past it",
        part_of_whole(of["edge_distance"], reach),
        "ratio",
        0.25,  # repairs of an edge band run to the edge itself
        4.0,
        because="the plies stay on the panel",
    )
    yield from ask.about(
        f"{at}.repair_distance.against_repairable",
        "least distance to another repair over the size that may be repaired",
        part_of_whole(of["repair_distance"], length),
        "ratio",
        0.04,
        2.0,
    )
    yield from ask.about(
        f"{at}.repair_distance.usual",
        "least distance to another repair",
        of["repair_distance"],
        "length",
        0.02,
    )
    yield from ask.about(
        f"{at}.resolution.usual", "step of sizes", of["resolution"], "length", FINEST, because=RULE
    )
    yield from ask.about(
        f"{at}.resolution.against_allowable",
        "step of sizes over the size that needs no repair",
        part_of_whole(of["resolution"], none),
        "ratio",
        0.0,
        0.2,
    )


def _cutout(document: Document, view: str) -> Iterator[Asked]:
    ask, data = Reader(view), document.data
    margin, step = value_of(data.cutout.margin), value_of(data.cutout.size_step)
    yield from ask.about(
        "data.cutout.size_step.usual", "step of cut-out sizes", step, "length", FINEST, because=RULE
    )
    yield from ask.about(
        "data.cutout.corner_radius.usual",
        "corner radius of the cut-out",
        value_of(data.cutout.corner_radius),
        "length",
        0.005,
        0.1,
    )
    yield from ask.about(
        "data.cutout.size_step.against_margin",
        "step of cut-out sizes over the margin round the damage",
        part_of_whole(step, margin),
        "ratio",
        0.0,
        1.0,
    )
    yield from ask.about(
        "data.cutout.margin.against_first_margin",
        "margin round the damage over the first ply's margin",
        part_of_whole(margin, value_of(data.plies.first_margin)),
        "ratio",
        0.0,
        1.0,
    )
    angle = value_of(data.cutout.mouth_angle)
    if angle is not None and abs(angle / FIVE - round(angle / FIVE)) * FIVE > math.radians(0.01):
        yield from ask.about(
            "data.cutout.mouth_angle.usual",
            "angle of the mouth, which is a multiple of 5 deg as a rule:",
            angle,
            "angle",
            FIVE * math.floor(angle / FIVE),
            FIVE * math.floor(angle / FIVE),
        )


def _margins(document: Document, view: str) -> Iterator[Asked]:
    ask, plies = Reader(view), document.data.plies
    first, further = value_of(plies.first_margin), value_of(plies.further_margin)
    sanding, tape = value_of(plies.sanding_margin), value_of(plies.tape_width)
    source = "1 in and 3/4 in of TM 1-1500-204-23-11, widened"
    yield from ask.about(
        "data.plies.further_margin.against_first_margin",
        "margin of each further ply over that of the first",
        part_of_whole(further, first),
        "ratio",
        0.4,
        1.0,
        source=source,
    )
    yield from ask.about(
        "data.plies.sanding_margin.against_further_margin",
        "margin of the sanding ply over that of a further ply",
        part_of_whole(sanding, further),
        "ratio",
        0.5,
        2.0,
        source=source,
    )
    yield from ask.about(
        "data.plies.tape_width.against_sanding_margin",
        "width of the tape over the margin of the sanding ply",
        part_of_whole(tape, sanding),
        "ratio",
        0.75,
        12.0,
    )
    yield from ask.about(
        "data.plies.trim.usual",
        "trimmed edge of a corner",
        value_of(plies.trim) or None,
        "length",
        0.005,
        0.15,
    )
    cap = value_of(document.data.core.cap)
    yield from ask.about(
        "data.core.cap.margin.against_first_margin",
        "how far a cap is laid past the opening over the first ply's margin",
        part_of_whole(getattr(cap, "margin", None) or None, first),
        "ratio",
        0.25,
        2.0,
    )


def _one_way(document: Document, view: str) -> Iterator[Asked]:
    """Plies of a cap or a fill that all lie one way: the line above or below was typed again."""
    del view
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


def _standard_grit(document: Document, view: str) -> Iterator[Asked]:
    """Grits are sold in steps: one that is none of them has its digits changed about."""
    grit: Any = value_of(document.data.surface.grit)
    if grit is None or grit in GRITS:
        return
    near = sorted(sorted(GRITS, key=lambda g: abs(math.log(g / grit)))[:2])
    yield from Reader(view).about(
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
