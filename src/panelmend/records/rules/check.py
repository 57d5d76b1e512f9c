"""The one way in: time, person, right, then the matter itself."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from panelmend.records import events as e
from panelmend.records.canonical import NOTHING, seconds_between
from panelmend.records.refusals import (
    BROKEN,
    FUTURE,
    LATE,
    MALFORMED,
    NO_AUTHORISATION,
    NO_RIGHT,
    NOBODY,
    UNKNOWN_KIND,
)
from panelmend.records.rights import RIGHTS, Right, action
from panelmend.records.rules import doing, people, stock
from panelmend.records.state import Person, State

LATE_AFTER = 15 * 60  # [s] what is entered within this of its time is not late
_FREE = ("records begun", "person enrolled", "secret failed")


def check(state: State, entry: e.Entry) -> None:
    """See whether an entry may follow what is so.

    Raises:
        Refused: it may not; with the ground.
    """
    what = entry.what
    if entry.number != state.number + 1 or entry.before != state.head:
        raise BROKEN(f"entry {entry.number} does not follow entry {state.number}")
    if (entry.number == 1) != isinstance(what, e.Begun):
        raise MALFORMED("records begin once, with their first entry")
    if entry.number == 1 and entry.before != NOTHING:
        raise BROKEN("the first entry names one before it")
    _times(state, entry)
    if what.kind not in _FREE:
        right = RIGHTS.get(action(what))
        if right is None:
            raise UNKNOWN_KIND(action(what))
        may(state, entry, right)
    _RULES[type(what)](state, entry, what)


def now(state: State, entry: e.Entry) -> str:
    """What time it is for judging: the machine's clock, never before an entry that stands already."""
    return max(state.latest, entry.entered)


def _times(state: State, entry: e.Entry) -> None:
    behind = max(0, seconds_between(entry.entered, state.latest)) if state.latest else 0
    if entry.behind != behind:
        raise MALFORMED(f"the clock stood {behind} s behind the log, the entry says {entry.behind} s")
    if entry.at > now(state, entry):
        raise FUTURE(entry.at)
    if seconds_between(entry.at, entry.entered) > LATE_AFTER and not entry.late.strip():
        raise LATE(f"it was at {entry.at}, entered at {entry.entered}")


def person_of(state: State, number: str) -> Person:
    """A person who is here. Raises Refused."""
    found = state.people.get(number)
    if found is None or found.removed:
        raise NOBODY(number)
    return found


def may(state: State, entry: e.Entry, right: Right) -> None:
    """See that a person has a role that may, and its authorisation in force. Raises Refused."""
    person = person_of(state, entry.by)
    if not person.secret:
        raise NOBODY(f"{entry.by} has not enrolled")
    roles = person.roles & right.roles
    if not roles:
        wanted = " or ".join(sorted(r.value for r in right.roles)) or "nobody"
        raise NO_RIGHT(f"{action(entry.what)}: {wanted}; {person.name} is {_roles(person)}")
    today = state.day(now(state, entry)).isoformat()
    for role in roles:
        scope = right.scopes.get(role)
        if scope is None or person.authorised.get(scope, "") >= today:
            return
    needed = " or ".join(sorted({right.scopes[r].value for r in roles}))
    raise NO_AUTHORISATION(f"{person.name}: {needed} on {today}")


def _roles(person: Person) -> str:
    return ", ".join(sorted(r.value for r in person.roles)) or "without a role"


def _begun(state: State, entry: e.Entry, what: e.Begun) -> None:
    if entry.by != what.person:
        raise MALFORMED("the first keeper begins the records")


_RULES: dict[type, Callable[[State, e.Entry, Any], None]] = {
    e.Begun: _begun,
    **people.RULES,
    **doing.RULES,
    **stock.RULES,
}
