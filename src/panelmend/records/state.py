"""What the log comes to: people, jobs, stores. Folding is the only way in which any of it changes."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from panelmend.records import events as e
from panelmend.records.canonical import canonical, read_moment, seconds_between, sha256


@dataclass
class Person:
    """A person; ``removed`` is the entry's number, 0 while they are here."""

    id: str
    name: str
    roles: frozenset[e.Role]
    secret: str = ""
    code: str = ""
    code_until: str = ""
    removed: int = 0
    failures: int = 0
    failed_at: str = ""
    authorised: dict[e.Scope, str] = field(default_factory=dict)


@dataclass
class Filled:
    """A reading with the entry it came in."""

    reading: e.Reading
    by: str
    number: int
    at: str


@dataclass
class Kept:
    """A verdict with the entry it came in."""

    verdict: e.VerdictKept
    number: int
    by: str


@dataclass
class Attempt:
    """One attempt at a step: what was written, every earlier spelling of it too, and who signed."""

    filled: dict[int, Filled] = field(default_factory=dict)
    replaced: list[Filled] = field(default_factory=list)
    files: list[tuple[e.FileKept, int]] = field(default_factory=list)
    issued: list[tuple[e.LotIssued, str, int]] = field(default_factory=list)
    verdicts: list[Kept] = field(default_factory=list)
    did: tuple[str, int] | None = None
    accepted: tuple[str, int] | None = None
    rejected: tuple[str, int] | None = None
    signed: list[tuple[e.StepSigned, str, int]] = field(default_factory=list)

    @property
    def verdict(self) -> Kept | None:
        """The last verdict."""
        return self.verdicts[-1] if self.verdicts else None


@dataclass
class Deviation:
    """A deviation: raised at a step and attempt; open until decided."""

    raised: e.DeviationRaised
    by: str
    attempt: int
    number: int
    seen: dict[str, tuple[int, ...]]
    decided: e.DeviationDecided | None = None
    decided_by: str = ""


@dataclass
class Job:
    """A job in work; ``attempts`` by step, the last one counts."""

    opened: e.JobOpened
    by: str
    number: int
    at: str
    attempts: dict[str, list[Attempt]]
    steps: dict[str, e.Step]
    deviations: dict[str, Deviation] = field(default_factory=dict)
    workers: set[str] = field(default_factory=set)
    deciders: set[str] = field(default_factory=set)
    closed: str = ""
    released: tuple[e.Released, str, int] | None = None

    def now(self, step: str) -> Attempt:
        """The attempt that counts."""
        return self.attempts[step][-1]

    def after(self, step: str) -> frozenset[str]:
        """A step and everything that must come after it."""
        found = {step}
        for s in self.opened.steps:  # steps stand in working order
            if any(n in found for n in s.needs):
                found.add(s.key)
        return frozenset(found)


@dataclass
class Lot:
    """A lot; ``out_since`` is "" while it is frozen, ``out_time`` [s] what was added before that."""

    received: e.LotReceived
    expires: str
    left: Decimal
    out_since: str
    out_time: int
    opened: str = ""
    last: str = ""
    parent: str = ""
    children: list[str] = field(default_factory=list)
    by_job: dict[str, Decimal] = field(default_factory=dict)
    issues: list[tuple[str, str, int]] = field(default_factory=list)
    touched: list[int] = field(default_factory=list)
    reports: dict[int, tuple[e.RetestReported, str]] = field(default_factory=dict)

    def out_at(self, at: str) -> int:
        """Seconds out of the freezer by a moment; it never falls."""
        running = max(0, seconds_between(self.out_since, at)) if self.out_since else 0
        return self.out_time + running


@dataclass
class State:
    """Everything that is so after an entry."""

    number: int = 0
    head: str = "0" * 64
    records: str = ""
    zone: str = "UTC"
    invented: bool = False
    latest: str = ""
    entered: list[str] = field(default_factory=list)
    wrong: set[int] = field(default_factory=set)
    behind: list[int] = field(default_factory=list)
    people: dict[str, Person] = field(default_factory=dict)
    jobs: dict[str, Job] = field(default_factory=dict)
    lots: dict[str, Lot] = field(default_factory=dict)
    instruments: dict[str, e.InstrumentKnown] = field(default_factory=dict)
    tickets: set[str] = field(default_factory=set)
    logs: dict[str, str] = field(default_factory=dict)
    papers: set[str] = field(default_factory=set)
    secrets: set[str] = field(default_factory=set)
    by: dict[str, list[int]] = field(default_factory=dict)
    of: dict[str, list[int]] = field(default_factory=dict)

    def take(self, entry: e.Entry, hashed: str) -> None:
        """Take an entry that the rules let pass."""
        self.number, self.head = entry.number, hashed
        self.entered.append(entry.entered)
        self.latest = max(self.latest, entry.entered)
        if entry.behind:
            self.behind.append(entry.number)
        self.by.setdefault(entry.by, []).append(entry.number)
        if entry.by in self.people and not isinstance(entry.what, e.Failed):
            self.people[entry.by].failures = 0  # a right secret was given
        _TAKE[type(entry.what)](self, entry, entry.what)

    def touch(self, thing: str, number: int) -> None:
        """Note that an entry concerns something ("job X", "lot Y", "person Z", "instrument W")."""
        held = self.of.setdefault(thing, [])
        if not held or held[-1] != number:
            held.append(number)

    def day(self, at: str) -> date:
        """The shop's own date at a moment."""
        return read_moment(at).astimezone(ZoneInfo(self.zone)).date()

    def digest(self) -> str:
        """One digest of all of it, to compare two ways of reaching it."""
        return sha256(canonical(_plain(self)))


def _plain(value: object) -> object:
    if isinstance(value, dict):
        return {str(k): _plain(v) for k, v in value.items()}
    if isinstance(value, set | frozenset):
        return sorted(str(v) for v in value)
    if isinstance(value, list | tuple):
        return [_plain(v) for v in value]
    if isinstance(value, Decimal):
        return str(value.normalize())
    if hasattr(value, "model_dump"):
        return value.model_dump(mode="json")
    if hasattr(value, "__dataclass_fields__"):
        return {n: _plain(getattr(value, n)) for n in value.__dataclass_fields__}
    return value


def fold(entries: Iterable[tuple[e.Entry, str]]) -> State:
    """The state after entries with their hashes."""
    state = State()
    for entry, hashed in entries:
        state.take(entry, hashed)
    return state


# --- people


def _begun(s: State, n: e.Entry, w: e.Begun) -> None:
    s.records, s.zone, s.invented = w.records, w.zone, w.invented
    s.people[w.person] = Person(w.person, w.name, frozenset({e.Role.KEEPER}), w.secret)
    s.secrets.add(w.secret)
    s.touch(f"person {w.person}", n.number)


def _person(s: State, n: e.Entry, w: e.PersonAdded) -> None:
    s.people[w.person] = Person(w.person, w.name, frozenset(w.roles), "", w.code, w.code_until)
    s.touch(f"person {w.person}", n.number)


def _code(s: State, n: e.Entry, w: e.CodeIssued) -> None:
    p = s.people[w.person]
    p.secret, p.code, p.code_until = "", w.code, w.code_until
    s.touch(f"person {w.person}", n.number)


def _enrolled(s: State, n: e.Entry, w: e.Enrolled) -> None:
    p = s.people[w.person]
    p.secret, p.code, p.code_until, p.failures, p.failed_at = w.secret, "", "", 0, ""
    s.secrets.add(w.secret)
    s.touch(f"person {w.person}", n.number)


def _failed(s: State, n: e.Entry, w: e.Failed) -> None:
    p = s.people[w.person]
    p.failures, p.failed_at = p.failures + 1, n.entered
    s.touch(f"person {w.person}", n.number)


def _roles(s: State, n: e.Entry, w: e.RolesSet) -> None:
    s.people[w.person].roles = frozenset(w.roles)
    s.touch(f"person {w.person}", n.number)


def _removed(s: State, n: e.Entry, w: e.PersonRemoved) -> None:
    p = s.people[w.person]
    p.removed, p.secret, p.code = n.number, "", ""
    s.touch(f"person {w.person}", n.number)


def _authorised(s: State, n: e.Entry, w: e.Authorised) -> None:
    s.people[w.person].authorised[w.scope] = w.until
    s.touch(f"person {w.person}", n.number)


def _ended(s: State, n: e.Entry, w: e.AuthorisationEnded) -> None:
    s.people[w.person].authorised.pop(w.scope, None)
    s.touch(f"person {w.person}", n.number)


def _clock(s: State, n: e.Entry, w: e.ClockWrong) -> None:
    s.wrong |= set(range(w.first, w.last + 1))
    s.latest = max((t for i, t in enumerate(s.entered, 1) if i not in s.wrong), default=n.entered)


# --- jobs


def _opened(s: State, n: e.Entry, w: e.JobOpened) -> None:
    steps = {x.key: x for x in w.steps}
    s.jobs[w.job] = Job(w, n.by, n.number, n.at, {k: [Attempt()] for k in steps}, steps)
    s.tickets.add(w.signature.ticket)
    s.papers |= {w.document, *w.pages.values()}
    s.touch(f"job {w.job}", n.number)


def _job(s: State, n: e.Entry, name: str) -> Job:
    s.touch(f"job {name}", n.number)
    return s.jobs[name]


def _readings(s: State, n: e.Entry, w: e.Readings) -> None:
    job = _job(s, n, w.job)
    attempt = job.now(w.step)
    job.workers.add(n.by)
    for r in w.readings:
        if r.blank in attempt.filled:
            attempt.replaced.append(attempt.filled[r.blank])
        attempt.filled[r.blank] = Filled(r, n.by, n.number, n.at)
        if r.instrument is not None:
            s.touch(f"instrument {r.instrument}", n.number)


def _file(s: State, n: e.Entry, w: e.FileKept) -> None:
    job = _job(s, n, w.job)
    job.now(w.step).files.append((w, n.number))
    job.workers.add(n.by)
    s.papers.add(w.digest)


def _verdict(s: State, n: e.Entry, w: e.VerdictKept) -> None:
    job = _job(s, n, w.job)
    job.now(w.step).verdicts.append(Kept(w, n.number, n.by))
    s.logs[w.log] = served_as(job, w.step)
    s.papers.add(w.report)
    job.workers.add(n.by)


def served_as(job: Job, step: str) -> str:
    """What a cure log served: job, step and attempt."""
    return f"{job.opened.job}, {step}, attempt {len(job.attempts[step])}"


def _signed(s: State, n: e.Entry, w: e.StepSigned) -> None:
    job = _job(s, n, w.job)
    attempt = job.now(w.step)
    s.tickets.add(w.signature.ticket)
    attempt.signed.append((w, n.by, n.number))
    meaning = w.signature.meaning
    if meaning is e.Meaning.DID:
        attempt.did = (n.by, n.number)
        job.workers.add(n.by)
    elif meaning is e.Meaning.ACCEPTED:
        attempt.accepted = (n.by, n.number)
    elif meaning is e.Meaning.REJECTED:
        attempt.rejected = (n.by, n.number)


def seen_at(job: Job, step: str, item: str) -> tuple[int, ...]:
    """Numbers of the entries that something a deviation covers stands on now; 0 for what is not written."""
    attempt, kind, place = job.now(step), item[0], int(item[1:] or 0)
    if kind == "b":
        return (_written(job, step, place),)
    if kind == "c":
        clock = job.opened.clocks[place]
        ends = [(clock.start, clock.start_blank), (clock.end, clock.end_blank)]
        if clock.until is not None:
            ends.append((clock.until, clock.until_blank))
        return tuple(_written(job, s, b) for s, b in ends)
    if kind == "v":
        return (attempt.verdict.number if attempt.verdict else 0,)
    return (attempt.rejected[1] if attempt.rejected else 0,)


def _written(job: Job, step: str, blank: int) -> int:
    held = job.now(step).filled.get(blank)
    return held.number if held is not None else 0


def _raised(s: State, n: e.Entry, w: e.DeviationRaised) -> None:
    job = _job(s, n, w.job)
    seen = {x: seen_at(job, w.step, x) for x in w.covers}
    job.deviations[w.deviation] = Deviation(w, n.by, len(job.attempts[w.step]), n.number, seen)


def _decided(s: State, n: e.Entry, w: e.DeviationDecided) -> None:
    job = _job(s, n, w.job)
    dev = job.deviations[w.deviation]
    dev.decided, dev.decided_by = w, n.by
    job.deciders.add(n.by)
    s.tickets.add(w.signature.ticket)
    if w.decision is e.Decision.STOP:
        job.closed = "stopped"
    elif w.decision is e.Decision.AGAIN and w.again_from is not None:
        for key in job.after(w.again_from):
            if _begun_on(job.now(key)):
                job.attempts[key].append(Attempt())


def _begun_on(attempt: Attempt) -> bool:
    return bool(attempt.filled or attempt.signed or attempt.files or attempt.issued or attempt.verdicts)


def _released(s: State, n: e.Entry, w: e.Released) -> None:
    job = _job(s, n, w.job)
    job.released = (w, n.by, n.number)
    job.closed = "released"
    s.tickets.add(w.signature.ticket)


def _stopped(s: State, n: e.Entry, w: e.JobStopped) -> None:
    _job(s, n, w.job).closed = "stopped"


# --- stores


def _lot(s: State, n: e.Entry, name: str) -> Lot:
    lot = s.lots[name]
    lot.last = max(lot.last, n.at)
    lot.touched.append(n.number)
    s.touch(f"lot {name}", n.number)
    return lot


def _received(s: State, n: e.Entry, w: e.LotReceived) -> None:
    s.lots[w.lot] = Lot(w, w.expires, Decimal(w.amount), "" if w.frozen else n.at, w.out_time)
    _lot(s, n, w.lot)


def _moved(s: State, n: e.Entry, w: e.LotMoved) -> None:
    lot = _lot(s, n, w.lot)
    if w.frozen:
        lot.out_time, lot.out_since = lot.out_at(n.at), ""
    elif not lot.out_since:
        lot.out_since = n.at


def _lot_opened(s: State, n: e.Entry, w: e.LotOpened) -> None:
    lot = _lot(s, n, w.lot)
    lot.opened = lot.opened or n.at


def _issued(s: State, n: e.Entry, w: e.LotIssued) -> None:
    lot = _lot(s, n, w.lot)
    lot.left -= Decimal(w.amount)
    lot.by_job[w.job] = lot.by_job.get(w.job, Decimal(0)) + Decimal(w.amount)
    lot.opened = lot.opened or n.at  # what is drawn from was opened
    lot.issues.append((w.job, n.at, lot.out_at(n.at)))
    job = _job(s, n, w.job)
    job.now(w.step).issued.append((w, n.at, lot.out_at(n.at)))


def _returned(s: State, n: e.Entry, w: e.LotReturned) -> None:
    lot = _lot(s, n, w.lot)
    lot.by_job[w.job] -= Decimal(w.amount)
    received = lot.received.model_copy(update={"lot": w.back, "amount": w.amount, "expires": lot.expires})
    # what was at the bench was out since it was drawn: it ages from then, whatever the rest of the lot did
    out = max(gone + max(0, seconds_between(at, n.at)) for job, at, gone in lot.issues if job == w.job)
    s.lots[w.back] = Lot(
        received, lot.expires, Decimal(w.amount), "" if w.frozen else n.at, out, lot.opened, parent=w.lot
    )
    lot.children.append(w.back)
    _lot(s, n, w.back)
    _job(s, n, w.job)


def _scrapped(s: State, n: e.Entry, w: e.LotScrapped) -> None:
    _lot(s, n, w.lot).left -= Decimal(w.amount)


def _corrected(s: State, n: e.Entry, w: e.LotCorrected) -> None:
    _lot(s, n, w.lot).left = Decimal(w.amount)


def _reported(s: State, n: e.Entry, w: e.RetestReported) -> None:
    _lot(s, n, w.lot).reports[n.number] = (w, n.by)
    s.papers.add(w.paper)


def _retaken(s: State, n: e.Entry, w: e.RetestTaken) -> None:
    lot = _lot(s, n, w.lot)
    lot.expires = w.until
    lot.reports.pop(w.report, None)


def _instrument(s: State, n: e.Entry, w: e.InstrumentKnown) -> None:
    s.instruments[w.instrument] = w
    s.touch(f"instrument {w.instrument}", n.number)


_TAKE: dict[type, Callable[[State, e.Entry, Any], None]] = {
    e.Begun: _begun,
    e.PersonAdded: _person,
    e.CodeIssued: _code,
    e.Enrolled: _enrolled,
    e.Failed: _failed,
    e.RolesSet: _roles,
    e.PersonRemoved: _removed,
    e.Authorised: _authorised,
    e.AuthorisationEnded: _ended,
    e.ClockWrong: _clock,
    e.JobOpened: _opened,
    e.Readings: _readings,
    e.FileKept: _file,
    e.VerdictKept: _verdict,
    e.StepSigned: _signed,
    e.DeviationRaised: _raised,
    e.DeviationDecided: _decided,
    e.Released: _released,
    e.JobStopped: _stopped,
    e.LotReceived: _received,
    e.LotMoved: _moved,
    e.LotOpened: _lot_opened,
    e.LotIssued: _issued,
    e.LotReturned: _returned,
    e.LotScrapped: _scrapped,
    e.LotCorrected: _corrected,
    e.RetestReported: _reported,
    e.RetestTaken: _retaken,
    e.InstrumentKnown: _instrument,
}
