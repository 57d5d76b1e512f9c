"""Values in the words of the judge, in the units of whoever reads them."""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from panelmend import units

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


def time_left(seconds: float) -> str:
    """A time until something happens [s], as people read it: never more than there is. Below two minutes in
    seconds."""
    whole = math.floor(round(seconds, 6))
    return f"{whole} s" if whole < 120 else f"{whole // 60} min"
