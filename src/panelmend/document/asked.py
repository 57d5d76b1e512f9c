"""What a document says that may be right and seldom is: somebody is asked about it before it is taken."""

from __future__ import annotations

import math
from collections.abc import Iterator

from panelmend.document.bounds import bounded, plainly
from panelmend.document.crossed import crossed
from panelmend.document.geometry import shape_outline
from panelmend.document.model import Confirmation, Document
from panelmend.document.places import Path
from panelmend.document.question import Asked as Asked
from panelmend.document.reader import dotted
from panelmend.errors import InputError
from panelmend.units import read

LARGE, SMALL = 5.0, 0.05  # m: sides of a panel that come on one bench; common practice, no source
PANEL_TURN = 2.0 * math.pi / 3.0  # rad: a panel that goes further round than this
BAND_HALF_WIDTH = 40.0  # K from what is held to an end of its band; common practice, no source
COOLEST_HEATED_CURE = 313.15  # K: what is heated to less needs no heat


def asked_values(document: Document) -> tuple[Asked, ...]:
    """Every value of a sound document that is outside what is usual."""
    view = document.repair.units
    found = []
    for b in bounded(document):
        if b.unusual and b.usual is not None:
            low, high = (plainly(u, b.kind, view) for u in b.usual)
            key = _key(document, b.path)
            words = f"{b.what} {plainly(b.value, b.kind, view)}; usual is {low} to {high} ({b.bounds.source})"
            found.append(Asked(key, dotted(b.path), words, b.value, b.kind))
    made = (_size, _turn, _cool, _wide)
    found += [question for ask in made for question in ask(document, view)]
    said = {q.key for q in found}  # a field is asked about once, whichever of its ranges it lies outside
    return (*found, *(q for q in crossed(document, view) if q.key not in said))


def settled_by(document: Document, question: Asked) -> Confirmation | None:
    """Who confirmed exactly this value; another value, none, or a practice sheet settles nothing."""
    for c in document.confirm:
        if not c.sheet and c.figure == question.key and c.value and _same_as_asked(c.value, question):
            return c
    return None


def _same_as_asked(text: str, question: Asked) -> bool:
    if question.text:
        return text.split() == question.text.split()
    try:
        value = read(text, question.kind) if question.kind else float(text)
    except (InputError, ValueError):
        return False
    return math.isclose(value, question.value, rel_tol=1e-9)


def _key(document: Document, path: Path) -> str:
    """The path in words; a material by its id, which stays when another one is typed above it."""
    if path[0] == "materials":
        ident = getattr(document.materials, str(path[1]))[path[2]].id
        return ".".join(["materials", ident, *(str(p) for p in path[3:])])
    return dotted(tuple(p for p in path if p != "value"))


def _size(document: Document, view: str) -> Iterator[Asked]:
    x0, y0, x1, y1 = shape_outline(document.panel.outline).bounds
    size, least = max(x1 - x0, y1 - y0), min(x1 - x0, y1 - y0)
    for value, wrong, end in ((size, size > LARGE, LARGE), (least, least < SMALL, SMALL)):
        if wrong:
            side = "at most" if end == LARGE else "at least"
            words = f"a panel {plainly(value, 'length', view)} long or wide; usual is {side} "
            words += plainly(end, "length", view)
            yield Asked("panel.outline.size", "panel.outline", words, value, "length")


def _turn(document: Document, view: str) -> Iterator[Asked]:
    """How far round a bent panel goes: most radii with a digit lost show here."""
    curve = document.panel.curvature
    if curve is None or curve.coordinates == "plan":
        return
    edge = shape_outline(document.panel.outline)
    turn = edge.extent(curve.axis + 0.5 * math.pi) / curve.radius
    if turn > PANEL_TURN:
        words = f"with a radius of {plainly(curve.radius, 'length', view)} the panel goes "
        words += f"{math.degrees(turn):.0f} deg round; usual is at most {math.degrees(PANEL_TURN):.0f} deg"
        yield Asked("panel.curvature.turn", "panel.curvature.radius", words, round(turn, 3), "angle")


def _wide(document: Document, view: str) -> Iterator[Asked]:
    """A band that reaches far from what is held: one of its ends is in another unit."""
    for i, cure in enumerate(document.data.cure):
        for j, s in enumerate(cure.segment):
            ends = [e for e in (s.low, s.high) if e is not None and abs(e - s.to) > BAND_HALF_WIDTH]
            if s.kind == "dwell" and ends:
                place = f"data.cure[{i + 1}].segment[{j + 1}].band"
                words = (
                    f"{cure.name}: held at {plainly(s.to, 'temperature', view)} in a band that reaches to "
                )
                words += f"{plainly(ends[0], 'temperature', view)}: C or F?"
                yield Asked(place, place, words, ends[0], "temperature")


def _cool(document: Document, view: str) -> Iterator[Asked]:
    for i, cure in enumerate(document.data.cure):
        dwells = [s.to for s in cure.segment if s.kind == "dwell"]
        if cure.heated_by != "room temperature" and dwells and max(dwells) < COOLEST_HEATED_CURE:
            words = f"{cure.name}: heated to {plainly(max(dwells), 'temperature', view)} at most; "
            words += f"usual is {plainly(COOLEST_HEATED_CURE, 'temperature', view)} or more: C or F?"
            place = f"data.cure[{i + 1}]"
            yield Asked(f"{place}.warmest", place, words, max(dwells), "temperature")
