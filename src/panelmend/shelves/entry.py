"""One shelf entry: its head and contents, read once from bytes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from panelmend.document.fault import Fault, fault_at
from panelmend.document.people import is_name, same_person
from panelmend.document.reader import InFile, OpenedFile, open_file, refusal
from panelmend.document.wording import did_you_mean, plain_complaint, shown
from panelmend.errors import DocumentError, InputError
from panelmend.shelves.choose import table_faults
from panelmend.shelves.digests import checked_digest, whole_digest
from panelmend.shelves.model import FORM, EntryFile, Head, Shelf
from panelmend.shelves.names import bare, file_name, tidy_name
from panelmend.shelves.practice import practice_faults
from panelmend.shelves.zones import zone_faults

# What stands beside the head, by shelf: the first is needed.
CONTENTS: dict[Shelf, tuple[str, ...]] = {
    "panels": ("panel", "repair"),
    "data": ("data", "choose", "zone"),
    "materials": ("materials",),
    "bays": ("bay", "repair", "people"),
    "practice": ("practice",),
    "stores": ("stores",),
}
# What one repair has of its own, by table: it stands in the job.
OWN = {
    ("panel", "serial"): "the serial number",
    ("panel", "earlier_repair"): "what was done to one panel",
    ("repair", "number"): "the number of one repair",
    ("repair", "title"): "the title of one repair",
    ("repair", "work_date"): "the day of one repair",
    ("repair", "registration"): "one aircraft",
}
HEAD_FOR = {
    "hand": ("panels", "data"),
    "other_hand": ("panels",),
    "materials": ("panels", "data", "bays"),
    "practice": ("bays",),
    "stores": ("bays",),
    "panels": ("data",),
    "table": ("panels", "data", "materials", "bays", "practice"),
    "signed": ("panels", "data", "materials", "bays", "practice"),
}


@dataclass(frozen=True)
class ShelfEntry:
    """A shelf entry; ``file`` is its path below the shelves, ``data`` the bytes it was read from."""

    file: str
    data: bytes
    text: str
    raw: dict[str, Any]
    typed: EntryFile
    digest: str

    @property
    def head(self) -> Head:
        """Its head."""
        return self.typed.entry

    @property
    def checked_digest(self) -> str:
        """Digest of what a check of it is bound to."""
        return checked_digest(self.raw)

    @property
    def is_checked(self) -> bool:
        """Whether a second person checked what it says now."""
        return self.head.check is not None and self.head.check.digest == self.checked_digest

    @property
    def words(self) -> str:
        """Its name, its revision and where it stands."""
        revision = f" revision {self.head.revision}" if self.head.revision else ""
        return f"{self.head.name}{revision} ({self.file})"


def read_entry(data: bytes, file: str, shelf: Shelf) -> ShelfEntry:
    """Read an entry of a shelf.

    Args:
        data: the bytes of its file.
        file: its path below the shelves, for messages and packs.
        shelf: the shelf it stands on.

    Raises:
        DocumentError: with every fault of its head, and everything that has no place on this shelf.
    """
    opened = open_file(data, file)
    raw, found = opened.raw, list(opened.found)
    found += _contents(raw, shelf)
    made: EntryFile | None = None
    try:
        made = EntryFile.model_validate(raw)
    except ValidationError as error:
        known = {path for path, _ in found}
        found += [
            f
            for f in (plain_complaint(e, raw, EntryFile) for e in error.errors(include_url=False))
            if f[0] not in known
        ]
    head = raw.get("entry")
    if isinstance(head, dict) and type(head.get("form")) is not int and "form" in head:
        found.append(fault_at(("entry", "form"), "not a version of the form", shown(head["form"]), str(FORM)))
    if made is not None:
        found += _head(made.entry, shelf, file)
        found += _numbers(made.entry, raw)
        found += table_faults(made, raw)
        found += practice_faults(made)
        found += zone_faults(made)
    if found or made is None:
        raise refusal(found, InFile(file, opened.text), file)
    return ShelfEntry(file, data, opened.text, raw, made, whole_digest(raw))


def _contents(raw: dict[str, Any], shelf: Shelf) -> Iterator[Fault]:
    wanted = ("entry", *CONTENTS[shelf])
    for key in raw:
        if key not in wanted:
            yield fault_at(
                (key,),
                f"this has no place in an entry of the shelf '{shelf}'",
                key[:60],
                " or ".join(f"[{w}]" for w in wanted),
                did_you_mean(key, list(wanted)),
            )
    if CONTENTS[shelf][0] not in raw and "entry" in raw:
        yield fault_at((), f"the entry holds no [{CONTENTS[shelf][0]}]", "nothing", f"[{CONTENTS[shelf][0]}]")
    for (table, key), what in OWN.items():
        here = raw.get(table)
        if isinstance(here, dict) and key in here:
            yield fault_at((table, key), f"{what} has no place on a shelf", shown(here[key]), "it in the job")


def _head(head: Head, shelf: Shelf, file: str) -> Iterator[Fault]:
    if head.shelf != shelf:
        yield fault_at(
            ("entry", "shelf"), "the entry stands on another shelf", shown(head.shelf), shown(shelf)
        )
    if file.rsplit("/", 1)[-1] != file_name(head.name):
        yield fault_at(
            ("entry", "name"),
            "the file is not named as its entry",
            shown(file.rsplit("/", 1)[-1]),
            shown(file_name(head.name)),
            "rename the file, or correct the name; panelmend shelf add does it by itself",
        )
    for name, shelves in HEAD_FOR.items():
        if getattr(head, name) and shelf not in shelves:
            yield fault_at(
                ("entry", name), f"'{name}' has no place in this entry", "it", f"it on {' or '.join(shelves)}"
            )
    if shelf == "panels" and head.hand == "both":
        yield fault_at(("entry", "hand"), "a panel has one hand", shown("both"), 'hand = "left" or "right"')
    if head.other_hand is not None and head.hand not in ("left", "right"):
        yield fault_at(
            ("entry", "other_hand"),
            "nothing says which hand was typed",
            "no hand",
            'hand = "left" or "right" beside it',
        )
    other = "" if head.other_hand is None else head.other_hand.part_number
    if other and tidy_name(other).casefold() == tidy_name(head.name).casefold():
        yield fault_at(
            ("entry", "other_hand"),
            "the other hand has the part number of this one",
            shown(other),
            "its own part number",
        )
    if head.supersedes and head.supersedes == head.name:
        yield fault_at(
            ("entry", "supersedes"), "an entry cannot supersede itself", shown(head.name), "another"
        )
    if head.valid_from and head.valid_until and head.valid_until < head.valid_from:
        yield fault_at(
            ("entry", "valid_until"),
            "it ends before it begins",
            f"{head.valid_from} to {head.valid_until}",
            "the later day last",
        )
    yield from _checked(head)


def _numbers(head: Head, raw: dict[str, Any]) -> list[Fault]:
    """The panel that was typed is not its own mirror image."""
    panel = raw.get("panel")
    number = panel.get("part_number") if isinstance(panel, dict) else None
    other = "" if head.other_hand is None else head.other_hand.part_number
    if not isinstance(number, str) or not other or bare(number) != bare(other):
        return []
    words = "this is the part number of the other hand"
    return [fault_at(("panel", "part_number"), words, shown(number), f"that of {head.name}")]


def _checked(head: Head) -> Iterator[Fault]:
    if not is_name(head.typed_by):
        yield fault_at(
            ("entry", "typed_by"), "this is not a name", shown(head.typed_by), "who typed the entry"
        )
    check = head.check
    if check is None:
        return
    if not is_name(check.by):
        yield fault_at(
            ("entry", "check", "by"), "this is not a name", shown(check.by), "who checked the entry"
        )
    for who, what in ((head.typed_by, ""), *((t.by, f", the table of {t.table}") for t in head.table)):
        if same_person(check.by, who):
            yield fault_at(
                ("entry", "check", "by"),
                "nobody checks what they typed themselves",
                f"typed by {who}{what}, checked by {check.by}",
                "two different people",
            )
            break
    if check.on < head.typed_on:
        yield fault_at(
            ("entry", "check", "on"),
            "it was checked before it was typed",
            f"typed {head.typed_on}, checked {check.on}",
            "the day of the check, not before it was typed",
        )


def opened_head(data: bytes, file: str) -> OpenedFile | None:
    """An entry opened without a look at what it says; None where it cannot be."""
    try:
        return open_file(data, file)
    except (DocumentError, InputError):
        return None
