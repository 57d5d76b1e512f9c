"""Rules for people: enrolment, rights, removal, failures."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from panelmend.records import events as e
from panelmend.records.canonical import sha256
from panelmend.records.refusals import (
    CODE_USED,
    LAST_KEEPER,
    MALFORMED,
    NOBODY,
    OWN_RIGHTS,
    TAKEN,
)
from panelmend.records.state import Person, State


def _here(state: State, number: str) -> Person:
    found = state.people.get(number)
    if found is None or found.removed:
        raise NOBODY(number)
    return found


def _added(state: State, entry: e.Entry, what: e.PersonAdded) -> None:
    if what.person.casefold() in {p.casefold() for p in state.people}:
        raise TAKEN(f"person {what.person}")
    if len(set(what.roles)) != len(what.roles):
        raise MALFORMED("a role named twice")


def _code(state: State, entry: e.Entry, what: e.CodeIssued) -> None:
    _here(state, what.person)
    if what.person == entry.by:
        raise OWN_RIGHTS("a new code for oneself")


def _enrolled(state: State, entry: e.Entry, what: e.Enrolled) -> None:
    person = _here(state, what.person)
    if entry.by != what.person:
        raise MALFORMED("a person enrols for themselves")
    at = max(state.latest, entry.entered)
    if not person.code or person.code != sha256(what.code) or at > person.code_until:
        raise CODE_USED(what.person)
    if what.secret in state.secrets:
        raise CODE_USED("a hash that stands in the records already")


def _failed(state: State, entry: e.Entry, what: e.Failed) -> None:
    _here(state, what.person)
    if entry.by != what.person:
        raise MALFORMED("a failure counts against the person who was named")


def _roles(state: State, entry: e.Entry, what: e.RolesSet) -> None:
    person = _here(state, what.person)
    if what.person == entry.by:
        raise OWN_RIGHTS("one's own roles")
    if len(set(what.roles)) != len(what.roles):
        raise MALFORMED("a role named twice")
    if e.Role.KEEPER in person.roles and e.Role.KEEPER not in what.roles:
        _another_keeper(state, person)


def _removed(state: State, entry: e.Entry, what: e.PersonRemoved) -> None:
    person = _here(state, what.person)
    if e.Role.KEEPER in person.roles:
        _another_keeper(state, person)


def _another_keeper(state: State, person: Person) -> None:
    others = [
        p for p in state.people.values()
        if p is not person and not p.removed and p.secret and e.Role.KEEPER in p.roles
    ]  # fmt: skip
    if not others:
        raise LAST_KEEPER(person.id)


def _authorised(state: State, entry: e.Entry, what: e.Authorised) -> None:
    _here(state, what.person)
    if what.person == entry.by:
        raise OWN_RIGHTS("one's own authorisation")


def _ended(state: State, entry: e.Entry, what: e.AuthorisationEnded) -> None:
    _here(state, what.person)


def _clock(state: State, entry: e.Entry, what: e.ClockWrong) -> None:
    if not 1 <= what.first <= what.last <= state.number:
        raise MALFORMED(f"entries {what.first} to {what.last}; there are {state.number}")


RULES: dict[type, Callable[[State, e.Entry, Any], None]] = {
    e.PersonAdded: _added,
    e.CodeIssued: _code,
    e.Enrolled: _enrolled,
    e.Failed: _failed,
    e.RolesSet: _roles,
    e.PersonRemoved: _removed,
    e.Authorised: _authorised,
    e.AuthorisationEnded: _ended,
    e.ClockWrong: _clock,
}
