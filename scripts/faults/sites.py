"""Where a small fault can be planted in a source file, and what stands there then."""

from __future__ import annotations

import ast
from dataclasses import dataclass
from pathlib import Path

TURNED = {ast.Lt: "<=", ast.LtE: "<", ast.Gt: ">=", ast.GtE: ">", ast.Eq: "!=", ast.NotEq: "=="}
SWAPPED = {ast.Lt: ">", ast.LtE: ">=", ast.Gt: "<", ast.GtE: "<="}
SIGNS = {ast.Add: ("+", "-"), ast.Sub: ("-", "+"), ast.Mult: ("*", "/"), ast.Div: ("/", "*")}
WORDS = {"min": "max", "max": "min", "any": "all", "all": "any", "floor": "ceil", "ceil": "floor"}


@dataclass(frozen=True)
class Site:
    """One fault: the text of a span of a file and what replaces it."""

    path: Path
    line: int
    start: int
    end: int
    """Character offsets in the file."""
    kind: str
    was: str
    becomes: str

    def planted(self, text: str) -> str:
        """The file's text with the fault in it."""
        return text[: self.start] + self.becomes + text[self.end :]


def sites(path: Path) -> list[Site]:
    """Every fault that could be planted: comparisons, constants, signs, and/or, min/max, not, flags."""
    text = path.read_text("utf8")
    tree = ast.parse(text)
    starts = [0]
    for row in text.splitlines(keepends=True):
        starts.append(starts[-1] + len(row))
    rows = text.splitlines()

    def offset(line: int, column: int) -> int:
        before = rows[line - 1].encode()[:column].decode()
        return starts[line - 1] + len(before)

    found: list[Site] = []

    def add(node: ast.AST, start: int, end: int, kind: str, becomes: str) -> None:
        found.append(Site(path, node.lineno, start, end, kind, text[start:end], becomes))  # type: ignore[attr-defined]

    def between(left: ast.expr, right: ast.expr, symbol: str) -> tuple[int, int] | None:
        start = offset(left.end_lineno or 0, left.end_col_offset or 0)
        end = offset(right.lineno, right.col_offset)
        at = text.find(symbol, start, end)
        return None if at < 0 else (at, at + len(symbol))

    for node in _behaviour(tree):
        if isinstance(node, ast.Compare):
            left = node.left
            for op, right in zip(node.ops, node.comparators, strict=True):
                symbol = {
                    ast.Lt: "<",
                    ast.LtE: "<=",
                    ast.Gt: ">",
                    ast.GtE: ">=",
                    ast.Eq: "==",
                    ast.NotEq: "!=",
                }.get(type(op))
                span = between(left, right, symbol) if symbol else None
                if span:
                    add(node, *span, "limit itself", TURNED[type(op)])
                    if type(op) in SWAPPED:
                        add(node, *span, "comparison turned", SWAPPED[type(op)])
                left = right
        elif (
            isinstance(node, ast.Constant)
            and type(node.value) in (int, float)
            and node.lineno == node.end_lineno
        ):
            start = offset(node.lineno, node.col_offset)
            end = offset(node.end_lineno or 0, node.end_col_offset or 0)
            value = node.value
            becomes = repr(value * 1.1) if isinstance(value, float) and value else f"({value!r} + 1)"
            add(node, start, end, "constant", becomes)
        elif isinstance(node, ast.Constant) and type(node.value) is bool:
            start = offset(node.lineno, node.col_offset)
            add(node, start, start + len(repr(node.value)), "flag", repr(not node.value))
        elif isinstance(node, ast.BinOp) and type(node.op) in SIGNS:
            if isinstance(node.left, ast.Constant) and isinstance(node.left.value, str):
                continue
            symbol, other = SIGNS[type(node.op)]
            span = between(node.left, node.right, symbol)
            if span and text[span[1] : span[1] + 1] != symbol:
                add(node, *span, "sign", other)
        elif isinstance(node, ast.BoolOp):
            word, other = ("and", "or") if isinstance(node.op, ast.And) else ("or", "and")
            span = between(node.values[0], node.values[1], word)
            if span:
                add(node, *span, "and/or", other)
        elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
            start = offset(node.lineno, node.col_offset)
            add(node, start, start + 4, "not", "")
        elif isinstance(node, ast.Name) and node.id in WORDS:
            start = offset(node.lineno, node.col_offset)
            add(node, start, start + len(node.id), "least/most", WORDS[node.id])
    unique = {(s.start, s.end, s.becomes): s for s in found}
    return sorted(unique.values(), key=lambda s: (s.start, s.becomes))


def _behaviour(tree: ast.AST) -> list[ast.AST]:
    """Nodes that act: no annotations, decorators or f-strings."""
    kept: list[ast.AST] = []
    stack: list[ast.AST] = [tree]
    while stack:
        node = stack.pop()
        kept.append(node)
        for name, value in ast.iter_fields(node):
            if name in ("annotation", "returns", "decorator_list", "format_spec", "keywords_annotations"):
                continue
            if isinstance(node, ast.JoinedStr) or (isinstance(node, ast.Assign) and name == "type_comment"):
                continue
            for child in value if isinstance(value, list) else [value]:
                if isinstance(child, ast.AST):
                    stack.append(child)
    return kept
