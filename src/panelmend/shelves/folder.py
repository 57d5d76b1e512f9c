"""Shelves on disk: finding the folder, and reading each entry once, from plain files inside it alone."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from difflib import get_close_matches
from pathlib import Path

from panelmend.document.reader import LARGEST_DOCUMENT
from panelmend.errors import InputError
from panelmend.shelves.entry import ShelfEntry, opened_head, read_entry
from panelmend.shelves.model import SHELVES, Shelf
from panelmend.shelves.names import ENDING, bare, file_name, folded, tidy_name

FOLDER = "shelves"
SETTING = "PANELMEND_SHELVES"
_UP = 4  # folders above the document in which shelves are looked for
_MOST = 20_000  # files on one shelf


def find_shelves(document: Path) -> Path | None:
    """The folder of the shelves that a document uses.

    A folder given by the setting PANELMEND_SHELVES comes first, then ``shelves`` beside the document or in
    one of the folders above it, then the user's own. None where there is none.

    Raises:
        InputError: the setting names no folder.
    """
    given = os.environ.get(SETTING, "").strip()
    if given:
        folder = Path(given).expanduser()
        if not folder.is_dir():
            raise InputError(
                "the setting names no folder",
                where=SETTING,
                read=given[:200],
                expected="the folder of the shelves",
            )
        return folder
    above = Path(os.path.abspath(document)).parents
    for folder in above[: _UP + 1]:
        if _is_shelves(folder / FOLDER):
            return folder / FOLDER
    base = os.environ.get("XDG_DATA_HOME") or os.path.expanduser("~/.local/share")
    own = Path(base) / "panelmend" / FOLDER
    return own if _is_shelves(own) else None


def _is_shelves(folder: Path) -> bool:
    return folder.is_dir() and any((folder / shelf).is_dir() for shelf in SHELVES)


class Folder:
    """The shelves in a folder. What was read once stays as it was read, whatever its file says later."""

    def __init__(self, root: Path) -> None:
        self.root = root
        self._read: dict[tuple[Shelf, str], ShelfEntry] = {}
        self._listed: dict[Shelf, tuple[str, ...]] = {}
        self._superseded: dict[Shelf, dict[str, str | None]] = {}

    def files(self, shelf: Shelf) -> tuple[str, ...]:
        """File names on a shelf, in order.

        Raises:
            InputError: the shelf is a link or cannot be read, or two names differ by case alone.
        """
        if shelf not in self._listed:
            self._listed[shelf] = self._list(shelf)
        return self._listed[shelf]

    def _list(self, shelf: Shelf) -> tuple[str, ...]:
        folder = self.root / shelf
        if folder.is_symlink():
            raise InputError(
                "a shelf may not be a link to another folder",
                where=f"{self.root.name}/{shelf}",
                todo="put the folder itself there",
            )
        try:
            names = sorted(n for n in os.listdir(folder) if n.endswith(ENDING) and not n.startswith("."))
        except FileNotFoundError:
            return ()
        except OSError as error:
            raise InputError(
                f"the shelf cannot be read: {error.strerror}", where=f"{self.root.name}/{shelf}"
            ) from None
        if len(names) > _MOST:
            raise InputError(
                "too many files on one shelf", where=f"{self.root.name}/{shelf}", read=f"{len(names):,}"
            )
        seen: dict[str, str] = {}
        for name in names:
            other = seen.setdefault(folded(name), name)
            if other != name:
                raise InputError(
                    "two entries whose file names differ by capital letters alone",
                    where=f"{self.root.name}/{shelf}",
                    read=f"{other} and {name}",
                    expected="names that every file system can tell apart",
                    todo="rename one of them, entry and file",
                )
        return tuple(names)

    def has(self, shelf: Shelf, name: str) -> bool:
        """Whether a file of this entry's name stands on a shelf."""
        return self._file(shelf, name) is not None

    def read(self, shelf: Shelf, name: str) -> ShelfEntry:
        """The entry of that name.

        Raises:
            MissingEntry: there is none.
            DocumentError: it is there and has faults.
            InputError: its file is a link, no file, or cannot be read.
        """
        file = self._file(shelf, name)
        if file is None:
            raise MissingEntry(shelf, name, self.files(shelf))
        entry = self.read_file(shelf, file)
        if tidy_name(entry.head.name) != tidy_name(name):
            raise MissingEntry(shelf, name, self.files(shelf), entry.head.name)
        return entry

    def read_file(self, shelf: Shelf, file: str) -> ShelfEntry:
        """The entry in a file of a shelf."""
        key = (shelf, file)
        if key not in self._read:
            self._read[key] = read_entry(self._bytes(shelf, file), f"{shelf}/{file}", shelf)
        return self._read[key]

    def superseding(self, entry: ShelfEntry) -> tuple[ShelfEntry, ...]:
        """The entries of the same shelf that say they take the place of this one, or of one that does.

        Of a chain each counts: who keeps the third issue instead of the fourth has not seen the fifth. A
        claim means the entry whose file it names, whatever its capitals; where it names none, the entry of
        the same letters and digits: a slip in typing it supersedes all the same.

        Raises:
            DocumentError: one of them has faults, or may be one of them and is no TOML.
        """
        found: dict[str, ShelfEntry] = {}
        waiting = [entry]
        while waiting:
            for other in self._taking_place(waiting.pop(0)):
                if other.file not in found and other.file != entry.file:
                    found[other.file] = other
                    waiting.append(other)
        return tuple(found.values())

    def _taking_place(self, entry: ShelfEntry) -> tuple[ShelfEntry, ...]:
        shelf, name = entry.head.shelf, entry.head.name
        if shelf not in self._superseded:
            self._superseded[shelf] = dict(self._claims(shelf))
        return tuple(
            self.read_file(shelf, file)
            for file, claim in self._superseded[shelf].items()
            if (self._means(shelf, claim, name) if claim is not None else self._mentions(shelf, file, name))
            and f"{shelf}/{file}" != entry.file
        )

    def issues(self) -> tuple[ShelfEntry, ...]:
        """Every entry of approved data that can be read; what cannot is told where a job names it."""
        return tuple(self._readable("data"))

    def panels(self) -> tuple[ShelfEntry, ...]:
        """Every entry of a panel that can be read."""
        return tuple(self._readable("panels"))

    def _readable(self, shelf: Shelf) -> Iterator[ShelfEntry]:
        for file in self.files(shelf):
            try:
                yield self.read_file(shelf, file)
            except InputError:
                continue

    def _means(self, shelf: Shelf, claim: str, name: str) -> bool:
        if self.has(shelf, claim):
            return folded(file_name(claim)) == folded(file_name(name))
        return bare(claim) == bare(name)

    def _mentions(self, shelf: Shelf, file: str, name: str) -> bool:
        """Whether a file that is no TOML may be one of them."""
        return bare(name) in bare(self._bytes(shelf, file).decode("utf8", "replace"))

    def _claims(self, shelf: Shelf) -> Iterator[tuple[str, str | None]]:
        """Each file of a shelf that supersedes something, with what; None where nobody can read it."""
        for file in self.files(shelf):
            try:
                data = self._bytes(shelf, file)
            except InputError:
                continue  # told when a job names it
            if (
                b"supersedes" not in data and b"\\" not in data
            ):  # spares reading them all; a key may be escaped
                continue
            opened = opened_head(data, f"{shelf}/{file}")
            if opened is None:
                yield file, None
                continue
            head = opened.raw.get("entry")
            says = head.get("supersedes") if isinstance(head, dict) else None
            if isinstance(says, str):
                yield file, tidy_name(says)

    def _file(self, shelf: Shelf, name: str) -> str | None:
        wanted = folded(file_name(name))
        return next((f for f in self.files(shelf) if folded(f) == wanted), None)

    def _bytes(self, shelf: Shelf, file: str) -> bytes:
        """The bytes of a plain file on a shelf; a link or anything else is never opened."""
        path, where = self.root / shelf / file, f"{shelf}/{file}"
        try:
            if path.is_symlink():
                raise InputError("an entry may not be a link", where=where, todo="put the file itself there")
            flags = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)
            handle = os.open(path, flags | getattr(os, "O_BINARY", 0))
            with os.fdopen(handle, "rb") as stream:
                if not stat.S_ISREG(os.fstat(stream.fileno()).st_mode):
                    raise InputError(
                        "an entry is a plain file", where=where, todo="move away what stands there"
                    )
                return stream.read(LARGEST_DOCUMENT + 1)
        except OSError as error:
            raise InputError(f"the entry cannot be read: {error.strerror}", where=where) from None


class MissingEntry(InputError):
    """An entry that is named and does not stand on its shelf."""

    def __init__(self, shelf: Shelf, name: str, files: tuple[str, ...], instead: str = "") -> None:
        stems = [f.removesuffix(ENDING) for f in files]
        near = [instead] if instead else _near(name, stems)
        there = "; ".join(stems[:8]) + (f"; and {len(stems) - 8} more" if len(stems) > 8 else "")
        super().__init__(
            f"no entry of this name stands on the shelf '{shelf}'",
            read=repr(name[:120]),
            expected=f"one of: {there}" if stems else f"an entry; the shelf '{shelf}' is empty",
            todo=f"did you mean {' or '.join(repr(n) for n in near)}?" if near else "",
        )


def _near(name: str, stems: list[str]) -> list[str]:
    by_fold = {folded(s): s for s in stems}
    wanted = folded(file_name(name).removesuffix(ENDING))
    close = get_close_matches(wanted, list(by_fold), 3, 0.6)
    inside = [f for f in by_fold if wanted in f or f in wanted]
    return [by_fold[f] for f in dict.fromkeys([*close, *inside])][:3]
