"""The people of the workshop: roles, authorisations with their last day, what the keeper does."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from panelmend.records import events as e
from panelmend.screen.alone import RECORDS
from panelmend.screen.api_people import people_of
from panelmend.screen.identity import signed_in
from panelmend.screen.page import THEMES, Theme, page
from panelmend.screen.workshop import RECORDS_FILE

router = APIRouter(include_in_schema=False)


@router.get("/people")
def people(request: Request, theme: Theme = THEMES[0]) -> HTMLResponse:
    """Who is there; the keeper of accounts changes it."""
    book, signed = request.app.state.workshop.book, signed_in()
    found = people_of(request) if book is not None else None
    keeps = found is not None and signed is None
    if book is not None and signed is not None:
        with RECORDS:
            keeps = e.Role.KEEPER in book.state.people[signed.person].roles
    return page(
        "accounts.html",
        theme,
        "people",
        found=found,
        file=str(request.app.state.workshop.folder / RECORDS_FILE),
        keeps=keeps,
        roles=[r.value for r in e.Role],
        scopes=[s.value for s in e.Scope],
    )
