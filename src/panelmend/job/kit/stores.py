"""Picking from the stores: opened first, then first to expire, never expired, out-time never reset."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TypeVar

from panelmend.derive import Figure
from panelmend.document.bay import Lot, Roll
from panelmend.job.basis import Basis
from panelmend.job.kit.formulas import sheet_area, still_needed, taken
from panelmend.job.kit.part import Pick
from panelmend.units import show

MEASURES = {"mass": "mass", "hardener_mass": "mass", "area": "area", "volume": "volume", "length": "length"}
AMOUNT_NONE = 1e-9
Held = TypeVar("Held", bound=Lot | Roll)


def usable(lot: Lot | Roll, day: date) -> bool:
    """Neither expired on the day of the work nor out of its freezer for too long."""
    return not (
        (lot.expires is not None and lot.expires < day)
        or (lot.out_life is not None and lot.out_time >= lot.out_life)
    )


def lots_in_order(lots: Sequence[Held]) -> list[Held]:
    """Opened first, then first to expire; of two alike the one typed first."""
    return sorted(lots, key=lambda lot: (not lot.opened, lot.expires or date.max))


class Shelf:
    """What is left of each lot and roll while the kit is gathered."""

    def __init__(self, basis: Basis) -> None:
        self.basis = basis
        self._left: dict[tuple[str, str], Figure] = {}

    def stocked(self, material: str) -> bool:
        """Whether the stores list the material at all."""
        stores = self.basis.case.document.stores
        held = [lot.material for lot in stores.lot] + [roll.material for roll in stores.roll]
        return material in held

    def held(self, material: str, *, thick: float = 0.0, wide: float = 0.0) -> list[Lot | Roll]:
        """Lots and rolls that may be used, in the order they are picked.

        ``thick`` [m]: thinner sheets are passed over; ``wide`` [m]: so are narrower rolls.
        """
        stores, day = self.basis.case.document.stores, self.basis.case.document.repair.work_date
        lots: list[Lot | Roll] = [x for x in stores.lot if x.thickness is None or x.thickness >= thick - 1e-6]
        lots += [roll for roll in stores.roll if roll.width >= wide - 1e-9]
        return lots_in_order([lot for lot in lots if lot.material == material and usable(lot, day)])

    def take(
        self,
        key: str,
        material: str,
        needed: Figure,
        measure: str,
        *,
        thick: float = 0.0,
        wide: float = 0.0,
        whole: bool = False,
    ) -> tuple[tuple[Pick, ...], Figure | None]:
        """Pick an amount; what could not be had comes back as a figure, None where all was had; a lot at
        least ``thick`` and ``wide`` [m].

        ``needed`` and what is picked are in the material's own measure [SI]. ``whole``: one lot must hold
        all of it, because pieces can't be joined.
        """
        ledger, picks, rest, kind = self.basis.ledger, list[Pick](), needed, MEASURES[measure]
        for lot in self.held(material, thick=thick, wide=wide):
            left = self._stock(lot, measure)
            if left is None or float(left) <= AMOUNT_NONE or float(rest) <= AMOUNT_NONE:
                continue
            if whole and float(left) < float(rest) - AMOUNT_NONE:
                continue
            name = lot.id
            amount = ledger.derive_as(kind, f"{key}.from.{name}", taken, needed=rest, stock=left)
            rest = ledger.derive_as(kind, f"{key}.after.{name}", still_needed, needed=rest, taken=amount)
            remain = ledger.derive_as(kind, f"{key}.left_in.{name}", still_needed, needed=left, taken=amount)
            self._left[(lot.id, measure)] = remain
            picks.append(Pick(lot.id, lot.lot, amount, stock_words(lot, self.basis.case.view), measure))
        return tuple(picks), (rest if float(rest) > AMOUNT_NONE else None)

    def _stock(self, lot: Lot | Roll, measure: str) -> Figure | None:
        if (lot.id, measure) in self._left:
            return self._left[(lot.id, measure)]
        stores = self.basis.case.document.stores
        if isinstance(lot, Roll):
            path = f"stores.roll[{stores.roll.index(lot) + 1}]"
            if measure not in ("area", "length"):
                return None
            length = self.basis.typed(f"stores.{lot.id}.length", lot.length, "length", path=f"{path}.length")
            if measure == "length":
                return length
            width = self.basis.typed(f"stores.{lot.id}.width", lot.width, "length", path=f"{path}.width")
            return self.basis.ledger.derive(f"stores.{lot.id}.area", sheet_area, length=length, width=width)
        amount = getattr(lot, measure, None)
        if amount is None:
            return None
        path = f"stores.lot[{stores.lot.index(lot) + 1}].{measure}"
        return self.basis.typed(f"stores.{lot.id}.{measure}", amount, MEASURES[measure], path=path)


def stock_words(lot: Lot | Roll, view: str) -> str:
    """Expiry, whether it is opened, and the out-time that goes on counting."""
    parts = ["opened" if lot.opened else "sealed"]
    if lot.expires is not None:
        parts.append(f"use by {lot.expires}")
    if lot.out_life is not None:
        left = show(lot.out_life - lot.out_time, "time", view, unit="h", decimals=1, limit="most")
        out = show(lot.out_time, "time", view, unit="h", decimals=1, limit="least")
        parts.append(f"out-time so far {out}, {left} left")
    return ", ".join(parts)
