"""The beginning of a file, to which a confirmed reading is tied: for a changed header the questions are asked
again."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence
from pathlib import Path

from panelmend.curelog.cells import open_unbuffered, rows_as_text
from panelmend.curelog.numerals import usable_cell
from panelmend.curelog.readas import ColumnAs, ReadAs
from panelmend.curelog.roles import PROCESSING, same_unit, unit_in_name, unit_word
from panelmend.curelog.rows import log_rows
from panelmend.errors import InputError

MOST = 1 << 22  # bytes
_TWICE = re.compile(r" \(\d+\)$")  # behind a name that stands twice in a head


def head_digest(lines: Sequence[str]) -> str:
    """Digest of the beginning of a file: of the lines above the samples, and behind a colon of the first
    sample."""
    parts = ("\n".join(x.rstrip() for x in part) for part in (lines[:-1], lines[-1:]))
    return ":".join(hashlib.sha256(x.encode("utf8", "replace")).hexdigest()[:32] for x in parts)


def same_names(one: str, other: str) -> bool:
    """The lines above the samples are the same; the first sample may be another."""
    return one.partition(":")[0] == other.partition(":")[0]


def text_head(path: Path, encoding: str, lines_above: int) -> str:
    """Digest of the lines above the samples of a text file and of the first sample."""
    with open_unbuffered(path) as file:
        raw = file.read(MOST) or b""
    text = raw.decode(encoding, errors="replace").removeprefix("\ufeff")
    return head_digest(
        text.replace("\r\n", "\n").replace("\r", "\n").split("\n", lines_above + 1)[: lines_above + 1]
    )


def other_head(cells: Sequence[str], columns: Sequence[ColumnAs]) -> bool:
    """A row among the samples that names channels or units other than those confirmed: the rows below it have
    another order or unit. ``cells`` of the channels, as many as ``columns``."""
    pairs = [(x.strip(), c) for x, c in zip(cells, columns, strict=True) if x.strip()]
    words = [x for x, _ in pairs]
    if any(c.unit and (u := unit_in_name(x)) and not same_unit(u, c.unit) for x, c in pairs):
        return True  # one channel alone tells as much
    if len(words) < max(2, len(columns) / 2) or any(usable_cell(x, m) for x in words for m in ".,"):
        return False
    units = [unit_word(x) for x in words]
    if all(units):
        return any(u != c.unit for u, (_, c) in zip(units, pairs, strict=True) if c.unit)
    if len(set(words)) == 1 or {x.lower() for x in words} <= PROCESSING:
        return False
    return any(x != _TWICE.sub("", c.name) for x, c in pairs)


def rows_head(rows: Sequence[list[object]], lines_above: int) -> str:
    """The same of the rows of a sheet."""
    cells = rows_as_text([list(r) for r in rows[: lines_above + 1]], ".")
    return head_digest(["\t".join(r) for r in cells])


def check_head(path: Path, how: ReadAs) -> None:
    """Check that the file begins like the one whose reading was confirmed.

    Raises:
        InputError: the file begins differently.
    """
    if not how.head:
        return
    if how.form == "sheet":
        found = rows_head(log_rows(path, how.sheet), how.lines_above)
    else:
        found = text_head(path, how.encoding, how.lines_above)
    if found != how.head:
        raise InputError(
            "the beginning of this file is not that of the file whose reading was confirmed",
            where=path.name,
            expected="the same header, column names, units and first sample",
            todo=f"look at it and confirm again: panelmend log {path.name}",
        )
