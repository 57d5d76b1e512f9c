"""What each kind of entry comes to: one table."""

from __future__ import annotations

from panelmend.records import events as e
from panelmend.records.state import coupons, jobs, people, stock
from panelmend.records.state.whole import State

PEOPLE = frozenset(people.TAKE)
"""Entries after which rights are looked at anew."""
TAKE = {**people.TAKE, **jobs.TAKE, **stock.TAKE, **coupons.TAKE}


def take_entry(state: State, entry: e.Entry, hashed: str) -> None:
    """Take an entry that the rules let pass."""
    state.number, state.head = entry.number, hashed
    state.entered.append(entry.entered)
    state.latest = max(state.latest, entry.entered)
    if entry.behind:
        state.behind.append(entry.number)
    state.by.setdefault(entry.by, []).append(entry.number)
    if entry.by in state.people and not isinstance(entry.what, e.Failed):
        state.people[entry.by].failures = 0  # a right secret was given
    if type(entry.what) in PEOPLE:
        state.cleared.clear()
    TAKE[type(entry.what)](state, entry, entry.what)
