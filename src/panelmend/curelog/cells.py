"""Files as blocks of cells: text line by line, sheets row by row, never the whole file at once."""

from __future__ import annotations

import csv
import hashlib
import io
import pickle
import subprocess
import sys
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from operator import methodcaller
from pathlib import Path
from typing import Any

import numpy as np

from panelmend.curelog import sheet_child
from panelmend.curelog.plain import PlainBytes, unquoted
from panelmend.errors import ReadingError
from panelmend.files import opening
from panelmend.plan.judge.log import LineArray

BLOCK = 1 << 20  # characters
LONGEST_LINE = 1 << 20
ROWS_BEFORE = 20  # that a last line without its end is compared with
FEWEST_TRIMMED = 3  # rows of a block: with fewer, power may have been lost in their last cell
MOST_UNPACKED = 1 << 30
LONGEST_SHEET = 120.0  # s


@dataclass
class Block:
    """Some rows: ``numbers`` their lines in the file, ``cells`` their columns, ``strange`` the lines that do
    not fit, ``short`` the lines with fewer cells than the table, which are set aside, as it is not known
    which of their readings is missing; ``broken`` the cells of those that have fewer or more. Rows that all
    have ``width`` cells and no quotes are kept as ``lines`` until somebody asks for their cells, and as
    ``plain`` bytes where they are ASCII."""

    numbers: Sequence[int] = ()
    cells: list[Sequence[str]] = field(default_factory=list)
    strange: list[tuple[int, str]] = field(default_factory=list)
    short: list[int] = field(default_factory=list)
    broken: list[tuple[int, list[str]]] = field(default_factory=list)
    lines: Sequence[str] = ()
    separator: str = ""
    width: int = 0
    plain: PlainBytes | None = None

    @property
    def columns(self) -> list[Sequence[str]]:
        """The cells, column by column."""
        if not self.cells and self.lines:
            flat = self.separator.join(self.lines).split(self.separator)
            self.cells = [flat[i :: self.width] for i in range(self.width)]
        return self.cells

    def line_numbers(self) -> LineArray:
        """The lines of the rows in the file, shape (n,)."""
        lines = self.numbers
        if isinstance(lines, range):
            return np.arange(lines.start, lines.stop, dtype=np.int32)
        return np.array(lines, np.int32)

    def rows(self, places: Sequence[int]) -> list[tuple[str, ...]]:
        """The cells of some rows."""
        if self.lines and not self.cells:
            return [tuple(self.lines[i].split(self.separator)) for i in places]
        return [tuple(c[i] for c in self.columns) for i in places]

    def column(self, index: int) -> Sequence[str]:
        """The cells of one column."""
        if self.lines and not self.cells:
            if index == 0:
                return [x.partition(self.separator)[0] for x in self.lines]
            return [x.split(self.separator, index + 1)[index] for x in self.lines]
        return self.columns[index]


class Hashing(io.RawIOBase):
    """A file that is hashed while it is read."""

    def __init__(self, path: Path) -> None:
        self._file = open_unbuffered(path)
        self.hash = hashlib.sha256()

    def readable(self) -> bool:
        """Always: it is read from."""
        return True

    def readinto(self, buffer: Any) -> int:
        """Read into a buffer and hash what was read; how many bytes came, 0 at the end."""
        count = self._file.readinto(buffer)
        self.hash.update(memoryview(buffer)[:count])
        return count or 0

    def close(self) -> None:
        """Close the file that is read, too."""
        self._file.close()
        super().close()


def open_unbuffered(path: Path) -> io.FileIO:
    """The file, unbuffered; MissingError or ReadingError in words."""
    with opening(path):
        return io.FileIO(str(path), "r")


class LastLine(list[str]):
    """The last line of a file, if it has no line end."""


def cut_off(line: str, before: Sequence[str], separator: str) -> bool:
    """Whether a last line without a line end has a last cell shorter than that of each of the rows
    ``before``: 6 may be what is left of 65.3, and would read as a cold part."""
    ends = [len(split_line(x, separator)[-1].strip()) for x in before if x.strip()]
    return len(ends) > 1 and len(split_line(line, separator)[-1].strip()) < min(ends)


def lines_of(file: io.RawIOBase, encoding: str, name: str) -> Iterator[list[str]]:
    """Lists of whole lines without their ends; \\n, \\r\\n and \\r all end a line.

    Raises:
        ReadingError: a line longer than a million characters.
    """
    stream = io.TextIOWrapper(io.BufferedReader(file, 1 << 18), encoding, errors="replace", newline=None)
    rest = ""
    while True:
        text = stream.read(BLOCK)
        if not text:
            break
        lines = (rest + text).split("\n")
        rest = lines.pop()
        if max(len(rest), len(lines[0]) if lines else 0) > LONGEST_LINE:  # the others stand in one block
            raise ReadingError(
                "a line longer than a million characters", where=name, todo="this is no logger export"
            )
        if lines:
            yield lines
    if rest:
        yield LastLine([rest])


def split_line(line: str, separator: str) -> list[str]:
    """The cells of one line; quotes are taken off."""
    if '"' in line:
        try:
            cells = next(csv.reader([line], delimiter=separator, skipinitialspace=separator == " "))
        except (csv.Error, StopIteration):
            cells = line.replace('"', "").split(separator)
        return [c for c in cells if c] if separator == " " else cells
    return line.split() if separator == " " else line.split(separator)


def block_of(lines: Sequence[str], first: int, separator: str, width: int) -> Block:
    """Lines as a block; ``first`` is the number of the first line."""
    if separator != " ":
        text = "\n".join(lines)
        if '"' in text and (bare := unquoted(text, separator)) is not None:
            text, lines = bare, bare.split("\n")
        plain = PlainBytes.of(lines, text, separator, width) if '"' not in text else None
        marks = methodcaller("count", separator)
        if plain is not None or ('"' not in text and set(map(marks, lines)) == {width - 1}):
            numbers = range(first, first + len(lines))
            return Block(numbers, lines=lines, separator=separator, width=width, plain=plain)
        if '"' not in text:
            return block_of_rows([x.split(separator) for x in lines], first, width)
    return block_of_rows([split_line(x, separator) for x in lines], first, width)


def block_of_rows(rows: list[list[str]], first: int, width: int) -> Block:
    """Rows as a block: those with fewer or more cells than the table are set aside. Several that lack only
    cells at their end which are empty in the others too are complete rows; a single one may be cut off."""
    block = Block()
    if all(len(r) == width for r in rows):
        block.numbers = range(first, first + len(rows))
        block.cells = list(zip(*rows, strict=True)) if rows else [()] * width
        return block
    used = max((min(_filled(r), width) for r in rows if len(r) >= width), default=0)
    trimmed = {i for i, r in enumerate(rows, first) if used and len(r) < width and _filled(r) == used}
    trimmed = trimmed if len(trimmed) >= FEWEST_TRIMMED else set()
    kept, numbers = [], []
    for number, row in enumerate(rows, first):
        if not any(c.strip() for c in row):
            continue
        if len(row) > width and any(c.strip() for c in row[width:]):
            block.strange.append((number, " ".join(row)[:60]))
            block.broken.append((number, row))
            continue
        if number in trimmed:
            row = row + [""] * width  # cut to the width below
        if len(row) < width:
            block.short.append(number)
            block.broken.append((number, row))
            continue
        kept.append(row[:width])
        numbers.append(number)
    block.numbers = numbers
    block.cells = list(zip(*kept, strict=True)) if kept else [()] * width
    return block


def _filled(row: Sequence[str]) -> int:
    """How many cells a row has without the empty ones at its end."""
    return next((i for i in range(len(row), 0, -1) if row[i - 1].strip()), 0)


def text_blocks(
    file: io.RawIOBase, name: str, encoding: str, separator: str, width: int, skip: int
) -> Iterator[Block]:
    """A text file as blocks, without its first ``skip`` lines."""
    number = 1
    before: list[str] = []
    for lines in lines_of(file, encoding, name):
        cut = max(0, skip - (number - 1))
        kept = lines[cut:]
        if kept and isinstance(lines, LastLine) and cut_off(kept[0], before, separator):
            whole = split_line(kept[0], separator)[:-1]
            yield Block(
                strange=[(number, f"{kept[0][:45]} (cut off?)")], broken=[(number, whole)], width=width
            )
        elif kept:
            yield block_of(kept, number + min(cut, len(lines)), separator, width)
        number += len(lines)
        before = kept[-ROWS_BEFORE:]


def cell_text(cell: object) -> str:
    """A cell of a sheet as text that reads back to the same value."""
    if isinstance(cell, bool):
        return str(cell)
    if isinstance(cell, float):
        return repr(int(cell)) if cell.is_integer() and abs(cell) < 1e15 else repr(cell)
    if isinstance(cell, datetime):
        return cell.isoformat(" ")
    if isinstance(cell, timedelta):
        seconds = cell.total_seconds()
        whole, part = divmod(round(abs(seconds) * 1e6), 10**6)
        sign = "-" if seconds < 0 else ""
        return f"{sign}{whole // 3600}:{whole // 60 % 60:02d}:{whole % 60:02d}.{part:06d}"
    if isinstance(cell, date | time):
        return cell.isoformat()
    return str(cell)


def _asked(path: Path, sheet: str) -> tuple[str, Any]:
    """A workbook's names or rows, read in a separate process: the reader ends its process when a broken file
    asks for more memory than there is."""
    with open_unbuffered(path) as file:
        head = file.read(4) or b""
    if head[:2] == b"PK":
        try:
            with zipfile.ZipFile(path) as pack:
                if sum(i.file_size for i in pack.infolist()) > MOST_UNPACKED:
                    raise ReadingError("unpacks to more than a gigabyte", where=path.name)
        except (zipfile.BadZipFile, RuntimeError, OSError, ValueError) as error:
            raise _unreadable(path, str(error)) from None
    command = [sys.executable, "-I", sheet_child.__file__, str(path.resolve()), sheet]
    try:
        done = subprocess.run(command, capture_output=True, timeout=LONGEST_SHEET, check=False)
    except subprocess.TimeoutExpired:
        raise _unreadable(path, f"not read in {LONGEST_SHEET:.0f} s") from None
    if done.returncode != 0 or not done.stdout:
        raise _unreadable(path, "its cells do not fit into memory")
    what, value = pickle.loads(done.stdout)
    if what == "error":
        raise _unreadable(path, str(value))
    return what, value


def _unreadable(path: Path, read: str) -> ReadingError:
    return ReadingError(
        "not a workbook that can be read",
        where=path.name,
        read=read[:80],
        todo="export it again, or save it as CSV",
    )


def sheet_names(path: Path) -> tuple[str, ...]:
    """The names of a workbook's sheets, in order.

    Raises:
        ReadingError: a workbook without sheets.
    """
    names: tuple[str, ...] = _asked(path, "")[1]
    if not names:
        raise ReadingError("a workbook without sheets", where=path.name)
    return names


def sheet_rows(path: Path, sheet: str) -> list[list[Any]]:
    """The rows of a sheet of a workbook.

    Raises:
        ReadingError: a sheet without cells.
    """
    rows: list[list[Any]] = _asked(path, sheet)[1]
    if not any(any(c != "" for c in r) for r in rows):
        raise ReadingError("a sheet without cells", where=path.name, read=sheet)
    return rows


def rows_as_text(rows: list[list[Any]], decimal: str) -> list[list[str]]:
    """Rows of a sheet as text; numbers are written with the decimal mark that its text cells use."""
    if decimal == ",":
        return [
            [cell_text(c).replace(".", ",") if isinstance(c, float) else cell_text(c) for c in r]
            for r in rows
        ]
    return [[cell_text(c) for c in r] for r in rows]


def sheet_blocks(rows: list[list[Any]], width: int, skip: int, decimal: str) -> Iterator[Block]:
    """The rows of a sheet as blocks."""
    for start in range(skip, len(rows), 20000):
        yield block_of_rows(rows_as_text(rows[start : start + 20000], decimal), start + 1, width)
