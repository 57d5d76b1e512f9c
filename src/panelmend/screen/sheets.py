"""What the pages of one repair that are read have in common: its plan, its words, figures that open."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any
from urllib.parse import quote

from fastapi import Request
from fastapi.responses import HTMLResponse

from panelmend.app.errands import Errand, Errands
from panelmend.app.opened import OpenRepair
from panelmend.derive import Ledger
from panelmend.plan.plan import Plan
from panelmend.plan.strength_study import StrengthStudy
from panelmend.screen.drawing.printed import on_screen, printed_svg
from panelmend.screen.page import page
from panelmend.screen.words import say


def opened(request: Request, name: str) -> OpenRepair:
    """A repair of the workshop. Raises MissingError."""
    found: OpenRepair = request.app.state.workshop.open(name)
    return found


def errands(request: Request) -> Errands:
    """The long work of this workshop."""
    found: Errands = request.app.state.errands
    return found


def keys_of(workings: Sequence[Mapping[str, Any]]) -> dict[int, str]:
    """The keys of figures by the numbers a report gives them."""
    return {row["n"]: row["key"] for row in workings}


def leaf(
    request: Request,
    name: str,
    room: str,
    theme: str,
    *,
    plan: Plan | None = None,
    keys: Mapping[int, str] | None = None,
    **values: Any,
) -> HTMLResponse:
    """A page of a repair.

    Args:
        request: what was asked.
        name: of the repair.
        room: which page; its template is ``room.html`` and its title the words ``page.room``.
        theme: bright or dark.
        plan: what is shown; the repair's own where none is given.
        keys: of figures by the numbers that parts of lines carry.
        values: what the template shows.
    """
    made = opened(request, name).made.plan if plan is None else plan
    return page(
        f"{room}.html",
        theme,
        room,
        name=name,
        title=say(f"page.{room}"),
        document=made.case.document,
        plan=made,
        keys=dict(keys or {}),
        why=lambda key: why_address(name, key),
        printed=printed_svg,
        on_screen=on_screen,
        **values,
    )


def why_address(name: str, key: str) -> str:
    """Where a figure says how it was reached."""
    return f"/repairs/{quote(name)}/why?key={quote(key, safe='')}"


def study_of(request: Request, name: str, plan: Plan) -> StrengthStudy | None:
    """The strength study of exactly this plan, where it was made."""
    done = errands(request).of(name, "strength")
    made = done.made if done is not None else None
    return made if isinstance(made, StrengthStudy) and made.plan.digest == plan.digest else None


def ledger_of(request: Request, name: str, plan: Plan) -> Ledger:
    """Every figure of a plan, with those of its strength study where that was made."""
    study = study_of(request, name, plan)
    return plan.ledger if study is None else study.ledger


def errand_runs(errand: Errand | None) -> bool:
    """Whether long work is under way."""
    return errand is not None and errand.running
