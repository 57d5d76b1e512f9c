"""One question about what was typed, and how a check on several fields asks it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field

from panelmend.document.bounds import UNIT_ROUNDING, plainly

PRACTICE = "common practice, no source"
MEMORY = "handbook values, widened, from memory"


@dataclass(frozen=True)
class Asked:
    """One question: ``key`` is what a confirmation names, ``value`` [SI] what it must repeat.

    Where ``text`` is given, it is that which must be repeated, as it was typed.
    """

    key: str
    place: str
    words: str
    value: float
    kind: str
    text: str = ""


@dataclass(frozen=True)
class Usual:
    """A value and what the other fields leave usual for it: outside of that somebody is asked.

    ``key`` is the field, and after a last point what it was compared with; "usual" where that is a range.
    ``what`` says in words what the value is, ``value`` [SI] is None where it was not given. A share of two
    values is of kind "ratio", a count of kind "". ``low`` and ``high`` [SI] are the ends of what is usual,
    ``source`` says where they come from, ``because`` what the value was compared with, in words.
    """

    key: str
    what: str
    value: float | None
    kind: str
    low: float = -math.inf
    high: float = math.inf
    source: str = field(kw_only=True)
    because: str = ""

    def asked(self, view: str) -> Iterator[Asked]:
        """The question, in the reader's units, where the value lies outside."""
        value, low, high = self.value, self.low, self.high
        if value is None or low - UNIT_ROUNDING * abs(low) <= value <= high + UNIT_ROUNDING * abs(high):
            return
        if self.kind == "ratio":
            value = float(f"{value:.3g}")  # computed: what is asked is what is printed
        ends = [plainly(e, self.kind, view) for e in (low, high) if math.isfinite(e)]
        if math.isfinite(low) and math.isfinite(high):
            usual = ends[0] if ends[0] == ends[1] else f"{ends[0]} to {ends[1]}"
        else:
            usual = f"{'at least' if math.isfinite(low) else 'at most'} {ends[0]}"
        words = f"{self.what} {plainly(value, self.kind, view)}; usual is {usual}"
        words += f", {self.because}" if self.because else ""
        place = self.key.rpartition(".")[0]
        # A range: the field alone, so that one confirmation of its value settles all that asks about it.
        key = place if self.key.endswith(".usual") else self.key
        yield Asked(key, place, f"{words} ({self.source})", value, self.kind)


@dataclass(frozen=True)
class Subject:
    """A table of the document whose values are weighed: where it stands, and its name, said before each.

    Args:
        at: its place, such as ``data.bag``.
        table: the model whose fields are read.
        name: said before what a value is; "" where the words need none.
        source: where its ranges come from if a row does not say.
    """

    at: str
    table: object
    name: str = ""
    source: str = field(kw_only=True)

    def value(self, field: str) -> float | None:
        """A field's value [SI], whether or not a source or place is given with it; None where it is empty."""
        given = getattr(self.table, field)
        value: float | None = getattr(given, "value", given)
        return None if value is None else float(value)

    def row(
        self,
        key: str,
        what: str,
        value: float | None,
        kind: str,
        low: float = -math.inf,
        high: float = math.inf,
        *,
        source: str = "",
        because: str = "",
    ) -> Usual:
        """A value made from fields of the table; arguments as those of :class:`Usual`, key below ``at``."""
        words = f"{self.name}: {what}" if self.name else what
        return Usual(
            f"{self.at}.{key}", words, value, kind, low, high, source=source or self.source, because=because
        )

    def usual(
        self,
        field: str,
        what: str,
        kind: str,
        low: float = -math.inf,
        high: float = math.inf,
        *,
        source: str = "",
        because: str = "",
    ) -> Usual:
        """A field of the table against what is usual for it; arguments as those of :class:`Usual`."""
        value = self.value(field)
        return self.row(f"{field}.usual", what, value, kind, low, high, source=source, because=because)

    def share(
        self,
        part: str,
        whole: str,
        what: str,
        low: float,
        high: float,
        *,
        source: str = "",
        because: str = "",
    ) -> Usual:
        """One field of the table over another one, between two shares; the rest as for :class:`Usual`."""
        value = part_of_whole(self.value(part), self.value(whole))
        key = f"{part}.against_{whole}"
        return self.row(key, what, value, "ratio", low, high, source=source, because=because)


Weighed = Iterator[Usual | Asked]


def part_of_whole(part: float | None, whole: float | None) -> float | None:
    """One value over another, None where either is missing or the other is zero."""
    return None if part is None or not whole else part / whole
