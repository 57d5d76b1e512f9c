"""The panel with its damage, the cut-out, and the core."""

from __future__ import annotations

import math

from panelmend.document.panel import Side
from panelmend.job.case import Case
from panelmend.job.core.part import CorePart
from panelmend.job.cutout.part import CutoutPart
from panelmend.job.work import Work
from panelmend.render.drawing import (
    ACCENT,
    EDGE,
    HAIR,
    HIDDEN,
    THIN,
    Cross,
    Dimension,
    DrawnShape,
    Hatch,
    Item,
    Pointer,
    Text,
)
from panelmend.render.strokes import Ink
from panelmend.render.views.sheet import Looking, View, make_view, seen_from_words
from panelmend.shapes import Outline, Point, circle, rectangle
from panelmend.units import on_a_rule, show

DAMAGE = Ink(0.35, "warn")


def surroundings(case: Case, look: Looking, *, others: bool = True) -> list[Item]:
    """Structure, solid areas, earlier repairs, other damages, fasteners and inserts, and the panel's edge."""
    g = case.geometry
    items: list[Item] = []
    names: list[Text] = []  # over all lines, so that none strikes them through
    for area in g.structure:
        o = look.outline(area.outline)
        items.append(DrawnShape((o,), HIDDEN, "faint"))
        names.append(_named(o, f"{area.kind} {area.id}".replace("rib rib", "rib")))
    for area in g.solid:
        o = look.outline(area.outline)
        items += [Hatch((o,), spacing=1.6), DrawnShape((o,), THIN)]
        names.append(_named(o, area.id))
    for area in g.earlier:
        o = look.outline(area.outline)
        items.append(DrawnShape((o,), THIN, "tint"))
        names.append(_named(o, area.id))
    for area in case.others if others else ():
        o = look.outline(area.outline)
        items += [DrawnShape((o,), DAMAGE, "paper"), Hatch((o,), spacing=2.4, ink=Ink(0.13, "warn"))]
        names.append(_named(o, f"damage {area.id}, not this page's"))
    for spot in g.spots:
        at = look.point(spot.at)
        items.append(Cross(at, size=2.4, ink=THIN))
        items.append(DrawnShape((circle(at, spot.diameter),), THIN))
        if spot.keep_out > 0:
            items.append(DrawnShape((circle(at, spot.diameter + 2 * spot.keep_out),), HIDDEN))
    items.append(DrawnShape((look.outline(g.outline),), EDGE))
    band = case.document.panel.edge_band
    if band > 0:
        from panelmend.shapes import offset

        items += [DrawnShape((look.outline(o),), HIDDEN) for o in offset(g.outline, -band)]
    return [*items, *names]


def _named(outline: Outline, words: str) -> Text:
    x0, _, x1, y1 = outline.bounds
    at = (0.5 * (x0 + x1), y1)
    return Text(at, words, size=2.2, colour="grey", level="top", shift=(0.0, -1.0), clear=True)


def panel_view(case: Case, work: Work | None, side: Side, size: tuple[float, float]) -> View:
    """The whole panel with damage, cut-out and the largest ply."""
    look, g = Looking(side), case.geometry
    items = surroundings(case, look)
    if work is not None:
        layup = next((s for s in work.plies.sides if s.side == side), work.plies.sides[0])
        items.append(DrawnShape((look.outline(layup.largest.outline),), THIN, "tint"))
        items.append(DrawnShape((look.outline(layup.cutout),), ACCENT, "paper"))
    if g.damage is not None:
        items.append(DrawnShape((look.outline(g.damage),), DAMAGE, "paper"))
        items.append(Hatch((look.outline(g.damage),), spacing=0.9, ink=Ink(0.13, "warn")))
    items += _overall_sizes(case, look)
    words = f"{seen_from_words(side)}; 0° is {case.document.panel.zero}"
    return make_view(
        "panel", case.document.panel.name, words, items, [look.outline(g.outline)], size, margin=12
    )


def _overall_sizes(case: Case, look: Looking) -> list[Item]:
    x0, y0, x1, y1 = look.outline(case.geometry.outline).bounds
    view = case.view
    return [
        Dimension((x1, y1), (x0, y1), show(x1 - x0, "length", view), away=-6.0),
        Dimension((x1, y0), (x1, y1), show(y1 - y0, "length", view), away=-6.0),
    ]


def cutout_view(case: Case, cutout: CutoutPart, size: tuple[float, float]) -> View:
    """The cut-out over the damage, with its sizes."""
    look, opening = Looking(cutout.side), cutout.opening
    items: list[Item] = []
    o = look.outline(opening.outline)
    items.append(DrawnShape((o,), ACCENT, "tint"))
    if case.geometry.damage is not None:
        d = look.outline(case.geometry.damage)
        items += [DrawnShape((d,), DAMAGE, "paper"), Hatch((d,), spacing=1.2, ink=Ink(0.13, "warn"))]
    items.append(Cross(look.point(opening.centre), size=5.0, ink=HAIR))
    items += sizes(
        case, look, opening.centre, float(opening.angle), float(opening.length), float(opening.width)
    )
    frame = rectangle(look.point(opening.centre), *_box(o))
    title = f"Cut-out, {opening.form}, skin on the {cutout.side}"
    words = f"{seen_from_words(cutout.side)}; damage hatched"
    return make_view("cutout", title, words, items, [frame], size, margin=16)


def far_cutout_view(case: Case, cutout: CutoutPart, size: tuple[float, float]) -> View | None:
    """The cut-out in the other skin of a hole through both, with its extents; None where there is none."""
    if cutout.far is None:
        return None
    side: Side = "inside" if cutout.side == "outside" else "outside"
    look = Looking(side)
    o = look.outline(cutout.far)
    items: list[Item] = [DrawnShape((o,), ACCENT, "tint")]
    if case.geometry.far_damage is not None:
        d = look.outline(case.geometry.far_damage)
        items += [DrawnShape((d,), DAMAGE, "paper"), Hatch((d,), spacing=1.2, ink=Ink(0.13, "warn"))]
    items.append(Cross(o.centroid, size=5.0, ink=HAIR))
    angle = float(cutout.opening.angle)
    length, width = cutout.far.extent(angle), cutout.far.extent(angle + 0.5 * math.pi)
    items += sizes(case, look, cutout.far.centroid, angle, length, width)
    frame = rectangle(o.centroid, *_box(o))
    words = f"{seen_from_words(side)}; damage hatched"
    return make_view("cutout far", f"Cut-out, skin on the {side}", words, items, [frame], size, margin=16)


def _box(o: Outline) -> tuple[float, float]:
    x0, y0, x1, y1 = o.bounds
    side = max(x1 - x0, y1 - y0)
    return side, side


def sizes(case: Case, look: Looking, centre: Point, angle: float, length: float, width: float) -> list[Item]:
    """Dimension lines along the computed length and width [m] of an opening, in the words of its step.

    On an inch page both are measured with a rule.
    """
    a = look.angle(angle)
    cx, cy = look.point(centre)
    c, s = math.cos(a), math.sin(a)

    def at(u: float, v: float) -> Point:
        return (cx + c * u - s * v, cy + s * u + c * v)

    def words(value: float) -> str:
        by_rule = on_a_rule(value) if case.view == "in" else ""
        return by_rule or show(value, "length", case.view)

    half_l, half_w = 0.5 * length, 0.5 * width
    items: list[Item] = [Dimension(at(-half_l, -half_w), at(half_l, -half_w), words(length), away=-7.0)]
    if abs(length - width) > 1e-9:
        items.append(Dimension(at(half_l, -half_w), at(half_l, half_w), words(width), away=-7.0))
    return items


def core_view(case: Case, core: CorePart, size: tuple[float, float]) -> View | None:
    """The plug in its opening with the ribbon's direction; None where no core is replaced."""
    plug = core.plug
    if plug is None:
        return None
    look = Looking(core.side)
    opening, outline = look.outline(plug.opening), look.outline(plug.outline)
    angle = float(plug.ribbon_seen)
    items: list[Item] = [
        DrawnShape((opening,), THIN, "faint"),
        Hatch((outline,), angle=angle, spacing=1.8, ink=HAIR),
        DrawnShape((outline,), ACCENT),
        Pointer(outline.centroid, angle, 24.0, both=True),
        Text(
            outline.centroid,
            "ribbon",
            size=2.8,
            colour="accent",
            bold=True,
            turn=_upright(angle),
            shift=(0.0, 2.4),
        ),
    ]
    gap = show(float(plug.gap), "length", case.view)
    words = f"{seen_from_words(core.side)}; splice gap {gap} all round"
    return make_view("core", "Core plug", words, items, [opening], size, margin=14)


def _upright(angle: float) -> float:
    turned = math.remainder(angle, math.pi)
    return turned
