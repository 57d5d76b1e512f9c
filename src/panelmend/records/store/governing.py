"""Whether a file is the copy that governs before anything is appended to it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from panelmend.records import events as e
from panelmend.records.refusals import CUT, NOT_GOVERNING
from panelmend.records.state import State
from panelmend.records.store import copies
from panelmend.records.store.heads import Draft


def must_govern(path: Path, state: State, drafts: Sequence[Draft], hash_of: Callable[[int], str]) -> None:
    """See that this file is the copy that governs, not an older one put in its place.

    Args:
        path: the file.
        state: at its head.
        drafts: what is to be appended.
        hash_of: the hash of an entry by its number.

    Raises:
        Refused: it does not govern, or entries that were written in it are gone.
    """
    if not state.governs:
        return
    number, head = copies.last_noted(path)
    if number > state.number or (number == state.number and head and head != state.head):
        raise CUT(f"{path.name} ends at entry {state.number}; entry {number} was written in it")
    if head and 0 < number < state.number and (there := hash_of(number)) != head:
        raise CUT(f"entry {number} of {path.name} is {there[:16]}; {head[:16]} was written in it")
    lost = all(
        isinstance(d.what, e.Failed) or (isinstance(d.what, e.CopyGoverns) and d.what.lost) for d in drafts
    )
    if not lost and not copies.governs(path, state.governs):
        raise NOT_GOVERNING(str(path))
