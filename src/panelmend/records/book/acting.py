"""Acting in the records: every action once, with a fresh secret each time."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import sqlalchemy as sa

from panelmend.records import events as e
from panelmend.records import secrets as s
from panelmend.records.canonical import link, moment, sha256, tidy_text
from panelmend.records.doing.standing import statements
from panelmend.records.refusals import BROKEN, MALFORMED, NO_SUCH, NOBODY, WRONG_SECRET
from panelmend.records.state import Job, Person, State, jobs_of_panel, lots_of_batch
from panelmend.records.store.log import Draft, Log, Taken
from panelmend.records.store.undisturbed import undisturbed


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


_DATABASE = b"SQLite format 3\0"

NOW = When()


@dataclass(frozen=True)
class Shown:
    """What was shown for a signature; it is good once, and only while nothing changes."""

    content: str
    ticket: str


class Acting:
    """What every action shares: the log, the secret tried, the signature made."""

    def __init__(self, log: Log, cost: s.Cost = s.FULL) -> None:
        self.log, self.hashes = log, s.Hashes(cost)

    @property
    def state(self) -> State:
        """What is so now; not to be changed by hand."""
        state = self.log.state
        state.looked = moment(self.log.now())
        return state

    def history(self, thing: str, *, after: int = 0, most: int | None = None) -> list[e.Entry]:
        """Every entry that touched something, in order: "job X", "lot Y", "batch B", "coupon V", "person Z",
        "instrument W", and "panel P S" (its part number and serial number: every job on it).

        Args:
            thing: what was touched.
            after: only entries after this one.
            most: no more than so many; the rest is asked for after the last of them.
        """
        with undisturbed():
            return [_proved(*row) for row in self.log.some(self.touched(thing, after)[:most])]

    def touched(self, thing: str, after: int = 0) -> list[int]:
        """Numbers of the entries that touched something, in order, after one of them."""
        state = self.state
        numbers = set(state.of.get(thing, []))
        kind, _, name = thing.partition(" ")
        if kind == "panel":
            for job in jobs_of_panel(state, name):
                numbers |= set(state.of.get(f"job {job}", []))
        if kind == "batch":  # the maker's, too: that is what a recall names
            for lot in lots_of_batch(state, name):
                numbers |= set(state.of.get(f"lot {lot}", []))
        if kind == "person":
            numbers |= set(state.by.get(name, []))
        return sorted(n for n in numbers if n > after)

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
            Refused: wrong secret (recorded), a paper that is a database, or any rule.
        """
        if any(x.startswith(_DATABASE) for x in (papers or {}).values()):
            raise MALFORMED("a database is no paper: the records' own holds what secrets are tried against")
        wrong = False

        def drafts(state: State, connection: sa.Connection) -> Sequence[Draft]:
            nonlocal wrong
            person = self._tried(state, who.person)
            row = self.log.secret(connection, person.secret)
            seed = self.hashes.seed(row, who.secret) if person.key else None
            wrong = seed is None if person.key else not self.hashes.right(row, who.secret)
            if wrong:
                return [Draft(who.person, e.Failed(person=who.person))]
            at = moment(when.at) if when.at else None
            return [Draft(who.person, build(state), at, tidy_text(when.late), seed)]

        taken = self.log.append(drafts, papers, secrets)
        if wrong:
            raise WRONG_SECRET(who.person)
        return taken[-1]

    def tried(self, who: Who) -> Person:
        """See that a secret is its person's; a wrong one is entered like any other.

        Raises:
            Refused: no such person, a wrong secret, or too many of them.
        """
        wrong = False

        def drafts(state: State, connection: sa.Connection) -> Sequence[Draft]:
            nonlocal wrong
            person = self._tried(state, who.person)
            row = self.log.secret(connection, person.secret)
            right = (
                self.hashes.seed(row, who.secret) is not None
                if person.key
                else self.hashes.right(row, who.secret)
            )
            wrong = not right
            return [Draft(who.person, e.Failed(person=who.person))] if wrong else []

        self.log.append(drafts)
        if wrong:
            raise WRONG_SECRET(who.person)
        return self.state.people[who.person]

    def _tried(self, state: State, number: str) -> Person:
        person = state.people.get(number)
        if person is None or person.removed:
            raise NOBODY(number)
        s.not_backed_off(person, max(state.latest, moment(self.log.now())))
        return person

    def _now(
        self, who: Who, kind: type, when: When = NOW, papers: Mapping[str, bytes] | None = None, **fields: Any
    ) -> Taken:
        made = e.made(kind, **fields)
        return self.act(who, lambda state: made, when, papers)

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


def _proved(number: int, before: str, hashed: str, text: str) -> e.Entry:
    """An entry of a row whose link fits. Raises Refused where it does not."""
    if hashed != link(number, before, sha256(text)):
        raise BROKEN(f"entry {number}")
    return e.entry_kept(number, before, text)


def job_of(state: State, name: str) -> Job:
    """A job by its number. Raises Refused."""
    found = state.jobs.get(name)
    if found is None:
        raise NO_SUCH(f"job {name}")
    return found
