"""The bay: blankets, circuits, air, and vacuum that the air of the bay cannot give."""

from __future__ import annotations

from collections.abc import Iterator

from panelmend.document.fault import Fault, fault
from panelmend.document.model import Document
from panelmend.document.places import Path
from panelmend.document.wording import did_you_mean
from panelmend.units import show

LOWEST_BAROMETER, HIGHEST_BAROMETER = 40e3, 110e3  # Pa; beyond every station pressure of a place with people


def _blankets(document: Document) -> Iterator[Fault]:
    for i, blanket in enumerate(document.bay.blanket):
        path: Path = ("bay", "blanket", i)
        if (blanket.power is None) == (blanket.power_density is None):
            yield fault(
                path,
                "power is given twice" if blanket.power is not None else "no power is given",
                repr(blanket.id),
                "either power or power_density",
            )
        if 2 * blanket.border >= min(blanket.length, blanket.width):
            yield fault(
                (*path, "border"),
                "the border leaves nothing heated",
                show(blanket.border, "length"),
                "less than half the width",
            )


def _circuits(document: Document) -> Iterator[Fault]:
    for i, circuit in enumerate(document.bay.circuit):
        if circuit.rating > 200:
            yield fault(
                ("bay", "circuit", i, "rating"),
                "larger than any bay circuit",
                show(circuit.rating, "current"),
                "at most 200 A",
            )
    supply = document.bay.supply
    if supply is not None and not 10 <= supply <= 1000:
        yield fault(("bay", "supply"), "not a supply voltage", show(supply, "voltage"), "10 to 1000 V")


def _air(document: Document) -> Iterator[Fault]:
    bay = document.bay
    if bay.barometer is not None and not LOWEST_BAROMETER < bay.barometer < HIGHEST_BAROMETER:
        yield fault(
            ("bay", "barometer"),
            "not a barometer reading on earth",
            show(bay.barometer, "pressure", unit="hPa", decimals=0),
            "400 to 1100 hPa, absolute, at the bay",
        )
    if bay.elevation is not None and not bay.elevation < 6000:
        yield fault(
            ("bay", "elevation"),
            "higher than any bay",
            show(bay.elevation, "length", unit="m", decimals=0),
            "less than 6000 m",
        )
    if bay.air_temperature is not None and not 233.0 < bay.air_temperature < 333.0:
        yield fault(
            ("bay", "air_temperature"),
            "nobody works in this air",
            show(bay.air_temperature, "temperature"),
            "-40 to 60 C",
            "check C or F",
        )


def _vacuum(path: Path, vacuum: float | None, barometer: float | None) -> Iterator[Fault]:
    if vacuum is None:
        return
    if barometer is not None and not LOWEST_BAROMETER < barometer < HIGHEST_BAROMETER:
        return  # said at the barometer itself
    most = barometer if barometer is not None else HIGHEST_BAROMETER
    if vacuum >= most:
        yield fault(
            path,
            "more vacuum than the bay has air pressure",
            show(vacuum, "pressure", unit="inHg"),
            f"a gauge vacuum below {'the barometer, ' if barometer is not None else ''}"
            f"{show(most, 'pressure', unit='inHg')}",
        )


def _bag_vacuum(document: Document) -> Iterator[Fault]:
    bag, barometer = document.data.bag, document.bay.barometer
    least = bag.least_vacuum
    yield from _vacuum(("data", "bag", "least_vacuum"), least.value if least else None, barometer)
    if bag.leak_drop is not None and least is not None and bag.leak_drop.value >= least.value:
        yield fault(
            ("data", "bag", "leak_drop"),
            "the permitted leak is the whole vacuum",
            show(bag.leak_drop.value, "pressure", unit="inHg"),
            f"less than {show(least.value, 'pressure', unit='inHg')}",
        )
    if bag.leak_time is not None and bag.leak_time.value <= 0:
        yield fault(("data", "bag", "leak_time"), "a leak test of no time", "0", "more than zero")


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
        yield fault(
            ("choice", "blanket"),
            "the bay has no such blanket",
            repr(chosen),
            f"one of {', '.join(ids)}" if ids else "a blanket of [[bay.blanket]]",
            did_you_mean(chosen, ids),
        )


CHECKS = (
    (_blankets, ("bay",)),
    (_circuits, ("bay",)),
    (_air, ("bay",)),
    (_bag_vacuum, ("bay", "data.bag")),
    (_cure_vacuum, ("bay", "data.cure")),
    (_drying_vacuum, ("bay", "data.drying")),
    (_chosen_blanket, ("bay", "choice")),
)
