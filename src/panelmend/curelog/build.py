"""From cells to the log: numbers, times, units; what could not be used is counted and said."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Sequence
from datetime import datetime, timedelta

import numpy as np

from panelmend.curelog.cells import Block
from panelmend.curelog.longform import Widener
from panelmend.curelog.readas import FRACTIONS, ColumnAs, ReadAs, TimeAs
from panelmend.curelog.stamps import read_stamps
from panelmend.errors import ReadingError
from panelmend.plan.judge.log import Channel, CureLog, FloatArray, Role
from panelmend.units import KINDS

MISSING = frozenset(
    ("", "nan", "na", "n/a", "#n/a", "null", "none", "-", "--", "---", "----", "-----", "*", "***", "?")
)
_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?", re.ASCII)
_TRAIL = re.compile(r"\s*(°\s?[CFK]|deg\s?[CFK]|[CFKV%]|inHg|kPa|mbar|psi|Pa|W|kW|V|A)\s*$")
_UNIX = datetime(1970, 1, 1)
MOST_SAMPLES = 30_000_000
OVERLOAD = 1e30  # instruments write +-9.9E+37 and the like for an input beyond its range


def number(text: str, decimal: str = ".", thousands: str = "") -> float:
    """A cell as a number; NaN for anything else. A unit behind the number is allowed."""
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


def numbers(cells: Sequence[str], decimal: str, thousands: str, words: Counter[str]) -> FloatArray:
    """Cells as numbers, shape (n,); cells that are no number and no mark for missing go to ``words``."""
    fast = list(cells)
    if decimal == "," or thousands:
        joined = "\n".join(fast)
        if decimal == "," and "." in joined and thousands != ".":
            return _slow(cells, decimal, thousands, words)
        if thousands:
            joined = joined.replace(thousands, "")
        fast = joined.replace(",", ".").split("\n") if decimal == "," else joined.split("\n")
    try:
        out = np.fromiter(map(float, fast), np.float64, len(fast))
    except ValueError:
        return _slow(cells, decimal, thousands, words)
    if (np.abs(out) < OVERLOAD).all() and "_" not in "".join(fast):  # float() reads 1_000
        return out
    return _slow(cells, decimal, thousands, words)


def _slow(cells: Sequence[str], decimal: str, thousands: str, words: Counter[str]) -> FloatArray:
    seen: dict[str, float] = {}
    out = np.empty(len(cells))
    for at, cell in enumerate(cells):
        value = seen.get(cell)
        if value is None:
            value = number(cell, decimal, thousands)
            if len(seen) < 100_000:
                seen[cell] = value
        out[at] = value
        if value != value and cell.strip().lower() not in MISSING and len(words) < 1000:
            words[cell.strip()[:20]] += 1
    return out


def read_times(columns: Sequence[Sequence[str]], how: TimeAs, decimal: str, thousands: str) -> FloatArray:
    """The times of rows [s]: since 1970 for a clock, since midnight or the start otherwise; else NaN."""
    cells = columns[0]
    if len(columns) == 2:
        cells = [f"{a.strip()} {b.strip()}" for a, b in zip(*columns, strict=True)]
    if how.form == "clock":
        return read_stamps(cells, "clock", how.order)
    if how.form == "time of day" or (how.form == "elapsed" and _has_colon(cells)):
        return read_stamps(cells, "time", how.order)
    values = numbers(cells, decimal, thousands, Counter())
    if how.form == "serial":
        return (values - 25569.0) * 86400.0
    scale = 1e-3 if how.unit == "ms" else KINDS["time"].units[how.unit][0]
    return values * scale


def _has_colon(cells: Sequence[str]) -> bool:
    return any(":" in c for c in cells[:20])


def plain_table(block: Block, used: Sequence[int]) -> FloatArray | None:
    """Columns of plain numbers with a decimal point read at once, shape (n, used); None for others."""
    if not block.lines:
        return None
    try:
        table = np.loadtxt(block.lines, delimiter=block.separator, usecols=list(used), comments=None, ndmin=2)
    except ValueError:
        return None
    return table if table.shape[0] == len(block.lines) and not (np.abs(table) >= OVERLOAD).any() else None


class Builder:
    """Takes blocks in order and gives the log."""

    def __init__(self, how: ReadAs, name: str) -> None:
        self.how, self.name = how, name
        self.times: list[FloatArray] = []
        self.lines: list[np.ndarray[tuple[int], np.dtype[np.int64]]] = []
        self.values: list[list[FloatArray]] = [[] for _ in how.columns]
        self.words: list[Counter[str]] = [Counter() for _ in how.columns]
        self.left_out: list[tuple[int, str]] = []
        self.short: list[int] = []
        self.left_count = self.short_count = self.count = self.odd_blocks = 0
        self.widener = Widener(how.long) if how.long is not None else None

    def take(self, block: Block) -> None:
        """Add a block of rows."""
        self._take(block if self.widener is None else self.widener.take(block))

    def _take(self, block: Block) -> None:
        self.short_count += len(block.short)
        self.short += block.short[: max(0, 8 - len(self.short))]
        self._leave(block.strange)
        if not block.numbers:
            return
        how = self.how
        table = self._table(block)
        times = read_times([block.column(i) for i in how.time.columns], how.time, how.decimal, how.thousands)
        if how.time.fraction >= 0:
            part = numbers(block.column(how.time.fraction), how.decimal, how.thousands, Counter())
            part *= FRACTIONS[how.time.fraction_unit]
            times = times + np.where((part >= 0.0) & (part < 1.0), part, np.nan)
        good = np.isfinite(times) & (np.abs(times) < 1e11)
        every = bool(good.all())
        if not every:
            bad = np.flatnonzero(~good)
            sample = [(block.numbers[i], " ".join(c[i] for c in block.columns)[:60]) for i in bad[:20]]
            self._leave(sample, len(bad))
        kept = np.flatnonzero(good).tolist()
        self.count += len(kept)
        if self.count > MOST_SAMPLES:
            raise ReadingError(f"more than {MOST_SAMPLES} samples", where=self.name, todo="cut the log")
        self.times.append(times[good])
        self.lines.append(np.array(block.numbers, np.int64)[good])
        for at, column in enumerate(how.columns):
            if table is not None:
                self.values[at].append(table[good, at])
                continue
            cells = block.columns[column.index]
            if not every:
                cells = [cells[i] for i in kept]
            self.values[at].append(numbers(cells, how.decimal, how.thousands, self.words[at]))

    def _table(self, block: Block) -> FloatArray | None:
        """All channels of a block of plain numbers, shape (n, channels); None for any other block."""
        how = self.how
        if not block.lines or how.decimal != "." or how.thousands or self.odd_blocks > 2:
            return None
        table = plain_table(block, [c.index for c in how.columns])
        self.odd_blocks += table is None
        return table

    def _leave(self, lines: list[tuple[int, str]], count: int | None = None) -> None:
        self.left_count += len(lines) if count is None else count
        self.left_out += lines[: max(0, 5 - len(self.left_out))]

    def finish(self, digest: str, *, whole: bool = True) -> CureLog:
        """The log of everything taken, ``whole`` when nothing more comes; ReadingError when there is nothing
        to judge."""
        if self.widener is not None and whole:
            self._take(self.widener.rest())
        if not self.count:
            raise ReadingError(
                "no line could be read as a sample",
                where=self.name,
                read=repr(self.left_out[0][1]) if self.left_out else "nothing",
                todo="propose how to read it again from this file",
            )
        times = np.concatenate(self.times)
        notes = self._notes()
        if self.how.time.form == "time of day":
            turns = np.concatenate([[0], np.cumsum(np.diff(times) < -43200.0)])
            times = times + turns * 86400.0
            if turns[-1]:
                notes.append(f"midnight was passed {turns[-1]} times; a day was added each time")
        channels = tuple(
            Channel(c.name, c.role, c.kind, to_si(np.concatenate(v), c, self.how))
            for c, v in zip(self.how.columns, self.values, strict=True)
        )
        return CureLog(
            times - times[0],
            channels,
            started=_started(times[0], self.how),
            digest=digest,
            lines=np.concatenate(self.lines),
            stamp_step=_step(times),
            ambient=self.how.ambient,
            notes=tuple(notes),
        )

    def _notes(self) -> list[str]:
        notes = []
        if self.left_count:
            where = ", ".join(f"line {n} {t!r}" for n, t in self.left_out)
            notes.append(f"{self.left_count} lines are no samples and were left out: {where}")
        if self.short_count:
            where = ", ".join(map(str, self.short)) + (" ..." if self.short_count > len(self.short) else "")
            notes.append(
                f"{self.short_count} lines have fewer cells than the table and were set aside, "
                f"since it is not certain which reading is missing: line {where}"
            )
        for column, words in zip(self.how.columns, self.words, strict=True):
            if words:
                named = ", ".join(f"{w!r} {n} times" for w, n in sorted(words.items())[:4])
                notes.append(f"{column.name}: cells that are no number, taken as missing: {named}")
        return notes


def to_si(values: FloatArray, column: ColumnAs, how: ReadAs) -> FloatArray:
    """A column in SI; vacuum as pressure below ambient, positive [Pa]."""
    if not column.kind:
        return values
    scale, offset = KINDS[column.kind].units[column.unit]
    si = values * scale + offset
    if column.role is Role.VACUUM:
        if column.sense == "absolute":
            return how.ambient - si
        if column.sense == "below ambient, negative":
            return -si
    return si


def _started(first: float, how: ReadAs) -> str:
    if how.time.form == "elapsed":
        return ""
    zone = how.time.zone
    if how.time.form == "time of day":
        whole = round(first)
        return f"T{whole // 3600 % 24:02d}:{whole // 60 % 60:02d}:{whole % 60:02d}"
    if zone == "stamped":
        return (_UNIX + timedelta(seconds=round(first, 3))).isoformat() + "+00:00"
    if how.time.form == "epoch":
        return (_UNIX + timedelta(seconds=round(first, 3))).isoformat() + "+00:00"
    offset = "" if zone == "local" else "+00:00" if zone in ("Z", "UTC") else zone
    return (_UNIX + timedelta(seconds=round(first, 3))).isoformat() + offset


def _step(times: FloatArray) -> float:
    """The smallest step the stamps can show [s]: 60 when all are whole minutes, 1 for whole seconds."""
    sample = times[:: max(1, times.size // 5000)]
    for step in (60.0, 1.0):
        if np.allclose(np.remainder(sample + step / 2, step), step / 2, atol=1e-6):
            return step
    return 0.001
