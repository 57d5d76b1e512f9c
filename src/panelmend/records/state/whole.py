"""Everything that is so after an entry."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache
from zoneinfo import ZoneInfo

from panelmend.records import events as e
from panelmend.records import seals
from panelmend.records.canonical import read_moment
from panelmend.records.state.held import Batch, Coupon, HeldLot, Person
from panelmend.records.state.shelf import JobShelf

Prove = Callable[[int, str, str, str], bool]
"""Proves a seal: the entry's number, whose key (its public half), what was sealed, the seal."""


def proved_now(number: int, public: str, text: str, seal: str) -> bool:
    """Whether a seal is of a text, made with that key."""
    return seals.sealed(public, text, seal)


@dataclass
class State:
    """Everything that is so after an entry. ``numbers`` are those in use, ``batches`` each batch's earliest
    date with the lot that came with it."""

    number: int = 0
    head: str = "0" * 64
    records: str = ""
    zone: str = "UTC"
    rules: int = 1
    invented: bool = False
    latest: str = ""
    entered: list[str] = field(default_factory=list)
    wrong: set[int] = field(default_factory=set)
    said_wrong: dict[str, str] = field(default_factory=dict)
    governs: str = ""
    said_lost: dict[str, str] = field(default_factory=dict)
    behind: list[int] = field(default_factory=list)
    people: dict[str, Person] = field(default_factory=dict)
    jobs: JobShelf = field(default_factory=JobShelf)
    lots: dict[str, HeldLot] = field(default_factory=dict)
    instruments: dict[str, e.InstrumentKnown] = field(default_factory=dict)
    calibrated: dict[str, list[tuple[str, str]]] = field(default_factory=dict)
    panels: dict[str, list[str]] = field(default_factory=dict)
    least: dict[str, e.StockLeast] = field(default_factory=dict)
    tickets: set[str] = field(default_factory=set)
    logs: dict[str, str] = field(default_factory=dict)
    papers: set[str] = field(default_factory=set)
    secrets: set[str] = field(default_factory=set)
    numbers: set[str] = field(default_factory=set)
    batches: dict[tuple[str, str], tuple[str, str]] = field(default_factory=dict)
    mixed: dict[str, Batch] = field(default_factory=dict)
    coupons: dict[str, Coupon] = field(default_factory=dict)
    by: dict[str, list[int]] = field(default_factory=dict)
    of: dict[str, list[int]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.cleared: set[tuple[str, str, date, date]] = set()
        """Who was found to have which right on which days; emptied by every entry about people."""
        self.keeping: dict[str, set[str]] = {}
        """Lots that keep something for a job, or did, by its number: looked at when it closes."""
        self.prove: Prove = proved_now
        """Who proves the seals: at once, unless whoever checks a whole log has it done beside."""
        self.looked = ""
        """When somebody looks at it; no rule reads it and it is no part of what is so."""

    @property
    def now(self) -> str:
        """The moment for which pages tell of dates and out-time: of looking, or of the last entry where the
        clock stands behind it. Days may pass without an entry."""
        return max(self.latest, self.looked)

    def touch(self, thing: str, number: int) -> None:
        """Note that an entry concerns something ("job X", "lot Y", "person Z", "instrument W")."""
        held = self.of.setdefault(thing, [])
        if not held or held[-1] != number:
            held.append(number)

    def due_of(self, instrument: str, at: str) -> str:
        """The day until which an instrument was calibrated by what was known at a moment; "" for unknown."""
        held = [due for known, due in self.calibrated.get(instrument, []) if known <= at]
        return held[-1] if held else ""

    def day(self, at: str) -> date:
        """The shop's own date at a moment."""
        return _day(at[:15] + ("5" if at[15:16] >= "5" else "0"), self.zone)


@lru_cache(65536)
def _day(five: str, zone: str) -> date:
    """The day of five minutes: midnight falls on none of them in any zone of this century."""
    return read_moment(f"{five}:00.000Z").astimezone(ZoneInfo(zone)).date()


def batch_key(material: str, batch: str) -> tuple[str, str]:
    """A maker's batch of a material, however its letters are written."""
    return material.casefold(), batch.casefold()


def panel_key(panel: str, serial: str) -> str:
    """One panel by its part number and serial number; "" where no serial number is given: many are alike."""
    return f"{panel} {serial}" if serial.strip() else ""


def jobs_of_panel(state: State, key: str) -> list[str]:
    """Numbers of the jobs on a panel by its :func:`panel_key`, however its part and serial number were typed:
    case, spaces and leading zeros make no other panel. Of "" none."""
    wanted = _spelled(key)
    return [j for k, jobs in state.panels.items() if wanted and _spelled(k) == wanted for j in jobs]


def lots_of_batch(state: State, batch: str) -> list[str]:
    """Numbers of the lots, and of what came back of them, that are of one batch of their maker."""
    wanted = batch.casefold()
    return [n for n, lot in state.lots.items() if lot.received.batch.casefold() == wanted]


def _spelled(key: str) -> tuple[str, ...]:
    return tuple(x.lstrip("0") or "0" for x in key.casefold().split())


def number_key(kind: str, name: str) -> str:
    """A number that is in use, however its letters are written."""
    return f"{kind} {name.casefold()}"
