"""Panels, materials, bays and practice typed by form: looked at, then written; the page and its calls."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse
from pydantic import Field

from panelmend.app.shelf_authoring import write_over
from panelmend.app.shelf_fields import BY_FORM, MOST_ROOM, Would, fields_of, new_entry, typed_entry
from panelmend.app.shelf_verbs import state_of, write_entry
from panelmend.errors import InputError, MissingError
from panelmend.screen.alone import alone
from panelmend.screen.answers import DOCUMENTED
from panelmend.screen.api import Sent
from panelmend.screen.api_shelves import EntryTold, Named, ValueDiffers, Words, shelves_of, writer
from panelmend.screen.page import THEMES, Theme, page
from panelmend.screen.workshop import DOCUMENT
from panelmend.shelves.entry import ShelfEntry
from panelmend.shelves.folder import FOLDER, Folder, find_shelves
from panelmend.shelves.model import Shelf

router = APIRouter()
STANDS = "an entry of this name stands there"


class EntryFieldsSent(Sent):
    """Fields of an entry as they were typed; what is not among them stays."""

    shelf: Shelf
    name: Named
    seen: Annotated[str, Field(pattern=r"^([0-9a-f]{64})?$", description="empty for a new entry")]
    by: Words
    place: Words
    room: Annotated[int, Field(ge=1, le=MOST_ROOM, description="empty rows the form had")] = 1
    typed: Annotated[dict[str, Annotated[str, Field(max_length=4000)]], Field(max_length=2000)]


class FieldsTold(EntryTold):
    """How the entry stands, or would, and how quantities are read."""

    read_as: dict[str, str] = Field(description="in both systems, by field")


@router.get("/shelves/fields", include_in_schema=False)
def fields(
    request: Request,
    shelf: Shelf,
    name: Annotated[str, Query(max_length=200)] = "",
    room: Annotated[int, Query(ge=1, le=MOST_ROOM)] = 1,
    theme: Theme = THEMES[0],
) -> HTMLResponse:
    """The form of an entry; without a name of a new one. Raises MissingError."""
    if shelf not in BY_FORM:
        raise MissingError("entries of this shelf are not typed so")
    entry = _entry(shelves_of(request), shelf, name) if name else None
    groups = fields_of(shelf, {} if entry is None else entry.raw, room)
    more: dict[str, Any] = {"shelf": shelf, "head": None if entry is None else entry.head, "groups": groups}
    more |= {"seen": "" if entry is None else entry.digest, "rows": room, "more": min(room + 4, MOST_ROOM)}
    return page("shelf_fields.html", theme, "shelves", **more)


@router.post("/api/shelves/fields/try", operation_id="try_shelf_fields", responses=DOCUMENTED)
def try_fields(request: Request, sent: EntryFieldsSent) -> FieldsTold:
    """What an entry would say; nothing is written."""
    return _told(_would(request, sent)[1])


@router.post("/api/shelves/fields", operation_id="put_shelf_fields", responses=DOCUMENTED)
@alone
def put_fields(request: Request, sent: EntryFieldsSent) -> FieldsTold:
    """Write an entry, on the disk before this answers; a check of what changes is void by that."""
    before, would = _would(request, sent)
    if before is None:
        root = find_shelves(request.app.state.workshop.repairs_folder / DOCUMENT)
        root = request.app.state.workshop.repairs_folder / FOLDER if root is None else root
        write_entry(root, would.entry.file, would.entry.data, was=None)
    elif would.differs:
        write_over(shelves_of(request), before, would.entry.text)
    return _told(would)


def _would(request: Request, sent: EntryFieldsSent) -> tuple[ShelfEntry | None, Would]:
    by, place, name = writer(sent.by), sent.place.strip(), sent.name.strip()
    if not sent.seen:
        root = find_shelves(request.app.state.workshop.repairs_folder / DOCUMENT)
        if root is not None and Folder(root).has(sent.shelf, name):
            raise InputError(
                STANDS, read=name, expected="another name", todo="a slip is put right in the entry"
            )
        return None, new_entry(sent.shelf, name, sent.typed, sent.room, by, date.today(), place)
    before = _entry(shelves_of(request), sent.shelf, name)
    if before.digest != sent.seen:
        raise InputError(
            "the entry was changed meanwhile; nothing was written", where=name, todo="look again"
        )
    return before, typed_entry(before, sent.typed, sent.room, by, date.today(), place)


def _entry(shelves: Folder, shelf: Shelf, name: str) -> ShelfEntry:
    if not shelves.has(shelf, name):
        raise MissingError("there is no such entry on this shelf")
    return shelves.read(shelf, name)


def _told(would: Would) -> FieldsTold:
    made = would.entry
    return FieldsTold(
        name=made.head.name,
        seen=made.digest,
        state=state_of(made),
        checked=made.is_checked,
        differs=[ValueDiffers(path=d.path, before=d.before, after=d.after) for d in would.differs],
        read_as=would.read_as,
    )
