"""Rows with more or fewer cells than the table, and flagged numbers: they are not samples, but what can be
read in them is kept, so that no reading beyond a limit is missed."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections import Counter
from collections.abc import Sequence

import numpy as np

from panelmend.curelog.cells import Block
from panelmend.curelog.numerals import MISSING, flagged_number, number_in_cell, numbers
from panelmend.curelog.readas import ColumnAs, ReadAs
from panelmend.curelog.stamps import looks_like
from panelmend.curelog.unstamped import NO_SAMPLE, unread_times
from panelmend.plan.judge.log import ChannelRole, FloatArray, LineArray

HELD = (ChannelRole.THERMOCOUPLE, ChannelRole.VACUUM)
MOST_OF_ROW = 0.5  # of the channels that count: with fewer numbers it is a remark, no part of a sample
BESIDE = 2  # whole rows on each side that a broken one is compared with
ALIKE = 0.02  # of a number: nearer to those beside it may be the next reading of the same column
MOST_COMPARED = 10_000  # rows; what is broken in more of them is not told by their fit

Span = tuple[float, float]  # of the numbers of a column in the rows beside; NaN where none stands


class BrokenRows:
    """Takes such rows in order. It is not known where in the row a cell is missing or added: each row is read
    with its cells counted from the left and from the right, or in one way only if all its cells fit the rows
    before and after in that way and not in the other."""

    def __init__(self, how: ReadAs) -> None:
        self.how = how
        self.columns: list[ColumnAs] = [c for c in how.columns if c.role in HELD]
        self._lines: list[int] = []
        self._tables: list[FloatArray] = []
        self._last: list[tuple[str, ...]] = []  # whole rows of the block before
        self._compared = 0

    def take(self, block: Block) -> None:
        """Keep the broken rows of a block."""
        how = self.how
        unread = set(how.time.columns) if how.time.form == "elapsed" else set()  # a time is no temperature
        tried, least = [], []
        for line, row in block.broken:
            shifts, fewest = [0], 1.0  # of a long table: made wide, once in each way
            if how.long is None:
                both = sorted({0, len(row) - how.width})
                shifts, fewest = self._ways(row, both, self._beside(block, line))
            tried += [(line, row, s) for s in shifts]
            least += [fewest] * len(shifts)
        self._last = block.rows(range(max(0, len(block.numbers) - BESIDE), len(block.numbers))) or self._last
        if not tried:
            return
        table = np.empty((len(tried), len(self.columns)))
        for to, column in enumerate(self.columns):
            places = ((row, column.index + shift) for _, row, shift in tried)
            cells = [row[i] if 0 <= i < len(row) and i not in unread else "" for row, i in places]
            table[:, to] = numbers(cells, how.decimal, how.thousands, Counter(), column.unit)
            for i, value in self._flagged(cells, table[:, to]):
                table[i, to] = value
        read = np.isfinite(table).sum(axis=1)
        kept = (read > 0) & (read >= np.array(least))
        self._lines += [tried[i][0] for i in np.flatnonzero(kept).tolist()]
        self._tables.append(table[kept])

    def take_flagged(
        self, column: ColumnAs, lines: LineArray, cells: Sequence[str], read: FloatArray
    ) -> None:
        """Keep the numbers that whole rows (n,) have in cells of a column that are no reading for a flag at
        them; ``read``: what was read of the cells [as written]."""
        found = self._flagged(cells, read) if column in self.columns else []
        if not found:
            return
        table = np.full((len(found), len(self.columns)), np.nan)
        table[:, self.columns.index(column)] = [value for _, value in found]
        self._lines += [int(lines[i]) for i, _ in found]
        self._tables.append(table)

    def _flagged(self, cells: Sequence[str], read: FloatArray) -> list[tuple[int, float]]:
        missing = [i for i in np.flatnonzero(np.isnan(read)).tolist() if cells[i]]
        values = {
            c: flagged_number(c, self.how.decimal, self.how.thousands) for c in {cells[i] for i in missing}
        }
        return [(i, values[cells[i]]) for i in missing if values[cells[i]] == values[cells[i]]]

    def _beside(self, block: Block, line: int) -> list[Span]:
        """The numbers in each column of the complete rows before and after a line; nothing where they are not
        known."""
        self._compared += 1
        if self._compared > MOST_COMPARED:
            return []
        at = bisect_left(block.numbers, line)
        near = block.rows(range(max(0, at - BESIDE), min(len(block.numbers), at + BESIDE)))
        near = (self._last if at < BESIDE else []) + near
        return [self._span(cells) for cells in zip(*near, strict=True)]

    def _span(self, cells: Sequence[str]) -> Span:
        found = [x for x in map(self._number, cells) if x == x]
        return (min(found), max(found)) if found else (math.nan, math.nan)

    def _number(self, cell: str) -> float:
        value = number_in_cell(cell, self.how.decimal, self.how.thousands)
        return value if value == value else flagged_number(cell, self.how.decimal, self.how.thousands)

    def _ways(self, row: list[str], shifts: list[int], beside: list[Span]) -> tuple[list[int], float]:
        """By how many cells a row may be shifted, and how many readings [1] it must then hold to be part of a
        sample: a single one after its own time, without words where other rows have numbers."""
        stamps = {i for i in self.how.time.columns if i < len(row) and self._is_time(row[i], i, beside)}
        cells = [(i, c) for i, c in enumerate(row) if i not in stamps and c.strip().lower() not in MISSING]
        words = [i for i, c in cells if math.isnan(self._number(c))]
        remark = any(all(_numbers_stand(beside, i - s) for s in shifts) for i in words)
        fewest = 1.0 if stamps and not remark else MOST_OF_ROW * len(self.columns)
        time = " ".join(row[i] for i in self.how.time.columns if i < len(row))
        if unread_times([time])[0] == NO_SAMPLE:
            return [0], fewest  # a label stands in the place of the time, as before averages
        fit = [s for s in shifts if beside and all(self._fits(c, beside, i - s) for i, c in cells)]
        return fit or shifts, fewest

    def _is_time(self, cell: str, index: int, beside: list[Span]) -> bool:
        """Whether a cell is a time, or may be what is left of one."""
        number = not math.isnan(number_in_cell(cell, self.how.decimal, self.how.thousands))
        if self.how.time.form in ("clock", "time of day") or not number:
            left = any(c.isdigit() for c in cell) and not any(c.isalpha() for c in cell)
            return bool(looks_like(cell.strip())) or (left and not number)
        return not beside or self._fits(cell, beside, index)

    def _fits(self, cell: str, beside: list[Span], index: int) -> bool:
        """Whether a cell may stand in a column, by the rows beside."""
        value = self._number(cell)
        if math.isnan(value):
            return not _numbers_stand(beside, index)
        low, high = beside[index] if 0 <= index < len(beside) else (math.nan, math.nan)
        return low - ALIKE * abs(low) <= value <= high + ALIKE * abs(high)

    def lines(self) -> LineArray:
        """The lines of the rows in the file, shape (k,); each may occur twice."""
        return np.array(self._lines, np.int32)

    def readings(self) -> FloatArray:
        """The readings in each of the columns, shape (k, columns) [as written]."""
        return np.concatenate([np.empty((0, len(self.columns))), *self._tables])


def _numbers_stand(beside: list[Span], index: int) -> bool:
    """Whether a column holds numbers in the rows beside; where they are not known it may."""
    return not beside or (0 <= index < len(beside) and beside[index][0] == beside[index][0])
