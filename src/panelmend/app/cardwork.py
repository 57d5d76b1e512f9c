"""The card as it is worked through: where each step stands, blanks judged as they are typed, clocks that run,
what a signature covers. Answers for the screen; every rule stands in the records."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from panelmend.app.records import blank_answered
from panelmend.app.records_stores import batch_words
from panelmend.app.records_words import local, lot_words, verdict_words
from panelmend.derive import Figure
from panelmend.derive.ledger import words_of
from panelmend.errors import InputError
from panelmend.job.card import part
from panelmend.plan.plan import Plan
from panelmend.records import events as e
from panelmend.records.book import NOW, Book, When, Who, job_of
from panelmend.records.canonical import read_moment
from panelmend.records.doing.bench import beside_plan, not_entered
from panelmend.records.doing.judged import Met, items, met, require_answer
from panelmend.records.doing.sheet import step_key
from panelmend.records.doing.standing import At, standing
from panelmend.records.refusals import Refused
from panelmend.records.state import Job, State

SOON = 0.25  # share of a clock's time that is left when it says SOON


@dataclass(frozen=True)
class BlankNow:
    """A blank as it stands: what it asks, its limit in words, what is written and how it is judged."""

    number: int
    what: str
    entry: str
    unit: str
    limit: str
    person: bool
    typed: str
    limit_read: str
    meets: bool | None
    met: str
    written: str
    before: tuple[str, ...]
    names: str = ""
    ahead: bool = False
    limited: bool = False


@dataclass(frozen=True)
class ClockNow:
    """A clock that runs: until when (UTC), by the shop's clock, seconds in all, the step that ends it."""

    name: str
    until: str
    local: str
    all: int
    ends: str


@dataclass(frozen=True)
class DeviationNow:
    """A deviation at a step: its id, what it says, how it was decided ("" while it is open), and the digest
    of the paper that rests on ("" for none)."""

    id: str
    words: str
    covers: tuple[str, ...]
    decided: str
    paper: str = ""


@dataclass(frozen=True)
class StepNow:
    """A step as it stands; words, cautions and tables are the card's own, empty where its plan is not at
    hand."""

    number: int
    key: str
    title: str
    at: str
    words: str
    hold: str
    hold_by: str
    accepted: str
    does: tuple[str, ...] = ()
    cautions: tuple[tuple[str, str], ...] = ()
    tables: tuple[part.StepTable, ...] = ()
    tools: tuple[str, ...] = ()
    materials: tuple[str, ...] = ()
    blanks: tuple[BlankNow, ...] = ()
    clocks: tuple[ClockNow, ...] = ()
    signed: tuple[str, ...] = ()
    strokes: tuple[str, ...] = ()
    attempt: int = 1
    known: tuple[str, ...] = ()
    lots: tuple[tuple[str, str], ...] = ()
    drawn: tuple[str, ...] = ()
    beside_plan: tuple[str, ...] = ()
    done: bool = False
    release: bool = False
    log: bool = False
    verdicts: tuple[str, ...] = ()
    files: tuple[tuple[str, str, str], ...] = ()
    deviations: tuple[DeviationNow, ...] = ()
    may_cover: tuple[tuple[str, str], ...] = ()
    not_entered: tuple[str, ...] = ()
    labels: tuple[str, ...] = ()
    pieces: tuple[str, ...] = ()
    batches: tuple[str, ...] = ()
    pots: int = 0


@dataclass(frozen=True)
class StepRow:
    """A step in the list of all."""

    number: int
    title: str
    operation: int
    at: str
    words: str
    hold_by: str


def step_rows(job: Job) -> tuple[StepRow, ...]:
    """Every step with where it stands."""
    made = []
    for s in job.opened.steps:
        at = standing(job, s.key)
        made.append(StepRow(s.number, s.title, s.operation, at.at.value, at.words, str(s.hold_by or "")))
    return tuple(made)


def next_step(job: Job) -> int:
    """The number of the first step that is ready or held; the last one where all is done."""
    for s in job.opened.steps:
        if standing(job, s.key).at in (At.READY, At.HOLD):
            return s.number
    return job.opened.steps[-1].number


def step_now(
    state: State, name: str, number: int, plan: Plan | None, paper: Callable[[str], bytes] | None = None
) -> StepNow:
    """A step of a job as it stands.

    Args:
        state: of the records.
        name: the job.
        number: the step's number on the card.
        plan: the job's own plan, for the card's words; None where it is not at hand.
        paper: gives a paper of the records by its digest, for what kept verdicts rest on.

    Raises:
        Refused: no such job or step.
    """
    job = job_of(state, name)
    step = next((s for s in job.opened.steps if s.number == number), None)
    if step is None:
        raise InputError("the card has no such step", read=str(number))
    at, attempt = standing(job, step.key), job.now(step.key)
    made = StepNow(
        number=step.number,
        key=step.key,
        title=step.title,
        at=at.at.value,
        words=at.words,
        hold=step.hold or "",
        hold_by=str(step.hold_by or ""),
        accepted=step.accepted,
        blanks=tuple(_blanks(state, job, step)),
        clocks=tuple(_clocks(state, job)),
        signed=tuple(_signed(state, job, step)),
        strokes=tuple(x.strokes for x, _, _ in job.now(step.key).signed),
        attempt=len(job.attempts[step.key]),
        known=tuple(sorted(state.instruments)),
        lots=tuple((n, lot_words(state, n)) for n, lot in sorted(state.lots.items()) if lot.left > 0),
        drawn=tuple(f"{w.lot}: {w.amount}" for w, _, _ in attempt.issued),
        beside_plan=tuple(
            f"{w.lot}, {state.lots[w.lot].received.material}"
            for w, _, _ in attempt.issued
            if beside_plan(job, state.lots[w.lot].received.material)
        ),
        done=attempt.did is not None,
        release=step.hold_by == "certificate holder",
        log=bool(step.cure),
        verdicts=verdict_words(attempt, paper),
        files=tuple((f.name, f.digest, f.what) for f, _ in attempt.files),
        deviations=tuple(_deviations(job, step.key)),
        may_cover=tuple(_may_cover(job, step.key)),
        not_entered=not_entered(job, step.key) if attempt.did is None else (),
        labels=tuple(x.piece for x, _ in attempt.labels),
        pieces=step.pieces,
        batches=tuple(line for m, _ in attempt.mixed for line in batch_words(state, m.batch)),
        pots=step.pots,
    )
    return made if plan is None else _with_words(made, plan)


def _with_words(made: StepNow, plan: Plan) -> StepNow:
    card = next((s for s in plan.card.steps if step_key(s.place) == made.key), None)
    if card is None:
        return made
    return replace(
        made,
        does=tuple(spoken(w, plan.case.view) for w in card.words),
        cautions=tuple((c.hazard, c.words) for c in card.cautions),
        tables=card.tables,
        tools=card.tools,
        materials=card.materials,
    )


def spoken(words: Iterable[str | Figure], view: str) -> str:
    """Words with figures in them as a line."""
    return "".join(w if isinstance(w, str) else words_of(w, view) for w in words)


def limit_words(blank: e.CardBlank) -> str:
    """A blank's limit as it is judged."""
    both = {
        (True, True): f"{blank.low} to {blank.high}",
        (True, False): f"at least {blank.low}",
        (False, True): f"at most {blank.high}",
        (False, False): "",
    }[blank.low is not None, blank.high is not None]
    figures = f"{both} {blank.unit}".strip() if both else ""
    return ", ".join(x for x in (figures, blank.said) if x)


def _blanks(state: State, job: Job, step: e.CardStep) -> Iterable[BlankNow]:
    attempt = job.now(step.key)
    judged = list(items(job, step.key))
    for i, blank in enumerate(step.blanks):
        held = attempt.filled.get(i)
        written = f"{state.people[held.by].name}, {local(state, held.at)}" if held is not None else ""
        before = tuple(
            f"{f.reading.typed!r}, {state.people[f.by].name}, {local(state, f.at)}"
            for f in attempt.replaced
            if f.reading.blank == i
        )
        yield BlankNow(
            number=i + 1,
            what=blank.what,
            entry=blank.entry.value,
            unit=blank.unit,
            limit=limit_words(blank),
            person=blank.ask == "person",
            typed=held.reading.typed if held is not None else "",
            limit_read=held.reading.limit if held is not None else "",
            meets=held.reading.meets if held is not None else None,
            met=judged[i].met.value,
            written=written,
            before=before,
            names=blank.names,
            ahead=blank.ahead,
            limited=blank.ask != "record",
        )


def _deviations(job: Job, key: str) -> Iterable[DeviationNow]:
    for d in job.deviations.values():
        if d.raised.step == key:
            decided = (
                f"{d.decided.decision.value}: {d.decided.words}, {d.decided.ground}" if d.decided else ""
            )
            paper = (d.decided.paper or "") if d.decided else ""
            yield DeviationNow(d.raised.deviation, d.raised.words, tuple(d.raised.covers), decided, paper)


def _may_cover(job: Job, key: str) -> Iterable[tuple[str, str]]:
    """What a deviation at a step may be about: what is outside its limit, the verdict, a rejection."""
    for item in items(job, key):
        if item.met is Met.OUTSIDE:
            yield item.key, f"{item.what}: {item.words}"
    if job.steps[key].cure:
        yield "v", "verdict"
    if any(s.signature.meaning is e.Meaning.REJECTED for s, _, _ in job.now(key).signed):
        yield "r", "rejection"


def _clocks(state: State, job: Job) -> Iterable[ClockNow]:
    """The clocks whose start is written and whose end is not."""

    def at(step: str, blank: int) -> datetime | None:
        held = job.now(step).filled.get(blank)
        return read_moment(held.reading.at) if held is not None and held.reading.at else None

    for clock in job.opened.clocks:
        start, end = at(clock.start, clock.start_blank), at(clock.end, clock.end_blank)
        if start is None or end is not None or job.closed:
            continue
        ends = [start + timedelta(seconds=clock.most)] if clock.most is not None else []
        until = at(clock.until, clock.until_blank) if clock.until is not None else None
        if until is not None:
            ends.append(until)
        if ends:
            last = min(ends)
            text = last.strftime("%Y-%m-%dT%H:%M:%SZ")
            number = job.steps[clock.end].number
            words = local(state, last.strftime("%Y-%m-%dT%H:%M:%S.000Z"))
            yield ClockNow(clock.name, text, words, int((last - start).total_seconds()), str(number))


def _signed(state: State, job: Job, step: e.CardStep) -> Iterable[str]:
    for signed, by, n in job.now(step.key).signed:
        s = signed.signature
        yield f"{s.meaning.value}: {s.name} ({by}), entry {n}{'; ' + signed.why if signed.why else ''}"


@dataclass(frozen=True)
class Written:
    """What is written in a blank, as it was typed; ``limit`` and ``meets`` where a person reads the limit."""

    typed: str
    limit: str = ""
    meets: bool | None = None
    instrument: str = ""
    why: str = ""


def reading_judged(state: State, name: str, number: int, blank: int, written: Written) -> tuple[str, str]:
    """How what is typed stands to its limit, and why it is no answer; nothing is kept."""
    _, step = _at(state, name, number)
    if not written.typed.strip():
        return Met.NOT_YET.value, ""
    try:
        reading = _reading(state, step, blank, written)
        require_answer(step.blanks[blank - 1], reading, "")
    except (InputError, Refused) as error:
        return Met.NOT_YET.value, error.words
    return met(step.blanks[blank - 1], reading).value, ""


def keep_reading(
    book: Book, who: Who, name: str, number: int, blank: int, written: Written, at: When = NOW
) -> None:
    """Write a blank; the same written again by the same person is the one that is there.

    Raises:
        Refused: the secret, a right, or any rule.
    """
    state = book.state
    job, step = _at(state, name, number)
    held = job.now(step.key).filled.get(blank - 1)
    reading = _reading(state, step, blank, written)
    same = held is not None and held.by == who.person and held.reading.typed == reading.typed
    if (
        held is not None
        and same
        and (held.reading.limit, held.reading.meets) == (reading.limit, reading.meets)
    ):
        return
    book.read(who, name, step.key, [reading], at)


def _at(state: State, name: str, number: int) -> tuple[Job, e.CardStep]:
    job = job_of(state, name)
    step = next((s for s in job.opened.steps if s.number == number), None)
    if step is None:
        raise InputError("the card has no such step", read=str(number))
    return job, step


def _reading(state: State, step: e.CardStep, blank: int, written: Written) -> e.Reading:
    if not 1 <= blank <= len(step.blanks):
        raise InputError("the step has no such blank", read=str(blank))
    if step.blanks[blank - 1].ask == "person" and (written.meets is None or not written.limit.strip()):
        raise InputError("write the limit you read, and say whether it is met")
    asked = step.blanks[blank - 1]
    limit, meets = (written.limit, written.meets) if asked.ask == "person" else ("", None)
    typed = written.typed.strip()
    return blank_answered(state, asked, blank - 1, typed, limit, meets, written.instrument, written.why)
