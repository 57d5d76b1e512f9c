"""Stock and instruments that run out while the work is under way: heat alone may take it past their last day."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import assert_never

from panelmend.document.bay import Lot, Roll
from panelmend.document.recipe import Cure
from panelmend.errors import Finding, caution_code
from panelmend.job.bag.part import BagOperation
from panelmend.job.card.laid import laid_in
from panelmend.job.case import Case
from panelmend.job.work import Work
from panelmend.units import show

J645 = caution_code(
    "J645",
    "Stock or an instrument has its last day before the work that needs it may be over",
    "take a lot or an instrument that lasts longer, or see to it that its last use is on that day at the latest, "
    "and write the day down",
)
HEAT_IN_A_DAY = 4.0 * 3600.0
"""[s] of heat that, with the work at the bench, fill a working day (common practice, no source)."""
DAY = 24.0 * 3600.0
ROOM = 293.15  # [K] where the document has no air temperature


def check_lasting(case: Case, work: Work) -> Iterator[Finding]:
    """What is still good on the day of the work, but perhaps not when it is used last."""
    bags, day = work.bag.operations, case.document.repair.work_date
    if not bags:
        return
    ends = _ends(case, work)

    def late(until: date, heat: float) -> bool:
        return until >= day and heat > HEAT_IN_A_DAY + DAY * (until - day).days

    def words(what: str, until: date, heat: float, by: str) -> str:
        hours = show(heat, "time", case.view, limit="most")
        return f"{what} is good until {until}; {by} comes after {hours} of heat at least"

    picked = {p.store for line in work.kit.lines for p in line.picks}
    stores = case.document.stores
    shelves: tuple[tuple[str, Sequence[Lot | Roll]], ...] = (("lot", stores.lot), ("roll", stores.roll))
    for name, held in shelves:
        for i, lot in enumerate(held, 1):
            if lot.id not in picked or lot.expires is None:
                continue
            last = _last_use(work, lot.material)
            heat = ends[last.number] - _heat(case, last.cure)  # it is laid before its own cure
            if late(lot.expires, heat):
                told = words(f"{name} {lot.id} ({lot.lot})", lot.expires, heat, last.name)
                yield J645(told, place=f"stores.{name}[{i}]")
    mixing = [b for b in bags if any(m.operation == b.name for m in work.kit.mixes)]
    for i, tool in enumerate(case.document.bay.instrument, 1):
        match tool.kind:
            case "moisture meter":
                heat, by = _drying(work), "the end of the drying"
            case "balance":
                heat = ends[mixing[-1].number] - _heat(case, mixing[-1].cure) if mixing else 0.0
                by = "the last mix"
            case "vacuum gauge" | "thermocouple" | "tap instrument" | "thermometer" | "torque" | "logger":
                heat, by = ends[bags[-1].number], "the end of the last cure"
            case _:
                assert_never(tool.kind)
        if late(tool.calibrated_until, heat):
            told = words(f"{tool.kind} {tool.id}", tool.calibrated_until, heat, by)
            yield J645(told, place=f"bay.instrument[{i}]")


def _ends(case: Case, work: Work) -> dict[int, float]:
    """By operation: the heat [s] from the beginning of the drying to the end of its cure, at the least."""
    passed, found = _drying(work), dict[int, float]()
    for bag in work.bag.operations:
        passed += _heat(case, bag.cure)
        found[bag.number] = passed
    return found


def _drying(work: Work) -> float:
    """The data's time of drying and of heating up to it [s]; 0 where nothing is dried."""
    part = work.drying
    return sum(float(t) for t in (part.duration, part.heat_up) if t is not None) if part.wet else 0.0


def _heat(case: Case, cure: Cure) -> float:
    """How long a cure takes at the least [s]: the dwells, and the ways between at their greatest rate."""
    air = case.document.bay.air_temperature
    at, passed = air if air is not None else ROOM, 0.0
    for s in cure.segment:
        if s.kind == "dwell":
            passed += s.least or 0.0
        elif rate := s.rate or s.rate_most:
            passed += abs(s.to - at) / rate
        at = s.to
    return passed


def _last_use(work: Work, material: str) -> BagOperation:
    """The last operation that a material is laid or mixed in; the last of all where it is in none by name."""
    using = [
        b
        for b in work.bag.operations
        if any(m.material == material and m.operation == b.name for m in work.kit.mixes)
        or any(p.cloth == material for p in laid_in(work, b))
    ]
    return (using or list(work.bag.operations))[-1]
