"""An entry to be, one that was taken, and heads as they are printed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime

from panelmend.records import events as e

HEAD_CHARACTERS = 16
Now = Callable[[], datetime]


@dataclass(frozen=True)
class Draft:
    """An entry to be: who, what, when it really was (the clock's time where it is None), why late; ``seed``
    is the person's key, which seals a signature in its place in the log."""

    by: str
    what: e.Event
    at: str | None = None
    late: str = ""
    seed: bytes | None = field(default=None, repr=False)


@dataclass(frozen=True)
class Taken:
    """An entry that was taken, with its hash."""

    entry: e.Entry
    hash: str


def printed_head(number: int, head: str) -> str:
    """A head as it is printed: number and the first 16 characters of the hash."""
    return f"{number}-{head[:HEAD_CHARACTERS]}"


def utc_now() -> datetime:
    """The machine's clock."""
    return datetime.now(UTC)
