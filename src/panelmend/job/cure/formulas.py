"""The numbers of the cure stage."""

from __future__ import annotations

from panelmend.derive import Source, formula

_OHM = Source("Ohm's law; a blanket is a resistance that keeps its value")


@formula("(V / Vr)^2", source=_OHM, kind="ratio")
def share_of_rated(voltage: float, supply: float) -> float:
    """Share of its rated power that a blanket gives at the supply.

    voltage: rated voltage [V]
    supply: voltage of the supply [V]
    return: power at the supply over rated power [1]
    """
    return (supply / voltage) ** 2
