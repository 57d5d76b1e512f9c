"""Where in a TOML text each value stands: line numbers for messages."""

from __future__ import annotations

import ast
from collections.abc import Iterator

import tree_sitter_toml
from tree_sitter import Language, Node, Parser

Path = tuple[str | int, ...]


class Places:
    """Line of each key path of a TOML text; a path not there answers with its nearest parent's line."""

    def __init__(self, text: str) -> None:
        parser = Parser(Language(tree_sitter_toml.language()))
        self._lines: dict[Path, int] = {(): 1}
        self._counts: dict[Path, int] = {}
        for node in parser.parse(text.encode("utf8")).root_node.children:
            if node.type == "pair":
                self._pair(node, ())
            elif node.type in ("table", "table_array_element"):
                self._table(node)

    def line(self, path: Path) -> int:
        """Line (from 1) of the value at ``path`` or of the nearest thing above it."""
        for end in range(len(path), -1, -1):
            if path[:end] in self._lines:
                return self._lines[path[:end]]
        return 1

    def _table(self, node: Node) -> None:
        key = next((c for c in node.children if c.type in ("bare_key", "dotted_key", "quoted_key")), None)
        if key is None:
            return
        path = self._resolved(key_path(key))
        if node.type == "table_array_element":
            index = self._counts.get(path, 0)
            self._counts[path] = index + 1
            self._lines.setdefault(path, node.start_point[0] + 1)
            path = (*path, index)
        self._above(path, node)
        self._lines[path] = node.start_point[0] + 1
        for child in node.children:
            if child.type == "pair":
                self._pair(child, path)

    def _above(self, path: Path, node: Node) -> None:
        """Tables that a heading or dotted name opens on its way stand where they are first named."""
        for end in range(1, len(path)):
            self._lines.setdefault(path[:end], node.start_point[0] + 1)

    def _resolved(self, path: Path) -> Path:
        """The path with the index of the last element put in after every array of tables on the way."""
        done: Path = ()
        for i, part in enumerate(path):
            done = (*done, part)
            if done in self._counts and i < len(path) - 1:
                done = (*done, self._counts[done] - 1)
        return done

    def _pair(self, node: Node, above: Path) -> None:
        if not node.children:
            return
        key, value = node.children[0], node.children[-1]
        path = (*above, *key_path(key))
        self._above(path, node)
        self._lines[path] = node.start_point[0] + 1
        self._value(value, path)

    def _value(self, node: Node, path: Path) -> None:
        if node.type == "inline_table":
            for child in node.children:
                if child.type == "pair":
                    self._pair(child, path)
        elif node.type == "array":
            items = [c for c in node.children if c.type not in ("[", "]", ",", "comment")]
            for i, child in enumerate(items):
                self._lines[(*path, i)] = child.start_point[0] + 1
                self._value(child, (*path, i))


def key_path(node: Node) -> Path:
    """The parts of a key as it stands in the text."""
    return tuple(_parts(node))


def _parts(node: Node) -> Iterator[str]:
    if node.type == "dotted_key":
        for child in node.children:
            if child.type != ".":
                yield from _parts(child)
        return
    text = (node.text or b"").decode("utf8")
    if text[:1] == "'":
        yield text[1:-1]  # a literal key: a backslash in it is a backslash
    elif text[:1] == '"':
        yield str(ast.literal_eval(text))
    else:
        yield text


def dotted(path: Path) -> str:
    """A path as it is written in messages, counted from one: data.cure[1].segment[3].to."""
    text = ""
    for part in path:
        text += f"[{part + 1}]" if isinstance(part, int) else (f".{part}" if text else part)
    return text
