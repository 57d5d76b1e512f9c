"""The card: who holds the device, readings judged as they are typed and kept one by one, signatures."""

from __future__ import annotations

from dataclasses import asdict
from typing import Annotated, Literal

from fastapi import APIRouter, Path, Request
from pydantic import BaseModel, Field

from panelmend.app import cardwork
from panelmend.app.cardwork import Written
from panelmend.app.records import open_job
from panelmend.records import events as e
from panelmend.records.book import Book, Shown, Who
from panelmend.records.canonical import amount_text, typed_amount
from panelmend.records.doing.judged import items
from panelmend.records.doing.standing import statements
from panelmend.records.refusals import NO_SUCH
from panelmend.records.state import Job
from panelmend.screen.alone import alone
from panelmend.screen.answers import DOCUMENTED
from panelmend.screen.api import Name, Sent
from panelmend.screen.guard import TOKEN
from panelmend.screen.pages_card import step_html

router = APIRouter(prefix="/api", responses=DOCUMENTED)
Number = Annotated[int, Path(ge=1, le=2000)]
Staff = Annotated[str, Field(min_length=1, max_length=80)]
Secret = Annotated[str, Field(min_length=1, max_length=200)]
Line = Annotated[str, Field(max_length=400)]


class PersonSent(Sent):
    """A person with their secret."""

    person: Staff
    secret: Secret


class ReadingSent(Sent):
    """What is written in a blank, as it was typed; limit and meets where a person reads the limit."""

    blank: Annotated[int, Field(ge=1, le=200)]
    typed: Line
    limit: Line = ""
    meets: bool | None = None
    instrument: Annotated[str, Field(max_length=80)] = ""
    why: Line = ""


class SignSent(PersonSent):
    """A signature on exactly what was shown."""

    meaning: Literal["did", "checked", "accepted", "rejected"]
    content: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    ticket: Annotated[str, Field(pattern=r"^[0-9a-f]{32}$")]
    why: Line = ""


class ReleaseSent(PersonSent):
    """The release entry."""

    content: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    ticket: Annotated[str, Field(pattern=r"^[0-9a-f]{32}$")]
    description: Annotated[str, Field(min_length=1, max_length=400)]
    completed: Annotated[str, Field(min_length=1, max_length=40)]
    certificate_number: Annotated[str, Field(min_length=1, max_length=400)]
    certificate_kind: Annotated[str, Field(min_length=1, max_length=400)]


class DrawSent(PersonSent):
    """An amount drawn from a lot, in the lot's unit."""

    lot: Annotated[str, Field(min_length=1, max_length=80)]
    amount: Annotated[str, Field(min_length=1, max_length=40)]


class Holder(BaseModel):
    """Who holds the device; "" for nobody."""

    name: str


class InventedPerson(BaseModel):
    """An invented person of the demonstration."""

    person: str
    name: str
    role: str
    secret: str


class People(BaseModel):
    """The invented people of the demonstration."""

    people: list[InventedPerson]


class Begun(BaseModel):
    """A job that was begun."""

    job: str


class Judgement(BaseModel):
    """How what is typed stands to its limit, and why it is no answer."""

    met: str
    fault: str


class StepAnswer(BaseModel):
    """A step as it stands, and its part of the page made anew."""

    number: int
    at: str
    words: str
    open: list[str] = Field(description="what is not written or outside its limit")
    html: str


class ShownItem(BaseModel):
    """Something a signature covers."""

    what: str
    typed: str
    met: str


class ShownAnswer(BaseModel):
    """What a signature would cover now, and the number it is good for once."""

    content: str
    ticket: str
    items: list[ShownItem]
    statements: dict[str, str]
    plan: str
    head: str


def _book(request: Request) -> Book:
    found: Book | None = request.app.state.workshop.book
    if found is None:
        raise NO_SUCH("records were not begun in this workshop")
    return found


def _job(request: Request, name: str) -> tuple[Book, Job]:
    found: tuple[Book, Job] | None = request.app.state.workshop.job_of(name)
    if found is None:
        raise NO_SUCH("no job was begun from this repair")
    return found


def _answer(request: Request, name: str, number: int) -> StepAnswer:
    _, job = _job(request, name)
    step, html = step_html(request, name, number)
    left = [i.what for i in items(job, step.key) if i.met.value in ("NOT YET", "OUTSIDE LIMIT")]
    return StepAnswer(number=number, at=step.at, words=step.words, open=left, html=html)


@router.post("/hold", operation_id="hold")
@alone
def hold(request: Request, sent: PersonSent) -> Holder:
    """Take the device: the secret is tried now, and kept in memory for readings while one works."""
    who = Who(sent.person, sent.secret)
    person = _book(request).tried(who)
    request.app.state.holding.take(request.scope[TOKEN], who, person.name)
    return Holder(name=person.name)


@router.post("/put-down", operation_id="put_down")
@alone
def put_down(request: Request) -> Holder:
    """Put the device down."""
    request.app.state.holding.put_down(request.scope[TOKEN])
    return Holder(name="")


@router.post("/repairs/{name}/demonstration", operation_id="begin_demonstration")
@alone
def begin_demonstration(request: Request, name: Name) -> People:
    """Begin records of the invented shop; its people are made up here."""
    made = request.app.state.workshop.begin_demo(name)
    return People(people=[InventedPerson(**asdict(p)) for p in made])


@router.post("/repairs/{name}/job", operation_id="begin_job")
@alone
def begin_job(request: Request, name: Name, sent: PersonSent) -> Begun:
    """Begin the job from the repair as it is planned now; its planner signs for that."""
    workshop = request.app.state.workshop
    path = workshop.open(name).path
    return Begun(job=open_job(_book(request), Who(sent.person, sent.secret), path))


@router.get("/repairs/{name}/steps/{number}", operation_id="step")
@alone
def step(request: Request, name: Name, number: Number) -> StepAnswer:
    """A step as it stands."""
    return _answer(request, name, number)


@router.post("/repairs/{name}/steps/{number}/judge", operation_id="judge_reading")
@alone
def judge(request: Request, name: Name, number: Number, sent: ReadingSent) -> Judgement:
    """How what is typed stands to its limit; nothing is kept."""
    book, job = _job(request, name)
    met, fault = cardwork.judged(book.state, job.opened.job, number, sent.blank, _written(sent))
    return Judgement(met=met, fault=fault)


@router.post("/repairs/{name}/steps/{number}/reading", operation_id="reading")
@alone
def reading(request: Request, name: Name, number: Number, sent: ReadingSent) -> StepAnswer:
    """Write a blank, by whoever holds the device; on the disk before this answers."""
    book, job = _job(request, name)
    who = request.app.state.holding.who(request.scope[TOKEN])
    cardwork.keep_reading(book, who, job.opened.job, number, sent.blank, _written(sent))
    return _answer(request, name, number)


def _written(sent: ReadingSent) -> Written:
    return Written(sent.typed, sent.limit, sent.meets, sent.instrument, sent.why)


@router.get("/repairs/{name}/steps/{number}/shown", operation_id="shown")
@alone
def shown(request: Request, name: Name, number: Number, release: bool = False) -> ShownAnswer:
    """What a signature at a step would cover now, or the release entry of the whole job."""
    book, job = _job(request, name)
    key = _key(job, number)
    made = book.show_release(job.opened.job) if release else book.show(job.opened.job, key)
    listed = [ShownItem(what=i.what, typed=i.words, met=i.met.value) for i in items(job, key)]
    return ShownAnswer(
        content=made.content,
        ticket=made.ticket,
        items=listed,
        statements={m.value: words for m, words in statements().items()},
        plan=job.opened.plan[:12],
        head=str(book.state.number),
    )


@router.post("/repairs/{name}/steps/{number}/sign", operation_id="sign")
@alone
def sign(request: Request, name: Name, number: Number, sent: SignSent) -> StepAnswer:
    """Sign at a step exactly what was shown; the secret is asked for anew each time."""
    book, job = _job(request, name)
    what = Shown(sent.content, sent.ticket)
    book.sign(
        Who(sent.person, sent.secret),
        job.opened.job,
        _key(job, number),
        e.Meaning(sent.meaning),
        what,
        sent.why,
    )
    return _answer(request, name, number)


@router.post("/repairs/{name}/steps/{number}/release", operation_id="release")
@alone
def release(request: Request, name: Name, number: Number, sent: ReleaseSent) -> StepAnswer:
    """Make the release entry of the job; the secret is asked for anew."""
    book, job = _job(request, name)
    book.release(
        Who(sent.person, sent.secret),
        job.opened.job,
        Shown(sent.content, sent.ticket),
        description=sent.description,
        completed=sent.completed,
        certificate_number=sent.certificate_number,
        certificate_kind=sent.certificate_kind,
    )
    return _answer(request, name, number)


@router.post("/repairs/{name}/steps/{number}/draw", operation_id="draw")
@alone
def draw(request: Request, name: Name, number: Number, sent: DrawSent) -> StepAnswer:
    """Draw from a lot to a step; a storekeeper does it, with their secret."""
    book, job = _job(request, name)
    amount = amount_text(typed_amount(sent.amount))
    book.issue(Who(sent.person, sent.secret), sent.lot, job.opened.job, _key(job, number), amount)
    return _answer(request, name, number)


def _key(job: Job, number: int) -> str:
    found = next((s.key for s in job.opened.steps if s.number == number), None)
    if found is None:
        raise NO_SUCH(f"step {number} of job {job.opened.job}")
    return found
