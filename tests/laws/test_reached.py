"""Every definition of the program is reached by the program: what only tests ask for lives among the tests.

Counted by name: a name that stands twice and is used once is not seen here. Methods that begin and end with
two underscores are Python's own.
"""

from __future__ import annotations

import ast
from collections import Counter
from collections.abc import Iterator

from source_trees import trees

# Decorators that hand a definition to what calls it: verbs, answers of the server, checks of models.
HANDED_OVER = (
    "command",
    "verb",
    "get",
    "post",
    "put",
    "delete",
    "model_validator",
    "field_validator",
    "register",
)
# Called by a library under this name.
BY_LIBRARIES = {
    "readable": "io: whoever reads the stream asks",
    "readinto": "io: whoever reads the stream asks",
    "model_schema": "pydantic: the schema of the document",
    "dask_setup": "dask: a worker that starts",
    "find_class": "pickle: what may be read",
    "upgrade": "alembic: a move of the records",
    "downgrade": "alembic: a move of the records",
    "emit": "logging: a line of the server",
}
# Science that is held against published values by a way of its own, and that no stage asks for in this form.
HELD_AGAINST_BOOKS = {
    "even_grid": "benchmarks of plates",
    "solve_plate": "one case, as the benchmarks of plates are printed",
    "strain_at": "strains at a height, as the benchmarks of plates are printed",
    "lap": "single laps of the books",
    "honeycomb": "a core from its foil, as the handbooks give it",
    "invariants": "stiffness invariants, as the paper prints them",
}
# Asked for by scripts of this project that write or measure, and by tests of the same words.
BY_SCRIPTS = {
    "words_text": "scripts/words writes docs/words.md",
    "read_canonical": "scripts/typed_package.py reads a package by it",
}
# What tests look through, on purpose in one place beside what it shows.
LOOKED_THROUGH = {
    "replay": "every figure of a plan is its formula again",
    "find_faults": "the faults of a log without the report about them",
    "all_grounds": "every ground of a refusal is told in the docs",
    "cookie_name": "the name under which a browser keeps a session",
    "case_tables": "each case of an ensemble, against which its counts are held",
    "card_data": "what the pages of a card show, without the pages",
}


def _names(tree: ast.AST) -> Counter[str]:
    found: Counter[str] = Counter()
    for node in ast.walk(tree):
        if isinstance(node, ast.Name):
            found[node.id] += 1
        elif isinstance(node, ast.Attribute):
            found[node.attr] += 1
    return found


def _handed_over(node: ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef) -> bool:
    calls = [d.func for d in node.decorator_list if isinstance(d, ast.Call)]
    return any(
        c.attr in HANDED_OVER if isinstance(c, ast.Attribute) else getattr(c, "id", "") in HANDED_OVER
        for c in calls
    )


def _definitions(body: list[ast.stmt]) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef]:
    for node in body:
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            yield node
            if isinstance(node, ast.ClassDef):
                yield from _definitions(node.body)


def unreached(trees: dict[str, ast.Module]) -> dict[str, str]:
    """Names that are defined in these sources and asked for in none of them, each with its place."""
    used: Counter[str] = Counter()
    for tree in trees.values():
        used += _names(tree)
    found = {}
    for name, tree in trees.items():
        for node in _definitions(tree.body):
            own = 0 if isinstance(node, ast.ClassDef) else _names(node)[node.name]
            dunder = node.name.startswith("__") and node.name.endswith("__")
            if used[node.name] == own and not dunder and not _handed_over(node):
                found[node.name] = f"{name}:{node.lineno}"
    return found


def test_what_nothing_asks_for_is_seen() -> None:
    """A function that calls itself alone, a method, a class; not what is called or handed to a library."""
    code = {
        "a.py": "def lone(n):\n    lone(n - 1)\ndef used(): ...\nclass Gone:\n    def left(self): ...\n",
        "b.py": "import a\n@router.get('/x')\ndef shown():\n    a.used()\n@property\ndef bare(): ...\n",
    }
    parsed = {name: ast.parse(text) for name, text in code.items()}
    assert unreached(parsed) == {"lone": "a.py:1", "Gone": "a.py:4", "left": "a.py:5", "bare": "b.py:6"}


def test_every_definition_is_reached_or_listed_with_its_reason() -> None:
    listed = {**BY_LIBRARIES, **HELD_AGAINST_BOOKS, **BY_SCRIPTS, **LOOKED_THROUGH}
    assert all(listed.values())
    found = unreached(trees())
    assert {n: at for n, at in found.items() if n not in listed} == {}, (
        "use it, move it to the tests, or take it out"
    )
    assert set(listed) - set(found) == set(), "these are reached now: off the list with them"
