"""The panel's own sizes, and the damage, against each other."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from panelmend.document.bounds import plainly
from panelmend.document.geometry import shape_outline
from panelmend.document.model import Document
from panelmend.document.panel import Fastener, Structure
from panelmend.document.question import PRACTICE, Asked, Subject, Usual, Weighed
from panelmend.errors import ShapeError
from panelmend.shapes import Outline, without_area

SHARE_OUTSIDE = 0.02  # of the part's own area: what may lie outside the panel's edge and still be drawing
WARP_STEP = math.radians(15.0)  # plies of a panel lie along multiples of this
SAME_ANGLE = math.radians(0.01)
# Narrow side of what touches the panel, thickness of its body [m].
FLANGE, WEB, BODY = (0.008, 0.15), (0.0005, 0.012), (0.002, 0.1)


def _structure(document: Document) -> Weighed:
    edge = shape_outline(document.panel.outline)
    x0, y0, x1, y1 = edge.bounds
    diagonal = math.hypot(x1 - x0, y1 - y0)
    for i, part in enumerate(document.panel.structure):
        of, touch = (
            Subject(f"panel.structure[{i + 1}]", part, part.id, source=PRACTICE),
            shape_outline(part.shape),
        )
        yield from _touching(of, part, touch, edge, diagonal)
        web = part.kind in ("rib", "spar")
        low, high = WEB if web else BODY if part.kind == "fitting" else (WEB[0], BODY[1])
        yield of.usual("thickness", f"thickness of a {part.kind}", "length", low, high)
        if web:
            yield of.usual("height", "height of a web", "length", 0.01, 0.4)
            yield of.share("height", "thickness", "height of a web over its thickness", 5.0, 200.0)


def _touching(of: Subject, part: Structure, touch: Outline, edge: Outline, diagonal: float) -> Weighed:
    """Where a part touches the panel lies on the panel; a rib is narrow and crosses it."""
    beyond = without_area(touch, edge) / touch.area
    what, why = "share of where it touches that lies outside the panel", "it touches the panel"
    yield of.row("shape.against_panel", what, beyond, "ratio", 0.0, SHARE_OUTSIDE, because=why)
    if part.kind not in ("rib", "spar"):
        return
    a, b = _sides(part, touch)
    yield of.row("shape.flange", "width of its flange", b, "length", *FLANGE)
    what, why = "its length over the panel's diagonal", "it runs across the panel"
    yield of.row("shape.length", what, a / diagonal, "ratio", 0.12, 1.05, because=why)


def _areas(document: Document) -> Weighed:
    """Earlier repairs and areas without core lie in the panel."""
    panel = document.panel
    edge = shape_outline(panel.outline)
    for field, what in (("earlier_repair", "earlier repair"), ("solid_area", "area without core")):
        for i, area in enumerate(getattr(panel, field)):
            drawn = shape_outline(area.shape)
            yield Usual(
                f"panel.{field}[{i + 1}].shape.against_panel",
                f"{area.id}: share of this {what} that lies outside the panel",
                without_area(drawn, edge) / drawn.area,
                "ratio",
                0.0,
                SHARE_OUTSIDE,
                because="it lies in the panel",
                source=PRACTICE,
            )


def _sides(part: Structure, touch: Outline) -> tuple[float, float]:
    """Length and width of where a part touches."""
    typed = part.shape.rectangle or part.shape.oval or part.shape.ellipse
    x0, y0, x1, y1 = touch.bounds
    a, b = (typed.length, typed.width) if typed is not None else (x1 - x0, y1 - y0)
    return max(a, b), min(a, b)


def _spots(document: Document) -> Weighed:
    groups: tuple[tuple[str, Sequence[Fastener]], ...] = (
        ("fastener", document.panel.fastener),
        ("insert", document.panel.insert),
    )
    for kind, group in groups:
        for i, spot in enumerate(group):
            of = Subject(f"panel.{kind}[{i + 1}]", spot, spot.id, source=PRACTICE)
            if kind == "insert":
                yield of.usual("diameter", "diameter of an insert", "length", 0.005)
            if spot.keep_out:
                yield of.share("keep_out", "diameter", "distance to keep out over its diameter", 0.2, 6.0)


def _warps(document: Document) -> Weighed:
    """Most plies lie along multiples of 15 degrees: one that does not is seldom meant."""
    panel, data = document.panel, document.data
    for name in ("outer_skin", "inner_skin"):
        for i, ply in enumerate(getattr(panel, name).plies):
            yield from _way(f"panel.{name}.plies[{i + 1}].warp", ply.warp)
    for side in ("outside", "inside"):
        plies = getattr(data.plies, side)
        for name in ("fill", "repair", "extra", "sanding") if plies is not None else ():
            given: Any = getattr(plies, name)
            if given is None:
                continue
            if name == "sanding":
                yield from _way(f"data.plies.{side}.{name}.warp", given.value.warp)
                continue
            for i, ply in enumerate(given.value):
                yield from _way(f"data.plies.{side}.{name}[{i + 1}].warp", ply.warp)
    if data.core.cap is not None:
        for i, ply in enumerate(data.core.cap.value.plies):
            yield from _way(f"data.core.cap.plies[{i + 1}].warp", ply.warp)


def _way(key: str, warp: float) -> Weighed:
    off = abs(warp / WARP_STEP - round(warp / WARP_STEP)) * WARP_STEP
    if off > SAME_ANGLE:
        words = f"warp {plainly(warp, 'angle')}; usual is a multiple of 15 deg ({PRACTICE})"
        yield Asked(key, key, words, warp, "angle")


def _wet(document: Document) -> Weighed:
    damage = document.damage
    if damage.wet_area is None or damage.shape is None:
        return
    try:
        area = shape_outline(damage.shape).area
    except ShapeError:
        return
    yield Usual(
        "damage.wet_area.against_damage",
        "wet area over the area of the damage",
        damage.wet_area / area,
        "ratio",
        0.1,
        10.0,
        because="water spreads from the damage",
        source=PRACTICE,
    )


def _core_depth(document: Document) -> Weighed:
    depth, core = document.damage.core_depth, document.panel.core.thickness
    if depth is not None:
        what = "depth of core damage over the core's thickness"
        yield Usual("damage.core_depth.against_core", what, depth / core, "ratio", 0.05, 1.0, source=PRACTICE)


CHECKS = (_structure, _areas, _spots, _warps, _wet, _core_depth)
