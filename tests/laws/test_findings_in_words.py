"""A finding speaks in the reader's words: the name of a field stands in brackets behind them, or nowhere."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator

import pytest

from examples_here import case, names
from panelmend.plan.make import make_plan
from source_trees import trees

FIELD = re.compile(r"\b[a-z]+(?:_[a-z0-9]+)+\b")
CODE = re.compile(r"[A-Z]\d{3}")
# What is typed again as it stands: the key of a figure, under [[confirm]].
KEYS = frozenset({"J001", "J002", "J003", "J110"})


def bare(words: str) -> list[str]:
    """Names of fields outside of brackets; what stands in backticks or quotes is typed as it is."""
    return FIELD.findall(re.sub(r"\[[^\]]*\]|`[^`]*`|\"[^\"]*\"", "", words))


def said(tree: ast.AST) -> Iterator[tuple[str, int, str]]:
    """Code, line and the words that stand in the source, of every finding that is made."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and CODE.fullmatch(node.func.id):
            for arg in node.args[:1]:
                asked = {c for n in ast.walk(arg) if isinstance(n, ast.Call) for c in ast.walk(n)}
                for part in ast.walk(arg):
                    if part not in asked and isinstance(part, ast.Constant) and isinstance(part.value, str):
                        yield node.func.id, node.lineno, part.value


def test_a_name_is_seen_outside_of_brackets_alone() -> None:
    assert bare("repairs already in the panel [earlier_repair]") == []
    assert bare("not typed: earlier_repair, directions.at_0") == ["earlier_repair", "at_0"]


def test_no_finding_is_written_with_a_bare_name() -> None:
    found, seen = [], 0
    for name, tree in trees().items():
        for code, line, words in said(tree):
            seen += 1
            if code not in KEYS and bare(words):
                found.append(f"{name}:{line}: {code} {words!r}")
    assert seen > 300
    assert found == [], "\n".join(found)


@pytest.mark.parametrize("name", names())
def test_no_plan_prints_a_bare_name(name: str) -> None:
    told = make_plan(case(name)).findings
    found = [f"{f.code} {f.words}" for f in told if f.code not in KEYS and bare(f.words)]
    assert found == [], "\n".join(found)
