"""The one way in: time, person, right, then the matter itself."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from panelmend.records import events as e
from panelmend.records.canonical import NOTHING, seconds_between
from panelmend.records.events import Role, Scope
from panelmend.records.refusals import (
    BROKEN,
    FUTURE,
    LATE,
    MALFORMED,
    NO_AUTHORISATION,
    NO_RIGHT,
    NOBODY,
    NOT_LATE,
    UNKNOWN_KIND,
)
from panelmend.records.rights import RIGHTS, Right, action, said
from panelmend.records.rules import bench, coupons, doing, ending, paper, people, stock
from panelmend.records.rules.doing import LATE_AFTER
from panelmend.records.rules.people import person_of
from panelmend.records.state import Person, State

_FREE = ("records begun", "rules taken on", "person enrolled", "secret failed")
RULES = 4
"""The rules of this release. 1: the first; 2: seals, times and lots judged at both times, two persons for a
clock; 3: signed paper stands as everything else does, what may stand is what stood there; 4: a keeper is no
second person to who gave them a new code, a label is of a piece of its step. Entries before the one that
takes newer rules on are checked by those of their time."""
MAY_BE_LATE = frozenset(
    {
        "readings",
        "file kept",
        "verdict kept",
        "step signed",
        "deviation raised",
        "lot received",
        "lot moved",
        "lot opened",
        "lot issued",
        "lot returned",
        "batch mixed",
        "label seen",
        "coupon made",
        "coupon tested",
        "lot scrapped",
        "lot corrected",
        "re-test reported",
    }
)
"""What may be entered for an earlier time, with its reason. Everything else is so when it is entered."""


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
    entered = now(state, entry) if state.rules >= 2 else entry.entered
    late = seconds_between(entry.at, entered) > LATE_AFTER
    if late and not entry.late.strip():
        raise LATE(f"it was at {entry.at}, entered at {entry.entered}")
    if state.rules >= 2 and late and entry.what.kind not in MAY_BE_LATE:
        raise NOT_LATE(f"{said(entry.what.kind)}, for {entry.at}")


def may(state: State, entry: e.Entry, right: Right) -> None:
    """See that a person has a role that may, and its authorisation in force. Raises Refused."""
    today = state.day(now(state, entry))
    key = (entry.by, action(entry.what), state.day(entry.at), today)
    if key in state.cleared:
        return
    person = person_of(state, entry.by)
    if not person.secret:
        raise NOBODY(f"{entry.by} has not enrolled")
    roles = person.roles & right.roles
    if not roles:
        wanted = " or ".join(sorted(r.value for r in right.roles)) or "nobody"
        raise NO_RIGHT(f"{said(action(entry.what))}: {wanted}; {person.name} is {_roles(person)}")
    for role in roles:
        scope = right.scopes.get(role)
        in_force = scope is None or person.authorised.get(scope, "") >= today.isoformat()
        if in_force and then(state, entry, role, scope):
            state.cleared.add(key)
            return
    needed = " or ".join(sorted({right.scopes[r].value for r in roles if r in right.scopes})) or "the role"
    raise NO_AUTHORISATION(f"{person.name}: {needed} on {today} and on {state.day(entry.at)}")


def then(state: State, entry: e.Entry, role: Role, scope: Scope | None) -> bool:
    """Whether a person had a role and its authorisation on the day of which they enter something."""
    if state.rules < 2:
        return True
    held = state.people[entry.by].since
    day = state.day(entry.at)
    asked = [role.value, *([f"scope {scope.value}"] if scope is not None else [])]
    return all(x in held and state.day(held[x]) <= day for x in asked)


def _roles(person: Person) -> str:
    return ", ".join(sorted(r.value for r in person.roles)) or "without a role"


def _rules(state: State, entry: e.Entry, what: e.RulesTaken) -> None:
    if what.rules > RULES:
        raise UNKNOWN_KIND(f"rules {what.rules}; this release knows {RULES}")
    if what.rules <= state.rules:
        raise MALFORMED(f"rules {what.rules} after rules {state.rules}")
    person_of(state, entry.by)


def _begun(state: State, entry: e.Entry, what: e.Begun) -> None:
    if entry.by != what.person:
        raise MALFORMED("the first keeper begins the records")


_RULES: dict[type, Callable[[State, e.Entry, Any], None]] = {
    e.Begun: _begun,
    e.RulesTaken: _rules,
    **people.RULES,
    **doing.RULES,
    **ending.RULES,
    **paper.RULES,
    **stock.RULES,
    **bench.RULES,
    **coupons.RULES,
}
