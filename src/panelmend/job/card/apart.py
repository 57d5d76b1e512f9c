"""Carbon plies that come to lie on aluminium core or by aluminium structure: where, and what the data puts between.

Carbon and aluminium that touch corrode the aluminium (common practice, no source). Glass next to the core keeps
them apart; film adhesive alone is not counted.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from panelmend.document.panel import Side
from panelmend.job.bag.part import BagOperation
from panelmend.job.bend import outline_on
from panelmend.job.card.bench import Bench, on_plate
from panelmend.job.card.part import Blank, Words
from panelmend.job.card.writing import tick
from panelmend.job.case import Case
from panelmend.job.plies.part import Ply
from panelmend.job.work import Work
from panelmend.shapes import clearance, least_overlap
from panelmend.units import INCH, show

ASKED = "What keeps carbon off the aluminium"
NEAR = INCH
"""[m] from aluminium within which carbon is told: water bridges what does not touch (common practice, no source)."""


@dataclass(frozen=True)
class Beside:
    """The carbon ply nearest to a structure of aluminium on its own side, and how far apart they are [m]."""

    ply: Ply
    structure: str
    distance: float

    def words(self, view: str) -> str:
        """Where it lies, in "mm" or "in"."""
        if self.distance == 0.0:
            return f"{self.ply.id} ({self.ply.side}) lies over aluminium {self.structure}"
        return f"{self.ply.id} ({self.ply.side}) is {show(self.distance, 'length', view)} from aluminium {self.structure}"


def beside_structure(case: Case, work: Work) -> list[Beside]:
    """Where carbon comes over or near aluminium structure that stands on the side it is laid on."""
    found = []
    for side in work.plies.sides:
        carbon = _carbon(case, side.plies)
        for area, typed in zip(case.geometry.structure, case.document.panel.structure, strict=True):
            if typed.metal != "aluminium" or typed.side != side.side or not carbon:
                continue
            here = outline_on(case, area.outline, "outside", side.side)
            far = [(0.0 if c.overlaps else c.distance) for p in carbon for c in (clearance(p.outline, here),)]
            least = min(far)
            if least <= NEAR:
                found.append(Beside(carbon[far.index(least)], f"{area.kind} {area.id}", least))
    return found


def over_edges(case: Case, work: Work) -> list[str]:
    """Where carbon comes over an edge band or a solid area, whose metal no document gives, in words."""
    found, g, band = [], case.geometry, case.document.panel.edge_band
    for side in work.plies.sides:
        for ply in _carbon(case, side.plies)[-1:]:  # the largest
            found += [
                f"{ply.id} ({ply.side}) runs over solid area {area.id}"
                for area in g.solid
                if clearance(ply.outline, outline_on(case, area.outline, "outside", side.side)).overlaps
            ]
            edge = least_overlap(ply.outline, outline_on(case, g.outline, "outside", side.side))[0]
            if edge < band:
                found.append(f"{ply.id} ({ply.side}) runs over the edge band")
    return found


def _carbon(case: Case, plies: Sequence[Ply]) -> list[Ply]:
    """Those of carbon, the largest last."""
    mine = [p for p in plies if p.role != "film adhesive" and case.catalogue.cloth(p.cloth).fibre == "carbon"]
    return sorted(mine, key=lambda p: p.outline.area)


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


def _next_to_core(work: Work, side: Side) -> Ply | None:
    """The first of the plies of a side that is no adhesive: a cap, a fill or the first repair ply."""
    mine = next((s for s in work.plies.sides if s.side == side), None)
    laid = sorted(mine.plies, key=lambda p: p.lay_order) if mine is not None else []
    every = [*(p for p in work.core.cap if p.side == side), *laid]
    return next((p for p in every if p.role != "film adhesive"), None)


def kept_apart(bench: Bench, bag: BagOperation) -> tuple[list[Words | str], list[Blank]]:
    """What is said and signed where an operation puts carbon on aluminium core or by structure of it; nothing elsewhere."""
    mine = [
        p
        for p in on_core(bench.case, bench.work)
        if (p.role == "cap" and bag.bonds_cap) or (p.id in bag.plies and not on_plate(bag))
    ]
    near = [
        b for b in beside_structure(bench.case, bench.work) if b.ply.id in bag.plies and not on_plate(bag)
    ]
    if not mine and not near:
        return [], []
    given = bench.case.document.data.finishing.isolate
    names = ", ".join(p.id for p in mine)
    said: list[Words | str] = [
        *([f"{names}: carbon comes next to aluminium core."] if mine else []),
        *(f"Carbon: {b.words(bench.case.view)}." for b in near),
        bench.order("card.isolate", given, ASKED),
        *([] if given is not None else ["No order: stop, ask the engineer."]),
    ]
    ticks = [tick("Carbon kept off the aluminium core")] if mine else []
    ticks += [tick("Carbon kept off the aluminium structure")] if near else []
    return said, [*bench.ordered(given, ASKED), *ticks]
