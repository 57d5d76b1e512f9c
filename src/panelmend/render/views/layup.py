"""The lay-up of one skin: in plan, and as a section with every ply drawn apart."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from panelmend.job.case import Case
from panelmend.job.plies.part import Ply, SideLayup
from panelmend.job.work import Work
from panelmend.render.drawing import (
    ACCENT,
    EDGE,
    HAIR,
    THIN,
    DrawnShape,
    Hatch,
    Item,
    Pointer,
    Run,
    Text,
    scale_to_fit,
)
from panelmend.render.placing import LEADER, halo, placed_apart
from panelmend.render.strokes import Flat, Ink, Label, Loop, Stroke
from panelmend.render.views.panel import surroundings
from panelmend.render.views.sheet import Looking, View, bar, free_view, make_view, seen_from_words
from panelmend.shapes import Outline, Point
from panelmend.units import show

ROLE_FILL = {
    "fill": "faint",
    "repair": "tint",
    "extra": "tint",
    "sanding": "paper",
    "film adhesive": "paper",
    "cap": "faint",
}
# On paper [mm]: round a plan, the column of names beside it, a row of it; names fan out over as many degrees.
_ROUND, _NAMES, _ROW, _FAN = 14.0, 34.0, 3.8, 62.0


def layup_plan(case: Case, work: Work, layup: SideLayup, size: tuple[float, float]) -> View:
    """All outlines over each other, the PTFE tape outside them, what is near."""
    look = Looking(layup.side)
    items: list[Item] = list(surroundings(case, look))
    frame: list[Outline] = []
    if layup.tape_outer is not None and layup.tape_inner is not None:
        tape = (look.outline(layup.tape_outer), look.outline(layup.tape_inner))
        items += [DrawnShape(tape, THIN, "faint"), Hatch(tape, spacing=1.4, ink=HAIR)]
        frame.append(tape[0])
    for ply in sorted(layup.plies, key=lambda p: -p.outline.area):
        o = look.outline(ply.outline)
        frame.append(o)
        dash = (2.0, 1.0) if ply.role == "sanding" else ()
        items.append(DrawnShape((o,), Ink(0.3, "ink", dash), ROLE_FILL[ply.role]))
    items.append(DrawnShape((look.outline(layup.cutout),), ACCENT, "paper"))
    words = f"{seen_from_words(layup.seen_from)}; PTFE tape hatched, cut-out the white shape in the middle"
    title = f"Plies on the {layup.side} skin"
    room = (size[0] - _NAMES, size[1])
    view = make_view(f"layup {layup.side}", title, words, items, frame, room, margin=_ROUND)
    return _with_names(view, layup, look, scale_to_fit(frame, room[0] - 2 * _ROUND, room[1] - 2 * _ROUND))


def void_map(case: Case, work: Work, operation: int, size: tuple[float, float]) -> View:
    """Bare outlines to draw voids on: what an operation has bonded, or the whole repair for operation 0."""
    bag = next((b for b in work.bag.operations if b.number == operation), None)
    side = work.cutout.side if bag is None else bag.side
    layup = next((s for s in work.plies.sides if s.side == side), work.plies.sides[0])
    look = Looking(layup.side)
    patch = layup.largest.outline if bag is None else bag.patch
    frame = [look.outline(patch)]
    rim = [look.outline(o) for o in {p.outline.digest(): p.outline for p in layup.plies}.values()]
    inner = [o for o in rim if o.area < patch.area - 1e-12]
    items: list[Item] = [DrawnShape((frame[0],), EDGE), *[DrawnShape((o,), HAIR) for o in inner]]
    items.append(DrawnShape((look.outline(layup.cutout),), Ink(0.3, "ink", (2.0, 1.0))))
    words = f"{seen_from_words(layup.seen_from)}; cut-out dashed; draw every void with its size"
    title = "Map of voids, whole repair" if bag is None else f"Map of voids, {bag.name}"
    return make_view(f"map {operation}", title, words, items, frame, size, margin=5, beside=14)


def _with_names(view: View, layup: SideLayup, look: Looking, scale: float) -> View:
    """The view with the name of each outline in a column right of it, a line from each to its outline."""
    outlines: dict[str, list[Ply]] = {}
    for ply in layup.plies:
        outlines.setdefault(ply.outline.digest(), []).append(ply)
    groups = sorted(outlines.values(), key=lambda g: g[0].outline.area)
    k = 1e3 * scale
    edges = [
        _ray(look.outline(g[0].outline), math.radians(_FAN * (1.0 - 2.0 * (i + 0.5) / len(groups))))
        for i, g in enumerate(groups)
    ]
    x0, y0, x1, y1 = view.window
    heights = placed_apart([-k * y for _, y in edges], _ROW, y0 + _ROW, y1 - _ROW)
    column = x1 + 1.0
    made: list[Flat] = []
    wide = 0.0
    for group, (x, y), height in zip(groups, edges, heights, strict=True):
        words = ", ".join(p.id for p in group)
        label = Label(column, height, words, 2.3, "left", "middle", bold=True)
        wide = max(wide, label.width())
        line = Loop(((k * x, -k * y, 0.0), (column - 0.6, height, 0.0)), closed=False)
        dot = Loop(((k * x - 0.45, -k * y, 1.0), (k * x + 0.45, -k * y, 1.0)))
        made += [halo(label), Stroke((line,), LEADER), Stroke((dot,), None, "ink"), label]
    low, high = min(heights) - _ROW, max(heights) + _ROW
    return replace(
        view, flats=(*view.flats, *made), window=(x0, min(y0, low), column + wide + 2.0, max(y1, high))
    )


def _ray(outline: Outline, angle: float) -> Point:
    """Where a ray from the centroid leaves the outline [m]."""
    cx, cy = outline.centroid
    low, high = 0.0, 2.0 * outline.largest_extent()
    for _ in range(60):
        mid = 0.5 * (low + high)
        if outline.contains((cx + mid * math.cos(angle), cy + mid * math.sin(angle))):
            low = mid
        else:
            high = mid
    return (cx + low * math.cos(angle), cy + low * math.sin(angle))


def layup_section(case: Case, work: Work, layup: SideLayup, width: float) -> View:
    """A section along the cut-out's length: plies, skin, plug and core; heights are not to scale."""
    plies = sorted(layup.plies, key=lambda p: p.lay_order)
    along = float(work.cutout.opening.angle)
    largest = max(p.outline.extent(along) for p in plies)
    tape = float(layup.tape_width)
    k = (width - 62.0) / (largest + 2.6 * tape) / 1e3  # paper metres to a metre of panel
    reach = 0.5 * (largest + 2.6 * tape) * k
    half_cut = 0.5 * layup.cutout.extent(along) * k
    step, gap = 2.6e-3, 0.9e-3
    skin, core = 3.0e-3, 13.0e-3
    items: list[Item] = []
    top = 0.0
    items += _panel_section(work, reach, half_cut, skin, core)
    level = top + 1.2e-3
    for ply in plies:
        half = 0.5 * ply.outline.extent(along) * k
        if ply.role == "fill":
            continue
        shape = bar(-half, level, half, level + step)
        dash = (1.6, 0.8) if ply.role == "film adhesive" else ()
        items.append(DrawnShape((shape,), Ink(0.3, "ink", dash), ROLE_FILL[ply.role]))
        items += _line_to_words(case, ply, half, level + 0.5 * step, reach)
        level += step + gap
    if layup.tape_inner is not None:
        inner = 0.5 * layup.tape_inner.extent(along) * k
        for sign in (-1.0, 1.0):
            a, b = sorted((sign * inner, sign * (inner + tape * k)))
            t = bar(a, 1.0e-3, b, 1.9e-3)
            items += [DrawnShape((t,), THIN, "light")]
        mid = -(inner + 0.5 * tape * k)
        items.append(Text((mid, 2.4e-3), "PTFE tape", size=2.2, colour="grey", level="base"))
    fills = [p for p in plies if p.role == "fill"]
    items += _fill_lines(case, fills, half_cut, reach, skin)
    cap = [p for p in work.core.cap if p.side == layup.side]
    items += _cap_lines(case, cap, half_cut, reach, skin, len(fills))
    words = "section along the length of the cut-out; heights not to scale"
    return free_view(f"section {layup.side}", f"Order of the plies, {layup.side} skin", words, items)


def _line_to_words(case: Case, ply: Ply, half: float, y: float, reach: float) -> list[Item]:
    warp = show(float(ply.warp_seen), "angle", case.view, decimals=0).replace("-", "−")
    angle = float(ply.warp_seen)
    beyond = show(float(ply.margin), "length", case.view)
    words = f"{ply.id}   {ply.role}   {'' if ply.role == 'film adhesive' else 'warp ' + warp}   +{beyond}"
    items: list[Item] = [
        Run(((half, y), (reach + 1.5e-3, y)), HAIR),
        Text((reach + 7.5e-3, y), words, size=2.3, anchor="left"),
    ]
    if ply.role != "film adhesive":
        items.append(Pointer((reach + 4.2e-3, y), angle, 2.6, ink=Ink(0.25, "accent"), head=1.0, both=True))
    return items


def _panel_section(work: Work, reach: float, half_cut: float, skin: float, core: float) -> Iterator[Item]:
    """Skin, core, far skin and what fills the opening."""
    action = work.core.action
    near_core, far_core = -skin, -skin - core
    yield DrawnShape((bar(-reach, far_core, reach, near_core),), THIN, "faint")
    spacing = 2.4e-3
    x = -reach + spacing
    while x < reach - 1e-9:
        if action == "none" or abs(x) > half_cut:
            yield Run(((x, far_core), (x, near_core)), HAIR)
        x += spacing
    if action == "replace":
        gap = 0.8e-3
        yield DrawnShape((bar(-half_cut, far_core, half_cut, near_core),), THIN, "light")
        plug = bar(-half_cut + gap, far_core + 0.6e-3, half_cut - gap, near_core)
        yield DrawnShape((plug,), ACCENT, "paper")
        yield Hatch((plug,), angle=math.pi / 2, spacing=2.0, ink=HAIR)
        yield Text((0.0, 0.5 * (near_core + far_core)), "core plug", size=2.6, colour="accent", bold=True)
    elif action == "pot":
        yield DrawnShape((bar(-half_cut, far_core, half_cut, near_core),), THIN, "light")
        yield Text((0.0, 0.5 * (near_core + far_core)), "potting", size=2.6, bold=True)
    for sign in (-1.0, 1.0):
        a, b = sorted((sign * half_cut, sign * reach))
        yield DrawnShape((bar(a, near_core, b, 0.0),), EDGE, "light")
    if work.cutout.far is None:
        yield DrawnShape((bar(-reach, far_core - skin, reach, far_core),), EDGE, "light")
    else:
        for sign in (-1.0, 1.0):
            a, b = sorted((sign * half_cut, sign * reach))
            yield DrawnShape((bar(a, far_core - skin, b, far_core),), EDGE, "light")
    at = (-reach, far_core - skin)
    yield Text(at, "far skin", size=2.2, colour="grey", anchor="left", level="top", shift=(0, -0.8))


def _fill_lines(case: Case, fills: list[Ply], half_cut: float, reach: float, skin: float) -> list[Item]:
    items: list[Item] = []
    for i, ply in enumerate(fills):
        h = skin / len(fills)
        y0 = -skin + i * h
        items.append(DrawnShape((bar(-half_cut, y0, half_cut, y0 + h),), Ink(0.2, "ink"), ROLE_FILL["fill"]))
        y = y0 + 0.5 * h
        items += _named_below(case, ply, (half_cut, y), reach, skin, len(fills) - 1 - i)
    return items


def _cap_lines(
    case: Case, cap: list[Ply], half_cut: float, reach: float, skin: float, below: int
) -> list[Item]:
    """A cap on the plug, under everything else, each ply with its name below those of ``below`` others."""
    items: list[Item] = []
    thick = 0.9e-3
    for i, ply in enumerate(cap):
        y0 = -skin - (len(cap) - i) * thick
        shape = bar(-half_cut, y0, half_cut, y0 + thick)
        items.append(DrawnShape((shape,), Ink(0.3, "ink"), ROLE_FILL["cap"]))
        at = (half_cut, y0 + 0.5 * thick)
        items += _named_below(case, ply, at, reach, skin, below + len(cap) - 1 - i)
    return items


def _named_below(case: Case, ply: Ply, at: Point, reach: float, skin: float, row: int) -> list[Item]:
    """A line from a ply in the opening to its name beside the core."""
    text_y = -skin - 1.0e-3 - 3.4e-3 * row
    warp = show(float(ply.warp_seen), "angle", case.view, decimals=0).replace("-", "−")
    return [
        Run((at, (reach + 1.5e-3, text_y)), HAIR),
        Text((reach + 7.5e-3, text_y), f"{ply.id}   {ply.role}   warp {warp}", size=2.3, anchor="left"),
    ]
