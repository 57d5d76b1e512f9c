"""Shelves: what stands on them, who typed it, who checked it, and what is a DRAFT."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse

from panelmend.app.shelf_fields import BY_FORM
from panelmend.app.shelf_typing import form_of
from panelmend.app.shelf_verbs import find_entry, listed, state_of, supersedes_nobody, used_by
from panelmend.errors import MissingError
from panelmend.screen.page import THEMES, Theme, page
from panelmend.screen.workshop import DOCUMENT
from panelmend.shelves.csv_table import TABLES
from panelmend.shelves.entry import ShelfEntry
from panelmend.shelves.folder import Folder, find_shelves
from panelmend.shelves.model import Shelf
from panelmend.shelves.parts import parts_of, signed_off, typists_of

router = APIRouter(include_in_schema=False)


@router.get("/shelves")
def shelves(
    request: Request, like: Annotated[str, Query(max_length=120)] = "", theme: Theme = THEMES[0]
) -> HTMLResponse:
    """Every entry of every shelf with its state."""
    found = _folder(request)
    groups: dict[str, list[dict[str, Any]]] = {}
    for row in listed(found, like=like) if found is not None else ():
        entry = None if row.faulty else found.read(row.shelf, row.name) if found is not None else None
        groups.setdefault(row.shelf, []).append(
            {"name": row.name, "state": row.state, "standing": _standing(entry)}
        )
    root = str(found.root) if found is not None else ""
    return page("shelves.html", theme, "shelves", groups=groups, root=root, like=like, by_form=BY_FORM)


@router.get("/shelves/entry")
def entry(
    request: Request,
    shelf: Shelf,
    name: Annotated[str, Query(min_length=1, max_length=200)],
    theme: Theme = THEMES[0],
) -> HTMLResponse:
    """One entry as it was typed. Raises MissingError."""
    made, found = _entry(request, shelf, name), _folder(request)
    assert found is not None, "the entry stands on it"
    parts = [(p.name, signed_off(made, p) is not None) for p in parts_of(made)] if "data" in made.raw else []
    return page(
        "shelf_entry.html",
        theme,
        "shelves",
        entry=made,
        head=made.head,
        state=state_of(made),
        standing=_standing(made),
        parts=parts,
        by_form=BY_FORM,
        tables=[(t, t in made.raw.get("data", {})) for t in TABLES] if shelf == "data" else [],
        used=list(used_by(found, made, request.app.state.workshop.repairs_folder)),
        later=[e.head.name for e in found.superseding(made)],
    )


@router.get("/shelves/table")
def table(
    request: Request,
    name: Annotated[str, Query(min_length=1, max_length=200)],
    table: Annotated[str, Query(max_length=40)],
    theme: Theme = THEMES[0],
) -> HTMLResponse:
    """One table of approved data, to be typed or put right. Raises MissingError."""
    made = _entry(request, "data", name)
    if table not in TABLES:
        raise MissingError("there is no such table")
    form = form_of(made, table)
    return page("shelf_table.html", theme, "shelves", head=made.head, form=form, seen=made.digest)


@router.get("/shelves/check")
def check(
    request: Request,
    shelf: Shelf,
    name: Annotated[str, Query(min_length=1, max_length=200)],
    theme: Theme = THEMES[0],
) -> HTMLResponse:
    """An entry table by table beside its places, for a second person. Raises MissingError."""
    made = _entry(request, shelf, name)
    if shelf == "stores":
        raise MissingError("stores are counted, not checked")
    found = _folder(request)
    assert found is not None, "the entry stands on it"
    parts = [
        {
            "name": p.name,
            "digest": p.digest,
            "lines": p.lines,
            "typist": " and ".join(typists_of(made, p)),
            "signed": signed_off(made, p),
        }
        for p in parts_of(made)
    ]
    return page(
        "shelf_check.html",
        theme,
        "shelves",
        head=made.head,
        parts=parts,
        seen=made.digest,
        state=state_of(made),
        checked=made.is_checked,
        unknown=supersedes_nobody(found, made),
    )


def _entry(request: Request, shelf: Shelf, name: str) -> ShelfEntry:
    """An entry by its shelf and name. Raises MissingError."""
    found = _folder(request)
    if found is None:
        raise MissingError("there are no shelves")
    if not found.has(shelf, name):
        raise MissingError("there is no such entry on this shelf")
    return find_entry(found, name, shelf)


def _folder(request: Request) -> Folder | None:
    """The shelves that the workshop's repairs use."""
    root = find_shelves(request.app.state.workshop.repairs_folder / DOCUMENT)
    return None if root is None else Folder(root)


def _standing(made: ShelfEntry | None) -> str:
    """CHECKED, COUNTED (stores), DRAFT or CANNOT BE READ: by what stands in the entry, never by its words."""
    if made is None:
        return "fault"
    if made.head.shelf == "stores":
        return "counted"
    return "checked" if made.is_checked else "draft"
