"""What lies on the panel, as layers that can be shown or hidden, from the plan's own exact outlines.

Every layer holds marks: outlines, lines and words in panel metres, each with the pen it is drawn with (a
class of ``static/drawing.css``). Nothing here decides: all of it is what the stages made.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from panelmend.derive.ledger import words_of
from panelmend.document.panel import Side
from panelmend.job.bag.part import BagOperation
from panelmend.job.plies.part import Ply
from panelmend.job.work import Work
from panelmend.plan.plan import Plan
from panelmend.render.views.sheet import Looking
from panelmend.screen.words import say
from panelmend.shapes import Outline, Point, circle, offset
from panelmend.units import show

WARP_LINES = 26  # lines of hatching across the larger extent of a ply
FINEST = 2.0e-3  # [m] hatching is never closer than this


@dataclass(frozen=True)
class DrawnArea:
    """Outlines drawn with one pen; further ones are holes. ``held`` is what is picked by touching it."""

    outlines: tuple[Outline, ...]
    pen: str
    held: str = ""


@dataclass(frozen=True)
class Hatching:
    """Lines at an angle [rad] and a spacing [m] inside the first outline and outside the others."""

    outlines: tuple[Outline, ...]
    angle: float
    spacing: float
    pen: str


@dataclass(frozen=True)
class DrawnLine:
    """An open line through points."""

    points: tuple[Point, ...]
    pen: str


@dataclass(frozen=True)
class Dot:
    """A mark that keeps its size on the screen: ``sign`` is a class of the style sheet, ``held`` what it is
    moved as."""

    at: Point
    sign: str
    name: str = ""
    held: str = ""


@dataclass(frozen=True)
class Words:
    """Words that keep their size on the screen; ``beside`` moves them right of the place, else centred."""

    at: Point
    text: str
    pen: str = ""
    beside: bool = False


Mark = DrawnArea | Hatching | DrawnLine | Dot | Words


@dataclass(frozen=True)
class DrawnLayer:
    """One layer: a key for scripts, the group it is shown with, its name, whether it is shown at first."""

    key: str
    group: str
    name: str
    marks: tuple[Mark, ...]
    shown: bool = False
    sample: str = "thin"


GROUPS = ("panel", "survey", "damage", "repair", "core", "bag")


def layers(plan: Plan, side: Side) -> tuple[DrawnLayer, ...]:
    """Every layer of a plan as seen from a side, what lies under the others first."""
    made = [*_panel(plan, Looking(side))]
    if plan.work is not None:
        made += _work(plan, plan.work, Looking(side), side)
    made += _damage(plan, Looking(side), side)
    return tuple(made)


def _panel(plan: Plan, look: Looking) -> Iterator[DrawnLayer]:
    g, document = plan.case.geometry, plan.case.document
    edge: list[Mark] = [DrawnArea((look.outline(g.outline),), "edge")]
    band = document.panel.edge_band
    if band > 0:
        edge += [DrawnArea((look.outline(o),), "hidden-line") for o in offset(g.outline, -band)]
    yield DrawnLayer("edge", "panel", say("layer.edge"), tuple(edge), True, "edge")
    if g.structure:
        marks: list[Mark] = []
        for area in g.structure:
            o = look.outline(area.outline)
            marks += [DrawnArea((o,), "rib"), _named(o, area.id)]
        yield DrawnLayer("structure", "panel", say("layer.structure"), tuple(marks), True, "rib")
    if g.solid:
        marks = []
        for area in g.solid:
            o = look.outline(area.outline)
            marks += [Hatching((o,), math.pi / 4, 6e-3, "dim"), DrawnArea((o,), "thin"), _named(o, area.id)]
        yield DrawnLayer("solid", "panel", say("layer.solid"), tuple(marks), True, "dim")
    for kind, key in (("insert", "inserts"), ("fastener", "fasteners")):
        spots = [s for s in g.spots if s.kind == kind]
        if not spots:
            continue
        marks = []
        for s in spots:
            at = look.point(s.at)
            marks.append(DrawnArea((circle(at, s.diameter),), "thin"))
            if s.keep_out > 0:
                marks.append(DrawnArea((circle(at, s.diameter + 2 * s.keep_out),), "hidden-line"))
            marks.append(Words(at, s.id, "q"))
        yield DrawnLayer(key, "panel", say(f"layer.{key}"), tuple(marks), True, "thin")
    if g.earlier:
        marks = []
        for area in g.earlier:
            o = look.outline(area.outline)
            marks += [DrawnArea((o,), "ply-tint"), _named(o, area.id)]
        yield DrawnLayer("earlier", "panel", say("layer.earlier"), tuple(marks), True, "ply-tint")
    if g.hinge is not None:
        a, b = (look.point(p) for p in g.hinge)
        yield DrawnLayer("hinge", "panel", say("layer.hinge"), (DrawnLine((a, b), "chain"),), False, "chain")


def _damage(plan: Plan, look: Looking, side: Side) -> Iterator[DrawnLayer]:
    g, worked = plan.case.geometry, plan.case.document.damage.side
    if plan.case.others:
        there: list[Mark] = []
        for area in plan.case.others:
            o = look.outline(area.outline)
            there += [DrawnArea((o,), "damage-behind", area.id), _named(o, area.id, "b")]
        yield DrawnLayer("others", "damage", say("layer.others"), tuple(there), True, "damage-behind")
    own, other = (g.damage, g.far_damage) if worked == side else (g.far_damage, g.damage)
    if own is not None:
        o = look.outline(own)
        marks = (DrawnArea((o,), "damage"), Hatching((o,), math.pi / 4, 4e-3, "hatch-red"))
        yield DrawnLayer("damage", "damage", say("layer.damage"), marks, True, "damage")
    if other is not None:
        marks_ = (DrawnArea((look.outline(other),), "damage-behind"),)
        yield DrawnLayer(
            "damage-behind", "damage", say("layer.damage.behind"), marks_, own is None, "damage-behind"
        )


def _work(plan: Plan, work: Work, look: Looking, side: Side) -> Iterator[DrawnLayer]:
    yield from _bags(work, look)
    layup = next((s for s in work.plies.sides if s.side == side), None)
    behind = layup is None
    layup = layup if layup is not None else work.plies.sides[0]
    if layup.tape_outer is not None and layup.tape_inner is not None:
        ring = (look.outline(layup.tape_outer), look.outline(layup.tape_inner))
        drawn = (DrawnArea(ring, "tape-fill"), *(DrawnArea((o,), "tape") for o in ring))
        yield DrawnLayer("tape", "repair", say("layer.tape"), drawn, False, "tape")
    for ply in sorted(layup.plies, key=lambda p: -p.outline.area):
        yield _ply(plan, ply, look, behind, "repair", shown=True)
    yield from _core(plan, work, look)
    cut = layup.cutout
    marks: list[Mark] = [DrawnArea((look.outline(cut),), "cut-behind" if behind else "cut")]
    yield DrawnLayer("cutout", "repair", say("layer.cutout"), tuple(marks), True, "cut")
    yield from _sensors(work, look, side)


def _ply(plan: Plan, ply: Ply, look: Looking, behind: bool, group: str, *, shown: bool) -> DrawnLayer:
    o = look.outline(ply.outline)
    pen = "ply-behind" if behind else "ply"
    marks: list[Mark] = [DrawnArea((o,), pen)]
    name = f"{ply.id}, {say('role.' + ply.role.replace(' ', '-'))}"
    if ply.has_warp:
        # the warp lies in standard axes, seen from outside; from inside it turns over with the panel
        angle = look.angle(float(ply.warp))
        spacing = max(FINEST, o.largest_extent() / WARP_LINES)
        marks.append(Hatching((o,), angle, spacing, "warp"))
        name += f", {say('warp')} {_degrees(angle)}"
    marks.append(Words(_corner(o), ply.id, "b ply-name"))
    return DrawnLayer(f"ply-{_key(ply.id)}", group, name, tuple(marks), shown, "warp")


def _core(plan: Plan, work: Work, look: Looking) -> Iterator[DrawnLayer]:
    core = work.core
    for ply in core.cap:
        yield _ply(plan, ply, look, False, "core", shown=False)
    if core.plug is not None:
        o, angle = look.outline(core.plug.outline), look.angle(float(core.plug.ribbon))
        marks: tuple[Mark, ...] = (
            DrawnArea((look.outline(core.plug.opening),), "thin"),
            DrawnArea((o,), "ply-tint"),
            Hatching((o,), angle, max(FINEST, o.largest_extent() / 20), "ribbon"),
            Words(o.centroid, f"{say('ribbon')} {_degrees(angle)}", "bl"),
        )
        yield DrawnLayer("plug", "core", f"{say('layer.plug')} {_degrees(angle)}", marks, False, "ribbon")
    elif core.potting_outline is not None:
        o = look.outline(core.potting_outline)
        yield DrawnLayer(
            "potting", "core", say("layer.potting"), (DrawnArea((o,), "ply-tint"),), False, "ply-tint"
        )


def _bags(work: Work, look: Looking) -> Iterator[DrawnLayer]:
    """Blanket, sealing tape and bases of each cure on the panel."""
    for bag in work.bag.operations:
        if not bag.on_panel:
            continue
        n, name = bag.number, bag.name
        if bag.bagged:
            seal = (DrawnArea((look.outline(bag.seal_line),), "bag"),)
            bases = tuple(Dot(look.point(p), "base") for p in bag.fittings)
            yield DrawnLayer(f"seal-{n}", "bag", say("layer.seal", name=name), (*seal, *bases), False, "bag")
        blankets = [*_blankets(bag, look)]
        if blankets:
            yield DrawnLayer(
                f"blanket-{n}", "bag", say("layer.blanket", name=name), tuple(blankets), False, "chain"
            )


def _sensors(work: Work, look: Looking, side: Side) -> Iterator[DrawnLayer]:
    """Thermocouples of each cure on the panel, on top of what they lie beside or under."""
    for bag in work.bag.operations:
        cured = next((c for c in work.cure.operations if c.number == bag.number), None)
        placed = cured.sensors if cured is not None and bag.on_panel else ()
        n, name = bag.number, bag.name
        if placed:
            here = bag.side == side
            dots = tuple(
                Dot(
                    look.point(s.at),
                    "tc-behind" if (s.face == "far face") is here else "tc",
                    s.id,
                    "" if s.face == "far face" else s.id,
                )
                for s in placed
            )
            yield DrawnLayer(f"tc-{n}", "bag", say("layer.tc", name=name), dots, False, "tc")


def _blankets(bag: BagOperation, look: Looking) -> Iterator[Mark]:
    for layer in bag.layers:
        if layer.use == "heat blanket":
            for o in layer.outlines:
                seen = look.outline(o)
                yield DrawnArea((seen,), "chain")
                yield _named(seen, bag.blanket, "bl")


def _named(outline: Outline, words: str, pen: str = "q") -> Words:
    x0, _, x1, y1 = outline.bounds
    return Words((0.5 * (x0 + x1), y1), words, f"{pen} under")


def _corner(outline: Outline) -> Point:
    """Where an outline is farthest up, for its name."""
    x0, _, x1, y1 = outline.bounds
    return (0.5 * (x0 + x1), y1)


def _degrees(angle: float) -> str:
    """An angle as seen, between -90 and 90 degrees: a warp has no head."""
    turned = math.remainder(angle, math.pi)
    return show(turned + 0.0, "angle", "mm", decimals=0).replace("-", "−")


def _key(name: str) -> str:
    return "".join(c if c.isalnum() else "-" for c in name).lower()


def seen_words(plan: Plan, side: Side) -> str:
    """From which side the drawing is seen; the far side mirrors, and says so."""
    return say("seen.outside") if side == "outside" else say("seen.inside")


def size_words(plan: Plan) -> str:
    """The cut-out's form and sizes; "" where there is none."""
    if plan.work is None:
        return ""
    o, view = plan.work.cutout.opening, plan.case.view
    size = words_of(o.length, view)
    return size if o.form == "circle" else f"{size} × {words_of(o.width, view)}"
