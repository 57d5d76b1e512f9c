"""Cells as numbers and times; anything else counts as missing, and is reported."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Sequence

import numpy as np

from panelmend.curelog.cells import Block
from panelmend.curelog.readas import TimeAs
from panelmend.curelog.roles import same_unit, unit_word
from panelmend.curelog.stamps import alike_stamps, looks_like, read_stamps
from panelmend.plan.judge.log import FloatArray
from panelmend.units import KINDS

MISSING = frozenset(
    ("", "nan", "na", "n/a", "#n/a", "null", "none", "-", "--", "---", "----", "-----", "*", "***", "?")
)
_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?", re.ASCII)
_TRAIL = re.compile(r"\s*(°\s?[CFK]|deg\s?[CFK]|[CFKV%]|inHg|kPa|mbar|psi|Pa|W|kW|V|A)\s*$")
_FLAGGED = re.compile(r"[^\w\s.,+-]{0,3}\s*([+-]?[\d.,]+)[^\d]{0,8}", re.ASCII)
# other letters behind a reading, such as A, are marks (of an alarm) that do not make it another reading
MEASURED = frozenset((*KINDS["temperature"].units, *KINDS["pressure"].units))
OVERLOAD = 1e30  # instruments write +-9.9E+37 and the like for an input beyond its range


def number_in_cell(text: str, decimal: str = ".", thousands: str = "") -> float:
    """A cell as a number [its own unit]; NaN for anything else. A unit behind the number is allowed."""
    text = text.strip().strip("'").replace("\u2212", "-").replace("\u00a0", " ")
    if len(text) > 40:
        return math.nan
    if thousands:
        text = text.replace(thousands, "")
    if decimal == ",":
        if "." in text:
            return math.nan
        text = text.replace(",", ".")
    if not _NUMBER.fullmatch(text):
        text = _TRAIL.sub("", text)
        if not _NUMBER.fullmatch(text):
            return math.nan
    value = float(text)
    return value if abs(value) < OVERLOAD else math.nan


def flagged_number(text: str, decimal: str = ".", thousands: str = "") -> float:
    """The number [its own unit] of a cell with a mark, such as that of an alarm, that keeps it from being
    read as a number: "95.0 H", ">95.0"; NaN for any other cell."""
    text = text.strip()
    if len(text) > 40 or not math.isnan(number_in_cell(text, decimal, thousands)):
        return math.nan
    flagged = _FLAGGED.fullmatch(text)
    return number_in_cell(flagged[1], decimal, thousands) if flagged is not None else math.nan


def usable_cell(cell: str, decimal: str) -> bool:
    """A cell that is a number, a time stamp or a mark for a missing reading."""
    text = cell.strip()
    if text.lower() in MISSING or number_in_cell(text, decimal) == number_in_cell(text, decimal):
        return True
    return bool(looks_like(text))


def cell_unit(text: str) -> str:
    """The unit behind the number of a cell, "" for none: ``cell_unit("72.5 F")`` is "F"."""
    m = _TRAIL.search(text.strip().strip("'"))
    return unit_word(m[1]) if m is not None else ""


def numbers(
    cells: Sequence[str], decimal: str, thousands: str, words: Counter[str], unit: str = ""
) -> FloatArray:
    """Cells as numbers [as written], shape (n,); cells that are no number and no mark for missing go to
    ``words``, and with them numbers that bear another unit than ``unit``."""
    fast = list(cells)
    if decimal == "," or thousands:
        joined = "\n".join(fast)
        if decimal == "," and "." in joined and thousands != ".":
            return _slow(cells, decimal, thousands, words, unit)
        if thousands:
            joined = joined.replace(thousands, "")
        fast = joined.replace(",", ".").split("\n") if decimal == "," else joined.split("\n")
    try:
        out = np.fromiter(map(float, fast), np.float64, len(fast))
    except ValueError:
        return _slow(cells, decimal, thousands, words, unit)
    if (np.abs(out) < OVERLOAD).all() and "_" not in "".join(fast):  # float() reads 1_000
        return out
    return _slow(cells, decimal, thousands, words, unit)


def _slow(cells: Sequence[str], decimal: str, thousands: str, words: Counter[str], unit: str) -> FloatArray:
    seen: dict[str, float] = {}
    out = np.empty(len(cells))
    for at, cell in enumerate(cells):
        value = seen.get(cell)
        if value is None:
            value = number_in_cell(cell, decimal, thousands)
            if unit and (other := cell_unit(cell)) in MEASURED and not same_unit(other, unit):
                value = math.nan  # nobody converts it: which of the two is right, the file does not say
            if len(seen) < 100_000:
                seen[cell] = value
        out[at] = value
        if value != value and cell.strip().lower() not in MISSING and len(words) < 1000:
            words[cell.strip()[:20]] += 1
    return out


def block_times(block: Block, how: TimeAs, decimal: str, thousands: str) -> FloatArray:
    """The times of the rows of a block (n,) [s], as :func:`read_times` gives them."""
    if block.plain is not None and len(how.columns) == 1 and how.form in ("clock", "time of day"):
        texts = block.plain.texts(how.columns[0])
        what = "clock" if how.form == "clock" else "time"
        made = alike_stamps(texts, what, how.order) if texts is not None else None
        if made is not None:
            return made
    return read_times([block.column(i) for i in how.columns], how, decimal, thousands)


def read_times(columns: Sequence[Sequence[str]], how: TimeAs, decimal: str, thousands: str) -> FloatArray:
    """The times of rows (n,) [s]: since 1970 for a clock, since midnight or the start otherwise; else NaN."""
    cells = columns[0] if len(columns) == 1 else joined_times(columns)
    if how.form == "clock":
        return read_stamps(cells, "clock", how.order)
    if how.form == "time of day":
        return read_stamps(cells, "time", how.order)
    if how.form == "elapsed" and any(":" in c for c in cells[:20]):
        return _elapsed(cells, how.unit)
    values = numbers(cells, decimal, thousands, Counter())
    if how.form == "serial":
        return (values - 25569.0) * 86400.0
    scale = 1e-3 if how.unit == "ms" else KINDS["time"].units[how.unit][0]
    return values * scale


def joined_times(columns: Sequence[Sequence[str]]) -> list[str]:
    """The parts of a time that stand in several columns as one text; "" where one is missing: a time without
    its am or pm, or a date without its time, is another moment."""
    rows = ([x.strip() for x in row] for row in zip(*columns, strict=True))
    return [" ".join(row) if all(row) else "" for row in rows]


def two_parts(cell: str) -> bool:
    """A time of two parts, such as 12:30: hours and minutes, or minutes and seconds."""
    return cell.count(":") == 1


def _elapsed(cells: Sequence[str], unit: str) -> FloatArray:
    """Times from the start (n,) [s]; ``unit`` is that of the first of two parts, "h" or "min". If the unit
    was not given, they are not read: a minute taken for an hour makes a dwell sixty times as long."""
    read = read_stamps(cells, "time", "ymd")
    scale = {"h": 1.0, "min": 1.0 / 60.0}.get(unit, math.nan)
    return np.where([two_parts(c) for c in cells], read * scale, read)


def plain_table(block: Block, used: Sequence[int], decimal: str = ".") -> FloatArray | None:
    """Columns of plain numbers [as written] with a decimal point or comma read at once, shape (n, used); None
    for others."""
    if not block.lines:
        return None
    quick = block.plain.numbers(used, decimal) if block.plain is not None else None
    if quick is not None or decimal != ".":
        return quick
    try:
        table = np.loadtxt(block.lines, delimiter=block.separator, usecols=list(used), comments=None, ndmin=2)
    except ValueError:
        return None
    return table if table.shape[0] == len(block.lines) and not (np.abs(table) >= OVERLOAD).any() else None
