"""Two versions side by side on the drawing, figure by figure; and what was done to this panel before."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse

from panelmend.app.opened import OpenRepair
from panelmend.app.service import differences_of
from panelmend.errors import MissingError
from panelmend.plan.plan import Plan
from panelmend.screen.alone import RECORDS, alone
from panelmend.screen.beside import DrawingItem, drawing
from panelmend.screen.page import THEMES, Theme
from panelmend.screen.sheets import leaf, opened

router = APIRouter(include_in_schema=False)
SHOWN = 300  # differences of a page
OFF = ("potting", "hinge", "outer", "middle")  # layers that are not drawn small


@router.get("/repairs/{name}/compare")
def compare(
    request: Request,
    name: str,
    back: Annotated[int, Query(ge=0, le=200)] = 0,
    other: Annotated[str, Query(max_length=80)] = "",
    theme: Theme = THEMES[0],
) -> HTMLResponse:
    """The repair as it is beside an earlier text of it, or beside another repair. Raises MissingError."""
    repair = opened(request, name)
    plan = repair.made.plan
    before = _other(request, repair, back, other)
    told: list[Any] = []
    if before is not None:
        told = differences_of(before, plan)
    side = plan.case.document.damage.side
    return leaf(
        request, name, "compare", theme,
        before=before,
        drawings=None if before is None else (_drawn(before, side), _drawn(plan, side)),
        rows=told[:SHOWN],
        count=len(told),
        earlier=len(repair.earlier),
        others=[n for n in request.app.state.workshop.names() if n != name],
        back=back,
        other=other,
        new=[] if before is None else _only(plan, before),
        gone=[] if before is None else _only(before, plan),
    )  # fmt: skip


def _other(request: Request, repair: OpenRepair, back: int, other: str) -> Plan | None:
    """The version that is asked for; None where none is."""
    if other:
        found: Plan = opened(request, other).made.plan
        return found
    if back:
        earlier = repair.earlier
        if back > len(earlier):
            raise MissingError("there is no such earlier version: the screen was started anew since")
        return repair.of_text(earlier[-back]).plan
    return None


def _drawn(plan: Plan, side: Any) -> DrawingItem:
    made = drawing(plan, side)
    for layer in made.layers:
        layer.shown = layer.shown and layer.key not in OFF
    return made


def _only(plan: Plan, other: Plan) -> list[Any]:
    """The findings of a plan that another has not."""
    there = {(f.code, f.place, f.words) for f in other.findings}
    return [f for f in plan.findings if (f.code, f.place, f.words) not in there]


@router.get("/repairs/{name}/history")
@alone
def history(request: Request, name: str, theme: Theme = THEMES[0]) -> HTMLResponse:
    """What the document, this workshop's repairs and its records say of this very panel."""
    plan = opened(request, name).made.plan
    panel = plan.case.document.panel
    same = []
    for row in request.app.state.workshop.listed():
        found = row.repair.last.plan if row.repair is not None else None
        if row.name == name or found is None or not panel.serial:
            continue
        theirs = found.case.document.panel
        if (theirs.part_number, theirs.serial) == (panel.part_number, panel.serial):
            same.append((row.name, found))
    book = request.app.state.workshop.book
    with RECORDS:
        known = tuple(book.state.jobs.values()) if book is not None else ()
    jobs = [j for j in known if panel.serial and j.opened.serial == panel.serial]
    return leaf(
        request, name, "history", theme,
        earlier=[(e.id, plan.case.geometry.earlier[i].outline) for i, e in enumerate(panel.earlier_repair)],
        same=sorted(same, key=lambda s: str(s[1].case.document.repair.work_date)),
        jobs=jobs,
        records=book is not None,
        shown=drawing(plan, plan.case.document.damage.side),
    )  # fmt: skip
