"""The pages of the card: all its steps, and one step at a time with its drawing beside it."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from panelmend.app.cardwork import StepNow, next_step, spoken, step_now, step_rows
from panelmend.app.demo_shop import Invented
from panelmend.plan.plan import Plan
from panelmend.records.book import Book
from panelmend.records.refusals import NO_SUCH
from panelmend.records.state import Job
from panelmend.screen.alone import RECORDS, alone
from panelmend.screen.beside import DrawingItem, drawing
from panelmend.screen.guard import LARGEST, TOKEN
from panelmend.screen.identity import signed_in
from panelmend.screen.page import THEMES, Theme, environment, page
from panelmend.screen.pages_why import figures_of_step

router = APIRouter(include_in_schema=False)
UNDER_THE_BAG = (
    *("D6", "D7"),  # heat survey on the dry stack, rehearsal
    *("O19", "O20", "O21", "O22", "O23", "O24", "O25"),
)  # steps that look at bag, blanket and thermocouples
ALWAYS = ("edge", "structure", "inserts", "fasteners", "earlier", "solid")


def last_entry(book: Book, job: Job) -> int:
    """The number of the last entry about a job."""
    return max(book.state.of.get(f"job {job.opened.job}", [0]))


def step_html(request: Request, name: str, step: StepNow) -> str:
    """The part of a step's page that readings and signatures change."""
    view = request.app.state.workshop.open(name).last.plan.case.view
    return environment().get_template("step_part.html").render(
        name=name, step=step, spoken=lambda words: spoken(words, view)
    )  # fmt: skip


def _plan(request: Request, name: str) -> Plan | None:
    """The job's own plan: that of the document as it is, while it is the one that was signed."""
    workshop = request.app.state.workshop
    made: Plan = workshop.open(name).last.plan
    found = workshop.job_of(name)
    return made if found is not None and found[1].opened.plan == made.digest else None


@alone
def step_of(request: Request, name: str, number: int) -> StepNow:
    """A step as it stands."""
    found = request.app.state.workshop.job_of(name)
    if found is None:
        raise NO_SUCH("no job was begun from this repair")
    book, job = found
    return step_now(book.state, job.opened.job, number, _plan(request, name), book.log.paper)


def _people(request: Request) -> tuple[Invented, ...]:
    """The invented people with their secrets, which are shown on this machine alone."""
    found: tuple[Invented, ...] = request.app.state.workshop.invented()
    return found if signed_in() is None else ()


@router.get("/repairs/{name}/card")
def card(request: Request, name: str, theme: Theme = THEMES[0]) -> HTMLResponse:
    """Every step with where it stands; before the job is begun, how to begin it."""
    workshop = request.app.state.workshop
    plan = workshop.open(name).made.plan
    with RECORDS:
        found = workshop.job_of(name)
        listed = step_rows(found[1]) if found is not None else ()
        following = next_step(found[1]) if found is not None else 0
    return page(
        "card.html",
        theme,
        "card",
        name=name,
        document=plan.case.document,
        plan=plan,
        begun=workshop.book is not None,
        job=found[1] if found is not None else None,
        rows=listed,
        next=following,
        people=_people(request),
        holder=request.app.state.holding.person(request.scope[TOKEN]),
    )


@router.get("/repairs/{name}/card/{number}")
def step(request: Request, name: str, number: int, theme: Theme = THEMES[0]) -> HTMLResponse:
    """One step."""
    whole = request.app.state.workshop.open(name).made.plan
    with RECORDS:
        made, plan = step_of(request, name, number), _plan(request, name)
        book, job = request.app.state.workshop.job_of(name)
        entry = last_entry(book, job)
    return page(
        "step.html",
        theme,
        "card",
        name=name,
        document=whole.case.document,
        plan=whole,
        step=made,
        same=plan is not None,
        count=len(job.opened.steps),
        entry=entry,
        largest=LARGEST >> 20,
        numbers=[s.number for s in job.opened.steps],
        drawing=_drawing(plan, made) if plan is not None else None,
        figures=figures_of_step(plan, number) if plan is not None else [],
        spoken=lambda words: spoken(words, whole.case.view),
        people=_people(request),
        holder=request.app.state.holding.person(request.scope[TOKEN]),
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
