"""What stands on the shelves, as somebody who makes a job chooses from it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from panelmend.errors import InputError
from panelmend.shelves.entry import ShelfEntry
from panelmend.shelves.folder import Folder
from panelmend.shelves.model import Shelf
from panelmend.shelves.names import tidy_name


@dataclass(frozen=True)
class StockChoice:
    """One thing to choose: its value, its title, what else is said of it, and the entry and hand it means."""

    value: str
    title: str
    state: str
    entry: ShelfEntry
    hand: str = ""

    def is_for(self, part_number: str) -> bool | None:
        """Whether data is for a panel; None where it does not say."""
        said = self.entry.head.panels
        return tidy_name(part_number) in map(tidy_name, said) if said else None

    @property
    def words(self) -> str:
        """Title and state in one."""
        return ", ".join(x for x in (self.title, self.state) if x)


class Stock:
    """The entries of shelves as they are offered; each is read once."""

    def __init__(self, shelves: Folder, day: date) -> None:
        self.shelves, self.day = shelves, day
        self._made: dict[Shelf, tuple[StockChoice, ...]] = {}
        self.faulty: list[str] = []

    def choices(self, shelf: Shelf) -> tuple[StockChoice, ...]:
        """What may be chosen on a shelf; what cannot be read is kept under ``faulty``."""
        if shelf not in self._made:
            self._made[shelf] = tuple(self._choices(shelf))
        return self._made[shelf]

    def choice(self, shelf: Shelf, value: str) -> StockChoice | None:
        """The choice of a value, None where it is none."""
        return next((c for c in self.choices(shelf) if c.value == value), None)

    def _choices(self, shelf: Shelf) -> Iterator[StockChoice]:
        for file in sorted(self.shelves.files(shelf), key=_in_order):
            try:
                entry = self.shelves.read_file(shelf, file)
                state = self._state(entry)
            except InputError as error:
                self.faulty.append(str(error).split("\n", maxsplit=1)[0])
                continue
            yield StockChoice(entry.head.name, _title(entry), ", ".join(state), entry)
            other = entry.head.other_hand
            if shelf == "panels" and other is not None:
                hand = "right" if entry.head.hand == "left" else "left"
                mirror = f"mirror image of {entry.head.name}"
                yield StockChoice(other.part_number, other.name, ", ".join([mirror, *state]), entry, hand)

    def _state(self, entry: ShelfEntry) -> list[str]:
        head, said = entry.head, []
        if head.shelf != "stores" and not entry.is_checked:
            said.append("NOT CHECKED")
        if head.valid_from is not None and self.day < head.valid_from:
            said.append(f"NOT BEFORE {head.valid_from}")
        if head.valid_until is not None and self.day > head.valid_until:
            said.append(f"ENDED {head.valid_until}")
        others = [e.head.name for e in self.shelves.superseding(entry)]
        if others:
            said.append(f"SUPERSEDED by {', '.join(others)}")
        return said


def _in_order(file: str) -> list[tuple[int, str]]:
    """So that Repair 4 stands before Repair 12."""
    return [(int(x), "") if x.isdigit() else (0, x) for x in re.split(r"(\d+)", file.casefold())]


def _title(entry: ShelfEntry) -> str:
    raw = entry.raw
    panel, data, bay = raw.get("panel"), raw.get("data"), raw.get("bay")
    if isinstance(panel, dict):
        return str(panel.get("name", ""))
    if isinstance(data, dict):
        return str(data.get("repair", ""))
    if isinstance(bay, dict):
        blankets = bay.get("blanket")
        return f"{len(blankets)} blankets" if isinstance(blankets, list) else ""
    return ""
