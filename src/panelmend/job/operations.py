"""The cure operations that a repair really needs, numbered as bags, card and figures count them."""

from __future__ import annotations

from dataclasses import dataclass

from panelmend.document.approved import Cure, CurePart
from panelmend.document.model import Document
from panelmend.job.core.part import CorePart


@dataclass(frozen=True)
class Operation:
    """One operation of the data: its number among those that lay something, and what it really lays."""

    number: int
    cure: Cure
    lays: tuple[CurePart, ...]


def operations_of(document: Document, core: CorePart) -> tuple[Operation, ...]:
    """The operations in order; a cure for core or cap is left out where none is put in."""
    made: list[Operation] = []
    for cure in document.data.cure:
        lays = tuple(part for part in cure.lays if _there(document, core, part))
        if lays:
            made.append(Operation(len(made) + 1, cure, lays))
    return tuple(made)


def _there(document: Document, core: CorePart, part: CurePart) -> bool:
    """Whether this repair lays a part at all."""
    plies = document.data.plies
    flush = plies.scheme is None or plies.scheme.value != "external"
    sides = [s for s in (plies.outside, plies.inside) if s is not None]
    return {
        "cap": bool(core.cap),
        "core": core.action != "none",
        "potting": core.action == "pot",
        "fill": flush and any(s.fill is not None for s in sides),
        "plies": True,
    }[part]
