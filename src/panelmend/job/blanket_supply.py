"""Blankets at the bay's supply: what they draw there, and which circuit carries them for hours.

Used with plain numbers while a blanket is chosen, and with figures for what is printed.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from typing import Literal

from panelmend.derive import Figure, Source, formula
from panelmend.document.bay import Bay, Blanket, Circuit
from panelmend.job.basis import Basis

FORMULAS_STAND_AS = "job.supply"  # the name that plans in hand carry

CONTINUOUS = 0.8  # share of a breaker's rating
NEC = Source("NFPA 70 (NEC) 210.20(A), from memory", "a load of three hours or more counts 125 %")
# A supply of 230 V keeps within 10 % (IEC 60038, from memory): beyond that the blanket is made for another.
SUITS = 0.10
_OHM = Source("Ohm's law; a blanket is a resistance that keeps its value")
_GEOMETRY = Source("plane geometry")

Voltage = Literal["suits", "low", "high", "unknown"]


@formula("(L - 2 b) (W - 2 b)", source=_GEOMETRY, kind="area")
def heated_area(length: float, width: float, border: float) -> float:
    """Area of a blanket within its unheated border.

    length: length of the blanket [m]
    width: width of the blanket [m]
    border: unheated border on each side [m]
    return: heated area [m2]
    """
    return (length - 2.0 * border) * (width - 2.0 * border)


@formula("P = q A", source=Source("definition of power density"), kind="power")
def power_on_area(density: float, area: float) -> float:
    """Power of a heated area.

    density: power on its area [W/m2]
    area: heated area [m2]
    return: power [W]
    """
    return density * area


@formula("q = P / A", source=Source("definition of power density"), kind="power density")
def density_of(power: float, area: float) -> float:
    """Power on a heated area.

    power: power [W]
    area: heated area [m2]
    return: power on the area [W/m2]
    """
    return power / area


@formula("P (V / Vr)^2", source=_OHM, kind="power")
def power_at_supply(rated: float, voltage: float, supply: float) -> float:
    """Power of a blanket at a supply of another voltage than it is rated for.

    rated: power at its rated voltage [W]
    voltage: rated voltage [V]
    supply: voltage of the supply [V]
    return: power at the supply [W]
    """
    return rated * (supply / voltage) ** 2


@formula("I = P / V", source=_OHM, kind="current")
def current_drawn(power: float, supply: float) -> float:
    """Current a blanket draws.

    power: power at the supply [W]
    supply: voltage of the supply [V]
    return: current [A]
    """
    return power / supply


@formula("k I", source=NEC, kind="current")
def carried_for_hours(rating: float, share: float) -> float:
    """Current a circuit may carry for hours.

    rating: rating of its breaker [A]
    share: share of the rating that may be drawn for hours [1]
    return: current [A]
    """
    return rating * share


def suits(blanket: Blanket, bay: Bay) -> Voltage:
    """Whether the bay's supply is the one a blanket is made for."""
    if bay.supply is None:
        return "unknown"
    if bay.supply < blanket.voltage * (1.0 - SUITS) - 1e-9:
        return "low"
    return "high" if bay.supply > blanket.voltage * (1.0 + SUITS) + 1e-9 else "suits"


def blanket_current(blanket: Blanket, bay: Bay) -> float | None:
    """Current of a blanket at the bay's supply [A]; None where the supply or its power is not known."""
    area = (blanket.length - 2 * blanket.border) * (blanket.width - 2 * blanket.border)
    rated = blanket.power if blanket.power is not None else (blanket.power_density or 0.0) * area
    if bay.supply is None or not rated:
        return None
    return rated * (bay.supply / blanket.voltage) ** 2 / bay.supply


def density_at_supply(bay: Bay, blanket: Blanket) -> float:
    """Power on the heated area at the bay's supply, at the rated voltage where that is not given [W/m2]."""
    area = heated_area(length=blanket.length, width=blanket.width, border=blanket.border)
    rated = blanket.power_density if blanket.power_density is not None else (blanket.power or 0.0) / area
    return float(rated * ((bay.supply / blanket.voltage) ** 2 if bay.supply is not None else 1.0))


def carries(circuit: Circuit) -> float:
    """Current a circuit may carry for hours [A]."""
    share = circuit.continuous if circuit.continuous is not None else CONTINUOUS
    return circuit.rating * share


def assign(currents: Sequence[float], carried: Sequence[float]) -> tuple[int | None, ...]:
    """A circuit for each blanket, so that none carries more than it may; None where none is left.

    As many blankets as possible are served, the first before the second; each on a circuit of its own if
    there are enough; and on the smallest circuits that will do, so that the large ones stay free.

    Args:
        currents: of the blankets [A].
        carried: what each circuit may carry for hours [A].

    Returns:
        Index of the circuit of each blanket.
    """
    choices: list[int | None] = [*range(len(carried)), None]
    best: tuple[tuple[object, ...], tuple[int | None, ...]] | None = None
    for tried in product(choices, repeat=len(currents)):
        used = {c for c in tried if c is not None}
        loads = {c: sum(i for i, t in zip(currents, tried, strict=True) if t == c) for c in used}
        if any(load > carried[c] * (1 + 1e-12) for c, load in loads.items()):
            continue
        left = [t is None for t in tried]
        rank = (
            sum(left),
            left,
            len(tried) - sum(left) - len(used),
            sum(carried[c] for c in sorted(used)),
            [len(carried) if t is None else t for t in tried],
        )
        if best is None or rank < best[0]:
            best = rank, tried
    assert best is not None, "no blanket on any circuit is always possible"
    return best[1]


def carried_together(blankets: Sequence[Blanket], bay: Bay) -> bool:
    """Whether circuits of the bay carry these blankets at once; also True where that cannot be told."""
    currents = [blanket_current(b, bay) for b in blankets]
    if not bay.circuit or any(c is None for c in currents):
        return True
    plain = [c for c in currents if c is not None]
    return None not in assign(plain, [carries(c) for c in bay.circuit])


def blanket_index(bay: Bay, ident: str) -> int:
    """Index of a blanket of the bay; the document's own checks refuse ids that are not there."""
    return next(i for i, b in enumerate(bay.blanket) if b.id == ident)


def area_figure(basis: Basis, index: int) -> Figure:
    """Heated area of a blanket of the bay."""
    blanket = basis.case.document.bay.blanket[index]
    key, path = f"blanket.{blanket.id}", f"bay.blanket[{index + 1}]"
    sizes = {
        n: basis.typed(f"{key}.{n}", getattr(blanket, n), "length", path=f"{path}.{n}")
        for n in ("length", "width", "border")
    }
    return basis.ledger.derive(f"{key}.heated_area", heated_area, **sizes)


def rated_power(basis: Basis, index: int) -> Figure:
    """Power of a blanket at its rated voltage: as typed, or from its power density."""
    blanket = basis.case.document.bay.blanket[index]
    key, path = f"blanket.{blanket.id}", f"bay.blanket[{index + 1}]"
    if blanket.power is not None:
        return basis.typed(f"{key}.rated_power", blanket.power, "power", path=f"{path}.power")
    density = rated_density(basis, index)
    area = area_figure(basis, index)
    return basis.ledger.derive(f"{key}.rated_power", power_on_area, density=density, area=area)


def rated_density(basis: Basis, index: int) -> Figure:
    """Power on a blanket's heated area at its rated voltage: as typed, or from its power."""
    blanket = basis.case.document.bay.blanket[index]
    key, path = f"blanket.{blanket.id}", f"bay.blanket[{index + 1}]"
    if blanket.power is None:
        density = blanket.power_density or 0.0
        return basis.typed(f"{key}.rated_density", density, "power density", path=f"{path}.power_density")
    power, area = rated_power(basis, index), area_figure(basis, index)
    return basis.ledger.derive(f"{key}.rated_density", density_of, power=power, area=area)


def rated_voltage(basis: Basis, index: int) -> Figure:
    """Rated voltage of a blanket."""
    blanket = basis.case.document.bay.blanket[index]
    path = f"bay.blanket[{index + 1}].voltage"
    return basis.typed(f"blanket.{blanket.id}.rated_voltage", blanket.voltage, "voltage", path=path)


def supply_figure(basis: Basis) -> Figure | None:
    """Voltage of the bay's supply, None where it is not given."""
    supply = basis.case.document.bay.supply
    return None if supply is None else basis.typed("bay.supply", supply, "voltage", path="bay.supply")


def carried_figure(basis: Basis, index: int) -> Figure:
    """What a circuit of the bay may carry for hours."""
    circuit = basis.case.document.bay.circuit[index]
    key, path = f"circuit.{circuit.id}", f"bay.circuit[{index + 1}]"
    rating = basis.typed(f"{key}.rating", circuit.rating, "current", path=f"{path}.rating")
    share = (
        basis.typed(f"{key}.continuous", circuit.continuous, "ratio", path=f"{path}.continuous")
        if circuit.continuous is not None
        else basis.ledger.default(f"{key}.continuous", CONTINUOUS, "ratio", source=NEC)
    )
    return basis.ledger.derive(f"{key}.carries", carried_for_hours, rating=rating, share=share)
