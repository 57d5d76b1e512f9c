"""The stores: rolls narrower than their edges, remnants wider than their roll."""

from __future__ import annotations

from collections.abc import Iterator

from panelmend.document.fault import Fault, fault_at
from panelmend.document.model import Document
from panelmend.units import show


def _rolls(document: Document) -> Iterator[Fault]:
    for i, roll in enumerate(document.stores.roll):
        if roll.edge is not None and 2 * roll.edge >= roll.width:
            yield fault_at(
                ("stores", "roll", i, "edge"),
                "the edges leave nothing of the roll",
                show(roll.edge, "length"),
                f"less than half the width, {show(roll.width, 'length')}",
            )
        names: set[str] = set()
        for j, remnant in enumerate(roll.remnant):
            path = ("stores", "roll", i, "remnant", j)
            if remnant.width > roll.width * (1 + 1e-9):
                yield fault_at(
                    (*path, "width"),
                    "a remnant wider than its roll",
                    show(remnant.width, "length"),
                    f"at most {show(roll.width, 'length')}",
                    "length runs along the warp, width across it",
                )
            if remnant.id in names:
                yield fault_at(path, "this name is used twice", repr(remnant.id), "a name of its own")
            names.add(remnant.id)


def _out_time(document: Document) -> Iterator[Fault]:
    for field in ("roll", "lot"):
        for i, row in enumerate(getattr(document.stores, field)):
            if row.out_life is not None and row.out_life <= 0:
                yield fault_at(
                    ("stores", field, i, "out_life"),
                    "a time out of the freezer of zero",
                    "0",
                    "more than zero",
                )


CHECKS = ((_rolls, ("stores",)), (_out_time, ("stores",)))
