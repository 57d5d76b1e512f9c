"""Tables of plain numbers and stamps read from their bytes, many rows at once.

Only digits with one point at most, and a sign in front, are read here; any other cell is left to the slower
reader.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from panelmend.plan.judge.log import FloatArray, IntArray

MOST_WIDE = 16  # characters: fifteen digits are whole in a double, so that what is read is the nearest number
_MOST_DIGITS = 15
_BLANK, _PLUS, _MINUS, _POINT, _ZERO, _LINE, _COMMA, _QUOTE = b' +-.0\n,"'

ByteArray = NDArray[np.uint8]


class PlainBytes:
    """Rows that all have the same number of cells, as bytes: ``begins`` and ``ends`` of the cells, shape
    (width, rows)."""

    def __init__(self, data: ByteArray, begins: IntArray, ends: IntArray) -> None:
        self._data, self._begins, self._ends = data, begins, ends

    @classmethod
    def of(cls, lines: Sequence[str], text: str, separator: str, width: int) -> PlainBytes | None:
        """The bytes of lines of plain ASCII, joined in ``text``; None where they are not, or where a line has
        not ``width`` cells."""
        if not text.isascii() or len(separator) != 1:
            return None
        data = np.frombuffer((" " * MOST_WIDE + text + "\n").encode("ascii"), np.uint8)
        over = data == _LINE
        rows = np.count_nonzero(over)
        over |= data == ord(separator)
        marks = np.flatnonzero(over)
        if (
            rows != len(lines)
            or marks.size != rows * width
            or (data[marks[width - 1 :: width]] != _LINE).any()
        ):
            return None
        begins = np.empty_like(marks)
        begins[0] = MOST_WIDE
        begins[1:] = marks[:-1] + 1
        by_column = (np.ascontiguousarray(x.reshape(rows, width).T) for x in (begins, marks))
        return cls(data, *by_column)

    def numbers(self, columns: Sequence[int], decimal: str = ".") -> FloatArray | None:
        """Columns of plain numbers [as written] with a decimal point or comma, shape (rows, columns); None
        where a cell is none."""
        out = np.empty((self._ends.shape[1], len(columns)), order="F")
        for to, column in enumerate(columns):
            values = self._column(column, decimal)
            if values is None:
                return None
            out[:, to] = values
        return out

    def _column(self, column: int, decimal: str) -> FloatArray | None:
        ends = self._ends[column]
        lengths = ends - self._begins[column]
        wide = int(lengths.max(initial=0))
        if not 0 < wide <= MOST_WIDE or lengths.min() == 0:
            return None
        there = np.lib.stride_tricks.sliding_window_view(self._data, wide)
        cells = np.ascontiguousarray(
            there[ends - wide].T
        )  # (wide, rows), the last characters below each other
        first = wide - lengths
        for i in range(wide - int(lengths.min())):
            cells[i, first > i] = _BLANK  # of the cell before
        if decimal == ",":
            if (cells == _POINT).any():
                return None
            cells[cells == _COMMA] = _POINT
        begin = cells[:, 0].tobytes().rfind(bytes([_POINT]))
        digits = wide - 1 - begin if begin >= 0 else 0
        if begin < 0 or (cells[begin] == _POINT).all():
            values = _values(cells, digits)
            if values is not None:
                return values
        point = cells == _POINT
        if (np.count_nonzero(point, axis=0) > 1).any():
            return None
        after = np.where(point.any(axis=0), wide - 1 - np.argmax(point, axis=0), 0)
        out = np.empty(ends.size)
        for digits in np.unique(after).tolist():
            rows = np.flatnonzero(after == digits)
            values = _values(cells if rows.size == ends.size else cells[:, rows], digits)
            if values is None:
                return None
            out[rows] = values
        return out

    def texts(self, column: int) -> ByteArray | None:
        """A column whose cells are all as long, as characters, shape (rows, length); None for any other."""
        begins, ends = self._begins[column], self._ends[column]
        long = int(ends[0] - begins[0])
        if long < 1 or not (ends - begins == long).all():
            return None
        return np.ascontiguousarray(np.lib.stride_tricks.sliding_window_view(self._data, long)[begins])


def unquoted(text: str, separator: str) -> str | None:
    """Lines without the quotes around their cells; None where a quote is anywhere else, or a separator or a
    line's end stands between two."""
    between, below = text.count(separator), text.count("\n")
    if (
        text.count('"') == 2 * (between + below + 1)
        and text.count(f'"{separator}"') == between
        and text.count('"\n"') == below
        and text[0] == text[-1] == '"'
    ):  # every cell has them
        return text.replace('"', "")
    data = np.frombuffer(f"\n{text}\n".encode(), np.uint8)
    quotes = np.flatnonzero(data == _QUOTE)
    marks = (data == _LINE) | (data == ord(separator))
    begin, end = quotes[::2], quotes[1::2]
    if begin.size != end.size or not (marks[begin - 1].all() and marks[end + 1].all()):
        return None
    at = np.flatnonzero(marks)
    if (np.searchsorted(at, begin) != np.searchsorted(at, end)).any():
        return None
    return text.replace('"', "")


def _values(cells: ByteArray, after: int) -> FloatArray | None:
    """Numbers (n,) [as written] from characters (wide, n) that end together and have their point before the
    last ``after`` digits, nowhere for nought; None where one is anything else."""
    wide = len(cells)
    rows = [i for i in range(wide) if not after or i != wide - 1 - after]
    if not after and (cells == _POINT).any():
        return None  # a point with nothing behind it
    total = np.zeros(cells.shape[1], np.int64)
    begun = np.zeros(cells.shape[1], np.bool_)  # a sign or a digit was seen
    digits = np.zeros(cells.shape[1], np.int8)
    minus = np.zeros(cells.shape[1], np.bool_)
    for i in range(wide):
        if i not in rows:
            begun[:] = True
            continue
        digit = cells[i] - np.uint8(_ZERO)
        number = digit < 10
        if number.all():
            begun[:] = True
            total *= 10
            total += digit
            digits += 1
            continue
        sign = (cells[i] == _MINUS) | (cells[i] == _PLUS)
        if not (number | ((sign | (cells[i] == _BLANK)) & ~begun)).all():
            return None
        minus |= cells[i] == _MINUS
        begun |= number | sign
        total *= 10
        total += np.where(number, digit, np.uint8(0))
        digits += number
    if digits.min(initial=1) < 1 or digits.max(initial=1) > _MOST_DIGITS:
        return None
    out = total / 10.0**after
    np.negative(out, out=out, where=minus)
    return out
