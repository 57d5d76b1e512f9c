"""What a kind of quantity is: one SI unit, the units it is read in, those it is shown in."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Kind:
    """One kind of quantity: its SI unit, the units it is read in, and those it is shown in."""

    name: str
    si: str
    units: dict[str, tuple[float, float]]  # unit -> (scale, offset): SI = value * scale + offset
    metric: tuple[str, int]  # unit and decimals in the millimetre view; below zero: significant digits
    inch: tuple[str, int]  # the same in the inch view
    example: str


def scaled(
    name: str, si: str, units: dict[str, float], metric: tuple[str, int], inch: tuple[str, int], example: str
) -> Kind:
    """A kind whose units begin at the same zero: ``units`` says how much of the SI unit each is [SI unit]."""
    return Kind(name, si, {unit: (scale, 0.0) for unit, scale in units.items()}, metric, inch, example)
