"""A class name stands for one thing: it needs no look at where it was imported from."""

from __future__ import annotations

import ast
from collections import defaultdict
from collections.abc import Iterable

from source_trees import trees


def twice(trees: Iterable[tuple[str, ast.Module]]) -> dict[str, list[str]]:
    """Class names that more than one class has, with the files they stand in; of pairs of file and source."""
    found: defaultdict[str, list[str]] = defaultdict(list)
    for file, tree in trees:
        for node in ast.walk(tree):
            if isinstance(node, ast.ClassDef):
                found[node.name].append(file)
    return {name: files for name, files in found.items() if len(files) > 1}


def test_no_class_name_stands_for_two_classes() -> None:
    assert len(trees()) > 500
    assert twice(trees().items()) == {}


def test_a_name_that_stands_twice_is_found() -> None:
    texts = [("a.py", "class Core: pass"), ("b.py", "class Core: pass\nclass Ply: pass")]
    assert twice((name, ast.parse(text)) for name, text in texts) == {"Core": ["a.py", "b.py"]}
