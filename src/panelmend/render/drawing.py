"""A small drawing vocabulary: what is drawn in panel metres, how it looks in paper millimetres.

Positions are in metres with y up; letters, pens, arrow heads and hatch spacing are in paper millimetres and
stay the same at every scale. At scale 1 a millimetre of the panel is a millimetre on paper.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from panelmend.render.placing import halo
from panelmend.render.strokes import Anchor, Flat, Ink, Label, Level, Loop, Row, Stroke
from panelmend.shapes import Arc, Line, Outline, Point

HAIR = Ink(0.13, "grey")
THIN = Ink(0.18, "ink")
EDGE = Ink(0.35, "ink")
ACCENT = Ink(0.35, "accent")
HIDDEN = Ink(0.18, "grey", (1.6, 1.0))
CENTRE = Ink(0.13, "grey", (4.0, 0.8, 0.8, 0.8))


@dataclass(frozen=True)
class DrawnShape:
    """Closed outlines drawn with one pen; the second and further ones are holes of the fill."""

    outlines: tuple[Outline, ...]
    ink: Ink | None = EDGE
    fill: str = ""


@dataclass(frozen=True)
class Run:
    """An open line through points [m]."""

    points: tuple[Point, ...]
    ink: Ink = THIN


@dataclass(frozen=True)
class Rings:
    """Closed rings through points [m], filled (even-odd): for fields, where no exact outline stands
    behind."""

    rings: tuple[tuple[Point, ...], ...]
    ink: Ink | None
    fill: str = ""


@dataclass(frozen=True)
class Text:
    """Words at a point [m]; ``shift`` moves them on paper [mm, x right, y up]; ``turn`` [rad].

    ``clear``: on a patch of paper, so that no line under them strikes them through.
    """

    at: Point
    words: str
    size: float = 3.0
    anchor: Anchor = "middle"
    level: Level = "middle"
    turn: float = 0.0
    colour: str = "ink"
    bold: bool = False
    shift: Point = (0.0, 0.0)
    clear: bool = False


@dataclass(frozen=True)
class Arrow:
    """An arrow from ``tail`` to ``tip`` [m] with a filled head [mm]; two heads where ``both``."""

    tail: Point
    tip: Point
    ink: Ink = THIN
    head: float = 2.4
    both: bool = False


@dataclass(frozen=True)
class Pointer:
    """An arrow of a length on paper [mm] about a point [m] in the direction ``angle`` [rad].

    ``shift`` moves it on paper [mm, x right, y up].
    """

    at: Point
    angle: float
    length: float
    ink: Ink = ACCENT
    head: float = 3.0
    both: bool = False
    shift: Point = (0.0, 0.0)


@dataclass(frozen=True)
class Dimension:
    """A dimension between two points [m], its line ``away`` [mm] to the left of start to end."""

    start: Point
    end: Point
    words: str
    away: float = 6.0
    size: float = 2.6


@dataclass(frozen=True)
class Hatch:
    """Lines at ``angle`` [rad], ``spacing`` [mm] apart, inside the first outline and outside the others."""

    outlines: tuple[Outline, ...]
    angle: float = math.pi / 4
    spacing: float = 2.0
    ink: Ink = HAIR


@dataclass(frozen=True)
class Cross:
    """A cross of two lines ``size`` long [mm] at a point [m], with a ring where ``ring``."""

    at: Point
    size: float = 6.0
    ink: Ink = THIN
    ring: bool = False
    turn: float = 0.0


Item = DrawnShape | Rings | Run | Text | Arrow | Pointer | Dimension | Hatch | Cross


@dataclass(frozen=True)
class Drawing:
    """Items in drawing order and the scale they are put on paper with (0.1 is 1:10)."""

    items: tuple[Item, ...]
    scale: float = 1.0

    def flat(self) -> tuple[Flat, ...]:
        """The drawing as strokes and labels in paper mm, y down; the panel's origin stays at (0, 0)."""
        return tuple(f for item in self.items for f in _flatten(item, 1e3 * self.scale))


def scale_to_fit(outlines: Iterable[Outline], width: float, height: float) -> float:
    """The largest usual scale at which outlines fit a box on paper [mm].

    Args:
        outlines: what must fit [m].
        width: room on paper [mm].
        height: room on paper [mm].
    """
    boxes = [o.bounds for o in outlines]
    wide = 1e3 * (max(b[2] for b in boxes) - min(b[0] for b in boxes))
    high = 1e3 * (max(b[3] for b in boxes) - min(b[1] for b in boxes))
    fits = min(width / wide, height / high)
    usual = [5.0, 2.0, *(1.0 / n for n in (1, 2, 2.5, 4, 5, 8, 10, 15, 20, 25, 30, 40, 50, 75, 100, 200))]
    return next((s for s in usual if s <= fits), fits)


def scale_words(scale: float) -> str:
    """How a scale is written: ``1:5``, ``2:1``."""
    return f"{scale:g}:1" if scale > 1.0 else f"1:{round(1.0 / scale, 3):g}"


def _flatten(item: Item, k: float) -> list[Flat]:
    match item:
        case DrawnShape():
            return [Stroke(tuple(outline_loop(o, k) for o in item.outlines), item.ink, item.fill)]
        case Rings():
            loops = tuple(Loop(tuple((*_paper(p, k), 0.0) for p in ring)) for ring in item.rings)
            return [Stroke(loops, item.ink, item.fill)] if loops else []
        case Run():
            return [_line([_paper(p, k) for p in item.points], item.ink)]
        case Text():
            x, y = _paper(item.at, k)
            x, y = x + item.shift[0], y - item.shift[1]
            label = Label(
                x, y, item.words, item.size, item.anchor, item.level, item.turn, item.colour, item.bold
            )
            return [halo(label), label] if item.clear else [label]
        case Arrow():
            return _arrow(_paper(item.tail, k), _paper(item.tip, k), item.ink, item.head, item.both)
        case Pointer():
            x, y = _paper(item.at, k)
            x, y = x + item.shift[0], y - item.shift[1]
            hx, hy = 0.5 * item.length * math.cos(item.angle), -0.5 * item.length * math.sin(item.angle)
            return _arrow((x - hx, y - hy), (x + hx, y + hy), item.ink, item.head, item.both)
        case Dimension():
            return _dimension(item, k)
        case Hatch():
            return _hatch(item, k)
        case Cross():
            return _cross(item, k)


def outline_loop(outline: Outline, k: float) -> Loop:
    """An outline in paper mm, y down: ``k`` paper mm to a metre; bulges turn with the axis."""
    return Loop(tuple((k * v.x, -k * v.y, -v.bulge) for v in outline.vertices))


def _paper(p: Point, k: float) -> Point:
    return (k * p[0], -k * p[1])


def _line(points: Sequence[Point], ink: Ink) -> Stroke:
    rows: tuple[Row, ...] = tuple((x, y, 0.0) for x, y in points)
    return Stroke((Loop(rows, closed=False),), ink)


def _arrow(tail: Point, tip: Point, ink: Ink, head: float, both: bool) -> list[Flat]:
    length = math.hypot(tip[0] - tail[0], tip[1] - tail[1])
    ux, uy = (tip[0] - tail[0]) / length, (tip[1] - tail[1]) / length
    head = min(head, 0.45 * length)

    def barb(at: Point, sx: float, sy: float) -> Stroke:
        bx, by = at[0] - head * sx, at[1] - head * sy
        wx, wy = -0.3 * head * sy, 0.3 * head * sx
        rows = ((at[0], at[1], 0.0), (bx + wx, by + wy, 0.0), (bx - wx, by - wy, 0.0))
        return Stroke((Loop(rows),), None, ink.colour)

    inner = 0.8 * head
    start = (tail[0] + inner * ux, tail[1] + inner * uy) if both else tail
    shaft = _line([start, (tip[0] - inner * ux, tip[1] - inner * uy)], replace(ink, dash=()))
    return [shaft, barb(tip, ux, uy), *([barb(tail, -ux, -uy)] if both else [])]


def upright(angle: float) -> float:
    """The angle [rad] or its opposite, whichever lets words be read from below or from the right."""
    a = math.remainder(angle, math.tau)
    return a if -0.5 * math.pi + 1e-9 < a <= 0.5 * math.pi + 1e-9 else math.remainder(a + math.pi, math.tau)


def _dimension(item: Dimension, k: float) -> list[Flat]:
    a, b = _paper(item.start, k), _paper(item.end, k)
    length = math.hypot(b[0] - a[0], b[1] - a[1])
    ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    nx, ny = uy, -ux  # to the left of start to end as seen on the page (y runs down)
    sign = math.copysign(1.0, item.away)
    p = (a[0] + item.away * nx, a[1] + item.away * ny)
    q = (b[0] + item.away * nx, b[1] + item.away * ny)
    made: list[Flat] = []
    for foot, end in ((a, p), (b, q)):
        start = (foot[0] + sign * nx, foot[1] + sign * ny)
        made.append(_line([start, (end[0] + 1.2 * sign * nx, end[1] + 1.2 * sign * ny)], HAIR))
    made += _arrow(p, q, HAIR, 2.0, both=True)
    turn = upright(math.atan2(-uy, ux))
    up = (-math.sin(turn), -math.cos(turn))  # above the words on the page
    lift = 0.9
    x, y = 0.5 * (p[0] + q[0]) + lift * up[0], 0.5 * (p[1] + q[1]) + lift * up[1]
    made.append(Label(x, y, item.words, item.size, "middle", "base", turn))
    return made


def _cross(item: Cross, k: float) -> list[Flat]:
    x, y = _paper(item.at, k)
    h = 0.5 * item.size
    c, s = h * math.cos(item.turn), h * math.sin(item.turn)
    made: list[Flat] = [
        _line([(x - c, y + s), (x + c, y - s)], item.ink),
        _line([(x - s, y - c), (x + s, y + c)], item.ink),
    ]
    if item.ring:
        r = 0.6 * h
        made.append(Stroke((Loop(((x - r, y, 1.0), (x + r, y, 1.0))),), item.ink))
    return made


def _hatch(item: Hatch, k: float) -> list[Flat]:
    c, s = math.cos(item.angle), math.sin(item.angle)
    turned = [o.turned(-item.angle) for o in item.outlines]
    parts = [p for o in turned for p in o.segments()]
    step = item.spacing / k
    low, high = turned[0].bounds[1], turned[0].bounds[3]
    loops: list[Loop] = []
    for i in range(math.ceil(low / step), math.floor(high / step) + 1):
        y = (i + 1e-7) * step  # never quite through a vertex
        xs = sorted(x for p in parts for x in _level(p, y))
        for x0, x1 in zip(xs[::2], xs[1::2], strict=False):
            ends = [_paper((c * x - s * y, s * x + c * y), k) for x in (x0, x1)]
            loops.append(Loop(tuple((px, py, 0.0) for px, py in ends), closed=False))
    return [Stroke(tuple(loops), item.ink)] if loops else []


def _level(p: Line | Arc, y: float) -> list[float]:
    """Where a segment crosses a level line: x of each crossing."""
    if isinstance(p, Arc):
        dy = y - p.cy
        if abs(dy) >= p.radius:
            return []
        dx = math.sqrt((p.radius - dy) * (p.radius + dy))
        return [x for x in (p.cx - dx, p.cx + dx) if 0.0 <= p.fraction(x, y) < 1.0]
    if (p.y0 <= y) == (p.y1 <= y):
        return []
    return [p.x0 + (y - p.y0) * (p.x1 - p.x0) / (p.y1 - p.y0)]
