"""What a step takes besides readings and signatures: photographs and files, labels of pieces laid, batches of
resin mixed, deviations raised by who holds the device and decided by an engineer with their secret."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from fastapi import APIRouter, Body, Query, Request
from fastapi import Path as InPath
from fastapi.responses import Response
from pydantic import BaseModel, Field

from panelmend.app.records_labels import scanned_parts
from panelmend.app.records_stores import label_typed, mixed_of
from panelmend.app.records_words import step_words
from panelmend.records import events as e
from panelmend.records.book import Book, Shown, Who
from panelmend.records.canonical import tidy_text
from panelmend.records.refusals import NO_SUCH, NOBODY, WRONG_SECRET, Refused
from panelmend.records.state import Job
from panelmend.screen import papers
from panelmend.screen.alone import RECORDS, alone
from panelmend.screen.answers import DOCUMENTED
from panelmend.screen.api import Digest, Name, Sent
from panelmend.screen.api_card import (
    Number,
    PersonSent,
    Staff,
    StepAnswer,
    Strokes,
    answer_of_step,
    book_and_job,
    card_key,
)
from panelmend.screen.guard import TOKEN, UPLOAD
from panelmend.screen.identity import acting
from panelmend.screen.uploads import checked, picture_kind

router = APIRouter(prefix="/api", responses=DOCUMENTED)
Bytes = Annotated[bytes, Body(media_type=UPLOAD, min_length=1)]
FileName = Annotated[str, Field(min_length=1, max_length=80, pattern=r"^[A-Za-z0-9][A-Za-z0-9 ._()+-]*$")]
Deviation = Annotated[str, Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9._-]{0,59}$")]
InDeviation = Annotated[str, InPath(pattern=r"^[A-Za-z0-9][A-Za-z0-9._-]{0,59}$")]
Item = Annotated[str, Field(pattern=r"^(b\d{1,3}|c\d{1,3}|k\d{1,9}|v|r)$")]


class LabelSent(Sent):
    """The code of a label as it was scanned or typed, by who holds the device."""

    code: Annotated[str, Field(min_length=1, max_length=300)]
    person: Staff


class PartSent(Sent):
    """How much of a lot went into a batch, in the lot's unit."""

    lot: Annotated[str, Field(min_length=1, max_length=300)]
    amount: Annotated[str, Field(min_length=1, max_length=40)]


class BatchSent(Sent):
    """A batch of resin that was mixed, by who holds the device; ``life`` where the card has none."""

    batch: Deviation
    parts: Annotated[list[PartSent], Field(min_length=1, max_length=12)]
    life: Annotated[str, Field(max_length=40)] = ""
    person: Staff


class DeviationSent(Sent):
    """A deviation raised at a step, by who holds the device."""

    deviation: Deviation
    covers: Annotated[tuple[Item, ...], Field(max_length=60)] = ()
    words: Annotated[str, Field(min_length=1, max_length=400)]
    person: Staff


class DecisionSent(PersonSent):
    """An engineer's decision on exactly what was shown; ``again_from`` a step's number for work done
    again."""

    decision: Literal["may stand", "do again", "stop"]
    ground: Annotated[str, Field(min_length=1, max_length=400)]
    words: Annotated[str, Field(min_length=1, max_length=400)]
    again_from: Annotated[int, Field(ge=1, le=2000)] | None = None
    paper: Annotated[Digest, Field(description="of the file it rests on, put in before")] | None = None
    content: Digest
    ticket: Annotated[str, Field(pattern=r"^[0-9a-f]{32}$")]
    strokes: Strokes = ""


class DeviationShown(BaseModel):
    """What an engineer's signature on a deviation would cover, and the number it is good for once."""

    content: str
    ticket: str
    lines: list[str]


def _held(request: Request, person: str) -> Who:
    found: Who = request.app.state.holding.who(request.scope[TOKEN], person)
    return found


def _done_or_put_down(request: Request, act: Any) -> None:
    """Do it; who is refused by their secret holds the device no longer."""
    try:
        act()
    except Refused as error:
        if error.code in (WRONG_SECRET.code, NOBODY.code):
            request.app.state.holding.put_down(request.scope[TOKEN])
        raise


@router.put("/repairs/{name}/steps/{number}/file", operation_id="keep_file")
def keep_file(
    request: Request,
    name: Name,
    number: Number,
    file: Annotated[FileName, Query()],
    what: Annotated[str, Query(min_length=1, max_length=400)],
    person: Annotated[Staff, Query()],
    digest: Annotated[Digest, Query(description="SHA-256 of the file, made on the device")],
    data: Bytes,
) -> StepAnswer:
    """Keep a photograph or another file with a step, by who holds the device.

    One that did not come whole, or is not what its name says, is refused and nothing of it is kept; the same
    file sent again after a lost answer is the one that is there."""
    checked(file, data, digest)
    with RECORDS:
        book, job = book_and_job(request, name)
        key = card_key(job, number)
        who = _held(request, person)
        if not any(f.digest == digest for f, _ in job.now(key).files):
            _done_or_put_down(
                request, lambda: book.keep_file(who, job.opened.job, key, tidy_text(file), data, what)
            )
    return answer_of_step(request, name, number)


@router.get(
    "/repairs/{name}/steps/{number}/files/{digest}", operation_id="kept_file", response_class=Response
)
@alone
def kept_file(
    request: Request, name: Name, number: Number, digest: Annotated[str, InPath(pattern=r"^[0-9a-f]{64}$")]
) -> Response:
    """A file that is kept with a step: pictures to be seen, all else to be put down."""
    book, job = book_and_job(request, name)
    key = card_key(job, number)
    kept = [f for a in job.attempts[key] for f, _ in a.files if f.digest == digest]
    if not kept:
        raise NO_SUCH(f"file {digest[:12]} at step {number}")
    kind = picture_kind(kept[0].name)
    how = {} if kind else {"content-disposition": f'attachment; filename="{kept[0].name}"'}
    return Response(book.log.paper(digest), media_type=kind or "application/octet-stream", headers=how)


@router.post("/repairs/{name}/steps/{number}/label", operation_id="enter_label")
def enter_label(request: Request, name: Name, number: Number, sent: LabelSent) -> StepAnswer:
    """Enter the label of a piece at the step that uses it; another job's or plan's is refused, and the same
    sent again is the one that is there."""
    repair, piece, digest = label_typed(sent.code)
    with RECORDS:
        book, job = book_and_job(request, name)
        key, who = card_key(job, number), _held(request, sent.person)
        there = any((x.repair, x.piece, x.digest) == (repair, piece, digest) for x, _ in job.now(key).labels)
        if not there:
            _done_or_put_down(
                request, lambda: book.see_label(who, job.opened.job, key, repair, piece, digest)
            )
    return answer_of_step(request, name, number)


@router.post("/repairs/{name}/steps/{number}/batch", operation_id="enter_batch")
def enter_batch(request: Request, name: Name, number: Number, sent: BatchSent) -> StepAnswer:
    """Enter a batch of resin mixed at a step; the same sent again is the one that is there."""
    with RECORDS:
        book, job = book_and_job(request, name)
        key, who = card_key(job, number), _held(request, sent.person)
        parts = scanned_parts(book.state, [f"{p.lot}={p.amount}" for p in sent.parts])
        amounts, life = mixed_of(job, key, parts, sent.life)
        there = [{p.lot: p.amount for p in m.parts} for m, _ in job.now(key).mixed if m.batch == sent.batch]
        if there != [amounts]:
            _done_or_put_down(request, lambda: book.mix(who, job.opened.job, key, sent.batch, amounts, life))
    return answer_of_step(request, name, number)


@router.post("/repairs/{name}/steps/{number}/deviation", operation_id="raise_deviation")
def raise_deviation(request: Request, name: Name, number: Number, sent: DeviationSent) -> StepAnswer:
    """Raise a deviation at a step; the same sent again is the one that is there."""
    with RECORDS:
        book, job = book_and_job(request, name)
        key, who = card_key(job, number), _held(request, sent.person)
        there = job.deviations.get(sent.deviation)
        same = there is not None and (there.raised.step, there.raised.words, tuple(there.raised.covers)) == (
            key, tidy_text(sent.words), sent.covers,
        )  # fmt: skip
        if not same:
            _done_or_put_down(
                request,
                lambda: book.raise_deviation(
                    who, job.opened.job, key, sent.deviation, sent.covers, sent.words
                ),
            )
    return answer_of_step(request, name, number)


@router.get("/repairs/{name}/deviations/{deviation}", operation_id="deviation_shown")
@alone
def deviation_shown(request: Request, name: Name, deviation: InDeviation) -> DeviationShown:
    """What an engineer's signature on a deviation would cover now."""
    book, job = book_and_job(request, name)
    made = book.show_deviation(job.opened.job, deviation)
    lines = step_words(book.state, job, job.deviations[deviation].raised.step)
    return DeviationShown(content=made.content, ticket=made.ticket, lines=[x.strip() for x in lines])


@router.post("/repairs/{name}/deviations/{deviation}/decide", operation_id="decide_deviation")
def decide_deviation(request: Request, name: Name, deviation: InDeviation, sent: DecisionSent) -> StepAnswer:
    """Decide a deviation, signed; the engineer's secret is asked for anew."""
    with RECORDS:
        book, job = book_and_job(request, name)
        _decide(book, job, deviation, sent, papers.waiting_paper(request, sent.paper))
        papers.signed(request, sent.paper)
        number = job.steps[job.deviations[deviation].raised.step].number
    return answer_of_step(request, name, number)


def _decide(book: Book, job: Job, deviation: str, sent: DecisionSent, paper: bytes | None) -> None:
    book.decide(
        Who(acting(sent.person), sent.secret),
        job.opened.job,
        deviation,
        e.Decision(sent.decision),
        Shown(sent.content, sent.ticket),
        ground=sent.ground,
        words=sent.words,
        again_from=card_key(job, sent.again_from) if sent.again_from is not None else None,
        paper=paper,
        strokes=sent.strokes,
    )
