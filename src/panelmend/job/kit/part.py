"""What the kit stage gathers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from panelmend.derive import Figure

Group = Literal[
    "cloth", "resin", "adhesive", "core", "bagging", "cleaning", "protection", "tools", "instruments"
]


@dataclass(frozen=True)
class Pick:
    """What is taken from one lot: its id in the stores, lot number, amount, and what to know of the lot."""

    store: str
    lot: str
    amount: Figure
    words: str


@dataclass(frozen=True)
class KitLine:
    """One line of the kit list; ``short`` is what the stores lack (None where they lack nothing).

    ``stocked``: the stores list the material at all.
    """

    group: Group
    material: str
    name: str
    purpose: str
    amount: Figure | None
    picks: tuple[Pick, ...]
    short: Figure | None
    stocked: bool
    caution: str


@dataclass(frozen=True)
class Mix:
    """One mix: total, resin, hardener (and filler), the window of the hardener in each pot, and its pots.

    ``pots`` holds (resin, hardener, filler) masses of each pot in order; ``hardener_low`` and
    ``hardener_high`` bound the hardener of one pot.
    """

    id: str
    material: str
    operation: str
    purpose: str
    total: Figure
    resin: Figure
    hardener: Figure
    filler: Figure | None
    hardener_low: Figure | None
    hardener_high: Figure | None
    pot_life: Figure | None
    pots: tuple[tuple[Figure, Figure, Figure | None], ...]


@dataclass(frozen=True)
class WetSheet:
    """Wet lay-up: the sheet to wet out between films for one operation, nest plus margin.

    One for each ``strip`` (roll or remnant) that the cloth is cut from.
    """

    cloth: str
    operation: str
    strip: str
    length: Figure
    width: Figure
    resin: Figure


@dataclass(frozen=True)
class KitPart:
    """Everything to gather before the work starts."""

    lines: tuple[KitLine, ...]
    mixes: tuple[Mix, ...]
    sheets: tuple[WetSheet, ...]
