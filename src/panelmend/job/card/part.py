"""What the job card holds."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from panelmend.derive import Figure
from panelmend.job.card.order import Place

Words = tuple[str | Figure, ...]
Hazard = Literal[
    "dust",
    "solvent",
    "blade",
    "heat",
    "electricity",
    "static",
    "fire",
    "resin",
    "exotherm",
    "film",
    "paint",
    "vacuum",
    "pressure",
    "lifting",
    "general",
]
Entry = Literal["number", "time", "tick", "text"]
Mark = Literal[
    "",
    "abraded",
    "surface accepted",
    "bond before",
    "dry until",
    "first contact",
    "mixed",
    "lay by",
    "on by",
    "last laid",
    "vacuum on",
    "lots",
    "instruments",
]
"""What the records hold a blank to: a clock's ends and the times it must keep, lots, instruments."""
AHEAD: frozenset[Mark] = frozenset({"bond before", "dry until", "lay by", "on by"})
"""Times by which something must be done: they lie ahead when they are written."""


@dataclass(frozen=True)
class Caution:
    """A caution that stands before its step.

    ``short`` is what of it to do, printed where the whole stood at an earlier step of the same bonding operation;
    "" for one that stands in full at each of its steps.
    """

    hazard: Hazard
    words: str
    short: str = ""


@dataclass(frozen=True)
class Blank:
    """Something to write down.

    A number has a unit, and limits: ``low`` and ``high``, or ``said`` where the limit is no figure or is not
    in the document; ``aim`` is what it should be where the data gives no tolerance. A time of day has the unit "h:min". A tick says in ``said`` what must be true. A text is a lot, a
    number on a plate, or words; it has no limit. ``mark`` is what the records know it by, whatever it is called.
    """

    what: str
    low: Figure | None
    high: Figure | None
    unit: str
    entry: Entry = "number"
    said: str = ""
    aim: Figure | None = None
    mark: Mark = ""


@dataclass(frozen=True)
class StepTable:
    """A small table in a step: its title, the heads of its columns, and rows of words with figures in them."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[Words, ...], ...]


@dataclass(frozen=True)
class Hold:
    """A point where work stops until somebody accepts: its code, who, and what accepted means."""

    code: str
    by: str
    accepted: str


@dataclass(frozen=True)
class Step:
    """One step: words with figures in them, what is needed, what is written down, who must come.

    ``place`` is its place in the working order. ``drawing`` names the drawing that goes with it:
    "cutout far", "nests NAME; NAME", "map OPERATION" (to draw voids on; 0 for the whole repair), "bag" or "".
    """

    number: int
    place: Place
    title: str
    words: tuple[Words, ...]
    cautions: tuple[Caution, ...]
    tools: tuple[str, ...]
    materials: tuple[str, ...]
    blanks: tuple[Blank, ...]
    hold: Hold | None
    drawing: str
    tables: tuple[StepTable, ...] = ()

    @property
    def id(self) -> str:
        """Its id in the working order."""
        return self.place.id

    @property
    def operation(self) -> int:
        """The bonding operation it belongs to; 0 for none."""
        return self.place.operation


@dataclass(frozen=True)
class Note:
    """Reasoning that belongs to a step but is not needed at the bench; it is printed in workings.pdf."""

    place: Place
    title: str
    words: tuple[Words, ...]
    tables: tuple[StepTable, ...] = ()
    drawing: str = ""


class WarmAir(StrEnum):
    """What warm air does to a pot life: nothing yet, shorter by nobody knows how much, as the maker told it, by the typed
    constants of cure, half."""

    NOT = "not warm"
    UNTOLD = "shorter, not told"
    TOLD = "told by the maker"
    RECKONED = "reckoned"
    HALVED = "halved"


@dataclass(frozen=True)
class Clock:
    """One batch against its pot life.

    ``batch`` is the mix's id, ``life`` its pot life (shorter in ``warm`` air), ``lay`` the time after mixing by which all
    is laid, ``needed`` what the bench needs from mixing to a tight bag; None where that is not known.
    """

    batch: str
    operation: int
    life: Figure
    lay: Figure | None
    needed: Figure | None
    warm: WarmAir

    @property
    def known(self) -> bool:
        """Whether ``life`` holds in the air of the bay; if not it is only the most it may be: no time is counted by it."""
        return self.warm is not WarmAir.UNTOLD

    @property
    def fits(self) -> bool | None:
        """Whether it can be done in the pot life; None where that is not known."""
        return None if self.needed is None else float(self.needed) <= float(self.life) + 1e-6


@dataclass(frozen=True)
class CardPart:
    """All steps in working order, the notes that belong to them, and the clocks of the batches."""

    steps: tuple[Step, ...]
    notes: tuple[Note, ...] = ()
    clocks: tuple[Clock, ...] = ()
