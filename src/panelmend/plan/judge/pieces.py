"""Long columns processed piece by piece, so that a log of a million rows needs no second copy."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from panelmend.plan.judge.fault import BoolArray
from panelmend.plan.judge.log import FloatArray

PIECE = 1 << 16  # samples looked at together


def pieces(begin: int, end: int) -> Iterator[slice]:
    """The places from ``begin`` to ``end``, the last left out, [1] in pieces."""
    for a in range(begin, end, PIECE):
        yield slice(a, min(a + PIECE, end))


def place_of_most(of: Callable[[slice], FloatArray], begin: int, end: int) -> int | None:
    """The first place [1] from ``begin`` to ``end``, the last left out, at which what ``of`` gives for a
    piece (n,) [any unit] is greatest; None where nothing is known."""
    best: tuple[float, int] | None = None
    for part in pieces(begin, end):
        values = of(part)
        known = np.isfinite(values)
        if not known.any():
            continue
        at = int(np.argmax(np.where(known, values, -np.inf)))
        if best is None or values[at] > best[0]:
            best = (float(values[at]), part.start + at)
    return None if best is None else best[1]


def place_of_least(values: FloatArray, within: BoolArray) -> int | None:
    """The first place [1] within a mask (n,) at which values (n,) [any unit] are least; None where none is
    known."""
    return place_of_most(lambda part: np.where(within[part], -values[part], np.nan), 0, values.size)


def last_of(mask: BoolArray) -> int | None:
    """The last place [1] at which a mask (n,) holds; None where it never does."""
    at = mask.size - 1 - int(np.argmax(mask[::-1])) if mask.size else -1
    return at if at >= 0 and mask[at] else None
