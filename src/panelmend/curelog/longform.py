"""Long tables, one reading per row (time, channel, value), turned into one row per moment."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from panelmend.curelog.cells import Block

MOST_NAMED = 100


def has_digits(row: Sequence[str]) -> bool:
    """Whether any cell has a digit: a header has none."""
    return any(x.isdigit() for c in row for x in c)


@dataclass(frozen=True)
class Long:
    """Which columns of the file hold the channel's name and the reading; ``channels`` by name, in their
    order. ``unit``: the column of units, -1 for none; ``units``: as written there, for each channel. The wide
    table has the other columns first, then one column for each channel."""

    name: int
    value: int
    channels: tuple[str, ...]
    unit: int = -1
    units: tuple[str, ...] = ()

    @property
    def taken(self) -> tuple[int, ...]:
        """The columns that the wide table has not."""
        return tuple(i for i in (self.name, self.value, self.unit) if i >= 0)

    def of_channel(self, row: Sequence[str]) -> bool:
        """Whether a row belongs to a channel: not one without a name, nor a repeated header. Where readings
        have no unit beside them, a header may name another unit, and is not skipped."""
        return bool(row[self.name].strip()) and (self.unit < 0 or has_digits(row))


class Widener:
    """Takes blocks of long rows in order and gives blocks of wide ones. A moment ends when another time is
    written or a channel appears again; the last one waits for :meth:`rest`."""

    def __init__(self, long: Long) -> None:
        self.long = long
        self.strangers: dict[str, int] = {}  # names that are no channel, and the line of the first
        self.places = {c: i for i, c in enumerate(long.channels)}
        self._key: tuple[str, ...] | None = None
        self._number = 0
        self._cells: list[str] = []

    def take(self, block: Block) -> Block:
        """The wide rows that are whole."""
        out = Block(strange=list(block.strange), short=list(block.short))
        for line, row in block.broken:
            out.broken += self._readings_of(line, row, block.width or len(block.columns))
        rows: list[list[str]] = []
        numbers: list[int] = []
        out.numbers = numbers
        if not block.numbers:
            return out
        columns = block.columns
        name, value = columns[self.long.name], columns[self.long.value]
        others = [c for i, c in enumerate(columns) if i not in self.long.taken]
        units = columns[self.long.unit] if self.long.unit >= 0 else None
        for at, number in enumerate(block.numbers):
            place = self.places.get(name[at].strip())
            if place is None or (units is not None and units[at].strip() != self.long.units[place]):
                row = [c[at] for c in columns]
                if place is None and len(self.strangers) < MOST_NAMED and self.long.of_channel(row):
                    self.strangers.setdefault(name[at].strip(), number)
                out.strange.append((number, " ".join(row)[:60]))
                out.broken += self._readings_of(number, row, len(row))
                continue
            key = tuple(c[at] for c in others)
            if key != self._key or self._cells[place]:
                self._end(numbers, rows)
                self._key, self._number = key, number
                self._cells = [""] * len(self.places)
            self._cells[place] = value[at].strip() or "-"
        return self._made(out, rows, len(others))

    def rest(self) -> Block:
        """The last moment, which no other has ended."""
        numbers, rows = list[int](), list[list[str]]()
        out = Block(numbers)
        width = len(self._key or ())
        self._end(numbers, rows)
        self._key, self._cells = None, []
        return self._made(out, rows, width)

    def _readings_of(self, line: int, row: list[str], width: int) -> list[tuple[int, list[str]]]:
        """Wide rows of a row that does not fit, ``width`` cells in the others: the reading as it stands from
        the left, and from the right; of every channel, where none is named in it."""
        out = []
        for shift in sorted({0, len(row) - width}):
            at = self.long.value + shift
            named = [i for c, i in self.places.items() if c in (x.strip() for x in row)]
            wide = [""] * (width - len(self.long.taken)) + [""] * len(self.places)
            for i in named or self.places.values():
                wide[i - len(self.places)] = row[at] if 0 <= at < len(row) else ""
            out.append((line, wide))
        return out

    def _end(self, numbers: list[int], rows: list[list[str]]) -> None:
        if self._key is not None:
            rows.append([*self._key, *self._cells])
            numbers.append(self._number)

    def _made(self, out: Block, rows: list[list[str]], width: int) -> Block:
        out.width = width + len(self.places)
        out.cells = list(zip(*rows, strict=True)) if rows else [()] * out.width
        return out
