"""The pages, rendered on the server from templates; scripts only add what a page cannot do alone."""

from __future__ import annotations

import json
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from panelmend.document.panel import Side
from panelmend.plan.plan import Plan
from panelmend.screen.answers import Problem, problem
from panelmend.screen.beside import drawing, plan_answer
from panelmend.screen.drawing.layers import GROUPS
from panelmend.screen.gate import LONGEST, Gate
from panelmend.screen.page import THEMES, Theme, environment, page
from panelmend.screen.photographs_shown import photographs_of, repair_folder
from panelmend.screen.words import say
from panelmend.screen.workshop import Workshop

router = APIRouter(include_in_schema=False)
MOST_CORNERS = 12  # of a panel, offered as places; a drawn curve has many


@router.get("/enter")
def enter(request: Request, key: Annotated[str, Query(max_length=200)] = "") -> Response:
    """Come in with the key of the address that was printed."""
    gate: Gate = request.app.state.gate
    token = gate.enter(key)
    if token is None:
        refused = Problem(
            401, "key", "this address was used already, is old, or is not the one that was printed",
            todo="open the address printed on the terminal, or start panelmend again",
        )  # fmt: skip
        return problem(refused, request.scope)
    answer = RedirectResponse("/", 303)
    answer.set_cookie(
        request.app.state.site.cookie, token, max_age=int(LONGEST), httponly=True, samesite="strict"
    )
    return answer


@router.get("/")
def shop(request: Request, theme: Theme = THEMES[0]) -> HTMLResponse:
    """The repairs of the workshop."""
    workshop: Workshop = request.app.state.workshop
    rows = []
    for listed in workshop.listed():
        plan = listed.repair.made.plan if listed.repair is not None else None
        rows.append(
            {
                "name": listed.name,
                "plan": plan,
                "faults": listed.faults,
                "drawing": drawing(plan, plan.case.document.damage.side) if plan is not None else None,
                "waits": list(plan.draft_reasons) if plan is not None else [],
            }
        )
    return page("shop.html", theme, "shop", rows=rows, folder=workshop.folder)


@router.get("/repairs/{name}")
def panel(request: Request, name: str, side: Side | None = None, theme: Theme = THEMES[0]) -> HTMLResponse:
    """The panel of a repair, with what stands beside it."""
    repair = request.app.state.workshop.open(name)
    made = repair.made
    document = made.plan.case.document
    seen: Side = side or document.damage.side
    answer = plan_answer(repair, made, seen, kept=True)
    return page(
        "panel.html",
        theme,
        "panel",
        name=name,
        document=document,
        plan=made.plan,
        answer=answer,
        damages=request.app.state.workshop.damages(name),
        placed=json.dumps([p.model_dump() for p in answer.drawing.placed]),
        photographs=photographs_of(repair_folder(request, name)).model_dump_json(),
        known=_known(made.plan),
        shown_groups=[g for g in GROUPS if any(x.group == g for x in answer.drawing.layers)],
    )


def _known(plan: Plan) -> list[tuple[str, float, float]]:
    """Places of the panel that a photograph can be laid by: names with x, y in standard axes [mm]."""
    g = plan.case.geometry
    made = [(f"{say(f'photo.{s.kind}')} {s.id}", *s.at) for s in g.spots]
    corners = g.outline.vertices
    if len(corners) <= MOST_CORNERS:
        made += [(say("photo.corner", number=n), v.x, v.y) for n, v in enumerate(corners, 1)]
    return [(name, round(1e3 * x, 2), round(1e3 * y, 2)) for name, x, y in made]


def beside_html(name: str, answer: Any) -> str:
    """The part of the panel page that a change makes anew."""
    return environment().get_template("beside.html").render(name=name, answer=answer)
