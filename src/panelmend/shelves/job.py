"""A job while it is resolved: its raw values, where each was typed, what is wrong with it."""

from __future__ import annotations

from copy import deepcopy
from typing import Any, Protocol

from pydantic import ValidationError

from panelmend.document.fault import Fault, fault_at
from panelmend.document.places import Path
from panelmend.document.reader import InFile, OpenedFile, dotted, refusal
from panelmend.document.shelved import Statement
from panelmend.document.wording import plain_complaint, shown
from panelmend.errors import DocumentError, Finding, InputError
from panelmend.shelves.entry import ShelfEntry
from panelmend.shelves.model import JobHead, Shelf
from panelmend.shelves.names import tidy_name
from panelmend.shelves.standing import TypedPaths

JOB_VERSION = 2
HEADS = tuple(JobHead.model_fields)


class Shelves(Protocol):
    """Where entries are read from."""

    root: Any

    def has(self, shelf: Shelf, name: str) -> bool:
        """Whether an entry of this name stands on a shelf."""

    def read(self, shelf: Shelf, name: str) -> ShelfEntry:
        """The entry of that name; InputError where it cannot be had."""

    def superseding(self, entry: ShelfEntry) -> tuple[ShelfEntry, ...]:
        """The entries that take its place."""

    def panels(self) -> tuple[ShelfEntry, ...]:
        """Every entry of a panel that can be read."""

    def issues(self) -> tuple[ShelfEntry, ...]:
        """Every entry of approved data that can be read."""


class ShelvedJob:
    """A job while it is resolved: its raw values, where each was typed, what is wrong with it."""

    def __init__(self, opened: OpenedFile, shelves: Shelves | None) -> None:
        self.opened, self.shelves = opened, shelves
        self.standing = TypedPaths()
        self.standing.file(opened.name, opened.text)
        if opened.part is not None:
            self.standing.rule(("damage",), 0, ("damage", opened.part))
        self.raw: dict[str, Any] = {k: deepcopy(v) for k, v in opened.raw.items() if k not in HEADS}
        self.found: list[Fault] = list(opened.found)
        self.entries: dict[Shelf, list[ShelfEntry]] = {}
        self.files: dict[str, int] = {}
        self.from_shelf: set[str] = set()
        self.added: set[str] = set()
        self.errors: list[InputError] = []
        self.told: list[Finding] = []
        self.statements: list[Statement] = []  # what an engineer answers for, found so far
        self.beyond = False  # whether a table that holds no such damage stops the plan and refuses nothing
        self.answered: tuple[tuple[str, ...], ...] = ()  # paths under data that engineering answered
        try:
            head = {k: v for k, v in opened.raw.items() if k in HEADS}
            self.head = JobHead.model_validate(head)
        except ValidationError as error:
            self.head = JobHead()
            self.found += [plain_complaint(e, opened.raw, JobHead) for e in error.errors(include_url=False)]
            self.stop()

    def stop(self) -> None:
        """Refuse, if anything was found so far."""
        if self.errors or self.found:
            faults = refusal(self.found, self.standing, self.opened.name).faults if self.found else []
            raise DocumentError([*faults, *self.errors])

    def wrong(self, path: Path, words: str, read: str, expected: str, todo: str = "") -> None:
        """Note a fault of the job, to refuse it with the others."""
        self.found.append(fault_at(path, words, read, expected, todo))

    def take(self, shelf: Shelf, name: str, at: Path) -> ShelfEntry | None:
        """An entry that is named at ``at`` of the job; None where it cannot be had, which is then found."""
        if self.shelves is None:
            self.wrong(
                at,
                "no shelves were found",
                repr(name[:120]),
                "a folder 'shelves' beside the document or above it, or the setting PANELMEND_SHELVES",
            )
            return None
        already = next(
            (e for e in self.entries.get(shelf, []) if tidy_name(e.head.name) == tidy_name(name)), None
        )
        if already is not None:
            return already
        try:
            entry = self.shelves.read(shelf, name)
        except DocumentError as error:
            self.errors += error.faults
            return None
        except InputError as error:
            if error.where:
                self.errors.append(error)
            else:
                self.found.append((at, self._of_other_hand(shelf, name) or error))
            return None
        self.entries.setdefault(shelf, []).append(entry)
        self.files[entry.file] = self.standing.file(entry.file, entry.text)
        return entry

    def _of_other_hand(self, shelf: Shelf, name: str) -> InputError | None:
        """The part number of a panel's other hand stands within the entry of the one that was drawn."""
        for entry in self.shelves.panels() if shelf == "panels" and self.shelves is not None else ():
            other = entry.head.other_hand
            if other is not None and tidy_name(other.part_number) == tidy_name(name):
                hand = "right" if entry.head.hand == "left" else "left"
                return InputError(
                    f"this is the other hand of {entry.head.name}, and its mirror image",
                    read=shown(name),
                    expected=f'panel = {shown(entry.head.name)}, hand = "{hand}" under [use]',
                )
        return None

    def lay(self, path: Path, value: Any, entry: ShelfEntry, at: Path) -> None:
        """Put a value of an entry into the document."""
        here: Any = self.raw
        for part in path[:-1]:
            here = here.setdefault(part, {})
        here[path[-1]] = deepcopy(value)
        self.standing.rule(path, self.files[entry.file], at)

    def wrong_in(self, entry: ShelfEntry, path: Path, error: InputError) -> None:
        """Something wrong at a path of an entry."""
        where = f"{InFile(entry.file, entry.text).place(path)[2]}, {dotted(path)}"
        self.errors.append(
            InputError(error.words, where=where, read=error.read, expected=error.expected, todo=error.todo)
        )
