"""Which places of the code are not asked for when every one is planted, and why."""

from __future__ import annotations

import ast
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sites import Site

SMALL = 1e-4  # a constant up to this is room for rounding


def not_asked(site: Site, text: str) -> str:
    """Why a place is not asked for, or ""."""
    if site.kind == "limit itself":
        return "room for rounding" if _has_room(_chain(ast.parse(text), text, site.start)) else ""
    if site.kind == "flag":
        about = [n for n in _chain(ast.parse(text), text, site.start) if isinstance(n, ast.keyword)]
        if any(n.arg == "overwrite_input" for n in about):
            return "whether memory of its own is used again"
        return "rows of equal length, said once more" if any(n.arg == "strict" for n in about) else ""
    if site.kind != "constant":
        return ""
    value = float(ast.literal_eval(site.was))
    if 0.0 < value <= SMALL:
        return "room for rounding"
    for node in _chain(ast.parse(text), text, site.start):
        if isinstance(node, ast.Subscript | ast.Slice) and isinstance(ast.literal_eval(site.was), int):
            return "a place in an array"
        if isinstance(node, ast.BinOp) and site.was == "1":
            other = node.right
            if isinstance(other, ast.Constant) and isinstance(other.value, float) and other.value <= SMALL:
                return "room for rounding"
        if isinstance(node, ast.keyword) and node.arg in ("decimals", "axis", "initial", "start"):
            return f"{node.arg} of a call"
        if isinstance(node, ast.Assign) and any("MOST_NAMED" in ast.unparse(t) for t in node.targets):
            return "how many are named"
    return ""


def _has_room(about: list[ast.AST]) -> bool:
    """Whether the innermost comparison has room for rounding: at its very edge nothing can be seen."""
    compared = [n for n in about if isinstance(n, ast.Compare)]
    if not compared:
        return False
    sums = [
        node
        for side in (compared[-1].left, *compared[-1].comparators)
        for node in ast.walk(side)
        if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add | ast.Sub)
    ]
    parts = [part for node in sums for part in (node.left, node.right)]
    return any(
        isinstance(p, ast.Constant) and isinstance(p.value, float) and 0.0 < p.value <= SMALL for p in parts
    )


def _chain(tree: ast.AST, text: str, start: int) -> list[ast.AST]:
    """The nodes about a character of the text."""
    line = text.count("\n", 0, start) + 1
    at = (line, len(text[text.rfind("\n", 0, start) + 1 : start].encode()))
    return [
        node
        for node in ast.walk(tree)
        if isinstance(node, ast.expr | ast.stmt | ast.keyword)
        and (node.lineno, node.col_offset) <= at < (node.end_lineno or 0, node.end_col_offset or 0)
    ]
