"""Full-size templates: what one is, and how it is drawn so that nobody lays it the wrong way up."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

from panelmend.derive.memory import remembered
from panelmend.render.drawing import EDGE, HIDDEN, THIN, Cross, Drawing, DrawnShape, Item, Pointer, Run, Text
from panelmend.render.strokes import LETTER, Box, Flat, Ink, Stroke
from panelmend.shapes import Outline, Point, clearance, inside, rectangle, to_polygon
from panelmend.units import show

Operation = Literal["cut cloth", "cut core", "cut skin", "mark"]
Lines = tuple[tuple[str, str, bool], ...]  # words, colour, bold
DART = Ink(0.35, "warn", (3.0, 0.8, 0.6, 0.8))  # its dots and dashes tell it apart where colour does not
_CLEAR = 9e-3  # [m] above the centre: where the cross and the words end
_OFF = 0.5  # [mm] a broken line ends before words
_STEP = 3e-4  # [m] along a line that words may break
_BLOCK = 1.55  # [em] line distance of the block of words


@dataclass(frozen=True)
class Heading:
    """What stands on every sheet: repair number, panel, plan digest, mark (STOP, DRAFT or none), units."""

    repair: str
    panel: str
    digest: str
    mark: str
    view: str = "mm"


@dataclass(frozen=True)
class Template:
    """One template as seen from the side it is laid from, its centre at the origin, 0 degrees along +x.

    ``outlines``: the cut line first, then holes. ``reference``: outlines to show lightly, not to cut.
    ``arrow`` is the direction of warp or ribbon as seen [rad], None where there is none; ``both_ways``: the
    weave has no direction, so half a turn is allowed. ``faced``: the cloth has a face and must not be
    mirrored. ``curve``: what a double bend does to it, in short lines; ``darts``: wedges to cut out of it.
    mirrored. ``laid_in`` names the bonding operation it goes down in, ``lay`` is its number there (0 for what
    is not laid); ``lot`` and ``out_time`` are of the stock it is cut from.
    """

    id: str
    title: str
    operation: Operation
    outlines: tuple[Outline, ...]
    material: str
    arrow: float | None
    arrow_name: str
    both_ways: bool
    seen_from: str
    faced: bool
    quantity: int
    notes: tuple[str, ...] = ()
    reference: tuple[Outline, ...] = ()
    curve: tuple[str, ...] = ()
    darts: tuple[Outline, ...] = ()
    laid_in: str = ""
    lay: int = 0
    lot: str = ""
    out_time: str = ""

    def turned(self, angle: float) -> Template:
        """The template turned on its sheet by ``angle`` [rad]; its own marks turn with it."""
        return replace(
            self,
            outlines=tuple(o.turned(angle) for o in self.outlines),
            reference=tuple(o.turned(angle) for o in self.reference),
            darts=tuple(o.turned(angle) for o in self.darts),
            arrow=None if self.arrow is None else self.arrow + angle,
        )

    def arrow_words(self, turn: float = 0.0) -> str:
        """The direction in words, from the panel's 0 degrees; ``turn`` is how far the sheet was turned."""
        if self.arrow is None:
            return ""
        angle = math.remainder(self.arrow - turn, math.tau)
        words = show(angle, "angle", decimals=1).replace(".0°", "°")
        return f"{self.arrow_name} {words.replace('-', '−')}"

    def lines(self, heading: Heading) -> Lines:
        """The words on the template: (words, colour, bold) of each line, most needed first."""
        made = [(self.id, "ink", True), (self.title, "ink", False)]
        if self.arrow is not None:
            made.append((self.arrow_words(), "accent", True))
        made.append((f"This side up, seen from {self.seen_from}", "ink", True))
        if self.faced:
            made.append(("Do not mirror: the cloth has a face", "warn", True))
        made.append((f"{self.material}   Cut {self.quantity}", "ink", False))
        made += [(line, "warn", False) for line in self.curve]
        made += [(note, "ink", False) for note in self.notes]
        made.append((f"{heading.repair}   {heading.digest}", "grey", False))
        return tuple(made)


def drawing_of(
    template: Template, heading: Heading, turn: float = 0.0, windows: Sequence[Box] = ()
) -> Drawing:
    """The template at full size.

    Args:
        template: what to draw.
        heading: what stands on every sheet.
        turn: how far it is turned on its sheet [rad].
        windows: where it is cut into sheets, the parts of the drawing plane [mm, y down] one of which the
            words must fit into.
    """
    t = template.turned(turn) if turn else template
    block = list(_block(t, template.lines(heading), windows))
    items: list[Item] = [item for o in t.reference for item in _shown_lightly(o, block)]
    items += [DrawnShape((o,), EDGE) for o in t.outlines]
    items += [DrawnShape((o,), DART) for o in t.darts]
    items += [_dart_words(t, i) for i in range(len(t.darts))]
    items += _directions(t, turn)
    items += block
    return Drawing(tuple(items))


@remembered  # each paper, and the cutter's files, ask for the same
def drawn_whole(template: Template, heading: Heading) -> tuple[Flat, ...]:
    """The template at full size on one sheet, not turned, as strokes and labels [mm, y down]."""
    return drawing_of(template, heading).flat()


def _shown_lightly(line: Outline, words: Sequence[Item]) -> Iterator[Item]:
    """A line of reference, broken where words lie over it: none strikes them through."""
    boxes = [f.box() for f in Drawing(tuple(words)).flat()]
    whole = DrawnShape((line,), HIDDEN)
    (stroke,) = Drawing((whole,)).flat()
    struck = [b for b in boxes if isinstance(stroke, Stroke) and stroke.inks(b)]
    if not struck:
        yield whole
        return
    runs: list[list[Point]] = [[]]
    for p in _along(line):
        x, y = 1e3 * p[0], -1e3 * p[1]
        if any(a - _OFF <= x <= c + _OFF and b - _OFF <= y <= d + _OFF for a, b, c, d in struck):
            runs.append([])
        else:
            runs[-1].append(p)
    # what is left between two lines of words is shorter than its dashes, and looks like a sign
    yield from (Run(tuple(run), HIDDEN) for run in runs if len(run) * _STEP > 5e-3)


def _along(line: Outline) -> Iterator[Point]:
    """Points [m] all round a line, so near to each other that no letter hides between two."""
    corners = to_polygon(line, 2e-5)
    for (x0, y0), (x1, y1) in pairwise([*corners, corners[0]]):
        parts = max(1, math.ceil(math.hypot(x1 - x0, y1 - y0) / _STEP))
        yield from ((x0 + (x1 - x0) * i / parts, y0 + (y1 - y0) * i / parts) for i in range(parts))
    yield corners[0]


def _dart_words(t: Template, i: int) -> Text:
    """The name of a dart, along it and beside it."""
    (x, y), (mx, my) = t.darts[i].centroid, t.outlines[0].centroid
    along = math.atan2(y - my, x - mx)
    half = 500.0 * t.darts[i].extent(along + 0.5 * math.pi)
    angle = math.remainder(along, math.pi)
    up = (-math.sin(angle), math.cos(angle))
    away = half + 1.0
    return Text(
        (x, y),
        f"dart {i + 1}",
        2.3,
        "middle",
        "base",
        angle,
        "warn",
        True,
        shift=(away * up[0], away * up[1]),
    )


def _directions(t: Template, turn: float) -> Iterator[Item]:
    """Centre cross, the panel's 0 degrees, and the warp or ribbon arrow."""
    yield Cross((0.0, 0.0), 14.0, THIN, ring=True, turn=turn)
    c, s = math.cos(turn), math.sin(turn)
    length = _arrow_length(t, (0.0, 0.0), turn, 60.0, ends=(1,)) if len(t.outlines) == 1 else 30.0
    start, tip = 9.0, max(length, 16.0)
    middle = (1e-3 * 0.5 * (start + tip) * c, 1e-3 * 0.5 * (start + tip) * s)
    yield Pointer(middle, turn, tip - start, THIN, 2.2)
    yield Text((1e-3 * tip * c, 1e-3 * tip * s), "0°", 2.6, "left", "middle", turn, shift=(1.2 * c, 1.2 * s))
    if t.arrow is None:
        return
    at, length = _arrow_place(t)
    yield Pointer(at, t.arrow, length, replace(EDGE, colour="accent", width=0.5), 4.0, t.both_ways)
    angle = math.remainder(t.arrow, math.pi)
    up = (-math.sin(angle), math.cos(angle))
    words = t.arrow_words(turn)
    size = min(3.0, 0.8 * length / (LETTER * len(words)))
    if size >= 1.4:
        yield Text(at, words, size, "middle", "base", angle, "accent", True, shift=(1.3 * up[0], 1.3 * up[1]))


def _on_template(t: Template, p: Point) -> bool:
    return t.outlines[0].contains(p) and not any(o.contains(p) for o in t.outlines[1:])


def _arrow_length(
    t: Template, at: Point, angle: float, most: float, ends: tuple[int, ...] = (1, -1)
) -> float:
    """The longest arrow [mm] from (or about, with both ends) a point that stays on the template."""
    half = 1.0 if len(ends) == 1 else 0.5
    for length in (most, 0.8 * most, 0.6 * most, 0.45 * most, 0.3 * most, 0.2 * most):
        reach = 1e-3 * half * (length + 5.0)
        tips = [(at[0] + e * reach * math.cos(angle), at[1] + e * reach * math.sin(angle)) for e in ends]
        if all(_on_template(t, p) for p in tips):
            return length
    return 0.0


def _arrow_place(t: Template) -> tuple[Point, float]:
    """Where the warp arrow lies and how long it is [mm]: above the centre, as long as there is room.

    Its whole length stays clear of the centre cross and of the words below it where that is possible.
    """
    assert t.arrow is not None
    top = t.outlines[0].bounds[3]
    best, longest = ((0.0, 0.5 * top), 12.0), 0.0
    for f in (0.5, 0.6, 0.4, 0.7, 0.3, 0.8, 0.9):
        at = (0.0, f * top)
        if not _on_template(t, at):
            continue
        rise = abs(math.sin(t.arrow))
        clear = 80.0 if rise < 1e-6 else min(80.0, 2e3 * (at[1] - _CLEAR) / rise)
        length = _arrow_length(t, at, t.arrow, clear) if clear > 8.0 else 0.0
        if length > longest + 1e-9:
            best, longest = (at, length), length
    return best


def _block(t: Template, lines: Lines, windows: Sequence[Box]) -> Iterator[Item]:
    """The words: inside the template where they find room, else below it."""
    whole = ((3.2, lines), (2.6, lines), (2.1, lines))
    tries = [(size, some, True) for size, some in whole if t.reference]  # smaller before struck through
    tries += [(size, some, False) for size, some in (*whole, (2.1, lines[:5]), (1.7, lines[:4]))]
    for size, some, clear in tries:
        place = _block_place(t, some, size, windows, clear=clear)
        if place is not None:
            yield from _words(place, some, size)
            return
    x0, y0, x1, _ = t.outlines[0].bounds
    yield from _words((0.5 * (x0 + x1), y0 - 4e-3), lines, 2.6)


def _words(top: Point, lines: Lines, size: float) -> Iterator[Item]:
    down = 0.0
    for i, (words, colour, bold) in enumerate(lines):
        high = 2.2 * size if i == 0 else size
        yield Text(top, words, high, "middle", "top", 0.0, colour, bold, shift=(0.0, -down))
        down += _BLOCK * high * (0.75 if i == 0 else 1.0)


def _block_place(
    t: Template, lines: Lines, size: float, windows: Sequence[Box], *, clear: bool
) -> Point | None:
    """The top middle [m] of a block of words that clears every line of the template, or None.

    ``clear``: those of reference, too; else it may lie over one where there is no place without.
    """
    longest = max(len(w) * (2.2 if i == 0 else 1.06) for i, (w, _, _) in enumerate(lines))
    wide = 1e-3 * (4.0 + size * LETTER * longest)
    high = 1e-3 * (3.0 + _BLOCK * size * (len(lines) - 1 + 2.2 * 0.75))
    x0, y0, x1, y1 = t.outlines[0].bounds
    if wide > x1 - x0 or high > y1 - y0:
        return None
    middle = -9e-3 - 0.5 * high
    ys = [middle, *(middle + f * (y0 - middle) for f in (0.15, 0.3, 0.45, 0.6, 0.75, 0.9))]
    xs = [0.0, *(f * w for f in (0.25, 0.5, 0.75) for w in (x0, x1))]
    spots = [(x, y) for x in xs for y in ys]
    if windows:
        spots = [s for s in spots if _in_a_window(s, wide, high, windows)]
        spots += [(5e-4 * (w[0] + w[2]), -5e-4 * (w[1] + w[3])) for w in windows]
    first: Point | None = None  # of those that only lie over a reference line
    for x, y in spots:
        half = (0.5 * wide + 1e-3 - 1e-8, 0.5 * high + 1e-3 - 1e-8)
        if x - half[0] < x0 or x + half[0] > x1 or y - half[1] < y0 or y + half[1] > y1:
            continue  # cheap and sure: a box that leaves the bounds is not inside
        box = rectangle((x, y), wide, high)
        if not inside(box, t.outlines[0], 1e-3):
            continue
        if any(clearance(box, o).overlaps for o in (*t.outlines[1:], *t.darts)):
            continue
        if all(clearance(box, o).distance > 0.0 for o in t.reference):
            return (x, y + 0.5 * high - 1e-3)
        if not clear:
            first = first or (x, y + 0.5 * high - 1e-3)
    return first


def _in_a_window(at: Point, wide: float, high: float, windows: Sequence[Box]) -> bool:
    x, y = 1e3 * at[0], -1e3 * at[1]
    w, h = 500.0 * wide, 500.0 * high
    return any(a <= x - w and x + w <= c and b <= y - h and y + h <= d for a, b, c, d in windows)
