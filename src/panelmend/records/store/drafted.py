"""What drafts become before they are entries: made by this release's rules, and sealed."""

from __future__ import annotations

from collections.abc import Sequence

from panelmend.records import events as e
from panelmend.records import seals
from panelmend.records.rules.check import RULES
from panelmend.records.state import State
from panelmend.records.store.heads import Draft


def with_rules(state: State, drafts: Sequence[Draft]) -> list[Draft]:
    """Take this release's rules on before the first entry that is made by them."""
    queue = list(drafts)
    if state.rules < RULES and queue:
        queue.insert(0 if state.number else 1, Draft(queue[0].by, e.RulesTaken(rules=RULES)))
    return queue


def sealed_there(state: State, entry: e.Entry, seed: bytes) -> e.Entry:
    """An entry whose signature is sealed with the person's key, in its place."""
    signature = getattr(entry.what, "signature", None)
    if signature is None or state.rules < 2:
        return entry
    made = seals.seal(seed, seals.text_of(state.records, entry.number, entry.before, entry.bare()))
    what = entry.what.model_copy(update={"signature": signature.model_copy(update={"seal": made})})
    return entry.model_copy(update={"what": what})
