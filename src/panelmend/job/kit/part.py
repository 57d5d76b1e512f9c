"""What the kit stage gathers."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from panelmend.derive import Figure

Group = Literal[
    "cloth",
    "resin",
    "adhesive",
    "core",
    "bagging",
    "cleaning",
    "finish",
    "protection",
    "tools",
    "instruments",
    "equipment",
]


WetOut = Literal["wet then cut", "cut then wet"]

CAP = "cap adhesive"
"""Purpose of the mix for a cap cured beforehand that is bonded by itself."""


@dataclass(frozen=True)
class Pick:
    """What is taken from one lot: its id in the stores, lot number, amount, and what to know of the lot.

    ``measure``: which of the lot's amounts it is taken from; resin and hardener of one lot are two.
    """

    store: str
    lot: str
    amount: Figure
    words: str
    measure: str


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
class Share:
    """What of a mix goes on cloth, is brushed or spread on, or goes into coupons, as it is used."""

    code: Literal["cloth", "brush", "spread", "coupons"]
    amount: Figure


@dataclass(frozen=True)
class Mix:
    """One mix: what is mixed in all, its resin, hardener (and filler), and its pots.

    ``need`` is what the work takes, losses included; ``surplus`` is mixed because less cannot be weighed, and
    thrown away. ``least`` is the least batch that a balance of ``step`` and ``uncertainty`` can tell to be
    within ``tolerance`` of hardener over resin; ``most`` the largest in one pot. ``pots`` holds (resin,
    hardener, filler) masses of each pot in order; ``hardener_low`` and ``hardener_high`` bound the reading of
    the hardener where the resin is as printed. ``weighable``: the window holds a reading, within the pot.
    ``bled`` is what of it bleeds into the bleeder and cures there, ``left`` what ends on no ply and in no
    coupon and is not brushed on. ``shares``: what it is for; the rest stays in cups or is surplus.
    """

    id: str
    material: str
    operation: str
    purpose: str
    total: Figure
    resin: Figure
    hardener: Figure
    filler: Figure | None
    hardener_low: Figure
    hardener_high: Figure
    pot_life: Figure | None
    pots: tuple[tuple[Figure, Figure, Figure | None], ...]
    need: Figure
    surplus: Figure
    least: Figure
    most: Figure
    step: Figure
    uncertainty: Figure
    tolerance: Figure
    balance: str
    bled: Figure | None = None
    left: Figure | None = None
    shares: tuple[Share, ...] = ()

    @property
    def cup(self) -> float:
        """What is mixed in one cup [kg]."""
        return float(self.total) / len(self.pots)

    def too_small_for(self, sheets: Iterable[WetSheet]) -> tuple[WetSheet, ...]:
        """Those sheets of its operation that one of its cups cannot wet."""
        if len(self.pots) == 1 or all(s.code != "cloth" for s in self.shares):
            return ()
        return tuple(s for s in sheets if s.operation == self.operation and float(s.mixed) > self.cup)

    @property
    def weighable(self) -> bool:
        """Whether the balance can tell the ratio in a pot that is not too large."""
        fits = self.cup <= float(self.most) + float(self.step)
        return fits and float(self.hardener_low) <= float(self.hardener_high) + 1e-12


@dataclass(frozen=True)
class WetSheet:
    """Wet lay-up: what is cut off a strip for one operation, and the mixed resin it takes.

    One for each ``strip`` (roll or remnant) that the cloth is cut from. ``way`` "wet then cut": the sheet,
    nest plus margin, is wetted out whole and the pieces are cut from it. "cut then wet": the length of the
    nest is taken off the roll, the pieces are cut dry and ``resin`` is for them alone. ``resin`` is what goes
    on the cloth, ``mixed`` what is mixed for it: more, by what is brushed on and stays in cups. ``dry`` is
    the mass of its cloth, ``content`` the share of resin in both.
    """

    way: WetOut

    cloth: str
    operation: str
    strip: str
    length: Figure
    width: Figure
    resin: Figure
    mixed: Figure
    dry: Figure
    content: Figure


@dataclass(frozen=True)
class KitPart:
    """Everything to gather before the work starts."""

    lines: tuple[KitLine, ...]
    mixes: tuple[Mix, ...]
    sheets: tuple[WetSheet, ...]
    wet_out: WetOut | None = None
