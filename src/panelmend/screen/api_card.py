"""The card: who holds the device, readings judged as they are typed and kept one by one, signatures."""

from __future__ import annotations

from dataclasses import asdict
from datetime import UTC, datetime, timedelta
from typing import Annotated, Literal

from fastapi import APIRouter, Path, Request, Response
from pydantic import BaseModel, Field

from panelmend.app import cardwork
from panelmend.app.cardwork import Written
from panelmend.app.opened import ChangedMeanwhile
from panelmend.app.records import head_of, plan_for_records
from panelmend.app.records_labels import scanned
from panelmend.app.records_words import local
from panelmend.app.shelf_hold import hold_job
from panelmend.errors import InputError
from panelmend.records import events as e
from panelmend.records.book import NOW, Book, Shown, When, Who
from panelmend.records.canonical import amount_text, moment, typed_amount
from panelmend.records.doing.judged import items
from panelmend.records.doing.standing import statements
from panelmend.records.refusals import BACKWARDS, NO_SUCH, NOBODY, WRONG_SECRET, Refused
from panelmend.records.state import Job
from panelmend.screen.alone import RECORDS, alone
from panelmend.screen.answers import DOCUMENTED
from panelmend.screen.api import Name, Sent
from panelmend.screen.api_accounts import sign_in_as
from panelmend.screen.api_errands import WRITES
from panelmend.screen.guard import TOKEN
from panelmend.screen.identity import acting, signed_in
from panelmend.screen.pages_card import last_entry, step_html, step_of
from panelmend.screen.sheets import errands
from panelmend.screen.words import say

router = APIRouter(prefix="/api", responses=DOCUMENTED)
Number = Annotated[int, Path(ge=1, le=2000)]
Staff = Annotated[str, Field(min_length=1, max_length=80)]
Secret = Annotated[str, Field(min_length=1, max_length=200)]
KEPT_LONG = 120.0  # [s] on the device: from here on it is entered for when it was typed
Line = Annotated[str, Field(max_length=400)]


class PersonSent(Sent):
    """A person with their secret."""

    person: Staff
    secret: Secret


class JudgedSent(Sent):
    """What is typed in a blank; limit and meets where a person reads the limit."""

    blank: Annotated[int, Field(ge=1, le=200)]
    typed: Line
    limit: Line = ""
    meets: bool | None = None
    instrument: Annotated[str, Field(max_length=300)] = ""
    why: Line = ""


class ReadingSent(JudgedSent):
    """What is written in a blank by who typed it; ``ago`` [s]: how long it was kept on the device."""

    person: Staff
    ago: Annotated[float, Field(ge=0.0, le=7 * 86400.0, allow_inf_nan=False)] = 0.0


Strokes = Annotated[
    str,
    Field(
        pattern=r"^(M[0-5]?\d?\d 1?\d?\d(L[0-5]?\d?\d 1?\d?\d)+)*$",
        max_length=6000,
        description="the name as written by hand: SVG path of open lines, x to 599, y to 199; empty for none",
    ),
]


class SignSent(PersonSent):
    """A signature on exactly what was shown."""

    meaning: Literal["did", "checked", "accepted", "rejected"]
    content: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    ticket: Annotated[str, Field(pattern=r"^[0-9a-f]{32}$")]
    why: Line = ""
    strokes: Strokes = ""


class ReleaseSent(PersonSent):
    """The release entry."""

    content: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    ticket: Annotated[str, Field(pattern=r"^[0-9a-f]{32}$")]
    description: Annotated[str, Field(min_length=1, max_length=400)]
    completed: Annotated[str, Field(min_length=1, max_length=40)]
    certificate_number: Annotated[str, Field(min_length=1, max_length=400)]
    certificate_kind: Annotated[str, Field(min_length=1, max_length=400)]
    strokes: Strokes = ""


class DrawSent(PersonSent):
    """An amount drawn from a lot, in the lot's unit."""

    lot: Annotated[str, Field(min_length=1, max_length=300, description="its number, or its label's code")]
    amount: Annotated[str, Field(min_length=1, max_length=40)]
    drawn: Annotated[int, Field(ge=0, le=10_000, description="drawings for this step that were shown")]


class Holder(BaseModel):
    """Who holds the device; "" for nobody."""

    person: str
    name: str


class Pulse(BaseModel):
    """What a page asks again and again: whether it still shows what is so."""

    now: str = Field(description="the machine's clock, UTC")
    seen: str = Field(description="digest of the document")
    entry: int = Field(description="number of the last entry about the repair's job, 0 without one")
    holder: str = Field(description="staff number of who holds the device")


class InventedPerson(BaseModel):
    """An invented person of the demonstration."""

    person: str
    name: str
    role: str
    secret: str


class DemoPeople(BaseModel):
    """The invented people of the demonstration."""

    people: list[InventedPerson]


class JobBegun(BaseModel):
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


def book_of(request: Request) -> Book:
    """The records. Raises Refused where they were not begun."""
    found: Book | None = request.app.state.workshop.book
    if found is None:
        raise NO_SUCH("records were not begun in this workshop")
    return found


def book_and_job(request: Request, name: str) -> tuple[Book, Job]:
    """The job of a repair. Raises Refused."""
    found: tuple[Book, Job] | None = request.app.state.workshop.job_of(name)
    if found is None:
        raise NO_SUCH("no job was begun from this repair")
    return found


def answer_of_step(request: Request, name: str, number: int) -> StepAnswer:
    """A step as it stands, with its part of the page."""
    with RECORDS:
        _, job = book_and_job(request, name)
        step = step_of(request, name, number)
        left = [i.what for i in items(job, step.key) if i.met.value in ("NOT YET", "OUTSIDE LIMIT")]
    html = step_html(request, name, step)
    return StepAnswer(number=number, at=step.at, words=step.words, open=left, html=html)


@router.post("/hold", operation_id="hold")
@alone
def hold(request: Request, response: Response, sent: PersonSent) -> Holder:
    """Take the device: the secret is tried now, and kept in memory for readings while one works. Where other
    machines reach the screen, whoever takes it signs in, and who had it is signed out."""
    who = Who(sent.person, sent.secret)
    if signed_in() is not None:
        signed = sign_in_as(request, response, who)
        return Holder(person=signed.person, name=signed.name)
    person = book_of(request).tried(who)
    request.app.state.holding.take(request.scope[TOKEN], who, person.name)
    return Holder(person=who.person, name=person.name)


@router.post("/put-down", operation_id="put_down")
@alone
def put_down(request: Request) -> Holder:
    """Put the device down."""
    request.app.state.holding.put_down(request.scope[TOKEN])
    return Holder(person="", name="")


@router.get("/repairs/{name}/pulse", operation_id="pulse")
def pulse(request: Request, name: Name) -> Pulse:
    """Whether a page still shows what is so, and the machine's clock."""
    workshop = request.app.state.workshop
    seen = workshop.open(name).made.plan.case.digest
    with RECORDS:
        found = workshop.job_of(name)
        entry = last_entry(*found) if found is not None else 0
    holder, _ = request.app.state.holding.person(request.scope[TOKEN])
    return Pulse(now=datetime.now(UTC).isoformat(), seen=seen, entry=entry, holder=holder)


@router.post("/repairs/{name}/demonstration", operation_id="begin_demonstration")
def begin_demonstration(request: Request, name: Name) -> DemoPeople:
    """Begin records of the invented shop; its people are made up here."""
    made = request.app.state.workshop.begin_demo(name)
    return DemoPeople(people=[InventedPerson(**asdict(p)) for p in made])


@router.post("/repairs/{name}/job", operation_id="begin_job")
def begin_job(request: Request, name: Name, sent: PersonSent) -> JobBegun:
    """Begin the job from the repair as it is planned now; its planner signs for that."""
    workshop, book = request.app.state.workshop, book_of(request)
    path, who = workshop.open(name).path, Who(acting(sent.person), sent.secret)
    with workshop.changing(name):
        if errands(request).running(name, WRITES):
            raise InputError(
                "layouts or heat are being made for this repair: its plan may still change",
                todo="wait for it, or stop it; look at the plan again before the job is begun",
            )
        with RECORDS:
            book.tried(who)
            head = head_of(book)
        fields = plan_for_records(path, head)  # nobody's reading waits for a plan and its pages
        with RECORDS:
            book.open_job(who, **fields)
    return JobBegun(job=str(fields["job"]))


@router.get("/repairs/{name}/steps/{number}", operation_id="step")
def step(request: Request, name: Name, number: Number) -> StepAnswer:
    """A step as it stands."""
    return answer_of_step(request, name, number)


@router.post("/repairs/{name}/steps/{number}/judge", operation_id="judge_reading")
@alone
def judge(request: Request, name: Name, number: Number, sent: JudgedSent) -> Judgement:
    """How what is typed stands to its limit; nothing is kept."""
    book, job = book_and_job(request, name)
    met, fault = cardwork.reading_judged(book.state, job.opened.job, number, sent.blank, _written(sent))
    return Judgement(met=met, fault=fault)


@router.post("/repairs/{name}/steps/{number}/reading", operation_id="reading")
def reading(request: Request, name: Name, number: Number, sent: ReadingSent) -> StepAnswer:
    """Write a blank, by who typed it and holds the device; on the disk before this answers."""
    holding, token = request.app.state.holding, request.scope[TOKEN]
    with RECORDS:
        book, job = book_and_job(request, name)
        who = holding.who(token, sent.person)  # another's waits on the device for whoever typed it
        try:
            _keep(book, who, job.opened.job, number, sent)
        except Refused as error:
            if error.code in (WRONG_SECRET.code, NOBODY.code):  # not tried again and again with it
                holding.put_down(token)
            raise
    return answer_of_step(request, name, number)


def _written(sent: JudgedSent) -> Written:
    return Written(sent.typed, sent.limit, sent.meets, sent.instrument, sent.why)


def _keep(book: Book, who: Who, job: str, number: int, sent: ReadingSent) -> None:
    """Write a reading, for when it was typed where it was kept on the device for longer than a moment."""

    def keep(at: When) -> None:
        cardwork.keep_reading(book, who, job, number, sent.blank, _written(sent), at)

    if sent.ago < KEPT_LONG:
        keep(NOW)
        return
    typed = book.log.now() - timedelta(seconds=sent.ago)
    words = say("card.kept_late", time=local(book.state, moment(typed)))
    try:
        keep(When(typed, words))
    except Refused as error:
        if (
            error.code != BACKWARDS.code
        ):  # others wrote meanwhile: it is entered now, and says when it was typed
            raise
        keep(When(None, words))


@router.get("/repairs/{name}/steps/{number}/shown", operation_id="shown")
@alone
def shown(request: Request, name: Name, number: Number, release: bool = False) -> ShownAnswer:
    """What a signature at a step would cover now, or the release entry of the whole job."""
    book, job = book_and_job(request, name)
    key = card_key(job, number)
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
def sign(request: Request, name: Name, number: Number, sent: SignSent) -> StepAnswer:
    """Sign at a step exactly what was shown; the secret is asked for anew each time."""
    what, who = Shown(sent.content, sent.ticket), Who(acting(sent.person), sent.secret)
    with RECORDS:
        book, job = book_and_job(request, name)
        if sent.meaning != e.Meaning.REJECTED.value:
            hold_job(book, job, request.app.state.workshop.open(name).file)
        meaning = e.Meaning(sent.meaning)
        book.sign(who, job.opened.job, card_key(job, number), meaning, what, sent.why, strokes=sent.strokes)
    return answer_of_step(request, name, number)


@router.post("/repairs/{name}/steps/{number}/release", operation_id="release")
def release(request: Request, name: Name, number: Number, sent: ReleaseSent) -> StepAnswer:
    """Make the release entry of the job; the secret is asked for anew."""
    with RECORDS:
        book, job = book_and_job(request, name)
        book.release(
            Who(acting(sent.person), sent.secret),
            job.opened.job,
            Shown(sent.content, sent.ticket),
            description=sent.description,
            completed=sent.completed,
            certificate_number=sent.certificate_number,
            certificate_kind=sent.certificate_kind,
            strokes=sent.strokes,
        )
    return answer_of_step(request, name, number)


@router.post("/repairs/{name}/steps/{number}/draw", operation_id="draw")
def draw(request: Request, name: Name, number: Number, sent: DrawSent) -> StepAnswer:
    """Draw from a lot to a step; a storekeeper does it, with their secret."""
    amount = amount_text(typed_amount(sent.amount))
    with RECORDS:
        book, job = book_and_job(request, name)
        key = card_key(job, number)
        there = len(job.now(key).issued)
        if there != sent.drawn:  # the answer to the same drawing may have been lost on the way
            raise ChangedMeanwhile(
                "something was drawn for this step since it was shown", read=str(sent.drawn),
                expected=str(there), todo="look at what is drawn now, then draw what still lacks",
            )  # fmt: skip
        lot = scanned(book.state, sent.lot)
        book.issue(Who(acting(sent.person), sent.secret), lot, job.opened.job, key, amount)
    return answer_of_step(request, name, number)


def card_key(job: Job, number: int) -> str:
    """The key of a step by its number on the card. Raises Refused."""
    found = next((s.key for s in job.opened.steps if s.number == number), None)
    if found is None:
        raise NO_SUCH(f"step {number} of job {job.opened.job}")
    return found
