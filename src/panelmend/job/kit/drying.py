"""What drying heats with where no cure has a blanket: the planner names it (common practice, no source)."""

from __future__ import annotations

from panelmend.job.bag.part import BagPart
from panelmend.job.basis import Basis
from panelmend.job.kit import formulas as f
from panelmend.job.kit.part import KitLine

NOT_NAMED = "the plan names none: the planner does"
EQUIPMENT = (
    ("heat blanket for drying", f"drying; {NOT_NAMED}, with its circuit"),
    ("heat controller", "drying"),
    ("leads for blanket and thermocouples", "drying"),
    ("over-temperature cut-out, independent of the controller", "drying, with a setting of its own"),
)
LOGGER = ("logger", "drying")


def is_dried(basis: Basis) -> bool:
    """Whether the card dries the core with heat: water was found, or nobody has looked."""
    return basis.case.document.damage.moisture != "none found"


def drying_lines(basis: Basis, bags: BagPart) -> tuple[KitLine, ...]:
    """What drying takes to heat and to watch it; none where a blanket of the cures dries too."""
    if not is_dried(basis) or any(b.cure.heated_by == "blanket" for b in bags.operations):
        return ()
    logged = any(i.kind == "logger" for i in basis.case.document.bay.instrument)
    found = []
    for name, purpose in (*EQUIPMENT, *([] if logged else [LOGGER])):
        amount = basis.ledger.typed(f"kit.drying.{name}", 1, source=f.USUAL)
        found.append(KitLine("equipment", "", name, purpose, amount, (), None, True, ""))
    return tuple(found)
