"""A header with one cell fewer than its rows: which column has no name."""

from __future__ import annotations

import re
from collections.abc import Sequence

from panelmend.curelog.clocks import TIME_NAME
from panelmend.curelog.numerals import number_in_cell
from panelmend.curelog.roles import unit_word
from panelmend.curelog.stamps import halves, looks_like
from panelmend.errors import ReadingError
from panelmend.units import KINDS

_ELSEWHERE = re.compile(r"(?i)^(datum|uhr|fecha|heure|hor[ao]|ora|tid|tijd|aika|czas|[čc]as|klocka)\b")


def nameless(names: Sequence[str], width: int, sample: Sequence[Sequence[str]], decimal: str) -> int:
    """Which of ``width`` columns has no name, from 0; -1 where that is not certain, so that no name is used.

    A name over the wrong column credits readings to the wrong thermocouple, so that only what is certain is
    taken: the name of the time stands over the first part of a time in several columns; over the time and not
    over a counter before it; the last column holds no numbers.

    Args:
        names: one less than ``width``.
        sample: rows of cells, all ``width`` wide.

    Raises:
        ReadingError: it is not certain, and no stamp identifies the column of the time without its name.
    """
    columns = [[c.strip() for c in column] for column in zip(*sample, strict=True)]
    if not any(columns[-1]):
        return width - 1
    stamped = [_stamped(c) for c in columns]
    timed = [bool(TIME_NAME.search(n) or _ELSEWHERE.search(n)) for n in names]
    first = stamped.index(True) if any(stamped) else -1
    if first == 0 and timed[0]:
        parts = next((i for i, s in enumerate(stamped) if not s), width)
        bare = [i for i in range(1, min(parts, len(names))) if not timed[i]]
        if len(bare) == 1:
            return bare[0]
    if first == 1 and timed[0] and not timed[1]:
        return 0
    if not any(number_in_cell(c, decimal) == number_in_cell(c, decimal) for c in columns[-1]):
        return width - 1
    if any(stamped):
        return -1
    raise ReadingError(
        "the head has a cell less than the rows: which column has no name is not certain",
        read=" ".join(names)[:80],
        expected=f"{width} names",
        todo="export the log again with a name for each column",
    )


def check_commas(head: Sequence[Sequence[str]], sample: Sequence[Sequence[str]]) -> None:
    """Refuse rows (cells between commas) whose decimal mark is a comma too.

    Raises:
        ReadingError: twice as many cells as names, and every second one nothing but digits, as
            many in each row.
    """
    width = len(sample[0])
    columns = list(zip(*sample, strict=True))
    behind = columns[2 if width % 2 else 1 :: 2]
    names = (width + 1) // 2
    if names < 2 or not any(len([c for c in row if c.strip()]) == names for row in head):
        return
    if any("." in c for row in sample for c in row[1:]):
        return
    if all(c.isdigit() for column in behind for c in column) and all(
        len(set(map(len, column))) == 1 for column in behind
    ):
        raise ReadingError(
            "commas stand between the cells and before the decimals: which is which, nothing tells",
            read=",".join(sample[0])[:60],
            expected="semicolons or tabs between cells, or quotes about them",
            todo="export the log again with another separator, or with decimal points",
        )


def unitless(units: Sequence[str], sample: Sequence[Sequence[str]]) -> int:
    """Which column has no unit in a row of units with a cell less than the rows, from 0: the first, where its
    stamps could not be degrees or a pressure, else the last."""
    told = unit_word(units[0])
    no_time = any(told in KINDS[kind].units for kind in ("temperature", "pressure"))
    return 0 if no_time and _stamped([r[0].strip() for r in sample]) else len(units)


def _stamped(cells: Sequence[str]) -> bool:
    filled = [c for c in cells if c]
    return bool(filled) and (halves(filled) or sum(bool(looks_like(c)) for c in filled) >= 0.9 * len(filled))
