"""What a text file looks like: encoding, separator, decimal mark, header; judged from its head."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path

from panelmend.curelog.cells import open_unbuffered, split_line
from panelmend.curelog.longform import Long, has_digits
from panelmend.curelog.numerals import MISSING, number_in_cell, usable_cell
from panelmend.curelog.readas import MOST_COLUMNS
from panelmend.curelog.roles import PROCESSING, unit_word
from panelmend.curelog.short_head import nameless, unitless
from panelmend.curelog.stamps import halves, looks_like
from panelmend.errors import ReadingError

HEAD = 1 << 18
ROWS_OF_HEAD = 6  # above the samples, in which names and units are looked for
_ORDER = ("\t", ";", "|", ",", " ")
MOST_CHANNELS = 64  # of a long table
NAMELESS = 0.1  # of the rows of a long table; with more that have no name it is none
TOGETHER = 0.5  # of its moments must hold two readings: else nothing tells which belong together
_GROUPED = re.compile(r"[+-]?\d{1,3}(,\d{3})+")


@dataclass(frozen=True)
class TableLayout:
    """The layout of a table: rows of the head as cells, where the samples begin, names and units above."""

    rows: tuple[tuple[str, ...], ...]  # sample rows of the head, all ``width`` wide
    width: int
    lines_above: int
    names: tuple[str, ...]
    units: tuple[str, ...]
    above: tuple[str, ...]  # the lines above the table as text


def encoding_and_head(path: Path) -> tuple[str, list[str]]:
    """The encoding of a text file and the whole lines of its head.

    Raises:
        ReadingError: an empty file, or one that is not text.
    """
    with open_unbuffered(path) as file:
        raw = file.read(HEAD) or b""
    if not raw.strip():
        raise ReadingError("the file is empty", where=path.name, todo="export the log again")
    encoding, why = encoding_of(raw)
    if not encoding:
        raise ReadingError(why, where=path.name, expected="a text export or a workbook")
    text = raw.decode(encoding, errors="replace").removeprefix("\ufeff")
    if not text.strip():
        raise ReadingError("the file is empty", where=path.name, todo="export the log again")
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    if len(raw) == HEAD and len(lines) > 1:
        lines.pop()
    return encoding, lines[:2000]


_CONTROLS = bytes(b for b in range(32) if b < 9 or b > 13)


def encoding_of(raw: bytes) -> tuple[str, str]:
    """The encoding of the head of a file and why; "" for a file that is no text."""
    for mark, name in ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16")):
        if raw.startswith(mark):
            return name, "its first bytes say so"
    zeros = raw.count(0)
    if zeros:
        even, odd = raw[0::2].count(0), raw[1::2].count(0)
        if odd > 0.3 * len(raw) / 2 and even < 0.1 * odd:
            return "utf-16-le", "every second byte is zero"
        if even > 0.3 * len(raw) / 2 and odd < 0.1 * even:
            return "utf-16-be", "every second byte is zero"
        if zeros > max(8, 0.02 * len(raw)):
            return "", "not a text file (it has zero bytes)"
    if len(raw) - len(raw.translate(None, _CONTROLS)) > 0.05 * len(raw):
        return "", "not a text file (it has control characters)"
    try:
        raw[: len(raw) - 4 if len(raw) == HEAD else None].decode("utf-8")
    except UnicodeDecodeError as error:
        if not (len(raw) == HEAD and error.start > HEAD - 8):
            return "cp1252", "bytes above 127 that are not UTF-8"
    return "utf-8", "all bytes are valid UTF-8"


def separator_of(lines: list[str]) -> tuple[str, str]:
    """The separator and decimal mark of the sample lines, those that read best.

    Raises:
        ReadingError: no table of readings.
    """
    tail = [x for x in lines if x.strip()]
    tail = tail[len(tail) // 2 :][-200:]
    best, chosen = 0.0, ("", "")
    for separator in _ORDER:
        rows = [split_line(x, separator) for x in tail]
        width, same = Counter(len(r) for r in rows).most_common(1)[0]
        if not 2 <= width <= MOST_COLUMNS:
            continue
        for decimal in (".", ","):
            cells = [c for r in rows if len(r) == width for c in r]
            if not cells:
                continue
            good = sum(1.0 if usable_cell(c, decimal) else 0.9 * _grouped(c) for c in cells) / len(cells)
            numbers = sum(number_in_cell(c, decimal) == number_in_cell(c, decimal) for c in cells)
            score = good * same / len(rows) if numbers else 0.0
            if score > best + 0.02:
                best, chosen = score, (separator, decimal)
    if best < 0.3:
        raise ReadingError(
            "no table of readings was found",
            read=repr(tail[0][:60]) if tail else "nothing",
            expected="lines with a time and readings between tabs, semicolons, commas, bars or spaces",
        )
    return chosen


def _grouped(cell: str) -> bool:
    return bool(_GROUPED.fullmatch(cell.strip()))


def layout_of(rows: list[list[str]], decimal: str, above: list[str]) -> TableLayout:
    """Where the samples begin in rows of cells; ``above`` holds the same rows as text.

    Raises:
        ReadingError: no rows with cells, or none that begins with a time.
    """
    widths = Counter(len(r) for r in rows[len(rows) // 2 :] if any(c.strip() for c in r))
    if not widths:
        raise ReadingError("no rows with cells")
    width = widths.most_common(1)[0][0]
    first = next((i for i in range(len(rows)) if _starts(rows, i, width, decimal)), None)
    if first is None:
        raise ReadingError(
            "no rows of readings with their times were found",
            read=repr(" ".join(rows[-1])[:60]),
            expected="rows that begin with a time and go on with numbers",
        )
    sample = tuple(tuple(r) for r in rows[first:] if len(r) == width)
    names, units = _header(rows[:first], width, decimal, sample)
    return TableLayout(sample, width, first, names, units, tuple(above[:first]))


def _starts(rows: list[list[str]], at: int, width: int, decimal: str) -> bool:
    """The row is a sample, and so is most of what follows, with its time written where theirs is."""
    if not _is_sample(rows[at], width, decimal):
        return False
    after = [r for r in rows[at + 1 : at + 21] if any(c.strip() for c in r)]
    whole = [r for r in after if len(r) == width]
    if whole and len(rows[at]) == width:
        for i in range(min(3, width)):
            stamped = sum(bool(looks_like(r[i].strip())) for r in whole) >= 0.8 * len(whole)
            if stamped and not looks_like(rows[at][i].strip()):
                return False
    return not after or sum(_is_sample(r, width, decimal) for r in after) >= 0.7 * len(after)


def _is_sample(row: list[str], width: int, decimal: str) -> bool:
    if not max(2, width - 2) <= len(row) <= width + 1:
        return False
    filled = [c for c in row if c.strip()]
    good = sum(usable_cell(c, decimal) or _grouped(c) or bool(unit_word(c)) for c in filled)
    stamped = any(
        looks_like(c.strip()) or number_in_cell(c, decimal) == number_in_cell(c, decimal) for c in row[:3]
    )
    return len(filled) >= 2 and stamped and good >= 0.6 * len(filled)


def _header(
    rows: list[list[str]], width: int, decimal: str, sample: Sequence[Sequence[str]] = ()
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Names and units from the rows above the samples, "" where a column has none."""
    names: list[str] = []
    units: list[str] = []
    for row in reversed(rows[-ROWS_OF_HEAD:]):
        cells = [c.strip() for c in row]
        while len(cells) > width and not cells[-1]:
            cells.pop()
        filled = [c for c in cells if c]
        if not filled or len(cells) > width or len(cells) < max(2, width - 1):
            if names:
                break
            continue
        if {c.lower() for c in filled} <= PROCESSING:
            continue
        as_units = sum(bool(unit_word(c)) for c in filled)
        if not units and as_units >= max(1, 0.5 * (len(filled) - 1)) and all(len(c) < 12 for c in filled):
            units = cells
        elif (not names or (_repeats(names) and not _repeats(cells))) and sum(
            usable_cell(c, decimal) for c in filled
        ) < 0.5 * len(filled):
            names = cells
    if 0 < len(names) < width and sample:
        bare = nameless(names, width, sample[:400], decimal)
        if bare < 0:
            return ("",) * width, ("",) * width
        if len(units) == len(names):
            units.insert(bare, "")
        names.insert(bare, "")
    if 0 < len(units) < width and sample:
        units.insert(unitless(units, sample[:400]), "")
    blank = [""] * width
    return tuple([*names, *blank][:width]), tuple([*units, *blank][:width])


def _repeats(cells: Sequence[str]) -> bool:
    """Whether most cells repeat another one: they say how readings were made, in whatever language, and are
    not names."""
    filled = [c.lower() for c in cells if c]
    return len(filled) >= 3 and len(set(filled)) <= 0.6 * len(filled)


def find_long(rows: Sequence[Sequence[str]], decimal: str) -> Long | None:
    """Whether rows of cells, all as wide, hold one reading each; None for a table. Heads that come again, and
    a few rows without the name of their channel, are passed over.

    Raises:
        ReadingError: one reading per row, but each with a time of its own.
    """
    found = _long_of(rows, decimal)
    rows = [r for r in rows if has_digits(r)]
    with suppress(
        ReadingError
    ):  # what came about by leaving rows out may be a table with a column of remarks
        found = found or _long_of(rows, decimal)
        for i in range(len(rows[0]) if rows else 0):
            named = [r for r in rows if r[i].strip()]
            if found is None and (1.0 - NAMELESS) * len(rows) < len(named) < len(rows):
                found = _long_of(named, decimal)
    return found


def _long_of(rows: Sequence[Sequence[str]], decimal: str) -> Long | None:
    if len(rows) < 12 or not 3 <= len(rows[0]) <= 6:
        return None
    columns = [[c.strip() for c in column] for column in zip(*rows, strict=True)]
    names = [i for i, c in enumerate(columns) if _named(c, decimal)]
    of_unit = [i for i in names if all(unit_word(x) for x in columns[i])]
    names = [i for i in names if i not in of_unit]
    of_unit += [i for i, c in enumerate(columns) if i not in names and len(set(c)) == 1 and unit_word(c[0])]
    values = [
        i
        for i, c in enumerate(columns)
        if i not in (*names, *of_unit) and _read(c, decimal) and not _stamped(c)
    ]
    if len(names) != 1 or not values or len(of_unit) > 1:
        return None
    at, value, unit = names[0], values[-1], of_unit[0] if of_unit else -1
    channels = tuple(dict.fromkeys(columns[at]))
    found = with_channels(Long(at, value, channels, unit), rows)
    moments = Counter(tuple(c for i, c in enumerate(r) if i not in found.taken) for r in rows)
    if sum(n >= 2 for n in moments.values()) < TOGETHER * len(moments):
        raise ReadingError(
            "one reading in a row, each with a time of its own: nothing tells which belong to one moment",
            read=" ".join(rows[0])[:60],
            expected="the readings of one scan under one time",
            todo="export the log as a table, one row for each scan",
        )
    return found


def with_channels(long: Long, rows: Sequence[Sequence[str]]) -> Long:
    """The same with every channel of the rows, each with the unit that stands beside it.

    Raises:
        ReadingError: a channel in two units, or more channels than a table has.
    """
    units: dict[str, str] = dict(zip(long.channels, long.units, strict=False))
    channels = dict.fromkeys(long.channels)
    for row in rows:
        name = row[long.name].strip()
        channels[name] = None
        if long.unit < 0:
            continue
        unit = row[long.unit].strip()
        if units.setdefault(name, unit) != unit:
            raise ReadingError(
                "a channel that is written in two units",
                where=name,
                read=f"{units[name]} and {unit}",
                todo="export the log with one unit for each channel",
            )
    if len(channels) > MOST_CHANNELS:
        raise ReadingError(
            "too many channels for one reading per row",
            read=f"{len(channels)} names",
            expected=f"{MOST_CHANNELS} at most",
        )
    return replace(long, channels=tuple(channels), units=tuple(units[c] for c in channels) if units else ())


def _named(cells: Sequence[str], decimal: str) -> bool:
    """A few words that occur again and again."""
    words = set(cells)
    if halves(cells) or not 2 <= len(words) <= min(MOST_CHANNELS, len(cells) // 3):
        return False
    return not any(_number(x, decimal) or x.lower() in MISSING or looks_like(x) for x in words)


def _number(text: str, decimal: str) -> bool:
    return number_in_cell(text, decimal) == number_in_cell(text, decimal)


def _read(cells: Sequence[str], decimal: str) -> bool:
    return sum(_number(c, decimal) or c.lower() in MISSING for c in cells) >= 0.9 * len(cells)


def _stamped(cells: Sequence[str]) -> bool:
    return sum(bool(looks_like(c)) for c in cells) >= 0.9 * len(cells)
