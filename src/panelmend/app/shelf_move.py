"""A document in one file moved to shelves: its entries, and the short job that names them."""

from __future__ import annotations

import shutil
import tempfile
import tomllib
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from panelmend.app.shelf_verbs import write_entry
from panelmend.app.shelves import measured_damage
from panelmend.document import open_file, parse
from panelmend.document.model import Document
from panelmend.errors import InputError
from panelmend.files import read_bytes, replace_whole
from panelmend.nesting.store import layouts_path
from panelmend.predict.kept_predictions import heat_path
from panelmend.shelves.differ import differing
from panelmend.shelves.entry import ShelfEntry, read_entry
from panelmend.shelves.folder import Folder
from panelmend.shelves.model import SHELVES
from panelmend.shelves.resolve import resolved
from panelmend.shelves.split import MOVED, Names, entry_file, names_for, plain_contents, take_apart


@dataclass(frozen=True)
class Moved:
    """A document that was moved: the job, and each entry with whether it was written or stood there."""

    job: Path
    entries: tuple[tuple[str, bool], ...]
    lines: tuple[int, int]


def move(document: Path, root: Path, job: Path, by: str, on: date, names: dict[str, str]) -> Moved:
    """Split a document in one file into shelf entries and a short job that is the same document.

    Nothing is written unless the job and its entries give the document that was there. Entries that stand on
    the shelves already and say the same are used; what was typed again elsewhere is never written over.

    Raises:
        DocumentError: the document has faults.
        InputError: an entry of another content has the name, or the job file is there.
    """
    loaded = parse(read_bytes(document), document.name)
    if job.exists():
        raise InputError("there is a file of this name", where=str(job), todo="name another one with --to")
    shelves = Folder(root)
    usual = names_for(loaded, by, on)
    chosen = Names(
        names.get("panel") or usual.panel,
        names.get("data") or usual.data,
        names.get("bay") or usual.bay,
        names.get("stores") or usual.stores,
        by,
        on,
        usual.against,
    )

    def called(ident: str, text: str) -> str:
        same = shelves.has("materials", ident) and not _says(shelves.read("materials", ident), text)
        return f"{ident} of {loaded.document.repair.number}" if same else ident

    apart = take_apart(loaded, chosen, called)
    fresh: dict[str, bytes] = {}
    rows: list[tuple[str, bool]] = []
    for (shelf, name), text in apart.entries.items():
        file = entry_file(shelf, name)
        entry = read_entry(text.encode("utf8"), file, shelf)
        if not shelves.has(shelf, name):
            fresh[file] = entry.data
            rows.append((file, True))
            continue
        there = shelves.read(shelf, name)
        if plain_contents(there.raw) != plain_contents(entry.raw):
            changed = "; ".join(d.words for d in differing(there.raw, entry.raw)[:3])
            raise InputError(
                "an entry of this name says something else; nothing was written",
                where=file,
                read=changed,
                expected="the same, or another name",
                todo=f"name it with --{next(k for k, s in MOVED.items() if s == shelf)}"
                if shelf in MOVED.values()
                else "",
            )
        rows.append((file, False))
    _prove(loaded.document, apart.job, shelves, fresh, job)
    for file, data in fresh.items():
        write_entry(root, file, data)
    replace_whole(job, apart.job.encode("utf8"))
    for kept in (layouts_path, heat_path):  # by the digest of their problem, which is the same
        if kept(document).is_file() and not kept(job).exists():
            shutil.copyfile(kept(document), kept(job))
    return Moved(job, tuple(rows), (_lines(loaded.text), _lines(apart.job)))


def _says(entry: ShelfEntry, text: str) -> bool:
    return plain_contents(entry.raw) == tomllib.loads(text)


def _lines(text: str) -> int:
    return sum(1 for x in text.split("\n") if x.strip() and not x.strip().startswith("#"))


def _prove(document: Document, job: str, shelves: Folder, fresh: dict[str, bytes], path: Path) -> None:
    """See that job and entries give the document that was there, before anything is written."""
    with tempfile.TemporaryDirectory(prefix="panelmend-") as name:
        folder = Path(name)
        for shelf in SHELVES:
            for file in shelves.files(shelf):
                write_entry(folder, f"{shelf}/{file}", shelves.root.joinpath(shelf, file).read_bytes())
        for file, data in fresh.items():
            write_entry(folder, file, data)
        made = resolved(open_file(job.encode("utf8"), path.name), Folder(folder), measured_damage)
    if made.document != document:
        raise InputError(
            "the job would not be the document that was there; nothing was written",
            where=path.name,
            todo="write each section under its own heading, then move it",
        )
