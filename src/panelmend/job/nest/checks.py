"""Findings of the nest stage."""

from __future__ import annotations

from panelmend.derive import Ledger
from panelmend.errors import Finding, caution_code, note_code, stop_code
from panelmend.job.case import Case
from panelmend.job.core.part import CorePart
from panelmend.job.nest.legality import faults
from panelmend.job.nest.make import roll_usable
from panelmend.job.nest.part import NestPart
from panelmend.job.nest.shelf import why_left
from panelmend.job.plies.part import PliesPart
from panelmend.units import Limit, on_a_rule, show

N001 = stop_code(
    "N001",
    "A piece does not fit on any roll or remnant",
    "use a wider roll, or ask engineering for another ply outline or a joint",
)
N002 = caution_code("N002", "The stores have no usable roll of a cloth", "order the cloth, or list its roll")
N003 = note_code(
    "N003",
    "A roll is left out because it is expired or was out of the freezer for too long",
    "quarantine the roll",
)
N004 = stop_code("N004", "A layout breaks its own rules", "report it: this is a fault in the tool")
N005 = note_code(
    "N005", "The pieces lie in plain rows; nobody searched for a better layout", "search for one"
)
N006 = caution_code(
    "N006", "A stored layout cannot be used", "search again; until then the plan uses plain rows"
)


LEAST_SAVING = 1e-3  # [m] less than this is not worth a search


def check(
    case: Case, ledger: Ledger, part: NestPart, plies: PliesPart, core: CorePart
) -> tuple[Finding, ...]:
    """The findings of the nest: what the layouts lack."""
    found: list[Finding] = []
    day = case.document.repair.work_date
    found += findings(part, case.view)
    for item in part.cloths:
        if all(s.remnant or s.length is None for s in item.problem.strips):
            width = show(item.problem.strips[-1].width, "length", case.view)
            place = f"nest.{item.problem.name}"
            found.append(N002(f"{item.problem.cloth}: laid out on an assumed width of {width}", place=place))
    for i, roll in enumerate(case.document.stores.roll):
        if not roll_usable(roll, day):
            found.append(N003(f"roll {roll.id}, lot {roll.lot}", place=f"stores.roll[{i + 1}]"))
    return tuple(found)


def findings(part: NestPart, view: str = "mm") -> tuple[Finding, ...]:
    """What the layouts themselves have to report, in the order of the cloths."""
    made: list[Finding] = []
    for item in part.cloths:
        place = f"nest.{item.problem.name}"
        for left in item.nest.unplaced:
            copies = "1 copy" if left.copies == 1 else f"{left.copies} copies"
            piece = item.problem.piece(left.piece)
            assert piece is not None, "only pieces of the problem are left over"
            why = why_left(piece, item.problem.strips, view)
            made.append(N001(f"piece {left.piece} ({copies}): {why}", place=place))
        made += [N004(words, place=place) for words in faults(item.problem, item.nest, view)]
        if item.refused:
            more = f" and {len(item.refused) - 1} more" if len(item.refused) > 1 else ""
            made.append(N006(f"{item.refused[0]}{more}", place=place))
        if item.made_by == "shelves" and item.nest.roll_length > item.bound + LEAST_SAVING:
            takes = _on_the_roll(item.nest.roll_length, view, "least")
            could = _on_the_roll(item.nest.roll_length - item.bound, view, "most")
            words = f"{takes} of roll; at most {could} less"
            made.append(N005(words, place=place))
    return tuple(made)


def _on_the_roll(length: float, view: str, limit: Limit) -> str:
    """A length of roll [m] as the layout and its step give it."""
    by_rule = on_a_rule(length, limit) if view == "in" else ""
    return by_rule or show(length, "length", view, limit=limit)
