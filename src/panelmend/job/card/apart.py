"""Carbon plies that come to lie on aluminium core: where, and what the data puts between them.

Carbon and aluminium that touch corrode the aluminium (common practice, no source). Glass next to the core keeps
them apart; film adhesive alone is not counted.
"""

from __future__ import annotations

from panelmend.document.panel import Side
from panelmend.job.bag.part import BagOperation
from panelmend.job.card.bench import Bench, on_plate
from panelmend.job.card.part import Blank, Words
from panelmend.job.card.writing import tick
from panelmend.job.case import Case
from panelmend.job.plies.part import Ply
from panelmend.job.work import Work

ASKED = "What keeps carbon off the aluminium core"


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
    """What is said and signed where an operation puts carbon on aluminium core; nothing elsewhere."""
    mine = [
        p
        for p in on_core(bench.case, bench.work)
        if (p.role == "cap" and bag.bonds_cap) or (p.id in bag.plies and not on_plate(bag))
    ]
    if not mine:
        return [], []
    given = bench.case.document.data.finishing.isolate
    names = ", ".join(p.id for p in mine)
    said: list[Words | str] = [
        f"{names}: carbon comes next to aluminium core.",
        bench.order("card.isolate", given, ASKED),
        *([] if given is not None else ["No order: stop, ask the engineer."]),
    ]
    return said, [*bench.ordered(given, ASKED), tick("Carbon kept off the aluminium core")]
