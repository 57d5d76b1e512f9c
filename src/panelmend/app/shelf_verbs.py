"""What users do with entries: list, show, add, import a table, check."""

from __future__ import annotations

import os
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any, Literal

from panelmend.document.people import is_name
from panelmend.errors import InputError
from panelmend.files import folder_alone, read_bytes, replace_whole
from panelmend.shelves.checking import checked_text
from panelmend.shelves.contents import refuse_contents
from panelmend.shelves.csv_table import Cells, table_text
from panelmend.shelves.differ import Differing, differing
from panelmend.shelves.entry import ShelfEntry, read_entry
from panelmend.shelves.folder import FOLDER, Folder, MissingEntry, find_shelves
from panelmend.shelves.model import SHELVES, Head, Shelf, shelf_of
from panelmend.shelves.names import file_name, tidy_name
from panelmend.shelves.parts import parts_of, signed_off
from panelmend.shelves.practice import refuse_rows_after
from panelmend.shelves.sections import references
from panelmend.shelves.writing import with_table, with_typist

_MOST_JOBS = 5000
_DEEPEST = 6


def shelves_at(folder: Path | None) -> Folder:
    """The shelves in a folder, or those found from where the user stands.

    Raises:
        InputError: there are none.
    """
    if folder is not None:
        if not folder.is_dir():
            raise InputError(
                "there is no such folder", where=str(folder), expected="the folder of the shelves"
            )
        return Folder(folder)
    found = find_shelves(Path.cwd() / "job.toml")
    if found is None:
        raise InputError(
            "no shelves were found",
            where=str(Path.cwd()),
            expected=f"a folder '{FOLDER}' here or above, or the setting PANELMEND_SHELVES",
            todo="name the folder with --at; shelf add and shelve make one",
        )
    return Folder(found)


@dataclass(frozen=True)
class Listed:
    """One entry as it is listed: its shelf, its name and its state in words."""

    shelf: Shelf
    name: str
    state: str
    faulty: bool = False


def listed(shelves: Folder, only: str = "", like: str = "") -> list[Listed]:
    """Every entry with its state: checked by whom, unchecked, changed since, faulty."""
    rows = []
    for shelf in SHELVES:
        if only and shelf != only:
            continue
        for file in shelves.files(shelf):
            try:
                entry = shelves.read_file(shelf, file)
                row = Listed(shelf, entry.head.name, state_of(entry))
            except InputError as error:
                row = Listed(shelf, file, f"FAULTY: {error}", faulty=True)
            if like.casefold() in f"{row.name} {row.state}".casefold():
                rows.append(row)
    return rows


def state_of(entry: ShelfEntry) -> str:
    """The state of an entry in words."""
    head, words = entry.head, []
    if head.revision:
        words.append(f"revision {head.revision}")
    if head.shelf == "stores":
        words.append(f"counted by {head.typed_by} on {head.typed_on}")
    elif head.check is None:
        words.append(f"NOT CHECKED, typed by {head.typed_by} on {head.typed_on}")
    elif not entry.is_checked:
        words.append(f"CHANGED after {head.check.by} checked it on {head.check.on}")
    else:
        words.append(f"checked by {head.check.by} on {head.check.on}")
    if not entry.is_checked and head.signed:
        all_of_it = parts_of(entry)
        signed = sum(1 for p in all_of_it if signed_off(entry, p) is not None)
        words.append(f"{signed} of {len(all_of_it)} tables signed off")
    if head.valid_from is not None:
        words.append(f"from {head.valid_from}")
    if head.valid_until is not None:
        words.append(f"until {head.valid_until}")
    if head.supersedes:
        words.append(f"supersedes {head.supersedes}")
    return ", ".join(words)


def manual_named(entry: ShelfEntry) -> list[str]:
    """Of approved data its name and the manual it names below each other: names are people's own, unread."""
    data = entry.raw.get("data")
    manual = data.get("manual") if isinstance(data, dict) else None
    if not isinstance(manual, dict):
        return []
    said = ", ".join(f"{key} {manual[key]}" for key in ("number", "revision", "dated") if key in manual)
    return [f"  name of this entry  {entry.head.name}", f"  its manual          {said}"]


def supersedes_nobody(shelves: Folder, entry: ShelfEntry) -> list[str]:
    """Said where an entry takes the place of one that stands on no shelf: a slip there leaves the old one."""
    old, shelf = entry.head.supersedes, entry.head.shelf
    if not old or shelves.has(shelf, old):
        return []
    return [f"It supersedes {old!r}, and no entry of that name is there: a slip in it leaves the old in use."]


def find_entry(shelves: Folder, name: str, shelf: str = "") -> ShelfEntry:
    """An entry by its name, or by the path of a file outside the shelves.

    Raises:
        InputError: there is none, it has faults, or more than one shelf has it.
    """
    path = Path(name)
    if name.endswith(".toml") and path.is_file():
        return read_outside(path)
    found: list[ShelfEntry] = []
    missing: MissingEntry | None = None
    for one in SHELVES:
        if shelf and one != shelf:
            continue
        try:
            found.append(shelves.read(one, name))
        except MissingEntry as error:
            missing = error if missing is None or (error.todo and not missing.todo) else missing
    if not found:
        if shelf and missing is not None:
            raise missing
        raise InputError(
            "no entry has this name",
            where=str(shelves.root),
            read=repr(name[:120]),
            expected="a name that panelmend shelf list shows",
            todo=missing.todo if missing is not None else "",
        )
    if len(found) > 1:
        on = " and ".join(e.head.shelf for e in found)
        raise InputError(
            f"two entries have this name, on {on}", read=repr(name), todo="name the shelf with --shelf"
        )
    return found[0]


def read_outside(path: Path) -> ShelfEntry:
    """An entry in a file that need not stand on a shelf nor be named as its entry."""
    data = read_bytes(path)
    try:
        head = tomllib.loads(data.decode("utf-8-sig")).get("entry", {})
    except (ValueError, RecursionError):
        head = {}
    shelf, name = (head.get("shelf"), head.get("name")) if isinstance(head, dict) else (None, None)
    known: Shelf = next((s for s in SHELVES if s == shelf), "data")
    file = f"{known}/{file_name(name)}" if isinstance(name, str) and name.strip() else path.name
    return read_entry(data, file, known)


def used_by(shelves: Folder, entry: ShelfEntry, jobs: Path) -> Iterator[str]:
    """Where an entry is used: by other entries, and by the jobs in a folder and below it."""
    head = entry.head
    for shelf in ("panels", "data", "bays"):
        for file in shelves.files(shelf_of(shelf)):
            try:
                other = shelves.read_file(shelf_of(shelf), file)
            except InputError:
                continue
            said = {"materials": other.head.materials, "practice": other.head.practice}.get(head.shelf, ())
            if head.shelf == "stores":
                said = (other.head.stores,)
            if tidy_name(head.name) in map(tidy_name, said) or _refers(other.raw, head):
                yield f"{other.file}"
    for path in _jobs(jobs):
        use = _use_of(path)
        key = {"panels": "panel", "bays": "bay"}.get(head.shelf, head.shelf)
        value = use.get(key)
        named = value if isinstance(value, list) else [value]
        if tidy_name(head.name) in {tidy_name(v) for v in named if isinstance(v, str)}:
            yield str(path.relative_to(jobs))


def _refers(raw: Any, head: Head) -> bool:
    """Whether an entry refers to a material by the name of its entry."""
    return head.shelf == "materials" and any(ident == head.name for _, ident in references(raw))


def _jobs(folder: Path) -> Iterator[Path]:
    """The jobs in a folder and below it; links are not followed."""
    count = 0
    for here, below, files in os.walk(folder):
        below[:] = sorted(d for d in below if d != FOLDER and not d.startswith("."))
        if len(Path(here).relative_to(folder).parts) >= _DEEPEST:
            below[:] = []
        for name in sorted(files):
            if name.endswith(".toml") and count < _MOST_JOBS:
                count += 1
                yield Path(here) / name


def _use_of(path: Path) -> dict[str, Any]:
    try:
        if path.is_symlink() or path.stat().st_size > 1_000_000:
            return {}
        raw = tomllib.loads(path.read_bytes().decode("utf-8-sig"))
    except (OSError, ValueError, RecursionError):
        return {}
    use = raw.get("use")
    return use if raw.get("panelmend") == 2 and isinstance(use, dict) else {}


def add(root: Path, source: Path) -> ShelfEntry:
    """Put an entry on its shelf under its own name; one that stands there is never written over.

    Raises:
        DocumentError: the entry has faults.
        InputError: an entry of this name stands there.
        OutputError: it could not be written.
    """
    entry = read_outside(source)
    refuse_contents(entry)
    _refuse_void(entry)
    _refuse_taken(Folder(root), entry)
    write_entry(root, entry.file, entry.data, was=None)
    return entry


def _refuse_void(entry: ShelfEntry) -> None:
    """An entry that was copied with the records of a check of something else, and changed since."""
    head = entry.head
    if entry.is_checked or not (head.check or head.signed):
        return
    by = head.check.by if head.check is not None else head.signed[0].by
    raise InputError(
        "this carries the record of a check, and says otherwise than what was checked; nothing was written",
        where=entry.file,
        read=f"a check by {by}, of other contents or another entry",
        expected="an entry that nobody has checked yet, or one as it was checked",
        todo="take out [entry.check] and every [[entry.signed]], add it, and have a second person check it",
    )


def _refuse_taken(shelves: Folder, entry: ShelfEntry) -> None:
    head = entry.head
    if not shelves.has(head.shelf, head.name):
        return
    there = shelves.read(head.shelf, head.name)
    changed = differing(there.raw, entry.raw)
    what = "; ".join(d.words for d in changed[:5]) or "nothing"
    raise InputError(
        "an entry of this name already exists; nothing was written",
        where=there.file,
        read=f"differing: {what}",
        expected="another name",
        todo="a new revision is an entry of its own that names the one it supersedes; correct a "
        "slip in the entry itself",
    )


def write_entry(root: Path, file: str, data: bytes, *, was: bytes | Literal["any"] | None = "any") -> None:
    """Write an entry whole or not at all.

    Args:
        root: folder of the shelves.
        file: which file of it.
        data: what is written.
        was: what must stand there now, None for nothing: who writes at the same time loses nothing.

    Raises:
        InputError: something else stands there.
        OutputError: it could not be written.
    """
    path = root / file
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(f"the shelf could not be made: {error.strerror}", where=str(path.parent)) from None
    if path.is_symlink():
        raise InputError("an entry may not be a link", where=file)
    with folder_alone(path.parent):
        if was != "any" and was != (read_bytes(path) if path.exists() else None):
            raise InputError(
                "somebody changed the entry in the meantime; nothing was written",
                where=file,
                todo="look again",
            )
        replace_whole(path, data)


def import_table(
    shelves: Folder,
    name: str,
    table: str,
    rows: tuple[Cells, ...],
    place: str,
    by: str,
    on: date,
    *,
    replace: bool,
) -> tuple[ShelfEntry, tuple[Differing, ...]]:
    """An entry of approved data with a table of the manual put in; nothing is written yet.

    Args:
        shelves: where the entry stands.
        name: its name.
        table: which table of the data.
        rows: what was typed or pasted.
        place: its place in the manual.
        by: who typed it.
        on: when.
        replace: whether a table that is there may be replaced.

    Returns:
        The entry as it would be, and what differs from before.
    """
    if not place.strip():
        raise InputError("a table needs its place in the manual", expected="--place 'fig 204 table'")
    if not is_name(by):
        raise InputError("a table names who typed it", read=by[:60], expected='--by "J. Hale"')
    before = find_entry(shelves, name, "data")
    text = table_text(table, rows, place.strip())
    made = with_typist(with_table(before, table, text, replace=replace), table, by, on, place.strip())
    after = read_entry(made.encode("utf8"), before.file, "data")
    refuse_contents(after)
    return after, differing(before.raw, after.raw)


def day_of_check(on: str, today: date) -> date:
    """The day that somebody says a check was made on; today where nothing is said.

    Raises:
        InputError: no day, or one that is still to come.
    """
    try:
        day = date.fromisoformat(on) if on else today
    except ValueError:
        raise InputError("not a day", read=on[:40], expected="2026-03-02", where="--on") from None
    if day > today:
        raise InputError(
            "that day is in the future",
            read=on,
            expected=f"the day of the check, at most {today}",
            where="--on",
        )
    return day


def check(shelves: Folder, name: str, shelf: str, by: str, against: str, on: date) -> ShelfEntry:
    """Record that somebody else than who typed it checked an entry against a paper.

    Raises:
        DocumentError: the entry has faults, or the check cannot be.
    """
    entry = find_entry(shelves, name, shelf)
    refuse_contents(entry)
    if entry.head.shelf == "stores":
        raise InputError("stores are counted, not checked", where=entry.file)
    refuse_rows_after(entry.typed, entry.file, on)
    text = checked_text(entry, by, on, against)
    write_entry(shelves.root, entry.file, text.encode("utf8"), was=entry.data)
    return read_entry(text.encode("utf8"), entry.file, entry.head.shelf)
