"""The records as people use them: every action once, with a fresh secret each time. The rules stand below,
in the log."""

from __future__ import annotations

import secrets as random
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import sqlalchemy as sa

from panelmend.errors import InputError
from panelmend.records import events as e
from panelmend.records import secrets as s
from panelmend.records.canonical import moment, sha256, tidy
from panelmend.records.doing.standing import (
    content,
    decision_content,
    opening_content,
    release_content,
    statements,
)
from panelmend.records.refusals import CODE_USED, MALFORMED, NO_SUCH, NOBODY, WRONG_SECRET
from panelmend.records.rules.doing import LARGEST_FILE, release_fields
from panelmend.records.state import Job, Person, State
from panelmend.records.store.log import Draft, Log, Now, Taken, utc_now


@dataclass(frozen=True)
class Who:
    """Who acts: staff number and the secret, asked for anew."""

    person: str
    secret: str

    def __repr__(self) -> str:
        return f"Who({self.person!r})"


@dataclass(frozen=True)
class When:
    """When it really was, and why it is entered late; empty for now."""

    at: datetime | None = None
    late: str = ""


NOW = When()


@dataclass(frozen=True)
class Shown:
    """What was shown for a signature; it is good once, and only while nothing changes."""

    content: str
    ticket: str


class Book:
    """The records of one shop."""

    def __init__(self, log: Log, cost: s.Cost = s.FULL) -> None:
        self.log, self.hashes = log, s.Hashes(cost)

    # --- opening

    @staticmethod
    def begin(
        where: str,
        person: str,
        name: str,
        secret: str,
        *,
        zone: str = "UTC",
        invented: bool = False,
        cost: s.Cost = s.FULL,
        now: Now = utc_now,
    ) -> Book:
        """Begin records with their first keeper of accounts.

        Args:
            where: a file, or the URL of a PostgreSQL database.
            person: staff number of the keeper.
            name: their name.
            secret: their secret; there is no default.
            zone: the shop's time zone, such as "Europe/Lisbon": expiry days are counted by it.
            invented: a demonstration.
            cost: of hashes.
            now: the clock.
        """
        _zone(zone)
        s.strong(secret, person, name)
        hashes = s.Hashes(cost)
        hashed = hashes.make(secret)
        what = e.made(
            e.Begun,
            records=random.token_hex(16),
            zone=zone,
            person=person,
            name=tidy(name),
            secret=sha256(hashed),
            invented=invented,
        )
        log = Log.open(where, now=now, make=True)
        log.append(lambda state, c: [Draft(person, what)], secrets={sha256(hashed): hashed})
        return Book(log, cost)

    @staticmethod
    def open(where: str, *, cost: s.Cost = s.FULL, now: Now = utc_now, wait: float = 30.0) -> Book:
        """Open records that were begun."""
        return Book(Log.open(where, now=now, wait=wait), cost)

    @property
    def state(self) -> State:
        """What is so now; not to be changed by hand."""
        return self.log.state

    def history(self, thing: str) -> list[e.Entry]:
        """Every entry that touched something: "job X", "lot Y", "person Z", "instrument W", in order."""
        state = self.state
        numbers = set(state.of.get(thing, []))
        kind, _, name = thing.partition(" ")
        if kind == "person":
            numbers |= set(state.by.get(name, []))
        return [e.entry_of(n, b, t) for n, b, _, t in self.log.some(sorted(numbers))]

    # --- acting

    def act(
        self,
        who: Who,
        build: Callable[[State], e.Event],
        when: When = NOW,
        papers: Mapping[str, bytes] | None = None,
        secrets: Mapping[str, str] | None = None,
    ) -> Taken:
        """Enter what one person does. The secret is tried within the transaction, one at a time.

        Raises:
            Refused: wrong secret (recorded), or any rule.
        """
        wrong = False

        def drafts(state: State, connection: sa.Connection) -> Sequence[Draft]:
            nonlocal wrong
            person = self._tried(state, who.person)
            wrong = not self.hashes.right(self.log.secret(connection, person.secret), who.secret)
            if wrong:
                return [Draft(who.person, e.Failed(person=who.person))]
            return [Draft(who.person, build(state), moment(when.at) if when.at else None, tidy(when.late))]

        taken = self.log.append(drafts, papers, secrets)
        if wrong:
            raise WRONG_SECRET(who.person)
        return taken[-1]

    def _tried(self, state: State, number: str) -> Person:
        person = state.people.get(number)
        if person is None or person.removed:
            raise NOBODY(number)
        s.not_backed_off(person, max(state.latest, moment(self.log.now())))
        return person

    # --- people

    def add_person(self, who: Who, person: str, name: str, roles: Sequence[e.Role]) -> str:
        """Add a person; returns the code with which they set their secret, told once."""
        code, digest = s.new_code()
        until = moment(self.log.now() + s.CODE_LIFE)
        self._now(
            who,
            e.PersonAdded,
            person=person,
            name=tidy(name),
            roles=tuple(roles),
            code=digest,
            code_until=until,
        )
        return code

    def new_code(self, who: Who, person: str, why: str) -> str:
        """A new code for a person who lost their secret; the old one is dead. It stands in the log for
        good."""
        code, digest = s.new_code()
        until = moment(self.log.now() + s.CODE_LIFE)
        self._now(who, e.CodeIssued, person=person, code=digest, code_until=until, why=tidy(why))
        return code

    def enrol(self, person: str, code: str, secret: str) -> None:
        """Set a secret with a code. A wrong code counts as a wrong secret."""
        found = self.state.people.get(person)
        if found is None or found.removed:
            raise NOBODY(person)
        s.strong(secret, person, found.name)
        hashed = self.hashes.make(secret)
        plain = s.plain_code(code)
        wrong = False

        def drafts(state: State, connection: sa.Connection) -> Sequence[Draft]:
            nonlocal wrong
            held = self._tried(state, person)
            wrong = not held.code or held.code != sha256(plain)
            if wrong:
                return [Draft(person, e.Failed(person=person))]
            return [Draft(person, e.made(e.Enrolled, person=person, code=plain, secret=sha256(hashed)))]

        self.log.append(drafts, secrets={sha256(hashed): hashed})
        if wrong:
            raise CODE_USED(person)

    def set_roles(self, who: Who, person: str, roles: Sequence[e.Role], why: str) -> Taken:
        """Give a person other roles."""
        return self._now(who, e.RolesSet, person=person, roles=tuple(roles), why=tidy(why))

    def remove_person(self, who: Who, person: str, why: str) -> Taken:
        """Remove a person; what they did stays."""
        return self._now(who, e.PersonRemoved, person=person, why=tidy(why))

    def authorise(self, who: Who, person: str, scope: e.Scope, until: str, paper: str) -> Taken:
        """Enter what a person's paper authorises, and until which day."""
        return self._now(who, e.Authorised, person=person, scope=scope, until=until, paper=tidy(paper))

    def end_authorisation(self, who: Who, person: str, scope: e.Scope, why: str) -> Taken:
        """End an authorisation early."""
        return self._now(who, e.AuthorisationEnded, person=person, scope=scope, why=tidy(why))

    def clock_was_wrong(self, who: Who, first: int, last: int, why: str) -> Taken:
        """Say that the machine's clock was ahead in some entries."""
        return self._now(who, e.ClockWrong, first=first, last=last, why=tidy(why))

    def _now(
        self, who: Who, kind: type, when: When = NOW, papers: Mapping[str, bytes] | None = None, **fields: Any
    ) -> Taken:
        made = e.made(kind, **fields)
        return self.act(who, lambda state: made, when, papers)

    # --- jobs

    def open_job(
        self,
        who: Who,
        *,
        job: str,
        document: bytes,
        plan: str,
        pages: Mapping[str, bytes],
        panel: str,
        serial: str,
        standing: str,
        steps: Sequence[e.Step],
        clocks: Sequence[e.Clock] = (),
        follows: str | None = None,
    ) -> Taken:
        """Begin a job from a plan that may be worked from; the planner signs it.

        Args:
            who: a planner.
            job: number of the repair.
            document: the repair document's bytes.
            plan: the plan's digest.
            pages: printed files and plan.json by name.
            panel: the panel's part number or name.
            serial: its serial number.
            standing: the plan's standing.
            steps: from ``doing/sheet.py``.
            clocks: from there too.
            follows: a stopped job whose work this one goes on with.
        """
        papers = {sha256(document): document, **{sha256(p): p for p in pages.values()}}
        fields: dict[str, Any] = {
            "job": job,
            "document": sha256(document),
            "plan": plan,
            "pages": {n: sha256(p) for n, p in sorted(pages.items())},
            "panel": tidy(panel),
            "serial": tidy(serial),
            "standing": standing,
            "follows": follows,
            "steps": [x.model_dump(mode="json") for x in steps],
            "clocks": [x.model_dump(mode="json") for x in clocks],
        }
        ticket = s.new_ticket()

        def build(state: State) -> e.Event:
            held = e.event_of(
                {
                    "kind": "job opened",
                    **fields,
                    "signature": self._blank_signature(fields).model_dump(mode="json"),
                }
            )
            shown = opening_content(state.records, held.model_dump(mode="json"))
            signature = self._signature(
                state, who, e.Meaning.ACCEPTED, shown, str(fields["document"]), plan, ticket
            )
            return e.event_of(
                {"kind": "job opened", **fields, "signature": signature.model_dump(mode="json")}
            )

        return self.act(who, build, papers=papers)

    def _blank_signature(self, fields: Mapping[str, Any]) -> e.Signature:
        made: e.Signature = e.made(
            e.Signature,
            meaning=e.Meaning.ACCEPTED,
            words="-",
            name="-",
            content="0" * 64,
            document=fields["document"],
            plan=fields["plan"],
            ticket="0" * 32,
        )
        return made

    def _signature(
        self, state: State, who: Who, meaning: e.Meaning, shown: str, document: str, plan: str, ticket: str
    ) -> e.Signature:
        made: e.Signature = e.made(
            e.Signature,
            meaning=meaning,
            words=statements()[meaning],
            name=state.people[who.person].name,
            content=shown,
            document=document,
            plan=plan,
            ticket=ticket,
        )
        return made

    def read(self, who: Who, job: str, step: str, readings: Sequence[e.Reading], when: When = NOW) -> Taken:
        """Fill in blanks of a step."""
        return self._now(
            who, e.Readings, when, job=job, step=step, readings=[r.model_dump() for r in readings]
        )

    def keep_file(
        self, who: Who, job: str, step: str, name: str, data: bytes, what: str, when: When = NOW
    ) -> Taken:
        """Keep a photograph or another file with a step; a picture that was cut off is refused."""
        if len(data) > LARGEST_FILE or half_written(data):
            raise MALFORMED(f"{name}: cut off, or more than {LARGEST_FILE} bytes")
        fields: dict[str, Any] = {
            "job": job,
            "step": step,
            "name": name,
            "digest": sha256(data),
            "size": len(data),
            "what": tidy(what),
        }
        return self._now(who, e.FileKept, when, {sha256(data): data}, **fields)

    def keep_verdict(
        self,
        who: Who,
        job: str,
        step: str,
        cure: str,
        outcome: e.Judged,
        log: bytes,
        report: bytes,
        when: When = NOW,
    ) -> Taken:
        """Keep the verdict on a cure with the step that opens its bag."""
        papers = {sha256(log): log, sha256(report): report}
        fields: dict[str, Any] = {
            "job": job,
            "step": step,
            "cure": cure,
            "outcome": outcome,
            "log": sha256(log),
            "report": sha256(report),
        }
        return self._now(who, e.VerdictKept, when, papers, **fields)

    def show(self, job: str, step: str) -> Shown:
        """What a signature at a step would cover now."""
        state = self.state
        held = job_of(state, job)
        if step not in held.steps:
            raise NO_SUCH(f"step {step} of job {job}")
        return Shown(content(state, held, step), s.new_ticket())

    def sign(
        self, who: Who, job: str, step: str, meaning: e.Meaning, shown: Shown, why: str = "", when: When = NOW
    ) -> Taken:
        """Sign at a step what was shown."""

        def build(state: State) -> e.Event:
            held = job_of(state, job)
            signature = self._signature(
                state, who, meaning, shown.content, held.opened.document, held.opened.plan, shown.ticket
            )
            made: e.Event = e.made(
                e.StepSigned, job=job, step=step, signature=signature.model_dump(mode="json"), why=tidy(why)
            )
            return made

        return self.act(who, build, when)

    def raise_deviation(
        self,
        who: Who,
        job: str,
        step: str,
        deviation: str,
        covers: Sequence[str],
        words: str,
        when: When = NOW,
    ) -> Taken:
        """Raise a deviation at a step."""
        fields: dict[str, Any] = {
            "job": job,
            "step": step,
            "deviation": deviation,
            "covers": tuple(covers),
            "words": tidy(words),
        }
        return self._now(who, e.DeviationRaised, when, **fields)

    def show_deviation(self, job: str, deviation: str) -> Shown:
        """What an engineer's signature on a deviation would cover now."""
        state = self.state
        held = job_of(state, job)
        if deviation not in held.deviations:
            raise NO_SUCH(f"deviation {deviation} of job {job}")
        return Shown(decision_content(state, held, deviation), s.new_ticket())

    def decide(
        self,
        who: Who,
        job: str,
        deviation: str,
        decision: e.Decision,
        shown: Shown,
        *,
        ground: str,
        words: str,
        again_from: str | None = None,
        paper: bytes | None = None,
    ) -> Taken:
        """Decide a deviation: it may stand by its place in approved data, work is done again, or the job
        stops."""
        meaning = e.Meaning.ACCEPTED if decision is e.Decision.STANDS else e.Meaning.REJECTED

        def build(state: State) -> e.Event:
            held = job_of(state, job)
            signature = self._signature(
                state, who, meaning, shown.content, held.opened.document, held.opened.plan, shown.ticket
            )
            made: e.Event = e.made(
                e.DeviationDecided,
                job=job,
                deviation=deviation,
                decision=decision,
                ground=tidy(ground),
                words=tidy(words),
                again_from=again_from,
                paper=sha256(paper) if paper is not None else None,
                signature=signature.model_dump(mode="json"),
            )
            return made

        return self.act(who, build, papers={sha256(paper): paper} if paper is not None else None)

    def show_release(self, job: str) -> Shown:
        """What the release entry would cover now."""
        state = self.state
        return Shown(release_content(state, job_of(state, job)), s.new_ticket())

    def release(
        self,
        who: Who,
        job: str,
        shown: Shown,
        *,
        description: str,
        completed: str,
        certificate_number: str,
        certificate_kind: str,
    ) -> Taken:
        """Make the release entry; who performed the work is taken from the log."""

        def build(state: State) -> e.Event:
            held = job_of(state, job)
            names = sorted({state.people[w].name for w in held.workers})
            fields: dict[str, Any] = {
                "job": job,
                "description": tidy(description),
                "completed": completed.strip(),
                "performed_by": names,
                "certificate_number": tidy(certificate_number),
                "certificate_kind": tidy(certificate_kind),
            }
            blank = self._blank_signature({"document": held.opened.document, "plan": held.opened.plan})
            draft: e.Released = e.made(e.Released, **fields, signature=blank.model_dump(mode="json"))
            covered = sha256(shown.content + sha256(release_fields(draft)))
            signature = self._signature(
                state, who, e.Meaning.ACCEPTED, covered, held.opened.document, held.opened.plan, shown.ticket
            )
            made: e.Event = e.made(e.Released, **fields, signature=signature.model_dump(mode="json"))
            return made

        return self.act(who, build)

    def stop_job(self, who: Who, job: str, why: str) -> Taken:
        """Stop a job for good; a new one may follow it."""
        return self._now(who, e.JobStopped, job=job, why=tidy(why))

    # --- stores

    def receive(self, who: Who, when: When = NOW, **fields: Any) -> Taken:
        """Receive a lot; fields of :class:`panelmend.records.events.LotReceived`."""
        return self._now(who, e.LotReceived, when, **fields)

    def move(self, who: Who, lot: str, frozen: bool, place: str, when: When = NOW) -> Taken:
        """Put a lot into the freezer, or take it out."""
        return self._now(who, e.LotMoved, when, lot=lot, frozen=frozen, place=tidy(place))

    def open_lot(self, who: Who, lot: str, when: When = NOW) -> Taken:
        """Open a lot; its life once opened runs."""
        return self._now(who, e.LotOpened, when, lot=lot)

    def issue(self, who: Who, lot: str, job: str, step: str, amount: str, when: When = NOW) -> Taken:
        """Issue from a lot to a step of a job."""
        return self._now(who, e.LotIssued, when, lot=lot, job=job, step=step, amount=amount)

    def take_back(
        self, who: Who, lot: str, back: str, job: str, amount: str, frozen: bool = False, when: When = NOW
    ) -> Taken:
        """Take back what a job did not use, as a lot of its own."""
        return self._now(who, e.LotReturned, when, lot=lot, back=back, job=job, amount=amount, frozen=frozen)

    def scrap(self, who: Who, lot: str, amount: str, why: str, when: When = NOW) -> Taken:
        """Scrap from a lot."""
        return self._now(who, e.LotScrapped, when, lot=lot, amount=amount, why=tidy(why))

    def correct(self, who: Who, lot: str, amount: str, why: str, when: When = NOW) -> Taken:
        """Set a lot's balance to what a count found."""
        return self._now(who, e.LotCorrected, when, lot=lot, amount=amount, why=tidy(why))

    def report_retest(
        self, who: Who, lot: str, until: str, paper: bytes, ground: str, when: When = NOW
    ) -> Taken:
        """Report a documented re-test or extension."""
        fields: dict[str, Any] = {"lot": lot, "until": until, "paper": sha256(paper), "ground": tidy(ground)}
        return self._now(who, e.RetestReported, when, {sha256(paper): paper}, **fields)

    def take_retest(self, who: Who, lot: str, report: int, until: str) -> Taken:
        """Take a re-test on, as the second person."""
        return self._now(who, e.RetestTaken, lot=lot, report=report, until=until)

    def know_instrument(self, who: Who, instrument: str, what: str, certificate: str, due: str) -> Taken:
        """Enter an instrument with its calibration."""
        fields: dict[str, Any] = {
            "instrument": instrument,
            "what": tidy(what),
            "certificate": tidy(certificate),
            "due": due,
        }
        return self._now(who, e.InstrumentKnown, **fields)


def job_of(state: State, name: str) -> Job:
    """A job by its number. Raises Refused."""
    found = state.jobs.get(name)
    if found is None:
        raise NO_SUCH(f"job {name}")
    return found


def half_written(data: bytes) -> bool:
    """Whether a JPEG or PNG file lacks its end."""
    if data.startswith(b"\xff\xd8"):
        return not data.rstrip(b"\0").endswith(b"\xff\xd9")
    return data.startswith(b"\x89PNG\r\n\x1a\n") and not data.endswith(b"IEND\xaeB`\x82")


def _zone(name: str) -> None:
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise InputError("no such time zone", read=name[:40], expected="such as Europe/Lisbon") from None


__all__ = ["NOW", "Book", "Shown", "When", "Who", "job_of"]
