"""Tiling: a template larger than the sheet is cut into overlapping windows with marks to join them again."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from panelmend.render.papers import OVERLAP, Paper
from panelmend.render.strokes import Box, Flat, Ink, Label, Loop, Stroke, bounds

PAD = 3.0  # [mm] kept round what is drawn
JOIN = Ink(0.18, "accent")
FOLD = Ink(0.13, "light", (2.0, 1.4))


@dataclass(frozen=True)
class Tile:
    """One window of the drawing plane [mm]; rows are letters from the top, columns numbers from the left."""

    row: int
    column: int
    box: Box
    inked: bool

    @property
    def name(self) -> str:
        """Such as B3."""
        return f"{chr(ord('A') + self.row % 26) * (1 + self.row // 26)}{self.column + 1}"


@dataclass(frozen=True)
class Tiling:
    """All windows of one template on one paper, row by row; those without ink are not printed."""

    paper: Paper
    rows: int
    columns: int
    tiles: tuple[Tile, ...]

    @property
    def insides(self) -> tuple[Box, ...]:
        """The part of each window that no other window shares [mm]; none where there is one sheet."""
        if len(self.tiles) < 2:
            return ()
        o = OVERLAP
        return tuple((t.box[0] + o, t.box[1] + o, t.box[2] - o, t.box[3] - o) for t in self.tiles)

    @property
    def printed(self) -> tuple[Tile, ...]:
        """The tiles that are printed."""
        return tuple(t for t in self.tiles if t.inked)

    @property
    def skipped(self) -> tuple[Tile, ...]:
        """The tiles without ink."""
        return tuple(t for t in self.tiles if not t.inked)

    def at(self, row: int, column: int) -> Tile | None:
        """The tile at a place, None outside the grid."""
        if 0 <= row < self.rows and 0 <= column < self.columns:
            return self.tiles[row * self.columns + column]
        return None


def best_tiling(flats: Sequence[Flat], paper: Paper) -> Tiling:
    """The tiling with the fewest printed sheets, sheets upright or across (a roll stays as it is)."""
    upright = tiling(flats, paper)
    if paper.roll:
        return upright
    across = tiling(flats, paper.across())
    return across if len(across.printed) < len(upright.printed) else upright


def tiling(flats: Sequence[Flat], paper: Paper) -> Tiling:
    """The windows that cover what is drawn, centred on it.

    Args:
        flats: what is drawn [mm].
        paper: the sheet; its window is the size of a tile.
    """
    x0, y0, x1, y1 = bounds(flats)
    width, height = paper.window
    columns, rows = _sheet_count(x1 - x0 + 2 * PAD, width), _sheet_count(y1 - y0 + 2 * PAD, height)
    left = 0.5 * (x0 + x1) - 0.5 * (columns * (width - OVERLAP) + OVERLAP)
    top = 0.5 * (y0 + y1) - 0.5 * (rows * (height - OVERLAP) + OVERLAP)
    tiles = []
    for r in range(rows):
        for c in range(columns):
            x, y = left + c * (width - OVERLAP), top + r * (height - OVERLAP)
            box = (x, y, x + width, y + height)
            tiles.append(Tile(r, c, box, any(f.inks(box) for f in flats)))
    return Tiling(paper, rows, columns, tuple(tiles))


def _sheet_count(length: float, window: float) -> int:
    return max(1, math.ceil((length - OVERLAP) / (window - OVERLAP) - 1e-9))


def tile_marks(tiles: Tiling, tile: Tile) -> list[Flat]:
    """Edge marks at the window's corners, and crosses that lie over those of the printed neighbours."""
    x0, y0, x1, y1 = tile.box
    made: list[Flat] = []
    if len(tiles.printed) < 2:
        return made
    for dr, dc in ((0, -1), (0, 1), (-1, 0), (1, 0)):
        other = tiles.at(tile.row + dr, tile.column + dc)
        if other is None or not other.inked:
            continue
        if dc:
            x = x0 + 0.5 * OVERLAP if dc < 0 else x1 - 0.5 * OVERLAP
            edge = x0 + OVERLAP if dc < 0 else x1 - OVERLAP
            made.append(_line((edge, y0), (edge, y1), FOLD))
            spots = [(x, y0 + f * (y1 - y0)) for f in (0.2, 0.8)]
            words = (x, 0.5 * (y0 + y1), f"joins {other.name}", 0.5 * math.pi)
        else:
            y = y0 + 0.5 * OVERLAP if dr < 0 else y1 - 0.5 * OVERLAP
            edge = y0 + OVERLAP if dr < 0 else y1 - OVERLAP
            made.append(_line((x0, edge), (x1, edge), FOLD))
            spots = [(x0 + f * (x1 - x0), y) for f in (0.2, 0.8)]
            words = (0.5 * (x0 + x1), y, f"joins {other.name}", 0.0)
        for px, py in spots:
            made += _join(px, py)
        made.append(Label(words[0], words[1], words[2], 2.2, "middle", "middle", words[3], "accent"))
    return made + _corners(tile.box)


def _line(a: tuple[float, float], b: tuple[float, float], ink: Ink) -> Stroke:
    return Stroke((Loop(((*a, 0.0), (*b, 0.0)), closed=False),), ink)


def _join(x: float, y: float) -> list[Flat]:
    h, r = 4.0, 2.0
    ring = Stroke((Loop(((x - r, y, 1.0), (x + r, y, 1.0))),), JOIN)
    return [_line((x - h, y), (x + h, y), JOIN), _line((x, y - h), (x, y + h), JOIN), ring]


def _corners(box: Box) -> list[Flat]:
    made: list[Flat] = []
    for x, sx in ((box[0], 1.0), (box[2], -1.0)):
        for y, sy in ((box[1], 1.0), (box[3], -1.0)):
            rows = ((x + 6.0 * sx, y, 0.0), (x, y, 0.0), (x, y + 6.0 * sy, 0.0))
            made.append(Stroke((Loop(rows, closed=False),), Ink(0.18, "grey")))
    return made


def tile_map(tiles: Tiling, flats: Sequence[Flat], width: float, height: float) -> list[Flat]:
    """A small map of the sheets: the template's lines, each sheet's window and name, skipped ones dashed.

    Args:
        tiles: the tiling.
        flats: what is drawn [mm]; only its lines are shown.
        width: room for the map [mm].
        height: room for the map [mm].
    """
    x0, y0 = tiles.tiles[0].box[:2]
    x1, y1 = tiles.tiles[-1].box[2:]
    k = min(width / (x1 - x0), height / (y1 - y0))
    made: list[Flat] = []
    for t in tiles.tiles:
        a, b, c, d = (k * (v - o) for v, o in zip(t.box, (x0, y0, x0, y0), strict=True))
        rows = ((a, b, 0.0), (c, b, 0.0), (c, d, 0.0), (a, d, 0.0))
        ink = Ink(0.18, "accent") if t.inked else Ink(0.13, "light", (1.0, 1.0))
        made.append(Stroke((Loop(rows),), ink, "" if t.inked else "faint"))
    for f in flats:
        if isinstance(f, Stroke) and f.ink is not None and not f.ink.dash:
            loops = tuple(
                Loop(tuple((k * (x - x0), k * (y - y0), u) for x, y, u in loop.rows), loop.closed)
                for loop in f.loops
            )
            made.append(Stroke(loops, Ink(0.18, "ink")))
    for t in tiles.tiles:
        x, y = k * (0.5 * (t.box[0] + t.box[2]) - x0), k * (0.5 * (t.box[1] + t.box[3]) - y0)
        size = max(1.6, min(4.0, 0.25 * k * (t.box[2] - t.box[0])))
        made.append(Label(x, y, t.name if t.inked else "–", size, colour="accent" if t.inked else "grey"))
    return made
