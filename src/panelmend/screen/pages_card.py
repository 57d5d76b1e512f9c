"""The pages of the card: all its steps, and one step at a time with its drawing beside it."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from panelmend.app.cardwork import StepNow, next_step, rows, spoken, step_now
from panelmend.plan.plan import Plan
from panelmend.records.refusals import NO_SUCH
from panelmend.screen.alone import alone
from panelmend.screen.beside import DrawingItem, drawing
from panelmend.screen.guard import TOKEN
from panelmend.screen.pages import THEMES, Theme, environment, page

router = APIRouter(include_in_schema=False)
UNDER_THE_BAG = ("O19", "O20", "O21", "O22", "O23", "O24", "O25")  # steps that look at bag and blanket
ALWAYS = ("edge", "structure", "inserts", "fasteners", "earlier", "solid")


def step_html(request: Request, name: str, number: int) -> tuple[StepNow, str]:
    """A step as it stands, and the part of its page that readings and signatures change."""
    step = _step(request, name, number)
    return step, environment().get_template("step_part.html").render(step=step, spoken=_spoken(request, name))


def _plan(request: Request, name: str) -> Plan | None:
    """The job's own plan: that of the document as it is, while it is the one that was signed."""
    workshop = request.app.state.workshop
    made: Plan = workshop.open(name).made.plan
    found = workshop.job_of(name)
    return made if found is not None and found[1].opened.plan == made.digest else None


def _step(request: Request, name: str, number: int) -> StepNow:
    found = request.app.state.workshop.job_of(name)
    if found is None:
        raise NO_SUCH("no job was begun from this repair")
    book, job = found
    return step_now(book.state, job.opened.job, number, _plan(request, name))


def _spoken(request: Request, name: str) -> Any:
    view = request.app.state.workshop.open(name).made.plan.case.view
    return lambda words: spoken(words, view)


@router.get("/repairs/{name}/card")
@alone
def card(request: Request, name: str, theme: Theme = THEMES[0]) -> HTMLResponse:
    """Every step with where it stands; before the job is begun, how to begin it."""
    workshop = request.app.state.workshop
    plan = workshop.open(name).made.plan
    found = workshop.job_of(name)
    return HTMLResponse(
        page(
            "card.html",
            theme,
            "card",
            name=name,
            document=plan.case.document,
            plan=plan,
            begun=workshop.book is not None,
            job=found[1] if found is not None else None,
            rows=rows(found[1]) if found is not None else (),
            next=next_step(found[1]) if found is not None else 0,
            people=workshop.invented(),
            holder=request.app.state.holding.name(request.scope[TOKEN]),
        )
    )


@router.get("/repairs/{name}/card/{number}")
@alone
def step(request: Request, name: str, number: int, theme: Theme = THEMES[0]) -> HTMLResponse:
    """One step."""
    made = _step(request, name, number)
    plan = _plan(request, name)
    whole = request.app.state.workshop.open(name).made.plan
    job = request.app.state.workshop.job_of(name)[1]
    return HTMLResponse(
        page(
            "step.html",
            theme,
            "card",
            name=name,
            document=whole.case.document,
            plan=whole,
            step=made,
            same=plan is not None,
            count=len(job.opened.steps),
            numbers=[s.number for s in job.opened.steps],
            drawing=_drawing(plan, made) if plan is not None else None,
            spoken=lambda words: spoken(words, whole.case.view),
            people=request.app.state.workshop.invented(),
            holder=request.app.state.holding.name(request.scope[TOKEN]),
        )
    )


def _drawing(plan: Plan, step: StepNow) -> DrawingItem:
    """The panel as this step looks at it: bag and blanket of its operation, or cut-out and plies."""
    made = drawing(plan, plan.case.document.damage.side)
    id_, operation, _ = (*step.key.split("/"), "", "")[:3]
    bag = {f"{x}-{operation}" for x in ("seal", "blanket", "tc")}
    under = id_ in UNDER_THE_BAG and any(x.key in bag for x in made.layers)
    for layer in made.layers:
        if layer.key in ALWAYS:
            layer.shown = True
        elif under:
            layer.shown = layer.key in bag or layer.key == "cutout"
        else:
            layer.shown = layer.group in ("repair", "damage") and layer.key != "tape"
    return made
