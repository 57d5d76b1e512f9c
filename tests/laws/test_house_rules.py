"""Rules of the house that docs/house.md and CONTRIBUTING.md claim, held to the source."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterable, Iterator

import pytest

from impure_calls import reads
from panelmend import errors
from source_trees import trees

SAYING_UNITS = ("job", "physics", "shapes", "plan", "curelog", "survey")
KERNELS = ("derive", "shapes", "physics", "job", "plan")
UNIT = re.compile(r"\[[^\]]+\]")
NUMBERS = re.compile(r"\b(float|Array|NDArray|ndarray|FloatArray)\b")
SHAPE = re.compile(r"\(\w+,[^)]*\)|shape")
# A kernel that reads one: why.
MAY_READ = {
    "physics/heat/compiled.py": "the digest of the sources a compiled kernel is made of",
    "physics/thermocouple/curve.py": "the published reference functions, a table shipped with the package",
    "job/survey/calibration.py": "the calibrated lines, a table shipped with the package",
}


def _trees(*rooms: str) -> Iterator[tuple[str, ast.Module]]:
    for room in rooms:
        yield from ((name, tree) for name, tree in trees().items() if name.startswith(f"{room}/"))


def public(tree: ast.Module) -> Iterator[ast.FunctionDef]:
    """Functions of a file and methods of its public classes whose names do not begin with an underscore."""
    for node in tree.body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            yield node
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            for inner in node.body:
                if isinstance(inner, ast.FunctionDef) and not inner.name.startswith("_"):
                    yield inner


def numbers_of(function: ast.FunctionDef) -> tuple[list[str], bool]:
    """Names of the arguments that are numbers, and whether numbers are given; a formula says its units in
    the registry."""
    if any(
        isinstance(d, ast.Call) and getattr(d.func, "id", "") == "formula" for d in function.decorator_list
    ):
        return [], False
    every = [a for a in (*function.args.args, *function.args.kwonlyargs) if a.arg != "self"]
    taken = [a.arg for a in every if a.annotation is not None and NUMBERS.search(ast.unparse(a.annotation))]
    given = function.returns is not None and bool(NUMBERS.search(ast.unparse(function.returns)))
    return taken, given


def entries(words: str) -> tuple[dict[str, str], str]:
    """What a docstring says under Args of each argument, and what it says under Returns."""
    found: dict[str, str] = {}
    section, names, given = "", list[str](), ""
    for line in words.splitlines():
        if head := re.fullmatch(r"(Args|Returns|Yields|Raises|Source):.*", line):
            section = head[1]
        elif section == "Args" and (entry := re.match(r" {4}(\*{0,2}\w[\w, /]*?):(.*)", line)):
            names = [n.strip(" *") for n in re.split("[,/]", entry[1])]
            found |= dict.fromkeys(names, entry[2])
        elif section == "Args":
            found |= {n: f"{found[n]} {line}" for n in names}
        elif section in ("Returns", "Yields"):
            given += f" {line}"
    return found, given


def lacking(function: ast.FunctionDef) -> list[str]:
    """Numbers without a unit. Under Args and Returns each has its own; a docstring without these has one unit
    at least for what it takes and one for what it gives: "the extent [m] along a direction [rad]"."""
    words = ast.get_docstring(function) or ""
    taken, given = numbers_of(function)
    head, under, _ = words.partition("Args:")
    if not under:
        needed = bool(taken) + given
        return [f"{needed} units"] if len(UNIT.findall(words)) < needed else []
    said, result = entries(words)
    bad = [
        name
        for name in taken
        if not UNIT.search(said.get(name, "")) and not re.search(rf"``{name}[^`]*``[^.;]*\[", head)
    ]
    return [*bad, "return"] if given and not UNIT.search(head + result) else bad


def without_unit(tree: ast.Module) -> list[str]:
    """Public functions with numbers whose unit is not said: ``[m]``, ``[1]`` for a bare ratio."""
    return [f"{f.lineno} {f.name}: {', '.join(bad)}" for f in public(tree) if (bad := lacking(f))]


def test_public_functions_of_numbers_say_their_units() -> None:
    bad = [f"{name}:{where}" for name, tree in _trees(*SAYING_UNITS) for where in without_unit(tree)]
    assert bad == [], "\n".join(bad)


def test_a_function_without_units_is_seen() -> None:
    text = 'def long(x: float) -> float:\n    """Twice as long."""\n'
    assert without_unit(ast.parse(text)) == ["1 long: 2 units"]
    assert without_unit(ast.parse(text.replace("Twice", "Twice [m]"))) == ["1 long: 2 units"]
    assert not without_unit(ast.parse(text.replace("Twice as long", "Twice [m] as long as x [m]")))
    assert not without_unit(ast.parse(text.replace("def long", "def _long")))
    several = '''def long(x: float, y: float) -> float:
    """Longer.

    Args:
        x: a length [m].
        y: another.

    Returns:
        Both.
    """
'''
    assert without_unit(ast.parse(several)) == ["1 long: y, return"]
    assert not without_unit(ast.parse(several.replace("another", "another [m]").replace("Both", "Both [m]")))


def raised(function: ast.FunctionDef) -> set[str]:
    """Errors of the tree in :mod:`panelmend.errors` that a body raises itself, not in a function within."""
    found = set[str]()
    nodes: list[ast.AST] = list(function.body)
    while nodes:
        node = nodes.pop()
        if isinstance(node, ast.Raise) and isinstance(node.exc, ast.Call):
            found.add(getattr(node.exc.func, "id", ""))
        if not isinstance(node, ast.FunctionDef | ast.Lambda | ast.ClassDef):
            nodes += ast.iter_child_nodes(node)
    return {name for name in found if hasattr(errors, name)}


def untold(tree: ast.Module) -> list[str]:
    """Public functions without a docstring, or whose section Raises lacks an error that they raise."""
    bad = []
    for f in public(tree):
        words = ast.get_docstring(f) or ""
        _, _, section = words.partition("\nRaises:\n")
        lacks = [e for e in sorted(raised(f)) if not re.search(rf"^    {e}: .", section, re.M)]
        bad += [f"{f.lineno} {f.name}: {what}" for what in ([] if words else ["docstring"]) + lacks]
    return bad


def test_public_functions_have_a_docstring_and_say_what_they_raise() -> None:
    bad = [f"{name}:{where}" for name, tree in _trees(*SAYING_UNITS) for where in untold(tree)]
    assert bad == [], "\n".join(bad)


def test_an_error_that_is_not_told_is_seen() -> None:
    text = """def read(x):
    def own():
        raise ShapeError("no shape")
    if x:
        raise InputError("nothing")
    raise ValueError(x)
"""
    told = text.replace(
        "(x):\n", '(x):\n    """It.\n\n    Raises:\n        InputError: nothing.\n    """\n', 1
    )
    assert untold(ast.parse(text)) == ["1 read: docstring", "1 read: InputError"]
    assert not untold(ast.parse(told))
    assert untold(ast.parse(told.replace("InputError:", "RangeError:"))) == ["1 read: InputError"]
    assert untold(ast.parse(told.replace("Raises:", "InputError:"))) == ["1 read: InputError"]
    assert not untold(ast.parse(text.replace("def read", "def _read")))


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


@pytest.mark.parametrize(
    "text",
    [
        "np.load(x)",
        "import numpy\nnumpy.load(x)",
        "import numpy as n\nn.load(x)",
        "np.genfromtxt(x)",
        "np.memmap(x)",
        "np.fromfile(x)",
        "np.loadtxt(x)",
        "np.lib.format.open_memmap(x)",
        "tomllib.load(x)",
        "from tomllib import load\nload(x)",
        "from json import load as read\nread(x)",
        "datetime.now()",
        "datetime.now(UTC)",
        "datetime.datetime.utcnow()",
        "date.today()",
        "time.time()",
        "from time import time\ntime()",
        "from time import monotonic as clock\nclock()",
        "time.perf_counter()",
        "Path(x).exists()",
        "Path(x).is_file()",
        "list(Path(x).iterdir())",
        "folder.glob('*.toml')",
        "folder.rglob('*')",
        "np.save(x, y)",
        "open(x)",
    ],
)
def test_what_touches_a_file_or_asks_the_clock_is_seen(text: str) -> None:
    assert len(reads(ast.parse(text))) == 1


@pytest.mark.parametrize(
    "text",
    [
        "panel.load(x)",
        "tomllib.loads(x)",
        "json.dumps(x)",
        "def time(): ...\ntime()",
        "log.time(x)",
        "load(x)",
    ],
)
def test_what_only_sounds_so_is_not(text: str) -> None:
    assert reads(ast.parse(text)) == []


def test_kernels_read_no_files_and_ask_no_clock() -> None:
    bad = [f"{n}:{w}" for n, tree in _trees(*KERNELS) if n not in MAY_READ for w in reads(tree)]
    assert bad == [], "\n".join(bad)
    assert all(reads(trees()[n]) for n in MAY_READ), "no longer needed"
    assert reads(ast.parse("Path(x).read_text()")) == ["1 read_text()"]


def encoders(tree: ast.Module) -> list[str]:
    """Encoders of our own for JSON: a class of one, or a function given for what json cannot write."""
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.ClassDef) and any("JSONEncoder" in ast.unparse(b) for b in node.bases):
            found.append(f"{node.lineno} {node.name}")
        if isinstance(node, ast.Call) and ast.unparse(node.func).startswith("json."):
            given = [ast.unparse(k.value) for k in node.keywords if k.arg in ("default", "cls")]
            found += [f"{node.lineno} {g}" for g in given if g != "str"]
    return found


def test_nobody_writes_an_encoder_of_their_own() -> None:
    """What is read back is read and written by a model; what is only shown needs no more than ``json``."""
    assert [f"{name}:{where}" for name, tree in trees().items() for where in encoders(tree)] == []
    for seen in (
        "class Own(json.JSONEncoder): ...",
        "json.dumps(x, default=lambda o: 1)",
        "json.dump(x, cls=Own)",
    ):
        assert len(encoders(ast.parse(seen))) == 1
    assert encoders(ast.parse("json.dumps(x, default=str)\njson.JSONEncoder(sort_keys=True)")) == []


# Files that import each other, later in a function: why.
IN_CIRCLES = {
    ("app.cli", "app.cli_stand_by", "app.entry", "app.stand_by", "app.standing_ask"): (
        "a verb begins the process that stands by, which runs the verbs, and a verb typed asks it first"
    ),
}


def _read_in(nodes: Iterable[ast.AST]) -> Iterator[ast.Import | ast.ImportFrom]:
    """Imports of a file and of the functions in it; what is imported for types alone is never read in."""
    for node in nodes:
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test):
            yield from _read_in(node.orelse)
        elif isinstance(node, ast.Import | ast.ImportFrom):
            yield node
        elif isinstance(node, ast.stmt | ast.excepthandler | ast.match_case):
            yield from _read_in(ast.iter_child_nodes(node))


def _imported(tree: ast.Module, modules: set[str]) -> Iterator[str]:
    """Modules that this one reads in, while it is loaded or later."""
    for node in _read_in(tree.body):
        if isinstance(node, ast.Import):
            yield from (a.name for a in node.names if a.name.startswith("panelmend"))
        elif (node.module or "").startswith("panelmend"):
            for alias in node.names:
                whole = f"{node.module}.{alias.name}"
                yield whole if whole in modules else node.module or ""


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
    modules = {
        f"panelmend.{name.removesuffix('.py').replace('/', '.')}".removesuffix(".__init__"): tree
        for name, tree in trees().items()
    }
    names = set(modules)
    graph = {n: set(_imported(t, names)) & names for n, t in modules.items()}
    assert sum(map(len, graph.values())) > 1000
    assert {tuple(n.removeprefix("panelmend.") for n in c) for c in circles(graph)} == set(IN_CIRCLES)


def test_an_import_in_a_function_is_seen_and_one_for_types_is_not() -> None:
    source = """
from panelmend.a import x
if TYPE_CHECKING:
    from panelmend.b import y
def f():
    try:
        from panelmend import c
    except ImportError:
        import panelmend.d
class K:
    def g(self):
        with x:
            from panelmend.e import z
"""
    seen = set(_imported(ast.parse(source), {"panelmend.c"}))
    assert seen == {"panelmend.a", "panelmend.c", "panelmend.d", "panelmend.e"}


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
