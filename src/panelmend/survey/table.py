"""A table of readings: how it would be read is proposed and shown first, then it is read; no line is lost."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

from panelmend.errors import ReadingError
from panelmend.files import opening
from panelmend.units import KINDS

LARGEST_READINGS_FILE = 200_000_000  # bytes
Kind = Literal["tap", "time", "ratio", "moisture"]
UNITS = ("mm", "cm", "m", "in", "ft")
WORDS = {
    "sound": 0.0, "s": 0.0, "good": 0.0, "ok": 0.0, "dull": 1.0, "d": 1.0, "bad": 1.0,
}  # fmt: skip
ANSWERS = {"0": 0.0, "no": 0.0, "n": 0.0, "false": 0.0, "1": 1.0, "yes": 1.0, "y": 1.0, "true": 1.0}
ASKED = {"dull": True, "bad": True, "damaged": True, "sound": False, "good": False, "ok": False}
ROLES = {
    "x": "x", "y": "y", "row": "row", "line": "row", "column": "column", "col": "column",
    "tap": "tap", "result": "tap", "sound": "tap", "dull": "tap", "bad": "tap", "damaged": "tap",
    "good": "tap", "ok": "tap", "heard": "tap", "reading": "value",
    "value": "value", "time": "time", "contact": "time", "ratio": "ratio", "moisture": "moisture",
}  # fmt: skip


@dataclass(frozen=True)
class TableProposal:
    """How a table would be read: show :meth:`shown`, change what is wrong with ``replace``, then read it."""

    name: str
    lines: tuple[str, ...]
    separator: str
    decimal: str
    header: tuple[str, ...]
    first: int
    places: tuple[int, int]
    on_grid: bool
    value: int
    kind: Kind
    unit: str
    why: tuple[str, ...]

    @property
    def asks(self) -> bool | None:
        """What a column of yes and no asks: whether it is dull (True) or sound (False); None: unknown."""
        words = re.findall(r"[a-z]+", self.header[self.value].lower()) if self.header else []
        asked = {ASKED[w] for w in words if w in ASKED}
        return asked.pop() if len(asked) == 1 and "not" not in words else None

    def shown(self) -> str:
        """What will be done, in words, with the first line as it is understood."""
        mark = {"\t": "tab", " ": "blanks"}.get(self.separator, repr(self.separator))
        names = self.header or tuple(f"column {i + 1}" for i in range(self._width()))
        where = ("row", "column") if self.on_grid else ("x", "y")
        asked = {True: ": yes is dull", False: ": yes is sound, no is dull", None: ""}[self.asks]
        text = [
            f"{self.name}: {len(self.lines) - self.first:,} lines, separator {mark}, "
            f"decimal {self.decimal!r}",
            f"  {where[0]} from {names[self.places[0]]!r}, {where[1]} from {names[self.places[1]]!r}"
            + (" on a grid" if self.on_grid else f", in {self.unit or '? (say the unit)'}"),
            f"  {self.kind} from {names[self.value]!r}{asked if self.kind == 'tap' else ''}",
        ]
        return "\n".join([*text, *(f"  because {w}" for w in self.why)])

    def _width(self) -> int:
        return len(split(self.lines[self.first], self.separator)) if self.first < len(self.lines) else 1


@dataclass(frozen=True)
class ReadingTable:
    """Readings of a table: (x, y, value) [unit of the file] or (row, column, value); ``faults`` by line."""

    proposal: TableProposal
    rows: tuple[tuple[float, float, float], ...]
    faults: tuple[str, ...]

    def in_metres(self) -> tuple[tuple[float, float, float], ...]:
        """Places [m]; for tables with x and y only."""
        scale, _ = KINDS["length"].units[self.proposal.unit]
        return tuple((x * scale, y * scale, v) for x, y, v in self.rows)

    def counted(self) -> str:
        """What was understood, in numbers, to be looked at before it is used."""
        values = [v for *_, v in self.rows]
        if self.proposal.kind == "tap":
            dull = sum(v == 1.0 for v in values)
            return f"  {len(values)} taps: {dull} dull, {len(values) - dull} sound"
        return f"  {len(values)} readings from {min(values):g} to {max(values):g}"


def propose_table(source: Path | str) -> TableProposal:
    """How a file (Path) or a pasted table (str) would be read.

    Raises:
        MissingError: no such file.
        ReadingError: it is empty, no text, or no column can be told to hold places and readings.
    """
    name, text = ("the pasted table", source) if isinstance(source, str) else (source.name, _text(source))
    lines = tuple(x for x in text.splitlines())
    full = [i for i, x in enumerate(lines) if x.strip() and not x.lstrip().startswith("#")]
    if not full:
        raise ReadingError("nothing in it", where=name, expected="lines of x, y and a reading")
    separator, why = _separator([lines[i] for i in full[:200]], name)
    cells = split(lines[full[0]], separator)
    titled = not any(_looks_number(c) for c in cells)
    first = full[1] if titled and len(full) > 1 else full[0] + (1 if titled else 0)
    body = [split(lines[i], separator) for i in full[1 if titled else 0 :][:200]]
    decimal = "," if any("," in c for row in body for c in row) and separator != "," else "."
    header = tuple(c.strip() for c in cells) if titled else ()
    made = _columns(header, body, name)
    places, on_grid, value, kind, more = made
    unit = "" if on_grid else _unit(header, places, name)
    return TableProposal(
        name, lines, separator, decimal, header, first, places, on_grid, value, kind, unit, (*why, *more)
    )


def read_table(p: TableProposal, unit: str = "", kind: Kind | None = None) -> ReadingTable:
    """Read a table as proposed, with ``unit`` and ``kind`` put right where they are given.

    Raises:
        ReadingError: no unit is known, or not one line can be read; with the first faults.
    """
    p = replace(p, unit=unit or p.unit, kind=kind or p.kind)
    if not p.on_grid and p.unit not in UNITS:
        raise ReadingError(
            "the unit of x and y is not known", where=p.name, read=p.unit or "none", expected=", ".join(UNITS)
        )
    rows, faults = [], []
    for number in range(p.first, len(p.lines)):
        line = p.lines[number]
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        try:
            rows.append(_row(p, split(line, p.separator)))
        except (ValueError, IndexError) as error:
            why = "a cell is missing" if isinstance(error, IndexError) else str(error)
            faults.append(f"line {number + 1}: {why}: {line[:60]!r}")
    if not rows:
        raise ReadingError(
            "not one line could be read", where=p.name, read="; ".join(faults[:3]) or "no lines",
            expected="x, y and a reading on each line",
        )  # fmt: skip
    return ReadingTable(p, tuple(rows), tuple(faults))


def split(line: str, separator: str) -> list[str]:
    """The cells of a line."""
    found = line.split() if separator == " " else line.split(separator)
    return [c.strip().strip('"').strip() for c in found]


def _text(path: Path) -> str:
    with opening(path):
        if path.stat().st_size > LARGEST_READINGS_FILE:
            raise ReadingError("too large for a table of readings", where=path.name, expected="below 200 MB")
        data = path.read_bytes()
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return str(data.decode("utf-16", errors="replace"))
    if b"\0" in data[:4096]:
        raise ReadingError("this is no text", where=path.name, expected="a CSV or text table")
    try:
        return str(data.decode("utf-8-sig"))
    except UnicodeDecodeError:
        return str(data.decode("cp1252", errors="replace"))


def _separator(lines: list[str], name: str) -> tuple[str, list[str]]:
    for mark in ("\t", ";", ",", " "):
        counts = Counter(len(split(x, mark)) for x in lines)
        width, often = counts.most_common(1)[0]
        if width >= 3 and often >= 0.6 * len(lines):
            odd = len(lines) - often
            return mark, [f"{often} of {len(lines)} lines have {width} cells"] if odd else []
    raise ReadingError(
        "no separator fits most lines", where=name, read=repr(lines[0][:60]),
        expected="three cells or more on a line, split by tab, semicolon, comma or blanks all through",
        todo="mixed separators: save the table again with one",
    )  # fmt: skip


def _looks_number(cell: str) -> bool:
    return bool(re.fullmatch(r"[+-]?\d+([.,]\d+)?([eE][+-]?\d+)?", cell.strip()))


def _columns(
    header: tuple[str, ...], body: list[list[str]], name: str
) -> tuple[tuple[int, int], bool, int, Kind, list[str]]:
    roles: dict[str, int] = {}
    for i, title in enumerate(header):
        for word in re.findall(r"[a-z]+", title.lower()):
            if word in ROLES:
                roles.setdefault(ROLES[word], i)
                break
    why = []
    if not header:
        roles, why = {"x": 0, "y": 1, "value": 2}, ["there are no column names: x, y, reading in this order"]
    on_grid = "row" in roles and "column" in roles
    first, second = ("row", "column") if on_grid else ("x", "y")
    value = next((r for r in ("tap", "time", "ratio", "moisture", "value") if r in roles), "")
    if first not in roles or second not in roles or not value:
        raise ReadingError(
            "the columns cannot be told apart", where=name, read=", ".join(header),
            expected="columns named x and y (or row and column), and tap, time, ratio or moisture",
        )  # fmt: skip
    at = roles[value]
    cells = [row[at].lower() for row in body if len(row) > at and row[at]]
    kind: Kind = "ratio" if value == "value" else value  # type: ignore[assignment]
    if value == "value" and cells and all(c in WORDS or c in ANSWERS for c in cells):
        kind = "tap"
    if value == "value":
        why.append(f"the readings look like {'taps' if kind == 'tap' else 'ratios to a sound place'}")
    return (roles[first], roles[second]), on_grid, at, kind, why


def _unit(header: tuple[str, ...], places: tuple[int, int], name: str) -> str:
    """The unit both places are in; the last word that is one ("x in mm" is in mm, "x mm" too)."""
    found = [
        [w for w in re.findall(r"[a-z]+", header[i].lower()) if w in UNITS] for i in places if i < len(header)
    ]
    units = {words[-1] for words in found if words}
    if len(units) > 1 or (units and not all(found)):
        raise ReadingError(
            "x and y are not in the same unit", where=name, read=", ".join(header[i] for i in places),
            expected="one unit for both", todo="write the table again in one unit",
        )  # fmt: skip
    return units.pop() if units else ""


def _row(p: TableProposal, cells: list[str]) -> tuple[float, float, float]:
    x, y = _cell_number(cells[p.places[0]], p.decimal), _cell_number(cells[p.places[1]], p.decimal)
    cell = cells[p.value]
    if p.kind == "tap":
        return x, y, _heard(p, cell)
    value = _cell_number(cell, p.decimal)
    if p.kind in ("time", "ratio") and value <= 0:
        raise ValueError(f"a {p.kind} must be above zero")
    return x, y, value


def _heard(p: TableProposal, cell: str) -> float:
    """0 for sound, 1 for dull; yes and no by what the column asks."""
    word = cell.lower()
    if word in WORDS:
        return WORDS[word]
    if word not in ANSWERS:
        raise ValueError(f"{cell!r} is neither sound nor dull" if cell else "no reading")
    if p.asks is None and word not in ("0", "1"):
        raise ValueError(f"{cell!r} to what? name the column sound or dull")
    return ANSWERS[word] if p.asks is None or p.asks else 1.0 - ANSWERS[word]


def _cell_number(cell: str, decimal: str) -> float:
    if not cell:
        raise ValueError("an empty cell")
    if not _looks_number(cell) or (decimal == "." and "," in cell):
        raise ValueError(f"{cell!r} is no number")
    return float(cell.replace(",", "."))
