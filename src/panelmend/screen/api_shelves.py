"""Approved data typed on the screen: an entry begun, its tables typed, each signed off by a second person."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Annotated

from fastapi import APIRouter, Request
from pydantic import BaseModel, Field

from panelmend.app.shelf_authoring import begun, write_over
from panelmend.app.shelf_typing import sign_part, typed_table
from panelmend.app.shelf_verbs import find_entry, state_of
from panelmend.document.people import is_name
from panelmend.errors import InputError, MissingError
from panelmend.screen.alone import alone
from panelmend.screen.answers import DOCUMENTED
from panelmend.screen.api import Digest, Sent
from panelmend.screen.identity import name_written
from panelmend.screen.workshop import DOCUMENT
from panelmend.shelves.csv_table import TABLES
from panelmend.shelves.entry import ShelfEntry
from panelmend.shelves.folder import FOLDER, Folder, find_shelves
from panelmend.shelves.model import Shelf
from panelmend.shelves.parts import parts_of

router = APIRouter(prefix="/api/shelves", responses=DOCUMENTED)
Words = Annotated[str, Field(max_length=400)]
Named = Annotated[str, Field(min_length=1, max_length=200)]
OLD = "the entry was changed meanwhile; nothing was written"


class EntryBeginSent(Sent):
    """A new entry of approved data: which repair of which manual it is."""

    name: Named
    repair: Named
    title: Named
    number: Named
    revision: Named
    dated: date
    panels: Annotated[list[Named], Field(max_length=40, description="part numbers it is for")]
    by: Words


class FieldSent(Sent):
    """A value as it was typed, and a place of its own."""

    value: Annotated[str, Field(max_length=2000)]
    place: Words = ""


class TableSent(Sent):
    """One table of an entry: its fields, or its rows as they were pasted."""

    name: Named
    seen: Digest
    table: Annotated[str, Field(max_length=40)]
    place: Words
    by: Words
    typed: Annotated[dict[str, FieldSent], Field(max_length=60, default_factory=dict)]
    pasted: Annotated[str, Field(max_length=40_000)] = ""


class EntrySignSent(Sent):
    """One table held against its paper: ``part`` and ``digest`` as they were shown."""

    shelf: Shelf
    name: Named
    seen: Digest
    part: Annotated[str, Field(min_length=1, max_length=300)]
    digest: Named
    by: Words
    against: Words


class ValueDiffers(BaseModel):
    """One value that differs."""

    path: str
    before: str
    after: str


class EntryTold(BaseModel):
    """How an entry stands."""

    name: str
    seen: str = Field(description="digest of its file")
    state: str
    checked: bool
    differs: list[ValueDiffers]


@router.post("/begin", operation_id="begin_shelf_entry")
@alone
def begin(request: Request, sent: EntryBeginSent) -> EntryTold:
    """Begin an entry of approved data; one that stands there is never written over."""
    by = writer(sent.by)
    about = {k: str(getattr(sent, k)) for k in ("repair", "title", "number", "revision", "dated")}
    against = f"{sent.number} revision {sent.revision}, {sent.dated}"
    root = find_shelves(request.app.state.workshop.repairs_folder / DOCUMENT)
    where = root if root is not None else request.app.state.workshop.repairs_folder / FOLDER
    made = begun(Folder(where), sent.name.strip(), about, tuple(sent.panels), by, date.today(), against)
    return _told(made)


@router.post("/try", operation_id="try_shelf_table")
def try_table(request: Request, sent: TableSent) -> EntryTold:
    """What an entry would say with a table as it is typed; nothing is written."""
    _, made, differs = _typed(request, sent)
    return _told(made, differs)


@router.post("/table", operation_id="put_shelf_table")
@alone
def put_table(request: Request, sent: TableSent) -> EntryTold:
    """Write a table into an entry, on the disk before this answers; a check of it is void by that."""
    before, made, differs = _typed(request, sent)
    if not differs:
        return _told(before)
    return _told(write_over(shelves_of(request), before, made.text), differs)


@router.post("/sign", operation_id="sign_shelf_table")
@alone
def sign(request: Request, sent: EntrySignSent) -> EntryTold:
    """Record that a second person held one table against its paper, line by line."""
    shelves = shelves_of(request)
    entry = _entry(shelves, sent.name, sent.shelf)
    _refuse_changed(entry, sent.seen)
    part = next((p for p in parts_of(entry) if (p.name, p.digest) == (sent.part, sent.digest)), None)
    if part is None:
        raise InputError("the entry has no such table as it was shown", read=sent.part[:80])
    return _told(sign_part(shelves, entry, part, writer(sent.by), sent.against, date.today()))


def shelves_of(request: Request) -> Folder:
    """The shelves that the workshop's repairs use. Raises MissingError."""
    root: Path | None = find_shelves(request.app.state.workshop.repairs_folder / DOCUMENT)
    if root is None:
        raise MissingError("there are no shelves")
    return Folder(root)


def _typed(request: Request, sent: TableSent) -> tuple[ShelfEntry, ShelfEntry, list[ValueDiffers]]:
    if sent.table not in TABLES:
        raise InputError("no such table", read=sent.table, expected=", ".join(TABLES))
    shelves = shelves_of(request)
    before = _entry(shelves, sent.name, "data")
    _refuse_changed(before, sent.seen)
    typed = {k: (f.value, f.place) for k, f in sent.typed.items()}
    made, differs = typed_table(
        shelves, before, sent.table, sent.place, writer(sent.by), date.today(), typed, sent.pasted
    )
    return before, made, [ValueDiffers(path=d.path, before=d.before, after=d.after) for d in differs]


def _entry(shelves: Folder, name: str, shelf: Shelf) -> ShelfEntry:
    if not shelves.has(shelf, name):
        raise MissingError("there is no such entry on this shelf")
    return find_entry(shelves, name, shelf)


def _refuse_changed(entry: ShelfEntry, seen: str) -> None:
    if entry.digest != seen:
        raise InputError(OLD, read=f"a change to {seen[:12]}", expected=entry.digest[:12], todo="look again")


def writer(sent: str) -> str:
    """Who types or signs: who is signed in, else who the form names. Raises InputError, AnotherSignedIn."""
    by = name_written(sent).strip()
    if not is_name(by):
        raise InputError("this names nobody", where="by", read=by[:60], expected="who types or signs it")
    return by


def _told(entry: ShelfEntry, differs: list[ValueDiffers] | None = None) -> EntryTold:
    return EntryTold(
        name=entry.head.name,
        seen=entry.digest,
        state=state_of(entry),
        checked=entry.is_checked,
        differs=differs or [],
    )
