"""A row of a list of tables taken out of the text of a TOML file, and put back where it stood.

Every other byte stays as it was typed. A row goes with the comments in it and those right above its heading;
above the first of several they may be about the whole list, and stay.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from copy import deepcopy
from typing import Any

from tree_sitter import Node

from panelmend.document.places import Path
from panelmend.document.written import SeenPlaces
from panelmend.errors import InputError

BY_HAND = "change it in the document's text by hand"


def taken_out(text: str, path: Path, i: int) -> tuple[str, str]:
    """The text without a row of a list of tables, and what was taken out, as it was typed.

    Args:
        text: the document.
        path: where the list stands.
        i: which row, from 0.

    Raises:
        InputError: there is no such row, or it cannot be taken out without touching others.
    """
    raw = tomllib.loads(text)
    rows = rows_at(raw, path)
    if not 0 <= i < len(rows):
        raise InputError("there is no such row", where=dotted_key(path), read=str(i + 1))
    data = text.encode("utf8")
    seen = SeenPlaces(data)
    if path in seen.values:
        cuts = [_cut_of_item(data, _items(seen.values[path]), i)]
    else:
        cuts = list(_cuts_of_row(seen, (*path, i), alone=len(rows) == 1 or i > 0))
    row = b"".join(data[a:b] for a, b in cuts).decode("utf8")
    for a, b in reversed(cuts):
        data = data[:a] + data[b:]
    made = data.decode("utf8")
    wanted = [r for k, r in enumerate(rows) if k != i]
    _same_but(made, raw, path, wanted, "this row cannot be taken out where it stands")
    return made, row


def put_row_in(text: str, path: Path, i: int, row: str) -> str:
    """The text with a row that was taken out, at its old place in the list or behind the last.

    Raises:
        InputError: it cannot be put there without touching others.
    """
    raw = tomllib.loads(text)
    rows = rows_at(raw, path)
    i = min(i, len(rows))
    data, words = text.encode("utf8"), row.strip()
    seen = SeenPlaces(data)
    end = b"\r\n" if b"\r\n" in data else b"\n"
    if path in seen.values:
        items = _items(seen.values[path])
        bare = _row_in_brackets(words).encode("utf8")
        found = rows_of_words(row, path)
        alone = _items(SeenPlaces(bare).values[("x",)])
        if not alone:
            raise InputError("these words are no row", where=dotted_key(path), todo=BY_HAND)
        put = bare[alone[0].start_byte : alone[0].end_byte]
        said = bare[alone[0].end_byte : -2].strip().lstrip(b",").strip()
        said = b" " + said + end if said else b""  # the comment behind it
        line = data.find(b"\n", items[-1].end_byte) if items else -1
        if i < len(items):
            at, put = items[i].start_byte, put + b"," + (said or b" ")
        elif items and line >= 0 and line < seen.values[path].end_byte:  # one row in a line
            last = items[-1].end_byte
            comma = b"" if data[last:].lstrip()[:1] == b"," else b","
            indent = b" " * items[-1].start_point[1]
            data = data[:last] + comma + data[last:]
            at, put = line + len(comma) + 1, indent + put + b"," + (said or end)
        elif items:
            at, put = items[-1].end_byte, b", " + put + said
        else:
            at, put = seen.values[path].start_byte + 1, put + said
    else:
        found = rows_of_words(row, path)
        put = words.encode("utf8") + end
        if i < len(rows):
            at = seen.tables[(*path, i)].start_byte
            at, put = _comment_byte_above(data, at) if i else at, put + end
        elif rows:
            at, put = max(b for _, b in _cuts_of_row(seen, (*path, i - 1), alone=False)), end + put
        else:
            at, put = len(data), (b"" if data.endswith(b"\n") else end) + end + put
    made = (data[:at] + put + data[at:]).decode("utf8")
    _same_but(made, raw, path, [*rows[:i], *found, *rows[i:]], "this row cannot be put back where it stood")
    return made


def rows_at(raw: Any, path: Path) -> list[Any]:
    """The rows of a list; none where it does not stand."""
    at = raw
    for part in path:
        try:
            at = at[part]
        except (KeyError, IndexError, TypeError):
            return []
    return at if isinstance(at, list) else []


def rows_of_words(row: str, path: Path) -> list[Any]:
    """The one row that stands in the words that :func:`taken_out` gave; none where they are no row."""
    for words, way in ((row, [p for p in path if not isinstance(p, int)]), (_row_in_brackets(row), ["x"])):
        try:
            at: Any = tomllib.loads(words)
        except tomllib.TOMLDecodeError:
            continue
        for part in way:  # a row of another list above it is not in these words
            at = at.get(part, {}) if isinstance(at, dict) else {}
        if isinstance(at, list):
            return at
    return []


def _row_in_brackets(row: str) -> str:
    """A row from between brackets, with its comment."""
    return f"x = [{row.strip().lstrip(',').strip()}\n]"


def _same_but(made: str, raw: dict[str, Any], path: Path, rows: list[Any], refused: str) -> None:
    """See that a text says what it said, but for the rows of one list. Raises InputError."""
    try:
        now = tomllib.loads(made)
    except tomllib.TOMLDecodeError:
        now = {}
    if _without(now, path) != _without(raw, path) or rows_at(now, path) != rows:
        raise InputError(refused, where=dotted_key(path), todo=BY_HAND)


def _without(raw: dict[str, Any], path: Path) -> dict[str, Any]:
    """A document without a list, and without tables that nothing but the list made."""
    made = deepcopy(raw)
    way: list[Any] = [made]
    for part in path[:-1]:
        try:
            way.append(way[-1][part])
        except (KeyError, IndexError, TypeError):
            return made
    for at, part in zip(reversed(way), reversed(path), strict=True):
        if isinstance(at, dict):
            if at.get(part) in ({}, []) or part == path[-1]:
                at.pop(part, None)
            else:
                break
        else:
            break
    return made


def _items(array: Node) -> list[Node]:
    return [c for c in array.children if c.type not in ("[", "]", ",", "comment")]


def _cut_of_item(data: bytes, items: list[Node], i: int) -> tuple[int, int]:
    """The bytes of one item between brackets, with a comma and the comment behind it."""
    item, start, end = items[i], items[i].start_byte, items[i].end_byte
    line = data.find(b"\n", end)
    if i + 1 < len(items):
        following = items[i + 1].start_byte
        if items[i + 1].start_point[0] == item.end_point[0]:
            return start, following
        begin = line + 1
        while data[begin : begin + 1] in (b" ", b"\t"):
            begin += 1
        return start, begin
    if i == 0:
        comma = data[end:].lstrip()[:1] == b","
        return start, data.index(b",", end) + 1 if comma else end
    before = items[i - 1]
    if before.end_point[0] == item.start_point[0]:
        return before.end_byte, end
    close = data.find(b"]", end)
    begin = data.rfind(b"\n", 0, start) + 1
    return (begin, line + 1) if 0 <= line < close else (begin, end)


def _cuts_of_row(seen: SeenPlaces, row: Path, *, alone: bool) -> Iterator[tuple[int, int]]:
    """The bytes of a row and of the tables below it, as whole lines.

    ``alone``: what stands right above its heading is about this row and no other.
    """
    tables = sorted(seen.tables.items(), key=lambda t: t[1].start_byte)
    for k, (path, node) in enumerate(tables):
        if path[: len(row)] != row:
            continue
        start = node.start_byte
        if path != row or alone:
            start = _comment_byte_above(seen.data, start)
        following = tables[k + 1][1].start_byte if k + 1 < len(tables) else len(seen.data)
        yield start, _comment_byte_above(seen.data, following) if following < len(seen.data) else following


def _comment_byte_above(data: bytes, start: int) -> int:
    """Where the comment lines begin that stand right above a heading."""
    while start > 0:
        line = data.rfind(b"\n", 0, start - 1) + 1
        if not data[line:start].lstrip().startswith(b"#"):
            break
        start = line
    return start


def dotted_key(path: Path) -> str:
    """A path as scripts send it: names and numbers from nought, parted by dots."""
    return ".".join(map(str, path))
