"""The panel with its damage before anything is planned: as text for a terminal, and as SVG."""

from __future__ import annotations

import math
from collections.abc import Sequence

from panelmend.job.case import Case
from panelmend.render.drawing import DrawnShape, Hatch, Text
from panelmend.render.strokes import Ink
from panelmend.render.svg import to_svg
from panelmend.render.views.panel import DAMAGE, surroundings
from panelmend.render.views.sheet import Looking, make_view, seen_from_words
from panelmend.shapes import Outline, circle
from panelmend.shapes.clearance import clearance
from panelmend.units import show

WIDTH, HEIGHT = 66, 24  # characters
_TALL = 2.0  # a character is about twice as high as wide
_FINE = 3  # points looked at in a character, along and across
SIZE = (250.0, 180.0)  # mm
FAR = Ink(0.35, "warn", (1.2, 0.8))


def sketch_lines(cases: Sequence[Case]) -> list[str]:
    """The panel as text: its edge, what a damage must keep clear of, each damage, and where it lies.

    Args:
        cases: the case of each damage, of one panel.
    """
    case = cases[0]
    look = Looking(case.document.panel.seen_from)
    g = case.geometry
    edge = look.outline(g.outline)
    layers: list[tuple[str, list[Outline]]] = [
        *((mark, [look.outline(o) for o in _damages(c)]) for mark, c in _marked(cases)),
        ("o", [circle(look.point(s.at), s.diameter) for s in g.spots]),
        ("r", [look.outline(a.outline) for a in g.earlier]),
        ("=", [look.outline(a.outline) for a in g.structure]),
        ("%", [look.outline(a.outline) for a in g.solid]),
        (".", [edge]),
    ]
    outlines = [o for _, group in layers for o in group]
    x0, y0 = min(o.bounds[0] for o in outlines), min(o.bounds[1] for o in outlines)
    x1, y1 = max(o.bounds[2] for o in outlines), max(o.bounds[3] for o in outlines)
    step = max((x1 - x0) / WIDTH, (y1 - y0) / (HEIGHT * _TALL))
    wide = max(1, math.ceil((x1 - x0) / step - 1e-9))
    high = max(1, math.ceil((y1 - y0) / (step * _TALL) - 1e-9))
    rows = []
    for j in range(high):
        top = y1 - j * step * _TALL
        rows.append("".join(_mark(layers, x0 + i * step, top, step) for i in range(wide)).rstrip())
    return [*rows, "", *_legend(case, layers), *(x for c in cases for x in where_lines(c))]


def _marked(cases: Sequence[Case]) -> list[tuple[str, Case]]:
    """The letter each damage has on the drawing: X where there is one, else that of its name."""
    return [(c.document.damage.id[:1] if len(cases) > 1 else "X", c) for c in cases]


def _damages(case: Case) -> list[Outline]:
    return [o for o in (case.geometry.damage, case.geometry.far_damage) if o is not None]


def _mark(layers: list[tuple[str, list[Outline]]], left: float, top: float, step: float) -> str:
    """What lies in the field of one character; a damage smaller than it is still seen."""
    places = [
        (left + (i + 0.5) * step / _FINE, top - (j + 0.5) * step * _TALL / _FINE)
        for j in range(_FINE)
        for i in range(_FINE)
    ]
    for mark, group in layers:
        for o in group:
            if mark.isupper() or mark == "o":
                cx, cy = o.centroid
                if 0.0 <= cx - left < step and 0.0 < top - cy <= step * _TALL:
                    return mark
            if any(o.contains(p) for p in places):
                return mark
    return " "


def _legend(case: Case, layers: list[tuple[str, list[Outline]]]) -> list[str]:
    words = {
        "o": "fastener or insert",
        "r": "earlier repair",
        "=": "structure behind",
        "%": "without core",
        ".": "panel",
    }
    there = [f"{mark} {words.get(mark, 'damage')}" for mark, group in layers if group]
    panel = case.document.panel
    names = panel.directions
    said = ", ".join(
        f"{word} is {text}" for word, text in (("right", names.at_0), ("up", names.at_90)) if text
    )
    turn = f"; {said}" if said else ""
    return [
        "   ".join(there),
        f"Seen from the {panel.seen_from}; 0 degrees to the right is {panel.zero}{turn}.",
    ]


def where_lines(case: Case) -> list[str]:
    """How large the damage is and where it lies, in words to be held against the panel."""
    g, d = case.geometry, case.document.damage
    if g.damage is None:
        return ["No outline of the damage yet."]
    o = g.damage
    cx, cy = Looking(case.document.panel.seen_from).point(o.centroid)
    at = f"{show(cx, 'length', case.view)}, {show(cy, 'length', case.view)}"
    size = show(o.largest_extent(), "length", case.view)
    area = show(o.area, "area", case.view)
    name = f"Damage {d.id}".strip()
    lines = [f"{name}: {d.depth}, {d.side}, {size} at its longest, {area}, middle at {at}."]
    near = clearance(o, g.outline)  # one that leaves the panel is refused before anything is drawn
    lines.append(f"Nearest to the panel's edge: {show(near.distance, 'length', case.view)}.")
    for spot in g.spots:
        gap = clearance(o, circle(spot.at, spot.diameter))
        if gap.overlaps:
            lines.append(f"It covers {spot.kind} {spot.id}.")
    return lines


def sketch_svg(cases: Sequence[Case]) -> bytes:
    """The same as a drawing with its scale."""
    case = cases[0]
    side = case.document.panel.seen_from
    look, g = Looking(side), case.geometry
    items = surroundings(case, look)
    frame = [look.outline(g.outline)]
    for each in cases:
        far, near = each.geometry.far_damage, each.geometry.damage
        if far is not None:
            frame.append(look.outline(far))
            items.append(DrawnShape((frame[-1],), FAR))
        if near is not None:
            o = look.outline(near)
            frame.append(o)
            items += [DrawnShape((o,), DAMAGE, "paper"), Hatch((o,), spacing=1.0, ink=Ink(0.13, "warn"))]
            if len(cases) > 1:
                items.append(Text(o.centroid, each.document.damage.id, bold=True))
    said = "; ".join(f"{c.document.damage.depth}, {c.document.damage.side}" for c in cases)
    said = f"damage hatched: {said}; nothing is planned yet"
    words = f"{seen_from_words(side)}; {said}"
    x0, _, _, y1 = frame[0].bounds
    top = (f"{case.document.panel.name}, {case.document.panel.part_number}: {seen_from_words(side)}", said)
    for line, up in zip(top, (8.0, 3.5), strict=True):
        items.append(Text((x0, y1), line, size=2.8, anchor="left", level="base", shift=(0.0, up)))
    view = make_view("sketch", case.document.panel.name, words, items, frame, SIZE, margin=14)
    note = " ".join(x for c in cases for x in where_lines(c))
    return to_svg(view.flats, title=f"{view.title}: {view.words}", box=view.window, margin=0.0, note=note)
