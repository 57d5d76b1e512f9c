"""Whole parts of the approved data of which nothing is typed: a draft until somebody says it has none."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from panelmend.document.model import Confirmation
from panelmend.errors import Finding, confirm_code, note_code
from panelmend.job.case import Case

J393 = confirm_code(
    "J393",
    "A whole part of the approved data is not typed",
    "look it up: type what the data has, each value with its place; if the data has nothing about it, say "
    "so under [[data.nothing_of]] with the place that shows it, or a named person confirms it under "
    '[[confirm]] (figure as named here, value = "nothing")',
)
J394 = note_code(
    "J394",
    "Somebody looked up a whole part of the approved data and found nothing there",
    "check that this person has read the data: the card requires nothing for this part and says where it "
    "leaves it to the data",
)
PARTS = ("preparation", "inspection", "finishing", "interruption")  # that a confirmation may name
NOTHING = "nothing"  # what a confirmation says that an absent part is


def part_words(part: str) -> str:
    """What a confirmation names."""
    return f"data.{part}"


def check_absent(case: Case, part: str, asked: Sequence[str]) -> Finding:
    """What is to be said of a part of the data of which nothing is typed.

    Args:
        case: the case.
        part: name of the part, as a field of the data.
        asked: what it could order, in words.
    """
    key = part_words(part)
    for row in case.document.data.nothing_of:
        if row.part == part:
            return J394(f"{part} ({row.place})", place=key)
    who = _confirmed(case, key)
    if who is not None:
        return J394(f"{part}; confirmed by {who.by} on {who.on}", place=key)
    return J393(f"nothing of this part is typed: {'; '.join(asked)} ({key})", place=key)


def _confirmed(case: Case, key: str) -> Confirmation | None:
    """Who confirmed that the data has nothing of it; a practice sheet is no such person."""
    found: Iterator[Confirmation] = (
        c for c in case.document.confirm if c.figure == key and not c.sheet and c.value.strip() == NOTHING
    )
    return next(found, None)
