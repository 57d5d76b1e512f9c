"""One question about what was typed, and how a check on several fields asks it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from panelmend.document.bounds import HAIR, plainly

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
class Reader:
    """Asks about a value that does not go with another: in the reader's units, and with a source."""

    view: str

    def about(
        self,
        key: str,
        what: str,
        value: float | None,
        kind: str,
        low: float = -math.inf,
        high: float = math.inf,
        *,
        source: str = PRACTICE,
        because: str = "",
    ) -> Iterator[Asked]:
        """A question where a value lies outside what the other field leaves usual.

        Args:
            key: the field, and after a last point what it was compared with; "usual" where that is a range.
            what: what it is, in words.
            value: SI; None where it was not given. A share of two values is of kind "ratio".
            kind: its kind of quantity, "" for a count.
            low: least that is usual, SI.
            high: most that is usual, SI.
            source: where that comes from.
            because: what it was compared with, in words.
        """
        if value is None or low - HAIR * abs(low) <= value <= high + HAIR * abs(high):
            return
        if kind == "ratio":
            value = float(f"{value:.3g}")  # computed: what is asked is what is printed
        ends = [plainly(e, kind, self.view) for e in (low, high) if math.isfinite(e)]
        if math.isfinite(low) and math.isfinite(high):
            usual = f"{ends[0]} to {ends[1]}"
        else:
            usual = f"{'at least' if math.isfinite(low) else 'at most'} {ends[0]}"
        words = f"{what} {plainly(value, kind, self.view)}; usual is {usual}"
        words += f", {because}" if because else ""
        place = key.rpartition(".")[0]
        if key.endswith(".usual"):
            key = place  # the field alone: one confirmation of its value settles all that asks about it
        yield Asked(key, place, f"{words} ({source})", value, kind)
