"""What lies on the panel in each operation, layer by layer, as plain data for the exploded view.

Outlines are seen from the side that is worked on, in millimetres about the middle of the bag, y up; the
panel's 0 degrees lie along +x. Heights have no scale: layers only stand apart in their order.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from panelmend.derive import Figure
from panelmend.job.bag.part import BagLayer, BagOperation
from panelmend.job.plies.part import Ply
from panelmend.plan.plan import Plan
from panelmend.render.drawing import Drawing, Hatch
from panelmend.render.strokes import Stroke
from panelmend.render.views.sheet import Looking
from panelmend.screen.words import say
from panelmend.shapes import Arc, Outline, Point
from panelmend.trade import trade_word

MM = 1e3  # [1/m]
STEP = math.radians(7.5)  # [rad] of an arc to a chord of its drawing
LINES = 18  # lines of hatching across a layer
FINEST = 4.0  # [mm] hatching is never closer than this
Ring = list[list[float]]


@dataclass(frozen=True)
class StackLevel:
    """One layer: its name, its sizes and angle as figures, and how it is drawn."""

    key: str
    name: str
    kind: str
    group: str
    pen: str
    rings: tuple[Ring, ...]
    hatch: tuple[tuple[float, float, float, float], ...] = ()
    size: tuple[Figure, ...] = ()
    angle: Figure | None = None
    beyond: Figure | None = None
    note: str = ""

    def drawn(self) -> dict[str, object]:
        """What the script draws."""
        return {
            "key": self.key,
            "name": self.name,
            "pen": self.pen,
            "rings": list(self.rings),
            "hatch": [list(h) for h in self.hatch],
        }


@dataclass(frozen=True)
class PlyStack:
    """The layers of one operation on one side of the panel, the lowest first."""

    title: str
    operation: str
    side: str
    levels: tuple[StackLevel, ...]


def stacks(plan: Plan) -> tuple[PlyStack, ...]:
    """Every stack in the order of the work: that of the working side, then what lies behind it."""
    made: list[PlyStack] = []
    if plan.work is None:
        return ()
    for bag in plan.work.bag.operations:
        made.append(_front(plan, bag))
        if bag.behind is not None:
            made.append(_behind(plan, bag))
    return tuple(made)


def _front(plan: Plan, bag: BagOperation) -> PlyStack:
    place = _Place(Looking(bag.side), bag.frame.centre)
    levels = [*_panel_or_plate(plan, bag, place), *_bag(place, [x for x in bag.layers if x.below])]
    levels += _laid(plan, bag, place)
    levels += _bag(place, [x for x in bag.layers if not x.below])
    title = say("stack.of", name=bag.name, side=say(f"side.{bag.side}").lower())
    return PlyStack(title, bag.name, bag.side, tuple(levels))


def _behind(plan: Plan, bag: BagOperation) -> PlyStack:
    other = bag.behind
    assert other is not None, "nothing lies behind"
    place = _Place(Looking(other.side), bag.frame.centre)
    skin = StackLevel("panel", say("stack.panel"), "", "panel", "skin", (place.ring(other.seal_line),))
    title = say("stack.behind", name=bag.name, side=say(f"side.{other.side}").lower())
    return PlyStack(title, bag.name, other.side, (skin, *_bag(place, other.layers)))


class _Place:
    """How outlines of the panel come to the drawing: seen from a side, about a centre."""

    def __init__(self, look: Looking, centre: Point) -> None:
        self.look, self.centre = look, look.point(centre)

    def outline(self, outline: Outline) -> Outline:
        """An outline as seen, about the centre [m]."""
        return self.look.outline(outline).moved(-self.centre[0], -self.centre[1])

    def ring(self, outline: Outline) -> Ring:
        """An outline as points [mm]."""
        return chord_points(self.outline(outline))

    def hatch(self, outline: Outline, angle: float) -> tuple[tuple[float, float, float, float], ...]:
        """Lines at an angle as seen [rad] inside an outline [mm]."""
        seen = self.outline(outline)
        x0, y0, x1, y1 = seen.bounds
        apart = max(FINEST, MM * max(x1 - x0, y1 - y0) / LINES)
        drawn = Drawing((Hatch((seen,), angle, apart),)).flat()
        return tuple(
            (round(a[0], 1), round(-a[1], 1), round(b[0], 1), round(-b[1], 1))
            for stroke in drawn
            if isinstance(stroke, Stroke)
            for loop in stroke.loops
            for a, b in [(loop.rows[0], loop.rows[-1])]
        )


def chord_points(outline: Outline) -> Ring:
    """An outline as points, arcs in chords [mm]."""
    made: Ring = []
    for s in outline.segments():
        n = max(1, math.ceil(abs(s.sweep) / STEP)) if isinstance(s, Arc) else 1
        for i in range(n):
            x, y = s.at(i / n) if isinstance(s, Arc) else s.start
            made.append([round(MM * x, 1), round(MM * y, 1)])
    return made


def _panel_or_plate(plan: Plan, bag: BagOperation, place: _Place) -> Iterator[StackLevel]:
    """The panel with its opening, or the plate."""
    work = plan.work
    assert work is not None, "a bag without work to do"
    if not bag.on_panel:
        yield StackLevel("plate", say("stack.plate"), "", "panel", "skin", (place.ring(bag.seal_line),))
        return
    layup = next((s for s in work.plies.sides if s.side == bag.side), work.plies.sides[0])
    plug = work.core.plug
    if plug is not None and work.core.side == bag.side:
        material = plan.case.catalogue.get(plug.material).name
        hole = place.ring(plug.opening)
        core = (place.ring(bag.seal_line), hole)
        yield StackLevel("core", say("stack.core"), "", "panel", "skin", core)
        hatch = place.hatch(plug.outline, float(plug.ribbon_seen))
        ring = (place.ring(plug.outline),)
        yield StackLevel(
            "plug", say("layer.plug"), material, "core", "plug", ring, hatch, (plug.thickness,),
            plug.ribbon_seen, note=say("stack.ribbon"),
        )  # fmt: skip
    skin = (place.ring(bag.seal_line), place.ring(layup.cutout))
    yield StackLevel("skin", say("stack.skin"), "", "panel", "skin", skin)


def _laid(plan: Plan, bag: BagOperation, place: _Place) -> Iterator[StackLevel]:
    work = plan.work
    assert work is not None, "a bag without work to do"
    plies = {p.id: p for p in (*work.plies.plies, *work.core.cap)}
    for ident in bag.plies:
        yield _ply(plan, plies[ident], place)
    if bag.bonds_cap and work.core.cap_outline is not None:
        ring = (place.ring(work.core.cap_outline),)
        yield StackLevel("cured-cap", say("stack.cured_cap"), "", "plies", "ply", ring)


def _ply(plan: Plan, ply: Ply, place: _Place) -> StackLevel:
    hatch = place.hatch(ply.outline, float(ply.warp_seen)) if ply.has_warp else ()
    kind = f"{say('role.' + ply.role.replace(' ', '-'))}, {plan.case.catalogue.get(ply.cloth).name}"
    return StackLevel(
        f"ply-{ply.id}", ply.id, kind, "plies", "ply", (place.ring(ply.outline),), hatch, (),
        ply.warp_seen if ply.has_warp else None, ply.margin,
    )  # fmt: skip


def _bag(place: _Place, layers: Sequence[BagLayer]) -> Iterator[StackLevel]:
    for n, x in enumerate(layers):
        outlines = x.outlines or ((x.outline,) if x.outline is not None else ())
        rings = [place.ring(o) for o in outlines]
        if x.hole is not None:
            rings.append(place.ring(x.hole))
        pen = "blanket" if x.use == "heat blanket" else "bag"
        size = tuple(v for v in (x.length, x.width) if v is not None)
        name = f"{x.order}. {trade_word(x.use).partition(' (')[0]}"
        yield StackLevel(
            f"bag-{x.order}-{n}", name, x.material, "bag", pen, tuple(rings), (), size, None, None, x.note
        )
