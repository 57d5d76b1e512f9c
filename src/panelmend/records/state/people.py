"""What entries about people come to."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from panelmend.records import events as e
from panelmend.records.state.held import Person
from panelmend.records.state.whole import State


def _begun(s: State, n: e.Entry, w: e.Begun) -> None:
    s.records, s.zone, s.invented = w.records, w.zone, w.invented
    s.people[w.person] = Person(w.person, w.name, frozenset({e.Role.KEEPER}), w.secret, key=w.key)
    s.people[w.person].since[e.Role.KEEPER.value] = n.at
    s.secrets.add(w.secret)
    s.touch(f"person {w.person}", n.number)


def _person(s: State, n: e.Entry, w: e.PersonAdded) -> None:
    s.people[w.person] = Person(w.person, w.name, frozenset(w.roles), "", w.code, w.code_until)
    s.people[w.person].since |= {r.value: n.at for r in w.roles}
    s.touch(f"person {w.person}", n.number)


def _code(s: State, n: e.Entry, w: e.CodeIssued) -> None:
    p = s.people[w.person]
    p.secret, p.code, p.code_until = "", w.code, w.code_until
    if s.rules >= 2 and p.key:  # somebody else may sit behind the name now: authorised anew, by another
        p.authorised, p.coded_by = {}, n.by
        p.since = {r.value: n.at for r in p.roles}
    p.key = ""
    s.touch(f"person {w.person}", n.number)


def _enrolled(s: State, n: e.Entry, w: e.Enrolled) -> None:
    p = s.people[w.person]
    p.secret, p.code, p.code_until, p.failures, p.failed_at = w.secret, "", "", 0, ""
    p.key = w.key
    s.secrets.add(w.secret)
    s.touch(f"person {w.person}", n.number)


def _failed(s: State, n: e.Entry, w: e.Failed) -> None:
    p = s.people[w.person]
    p.failures, p.failed_at = p.failures + 1, n.entered
    s.touch(f"person {w.person}", n.number)


def _roles(s: State, n: e.Entry, w: e.RolesSet) -> None:
    p = s.people[w.person]
    for role in w.roles:
        if role not in p.roles:
            p.since[role.value] = n.at
    p.roles = frozenset(w.roles)
    s.touch(f"person {w.person}", n.number)


def _removed(s: State, n: e.Entry, w: e.PersonRemoved) -> None:
    p = s.people[w.person]
    p.removed, p.secret, p.code = n.number, "", ""
    s.touch(f"person {w.person}", n.number)


def _authorised(s: State, n: e.Entry, w: e.Authorised) -> None:
    p = s.people[w.person]
    if p.authorised.get(w.scope, "") < s.day(n.at).isoformat():
        p.since[f"scope {w.scope.value}"] = n.at
    p.authorised[w.scope] = w.until
    s.touch(f"person {w.person}", n.number)


def _ended(s: State, n: e.Entry, w: e.AuthorisationEnded) -> None:
    s.people[w.person].authorised.pop(w.scope, None)
    s.touch(f"person {w.person}", n.number)


def _clock(s: State, n: e.Entry, w: e.ClockWrong) -> None:
    said = f"{w.first} {w.last}"
    if s.rules >= 2 and s.said_wrong.get(said, n.by) == n.by:
        s.said_wrong[said] = n.by
        return
    s.wrong |= set(range(w.first, w.last + 1))
    s.latest = max((t for i, t in enumerate(s.entered, 1) if i not in s.wrong), default=n.entered)


def _rules(s: State, n: e.Entry, w: e.RulesTaken) -> None:
    s.rules = w.rules
    s.touch("rules", n.number)


def _governs(s: State, n: e.Entry, w: e.CopyGoverns) -> None:
    s.touch("copies", n.number)
    if w.lost and s.said_lost.get(w.token, n.by) == n.by:
        s.said_lost[w.token] = n.by
        return
    s.governs = w.token


TAKE: dict[type, Callable[[State, e.Entry, Any], None]] = {
    e.Begun: _begun,
    e.RulesTaken: _rules,
    e.PersonAdded: _person,
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
