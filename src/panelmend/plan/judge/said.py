"""Values in the words of the judge, in the units of whoever reads them."""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import datetime, timedelta, timezone

from panelmend import units
from panelmend.plan.judge.fault import length, length_up

MOST_DIGITS = 4
_VIEW: ContextVar[str] = ContextVar("view of the judge", default="mm")


@contextmanager
def in_units(view: str) -> Iterator[None]:
    """Within it, words are written for ``view`` "mm" or "in"."""
    token = _VIEW.set(view)
    try:
        yield
    finally:
        _VIEW.reset(token)


def apart(kelvins: float, *, decimals: int = 0, signed: bool = False) -> str:
    """How far two temperatures lie apart [K], as people read it: in K, or in F where the reader's units are
    inches."""
    inch = _VIEW.get() == "in"
    value = kelvins * 1.8 if inch else kelvins
    return f"{value:{'+' if signed else ''}.{decimals}f} {'F' if inch else 'K'}"


def show(value: float, kind: str, *, unit: str = "", decimals: int | None = None) -> str:
    """A value [SI] as people read it, with its unit. Every pressure here is a vacuum, its limit or the air
    it is taken from, and is written as the gauges of the trade show it. Every time is in minutes, as cure
    cycles are written: hours beside them are misread."""
    kind = "vacuum" if kind == "pressure" else kind
    unit = "min" if kind == "time" and not unit else unit
    return units.show(value, kind, _VIEW.get(), unit=unit, decimals=decimals)


def heat_hidden(seconds: float, before: float, after: float, limit: float) -> str:
    """Of a thermocouple that has no reading for a time [s] between two readings [K], in which it can have
    passed a limit [K]."""
    sides = [show(x, "temperature", decimals=1) for x in (before, after)]
    return (
        f"has no reading for {length_up(seconds)}, {sides[0]} before and {sides[1]} after: that it kept to "
        f"{show(limit, 'temperature', decimals=1)} is not shown, a blanket fully on could have passed it"
    )


def lengths_apart(shown: float, limit: float, digits: int = 0) -> tuple[str, str]:
    """Two lengths of time [s] in words, of which one does not keep to the other: with as many digits as it
    takes to see that, ``digits`` [1] at least, and both in the unit of the limit where the coarse ones of
    :func:`length` read alike."""
    words = length(shown), length(limit)
    name, unit = ("s", 1.0) if limit < 120.0 else ("min", 60.0) if limit < 86400.0 else ("h", 3600.0)
    coarse = shown < 120.0 <= limit and round(shown) >= 120  # "120 s" beside "2 min"
    if digits or coarse or (shown < 86400.0 <= limit and round(shown / 60.0) >= 1440):
        words = ("", "")
    for more in range(digits, MOST_DIGITS + 1):
        if words[0] != words[1]:
            return words
        words = f"{shown / unit:.{more}f} {name}", f"{limit / unit:.{more}f} {name}"
    for more in (3, 6):  # to the millisecond, and to what still counts as too short
        if words[0] == words[1]:
            words = f"{shown:.{more}f} s", f"{limit:.{more}f} s"
    return words


def by_utc(offset: timedelta) -> str:
    """How a clock stands to UTC, such as "UTC+02:00"."""
    return f"UTC{datetime(2000, 1, 1, tzinfo=timezone(offset)).isoformat()[19:]}"


def time_left(seconds: float) -> str:
    """A time until something happens [s], as people read it: never more than there is. Below two minutes in
    seconds."""
    whole = math.floor(round(seconds, 6))
    return f"{whole} s" if whole < 120 else f"{whole // 60} min"
