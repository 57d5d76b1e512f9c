"""The cure operations that a repair really needs, numbered as bags, card and figures count them."""

from __future__ import annotations

from dataclasses import dataclass

from panelmend.document.approved import Cure, CurePart
from panelmend.document.model import Document
from panelmend.job.core.part import CorePart

HEATED_BY = ("blanket", "oven", "room temperature")
CURED_ON = ("panel", "plate")


@dataclass(frozen=True)
class Operation:
    """One operation of the data: its number among those that lay something, and what it really lays."""

    number: int
    cure: Cure
    lays: tuple[CurePart, ...]


def operations_of(document: Document, core: CorePart) -> tuple[Operation, ...]:
    """The operations in order; a cure for core or cap is left out where none is put in.

    Raises:
        AssertionError: a way of heating or a place of curing that no stage knows: they ask for one member
            at a time, and a new one must not pass for an old one.
    """
    made: list[Operation] = []
    for cure in document.data.cure:
        if cure.heated_by not in HEATED_BY or cure.cured_on not in CURED_ON:
            raise AssertionError(f"{cure.name}: nobody knows {cure.heated_by!r} on a {cure.cured_on!r}")
        lays = tuple(part for part in cure.lays if _is_laid(document, core, part))
        if lays:
            made.append(Operation(len(made) + 1, cure, lays))
    return tuple(made)


def _is_laid(document: Document, core: CorePart, part: CurePart) -> bool:
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
