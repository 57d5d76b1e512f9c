"""Flat primitives on paper: strokes of lines and arcs, and labels. Paper millimetres, y down.

Every drawing is brought down to these two before it is written, so that pages and SVG files show the same.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from panelmend.render.typesetting import CAP_HEIGHT
from panelmend.shapes import Arc, Segment
from panelmend.shapes.segments import segment_from_bulge

Row = tuple[float, float, float]  # x, y, bulge tan(included angle / 4) of the segment that leaves it
Box = tuple[float, float, float, float]  # least x, least y, greatest x, greatest y
Anchor = Literal["left", "middle", "right"]
Level = Literal["base", "middle", "top"]
LETTER = 0.58  # [em] a usual width of one letter: for judging room, never for placing

COLOURS = {
    "ink": "#1b2430",
    "grey": "#6a7582",
    "light": "#bcc5ce",
    "faint": "#eef2f5",
    "accent": "#0a5f8c",
    "tint": "#dbe9f2",
    "warn": "#b3261e",
    "more": "#f0c9c4",
    "less": "#b9d5e6",
    "paper": "#ffffff",
}


def colour_of(name: str) -> str:
    """A colour of :data:`COLOURS` by its name; one that is written out (``#rrggbb``) stays."""
    return name if name.startswith("#") else COLOURS[name]


@dataclass(frozen=True)
class Ink:
    """A pen: ``width`` on paper [mm], a colour as :func:`colour_of` takes it, ``dash`` lengths [mm]."""

    width: float = 0.25
    colour: str = "ink"
    dash: tuple[float, ...] = ()


@dataclass(frozen=True)
class Loop:
    """A run of lines and arcs in paper mm; the last vertex joins the first where ``closed``."""

    rows: tuple[Row, ...]
    closed: bool = True

    def parts(self) -> tuple[Segment, ...]:
        """The segments in order [mm]."""
        ends = self.rows[1:] + (self.rows[:1] if self.closed else ())
        pairs = zip(self.rows, ends, strict=self.closed)
        return tuple(segment_from_bulge(a[0], a[1], b[0], b[1], a[2]) for a, b in pairs)

    @property
    def straight(self) -> bool:
        """Whether it is of lines alone, one or more: then its corners say all, and no segment is made."""
        return len(self.rows) > 1 and not any(row[2] for row in self.rows)


@dataclass(frozen=True)
class Stroke:
    """Loops drawn with one pen and filled (even-odd) with a colour name, "" for none."""

    loops: tuple[Loop, ...]
    ink: Ink | None
    fill: str = ""

    def box(self) -> Box:
        """Bounds of the line, pen width included [mm]."""
        half = 0.5 * self.ink.width if self.ink else 0.0
        boxes = list[Box]()
        for loop in self.loops:
            if loop.straight:
                x, y, _ = zip(*loop.rows, strict=True)
                boxes.append((min(x), min(y), max(x), max(y)))
            else:
                boxes += [s.box() for s in loop.parts()]
        x0, y0, x1, y1 = zip(*boxes, strict=True)
        return min(x0) - half, min(y0) - half, max(x1) + half, max(y1) + half

    def inks(self, window: Box) -> bool:
        """Whether its line (not its fill) leaves ink inside the window [mm]."""
        return any(_inks(loop, window) for loop in self.loops)


@dataclass(frozen=True)
class Label:
    """Words at a point in paper mm; ``size`` of the letters [mm], ``turn`` [rad] counter-clockwise."""

    x: float
    y: float
    words: str
    size: float
    anchor: Anchor = "middle"
    level: Level = "middle"
    turn: float = 0.0
    colour: str = "ink"
    bold: bool = False

    def width(self) -> float:
        """A usual width of the words [mm]."""
        return LETTER * self.size * len(self.words)

    def box(self) -> Box:
        """Bounds of the words, judged by a usual letter width [mm]."""
        w = self.width()
        left = {"left": 0.0, "middle": -0.5 * w, "right": -w}[self.anchor]
        low = {"base": 0.0, "middle": 0.5, "top": 1.0}[self.level] * CAP_HEIGHT * self.size
        if self.turn == 0.0:
            return self.x + left, self.y + (low - 0.9 * self.size), self.x + (left + w), self.y + low
        c, s = math.cos(self.turn), math.sin(self.turn)
        corners = [(left + i * w, low - j * 0.9 * self.size) for i in (0, 1) for j in (0, 1)]
        xs = [self.x + c * x + s * y for x, y in corners]
        ys = [self.y - s * x + c * y for x, y in corners]
        return min(xs), min(ys), max(xs), max(ys)

    def inks(self, window: Box) -> bool:
        """Whether the words reach into the window [mm]."""
        return overlap(self.box(), window)


Flat = Stroke | Label


def overlap(a: Box, b: Box) -> bool:
    """Whether two boxes meet."""
    return a[0] <= b[2] and b[0] <= a[2] and a[1] <= b[3] and b[1] <= a[3]


def bounds(flats: Iterable[Flat]) -> Box:
    """Bounds of all primitives [mm]."""
    x0, y0, x1, y1 = zip(*(f.box() for f in flats), strict=True)
    return min(x0), min(y0), max(x1), max(y1)


def _inks(loop: Loop, window: Box) -> bool:
    """Whether the line of a loop meets a window."""
    if not loop.straight:
        return any(_meets_window(s, window) for s in loop.parts())
    x0, y0, x1, y1 = window
    ends = loop.rows[1:] + (loop.rows[:1] if loop.closed else ())
    for (ax, ay, _), (bx, by, _) in zip(loop.rows, ends, strict=loop.closed):
        aside = (ax < x0 and bx < x0) or (ax > x1 and bx > x1)
        beyond = (ay < y0 and by < y0) or (ay > y1 and by > y1)
        if not (aside or beyond) and _crosses((ax, ay), (bx, by), x0, y0, x1, y1):
            return True
    return False


def _meets_window(s: Segment, window: Box) -> bool:
    if not overlap(s.box(), window):
        return False
    x0, y0, x1, y1 = window
    if isinstance(s, Arc):  # short chords, each within a micrometre of the arc
        n = max(1, math.ceil(abs(s.sweep) * math.sqrt(s.radius / 8e-3)))
        points = [s.at(i / n) for i in range(n + 1)]
    else:
        points = [s.start, s.end]
    return any(_crosses(a, b, x0, y0, x1, y1) for a, b in itertools.pairwise(points))


def _crosses(
    a: tuple[float, float], b: tuple[float, float], x0: float, y0: float, x1: float, y1: float
) -> bool:
    """Whether a straight piece meets a rectangle (clipped against its four sides in turn)."""
    low, high = 0.0, 1.0
    for start, end, least, most in ((a[0], b[0], x0, x1), (a[1], b[1], y0, y1)):
        run = end - start
        if run == 0.0:
            if not least <= start <= most:
                return False
            continue
        t0, t1 = sorted(((least - start) / run, (most - start) / run))
        low, high = max(low, t0), min(high, t1)
    return low <= high


def cubics(s: Arc, most_off: float = 1e-4) -> Iterator[tuple[float, ...]]:
    """An arc as cubics (x1, y1, x2, y2, x, y) that stay within ``most_off`` [mm] of it.

    The usual cubic for an arc of sweep w is off by 2.73e-4 r (w / 90 deg)^6, so the count follows.
    """
    quarter = abs(s.sweep) / (0.5 * math.pi)
    n = max(
        1, math.ceil(quarter * max(s.radius * 2.73e-4 / most_off, 1e-9) ** (1.0 / 6.0)), math.ceil(quarter)
    )
    k = s.radius * 4.0 / 3.0 * math.tan(0.25 * s.sweep / n)
    x0, y0 = s.at(0.0)
    along, up = k * math.sin(s.start_angle), k * math.cos(s.start_angle)
    for i in range(1, n + 1):
        angle = s.start_angle + s.sweep * i / n
        x1, y1 = s.end if i == n else s.at(i / n)
        left, right = (x0 - along, y0 + up), (k * math.sin(angle), k * math.cos(angle))
        yield (*left, x1 + right[0], y1 - right[1], x1, y1)
        x0, y0, (along, up) = x1, y1, right


def page_data(flats: Sequence[Flat], box: Box | None = None, *, clip: bool = False) -> dict[str, Any]:
    """Plain data that the page templates' ``draw`` puts on paper at its true size.

    Args:
        flats: what to draw [mm].
        box: the part of the drawing plane that becomes the box on the page; all of it by default.
        clip: cut off what lies outside the box.
    """
    x0, y0, x1, y1 = box or bounds(flats)
    items = []
    for f in flats:
        if isinstance(f, Label):
            items.append(_label_data(f, x0, y0))
        else:
            pen = f.ink
            items.append(
                {
                    "path": [c for loop in f.loops for c in _commands(loop, x0, y0)],
                    "pen": [_n(pen.width), colour_of(pen.colour), list(pen.dash)] if pen else [],
                    "fill": colour_of(f.fill) if f.fill else "",
                }
            )
    return {"width": _n(x1 - x0), "height": _n(y1 - y0), "clip": clip, "items": items}


def _label_data(f: Label, x0: float, y0: float) -> dict[str, Any]:
    return {
        "words": f.words,
        "at": [_n(f.x - x0), _n(f.y - y0)],
        "size": _n(f.size),
        "anchor": f.anchor,
        "level": f.level,
        "turn": _n(-math.degrees(f.turn)),
        "colour": colour_of(f.colour),
        "bold": f.bold,
    }


def _commands(loop: Loop, x0: float, y0: float) -> Iterator[list[float | str]]:
    rows = loop.rows
    yield [_n(rows[0][0] - x0), _n(rows[0][1] - y0), "m"]
    if loop.straight:
        for x, y, _ in rows[1:]:  # where it is closed the last line is drawn by closing it
            yield [round(x - x0, 6) + 0.0, round(y - y0, 6) + 0.0]
    else:
        parts = loop.parts()
        for i, s in enumerate(parts):
            if isinstance(s, Arc):
                for c in cubics(s):
                    yield [_n(v - (x0, y0)[j % 2]) for j, v in enumerate(c)]
            elif not (loop.closed and i == len(parts) - 1):
                yield [_n(s.x1 - x0), _n(s.y1 - y0)]
    if loop.closed:
        yield []


def _n(value: float) -> float:
    return round(value, 6) + 0.0
