"""Full-size templates as PDF: a cover with check squares and sheet maps, then every template at 1:1."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from panelmend.errors import InputError
from panelmend.render.curved import NOTE
from panelmend.render.papers import Paper, check_squares, print_off, rulers
from panelmend.render.strokes import Box, Flat, Label, Loop, Stroke, bounds, page_data
from panelmend.render.template import Heading, Template, drawing_of, drawn_whole
from panelmend.render.tiles import PAD, Tiling, best_tiling, tile_map, tile_marks
from panelmend.render.typesetting import Sheets

_SPACE = 8.0  # [mm] between templates on a roll


@dataclass(frozen=True)
class TemplatePage:
    """One page of templates: its paper, the window of the drawing plane it shows [mm], what is drawn."""

    paper: Paper
    box: Box
    flats: tuple[Flat, ...]
    ids: tuple[str, ...]
    tile: str
    grid: str


def templates_sheets(
    heading: Heading, templates: Sequence[Template], paper: Paper, *, dated: date | None = None
) -> Sheets:
    """All templates at full size on one paper, ready to be set.

    Args:
        heading: what stands on every sheet.
        templates: in the order they are used.
        paper: A4, Letter, A3 or a roll (:mod:`panelmend.render.papers`).
        dated: the date in the file's metadata, if any.

    Raises:
        InputError: no template, or two with the same id.
    """
    return Sheets("templates", pages_data(heading, templates, paper), dated)


def _sheets(templates: Sequence[Template], cutter: _Cutter) -> list[TemplatePage]:
    _refuse_twice(templates)
    if cutter.paper.roll:
        return _on_roll(templates, cutter)
    sheets = []
    for t in templates:
        sheets += _tiled(t, *cutter.cut_up(t))
    return sheets


class _Cutter:
    """Drawings of templates on one paper and their sheets, each made once for pages and maps."""

    def __init__(self, heading: Heading, paper: Paper) -> None:
        self.heading, self.paper = heading, paper
        self._cut: dict[str, tuple[tuple[Flat, ...], Tiling]] = {}
        self._laid: dict[str, tuple[tuple[Flat, ...], Box]] = {}

    def cut_up(self, t: Template) -> tuple[tuple[Flat, ...], Tiling]:
        """A template's drawing and its sheets; its words are kept whole on one of them."""
        if t.id not in self._cut:
            flats = drawn_whole(t, self.heading)
            tiles = best_tiling(flats, self.paper)
            if len(tiles.tiles) > 1:
                flats = drawing_of(t, self.heading, windows=tiles.insides).flat()
                tiles = best_tiling(flats, self.paper)
            self._cut[t.id] = flats, tiles
        return self._cut[t.id]

    def on_roll(self, t: Template) -> tuple[tuple[Flat, ...], Box]:
        """A template's drawing as it lies on a roll, and its box [mm]."""
        if t.id not in self._laid:
            self._laid[t.id] = _laid(t, self.heading, self.paper.window[0])
        return self._laid[t.id]


def _refuse_twice(templates: Sequence[Template]) -> None:
    ids = [t.id for t in templates]
    twice = sorted({i for i in ids if ids.count(i) > 1})
    if twice or not ids:
        words = "two templates with the same id" if twice else "there is no template to print"
        raise InputError(words, read=", ".join(twice))


def _tiled(t: Template, flats: Sequence[Flat], tiles: Tiling) -> list[TemplatePage]:
    grid = f"{tiles.rows} × {tiles.columns}" if len(tiles.tiles) > 1 else ""
    return [
        TemplatePage(
            tiles.paper,
            tile.box,
            (*(f for f in flats if f.inks(tile.box)), *tile_marks(tiles, tile)),
            (t.id,),
            tile.name if grid else "",
            grid,
        )
        for tile in tiles.printed
    ]


def _on_roll(templates: Sequence[Template], cutter: _Cutter) -> list[TemplatePage]:
    """Templates side by side in rows along the roll; pages are cut between rows."""
    paper = cutter.paper
    width, longest = paper.window
    sheets: list[TemplatePage] = []
    placed: list[Flat] = []
    ids: list[str] = []
    x = y = high = 0.0

    def close() -> None:
        nonlocal placed, ids, x, y, high
        if ids:
            height = y + high
            sheets.append(
                TemplatePage(paper.cut(height), (0.0, 0.0, width, height), tuple(placed), tuple(ids), "", "")
            )
        placed, ids, x, y, high = [], [], 0.0, 0.0, 0.0

    for t in templates:
        flats, box = cutter.on_roll(t)
        w, h = box[2] - box[0] + 2 * PAD, box[3] - box[1] + 2 * PAD
        if w > width or h > longest:
            close()
            sheets += _tiled(t, *cutter.cut_up(t))
            continue
        if x and x + w > width:
            x, y, high = 0.0, y + high + _SPACE, 0.0
        if y + h > longest:
            close()
        placed += [_shifted(f, x + PAD - box[0], y + PAD - box[1]) for f in flats]
        ids.append(t.id)
        x, high = x + w + _SPACE, max(high, h)
    close()
    return sheets


def _laid(t: Template, heading: Heading, width: float) -> tuple[tuple[Flat, ...], Box]:
    """The template as it lies on the roll, turned a quarter where only that fits."""
    flats = drawn_whole(t, heading)
    box = bounds(flats)
    if box[2] - box[0] + 2 * PAD > width >= box[3] - box[1] + 2 * PAD:
        flats = drawing_of(t, heading, 0.5 * math.pi).flat()
        box = bounds(flats)
    return flats, box


def _shifted(f: Flat, dx: float, dy: float) -> Flat:
    if isinstance(f, Label):
        return Label(f.x + dx, f.y + dy, f.words, f.size, f.anchor, f.level, f.turn, f.colour, f.bold)
    loops = tuple(Loop(tuple((x + dx, y + dy, b) for x, y, b in p.rows), p.closed) for p in f.loops)
    return Stroke(loops, f.ink, f.fill)


def pages_data(heading: Heading, templates: Sequence[Template], paper: Paper) -> dict[str, Any]:
    """Plain data for the page template."""
    cutter = _Cutter(heading, paper)
    sheets = _sheets(templates, cutter)
    by_id = {t.id: t for t in templates}
    return {
        "heading": _heading_data(heading),
        "paper": {
            "title": paper.named(heading.view),
            "width": paper.width,
            "height": min(paper.height, 297.0 if paper.roll else paper.height),
        },
        "off": print_off(heading.view),
        "squares": page_data(check_squares(), (-0.5, -109.0, 109.0, 0.5)),
        "list": [_row(t, [i for i, s in enumerate(sheets) if t.id in s.ids]) for t in templates],
        "maps": _maps(templates, cutter),
        "curve-note": NOTE,
        "sheets": [_sheet_data(s, by_id) for s in sheets],
    }


def _heading_data(h: Heading) -> dict[str, Any]:
    return {"repair": h.repair, "panel": h.panel, "digest": h.digest, "mark": h.mark}


def _row(t: Template, sheets: list[int]) -> dict[str, Any]:
    return {
        "id": t.id,
        "title": t.title,
        "material": t.material,
        "arrow": t.arrow_words(),
        "seen": t.seen_from,
        "faced": t.faced,
        "quantity": t.quantity,
        "curve": list(t.curve),
        "sheets": sheets,
    }


def _maps(templates: Sequence[Template], cutter: _Cutter) -> list[dict[str, Any]]:
    made = []
    for t in templates:
        if cutter.paper.roll and _fits_roll(t, cutter):
            continue
        flats, tiles = cutter.cut_up(t)
        if len(tiles.tiles) < 2:
            continue
        skipped = ", ".join(s.name for s in tiles.skipped)
        made.append(
            {
                "id": t.id,
                "title": t.title,
                "drawing": page_data(tile_map(tiles, flats, 80.0, 62.0)),
                "words": f"{len(tiles.printed)} sheets of {tiles.rows} × {tiles.columns}"
                + (f"; not printed, empty: {skipped}" if skipped else ""),
            }
        )
    return made


def _fits_roll(t: Template, cutter: _Cutter) -> bool:
    _, box = cutter.on_roll(t)
    width, longest = cutter.paper.window
    return box[2] - box[0] + 2 * PAD <= width and box[3] - box[1] + 2 * PAD <= longest


def _sheet_data(s: TemplatePage, by_id: dict[str, Template]) -> dict[str, Any]:
    first = by_id[s.ids[0]]
    if len(s.ids) == 1:
        lines = [f"{first.material}   Cut {first.quantity}", first.arrow_words(), "; ".join(first.curve)]
        title = f"{first.id}   {first.title}"
        side = f"This side up, seen from {first.seen_from}"
    else:
        title, lines, side = "Templates " + ", ".join(s.ids), [], "This side up"
    left, top = s.paper.corner
    return {
        "width": s.paper.width,
        "height": s.paper.height,
        "corner": [left, top],
        "title": title,
        "words": "   ".join(w for w in lines if w),
        "side": side,
        "faced": len(s.ids) == 1 and first.faced,
        "tile": s.tile,
        "grid": s.grid,
        "drawing": page_data(s.flats, s.box, clip=True),
        "rulers": page_data(rulers(s.paper), (0.0, 0.0, s.paper.width, s.paper.height)),
    }
