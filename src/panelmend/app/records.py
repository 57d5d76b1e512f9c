"""What users do with records: words typed at the command line become actions of the book."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, assert_never
from zoneinfo import ZoneInfo

from panelmend.app import service
from panelmend.app.number_typed import number_typed
from panelmend.app.records_labels import INSTRUMENT, LOT, named_numbers, scanned
from panelmend.errors import InputError, OutputError
from panelmend.files import replace_whole
from panelmend.records import events as e
from panelmend.records.book import Book, When, Who, job_of
from panelmend.records.canonical import amount_text, moment, sha256, tidy_text
from panelmend.records.doing.sheet import clocks_of, largest_of, steps_of
from panelmend.records.doing.standing import complete
from panelmend.records.package.form import LARGEST
from panelmend.records.package.make import compare_package, job_packaged, make_package, read_package
from panelmend.records.refusals import CHANGED, NO_SUCH, NOT_AN_ANSWER
from panelmend.records.rules.doing import LARGEST_FILE
from panelmend.records.state import Job, State
from panelmend.records.store.log import printed_head

if TYPE_CHECKING:
    from panelmend.app.log_answers import Request

_PLAIN = re.compile(r"[^A-Za-z0-9._-]+")
_YES, _NO = ("yes", "y"), ("no", "n")


def moment_typed(state: State, text: str) -> datetime:
    """A date and time as typed, by the shop's clock where no zone is given.

    Raises:
        InputError: no date and time, or one that the clock passed twice or not at all when it was moved.
    """
    try:
        made = datetime.fromisoformat(text.strip())
    except ValueError:
        made = None
    if made is None or len(text.strip()) < 16:
        raise InputError("not a date and time", read=text[:40], expected='such as "2026-11-26 14:05"')
    if made.tzinfo is not None:
        return made
    zone = ZoneInfo(state.zone)
    first, second = made.replace(tzinfo=zone, fold=0), made.replace(tzinfo=zone, fold=1)
    if first.utcoffset() != second.utcoffset():
        raise InputError(
            "the clock was changed around that time",
            read=text[:40],
            expected='the offset too, "2026-10-25 01:30+01:00"',
        )
    return first


def when(state: State, at: str, late: str) -> When:
    """When it really was, as typed; nothing typed is now."""
    return When(moment_typed(state, at) if at else None, late)


def head_of(book: Book) -> str:
    """The head to write on paper."""
    state = book.state
    return printed_head(state.number, state.head)


def step_named(job: Job, text: str) -> str:
    """The key of a step by its number on the card ("12"), or its key ("O11/1/1"). Raises Refused."""
    if text in job.steps:
        return text
    found = [s.key for s in job.opened.steps if str(s.number) == text.strip()]
    if len(found) != 1:
        raise NO_SUCH(f"step {text} of job {job.opened.job}: give the number on the card")
    return found[0]


def open_job(book: Book, who: Who, document: Path, follows: str | None = None) -> str:
    """Plan a document and begin its job; the number of the job.

    Raises:
        Refused: a plan that is not READY, and every rule.
    """
    fields = plan_for_records(document, head_of(book))
    book.open_job(who, **fields, follows=follows)
    return str(fields["job"])


def revise_job(book: Book, who: Who, document: Path, why: str) -> list[str]:
    """Plan a document anew and go on with its job by that revision; what stands and what is done again.

    Raises:
        Refused: a plan that is not READY, and every rule.
    """
    fields = plan_for_records(document, head_of(book))
    name = str(fields["job"])
    before = job_of(book.state, name)
    numbers = {k: s.number for k, s in before.steps.items()}
    done = {k for k in before.steps if complete(before, k)}
    book.revise_job(who, **fields, why=why)
    state = book.state
    job = job_of(state, name)
    stands = [s for s in job.opened.steps if complete(job, s.key)]
    redo = [s for s in job.opened.steps if s.key in done and not complete(job, s.key)]
    gone = sorted(numbers[k] for k in done if k not in job.steps)
    lines = [f"Job {name} goes on by plan {job.opened.plan[:12]}: {why}"]
    lines.append(f"  stands: {_numbers(stands)}")
    lines.append(f"  done and to be done again: {_numbers(redo)}")
    if gone:
        lines.append(f"  done and no longer on the card: {', '.join(map(str, gone))} of the card before")
    return lines


def _numbers(steps: list[e.CardStep]) -> str:
    return ", ".join(f"{s.number} ({s.id})" for s in steps) or "nothing"


def plan_for_records(document: Path, head: str = "") -> dict[str, Any]:
    """A document planned, as the records keep it, the head they had then on every page of its card. Raises
    Refused where it was changed meanwhile, or an entry of its shelves no longer holds today."""
    from panelmend.app.loading import damage_named
    from panelmend.app.pack_beside import refuse_unlike
    from panelmend.app.records_stores import kit_of, pieces_of
    from panelmend.app.shelf_hold import hold_document
    from panelmend.app.shelves import carried_by_all, taken_by_all
    from panelmend.render.card import card_pdf
    from panelmend.render.files import plan_file

    file, _ = damage_named(document)
    whole = file_bytes(file)
    plan, every = service.plan_beside(document)
    if file_bytes(file) != whole:
        raise CHANGED(f"{file.name} was written while it was planned")
    repair, panel = plan.case.document.repair, plan.case.document.panel
    for each in every:  # who begins one damage goes by the entries of all: they stand or stop together
        hold_document(document, each.case.shelved, repair.work_date, date.today())
    refuse_unlike(document, plan.case.shelved)
    ready = plan.standing.value == "READY"
    pages = {"job-card.pdf": card_pdf(plan, head), "plan.json": plan_file(plan)} if ready else {}
    return {
        "job": tidy_text(repair.number),
        "document": whole,
        "plan": plan.digest,
        "pages": {**pages, **carried_by_all(every, document), **taken_by_all(every)},
        "panel": panel.part_number or panel.name,
        "serial": panel.serial,
        "standing": plan.standing.value,
        "steps": steps_of(plan),
        "clocks": clocks_of(plan),
        "outline": largest_of(plan),
        "earlier": tuple(r.id for r in panel.earlier_repair),
        "kit": kit_of(plan),
        "pieces": pieces_of(plan),
    }


def readings_typed(
    state: State, job: Job, key: str, typed: tuple[str, ...], instrument: str, why: str
) -> list[e.Reading]:
    """Readings from "BLANK=ANSWER", BLANK the number of the blank in the step, from 1.

    Where the limit stands in words: "BLANK=ANSWER; LIMIT READ; yes" (or no).
    """
    made = []
    blanks = job.steps[key].blanks
    for text in typed:
        place, mark, answer = text.partition("=")
        if not mark or not place.strip().isdecimal() or not 1 <= int(place) <= len(blanks):
            raise InputError(
                "not an answer to a blank", read=text[:60], expected=f'"1={"..."}" to "{len(blanks)}=..."'
            )
        blank, own, limit, meets = blanks[int(place) - 1], answer.strip(), "", None
        if blank.ask == "person":
            own, limit, meets = _limit_read(blank, own)
        made.append(blank_answered(state, blank, int(place) - 1, own, limit, meets, instrument, why))
    return made


def _limit_read(blank: e.CardBlank, text: str) -> tuple[str, str, bool]:
    answer, *rest = [p.strip() for p in text.split(";")]
    if len(rest) != 2 or rest[1].lower() not in (*_YES, *_NO):
        raise InputError(
            f"{blank.what!r} ({blank.said}): read its limit yourself",
            read=text[:60],
            expected='"ANSWER; LIMIT READ AND ITS PLACE; yes" (or no: whether it is met)',
        )
    return answer, rest[0], rest[1].lower() in _YES


def blank_answered(
    state: State,
    blank: e.CardBlank,
    place: int,
    answer: str,
    limit: str,
    meets: bool | None,
    instrument: str,
    why: str,
) -> e.Reading:
    """A reading of one blank, ``place`` in its step from 0: what was typed, and what it was read on.

    Where the limit is a person's to read: what it is and where it stands, in words, and whether it is met;
    ``meets`` is None where it is the card's. Raises InputError, Refused: no answer to this blank.
    """
    more: dict[str, object] = {"why": tidy_text(why)}
    if meets is not None:
        more |= {"limit": tidy_text(limit), "meets": meets}
    match blank.entry:
        case e.EntryKind.NUMBER:
            bare, value = number_typed(blank, answer)
            more |= {"typed": bare, "value": amount_text(value)}
            if instrument:
                more["instrument"] = scanned(state, instrument, INSTRUMENT)
        case e.EntryKind.TIME:
            more |= {"typed": answer, "at": moment(moment_typed(state, answer))}
        case e.EntryKind.TICK:
            if answer.lower() not in (*_YES, *_NO):
                raise InputError(f"{blank.what!r} takes yes or no", read=answer[:40])
            more |= {"typed": answer, "yes": answer.lower() in _YES}
        case e.EntryKind.TEXT:
            more["typed"] = tidy_text(answer)
        case _:
            assert_never(blank.entry)
    if blank.names:
        more["names"] = named_numbers(state, answer, {"lots": LOT, "instruments": INSTRUMENT}[blank.names])
    found: e.Reading = e.made(e.Reading, blank=place, **more)
    return found


def keep_file(book: Book, who: Who, job: str, step: str, path: Path, what: str, at: When) -> None:
    """Keep a photograph or another file with a step."""
    name = _PLAIN.sub("-", path.name).strip("-./ ")[:80] or "file"
    book.keep_file(who, job, step, name, file_bytes(path), what, at)


def file_bytes(path: Path, most: int = LARGEST_FILE) -> bytes:
    """The bytes of a file. Raises InputError where it is too large, cannot be read, or grows meanwhile."""
    try:
        if path.exists() and not path.is_file():
            raise InputError("no file with an end: a folder, pipe or device", where=path.name)
        size = path.stat().st_size
        with path.open("rb") as file:  # one byte more: what grows while it is read is not believed
            data = file.read(size + 1) if size <= most else b""
        if size > most:
            raise InputError("too large to keep", where=path.name, expected=f"{most >> 20} MiB at most")
        if len(data) != size:  # a part of a file that is still written is no file
            raise InputError(
                "it grew or shrank while it was read",
                where=path.name,
                read=f"{len(data)} bytes at least" if len(data) > size else f"{len(data)} bytes",
                expected=f"{size} bytes",
                todo="wait until it is written whole, then try again",
            )
        return data
    except OSError as error:
        raise InputError(
            f"there is no such file, or it cannot be read: {error.strerror}", where=str(path)
        ) from None


@dataclass(frozen=True)
class JudgedAt:
    """A verdict that was kept: its words and outcome, and whose statements it rests on."""

    outcome: e.Judged
    against: tuple[str, ...]
    rests: tuple[str, ...] = ()


def judge_at(
    book: Book,
    who: Who,
    job: str,
    step: str,
    document: Path,
    log: Path,
    asked: Request,
    seconds: tuple[Who, ...] = (),
) -> JudgedAt:
    """Judge a cure log by the job's own document, and keep the verdict with the step that opens the bag, and
    with it what others state of its gauges with their own secrets (``seconds``). ``asked``: what was typed
    beside the log.

    Raises:
        Refused: the document is another than the job's, and every rule.
        InputError: a statement of a gauge by none of the records' inspectors or engineers, or without their
            own secret.
    """
    from panelmend.app.records_gauge import check_stating, keep_statements

    held = job_of(book.state, job)
    person = book.state.people[who.person].name if who.person in book.state.people else who.person
    signed = check_stating(book, asked.gauge_seen, seconds, who.person, asked.ran, log)
    asked = replace(asked, by=person, signed=signed)
    made = judgement_at(held.opened, held.steps[step], document, log, asked)
    keep_statements(book, job, step, made.log, asked.gauge_seen, seconds)
    keep_judgement(book, who, job, step, made)
    return JudgedAt(made.outcome, made.against, made.rests)


@dataclass(frozen=True)
class JudgementAt:
    """A verdict before it is kept: of which cure, the log and its report."""

    cure: str
    outcome: e.Judged
    against: tuple[str, ...]
    log: bytes
    report: bytes
    rests: tuple[str, ...] = ()


def judgement_at(
    opened: e.SignedPlan, step: e.CardStep, document: Path, log: Path, asked: Request
) -> JudgementAt:
    """Judge a cure log by the job's own document for the step that opens the bag; nothing is kept.

    Raises:
        Refused: the document is another than the job's, or the step judges no log.
    """
    from panelmend.app import logs
    from panelmend.app.loading import damage_named

    same = sha256(file_bytes(damage_named(document)[0])) == opened.document
    shelved = service.load(document).shelved
    for entry in shelved.entries if shelved is not None else ():
        same = same and sha256(entry.data) in opened.pages.values()
    if not same:
        raise CHANGED(f"{document.name} is not the document that job {opened.job} was begun from")
    if not step.cure:
        raise NOT_AN_ANSWER(f"step {step.number} judges no log")
    cures = service.load(document).document.data.cure
    name = next((c.name for c in cures if tidy_text(c.name) == step.cure), step.cure)
    data = file_bytes(log)
    judged = logs.judge_log(document, log, replace(asked, operation=name))
    if file_bytes(log) != data:
        raise CHANGED(f"{log.name} was written while it was judged")
    verdict = judged.report.verdict
    against = tuple(f"{r.code} {r.words}" for r in verdict.against())
    report = judged.report.to_json().encode("utf8")
    return JudgementAt(step.cure, e.Judged(verdict.outcome.value), against, data, report, verdict.rests_on())


def keep_judgement(book: Book, who: Who, job: str, step: str, made: JudgementAt) -> None:
    """Keep a verdict with the step that opens the bag. Raises Refused."""
    book.keep_verdict(who, job, step, made.cure, made.outcome, made.log, made.report)


def kept_card(book: Book, job: str) -> bytes:
    """The job card in force, as it was signed. Raises Refused where none was kept."""
    digest = job_of(book.state, job).opened.pages.get("job-card.pdf")
    if digest is None:
        raise NO_SUCH(f"card of job {job}")
    return book.log.paper(digest)


def write_package(book: Book, job: str, target: Path) -> str:
    """Write a job's package in place of nothing or of an earlier one of the same job; the head it ends at.

    Raises:
        OutputError: something else stands there.
    """
    if target.exists() and job_packaged(target) != job:
        raise OutputError(f"{target} is there already and is no package of {job}: give another name")
    replace_whole(target, make_package(book.log, job))
    return head_of(book)


def check_package(path: Path, head: str, book: Book | None) -> list[str]:
    """Check a package, against a head from paper and against records where they are given."""
    package = read_package(file_bytes(path, LARGEST), head)
    if book is not None:
        compare_package(book.log, package)
    manifest = package.manifest
    lines = [
        f"Job {manifest['job']}: {len(package.entries)} of {manifest['number']} entries shown, "
        f"head {printed_head(int(manifest['number']), str(manifest['head']))}"
    ]
    if not head:
        lines.append(
            "No head from paper was given: a tail that was cut, or a log written anew, cannot be seen."
        )
    return lines
