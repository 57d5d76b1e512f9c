"""Whether the entries that a job was planned with still hold on the shelves today, before somebody signs.

A plan looks at its entries as of the day of the work, and a pack at those it carries. Who begins a job, goes
on with a revision of it or signs a step does so today: what was superseded, ended, edited or taken away since
is refused here, until the job is planned again or its engineer keeps the entry value by value.
"""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from panelmend.app.packed import in_pack
from panelmend.app.shelves import ENTRIES
from panelmend.document.shelved import Shelved
from panelmend.errors import InputError
from panelmend.shelves.checks import later_than
from panelmend.shelves.differ import differing
from panelmend.shelves.entry import ShelfEntry, read_entry
from panelmend.shelves.folder import FOLDER, Folder, find_shelves
from panelmend.shelves.model import shelf_of
from panelmend.shelves.practice import practice_rows

if TYPE_CHECKING:
    from panelmend.records.book import Book
    from panelmend.records.state import Job

MANY = 12  # differences in one refusal


@dataclass(frozen=True)
class Planned:
    """What a job was planned with: entries, digests of those it knew to supersede one, day of the work."""

    taken: tuple[ShelfEntry, ...]
    known: frozenset[str]
    work_date: date


def hold_document(document: Path, shelved: Shelved | None, work_date: date, today: date) -> None:
    """Refuse to begin a job, or to go on with it, where an entry it was planned with no longer holds.

    Raises:
        InputError: it does not, with what differs; or no shelves were found to compare with.
    """
    if shelved is None or not shelved.entries:
        return
    taken = tuple(read_entry(e.data, e.file, shelf_of(e.shelf)) for e in shelved.entries if e.taken)
    known = frozenset(e.digest for e in shelved.entries if not e.taken)
    root = find_shelves(document.parent.parent / "x") if in_pack(document) else Path(shelved.root)
    _hold(Planned(taken, known, work_date), root, today, document.name)


def moved_since(document: Path, shelved: Shelved | None, work_date: date, today: date) -> tuple[str, ...]:
    """What no longer holds of the entries that a pack carries, in lines to print; () for what is in no pack.

    The pack opens as it was planned, whatever the shelves say today: whoever opens it is told.
    """
    if not in_pack(document) or shelved is None or not shelved.entries:
        return ()
    try:
        hold_document(document, shelved, work_date, today)
    except InputError as error:
        return (
            "STOP: DO NOT WORK BY THIS PACK before this is settled:",
            *(f"  {line}" for line in str(error).splitlines()),
        )
    return ()


def hold_job(book: Book, job: Job, beside: Path) -> None:
    """Refuse a signature at a step of a job where an entry it was planned with no longer holds.

    As where it is begun, the entries of all damages of the job are looked at: they stand or stop together.

    Args:
        book: the records.
        job: the job.
        beside: a path from which the shelves are looked for, as of a document that stands there.

    Raises:
        InputError: as above.
    """
    pages = job.opened.pages
    names = sorted(n for n in pages if n.startswith(f"{FOLDER}/"))
    if not names:
        return
    rows = json.loads(book.log.paper(pages["plan.json"]))["about"]["entries"]
    files = {str(r["file"]) for r in rows}
    if ENTRIES in pages:
        files |= set(json.loads(book.log.paper(pages[ENTRIES])))
    raw = tomllib.loads(book.log.paper(job.opened.document).decode("utf-8-sig"))
    read = [_kept_entry(book.log.paper(pages[n]), n.removeprefix(f"{FOLDER}/")) for n in names]
    work_date = raw.get("repair", {}).get("work_date", "")
    planned = Planned(
        tuple(e for e in read if e.file in files),
        frozenset(e.digest for e in read if e.file not in files),
        work_date if isinstance(work_date, date) else date.fromisoformat(str(work_date)),
    )
    _hold(planned, find_shelves(beside), book.log.now().date(), f"job {job.opened.job}")


def _kept_entry(data: bytes, file: str) -> ShelfEntry:
    return read_entry(data, file, shelf_of(file.partition("/")[0]))


def _hold(planned: Planned, root: Path | None, today: date, where: str) -> None:
    if root is None:
        raise InputError(
            "this job was planned on shelves, and none were found to compare its entries with",
            where=where,
            expected="the folder 'shelves' beside it or above it, or the setting PANELMEND_SHELVES",
        )
    found = list(outdated(planned, Folder(root), today))
    if found:
        raise InputError(
            "shelf entries of this job no longer hold",
            where=where,
            read="; ".join(found),
            expected="the entries it was planned with, as they stand on the shelves today",
            todo="panelmend shelf compare shows what it would change; plan the job with today's entries, or "
            "have the engineer keep the old ones under [[keep]], and revise it",
        )


def outdated(planned: Planned, shelves: Folder, today: date) -> Iterator[str]:
    """What of a job's entries no longer holds on a day; stores are counted every day and not compared."""
    for entry in planned.taken:
        shelf = entry.head.shelf
        if shelf == "stores":
            continue
        until = entry.head.valid_until
        if until is not None and today > until:
            yield f"{entry.words} held until {until}; today is {today}"
        yield from _ended(entry, planned.work_date, today)
        if not shelves.has(shelf, entry.head.name):
            yield f"{entry.words} stands on its shelf no longer"
        else:
            yield from _edited(entry, shelves.read(shelf, entry.head.name))
        taking = shelves.superseding(entry)
        yield from _superseded(entry, taking, planned, today)
        if shelf == "data":
            yield from _later(entry, shelves, {o.file for o in taking}, planned)


def _ended(entry: ShelfEntry, work_date: date, today: date) -> Iterator[str]:
    """Confirmations of a practice sheet that held on the day of the work and have ended since."""
    rows = [(f, r) for _, f, _, r in practice_rows(entry.typed) if r.on <= work_date <= r.until < today]
    if rows:
        said = _listed([f"{figure} until {row.until}" for figure, row in rows])
        yield f"{entry.words}, confirmed {said}; today is {today}"


def _edited(entry: ShelfEntry, now: ShelfEntry) -> Iterator[str]:
    if now.checked_digest != entry.checked_digest:
        yield f"{entry.words} was changed: {_listed([d.words for d in differing(entry.raw, now.raw)])}"
    elif entry.is_checked and not now.is_checked:
        yield f"{entry.words} is no longer checked"


def _superseded(
    entry: ShelfEntry, others: Sequence[ShelfEntry], planned: Planned, today: date
) -> Iterator[str]:
    for other in others:
        since = other.head.valid_from
        seen = other.digest in planned.known and (since is None or since <= planned.work_date)
        if seen or (since is not None and today < since):
            continue
        words = _listed([d.words for d in differing(entry.raw, other.raw)]) or "they say the same"
        yield f"{entry.words} is superseded by {other.words}: {words}"


def _later(entry: ShelfEntry, shelves: Folder, told: set[str], planned: Planned) -> Iterator[str]:
    """Later issues of its manual that came to the shelf since, and supersede nothing as they are typed."""
    for other in later_than(entry, shelves.issues()):
        if other.file not in told and other.digest not in planned.known:
            yield f"{entry.words}: a later issue of its manual came to the shelf since, {other.words}"


def _listed(words: list[str]) -> str:
    rest = f"; and {len(words) - MANY} more" if len(words) > MANY else ""
    return "; ".join(words[:MANY]) + rest
