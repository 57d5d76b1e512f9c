"""From cells to the log: numbers, times, units; cells that cannot be used are counted and reported."""

from __future__ import annotations

import mmap
from collections import Counter
from dataclasses import replace
from datetime import datetime, timedelta, timezone
from typing import Any

import numpy as np
from numpy.typing import NDArray

from panelmend.curelog.broken import HELD, BrokenRows
from panelmend.curelog.cells import Block
from panelmend.curelog.head import other_head
from panelmend.curelog.longform import Widener
from panelmend.curelog.numerals import block_times, cell_unit, numbers, plain_table
from panelmend.curelog.readas import FRACTIONS, ColumnAs, ReadAs
from panelmend.curelog.stamps import days_passed, offset_of
from panelmend.curelog.unstamped import placed_note, timed_by_place, unread_times
from panelmend.errors import ReadingError
from panelmend.plan.judge.fault import BoolArray
from panelmend.plan.judge.log import Channel, ChannelRole, CureLog, FloatArray, IntArray, without_rows
from panelmend.plan.judge.no_readings import no_temperature, no_vacuum
from panelmend.units import KINDS

_UNIX = datetime(1970, 1, 1)
MOST_SAMPLES = 30_000_000
MOST_SHORT = 40  # lines that are named


ARENA = 1 << 20  # bytes


class NumberColumn:
    """Numbers that come in one after the other, kept in pieces of memory of their own: among the text they
    were read from they would keep all of it, and a longer array would have to be copied."""

    def __init__(self, kind: np.dtype[Any]) -> None:
        self.kind = kind
        self._pieces: list[NDArray[Any]] = []
        self._free = 0  # at the end of the last piece

    def add(self, values: NDArray[Any]) -> None:
        """Keep more numbers (n,) [as written]."""
        done = 0
        while done < values.size:
            if not self._free:
                self._pieces.append(np.frombuffer(mmap.mmap(-1, ARENA), self.kind))
                self._free = self._pieces[-1].size
            count = min(self._free, values.size - done)
            begin = self._pieces[-1].size - self._free
            self._pieces[-1][begin : begin + count] = values[done : done + count]
            self._free -= count
            done += count

    def taken(self, to: NDArray[Any], last: bool) -> NDArray[Any]:
        """All numbers [as written], put into ``to`` (n,) [as written]; given back with the ``last`` look."""
        end = 0
        for i, piece in enumerate(self._pieces):
            begin, end = end, min(to.size, end + piece.size)
            to[begin:end] = piece[: end - begin]
            if last:
                self._pieces[i] = piece[:0].copy()
        return to

    def same(self, other: NumberColumn, count: int) -> NDArray[np.bool_]:
        """Where another column, filled as far as this one, says the same number [as written];
        shape (count,) for so many rows [1]."""
        pairs = zip(self._pieces, other._pieces, strict=True)
        return np.concatenate([np.zeros(0, np.bool_), *(a == b for a, b in pairs)])[:count]


class Builder:
    """Takes blocks in order and gives the log."""

    def __init__(self, how: ReadAs, name: str) -> None:
        self.how, self.name = how, name
        self.times, self.lines = NumberColumn(np.dtype(np.float64)), NumberColumn(np.dtype(np.int32))
        self.values = [NumberColumn(np.dtype(np.float64)) for _ in how.columns]
        self.words: list[Counter[str]] = [Counter() for _ in how.columns]
        self.left_out: list[tuple[int, str]] = []
        self.short: list[int] = []
        self.left_count = self.short_count = self.count = self.odd_blocks = 0
        self.offset: int | None = None  # of the first stamp from UTC [s]
        self.odd_head: tuple[str, ...] = ()
        self.widener = Widener(how.long) if how.long is not None else None
        self.broken = BrokenRows(how)

    def take(self, block: Block) -> None:
        """Add a block of rows.

        Raises:
            ReadingError: a second header with other names or units, and at every block after it.
        """
        if self.odd_head:
            raise self._second_head()
        self._take(block if self.widener is None else self.widener.take(block))

    def _take(self, block: Block) -> None:
        self.short_count += len(block.short)
        self.short += block.short[: max(0, MOST_SHORT - len(self.short))]
        self._leave(block.strange)
        self.broken.take(block)
        if not block.numbers:
            return
        how = self.how
        table = self._table(block)
        times = block_times(block, how.time, how.decimal, how.thousands)
        if how.time.fraction >= 0:
            part = numbers(block.column(how.time.fraction), how.decimal, how.thousands, Counter())
            part *= FRACTIONS[how.time.fraction_unit]
            times = times + np.where((part >= 0.0) & (part < 1.0), part, np.nan)
        good = np.isfinite(times) & (np.abs(times) < 1e11)
        every = bool(good.all())
        if not every:
            bad = np.flatnonzero(~good)
            self._see_heads(block, bad[:1000])
            read = self._readings_in(block, bad)
            good[bad[read]] = True
            parts = [block.column(i) for i in how.time.columns]
            times[bad] = unread_times([" ".join(p[i] for p in parts) for i in bad.tolist()])
            bad = bad[~read]
            sample = [(block.numbers[i], " ".join(c[i] for c in block.columns)[:60]) for i in bad[:20]]
            self._leave(sample, len(bad))
        self.count += int(np.count_nonzero(good))
        if self.count > MOST_SAMPLES:
            raise ReadingError(f"more than {MOST_SAMPLES} samples", where=self.name, todo="cut the log")
        if self.offset is None and how.time.zone == "stamped" and good.any():
            at = int(np.argmax(np.isfinite(times)))
            self.offset = offset_of(" ".join(block.column(i)[at] for i in how.time.columns))
        self.times.add(times if every else times[good])
        self.lines.add(lines := block.line_numbers()[good])
        kept = [] if every else np.flatnonzero(good).tolist()
        for at, column in enumerate(how.columns):
            if table is not None:
                self.values[at].add(table[:, at] if every else table[good, at])
                continue
            cells = block.columns[column.index]
            if not every:
                cells = [cells[i] for i in kept]
            values = numbers(cells, how.decimal, how.thousands, self.words[at], column.unit)
            self.values[at].add(values)
            self.broken.take_flagged(column, lines, cells, values)

    def _readings_in(self, block: Block, rows: IntArray) -> BoolArray:
        """Which rows (n,) without a time hold a number of a channel that counts."""
        how, found = self.how, np.zeros(rows.size, np.bool_)
        for column in how.columns:
            if column.role in HELD:
                cells = [block.columns[column.index][i] for i in rows.tolist()]
                found |= np.isfinite(numbers(cells, how.decimal, how.thousands, Counter(), column.unit))
        return found

    def _table(self, block: Block) -> FloatArray | None:
        """All channels of a block of plain numbers, shape (n, channels); None for any other block."""
        how = self.how
        if not block.lines or how.thousands or self.odd_blocks > 2:
            return None
        table = plain_table(block, [c.index for c in how.columns], how.decimal)
        self.odd_blocks += table is None
        return table

    def _see_heads(self, block: Block, rows: IntArray) -> None:
        """Refuse rows without a time that are a header with another order or unit than the one confirmed."""
        cells = [block.columns[c.index] for c in self.how.columns]
        for i in rows.tolist():
            row = [x[i] for x in cells]
            if other_head(row, self.how.columns):
                self.odd_head = (
                    f"line {block.numbers[i]}",
                    " ".join(row)[:80],
                )
                raise self._second_head()

    def _second_head(self) -> ReadingError:
        where, words = self.odd_head
        return ReadingError(
            "a second head that is not the one above: order or units may be others below it",
            where=f"{self.name}, {where}",
            read=repr(words),
            todo="export both parts as files of their own, or with one head",
        )

    def _leave(self, lines: list[tuple[int, str]], count: int | None = None) -> None:
        self.left_count += len(lines) if count is None else count
        self.left_out += lines[: max(0, 5 - len(self.left_out))]

    def finish(self, digest: str, *, whole: bool = True) -> CureLog:
        """The log of everything taken, ``whole`` when nothing more comes.

        Raises:
            ReadingError: no row could be read as a sample, or a channel came up that was not
                there at the confirmation.
        """
        if self.widener is not None and whole:
            self._take(self.widener.rest())
            for name, line in list(self.widener.strangers.items())[:1]:
                raise ReadingError(
                    "a channel that was not there when the reading was confirmed",
                    where=f"{self.name}, line {line}",
                    read=repr(name),
                    todo="look at the log and confirm again, so that its readings count",
                )
        if not self.count:
            raise ReadingError(
                "no line could be read as a sample",
                where=self.name,
                read=repr(self.left_out[0][1]) if self.left_out else "nothing",
                todo="propose how to read it again from this file",
            )
        times, lines = (x.taken(np.empty(self.count, x.kind), whole) for x in (self.times, self.lines))
        stamped = np.isfinite(times)
        if not stamped.any():
            raise ReadingError(
                "no row has a time that can be read",
                where=self.name,
                read=f"{times.size} rows of readings",
                todo="propose how to read it again from this file",
            )
        notes = []
        if self.how.time.form == "time of day":
            turns = days_passed(times[stamped])
            times[stamped] += turns * 86400.0
            if turns[-1] > 0:
                notes.append(f"midnight was passed {turns[-1]} times; a day was added each time")
        aside = tuple(
            Channel(c.name, ChannelRole.THERMOCOUPLE, "temperature", self._as_temperature(c, v))
            for c, v in zip(self.how.columns, self.values, strict=True)
            if c.name in self.how.set_aside
        )
        aside += tuple(
            Channel(c.name, ChannelRole.VACUUM, "pressure", self._as_vacuum(c, v))
            for c, v in zip(self.how.columns, self.values, strict=True)
            if c.name in self.how.gauges_aside
        )
        twice = self._ends_twice()
        channels = self._channels(whole, notes)
        first = times[np.argmax(stamped)]
        begun, step = _started(first, self.how, self.offset or 0), _step(times[stamped])
        times -= first
        keep, lost = stamped, 0.0
        if not stamped.all():
            times, lost = timed_by_place(times, step)
            keep = np.isfinite(times)
            times[~keep] = 0.0  # left out below
        notes = [*self._notes(lines[~keep]), *placed_note(lines[keep & ~stamped]), *notes]
        log = CureLog(
            times,
            channels,
            started=begun,
            digest=digest,
            lines=lines,
            stamp_step=step,
            set_back=lost,
            ambient=self.how.ambient,
            notes=tuple(notes),
            set_aside=aside,
            ends_twice=twice,
            sense_answered=tuple(
                c.name
                for c in self.how.columns
                if not c.sense_written and (c.role is ChannelRole.VACUUM or c.name in self.how.gauges_aside)
            ),
            overruled=tuple((c.name, c.overruled) for c in self.how.columns if c.overruled),
            sense_open=tuple(
                c.name for c in self.how.columns if c.name in self.how.gauges_aside and not c.sense
            ),
            left_lines=self.broken.lines(),
            left_out=self._broken_channels(),
        )
        return log if keep.all() else without_rows(log, keep)

    def _ends_twice(self) -> NDArray[np.bool_]:
        """Rows (n,) whose last two cells say the same number."""
        last = sorted(range(len(self.values)), key=lambda i: self.how.columns[i].index)[-2:]
        if len(last) < 2 or self.widener is not None:
            return np.zeros(self.count, np.bool_)
        a, b = (self.values[i] for i in last)
        return a.same(b, self.count)

    def _channels(self, whole: bool, notes: list[str]) -> tuple[Channel, ...]:
        """All channels in SI, side by side in one piece of memory, those of one role together; what was
        collected is let go when nothing more comes. Temperatures below absolute zero are codes of a logger,
        no readings: noted."""
        table = np.empty((self.count, len(self.how.columns)), order="F")
        roles = list(dict.fromkeys(c.role for c in self.how.columns))
        places = sorted(range(len(self.how.columns)), key=lambda i: roles.index(self.how.columns[i].role))
        made = {}
        for to, at in enumerate(places):
            c = self.how.columns[at]
            self.values[at].taken(table[:, to], whole)
            to_si(table[:, to], c, self.how)
            for codes, words in _codes_of(table[:, to], c):
                table[codes, to] = np.nan
                notes.append(
                    f"{c.name}: {np.count_nonzero(codes)} cells are {words}, as loggers write "
                    "for no reading: taken as missing"
                )
            made[at] = Channel(c.name, c.role, c.kind, table[:, to])
        return tuple(made[i] for i in range(len(made)))

    def _broken_channels(self) -> tuple[Channel, ...]:
        """What broken rows hold of the channels that count, in SI."""
        table = np.asfortranarray(self.broken.readings())
        for values, c in zip(table.T, self.broken.columns, strict=True):
            to_si(values, c, self.how)
        return tuple(
            Channel(c.name, c.role, c.kind, v) for c, v in zip(self.broken.columns, table.T, strict=True)
        )

    def _as_temperature(self, column: ColumnAs, values: NumberColumn) -> FloatArray:
        """A channel that was set aside as a temperature [K]: in its own unit, else in that of the others."""
        units = KINDS["temperature"].units
        others = (c.unit for c in self.how.columns if c.role is ChannelRole.THERMOCOUPLE)
        unit = column.unit if column.unit in units else next((u for u in others if u in units), "C")
        scale, offset = units[unit]
        return values.taken(np.empty(self.count), False) * scale + offset

    def _as_vacuum(self, column: ColumnAs, values: NumberColumn) -> FloatArray:
        """A gauge that was set aside, as pressure below ambient [Pa]: in its own unit and sense, else in
        those of the first gauge that was not set aside, else in inches of mercury below ambient."""
        units = KINDS["pressure"].units
        other = next((c for c in self.how.columns if c.role is ChannelRole.VACUUM), None)
        unit = column.unit if column.unit in units else other.unit if other is not None else "inHg"
        sense = column.sense or (other.sense if other is not None else "below ambient")
        made = values.taken(np.empty(self.count), False)
        to_si(made, replace(column, role=ChannelRole.VACUUM, unit=unit, sense=sense), self.how)
        return made

    def _notes(self, untimed: IntArray) -> list[str]:
        notes = []
        if self.left_count or untimed.size:
            left = [*self.left_out, *((n, "readings without a time") for n in untimed[:5].tolist())]
            where = ", ".join(f"line {n} {t!r}" for n, t in sorted(left)[:5])
            notes.append(f"{self.left_count + untimed.size} lines are no samples and were left out: {where}")
        if self.short_count:
            where = ", ".join(map(str, self.short)) + (" ..." if self.short_count > len(self.short) else "")
            notes.append(
                f"{self.short_count} lines have fewer cells than the table and were set aside, "
                f"since it is not certain which reading is missing: line {where}"
            )
        for column, words in zip(self.how.columns, self.words, strict=True):
            if words:
                named = ", ".join(f"{w!r} {n} times" for w, n in sorted(words.items())[:4])
                other = column.unit and any(cell_unit(w) for w in words)
                what = f"no number in {column.unit}" if other else "no number"
                notes.append(f"{column.name}: cells that are {what}, taken as missing: {named}")
        return notes


def _codes_of(values: FloatArray, column: ColumnAs) -> list[tuple[NDArray[np.bool_], str]]:
    """Cells (n,) [SI] of a channel that hold a number but are not readings, with what they are."""
    if column.role is ChannelRole.VACUUM:
        found = [(no_vacuum(values), "a vacuum that no air gives")]
    elif column.kind == "temperature":
        codes = no_temperature(values)
        cold = codes & (values < 0.0)
        found = [(cold, "below absolute zero"), (codes & ~cold, "hotter than any thermocouple reads")]
    else:
        found = []
    return [(codes, words) for codes, words in found if codes.any()]


def to_si(values: FloatArray, column: ColumnAs, how: ReadAs) -> None:
    """Turn a column into SI in its place; vacuum as pressure below ambient, positive [Pa]."""
    if not column.kind:
        return
    scale, offset = KINDS[column.kind].units[column.unit]
    values *= scale
    values += offset
    if column.role is ChannelRole.VACUUM and column.sense in ("absolute", "below ambient, negative"):
        np.negative(values, out=values)
        values += how.ambient if column.sense == "absolute" else 0.0


def _started(first: float, how: ReadAs, offset: int) -> str:
    if how.time.form == "elapsed":
        return ""
    zone = how.time.zone
    if how.time.form == "time of day":
        whole = round(first)
        return f"T{whole // 3600 % 24:02d}:{whole // 60 % 60:02d}:{whole % 60:02d}"
    if zone == "stamped":  # by the clock on the wall, as the first stamp shows it
        wall = _UNIX + timedelta(seconds=round(first, 3) + offset)
        return wall.replace(tzinfo=timezone(timedelta(seconds=offset))).isoformat()
    if how.time.form == "epoch":
        return (_UNIX + timedelta(seconds=round(first, 3))).isoformat() + "+00:00"
    told = "" if zone == "local" else "+00:00" if zone in ("Z", "UTC") else zone
    return (_UNIX + timedelta(seconds=round(first, 3))).isoformat() + told


def _step(times: FloatArray) -> float:
    """The smallest step the stamps can show [s]: 60 when all are whole minutes, 1 for whole seconds."""
    sample = times[:: max(1, times.size // 5000)]
    for step in (60.0, 1.0):
        if np.allclose(np.remainder(sample + step / 2, step), step / 2, atol=1e-6):
            return step
    return 0.001
