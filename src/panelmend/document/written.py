"""Values written into the text of a TOML file: every other byte of it, comments too, stays as typed."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Mapping
from copy import deepcopy
from datetime import date
from itertools import pairwise
from typing import Any

import tree_sitter_toml
from tree_sitter import Language, Node, Parser

from panelmend.document.places import Path, key_path
from panelmend.errors import InputError

Value = Any  # text, number, yes or no, day, list or table of them; None takes a value out
_BARE = re.compile(r"[A-Za-z0-9_-]+")


def written(text: str, changes: Mapping[Path, Value]) -> str:
    """The text with values put at paths, one after another; None takes one out.

    Raises:
        InputError: a value cannot be put there without touching others; what was there stays.
    """
    raw = tomllib.loads(text)
    for path, value in changes.items():
        wanted = with_value(raw, path, value)
        if wanted == raw:
            continue
        if (
            isinstance(value, Mapping)
            and isinstance(path[-1], int)
            and path[-1] == _row_count(raw, path[:-1])
        ):
            text, raw = appended(text, path[:-1], value), wanted
            continue
        text = _one(text, path, value)
        try:
            raw = tomllib.loads(text)
        except tomllib.TOMLDecodeError:
            raw = {}
        if raw != wanted:
            raise InputError(
                "this field cannot be written where it is",
                where=".".join(map(str, path)),
                todo="write it into the document's text by hand",
            )
    return text


def _row_count(raw: Mapping[str, Any], path: Path) -> int:
    """How many rows a list has; 0 where there is none."""
    at: Any = raw
    for part in path:
        try:
            at = at[part]
        except (KeyError, IndexError, TypeError):
            return 0
    return len(at) if isinstance(at, list) else 0


def appended(text: str, path: Path, row: Mapping[str, Value]) -> str:
    """The text with one more row in a list of tables, behind those that are there.

    Raises:
        InputError: it cannot be put there without touching others.
    """
    raw = tomllib.loads(text)
    at: Any = raw
    for part in path:
        at = at.get(part) if isinstance(at, dict) else None
    rows = at if isinstance(at, list) else []
    wanted = with_value(raw, path, [*rows, dict(row)])
    seen = SeenPlaces(text.encode("utf8"))
    data = text.encode("utf8")
    if path in seen.values and seen.values[path].type == "array":
        node = seen.values[path]
        items = [c for c in node.children if c.type not in ("[", "]", ",", "comment")]
        end = items[-1].end_byte if items else node.start_byte + 1
        between = b", " if items else b""
        made = (data[:end] + between + literal(row).encode("utf8") + data[end:]).decode("utf8")
    else:
        ending = "\r\n" if "\r\n" in text else "\n"
        heading = ".".join(_key(str(p)) for p in path)
        lines = [f"[[{heading}]]", *(f"{_key(k)} = {literal(v)}" for k, v in row.items())]
        made = text.rstrip() + 2 * ending + ending.join(lines) + ending
    try:
        now = tomllib.loads(made)
    except tomllib.TOMLDecodeError:
        now = {}
    if now != wanted:
        raise InputError(
            "this row cannot be written where the others are",
            where=".".join(map(str, path)),
            todo="write it into the document's text by hand",
        )
    return made


def literal(value: Value) -> str:
    """A value as TOML writes it; tables in braces."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _quoted(value)
    if isinstance(value, int | float):
        return repr(value)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{_key(k)} = {literal(v)}" for k, v in value.items()) + " }"
    return "[" + ", ".join(map(literal, value)) + "]"


def toml_string(text: str) -> str:
    """A basic string of TOML: as JSON has it, and DEL spelled out."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _quoted(text: str) -> str:
    plain = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(c if c.isprintable() else f"\\U{ord(c):08x}" for c in plain) + '"'


def _key(name: str) -> str:
    return name if _BARE.fullmatch(name) else _quoted(name)


def with_value(raw: dict[str, Any], path: Path, value: Value) -> dict[str, Any]:
    """A document's bare values with one put at a path, or behind the last of a list; None takes it out."""
    made = deepcopy(raw)
    at: Any = made
    for part, following in pairwise(path):
        if isinstance(at, dict) and part not in at and value is not None:
            at[part] = [] if following == 0 else {}
        try:
            at = at[part]
        except (KeyError, IndexError, TypeError):
            if value is None:
                return raw
            raise InputError("no such field", where=".".join(map(str, path))) from None
    if value is None:
        if isinstance(at, dict):
            at.pop(path[-1], None)
        return made
    if isinstance(at, list) and path[-1] == len(at):
        at.append(value)
        return made
    try:
        at[path[-1]] = value
    except (TypeError, IndexError):
        raise InputError("no such field", where=".".join(map(str, path))) from None
    return made


def _one(text: str, path: Path, value: Value) -> str:
    data = text.encode("utf8")
    seen = SeenPlaces(data)
    if value is None:
        start, end = seen.pair_with_its_room(path)
        return (data[:start] + data[end:]).decode("utf8")
    words = literal(value).encode("utf8")
    if path in seen.values:
        node = seen.values[path]
        return (data[: node.start_byte] + words + data[node.end_byte :]).decode("utf8")
    at, before, after = seen.room_for(path)
    if b"\r\n" in data:
        before, after = (x.replace(b"\n", b"\r\n") for x in (before, after))
    key = _key(str(path[-1])).encode("utf8")
    return (data[:at] + before + key + b" = " + words + after + data[at:]).decode("utf8")


class SeenPlaces:
    """Where values, pairs and tables stand in the bytes of a TOML text."""

    def __init__(self, data: bytes) -> None:
        self.data = data
        self.values: dict[Path, Node] = {}
        self.pairs: dict[Path, Node] = {}
        self.tables: dict[Path, Node] = {}
        self._counts: dict[Path, int] = {}
        root = Parser(Language(tree_sitter_toml.language())).parse(data).root_node
        for node in root.children:
            if node.type == "pair":
                self._pair(node, ())
            elif node.type in ("table", "table_array_element"):
                self._table(node)

    def _table(self, node: Node) -> None:
        key = next(c for c in node.children if c.type in ("bare_key", "dotted_key", "quoted_key"))
        path: Path = ()
        parts = key_path(key)
        for i, part in enumerate(parts):
            path = (*path, part)
            if i < len(parts) - 1 and path in self._counts:
                path = (*path, self._counts[path] - 1)
        if node.type == "table_array_element":
            count = self._counts.get(path, 0)
            self._counts[path] = count + 1
            path = (*path, count)
        self.tables[path] = node
        for child in node.children:
            if child.type == "pair":
                self._pair(child, path)

    def _pair(self, node: Node, above: Path) -> None:
        path = (*above, *key_path(node.children[0]))
        self.pairs[path] = node
        self._value(next(c for c in reversed(node.children) if c.type != "comment"), path)

    def _value(self, node: Node, path: Path) -> None:
        self.values[path] = node
        if node.type == "inline_table":
            for child in node.children:
                if child.type == "pair":
                    self._pair(child, path)
        elif node.type == "array":
            items = [c for c in node.children if c.type not in ("[", "]", ",", "comment")]
            for i, child in enumerate(items):
                self._value(child, (*path, i))

    def room_for(self, path: Path) -> tuple[int, bytes, bytes]:
        """Where a new pair goes, and what stands before and after it."""
        above = path[:-1]
        if above in self.values and self.values[above].type == "inline_table":
            table = self.values[above]
            pairs = [c for c in table.children if c.type == "pair"]
            if pairs:
                return pairs[-1].end_byte, b", ", b""
            return table.start_byte + 1, b" ", b" "
        if above in self.tables:
            node = self.tables[above]
            pairs = [c for c in node.children if c.type == "pair"]
            last = pairs[-1] if pairs else next(c for c in node.children if c.type in ("]", "]]"))
            return self._line_end(last.end_byte), b"\n", b""
        if any(isinstance(p, int) for p in above):
            raise InputError("no such field", where=".".join(map(str, path)))
        heading = ".".join(_key(str(p)) for p in above).encode("utf8")
        end = len(self.data.rstrip(b"\r\n \t"))
        return len(self.data), (b"\n" if end < len(self.data) else b"\n\n") + b"[" + heading + b"]\n", b"\n"

    def _line_end(self, at: int) -> int:
        """The end of the line a byte stands in, behind a comment."""
        found = self.data.find(b"\n", at)
        return len(self.data) if found < 0 else found - (self.data[found - 1 : found] == b"\r")

    def pair_with_its_room(self, path: Path) -> tuple[int, int]:
        """The bytes of a pair with its line, or with its comma in a table in braces."""
        if path not in self.pairs:
            raise InputError("no such field", where=".".join(map(str, path)))
        node = self.pairs[path]
        parent = node.parent
        if parent is None or parent.type != "inline_table":
            start = self.data.rfind(b"\n", 0, node.start_byte) + 1
            return start, min(len(self.data), self.data.find(b"\n", self._line_end(node.end_byte)) + 1)
        pairs = [c for c in parent.children if c.type == "pair"]
        i = next(i for i, p in enumerate(pairs) if p.start_byte == node.start_byte)
        if i + 1 < len(pairs):
            return node.start_byte, pairs[i + 1].start_byte
        return (pairs[i - 1].end_byte if i else node.start_byte), node.end_byte
