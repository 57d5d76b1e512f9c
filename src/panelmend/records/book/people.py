"""What people do about people."""

from __future__ import annotations

from collections.abc import Sequence

import sqlalchemy as sa

from panelmend.records import events as e
from panelmend.records import secrets as s
from panelmend.records.book.acting import Acting, Who
from panelmend.records.canonical import moment, sha256, tidy_text
from panelmend.records.refusals import CODE_USED, MALFORMED, NOBODY, NOT_GOVERNING
from panelmend.records.state import State
from panelmend.records.store import copies
from panelmend.records.store.log import Draft, Taken


class PeopleBook(Acting):
    """People, their roles, codes and authorisations."""

    def add_person(self, who: Who, person: str, name: str, roles: Sequence[e.Role]) -> str:
        """Add a person; returns the code with which they set their secret, told once."""
        code, digest = s.new_code()
        until = moment(self.log.now() + s.CODE_LIFE)
        self._now(
            who,
            e.PersonAdded,
            person=person,
            name=tidy_text(name),
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
        self._now(who, e.CodeIssued, person=person, code=digest, code_until=until, why=tidy_text(why))
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
            fields = {"person": person, "code": plain, "secret": sha256(hashed), "key": s.public_in(hashed)}
            return [Draft(person, e.made(e.Enrolled, **fields))]

        self.log.append(drafts, secrets={sha256(hashed): hashed})
        if wrong:
            raise CODE_USED(person)

    def set_roles(self, who: Who, person: str, roles: Sequence[e.Role], why: str) -> Taken:
        """Give a person other roles."""
        return self._now(who, e.RolesSet, person=person, roles=tuple(roles), why=tidy_text(why))

    def remove_person(self, who: Who, person: str, why: str) -> Taken:
        """Remove a person; what they did stays."""
        return self._now(who, e.PersonRemoved, person=person, why=tidy_text(why))

    def authorise(self, who: Who, person: str, scope: e.Scope, until: str, paper: str) -> Taken:
        """Enter what a person's paper authorises, and until which day."""
        return self._now(who, e.Authorised, person=person, scope=scope, until=until, paper=tidy_text(paper))

    def end_authorisation(self, who: Who, person: str, scope: e.Scope, why: str) -> Taken:
        """End an authorisation early."""
        return self._now(who, e.AuthorisationEnded, person=person, scope=scope, why=tidy_text(why))

    def hand_over(self, who: Who, why: str) -> str:
        """Hand the records over to a copy: this one is read-only from here on. Returns the token with which
        the copy takes them over, told once."""
        token = s.new_ticket()
        self._now(who, e.CopyGoverns, token=sha256(token), lost=False, why=tidy_text(why))
        return token

    def take_over(self, token: str) -> None:
        """Take handed records over: this copy governs from here on.

        Raises:
            Refused: the log was not handed over with that token, or this is a copy from before it was.
        """
        path = self.log.path
        if path is None or self.state.governs != sha256(token.strip().lower()):
            raise NOT_GOVERNING("they were not handed over with that token, or this copy is older than that")
        copies.make_governing(path, token.strip().lower())

    def other_copy_is_lost(self, who: Who, why: str) -> Taken:
        """Say that the copy that governed is lost; when a second person has said it too, this one governs."""
        path = self.log.path
        if path is None:
            raise NOT_GOVERNING("records on a server are one copy")
        token, state = copies.token_beside(path), self.state
        if token and sha256(token) == state.governs:
            raise MALFORMED("this copy governs: no other can be lost")
        if sha256(token) in state.said_lost:
            return self._now(who, e.CopyGoverns, token=sha256(token), lost=True, why=tidy_text(why))
        token = s.new_ticket()
        taken = self._now(who, e.CopyGoverns, token=sha256(token), lost=True, why=tidy_text(why))
        copies.make_governing(path, token)  # after the entry: a wrong secret changes nothing beside the file
        return taken

    def clock_was_wrong(self, who: Who, first: int, last: int, why: str) -> Taken:
        """Say that the machine's clock was ahead in some entries."""
        return self._now(who, e.ClockWrong, first=first, last=last, why=tidy_text(why))
