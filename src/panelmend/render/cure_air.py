"""The cure plan's last section: what the vacuum means in this bay, and what water does when it is heated."""

from __future__ import annotations

from typing import Any

from panelmend.derive import Figure
from panelmend.job.bag.part import BagOperation
from panelmend.job.card.drying import pressures, skin_tables
from panelmend.job.card.drying_heat import drying_heat_lines
from panelmend.job.card.part import StepTable, Words
from panelmend.job.case import Case
from panelmend.job.cure.part import CurePart
from panelmend.job.drying.part import DryingPart
from panelmend.render.card import words_data
from panelmend.render.workings import Workings

Parts = list[Any]
OF = {
    "pressure": "Pressure in closed wet cells",
    "strength": "What a bond holds against steam",
    "skins": "Drying of the skins",
    "core": "Water in the core",
}


def vacuum_row(shown: Workings, bag: BagOperation) -> list[Any]:
    """The least vacuum of one operation in other words, and the leak that still passes."""

    def part(figure: Figure | None, none: str) -> Any:
        return shown.part(figure) if figure is not None else none

    vacuum, leak = bag.vacuum, bag.leak
    return [
        bag.name,
        part(bag.least_vacuum, ""),
        part(vacuum.difference, ""),
        part(vacuum.absolute, "not known"),
        part(vacuum.boiling, "not known"),
        part(vacuum.highest, "anywhere"),
        part(leak.flow, "not known"),
    ]


def drying_data(shown: Workings, case: Case, part: DryingPart, cures: CurePart) -> dict[str, Any]:
    """How long to dry, what the skins then hold, what steam does step by step, and what is not predicted."""
    tables = [*skin_tables(part), *pressures(case, part)]
    return {
        "words": [
            words_data(shown, words)
            for words in (*_schedule(part), *drying_heat_lines(cures, part, shown.ledger, shown.view))
        ],
        "tables": [_table(shown, t) for t in tables],
        "missing": [
            {"of": OF[m.of], "what": m.what, "field": m.field, "ask": m.ask}
            for m in part.missing
            if part.dries or m.of != "skins"
        ],
    }


def _schedule(part: DryingPart) -> list[Words]:
    """The drying as the data has it, with what its heating up takes."""
    found: dict[str, Words] = {
        "found": ("Water was found in the core.",),
        "not checked": ("Nobody has checked the core for water yet.",),
        "none found": ("A check found no water in the core. See below what water left behind would do.",),
    }
    lines = [found[part.moisture]]
    if not part.dries:
        return [*lines, ("The data asks for no drying.",)]
    if part.temperature is None:
        return [*lines, ("Drying: NOT PREDICTED; the document gives no drying temperature.",)]
    held: Words = () if part.duration is None else (" for at least ", part.duration)
    rise: Words = () if part.heat_up is None else (", after at least ", part.heat_up, " of heating up")
    order = "If water is found, the data says: dry at " if part.moisture == "none found" else "Dry at "
    lines.append((order, part.temperature, *held, *rise, "."))
    if part.content is not None:
        lines.append(
            ("The data asks for no more than ", part.content, " of what the skins hold when saturated.")
        )
    if part.over_water is not None and part.wet:
        lines.append(
            (
                "While water stands behind a skin it settles at ",
                part.over_water,
                " of saturation, whatever the time.",
            )
        )
    return lines


def _table(shown: Workings, table: StepTable) -> dict[str, Any]:
    rows = [[words_data(shown, cell) for cell in row] for row in table.rows]
    return {"title": table.title, "heads": list(table.heads), "rows": rows}
