"""The bay: blankets, circuits, air, and vacuum that the air of the bay cannot give."""

from __future__ import annotations

from collections.abc import Iterator

from panelmend.document.fault import Fault, fault_at
from panelmend.document.model import Document
from panelmend.document.places import Path
from panelmend.document.wording import did_you_mean
from panelmend.units import show

LOWEST_BAROMETER, HIGHEST_BAROMETER = 40e3, 110e3  # Pa; beyond every station pressure of a place with people


def _blankets(document: Document) -> Iterator[Fault]:
    for i, blanket in enumerate(document.bay.blanket):
        path: Path = ("bay", "blanket", i)
        if (blanket.power is None) == (blanket.power_density is None):
            yield fault_at(
                path,
                "power is given twice" if blanket.power is not None else "no power is given",
                repr(blanket.id),
                "either power or power_density",
            )
        if 2 * blanket.border >= min(blanket.length, blanket.width):
            yield fault_at(
                (*path, "border"),
                "the border leaves nothing heated",
                show(blanket.border, "length"),
                "less than half the width",
            )


def _vacuum(path: Path, vacuum: float | None, barometer: float | None) -> Iterator[Fault]:
    if vacuum is None:
        return
    if barometer is not None and not LOWEST_BAROMETER < barometer < HIGHEST_BAROMETER:
        return  # said at the barometer itself
    most = barometer if barometer is not None else HIGHEST_BAROMETER
    if vacuum >= most:
        yield fault_at(
            path,
            "more vacuum than the air pressure in the bay",
            show(vacuum, "pressure", unit="inHg"),
            f"a gauge vacuum below {'the barometer, ' if barometer is not None else ''}"
            f"{show(most, 'pressure', unit='inHg')}",
        )


def _bag_vacuum(document: Document) -> Iterator[Fault]:
    bag, barometer = document.data.bag, document.bay.barometer
    least = bag.least_vacuum
    yield from _vacuum(("data", "bag", "least_vacuum"), least.value if least else None, barometer)
    if bag.leak_drop is not None and least is not None and bag.leak_drop.value >= least.value:
        yield fault_at(
            ("data", "bag", "leak_drop"),
            "the permitted leak is as large as the vacuum itself",
            show(bag.leak_drop.value, "pressure", unit="inHg"),
            f"less than {show(least.value, 'pressure', unit='inHg')}",
        )


def _cure_vacuum(document: Document) -> Iterator[Fault]:
    for i, cure in enumerate(document.data.cure):
        yield from _vacuum(("data", "cure", i, "vacuum"), cure.vacuum, document.bay.barometer)


def _drying_vacuum(document: Document) -> Iterator[Fault]:
    given = document.data.drying.vacuum
    path = ("data", "drying", "vacuum")
    yield from _vacuum(path, given.value if given else None, document.bay.barometer)


def _chosen_blanket(document: Document) -> Iterator[Fault]:
    chosen, ids = document.choice.blanket, [b.id for b in document.bay.blanket]
    if chosen and chosen not in ids:
        yield fault_at(
            ("choice", "blanket"),
            "the bay has no such blanket",
            repr(chosen),
            f"one of {', '.join(ids)}" if ids else "a blanket of [[bay.blanket]]",
            did_you_mean(chosen, ids),
        )


CHECKS = (
    (_blankets, ("bay",)),
    (_bag_vacuum, ("bay", "data.bag")),
    (_cure_vacuum, ("bay", "data.cure")),
    (_drying_vacuum, ("bay", "data.drying")),
    (_chosen_blanket, ("bay", "choice")),
)
