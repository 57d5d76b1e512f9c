"""Whether a job's panel is the other hand of its entry, and the typed document turned to it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeVar

from panelmend.document.fault import fault_at
from panelmend.document.faults import faults_of
from panelmend.document.model import Document
from panelmend.document.reader import refusal, typed
from panelmend.document.wording import shown
from panelmend.materials.quantities import Typed
from panelmend.shelves.entry import ShelfEntry
from panelmend.shelves.job import ShelvedJob
from panelmend.shelves.mirror import has_a_hand, mirrored_data, mirrored_panel

T = TypeVar("T", bound=Typed)


@dataclass(frozen=True)
class Turn:
    """What is turned to the other hand: the panel, by its entry, and the data."""

    panel: ShelfEntry | None
    data: bool


def hand_of(job: ShelvedJob) -> Turn | None:
    """Whether panel or data of a job are the other hand of their entries."""
    use, at = job.head.use, ("use", "hand")
    panel = next(iter(job.entries.get("panels", [])), None)
    data = next(iter(job.entries.get("data", [])), None)
    typed_hand = panel.head.hand if panel is not None else ""
    data_hand = data.head.hand if data is not None else ""
    hand = use.hand or typed_hand
    if use.hand and panel is not None and not typed_hand:
        words = f"{panel.words} has no hand"
        job.wrong(at, words, shown(use.hand), "no hand here, or one in the entry")
        return None
    if data is not None and data_hand in ("left", "right") and not hand:
        words = f"{data.words} is drawn for the {data_hand} hand, and nothing says which hand this panel is"
        job.wrong(("use",), words, "no hand", 'hand = "left" or "right" under [use]')
        return None
    turned = panel is not None and hand != typed_hand
    if panel is not None and turned and panel.head.other_hand is None:
        words = f"{panel.words} says nothing of its other hand"
        wanted = "other_hand = { part_number = ..., name = ... } in the entry"
        job.wrong(at, words, shown(use.hand), wanted)
        return None
    data_turned = data_hand in ("left", "right") and data_hand != hand
    return Turn(panel if turned else None, data_turned) if turned or data_turned else None


def typed_document(job: ShelvedJob, turn: Turn | None, *, whole: bool) -> Document:
    """The typed document, turned to the other hand where that is asked for."""
    name = job.opened.name
    if turn is None:
        return typed(job.raw, list(job.found), lambda: job.standing, name, whole=whole)
    document = typed(job.raw, list(job.found), lambda: job.standing, name, whole=False)
    data = mirrored_data(document.data) if turn.data else document.data
    for path in job.answered if turn.data else ():  # to a request that shows the panel as it lies there
        data = _with_value_typed(data, document.data, path)
    if turn.panel is not None and not turn.data and _hand_is_open(job) and has_a_hand(data):
        words = "the data does not say for which hand its ply angles are drawn"
        wanted = 'hand = "left", "right" or "both" in the entry of the data'
        todo = "look it up in the manual: a wrong guess turns +45 into -45"
        raise refusal(
            [fault_at(("use", "hand"), words, shown(job.head.use.hand), wanted, todo)], job.standing, name
        )
    panel = document.panel
    if turn.panel is not None and turn.panel.head.other_hand is not None:
        # its serial and the repairs in it are the job's own, in its own axes
        panel = mirrored_panel(panel, turn.panel.head.other_hand)
    document = document.model_copy(update={"panel": panel, "data": data})
    if whole:
        found = faults_of(document)
        if found:
            raise refusal(found, job.standing, name)
    return document


def _hand_is_open(job: ShelvedJob) -> bool:
    """Whether nothing says for which hand the data is drawn."""
    entry = next(iter(job.entries.get("data", [])), None)
    return entry is None or not entry.head.hand


def _with_value_typed(turned: T, typed_: T, path: tuple[str, ...]) -> T:
    """The turned data with the value at a path as it was typed."""
    name, *rest = path
    here = getattr(typed_, name)
    if rest and getattr(turned, name) is not None:
        here = _with_value_typed(getattr(turned, name), here, tuple(rest))
    return turned.model_copy(update={name: here})
