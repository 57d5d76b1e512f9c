"""Shelves made for a test: entries as text, put into a folder, checked by a second person."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from examples_here import FOLDER
from panelmend.app import service
from panelmend.app.shelf_statements import sign_statements
from panelmend.document import Loaded
from panelmend.shelves.checking import checked_text
from panelmend.shelves.entry import ShelfEntry, read_entry
from panelmend.shelves.model import Shelf
from panelmend.shelves.names import file_name

EXAMPLES = ("access_door_no_fit", "cowling", "flap_rib_bay", "gear_door", "root_fairing")
SHELVES = FOLDER / "shelves"
DAY = date(2026, 11, 21)


def short(example: str = "gear_door") -> str:
    """The short job of an example."""
    return (FOLDER / example / "short.toml").read_text("utf8")


def shelf_text(shelf: str, name: str, root: Path = SHELVES) -> str:
    """The text of an entry of the demonstration."""
    return (root / shelf / file_name(name)).read_text("utf8")


def head(shelf: str, name: str, *more: str) -> str:
    """The head of an entry."""
    return "\n".join(
        [
            "[entry]",
            "form = 1",
            f'shelf = "{shelf}"',
            f'name = "{name}"',
            'typed_by = "J. Hale"',
            "typed_on = 2026-11-20",
            'against = "drawing 1"',
            *more,
            "",
            "",
        ]
    )


def entry(text: str, shelf: Shelf, name: str) -> ShelfEntry:
    """An entry read from text."""
    return read_entry(text.encode("utf8"), f"{shelf}/{file_name(name)}", shelf)


def checked(text: str, shelf: Shelf, name: str, by: str = "D. Aune") -> str:
    """The text of an entry with the record of a check."""
    return checked_text(entry(text, shelf, name), by, DAY, "drawing 1")


class Shop:
    """A folder with a job and shelves that begin as the demonstration's."""

    def __init__(self, folder: Path, example: str = "gear_door") -> None:
        self.folder, self.job = folder, folder / "job.toml"
        self.text = short(example)
        root = FOLDER / example / "shelves"
        root = root if root.is_dir() else SHELVES
        for path in root.rglob("*.toml"):
            target = folder / "shelves" / path.relative_to(root)
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(path.read_bytes())

    def path(self, shelf: str, name: str) -> Path:
        """Where an entry stands."""
        return self.folder / "shelves" / shelf / file_name(name)

    def read(self, shelf: str, name: str) -> str:
        """The text of an entry."""
        return self.path(shelf, name).read_text("utf8")

    def put(self, shelf: Shelf, name: str, text: str, *, check: bool = True) -> None:
        """Put an entry on a shelf, checked anew unless that is not wanted."""
        path = self.path(shelf, name)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(checked(text, shelf, name) if check and shelf != "stores" else text, "utf8")

    def edit(self, shelf: Shelf, name: str, *pairs: tuple[str, str], check: bool = True) -> None:
        """Change an entry where it stands."""
        self.put(shelf, name, _replaced(self.read(shelf, name), pairs), check=check)

    def load(self, *pairs: tuple[str, str]) -> Loaded:
        """The job's document, after changes to the job."""
        self.job.write_text(_replaced(self.text, pairs), "utf8")
        return service.load(self.job)

    def seen(self, by: str = "P. Lind", on: date = date(2026, 11, 25)) -> tuple[str, ...]:
        """A second person signs what the engineer answers for in the job; what stays open."""
        left = sign_statements(self.job, by, "ED-0417 sheet 2", on, lambda _: "y", lambda _: None)
        self.text = self.job.read_text("utf8")
        return left

    def codes(self, *pairs: tuple[str, str]) -> list[str]:
        """The codes that the shelves find, without the note of what they gave."""
        shelved = self.load(*pairs).shelved
        assert shelved is not None
        return [f.code for f in shelved.findings if f.code != "X105"]


def _replaced(text: str, pairs: tuple[tuple[str, str], ...]) -> str:
    for old, new in pairs:
        assert text.count(old) >= 1, old
        text = text.replace(old, new, 1)
    return text
