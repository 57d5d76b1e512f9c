"""Who may do what: one table. What stands in no row is refused to everybody."""

from __future__ import annotations

from dataclasses import dataclass

from panelmend.records import events as e
from panelmend.records.events import Meaning, Role, Scope


@dataclass(frozen=True)
class Right:
    """Roles that may; with ``scopes`` the authorisation each role needs in force."""

    roles: frozenset[Role]
    scopes: dict[Role, Scope]


T, P, E, I, S, K = (
    Role.TECHNICIAN,
    Role.PLANNER,
    Role.ENGINEER,
    Role.INSPECTOR,
    Role.STOREKEEPER,
    Role.KEEPER,
)
SCOPE_OF = {T: Scope.BONDING, P: Scope.PLANNING, E: Scope.ENGINEERING, I: Scope.INSPECTION, S: Scope.STORES}


def _may(*roles: Role, scope: Scope | None = None) -> Right:
    scopes = {r: scope or SCOPE_OF[r] for r in roles if scope is not None or r in SCOPE_OF}
    return Right(frozenset(roles), scopes)


NOBODY = Right(frozenset(), {})
"""Written by the records themselves, on no person's word."""

RIGHTS: dict[str, Right] = {
    "records begun": NOBODY,
    "rules taken on": NOBODY,
    "person enrolled": NOBODY,
    "secret failed": NOBODY,
    "person added": _may(K),
    "code issued": _may(K),
    "roles set": _may(K),
    "person removed": _may(K),
    "person authorised": _may(K),
    "authorisation ended": _may(K),
    "clock was wrong": _may(K, E),
    "copy governs": _may(K, E),
    "job opened": _may(P),
    "job revised": _may(P),
    "readings": _may(T, I),
    "paper transcribed": _may(T, P, I),
    "transcript checked": _may(P, I),
    "file kept": _may(T, I),
    "verdict kept": _may(T, I),
    "step signed: did": _may(T),
    "step signed: checked": _may(I, E),
    "step signed: accepted": _may(P, I),
    "step signed: rejected": _may(P, I),
    "deviation raised": _may(T, P, E, I),
    "deviation decided": _may(E),
    "released": _may(I, scope=Scope.RELEASE),
    "job stopped": _may(P, E),
    "lot received": _may(S),
    "lot moved": _may(S, T),
    "lot opened": _may(S, T),
    "lot issued": _may(S),
    "lot returned": _may(S),
    "lot reserved": _may(S, P),
    "batch mixed": _may(T),
    "label seen": _may(T, I),
    "coupon made": _may(T, I),
    "coupon tested": _may(T, I),
    "lot scrapped": _may(S),
    "lot corrected": _may(S),
    "re-test reported": _may(S, I),
    "re-test taken on": _may(E),
    "instrument known": _may(S, I),
    "least stock set": _may(S, P),
}


def action(event: e.Event) -> str:
    """The row an event falls under."""
    if isinstance(event, e.StepSigned):
        return f"{event.kind}: {event.signature.meaning.value}"
    return event.kind


def said(text: str) -> str:
    """A kind or an action as people read it: an old word of the log by today's."""
    return text.replace("transcript checked", "paper checked")


ACTIONS = tuple(
    f"{kind}: {m.value}" if kind == "step signed" else kind
    for kind in e.KINDS
    for m in (Meaning if kind == "step signed" else (Meaning.DID,))
)
"""Every action there is; the table has a row for each and no other."""
