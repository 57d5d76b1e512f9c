"""Rows with more or fewer cells than the table: no samples, but what can be read in them is kept, so that no
reading beyond a limit goes unseen."""

from __future__ import annotations

from collections import Counter

import numpy as np

from panelmend.curelog.cells import Block
from panelmend.curelog.numerals import numbers
from panelmend.curelog.readas import ColumnAs, ReadAs
from panelmend.plan.judge.log import ChannelRole, FloatArray, LineArray

HELD = (ChannelRole.THERMOCOUPLE, ChannelRole.VACUUM)
MOST_OF_ROW = 0.5  # of the channels that count: with fewer numbers it is a remark, not the end of a sample


class BrokenRows:
    """Takes such rows in order. Nobody knows where in the row a cell is missing or too many: each is read as
    the cells stand from the left, and as they stand from the right."""

    def __init__(self, how: ReadAs) -> None:
        self.how, self.width = how, how.width
        if how.long is not None:
            self.width += len(how.long.channels) - len(how.long.taken)
        self.columns: list[ColumnAs] = [c for c in how.columns if c.role in HELD]
        self._lines: list[int] = []
        self._tables: list[FloatArray] = []

    def take(self, block: Block) -> None:
        """Keep the broken rows of a block."""
        how = self.how
        unread = set(how.time.columns) if how.time.form == "elapsed" else set()  # a time is no temperature
        tried = [(n, row, s) for n, row in block.broken for s in sorted({0, len(row) - self.width})]
        if not tried:
            return
        table = np.empty((len(tried), len(self.columns)))
        for to, column in enumerate(self.columns):
            places = ((row, column.index + shift) for _, row, shift in tried)
            cells = [row[i] if 0 <= i < len(row) and i not in unread else "" for row, i in places]
            table[:, to] = numbers(cells, how.decimal, how.thousands, Counter(), column.unit)
        read = np.isfinite(table).sum(axis=1)
        from_left = np.array([shift == 0 for *_, shift in tried])
        kept = (read > 0) & (from_left | (read >= MOST_OF_ROW * len(self.columns)))
        self._lines += [tried[i][0] for i in np.flatnonzero(kept).tolist()]
        self._tables.append(table[kept])

    def lines(self) -> LineArray:
        """The lines of the rows in the file, shape (k,); each may stand there twice."""
        return np.array(self._lines, np.int32)

    def readings(self) -> FloatArray:
        """What is read in each of the columns, shape (k, columns) [as written]."""
        return np.concatenate([np.empty((0, len(self.columns))), *self._tables])
