"""Carbon plies that come to lie on aluminium core or by metal: where, and what the data puts between.

Carbon that touches aluminium, or steel that is plain or plated, corrodes the metal; stainless steel, titanium
and copper are not told (common practice, no source). Glass next to the core keeps them apart; film adhesive
alone is not counted.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from panelmend.document.panel import Metal, Side
from panelmend.job.bag.part import BagOperation
from panelmend.job.card.bench import Bench, on_plate
from panelmend.job.card.part import Blank, Words
from panelmend.job.card.writing import note, tick
from panelmend.job.case import Case, Point
from panelmend.job.curvature import outline_on, point_on
from panelmend.job.plies.part import Ply
from panelmend.job.work import Work
from panelmend.shapes import Outline, clearance, distance_to_point, least_overlap
from panelmend.units import INCH, show

ASKED = "What keeps carbon off the metal"
UNKNOWN = "What is not typed may be aluminium: look it up in the drawing before carbon goes there."
WHOLE = "That skin keeps them apart: if it is sanded through, holed or cracked, stop, ask the engineer."
NEAR = INCH
"""[m] from such metal within which carbon is told: water bridges what does not touch (common practice, no source)."""
HARMED: frozenset[Metal | None] = frozenset({"aluminium", "steel", None})
"""Metals that carbon corrodes; one that nobody typed may be such (common practice, no source)."""


@dataclass(frozen=True)
class NearestCarbon:
    """The carbon ply nearest (the first of them laid) to something that is, or may be, of a metal that carbon corrodes.

    ``metal`` is None where no document says it, ``path`` where it is typed; ``distance`` [m], 0 where it lies
    over it.
    """

    ply: Ply
    what: str
    kind: Literal["structure", "spot", "area", "skin"]
    metal: Metal | None
    distance: float
    path: str

    def words(self, view: str) -> str:
        """Where it lies, in "mm" or "in"."""
        place = f"{self.ply.id} ({self.ply.side})"
        if self.kind == "skin":
            return f"{place} lies on {self.what}, " + (
                f"which has {self.metal} on or in it"
                if self.metal
                else "and nothing typed says whether it has metal on or in it"
            )
        what, tail = self.what, ", whose metal is not typed"
        if self.metal:
            what, tail = (
                (f"{what} of {self.metal}", "") if self.kind == "area" else (f"{self.metal} {what}", "")
            )
        if self.distance == 0.0:
            return f"{place} lies over {what}{tail}"
        return f"{place} is {show(self.distance, 'length', view)} from {what}{tail}"


def beside_metal(case: Case, work: Work) -> list[NearestCarbon]:
    """Where carbon lies on, over or near metal that it corrodes, or what may be such metal, on the side it is
    laid on. A fastener or an insert stands on both sides."""
    panel, found = case.document.panel, []
    for side in work.plies.sides:
        carbon = _carbon(case, side.plies)
        if not carbon:
            continue
        skin, name = (panel.outer_skin, "outer") if side.side == "outside" else (panel.inner_skin, "inner")
        path = f"panel.{name}_skin.metal"
        found.append(NearestCarbon(carbon[0], f"the {name} skin", "skin", skin.metal, 0.0, path))
        for part, typed in zip(case.geometry.structure, panel.structure, strict=True):
            if typed.side == side.side:
                metal: Metal = "none" if typed.metal == "composite" else typed.metal
                here = outline_on(case, part.outline, "outside", side.side)
                what = f"{part.kind} {part.id}"
                found.append(_nearest(carbon, what, "structure", metal, "panel.structure", _to_area(here)))
        for spot in case.geometry.spots:
            at = point_on(case, spot.at, "outside", side.side)
            to = _to_spot(at, 0.5 * spot.diameter)
            what, path = f"{spot.kind} {spot.id}", f"panel.{spot.kind}, {spot.id}"
            found.append(_nearest(carbon, what, "spot", spot.metal, path, to))
        for area, solid in zip(case.geometry.solid, panel.solid_area, strict=True):
            here = outline_on(case, area.outline, "outside", side.side)
            what, path = f"solid area {area.id}", f"panel.solid_area, {area.id}"
            found.append(_nearest(carbon, what, "area", solid.metal, path, _to_area(here)))
        if panel.edge_band:
            edge = outline_on(case, case.geometry.outline, "outside", side.side)
            to = _to_band(edge, panel.edge_band)
            found.append(_nearest(carbon, "the edge band", "area", panel.edge_metal, "panel.edge_metal", to))
    return [b for b in found if b.metal in HARMED and b.distance <= NEAR]


def _nearest(
    carbon: Sequence[Ply],
    what: str,
    kind: Literal["structure", "spot", "area"],
    metal: Metal | None,
    path: str,
    far: Callable[[Outline], float],
) -> NearestCarbon:
    distances = [max(far(p.outline), 0.0) for p in carbon]
    least = min(distances)
    return NearestCarbon(carbon[distances.index(least)], what, kind, metal, least, path)


def _to_area(here: Outline) -> Callable[[Outline], float]:
    def far(ply: Outline) -> float:
        found = clearance(ply, here)
        return 0.0 if found.overlaps else found.distance

    return far


def _to_spot(at: Point, radius: float) -> Callable[[Outline], float]:
    return lambda ply: -distance_to_point(ply, at) - radius


def _to_band(edge: Outline, band: float) -> Callable[[Outline], float]:
    return lambda ply: least_overlap(ply, edge)[0] - band


def _carbon(case: Case, plies: Sequence[Ply]) -> list[Ply]:
    """Those of carbon, the first laid first."""
    mine = [p for p in plies if p.role != "film adhesive" and case.catalogue.cloth(p.cloth).fibre == "carbon"]
    return sorted(mine, key=lambda p: p.lay_order)


def on_core(case: Case, work: Work) -> list[Ply]:
    """The carbon plies next to an aluminium core, near side first; none where no core is bared."""
    plug, depth = work.core.plug, case.document.damage.depth
    if plug is None and work.core.action == "none" and depth in ("surface", "plies"):
        return []
    core = plug.material if plug is not None else case.document.panel.core.material
    if case.catalogue.core(core).fibre != "aluminium":
        return []
    found = [_next_to_core(work, side.side) for side in work.plies.sides]
    return [p for p in found if p is not None and case.catalogue.cloth(p.cloth).fibre == "carbon"]


@dataclass(frozen=True)
class Beneath:
    """A carbon ply, and the metal that a skin which stays keeps it from."""

    ply: Ply
    what: str

    def words(self) -> str:
        """What lies where."""
        return f"{self.ply.id} ({self.ply.side}) lies over {self.what}, with a skin that stays between"


def beneath(case: Case, work: Work) -> list[Beneath]:
    """Aluminium core, and structure on the other side of aluminium or steel, under carbon and a skin that stays."""
    depth, panel, found = case.document.damage.depth, case.document.panel, []
    if depth == "through":
        return []
    cored = case.catalogue.core(panel.core.material).fibre == "aluminium"
    for side in work.plies.sides:
        carbon = _carbon(case, side.plies)
        if carbon and cored and depth in ("surface", "plies"):
            found.append(Beneath(carbon[0], "aluminium core"))
        for part, typed in zip(case.geometry.structure, panel.structure, strict=True):
            if not carbon or typed.side == side.side or typed.metal not in HARMED:
                continue
            here = outline_on(case, part.outline, "outside", side.side)
            near = _nearest(carbon, "", "structure", None, "", _to_area(here))
            if near.distance <= NEAR:
                found.append(Beneath(near.ply, f"or near {typed.metal} {part.kind} {part.id}"))
    return found


def _next_to_core(work: Work, side: Side) -> Ply | None:
    """The first of the plies of a side that is no adhesive: a cap, a fill or the first repair ply."""
    mine = next((s for s in work.plies.sides if s.side == side), None)
    laid = sorted(mine.plies, key=lambda p: p.lay_order) if mine is not None else []
    every = [*(p for p in work.core.cap if p.side == side), *laid]
    return next((p for p in every if p.role != "film adhesive"), None)


def kept_apart(bench: Bench, bag: BagOperation) -> tuple[list[Words | str], list[Blank]]:
    """What is said and signed where an operation puts carbon on aluminium core or by metal; nothing elsewhere."""
    mine = [
        p
        for p in on_core(bench.case, bench.work)
        if (p.role == "cap" and bag.bonds_cap) or (p.id in bag.plies and not on_plate(bag))
    ]
    near = [b for b in beside_metal(bench.case, bench.work) if b.ply.id in bag.plies and not on_plate(bag)]
    below = [b for b in beneath(bench.case, bench.work) if b.ply.id in bag.plies and not on_plate(bag)]
    kept: list[Words | str] = [f"Carbon: {b.words()}. {WHOLE}" for b in below]
    whole = [tick("Skin below the carbon found whole, no metal bare")] if below else []
    if not mine and not near:
        return kept, whole
    given = bench.case.document.data.finishing.isolate
    names = ", ".join(p.id for p in mine)
    unknown = [b for b in near if b.metal is None]
    said: list[Words | str] = [
        *([f"{names}: carbon is next to aluminium core."] if mine else []),
        *(f"Carbon: {b.words(bench.case.view)}." for b in near),
        *([UNKNOWN] if unknown else []),
        bench.order("card.isolate", given, ASKED),
        *([] if given is not None else ["If the data says nothing: stop, ask the engineer."]),
        *kept,
    ]
    blanks = [note(f"Metal of {b.what} ({b.ply.side}), by its drawing") for b in unknown]
    ticks = [tick("Carbon kept off the aluminium core")] if mine else []
    ticks += [tick("Carbon kept off the metal named above")] if near else []
    return said, [*bench.ordered(given, ASKED), *blanks, *ticks, *whole]
