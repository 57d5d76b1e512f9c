"""The cut layout of a roll or remnant with the number, the warp and the face of every piece on it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from panelmend.job.nest.part import ClothNest, Layout
from panelmend.plan.lay_number import lay_number
from panelmend.plan.plan import Plan
from panelmend.render.drawing import Drawing, Item, Pointer, Text, scale_to_fit
from panelmend.render.nest import Lying, lying, nest_drawing, sheet_of, strip_length
from panelmend.render.strokes import Ink, page_data
from panelmend.render.views.sheet import bar
from panelmend.shapes import Outline

ROOM = (132.0, 76.0)  # [mm] of drawing for a strip
FACE, BACK = "face up", "FACE DOWN"


@dataclass(frozen=True)
class StripDrawn:
    """One strip: its layout and its drawing as plain data."""

    layout: Layout
    title: str
    words: str
    drawing: dict[str, Any]


def shapes_of(plan: Plan) -> dict[str, Outline]:
    """The true outline of each piece of cloth, seen from its face."""
    assert plan.work is not None, "a nest without work to do"
    return {p.id: p.template for p in (*plan.work.plies.plies, *plan.work.core.cap)}


def strip_drawn(plan: Plan, item: ClothNest, layout: Layout) -> StripDrawn:
    """A strip as it is cut: every piece with its number, the way of its warp, and which face is up."""
    assert plan.work is not None, "a nest without work to do"
    shapes, sheet = shapes_of(plan), sheet_of(plan.work.kit.sheets, item, layout)
    scale = scale_to_fit([bar(0.0, 0.0, strip_length(layout), layout.strip.width)], *ROOM)
    flats = list(nest_drawing(layout, shapes, scale=scale, view=plan.case.view, sheet=sheet).flat())
    marks = [m for p in lying(layout, shapes) for m in _marks(p, scale, two_ways(item, p.piece))]
    flats += Drawing(tuple(marks), scale).flat()
    kind = "Remnant" if layout.strip.remnant else "Roll"
    words = "seen from its face, warp along the roll"
    return StripDrawn(layout, f"{kind} {layout.strip.id}", words, page_data(flats))


def two_ways(item: ClothNest, piece: str) -> bool:
    """Whether a piece's warp has two ways: then it may lie either way round."""
    found = item.problem.piece(piece)
    return found is not None and found.half_turn


def _marks(piece: Lying, scale: float, both: bool) -> Iterator[Item]:
    """Warp and face under the name of a piece, where there is room for them."""
    x0, y0, x1, y1 = piece.outline.bounds
    wide, high = 1e3 * scale * (x1 - x0), 1e3 * scale * (y1 - y0)
    if wide < 9.0 or high < 8.0:
        return
    at = piece.outline.centroid
    yield Pointer(at, 0.0, min(12.0, 0.5 * wide), Ink(0.3, "accent"), 1.8, both=both, shift=(0.0, -3.4))
    if high >= 14.0 and wide >= 16.0:
        face = BACK if piece.turned_over else FACE
        yield Text(at, face, 2.0, colour="warn" if piece.turned_over else "ink", shift=(0.0, -6.2))


def cutting_list(plan: Plan) -> list[Mapping[str, Any]]:
    """Every piece of cloth in the order it is laid: its strip, its size, which face is up."""
    assert plan.work is not None, "a nest without work to do"
    plies = {p.id: p for p in (*plan.work.plies.plies, *plan.work.core.cap)}
    rows: list[dict[str, Any]] = []
    for cloth in plan.work.nest.cloths:
        for layout in cloth.nest.layouts:
            for placed in layout.placements:
                ply = plies[placed.piece]
                piece = cloth.problem.piece(placed.piece)
                assert piece is not None, "a layout of its own problem"
                operation, number = lay_number(plan, placed.piece)
                rows.append(
                    {
                        "piece": placed.piece if piece.quantity == 1 else f"{placed.piece}.{placed.copy}",
                        "ply": ply,
                        "cloth": cloth.problem.cloth,
                        "strip": layout.strip.id,
                        "size": piece.extents(),
                        "turned_over": placed.mirrored,
                        "operation": operation,
                        "number": number,
                    }
                )
    return sorted(rows, key=lambda r: (_order(plan, r["operation"]), r["number"], r["piece"]))


def _order(plan: Plan, operation: str) -> int:
    assert plan.work is not None, "a nest without work to do"
    names = [b.name for b in plan.work.bag.operations]
    return names.index(operation) if operation in names else len(names)
