"""What else the records take, by the service: signed paper typed and checked, re-tests and coupons' results
with their papers, plans revised, jobs stopped, a clock that was wrong, copies, checks, backups, packages.

The records judge each as from the command line; each asks the secret anew."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi import Path as InPath
from fastapi.responses import Response
from pydantic import BaseModel, Field

from panelmend.app.records import head_of, moment_typed, plan_for_records, readings_typed, when
from panelmend.app.records_labels import INSTRUMENT, scanned
from panelmend.app.records_words import step_words
from panelmend.errors import InputError, MissingError
from panelmend.records.book import Book, Shown, Who, job_of
from panelmend.records.canonical import amount_text, tidy_text, typed_amount
from panelmend.records.package.make import make_package
from panelmend.records.refusals import NO_SUCH
from panelmend.records.state import Job
from panelmend.records.store.backup import drill
from panelmend.records.store.checking import CheckedLog
from panelmend.records.store.refused import refused_lately
from panelmend.screen import papers
from panelmend.screen.alone import RECORDS, alone
from panelmend.screen.answers import DOCUMENTED
from panelmend.screen.api import Digest, Name, Sent
from panelmend.screen.api_bench import Bytes, FileName
from panelmend.screen.api_card import Number, PersonSent, Staff, book_of, card_key
from panelmend.screen.api_card import book_and_job as job_here
from panelmend.screen.api_errands import WRITES
from panelmend.screen.api_paper import PaperWaits
from panelmend.screen.api_stores import Entered, Lines
from panelmend.screen.identity import acting
from panelmend.screen.sheets import errands
from panelmend.screen.uploads import checked

router = APIRouter(prefix="/api", responses=DOCUMENTED)
BACKUPS = "backups"
Text = Annotated[str, Field(min_length=1, max_length=400)]
Short = Annotated[str, Field(min_length=1, max_length=80)]
When = Annotated[str, Field(max_length=40, description="in the shop's time, or with its zone")]
Entry = Annotated[int, Field(ge=1, le=10**9)]
JobNumber = Annotated[str, InPath(min_length=1, max_length=80)]
Head = Annotated[str, Field(max_length=120, description='as printed on paper: "number-16 characters"')]


class ReasonSent(PersonSent):
    """What is done, and why, which stands in the records for good."""

    why: Text


class PaperSent(ReasonSent):
    """A step typed from signed paper, whose scan was put in before."""

    scan: Digest
    readings: Annotated[
        list[Annotated[str, Field(max_length=400)]],
        Field(max_length=60, description='"BLANK=ANSWER", BLANK its number in the step from 1'),
    ]
    did: Staff
    did_at: Annotated[str, Field(min_length=1, max_length=40)]
    accepted: Staff | None = None
    accepted_at: When = ""


class PaperCheckedSent(PersonSent):
    """A second person's word that what was typed in an entry is what stands on the scan."""

    entry: Entry
    content: Digest
    ticket: Annotated[str, Field(pattern=r"^[0-9a-f]{32}$")]


class PaperShown(BaseModel):
    """What was typed and what the signature covers; the scan is called for by itself."""

    entry: int
    content: str
    ticket: str
    scan: str
    lines: list[str]


class RetestSent(PersonSent):
    """A documented re-test of a lot, whose paper was put in before; ``ground`` is its place in the approved
    data."""

    lot: Annotated[str, Field(min_length=1, max_length=300)]
    until: Annotated[str, Field(pattern=r"^\d{4}-\d\d-\d\d$")]
    ground: Text
    paper: Digest
    at: When = ""
    late: Annotated[str, Field(max_length=400)] = ""


class CouponSent(PersonSent):
    """What a witness coupon showed; the test's own report was put in before."""

    job: Short
    coupon: Short
    value: Short
    unit: Short
    least: Short | None = None
    most: Short | None = None
    ground: Text
    instrument: Annotated[str, Field(min_length=1, max_length=300)]
    broke: Text
    paper: Digest
    at: When = ""
    late: Annotated[str, Field(max_length=400)] = ""


class ClockSent(ReasonSent):
    """The entries in which the machine's clock was ahead."""

    first: Entry
    last: Entry


class TokenSent(Sent):
    """The token with which records were handed over."""

    token: Annotated[str, Field(pattern=r"^[0-9a-fA-F]{32}$")]


class TokenTold(BaseModel):
    """The token with which a copy takes the records over: told once, kept nowhere."""

    token: str


class CheckSent(Sent):
    """Which check: ``links`` alone, or every rule too, from the head of an earlier whole check on."""

    head: Head = ""
    since: Head = ""
    links: bool = True


class LogChecked(BaseModel):
    """What a check found; ``faults`` empty where all holds."""

    number: int
    head: str
    rules: bool = Field(description="whether seals and rules were looked at too")
    faults: list[str]


class BackupMade(BaseModel):
    """A backup beside the records, and what it ends at."""

    backup: str
    head: str


class DrillSent(Sent):
    """A backup by its name."""

    backup: Annotated[str, Field(pattern=r"^records-[0-9TZ]{8,20}\.sqlite$")]


def _who(sent: PersonSent) -> Who:
    return Who(acting(sent.person), sent.secret)


def _entered(book: Book, number: int) -> Entered:
    return Entered(number=number, head=head_of(book))


# --- papers


@router.put("/records/papers", operation_id="put_record_paper")
def put_record_paper(
    request: Request,
    file: Annotated[FileName, Query()],
    digest: Annotated[Digest, Query(description="SHA-256 of the file, made on the device")],
    data: Bytes,
) -> PaperWaits:
    """Put in the scan or paper that an entry will name; it is kept once that entry is taken."""
    checked(file, data, digest)
    with RECORDS:
        book_of(request)
        papers.keep_paper(request, digest, data)
    return PaperWaits(digest=digest)


def _paper(request: Request, digest: str) -> bytes:
    return papers.waiting_paper(request, digest) or b""


@router.post("/repairs/{name}/steps/{number}/transcribe", operation_id="transcribe")
@alone
def transcribe(request: Request, name: Name, number: Number, sent: PaperSent) -> Entered:
    """Type a step from signed paper; it counts when a second person has checked it against the scan."""
    book, job = job_here(request, name)
    key, state = card_key(job, number), book.state
    taken = book.transcribe(
        _who(sent),
        job.opened.job,
        key,
        _paper(request, sent.scan),
        readings_typed(state, job, key, tuple(sent.readings), "", ""),
        did=sent.did,
        did_at=moment_typed(state, sent.did_at),
        accepted=sent.accepted,
        accepted_at=moment_typed(state, sent.accepted_at) if sent.accepted_at else None,
        why=sent.why,
    )
    papers.signed(request, sent.scan)
    return _entered(book, taken.entry.number)


def _typed_paper(job: Job, key: str, number: int) -> tuple[int, str]:
    told = job.now(key).on_paper
    if told is None:
        raise NO_SUCH(f"typed paper of step {number}")
    return told[2], told[0].scan


@router.get("/repairs/{name}/steps/{number}/paper", operation_id="paper_shown")
@alone
def paper_shown(request: Request, name: Name, number: Number) -> PaperShown:
    """What was typed from signed paper, and what the second person's signature would cover."""
    book, job = job_here(request, name)
    key = card_key(job, number)
    entry, scan = _typed_paper(job, key, number)
    made = book.show(job.opened.job, key)
    lines = [x.strip() for x in step_words(book.state, job, key, book.log.paper)]
    return PaperShown(entry=entry, content=made.content, ticket=made.ticket, scan=scan, lines=lines)


@router.get("/repairs/{name}/steps/{number}/scan", operation_id="paper_scan", response_class=Response)
@alone
def paper_scan(request: Request, name: Name, number: Number) -> Response:
    """The scan of a step's signed paper, to be put down."""
    book, job = job_here(request, name)
    _, scan = _typed_paper(job, card_key(job, number), number)
    how = {"content-disposition": f'attachment; filename="scan-step-{number}"'}
    return Response(book.log.paper(scan), media_type="application/octet-stream", headers=how)


@router.post("/repairs/{name}/steps/{number}/paper-checked", operation_id="paper_checked")
@alone
def paper_checked(request: Request, name: Name, number: Number, sent: PaperCheckedSent) -> Entered:
    """Sign, as the second person, that what was typed is what stands on the scan."""
    book, job = job_here(request, name)
    shown = Shown(sent.content, sent.ticket)
    taken = book.check_paper(_who(sent), job.opened.job, card_key(job, number), sent.entry, shown)
    return _entered(book, taken.entry.number)


@router.post("/records/re-test", operation_id="report_retest")
@alone
def report_retest(request: Request, sent: RetestSent) -> Entered:
    """Report a documented re-test of a lot; an engineer takes it on."""
    book, paper = book_of(request), _paper(request, sent.paper)
    lot, then = scanned(book.state, sent.lot), when(book.state, sent.at, sent.late)
    taken = book.report_retest(_who(sent), lot, sent.until, paper, sent.ground, then)
    papers.signed(request, sent.paper)
    return _entered(book, taken.entry.number)


@router.post("/records/coupon-result", operation_id="coupon_tested")
@alone
def coupon_tested(request: Request, sent: CouponSent) -> Entered:
    """Enter what a witness coupon showed, with its test's report."""
    book, paper = book_of(request), _paper(request, sent.paper)
    told = {"value": sent.value, "least": sent.least, "most": sent.most}
    fields: dict[str, Any] = {k: None if x is None else amount_text(typed_amount(x)) for k, x in told.items()}
    fields |= {"unit": sent.unit, "ground": sent.ground, "broke": sent.broke}
    fields |= {"job": sent.job, "coupon": sent.coupon}
    fields["instrument"] = scanned(book.state, sent.instrument, INSTRUMENT)
    taken = book.test_coupon(_who(sent), paper, when(book.state, sent.at, sent.late), **fields)
    papers.signed(request, sent.paper)
    return _entered(book, taken.entry.number)


# --- jobs


@router.post("/repairs/{name}/revise", operation_id="revise_job")
def revise_job(request: Request, name: Name, sent: ReasonSent) -> Entered:
    """Go on with the job by the repair as its document stands now; its planner signs for that."""
    workshop, book = request.app.state.workshop, book_of(request)
    path, who = workshop.open(name).path, _who(sent)
    with workshop.changing(name):
        if errands(request).running(name, WRITES):
            raise InputError("layouts or heat are being made for this repair", todo="wait for it, or stop it")
        with RECORDS:
            book.tried(who)
            head = head_of(book)
        fields = plan_for_records(path, head)
        with RECORDS:
            taken = book.revise_job(who, **fields, why=tidy_text(sent.why))
            return _entered(book, taken.entry.number)


@router.post("/records/jobs/{job}/stop", operation_id="stop_job")
@alone
def stop_job(request: Request, job: JobNumber, sent: ReasonSent) -> Entered:
    """Stop a job for good; a new one may follow it."""
    book = book_of(request)
    return _entered(book, book.stop_job(_who(sent), job, sent.why).entry.number)


@router.get("/records/jobs/{job}/package", operation_id="package", response_class=Response)
@alone
def package(request: Request, job: JobNumber) -> Response:
    """The package of a job for a third party, after the whole log was checked."""
    book = book_of(request)
    job_of(book.state, job)
    data = make_package(book.log, job)
    how = {"content-disposition": 'attachment; filename="package.zip"'}
    return Response(data, media_type="application/zip", headers=how)


# --- the records themselves


@router.post("/records/clock-was-wrong", operation_id="clock_was_wrong")
@alone
def clock_was_wrong(request: Request, sent: ClockSent) -> Entered:
    """Say that the machine's clock was ahead in some entries."""
    book = book_of(request)
    taken = book.clock_was_wrong(_who(sent), sent.first, sent.last, sent.why)
    return _entered(book, taken.entry.number)


@router.post("/records/hand-over", operation_id="hand_over")
@alone
def hand_over(request: Request, sent: ReasonSent) -> TokenTold:
    """Hand the records over to a copy: these are read-only from here on. The token is told once."""
    return TokenTold(token=book_of(request).hand_over(_who(sent), sent.why))


@router.post("/records/take-over", operation_id="take_over")
@alone
def take_over(request: Request, sent: TokenSent) -> Entered:
    """Take handed records over: this copy governs from here on."""
    book = book_of(request)
    book.take_over(sent.token)
    return _entered(book, book.state.number)


@router.post("/records/other-is-lost", operation_id="other_is_lost")
@alone
def other_is_lost(request: Request, sent: ReasonSent) -> Entered:
    """Say that the copy that governed is lost; this one governs when a second person has said it too."""
    book = book_of(request)
    return _entered(book, book.other_copy_is_lost(_who(sent), sent.why).entry.number)


@router.post("/records/check", operation_id="check_records")
def check_records(request: Request, sent: CheckSent) -> LogChecked:
    """Check the whole log: links, papers and file, and with ``links`` off every seal and rule."""
    found = book_of(request).log.check(sent.head, rules=not sent.links, since=sent.since)
    return _checked(found, rules=not sent.links)


def _checked(found: CheckedLog, *, rules: bool) -> LogChecked:
    faults = [f"entry {n}: {words}" if n else words for n, words in found.faults[:200]]
    return LogChecked(number=found.number, head=found.printed, rules=rules, faults=faults)


@router.post("/records/backup", operation_id="backup_records")
def backup_records(request: Request) -> BackupMade:
    """Write a backup into the workshop's own folder, while the records are in use, and check its links. Copy
    it to another disk: one beside the records goes with them."""
    folder = request.app.state.workshop.folder / BACKUPS
    folder.mkdir(exist_ok=True, mode=0o700)
    name = f"records-{datetime.now(UTC):%Y%m%dT%H%M%SZ}.sqlite"
    return BackupMade(backup=name, head=book_of(request).log.backup(folder / name).printed)


@router.post("/records/drill", operation_id="drill")
def drill_backup(request: Request, sent: DrillSent) -> LogChecked:
    """Try a backup out: open a copy of it, check every rule, compare it with the records in use."""
    path: Path = request.app.state.workshop.folder / BACKUPS / sent.backup
    if not path.is_file():
        raise MissingError(f"there is no backup {sent.backup}")
    return _checked(drill(path, book_of(request).log), rules=True)


@router.get("/records/refused", operation_id="refused")
def refused(request: Request) -> Lines:
    """What was refused lately, oldest first: a note beside the log, which proves nothing."""
    path = book_of(request).log.path
    return Lines(lines=refused_lately(path) if path is not None else [])
