"""What cannot be right: every field against its own bounds, and sizes that hang on another field.

The bounds of a field stand beside it (:mod:`panelmend.materials.bounds`); most values outside them come from
a unit or a power of ten mistaken for another.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from panelmend.document.approved import ApprovedData
from panelmend.document.bounds import faults_below, plainly
from panelmend.document.fault import Fault, fault_at
from panelmend.document.model import Document
from panelmend.document.places import Path


def fault_outside(
    path: Path,
    what: str,
    value: float | None,
    kind: str,
    low: float,
    high: float,
    *,
    low_todo: str = "",
    high_todo: str = "",
) -> Iterator[Fault]:
    """A fault where a value is given and lies outside bounds that hang on another field.

    Args:
        path: where it was typed.
        what: what it is, as the sentence "implausible ..." needs it.
        value: in the kind's SI unit; None where it was not given.
        kind: its kind of quantity.
        low: least that can be right, SI.
        high: most that can be right, SI.
        low_todo: what to check where it is less.
        high_todo: what to check where it is more.
    """
    if value is None or low <= value <= high:
        return
    yield fault_at(
        path,
        f"implausible {what}",
        plainly(value, kind),
        f"{plainly(low, kind)} to {plainly(high, kind)}",
        low_todo if value < low else high_todo,
    )


def _section(*path: str) -> Callable[[Document], Iterator[Fault]]:
    def check(document: Document) -> Iterator[Fault]:
        part: Any = document
        for name in path:
            part = getattr(part, name)
        repair = getattr(document, "repair", None)  # not there where it could not be read
        view = repair.units if repair is not None else "mm"
        if isinstance(part, tuple):
            for i, item in enumerate(part):
                yield from faults_below(item, (*path, i), view)
        elif part is not None:
            yield from faults_below(part, path, view)

    return check


_OWN = tuple(n for n in Document.model_fields if n not in ("panelmend", "data", "confirm"))
_DATA = tuple(n for n in ApprovedData.model_fields if n != "repair")

CHECKS = (
    *((_section(name), (name,)) for name in _OWN),
    *((_section("data", name), (f"data.{name}",)) for name in _DATA),
)
