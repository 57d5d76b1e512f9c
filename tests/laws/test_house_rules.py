"""Rules of the house that docs/house.md and CONTRIBUTING.md claim, held to the source."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

SRC = Path(__file__).parents[2] / "src" / "panelmend"
SAYING_UNITS = ("job", "physics", "shapes", "plan", "curelog", "survey")
KERNELS = ("derive", "shapes", "physics", "job", "plan")
UNIT = re.compile(r"\[[^\]]+\]")
NUMBERS = re.compile(r"\b(float|Array|NDArray|ndarray|FloatArray)\b")
SHAPE = re.compile(r"\(\w+,[^)]*\)|shape")
READS_FILES = {"open", "read_text", "read_bytes", "write_text", "write_bytes", "loadtxt", "fromfile"}
# A kernel that reads one: why.
MAY_READ = {
    "physics/heat/compiled.py": "the digest of the sources a compiled kernel is made of",
    "physics/thermocouple/curve.py": "the published reference functions, a table shipped with the package",
    "job/survey/calibration.py": "the calibrated lines, a table shipped with the package",
}


def _trees(*rooms: str) -> Iterator[tuple[str, ast.Module]]:
    for room in rooms:
        for path in sorted((SRC / room).rglob("*.py")):
            yield path.relative_to(SRC).as_posix(), ast.parse(path.read_text("utf8"))


def public(tree: ast.Module) -> Iterator[ast.FunctionDef]:
    """Functions of a file and methods of its public classes whose names do not begin with an underscore."""
    for node in tree.body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            yield node
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            for inner in node.body:
                if isinstance(inner, ast.FunctionDef) and not inner.name.startswith("_"):
                    yield inner


def numbers_in(function: ast.FunctionDef) -> bool:
    """Whether a function takes or gives numbers; a formula says its units in the registry."""
    if any(
        isinstance(d, ast.Call) and getattr(d.func, "id", "") == "formula" for d in function.decorator_list
    ):
        return False
    every = [*function.args.args, *function.args.kwonlyargs]
    annotations = [a.annotation for a in every if a.arg != "self"]
    return any(NUMBERS.search(ast.unparse(a)) for a in [*annotations, function.returns] if a is not None)


def without_unit(tree: ast.Module) -> list[str]:
    """Public functions of numbers whose words name no unit: ``[m]``, ``[1]`` for a bare ratio."""
    return [
        f"{f.lineno} {f.name}"
        for f in public(tree)
        if numbers_in(f) and not UNIT.search(ast.get_docstring(f) or "")
    ]


def test_public_functions_of_numbers_say_their_units() -> None:
    bad = [f"{name}:{where}" for name, tree in _trees(*SAYING_UNITS) for where in without_unit(tree)]
    assert bad == [], "\n".join(bad)


def test_a_function_without_units_is_seen() -> None:
    text = 'def long(x: float) -> float:\n    """Twice as long."""\n'
    assert without_unit(ast.parse(text)) == ["1 long"]
    assert not without_unit(ast.parse(text.replace("Twice", "Twice [m]")))
    assert not without_unit(ast.parse(text.replace("def long", "def _long")))


def arrays_without_shape(tree: ast.Module) -> list[str]:
    """Public functions that give an array and do not say its shape."""
    return [
        f"{f.lineno} {f.name}"
        for f in public(tree)
        if f.returns is not None
        and re.fullmatch(r"(Array|FloatArray|BoolArray|NDArray\[.*\])", ast.unparse(f.returns))
        and not SHAPE.search(ast.get_docstring(f) or "")
    ]


def test_public_functions_that_give_an_array_say_its_shape() -> None:
    bad = [f"{name}:{where}" for name, tree in _trees(*SAYING_UNITS) for where in arrays_without_shape(tree)]
    assert bad == [], "\n".join(bad)


def reads(tree: ast.Module) -> list[str]:
    """Calls that read or write a file."""
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
            if name in READS_FILES:
                found.append(f"{node.lineno} {name}()")
    return found


def test_kernels_read_no_files() -> None:
    bad = [f"{n}:{w}" for n, tree in _trees(*KERNELS) if n not in MAY_READ for w in reads(tree)]
    assert bad == [], "\n".join(bad)
    assert all(reads(dict(_trees(*KERNELS))[n]) for n in MAY_READ), "no longer needed"
    assert reads(ast.parse("Path(x).read_text()")) == ["1 read_text()"]


def _imported(name: str, tree: ast.Module, modules: set[str]) -> Iterator[str]:
    """Modules that are read while this one is loaded; what a function imports later makes no circle."""
    for node in tree.body:
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test):
            continue
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("panelmend"):
            for alias in node.names:
                whole = f"{node.module}.{alias.name}"
                yield whole if whole in modules else node.module or ""
        elif isinstance(node, ast.Import):
            yield from (a.name for a in node.names if a.name.startswith("panelmend"))


def circles(graph: dict[str, set[str]]) -> list[list[str]]:
    """Groups of files that import each other (Tarjan's strongly connected components)."""
    index: dict[str, int] = {}
    low: dict[str, int] = {}
    stack: list[str] = []
    found: list[list[str]] = []

    def visit(node: str) -> None:
        index[node] = low[node] = len(index)
        stack.append(node)
        for other in sorted(graph.get(node, ())):
            if other not in index:
                visit(other)
                low[node] = min(low[node], low[other])
            elif other in stack:
                low[node] = min(low[node], index[other])
        if low[node] == index[node]:
            group = []
            while True:
                group.append(stack.pop())
                if group[-1] == node:
                    break
            if len(group) > 1 or node in graph.get(node, ()):
                found.append(sorted(group))

    for node in sorted(graph):
        if node not in index:
            visit(node)
    return found


def test_no_files_import_each_other() -> None:
    trees = {}
    for path in sorted(SRC.rglob("*.py")):
        name = "panelmend." + path.relative_to(SRC).with_suffix("").as_posix().replace("/", ".")
        trees[name.removesuffix(".__init__")] = ast.parse(path.read_text("utf8"))
    names = set(trees)
    graph = {n: set(_imported(n, t, names)) & names for n, t in trees.items()}
    assert sum(map(len, graph.values())) > 1000
    assert circles(graph) == []


@pytest.mark.parametrize(
    ("graph", "found"),
    [
        ({"a": {"b"}, "b": {"c"}, "c": set[str]()}, []),
        ({"a": {"b"}, "b": {"c"}, "c": {"a"}}, [["a", "b", "c"]]),
        ({"a": {"b"}, "b": {"a"}, "c": {"a"}}, [["a", "b"]]),
    ],
)
def test_a_circle_is_seen(graph: dict[str, set[str]], found: list[list[str]]) -> None:
    assert circles(graph) == found
