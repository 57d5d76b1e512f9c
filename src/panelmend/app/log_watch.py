"""What was read from another clock than the logger's, and what the logger was set to, as people type it."""

from __future__ import annotations

import contextlib
from collections.abc import Sequence
from datetime import date, datetime, time, timedelta

from panelmend.document.approved import ApprovedData, Cure
from panelmend.errors import InputError
from panelmend.plan.judge.approved import recipe_of
from panelmend.plan.judge.rules_clock import WatchedDwell
from panelmend.units import read as read_quantity

NO_DAY = date(2000, 1, 1)  # of a time of day without a date
MOST_SET_TO = 3600.0  # s


def dwell_names(data: ApprovedData, cure: Cure) -> tuple[str, ...]:
    """The dwells of a cure by the names they have in the verdict."""
    return tuple(s.name for s in recipe_of(data, cure).dwells())


def watched_of(text: str, names: Sequence[str]) -> WatchedDwell:
    """A dwell by a watch on the wall as typed: when the slowest was in the band and when it was ended, with
    the name of the dwell before them where the cure has several (``names``). Times of day without a date are
    those of one day, or of a night.

    Raises:
        InputError: no two times, or no dwell of that name.
    """
    parts = [p.strip() for p in text.split(";")]
    name = parts.pop(0) if len(parts) == 3 else (names[0] if len(names) == 1 else "")
    if len(parts) != 2 or name not in names:
        first = f"{names[0]}; " if len(names) > 1 else ""
        raise InputError(
            "not a dwell timed by a clock on the wall",
            read=repr(text)[:80],
            expected=f'when the slowest was in the band; when the dwell ended, such as "{first}10:02; 12:06" '
            f"(dwells of this cure: {', '.join(names) or 'none'})",
        )
    began, ended = (_by_the_watch(p) for p in parts)
    if began.date() == ended.date() == NO_DAY and ended <= began:
        ended += timedelta(days=1)
    return WatchedDwell(name, began, ended)


def watched_all(texts: Sequence[str], names: Sequence[str]) -> tuple[WatchedDwell, ...]:
    """Several of them, each dwell once. Raises InputError."""
    made = tuple(watched_of(x, names) for x in texts)
    for name in names:
        if sum(w.name == name for w in made) > 1:
            raise InputError("the same dwell is timed twice", read=name, expected="each dwell once")
    return made


def _by_the_watch(text: str) -> datetime:
    made: datetime | None = None
    if ":" in text:
        with contextlib.suppress(ValueError):
            made = datetime.combine(NO_DAY, time.fromisoformat(text))
        with contextlib.suppress(ValueError):
            made = made or datetime.fromisoformat(text)
    if made is None or made.tzinfo is not None:
        raise InputError(
            "not a time read from a clock",
            read=repr(text)[:40],
            expected="such as 10:02, or 2026-11-25 10:02",
        )
    return made


def set_to_of(text: str) -> float | None:
    """The time between readings that the logger was set to [s] as typed; None for nothing typed. Raises
    InputError."""
    if not text.strip():
        return None
    made = read_quantity(text, "time")
    if not 0.0 < made <= MOST_SET_TO:
        raise InputError(
            "not a logger's interval",
            read=repr(text)[:40],
            expected=f"more than nothing, up to {MOST_SET_TO / 3600:g} h, such as 30 s",
        )
    return made
