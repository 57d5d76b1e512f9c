"""What a helper makes of the words it is handed: which of its arguments are such, and what it answers.

A call that hands words to a function of the sources makes the argument of that function words too, and so on
from helper to helper. A flag, a number or a member of an enum that hangs on such an argument is an answer.
"""

from __future__ import annotations

import ast
import builtins
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache

from word_decisions import NAMED, Known, Scope, bound, scopes, within

Place = tuple[str, int]  # file, and the line where the function begins
NUMBERS = frozenset({"bool", "int", "float", "complex"})
# What they give says nothing of what a text says, or is looked at elsewhere (`len`, searches).
HARMLESS = {
    "len",
    "isinstance",
    "getattr",
    "hasattr",
    "callable",
    "type",
    "str",
    "repr",
    "bool",
    "any",
    "all",
}
HARMLESS |= {"map", "set", "frozenset", "list", "tuple", "sorted", "iter", "next", "enumerate", "zip", "abs"}
FILES = ("os.", "re.", "pathlib.", "numpy.", "math.")
LETTERS = {asked for asked in dir(str) if asked.startswith("is")}


@dataclass
class Sources:
    """Functions of some files, each by the names under which the others call it."""

    trees: Mapping[str, ast.AST]
    functions: dict[Place, ast.FunctionDef | ast.AsyncFunctionDef] = field(default_factory=dict)
    here: dict[str, dict[str, Place]] = field(default_factory=dict)  # file -> its own functions
    methods: dict[str, list[Place]] = field(default_factory=dict)
    enums: set[str] = field(default_factory=set)
    brought: dict[str, dict[str, str]] = field(default_factory=dict)  # file -> local name -> full name

    def __post_init__(self) -> None:
        for name, tree in self.trees.items():
            nodes = _all_nodes(tree)
            self.brought[name] = dict(_imported(nodes))
            classes = [n for n in nodes if isinstance(n, ast.ClassDef)]
            self.enums |= {n.name for n in classes if any(map(_is_enum, n.bases))}
            of_classes = {inner for n in classes for inner in n.body}
            tops = self.here.setdefault(name, {})
            for node in nodes:
                if isinstance(node, NAMED):
                    place = (name, node.lineno)
                    self.functions[place] = node
                    if node in of_classes:
                        self.methods.setdefault(node.name, []).append(place)
                    else:
                        tops[node.name] = place

    def called(self, name: str, func: ast.expr) -> list[Place]:
        """The function that a file means, or the methods that it may: of its own classes, else of all."""
        match func:
            case ast.Name(id=one):
                found = self.here[name].get(one) or self._full(self.brought[name].get(one, ""))
                return [found] if found else []
            case ast.Attribute(value=ast.Name(id=module), attr=one) if module in self.brought[name]:
                found = self._full(f"{self.brought[name][module]}.{one}")
                return [found] if found else []
            case ast.Attribute(attr=one):
                methods = self.methods.get(one, [])
                return [p for p in methods if p[0] == name] or methods
        return []

    def _full(self, dotted: str) -> Place | None:
        module, _, one = dotted.rpartition(".")
        path = module.removeprefix("panelmend.").replace(".", "/")
        for file in (f"{path}.py", f"{path}/__init__.py"):
            if one in self.here.get(file, ()):
                return self.here[file][one]
            if one in self.brought.get(file, ()):
                return self._full(self.brought[file][one])
        return None

    def gives_answer(self, returned: ast.expr | None) -> bool:
        """Whether what a function gives is a flag, a number or a member of an enum, or may be."""
        match returned:
            case None:
                return True  # it does not say
            case ast.Name(id=one) | ast.Attribute(attr=one):
                return one in NUMBERS or one in self.enums
            case ast.BinOp(left=left, right=right):
                return self.gives_answer(left) or self.gives_answer(right)
            case ast.Subscript(value=of, slice=ast.Tuple(elts=parts)) if ast.unparse(of) == "tuple":
                return any(map(self.gives_answer, parts))
            case ast.Subscript(value=of):
                return ast.unparse(of) == "Literal"
        return False

    def known(self, name: str, handed: Mapping[Place, frozenset[str]]) -> Known:
        """What is known of a file before it is read."""
        mine = {line: names for (file, line), names in handed.items() if file == name}
        return Known(says=self._says(name), handed=mine)

    def _says(self, name: str) -> frozenset[str]:
        """Functions that give a text, as a file calls them."""
        called = [n.func for n in _all_nodes(self.trees[name]) if isinstance(n, ast.Call) and _plain(n.func)]
        named = {ast.unparse(func): self.called(name, func) for func in called}
        return frozenset(call for call, found in named.items() if found and all(map(self._gives_text, found)))

    def _gives_text(self, place: Place) -> bool:
        returned = self.functions[place].returns
        return returned is not None and ast.unparse(returned) in ("str", "str | None")


def _is_enum(base: ast.expr) -> bool:
    return isinstance(base, ast.Name | ast.Attribute) and ast.unparse(base).endswith(("Enum", "Flag"))


def _plain(func: ast.expr) -> bool:
    return isinstance(func, ast.Name) or (
        isinstance(func, ast.Attribute) and isinstance(func.value, ast.Name)
    )


@cache
def _all_nodes(tree: ast.AST) -> tuple[ast.AST, ...]:
    return tuple(node for nodes, _ in scopes(tree) for node in nodes)


def _imported(nodes: Iterable[ast.AST]) -> Iterator[tuple[str, str]]:
    for node in nodes:
        match node:
            case ast.ImportFrom(module=str(module)):
                yield from ((a.asname or a.name, f"{module}.{a.name}") for a in node.names)
            case ast.Import():
                yield from ((a.asname or a.name, a.name) for a in node.names)


def handed(sources: Sources) -> dict[Place, frozenset[str]]:
    """Arguments of functions that are somewhere handed words, from helper to helper."""
    found: dict[Place, frozenset[str]] = {}
    says = {name: sources.known(name, {}) for name in sources.trees}
    waiting: Iterable[tuple[str, ast.AST, Known]] = [(n, tree, says[n]) for n, tree in sources.trees.items()]
    while waiting:
        grown: dict[Place, None] = {}
        for file, tree, known in waiting:
            for target, names in _hands_on(sources, file, tree, known):
                if not names <= found.get(target, frozenset()):
                    found[target] = found.get(target, frozenset()) | names
                    grown[target] = None
        waiting = [
            (p[0], sources.functions[p], Known(says=says[p[0]].says, handed={p[1]: found[p]})) for p in grown
        ]
    return found


def _hands_on(
    sources: Sources, file: str, tree: ast.AST, known: Known
) -> Iterator[tuple[Place, frozenset[str]]]:
    for nodes, here in scopes(tree, known):
        for node in nodes:
            if not isinstance(node, ast.Call):
                continue
            func, given = node.func, node.args
            if isinstance(func, ast.Name) and func.id in ("map", "filter") and given:
                func, given = given[0], given[1:]
            for target in sources.called(file, func):
                if names := frozenset(_taken(sources.functions[target], given, node.keywords, here)):
                    yield target, names


def _taken(
    function: ast.FunctionDef | ast.AsyncFunctionDef,
    given: list[ast.expr],
    named: list[ast.keyword],
    known: Known,
) -> Iterator[str]:
    """Arguments of a function, of those that take texts, to which words are given."""
    listed = [*function.args.posonlyargs, *function.args.args]
    listed = listed[1:] if listed and listed[0].arg in ("self", "cls") else listed
    takes = {a.arg for a in (*listed, *function.args.kwonlyargs) if _takes_text(a.annotation)}
    pairs = [(a.arg, value) for a, value in zip(listed, given, strict=False)]
    pairs += [(k.arg, k.value) for k in named if k.arg]
    yield from (name for name, value in pairs if name in takes and known.field(value))


def _takes_text(annotation: ast.expr | None) -> bool:
    return annotation is None or any(isinstance(n, ast.Name) and n.id == "str" for n in ast.walk(annotation))


def answers(sources: Sources, file: str, known: Known, scoped: Iterable[Scope]) -> Iterator[str]:
    """Helpers of a file whose answer hangs on words, and tests of what other code makes of words there."""
    for line, names in known.handed.items():
        function = sources.functions[(file, line)]
        if sources.gives_answer(function.returns) and _hangs(function, names):
            yield f"{function.name}({', '.join(sorted(names))})"
    for nodes, here in scoped:
        for node in nodes:
            yield from (ast.unparse(c) for test in _tests(node) for c in _others(sources, file, test, here))


def _tests(node: ast.AST) -> list[ast.expr]:
    match node:
        case ast.If(test=test) | ast.While(test=test) | ast.IfExp(test=test) | ast.Assert(test=test):
            return [test]
        case ast.comprehension(ifs=tests):
            return tests
        case ast.Compare(left=left, comparators=others):
            return [left, *others]
        case ast.Match(subject=subject):
            return [subject]
    return []


def _others(sources: Sources, file: str, test: ast.expr, known: Known) -> Iterator[ast.Call]:
    """Calls in a test that hand words to code that is not of the sources."""
    for call in ast.walk(test):
        match call:
            case ast.Call(func=ast.Attribute(value=of, attr=asked)) if asked in LETTERS:
                if known.field(of):
                    yield call
            case ast.Call() if _is_foreign(sources, file, call.func) and any(map(known.field, call.args)):
                yield call


def _is_foreign(sources: Sources, file: str, func: ast.expr) -> bool:
    """Whether a call goes to Python or a library, and to what may say yes or no of a text."""
    match func:
        case ast.Name(id=one):
            if one in sources.here[file] or one in HARMLESS:
                return False
            full = sources.brought[file].get(one, one if hasattr(builtins, one) else "")
        case ast.Attribute(value=ast.Name(id=module), attr=one):
            full = f"{sources.brought[file].get(module, 'panelmend')}.{one}"
        case _:
            return False
    return full != "" and not full.startswith(("panelmend", *FILES))


def _hangs(function: ast.AST, names: frozenset[str]) -> bool:
    """Whether what a function gives is made of these arguments, or given where a test of them says so."""
    nodes, made = within(function), set(names)

    def of_them(node: ast.AST) -> bool:
        return any(isinstance(n, ast.Name) and n.id in made for n in ast.walk(node))

    for _ in range(3):  # a name made of a name made of one
        for target, value in (pair for node in nodes for pair in bound(node)):
            if of_them(value):
                made |= {n.id for n in ast.walk(target) if isinstance(n, ast.Name)}

    def gives(node: ast.AST, under: bool) -> bool:
        if isinstance(node, ast.Return):
            return node.value is not None and (under or of_them(node.value))
        asked = [getattr(node, part, None) for part in ("test", "iter", "subject")]
        under = under or any(isinstance(a, ast.AST) and of_them(a) for a in asked)
        return any(
            gives(inner, under) for inner in ast.iter_child_nodes(node) if not isinstance(inner, NAMED)
        )

    return any(gives(inner, False) for inner in ast.iter_child_nodes(function))
