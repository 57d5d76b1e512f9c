"""Picking from the stores: opened first, then first to expire, never expired, out-time never reset."""

from __future__ import annotations

from datetime import date

from panelmend.derive import Figure
from panelmend.document.bay import Lot
from panelmend.job.ground import Ground
from panelmend.job.kit.formulas import still_needed, taken
from panelmend.job.kit.part import Pick
from panelmend.units import show

MEASURES = {"mass": "mass", "hardener_mass": "mass", "area": "area", "volume": "volume"}
NOTHING = 1e-9


def usable(lot: Lot, day: date) -> bool:
    """Neither expired on the day of the work nor out of its freezer for too long."""
    return not (
        (lot.expires is not None and lot.expires < day)
        or (lot.out_life is not None and lot.out_time >= lot.out_life)
    )


def in_order(lots: list[Lot]) -> list[Lot]:
    """Opened first, then first to expire."""
    return sorted(lots, key=lambda lot: (not lot.opened, lot.expires or date.max, lot.id))


class Shelf:
    """What is left of each lot while the kit is gathered."""

    def __init__(self, ground: Ground) -> None:
        self.ground = ground
        self._left: dict[tuple[str, str], Figure] = {}

    def stocked(self, material: str) -> bool:
        """Whether the stores list the material at all."""
        stores = self.ground.case.document.stores
        held = [lot.material for lot in stores.lot] + [roll.material for roll in stores.roll]
        return material in held

    def take(
        self, key: str, material: str, needed: Figure, measure: str
    ) -> tuple[tuple[Pick, ...], Figure | None]:
        """Pick an amount; what could not be had comes back as a figure, None where all was had."""
        ledger, day = self.ground.ledger, self.ground.case.document.repair.work_date
        picks: list[Pick] = []
        lots = self.ground.case.document.stores.lot
        mine = [lot for lot in lots if lot.material == material and usable(lot, day)]
        rest = needed
        for lot in in_order(mine):
            left = self._stock(lot, measure)
            if left is None or float(left) <= NOTHING or float(rest) <= NOTHING:
                continue
            kind, name = MEASURES[measure], lot.id
            amount = ledger.derive_as(kind, f"{key}.from.{name}", taken, needed=rest, stock=left)
            rest = ledger.derive_as(kind, f"{key}.after.{name}", still_needed, needed=rest, taken=amount)
            remain = ledger.derive_as(kind, f"{key}.left_in.{name}", still_needed, needed=left, taken=amount)
            self._left[(lot.id, measure)] = remain
            picks.append(Pick(lot.id, lot.lot, amount, words_of(lot, self.ground.case.view)))
        return tuple(picks), (rest if float(rest) > NOTHING else None)

    def _stock(self, lot: Lot, measure: str) -> Figure | None:
        if (lot.id, measure) in self._left:
            return self._left[(lot.id, measure)]
        amount = getattr(lot, measure)
        if amount is None:
            return None
        i = self.ground.case.document.stores.lot.index(lot) + 1
        return self.ground.typed(
            f"stores.{lot.id}.{measure}", amount, MEASURES[measure], path=f"stores.lot[{i}].{measure}"
        )


def words_of(lot: Lot, view: str) -> str:
    """Expiry, whether it is opened, and the out-time that goes on counting."""
    parts = ["opened" if lot.opened else "sealed"]
    if lot.expires is not None:
        parts.append(f"use by {lot.expires}")
    if lot.out_life is not None:
        left = show(lot.out_life - lot.out_time, "time", view, unit="h", decimals=1)
        parts.append(f"out-time so far {show(lot.out_time, 'time', view, unit='h', decimals=1)}, {left} left")
    return ", ".join(parts)
