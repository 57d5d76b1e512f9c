"""The cut layout of a roll or remnant: true outlines, piece numbers, warp arrow, edges, used length."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from panelmend.errors import MissingError
from panelmend.job.kit.part import WetSheet
from panelmend.job.nest.part import ClothNest, Layout
from panelmend.render.drawing import (
    CENTRE,
    EDGE,
    Dimension,
    Drawing,
    DrawnShape,
    Hatch,
    Item,
    Pointer,
    Run,
    Text,
)
from panelmend.render.strokes import LETTER, Ink
from panelmend.shapes import Outline, rectangle
from panelmend.units import on_a_rule, show

_CUT_OFF = Ink(0.5, "accent")


@dataclass(frozen=True)
class Lying:
    """One piece as it lies on the strip: its id, what is written on it, its true outline in strip axes."""

    piece: str
    words: str
    outline: Outline
    turned_over: bool


def lying(layout: Layout, shapes: Mapping[str, Outline]) -> tuple[Lying, ...]:
    """The true outlines of a layout in strip axes.

    Args:
        layout: placements on one strip.
        shapes: true outline of each piece in piece axes [m], by piece id.

    Raises:
        MissingError: a piece without an outline.
    """
    copies = {p.piece for p in layout.placements if p.copy > 1}
    made = []
    for p in layout.placements:
        if p.piece not in shapes:
            raise MissingError(f"piece {p.piece} is laid on {layout.strip.id} but has no outline")
        outline = shapes[p.piece].mirrored_y() if p.mirrored else shapes[p.piece]
        words = f"{p.piece}.{p.copy}" if p.piece in copies else p.piece
        made.append(Lying(p.piece, words, outline.turned(p.turn).moved(p.x, p.y), p.mirrored))
    return tuple(made)


def strip_length(layout: Layout) -> float:
    """How much of the strip is shown [m]: a remnant whole, a roll a little past the cut."""
    used = layout.used_length
    if layout.strip.length is None:
        return used * 1.06
    return layout.strip.length if layout.strip.remnant else min(layout.strip.length, used * 1.06)


def nest_drawing(
    layout: Layout,
    shapes: Mapping[str, Outline],
    *,
    scale: float = 1.0,
    view: str = "mm",
    sheet: float | None = None,
) -> Drawing:
    """The layout as a drawing.

    Args:
        layout: placements on one strip.
        shapes: true outline of each piece in piece axes [m], by piece id.
        scale: paper scale [1].
        view: units of the dimensions, "mm" or "in".
        sheet: length of the sheet that is cut off to be wetted out before the pieces are cut [m]; None where
            the strip is cut where the pieces end.

    Raises:
        MissingError: a piece without an outline.
    """
    strip, used, shown = layout.strip, layout.used_length, strip_length(layout)
    w = strip.width
    items: list[Item] = (
        [Hatch((rectangle((0.5 * (used + shown), 0.5 * w), shown - used, w),))] if shown > used else []
    )
    items += [
        Run(((0.0, 0.0), (shown, 0.0)), EDGE),
        Run(((0.0, w), (shown, w)), EDGE),
        Run(((0.0, 0.0), (0.0, w)), EDGE),
    ]
    if strip.length is not None and shown == strip.length:
        items.append(Run(((shown, 0.0), (shown, w)), EDGE))
    if strip.edge > 0.0:
        items += [Run(((0.0, y), (shown, y)), CENTRE) for y in (strip.edge, w - strip.edge)]
    for piece in lying(layout, shapes):
        items.append(DrawnShape((piece.outline,), EDGE, "tint"))
        items.append(_name(piece, scale))
    items.append(Run(((used, 0.0), (used, w)), _CUT_OFF))
    items += _measures(layout, w, used, view, sheet)
    return Drawing(tuple(items), scale)


def _name(piece: Lying, scale: float) -> Text:
    x0, y0, x1, y1 = piece.outline.bounds
    words = f"{piece.words} (turned over)" if piece.turned_over else piece.words
    room = 1e3 * scale * min(0.8 * (x1 - x0) / (LETTER * len(words)), 0.6 * (y1 - y0))
    return Text(piece.outline.centroid, words, min(5.0, room), bold=True)


def _taken(used: float, view: str) -> str:
    """The length cut off a strip, never less than the nest takes."""
    by_rule = on_a_rule(used, "least") if view == "in" else ""
    return by_rule or show(used, "length", view, limit="least")


def sheet_of(sheets: Iterable[WetSheet], item: ClothNest, layout: Layout) -> float | None:
    """Length of the sheet that is wetted out whole and holds a layout [m]; None where pieces are cut dry."""
    return next(
        (
            float(s.length)
            for s in sheets
            if s.way == "wet then cut"
            and (s.cloth, s.operation, s.strip)
            == (item.problem.cloth, item.problem.operation, layout.strip.id)
        ),
        None,
    )


def _measures(layout: Layout, w: float, used: float, view: str, sheet: float | None) -> list[Item]:
    strip = layout.strip
    kind = "remnant" if strip.remnant else "roll"
    along = f"cut at {_taken(used, view)}"
    if sheet is not None:
        along = f"pieces {_taken(used, view)}, sheet {_taken(sheet, view)}"
    return [
        Dimension((0.0, w), (used, w), along, 5.0),
        Dimension((0.0, 0.0), (0.0, w), f"{kind} width {show(w, 'length', view)}", 5.0),
        Pointer((0.0, 0.0), 0.0, 20.0, shift=(10.0, -5.0)),
        Text((0.0, 0.0), "warp", 2.6, "left", "middle", 0.0, "accent", True, shift=(22.0, -5.0)),
        Text((0.0, 0.0), f"{strip.id}, seen from its face", 2.6, "left", "middle", shift=(32.0, -5.0)),
    ]
