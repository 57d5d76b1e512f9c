"""Shelves: what stands on them, who typed it, who checked it, and what is a DRAFT."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse

from panelmend.app.shelf_verbs import find_entry, listed, state_of, used_by
from panelmend.errors import MissingError
from panelmend.screen.pages import THEMES, Theme, page
from panelmend.screen.workshop import DOCUMENT
from panelmend.shelves.entry import ShelfEntry
from panelmend.shelves.folder import Folder, find_shelves
from panelmend.shelves.model import SHELVES, Shelf
from panelmend.shelves.parts import parts_of, signed_off

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
    return HTMLResponse(page("shelves.html", theme, "shelves", groups=groups, root=root, like=like))


@router.get("/shelves/entry")
def entry(
    request: Request,
    shelf: Shelf,
    name: Annotated[str, Query(min_length=1, max_length=200)],
    theme: Theme = THEMES[0],
) -> HTMLResponse:
    """One entry as it was typed. Raises MissingError."""
    found = _folder(request)
    if found is None or shelf not in SHELVES:
        raise MissingError("there are no shelves")
    if not found.has(shelf, name):
        raise MissingError("there is no such entry on this shelf")
    made = find_entry(found, name, shelf)
    parts = [(p.name, signed_off(made, p) is not None) for p in parts_of(made)] if "data" in made.raw else []
    return HTMLResponse(
        page(
            "shelf_entry.html",
            theme,
            "shelves",
            entry=made,
            head=made.head,
            state=state_of(made),
            standing=_standing(made),
            parts=parts,
            used=list(used_by(found, made, request.app.state.workshop.repairs_folder)),
            later=[e.head.name for e in found.superseding(made)],
        )
    )


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
