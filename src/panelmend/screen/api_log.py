"""Cure logs: put into the workshop, how they are read seen and confirmed, judged, the verdict kept with the
step that opens the bag."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated, Any

from fastapi import APIRouter, Body, Request
from fastapi import Path as InPath
from pydantic import BaseModel, Field

from panelmend.app import log_reading
from panelmend.app.log_answers import Request as Asked
from panelmend.app.log_answers import cure_named, missing_of
from panelmend.app.logs import JudgedCure, judge_log
from panelmend.app.records import judgement_at, keep_judgement
from panelmend.app.records_gauge import check_stating, keep_statements
from panelmend.curelog import Proposal, ReadAs
from panelmend.errors import InputError
from panelmend.files import replace_whole
from panelmend.plan.judge import ChannelRole
from panelmend.records.book import Who
from panelmend.records.canonical import sha256
from panelmend.screen.alone import RECORDS
from panelmend.screen.answers import DOCUMENTED
from panelmend.screen.api import Name, Sent
from panelmend.screen.api_card import (
    Line,
    Number,
    Staff,
    StepAnswer,
    answer_of_step,
    book_and_job,
    book_of,
    card_key,
)
from panelmend.screen.api_cure import LogName
from panelmend.screen.guard import TOKEN, UPLOAD
from panelmend.screen.identity import name_written
from panelmend.screen.page import environment
from panelmend.screen.watches import NAME

router = APIRouter(prefix="/api", responses=DOCUMENTED)
InName = Annotated[str, InPath(pattern=r"^[A-Za-z0-9][A-Za-z0-9 ._()+-]{0,119}$")]
Asks = Annotated[str, Field(max_length=200)]
Answer = Annotated[str, Field(max_length=200)]
Bytes = Annotated[bytes, Body(media_type=UPLOAD, min_length=1)]


class LogKept(BaseModel):
    """A log that was put into the workshop."""

    name: str
    size: int
    digest: str


class Logs(BaseModel):
    """Logs and instruments that are there, the newest first."""

    names: list[str]


class QuestionItem(BaseModel):
    """Something the file does not settle."""

    key: str
    words: str
    choices: list[tuple[str, str]]
    suggested: str
    why: str


class ReadingAnswer(BaseModel):
    """How a log is read, or would be."""

    file: str
    confirmed_by: str = Field(description="who confirmed it; empty where nobody did")
    rows: int
    reasons: list[str]
    questions: list[QuestionItem]
    html: str


class ConfirmSent(Sent):
    """The answers of a person to what the file does not settle; nothing is taken as suggested by itself."""

    by: Staff
    answers: Annotated[dict[Asks, Answer], Field(max_length=200)]


class LogSent(Sent):
    """A log, and what its judgement needs beside the document, as it is typed."""

    log: LogName
    leak: Line = ""
    vacuum_on: Answer = ""
    bag_opened: Answer = ""
    ran: Answer = ""
    gauge_seen: Line = ""
    watch: Annotated[tuple[Answer, ...], Field(max_length=12)] = ()
    set_to: Answer = ""

    def asked(self, **more: Any) -> Asked:
        """The same as the judge takes it."""
        typed = {"leak", "vacuum_on", "bag_opened", "ran", "watch", "set_to"}
        seen = (self.gauge_seen,) if self.gauge_seen.strip() else ()
        return Asked(**self.model_dump(include=typed), gauge_seen=seen, **more)


class JudgeSent(LogSent):
    """A log to be judged against a cure; nothing is kept."""

    operation: Annotated[str, Field(max_length=200)]
    began: Answer = ""
    logger: Line = ""
    by: Staff


class VerdictSent(LogSent):
    """A log to be judged at a step, by who holds the device; the verdict is kept. ``second``: the staff
    number of who states how the gauge counts, with their own secret."""

    person: Staff
    second: Annotated[str, Field(max_length=80)] = ""
    second_secret: Annotated[str, Field(max_length=200)] = ""


class VerdictAnswer(BaseModel):
    """A verdict: nothing is kept by it."""

    outcome: str
    against: list[str]
    missing: list[str]
    html: str


@router.get("/logs", operation_id="logs")
def logs(request: Request) -> Logs:
    """Logs and instruments that are there."""
    return Logs(names=list(request.app.state.watches.sources()))


@router.put("/logs/{log}", operation_id="put_log")
def put_log(request: Request, log: InName, data: Bytes) -> LogKept:
    """Put a log into the workshop; one that is there is never written over."""
    watches = request.app.state.watches
    if not NAME.fullmatch(log) or not log.lower().endswith(SUFFIXES):
        raise InputError(
            "no name of a log", read=log[:80], expected=f"a name that ends in {', '.join(SUFFIXES)}"
        )
    path = watches.logs / log
    if path.exists():
        if path.read_bytes() != data:
            raise InputError(
                "another log of this name is there",
                read=log,
                todo="give it another name, and put it in again",
            )
    else:
        replace_whole(path, data)
    return LogKept(name=log, size=len(data), digest=sha256(data))


SUFFIXES = (".csv", ".txt", ".tsv", ".log", ".dat", ".xlsx", ".xls", ".ods")


@router.get("/logs/{log}/reading", operation_id="log_reading")
def reading(request: Request, log: InName) -> ReadingAnswer:
    """How a log would be read: its columns, first and last rows, extremes, what the file does not settle."""
    return reading_of(request, log)


def reading_of(request: Request, log: str) -> ReadingAnswer:
    """The same for a page."""
    path = request.app.state.watches.path(log)
    proposal = log_reading.proposal_of(path)
    kept: ReadAs | None = None
    if log_reading.read_as_path(path).exists():
        kept = log_reading.kept_read_as(path)
    by = (kept.by or "-") if kept is not None else ""
    return ReadingAnswer(
        file=log,
        confirmed_by=by,
        rows=proposal.rows,
        reasons=list(proposal.reasons),
        questions=[
            QuestionItem(key=q.key, words=q.words, choices=list(q.choices), suggested=q.suggested, why=q.why)
            for q in proposal.questions
        ],
        html=_reading_html(log, proposal, kept),
    )


def _reading_html(log: str, proposal: Proposal, kept: ReadAs | None) -> str:
    ranges = {r.name: r for r in proposal.ranges}
    columns = [(c, ranges.get(c.name)) for c in (kept or proposal.read_as).columns]
    return environment().get_template("log_reading.html").render(
        log=log, proposal=proposal, kept=kept, columns=columns, roles=[r.value for r in ChannelRole]
    )  # fmt: skip


@router.post("/logs/{log}/reading", operation_id="confirm_log_reading")
def confirm(request: Request, log: InName, sent: ConfirmSent) -> ReadingAnswer:
    """Keep how a log is read, once every question is answered by a person."""
    path = request.app.state.watches.path(log)
    log_reading.confirm(path, dict(sent.answers), by=name_written(sent.by))
    return reading_of(request, log)


@router.post("/repairs/{name}/judge", operation_id="judge_log")
def judge(request: Request, name: Name, sent: JudgeSent) -> VerdictAnswer:
    """Judge a log against a cure of the repair as it is now; nothing is kept with the job by this."""
    path = request.app.state.workshop.open(name).path
    log = request.app.state.watches.path(sent.log)
    by = name_written(sent.by)
    asked = sent.asked(operation=sent.operation, began=sent.began, by=by, logger=sent.logger)
    judged = judge_log(path, log, asked)
    cure_named(judged.document, sent.operation)
    missing = missing_of(judged.document, log, asked)[1]
    return verdict_answer(judged, missing)


def verdict_answer(judged: JudgedCure, missing: list[str]) -> VerdictAnswer:
    """A verdict in words, with its part of the page."""
    verdict = judged.report.verdict
    against = [f"{r.code or ''} {r.rule}: {r.words}".strip() for r in verdict.against()]
    html = environment().get_template("log_verdict.html").render(
        report=judged.report, verdict=verdict, missing=missing
    )  # fmt: skip
    return VerdictAnswer(outcome=verdict.outcome.value, against=against, missing=missing, html=html)


@router.post("/repairs/{name}/steps/{number}/verdict", operation_id="keep_verdict")
def keep_verdict(request: Request, name: Name, number: Number, sent: VerdictSent) -> StepAnswer:
    """Judge a log by the job's own document and keep the verdict with the step that opens the bag."""
    path: Any = request.app.state.workshop.open(name).path
    log = request.app.state.watches.path(sent.log)
    with RECORDS:
        book, job = book_of(request), book_and_job(request, name)[1]
        who = request.app.state.holding.who(request.scope[TOKEN], sent.person)
        person = book.state.people[who.person].name
        held, key = job.opened, card_key(job, number)
        step = job.steps[key]
        asked = sent.asked(by=person)
        seconds = (Who(sent.second, sent.second_secret),) if sent.second else ()
        signed = check_stating(book, asked.gauge_seen, seconds, who.person, asked.ran, log)
    made = judgement_at(held, step, path, log, replace(asked, signed=signed))
    with RECORDS:  # the judging took its time: the rules look again at what is so now
        keep_statements(book, held.job, key, made.log, asked.gauge_seen, seconds)
        keep_judgement(book, who, held.job, key, made)
    return answer_of_step(request, name, number)
