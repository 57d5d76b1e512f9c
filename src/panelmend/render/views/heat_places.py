"""Where the thermocouples go: a drawing to place them by, measured from the opening's centre."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from panelmend.document.panel import Side
from panelmend.job.card.thermocouples import measured_from
from panelmend.job.case import Case
from panelmend.job.cure.part import Placed
from panelmend.render.drawing import (
    ACCENT,
    CENTRE,
    HAIR,
    THIN,
    Cross,
    Drawing,
    DrawnShape,
    Item,
    Pointer,
    Run,
    Text,
    scale_to_fit,
    scale_words,
)
from panelmend.render.placing import Placer, placed_apart
from panelmend.render.strokes import Flat, Ink, Label, Loop, Stroke
from panelmend.render.views.sheet import Looking, View, bar, paper_round, seen_from_words
from panelmend.shapes import Outline, Point, distance_to_point
from panelmend.units import on_a_rule, show

LEFT, BELOW = 20.0, 15.0  # [mm] room for the measures
_GAP = 3.4  # [mm] between measures one beside another


@dataclass(frozen=True)
class PlacingAxes:
    """What thermocouples are placed by: centre and direction of the opening, in standard axes."""

    side: Side
    centre: Point
    direction: float  # [rad]
    patch: Outline
    cutout: Outline

    def measured(self, at: Point) -> Point:
        """A place along the opening's length and across it, to the left as seen, from its centre [m]."""
        return measured_from(at, self.centre, self.direction, self.side)

    def seen(self, outline: Outline) -> Outline:
        """An outline as seen, turned so that the opening's length lies level and its centre at the origin."""
        look = Looking(self.side)
        cx, cy = look.point(self.centre)
        return look.outline(outline).moved(-cx, -cy).turned(-look.angle(self.direction))

    def beyond_patch(self, at: Point) -> float:
        """How far outside the patch's edge a place lies, below zero inside [m]."""
        return -distance_to_point(self.patch, at)


def words_for_place(bench: PlacingAxes, at: Point, view: str) -> tuple[str, str, str]:
    """Along, across and from the patch's edge, in words."""
    u, v = bench.measured(at)
    along = _signed(u, ("ahead", "back"), view)
    across = _signed(v, ("left", "right"), view)
    out = bench.beyond_patch(at)
    return along, across, f"{_measure(abs(out), view)} {'outside' if out >= 0 else 'inside'}"


def _signed(value: float, names: tuple[str, str], view: str) -> str:
    words = _measure(abs(value), view)
    none = words == show(0.0, "length", view)
    return words if none else f"{words} {names[0] if value > 0 else names[1]}"


def _measure(value: float, view: str) -> str:
    """A measure of a place [m] as on the card."""
    return (on_a_rule(value, short=True) if view == "in" else "") or show(value, "length", view)


def places_view(
    case: Case,
    bench: PlacingAxes,
    heated: Outline | None,
    sensors: Sequence[Placed],
    size: tuple[float, float],
) -> View:
    """Patch, cut-out and blanket, each thermocouple with its two measures from the centre lines."""
    outlines = [bench.seen(bench.patch), bench.seen(bench.cutout)]
    points = [(bench.measured(s.at), s) for s in sensors]
    frame = _frame(outlines[0], [p for p, _ in points])
    on_paper = scale_to_fit([frame], size[0] - LEFT - 8.0, size[1] - BELOW - 8.0)
    k = 1e3 * on_paper
    x0, y0, x1, y1 = frame.bounds
    items: list[Item] = [
        DrawnShape((outlines[0],), ACCENT, "tint"),
        DrawnShape((outlines[1],), Ink(0.3, "ink", (0.6, 0.7)), "paper"),
    ]
    if heated is not None:
        items.append(DrawnShape((bench.seen(heated),), Ink(0.3, "accent", (3.0, 0.9, 0.6, 0.9))))
    items += [
        Run(((x0, 0.0), (x1, 0.0)), CENTRE),
        Run(((0.0, y0), (0.0, y1)), CENTRE),
        Cross((0.0, 0.0), 4.0, THIN),
    ]
    flats = list(Drawing(tuple(items), on_paper).flat())
    window = (k * x0 - LEFT, -k * y1 - 4.0, k * x1 + 4.0, -k * y0 + BELOW)
    flats.append(paper_round((k * x0, -k * y1, k * x1, -k * y0))[0])
    flats += _measures(points, k, (x0, y0), case.view)
    placer = Placer((k * x0, -k * y1, k * x1, -k * y0))
    for (u, v), _ in points:
        placer.keep((k * u - 1.7, -k * v - 1.7, k * u + 1.7, -k * v + 1.7))
    for (u, v), s in sorted(points, key=lambda p: p[1].face != "far face"):  # a dot lies in a ring behind it
        flats += mark(k * u, -k * v, s.face)
    for (u, v), s in points:
        flats += placer.place(k * u, -k * v, s.id, 2.8, "ink", bold=True)
    flats += _arrow(bench, window)
    words = (
        f"{seen_from_words(bench.side)}, the opening's length level; measured from its centre, ahead to the "
        f"right, left upwards; open rings are on the opposite side; scale {scale_words(on_paper)}"
    )
    return View("thermocouples", "Places of the thermocouples", words, tuple(flats), window)


def _frame(patch: Outline, points: Sequence[Point]) -> Outline:
    bx0, by0, bx1, by1 = patch.bounds
    xs, ys = [bx0, bx1, *(p[0] for p in points)], [by0, by1, *(p[1] for p in points)]
    more = 0.08 * max(max(xs) - min(xs), max(ys) - min(ys))
    return bar(min(xs) - more, min(ys) - more, max(xs) + more, max(ys) + more)


def mark(x: float, y: float, face: str) -> list[Flat]:
    """A thermocouple on paper: a filled dot on the repair side, an open ring on the far face [mm]."""
    radius, fill = (1.5, "paper") if face == "far face" else (0.85, "warn")
    ring = Loop(((x - radius, y, 1.0), (x + radius, y, 1.0)))
    return [Stroke((ring,), Ink(0.35, "ink"), fill)]


def _measures(points: Sequence[tuple[Point, Placed]], k: float, corner: Point, view: str) -> list[Flat]:
    """A line down from each thermocouple to its measure along, and one to the left to its measure across."""
    foot, left = -k * corner[1], k * corner[0]
    flats: list[Flat] = []
    xs, ys = _apart([k * u for (u, _), _ in points]), _apart([-k * v for (_, v), _ in points])
    for ((u, v), _), at in zip(points, xs, strict=True):
        rows = ((k * u, -k * v, 0.0), (k * u, foot, 0.0), (at, foot + 2.5, 0.0), (at, foot + 3.2, 0.0))
        flats.append(Stroke((Loop(rows, closed=False),), HAIR))
        flats.append(Label(at, foot + 3.8, _signed_measure(u, view), 2.2, "right", "middle", 0.5 * math.pi))
    for ((u, v), _), at in zip(points, ys, strict=True):
        rows = ((k * u, -k * v, 0.0), (left, -k * v, 0.0), (left - 2.5, at, 0.0), (left - 3.2, at, 0.0))
        flats.append(Stroke((Loop(rows, closed=False),), HAIR))
        flats.append(Label(left - 3.8, at, _signed_measure(v, view), 2.2, "right", "middle"))
    return list(dict.fromkeys(flats))  # the same measure of two thermocouples is written once


def _apart(wanted: Sequence[float]) -> list[float]:
    """Where measures stand: equal ones together, the others apart [mm]."""
    own = sorted({round(w, 2) for w in wanted})
    places = dict(zip(own, placed_apart(own, _GAP), strict=True))
    return [places[round(w, 2)] for w in wanted]


def _signed_measure(value: float, view: str) -> str:
    words = _measure(abs(value), view)
    return f"−{words}" if value < 0.0 and words != show(0.0, "length", view) else words


def _arrow(bench: PlacingAxes, window: tuple[float, float, float, float]) -> list[Flat]:
    """The panel's 0 degrees, turned as the drawing is turned."""
    angle = -Looking(bench.side).angle(bench.direction)
    at = ((window[0] + 10.0) * 1e-3, -(window[3] - 6.0) * 1e-3)
    items = (
        Pointer(at, angle, 13.0),
        Text(at, "0°", size=2.8, level="base", colour="accent", bold=True, shift=(0.0, 1.4)),
    )
    return list(Drawing(items, 1.0).flat())
