"""The page of the cure watch, to be read from four metres."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from panelmend.screen.api_cure import Place, answer_of, cure_of
from panelmend.screen.guard import TOKEN
from panelmend.screen.page import THEMES, Theme, page

router = APIRouter(include_in_schema=False)


@router.get("/repairs/{name}/cure")
def cures(request: Request, name: str) -> Response:
    """The cure that is watched, else the first."""
    request.app.state.workshop.open(name)
    watched = request.app.state.watches.all_of(name)
    return RedirectResponse(f"/repairs/{name}/cure/{watched[0].cure if watched else 1}", 303)


@router.get("/repairs/{name}/cure/{number}")
def cure(request: Request, name: str, number: Place, theme: Theme = THEMES[0]) -> HTMLResponse:
    """The watch of one cure."""
    plan = request.app.state.workshop.open(name).made.plan
    watches = request.app.state.watches
    chosen = cure_of(request, name, number)
    return page(
        "cure.html",
        theme,
        "cure",
        name=name,
        document=plan.case.document,
        plan=plan,
        number=number,
        cure=chosen,
        answer=answer_of(request, name, number),
        sources=watches.sources(),
        folder=watches.logs,
        holder=request.app.state.holding.person(request.scope[TOKEN]),
    )
