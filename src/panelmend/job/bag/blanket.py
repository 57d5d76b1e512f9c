"""Choosing the blanket of an operation from those in the bay."""

from __future__ import annotations

from dataclasses import dataclass

from panelmend.derive import Figure
from panelmend.document.bay import Bay, Blanket
from panelmend.job.bag.formulas import heated_size, power_needed
from panelmend.job.basis import Basis
from panelmend.job.blanket_supply import (
    blanket_index,
    carried_together,
    current_drawn,
    rated_density,
    rated_voltage,
    suits,
    supply_figure,
)


@dataclass(frozen=True)
class ChosenBlanket:
    """The blanket, which way it lies, and its outer size along and across the opening."""

    blanket: Blanket | None
    turned: bool
    length: Figure
    width: Figure
    enough: bool


@dataclass(frozen=True)
class _Option:
    """A blanket one way round."""

    index: int
    turned: bool
    fits: bool
    rank: tuple[bool, bool, float, bool, int]


def choose_blanket(
    basis: Basis, key: str, cure: str, needed_length: Figure, needed_width: Figure
) -> ChosenBlanket:
    """The blanket of one cure: the planner's own choice, else the smallest whose heated area is large enough.

    Among those large enough, one that a circuit carries (with the blanket behind, if there is one) and that
    is not made for less than the supply's voltage comes first, then one that is not made for more.
    """
    document = basis.case.document
    wanted, behind = document.choice.blankets(cure)
    second = [b for b in document.bay.blanket if b.id == behind]
    options = [
        _option(document.bay, i, turned, (float(needed_length), float(needed_width)), second)
        for i, blanket in enumerate(document.bay.blanket)
        for turned in (False, True)
        if (blanket.id == wanted if wanted else blanket.id != behind)
    ]
    fitting = [o for o in options if o.fits]
    if not options or not (fitting or wanted):
        _needed(basis, key, needed_length, needed_width)
        return ChosenBlanket(None, False, needed_length, needed_width, False)
    best = min(fitting or options, key=lambda o: o.rank)
    blanket, path = document.bay.blanket[best.index], f"bay.blanket[{best.index + 1}]"
    first, across = ("width", "length") if best.turned else ("length", "width")
    sizes = {
        n: basis.typed(f"blanket.{blanket.id}.{n}", getattr(blanket, n), "length", path=f"{path}.{n}")
        for n in ("length", "width")
    }
    if blanket.border:
        border = basis.typed(f"blanket.{blanket.id}.border", blanket.border, "length", path=f"{path}.border")
        for n in ("length", "width"):
            basis.ledger.derive(f"{key}.heated_{n}", heated_size, size=sizes[n], border=border)
    return ChosenBlanket(blanket, best.turned, sizes[first], sizes[across], bool(fitting))


def _option(
    bay: Bay, index: int, turned: bool, needed: tuple[float, float], second: list[Blanket]
) -> _Option:
    blanket = bay.blanket[index]
    long, wide = (blanket.width, blanket.length) if turned else (blanket.length, blanket.width)
    fits = long - 2 * blanket.border >= needed[0] - 1e-9 and wide - 2 * blanket.border >= needed[1] - 1e-9
    voltage = suits(blanket, bay)
    stopped = voltage == "high" or not carried_together([blanket, *second], bay)
    area = blanket.length * blanket.width
    return _Option(index, turned, fits, (stopped, voltage == "low", area, turned, index))


def _needed(basis: Basis, key: str, length: Figure, width: Figure) -> None:
    """What a blanket that is large enough would draw, at the power density of the bay's largest."""
    bay = basis.case.document.bay
    if not bay.blanket:
        return
    largest = max(bay.blanket, key=lambda b: b.length * b.width)
    index = blanket_index(bay, largest.id)
    density = rated_density(basis, index)
    power = basis.ledger.derive(
        f"{key}.needed_power", power_needed, density=density, length=length, width=width
    )
    volts = supply_figure(basis) or rated_voltage(basis, index)
    basis.ledger.derive(f"{key}.needed_current", current_drawn, power=power, supply=volts)
