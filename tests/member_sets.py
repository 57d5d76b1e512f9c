"""Enumerations of the sources: which members a field, an argument or an enum class may have."""

from __future__ import annotations

import ast
from collections import defaultdict
from functools import cache

from source_trees import trees

Members = frozenset[str]


def _text_members(annotation: ast.expr, aliases: dict[str, Members]) -> Members:
    found: set[str] = set()
    for node in ast.walk(annotation):
        if isinstance(node, ast.Subscript) and getattr(node.value, "id", "") == "Literal":
            inside = [c.value for c in ast.walk(node.slice) if isinstance(c, ast.Constant)]
            found |= {v for v in inside if isinstance(v, str)}
        elif isinstance(node, ast.Name):
            found |= aliases.get(node.id, frozenset())
    return frozenset(found)


@cache
def _enumerations() -> tuple[dict[str, set[Members]], dict[str, Members]]:
    """Sets of permitted texts by the names of fields and arguments; members of enum classes by class."""
    aliases: dict[str, Members] = {}
    classes: dict[str, Members] = {}
    for tree in trees().values():
        for node in ast.walk(tree):
            if isinstance(node, ast.Assign) and isinstance(node.value, ast.Subscript):
                if isinstance(node.targets[0], ast.Name) and _text_members(node.value, {}):
                    aliases[node.targets[0].id] = _text_members(node.value, {})
            elif isinstance(node, ast.ClassDef) and any("Enum" in ast.unparse(b) for b in node.bases):
                own = [s.targets[0] for s in node.body if isinstance(s, ast.Assign)]
                classes[node.name] = frozenset(f"{node.name}.{n.id}" for n in own if isinstance(n, ast.Name))
    fields: dict[str, set[Members]] = defaultdict(set)
    for tree in trees().values():
        for node in ast.walk(tree):
            if isinstance(node, ast.AnnAssign | ast.arg) and node.annotation is not None:
                name = node.arg if isinstance(node, ast.arg) else getattr(node.target, "id", "")
                members = _text_members(node.annotation, aliases)
                if name and members:
                    fields[name].add(members)
    return fields, classes


def sets_of(asked: Members, name: str) -> list[Members]:
    """Enumerations that hold everything asked."""
    fields, classes = _enumerations()
    if not asked:
        return []
    if all("." in m and m.split(".")[0] in classes for m in asked):
        return [classes[next(iter(asked)).split(".")[0]]]
    return [s for s in fields.get(name, ()) if asked <= s]


def member_of(node: ast.AST) -> str:
    """The member that an expression is, as it is written; "" for anything else."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if (
        isinstance(node, ast.Attribute)
        and isinstance(node.value, ast.Name)
        and node.value.id in _enumerations()[1]
    ):
        return f"{node.value.id}.{node.attr}"
    return ""
