"""Rules for people: enrolment, rights, removal, failures."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable
from typing import Any

from panelmend.records import events as e
from panelmend.records.canonical import sha256
from panelmend.records.refusals import (
    CODE_USED,
    LAST_KEEPER,
    MALFORMED,
    NOBODY,
    NOT_THEIR_KEY,
    OWN_RIGHTS,
    SAME_NAME,
    SAME_PERSON,
    TAKEN,
)
from panelmend.records.state import Person, State


def person_of(state: State, number: str) -> Person:
    """A person who is here. Raises Refused."""
    found = state.people.get(number)
    if found is None or found.removed:
        raise NOBODY(number)
    return found


def _added(state: State, entry: e.Entry, what: e.PersonAdded) -> None:
    if what.person.casefold() in {p.casefold() for p in state.people}:
        raise TAKEN(f"person {what.person}")
    if len(set(what.roles)) != len(what.roles):
        raise MALFORMED("a role named twice")
    if state.rules >= 2:
        _name(state, what.name)


def _name(state: State, name: str) -> None:
    """A printed name tells one person from another, those who left too. Raises Refused."""
    plain = _plain(name)
    if not plain or any(unicodedata.category(c) == "Cf" for c in name):
        raise SAME_NAME(f"{name!r} holds nothing to tell it by, or signs that cannot be seen")
    for other in state.people.values():
        if _plain(other.name) == plain:
            raise SAME_NAME(f"{name}: {other.id} is {other.name}")


def _plain(name: str) -> str:
    return "".join(c for c in unicodedata.normalize("NFKD", name).casefold() if c.isalnum())


def _code(state: State, entry: e.Entry, what: e.CodeIssued) -> None:
    person_of(state, what.person)
    if what.person == entry.by:
        raise OWN_RIGHTS("a new code for oneself")


def _enrolled(state: State, entry: e.Entry, what: e.Enrolled) -> None:
    person = person_of(state, what.person)
    if entry.by != what.person:
        raise MALFORMED("a person enrols for themselves")
    at = max(state.latest, entry.entered)
    if not person.code or person.code != sha256(what.code) or at > person.code_until:
        raise CODE_USED(what.person)
    if what.secret in state.secrets:
        raise CODE_USED("a hash that stands in the records already")
    if state.rules >= 2 and (not what.key or what.key in {p.key for p in state.people.values()}):
        raise NOT_THEIR_KEY("a person enrols with a key of their own")


def _failed(state: State, entry: e.Entry, what: e.Failed) -> None:
    person_of(state, what.person)
    if entry.by != what.person:
        raise MALFORMED("a failure counts against the person who was named")


def _roles(state: State, entry: e.Entry, what: e.RolesSet) -> None:
    person = person_of(state, what.person)
    if what.person == entry.by:
        raise OWN_RIGHTS("one's own roles")
    if len(set(what.roles)) != len(what.roles):
        raise MALFORMED("a role named twice")
    if e.Role.KEEPER in person.roles and e.Role.KEEPER not in what.roles:
        _another_keeper(state, person)


def _removed(state: State, entry: e.Entry, what: e.PersonRemoved) -> None:
    person = person_of(state, what.person)
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
    person_of(state, what.person)
    if what.person == entry.by:
        raise OWN_RIGHTS("one's own authorisation")
    coded_by = state.people[what.person].coded_by
    if entry.by == coded_by or (coded_by and same_hand(state, entry.by, coded_by)):
        raise SAME_PERSON(f"{entry.by} gave {what.person} a new code; another keeper authorises them again")


def same_hand(state: State, one: str, other: str) -> bool:
    """Whether one person may sit behind two numbers: a new code was given by the one to the other, or by one
    and the same to both, also through others. Whom another keeper has authorised for something since then is
    known to be themselves."""
    return state.rules >= 4 and not _hands(state, one).isdisjoint(_hands(state, other))


def _hands(state: State, number: str) -> set[str]:
    found = {number}
    while (person := state.people[number]).coded_by and not person.authorised:
        number = person.coded_by
        if number in found:
            break
        found.add(number)
    return found


def _ended(state: State, entry: e.Entry, what: e.AuthorisationEnded) -> None:
    person_of(state, what.person)


def _clock(state: State, entry: e.Entry, what: e.ClockWrong) -> None:
    if not 1 <= what.first <= what.last <= state.number:
        raise MALFORMED(f"entries {what.first} to {what.last}; there are {state.number}")
    if state.rules < 2:
        return
    said = state.said_wrong.get(f"{what.first} {what.last}")
    if said is not None and (said == entry.by or same_hand(state, said, entry.by)):
        raise SAME_PERSON(f"{entry.by} said so already; a second person says it too")
    not_ahead = [i for i in range(what.first, what.last + 1) if state.entered[i - 1] <= entry.entered]
    if not_ahead:
        raise MALFORMED(f"entry {not_ahead[0]} was entered before now by the clock: it was not ahead in it")


def _governs(state: State, entry: e.Entry, what: e.CopyGoverns) -> None:
    if state.rules < 2 or what.token == state.governs:
        raise MALFORMED("a copy that governs already, or before there were any")
    said = state.said_lost.get(what.token)
    if what.lost and said is not None and (said == entry.by or same_hand(state, said, entry.by)):
        raise SAME_PERSON(f"{entry.by} said that the other copy is lost; a second person says it too")


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
    e.CopyGoverns: _governs,
}
