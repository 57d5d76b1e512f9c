"""Category of the repair, air at bonding, directions in words."""

from __future__ import annotations

from collections.abc import Iterator

from panelmend.document.fault import Fault, fault_at
from panelmend.document.model import Document
from panelmend.units import show


def _category(document: Document) -> Iterator[Fault]:
    category, path = document.data.category, ("data", "category")
    if category is None:
        return
    due = (category.due_hours, category.due_cycles, category.due_date)
    if category.kind == "interim" and all(d is None for d in due):
        yield fault_at(
            (*path, "kind"),
            "an interim repair without a due time",
            "no hours, cycles or date",
            "due_hours, due_cycles or due_date",
        )
    if category.kind == "permanent" and any(d is not None for d in due):
        yield fault_at((*path, "kind"), "a permanent repair with a due time", "permanent", "interim")
    if category.due_date is not None and category.due_date <= document.repair.work_date:
        yield fault_at(
            (*path, "due_date"),
            "due before the work is done",
            str(category.due_date),
            f"a day after {document.repair.work_date}",
        )


def _air(document: Document) -> Iterator[Fault]:
    data = document.data.preparation
    if data.air_low is not None and data.air_high is not None and data.air_low.value >= data.air_high.value:
        yield fault_at(
            ("data", "preparation", "air_low", "value"),
            "the coolest air must be below the warmest",
            show(data.air_low.value, "temperature", document.repair.units),
            f"less than {show(data.air_high.value, 'temperature', document.repair.units)}",
        )


def _directions(document: Document) -> Iterator[Fault]:
    given = document.panel.directions
    said = [w for w in (given.at_0, given.at_90, given.at_180, given.at_270) if w]
    if len(set(said)) != len(said):
        yield fault_at(
            ("panel", "directions"), "two directions with one name", ", ".join(said), "a name for each"
        )


def _put_back(document: Document) -> Iterator[Fault]:
    for i, b in enumerate(document.data.put_back):
        if b.cure_low is not None and b.cure_high is not None and b.cure_low >= b.cure_high:
            yield fault_at(
                ("data", "put_back", i, "cure_low"),
                "the coolest temperature of the cure must be below the warmest",
                show(b.cure_low, "temperature", document.repair.units),
                f"less than {show(b.cure_high, 'temperature', document.repair.units)}",
            )


CHECKS = (
    (_category, ("data.category", "repair")),
    (_air, ("data.preparation",)),
    (_put_back, ("data.put_back",)),
    (_directions, ("panel.directions",)),
)
