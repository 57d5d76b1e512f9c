"""A class name stands for one thing: it needs no look at where it was imported from."""

from __future__ import annotations

import ast
from collections import defaultdict
from collections.abc import Iterable
from pathlib import Path

import panelmend

SOURCES = Path(panelmend.__file__).parent


def twice(texts: Iterable[tuple[str, str]]) -> dict[str, list[str]]:
    """Class names that more than one class has, with the files they stand in; of pairs of file and text."""
    found: defaultdict[str, list[str]] = defaultdict(list)
    for file, text in texts:
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.ClassDef):
                found[node.name].append(file)
    return {name: files for name, files in found.items() if len(files) > 1}


def test_no_class_name_stands_for_two_classes() -> None:
    texts = [(str(p.relative_to(SOURCES)), p.read_text("utf8")) for p in sorted(SOURCES.rglob("*.py"))]
    assert len(texts) > 500
    assert twice(texts) == {}


def test_a_name_that_stands_twice_is_found() -> None:
    assert twice([("a.py", "class Core: pass"), ("b.py", "class Core: pass\nclass Ply: pass")]) == {
        "Core": ["a.py", "b.py"]
    }
