"""Units and letters as a file writes them: after its numbers, in its names, in the lines above its header."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from itertools import pairwise

from panelmend.curelog.numerals import MEASURED, MISSING, cell_unit, number_in_cell
from panelmend.curelog.roles import same_unit, unit_in_name, unit_word
from panelmend.errors import ReadingError
from panelmend.units import KINDS

MOST = 0.9  # of the cells of a column that must bear a unit for it to be that of the column
_LETTER = re.compile(r"(.+?)[\s_/,.-]+([A-Za-z])")
_OF_PLACE = re.compile(r"(?i)(^|[\s_])(zone|pos|position|area|place|location|section|bay)\.?$")
_ABOVE = re.compile(
    r"(?i)\btemp\w*[ _]*(?:units?|scale)\b|\bunits?[ _]*(?:of[ _]*)?temp\w*|\btemp\w*einheit|\bunits?\b"
)


def unit_of_cells(name: str, unit_cell: str, cells: Sequence[str], decimal: str, lettered: bool) -> str:
    """The unit of a column: as its head says, else as it stands behind nine in ten of its numbers; "" where
    neither does. ``lettered``: the last letter of its name is no unit.

    Raises:
        ReadingError: most numbers bear a unit of temperature or pressure, and the head says another.
    """
    head = unit_word(unit_cell) or ("" if lettered else unit_in_name(name))
    behind = [c for c in cells if not c.strip()[-1:].isdigit()]
    numbered = (c for c in behind if number_in_cell(c, decimal) == number_in_cell(c, decimal))
    units = Counter(cell_unit(c) for c in numbered)
    del units[""]
    if not units:
        return head
    unit, count = units.most_common(1)[0]
    share = count / sum(c.strip().lower() not in MISSING for c in cells)
    if not head:
        return unit if share >= MOST else ""
    if share > 0.5 and unit in MEASURED and head in MEASURED and not same_unit(unit, head):
        raise ReadingError(
            "a channel that is written in two units",
            where=name,
            read=f"{head} in its head, {unit} behind its readings",
            todo="export the log with one unit for each channel, the same in its head",
        )
    return head


def lettered_names(names: Sequence[str]) -> set[str]:
    """Names whose last letter tells one place from another and is no unit: "TC C" beside "TC A", "Zone F"."""
    parts = {n: m for n in names if (m := _LETTER.fullmatch(n.strip())) is not None}
    stems: dict[str, set[str]] = {}
    for m in parts.values():
        stems.setdefault(m[1].strip().lower(), set()).add(m[2].upper())
    return {
        n
        for n, m in parts.items()
        if stems[m[1].strip().lower()] - {"C", "F", "K"} or _OF_PLACE.search(m[1].strip())
    }


def unit_above(lines: Sequence[str]) -> str:
    """The one temperature unit that the lines above a table name as such ("Temperature unit: F"), else ""."""
    found = set()
    for line in lines:
        m = _ABOVE.search(line)
        if m is None:
            continue
        words = re.sub(r"[\s:;,=|]+", " ", line[m.end() :]).split()[:3]
        pairs = [f"{a} {b}" for a, b in pairwise(words)]
        found |= {unit_word(w) for w in (*words, *pairs)} & set(KINDS["temperature"].units)
    return found.pop() if len(found) == 1 else ""
