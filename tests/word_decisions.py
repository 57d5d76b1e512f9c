"""Where a source decides on a word meant for people, or on a name or id that people chose."""

from __future__ import annotations

import ast
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cache

FIELDS = {
    "what",
    "words",
    "title",
    "name",
    "id",
    "ident",
    "label",
    "text",
    "why",
    "note",
    "notes",
    "todo",
    "change",
    "place",
    "material",
    "channel",
    "sensor",
    "cloth",
    "circuit",
    "store",
    "part_number",
    "registration",
}
ATTRIBUTES = FIELDS | {"heading", "said", "summary"}  # a local of such a name is often no text
# Texts for people, of which neither how long they are nor which comes first means anything.
WORDED = {"what", "words", "title", "heading", "said", "summary", "name", "label", "id", "ident"}
SAYS = ATTRIBUTES | {"describe", "described"}  # functions that make such a text
ASKS = {"startswith", "endswith", "find", "rfind", "index", "rindex", "count"}
MATCHES = {"search", "match", "fullmatch", "findall", "finditer"}
TURNS = {
    "lower",
    "upper",
    "casefold",
    "title",
    "capitalize",
    "strip",
    "lstrip",
    "rstrip",
    "removeprefix",
    "removesuffix",
    "partition",
    "rpartition",
    "split",
    "rsplit",
    "splitlines",
    "replace",
    "translate",
    "encode",
    "get",
}
COPIES = {"str", "repr", "sorted", "set", "frozenset", "list", "tuple", "iter", "reversed", "enumerate"}
EQUALS = ast.Eq | ast.NotEq | ast.In | ast.NotIn
ORDERS = ast.Lt | ast.LtE | ast.Gt | ast.GtE
NAMED = ast.FunctionDef | ast.AsyncFunctionDef
FUNCTIONS = NAMED | ast.Lambda


@dataclass(frozen=True)
class Known:
    """Names of a function that were taken from fields, and those that stand for texts of the source."""

    fields: frozenset[str] = frozenset()
    texts: frozenset[str] = frozenset()
    says: frozenset[str] = frozenset()  # functions of the sources that give a text, as they are called here
    handed: Mapping[int, frozenset[str]] = field(default_factory=dict)  # line of a function: its arguments

    def text(self, node: ast.AST | None) -> bool:
        """Whether an expression is a text of the source, a table or group of such, or a constant's name."""
        match node:
            case ast.Constant():
                return isinstance(node.value, str) and node.value != ""
            case ast.Tuple() | ast.Set() | ast.List():
                return bool(node.elts) and all(map(self.text, node.elts))
            case ast.Dict():
                return bool(node.keys) and all(map(self.text, node.keys))
            case ast.JoinedStr():
                return True
            case ast.BinOp(op=ast.Add() | ast.BitOr()):
                return self.text(node.left) or self.text(node.right)
            case ast.Starred():
                return self.text(node.value)
            case ast.Call(func=ast.Name(id=called), args=[inner]):
                return called in COPIES and self.text(inner)
            case ast.Name():
                return node.id in self.texts or node.id.isupper()
            case ast.Attribute(value=ast.Name(id=module)):  # of a module: a member of an enum is no text
                return node.attr.isupper() and module.islower()
        return False

    def field(self, node: ast.AST | None) -> bool:
        """Whether an expression is such a field, a part of it, or made of it letter by letter."""
        match node:
            case ast.Attribute():
                return node.attr in ATTRIBUTES
            case ast.Name():
                return node.id in FIELDS or node.id in self.fields
            case ast.Subscript() | ast.NamedExpr() | ast.FormattedValue():
                return self.field(node.value)
            case ast.Call(func=ast.Attribute() as verb):
                if ast.unparse(verb) in self.says and any(map(self.field, node.args)):
                    return True
                made = verb.attr in SAYS and not isinstance(verb.value, ast.Constant)
                return made if verb.attr not in TURNS else self.field(verb.value)
            case ast.Call(func=ast.Name(id="getattr"), args=[_, ast.Constant(value=str(asked)), *_]):
                return asked in ATTRIBUTES
            case ast.Call(func=ast.Name(id=called)):
                copied = called in COPIES or called in self.says
                return called in SAYS - {"id"} or (copied and any(map(self.field, node.args)))
            case ast.GeneratorExp() | ast.ListComp() | ast.SetComp():
                return self.field(node.elt)
            case ast.BoolOp() | ast.JoinedStr():
                return any(map(self.field, node.values))
            case ast.IfExp():
                return self.field(node.body) or self.field(node.orelse)
        return False

    def more(self, nodes: Iterable[ast.AST]) -> Known:
        """With the names that these bind."""
        fields, texts = set(self.fields), set(self.texts)
        for target, value in (pair for node in nodes for pair in bound(node)):
            names = {n.id for n in ast.walk(target) if isinstance(n, ast.Name)}
            now = replace(self, fields=frozenset(fields), texts=frozenset(texts))
            if now.field(value):
                fields |= names
            elif now.text(value):
                texts |= names
        return replace(self, fields=frozenset(fields), texts=frozenset(texts))

    def into(self, function: ast.AST) -> Known:
        """With the arguments of a function to which words are handed."""
        mine = self.handed.get(getattr(function, "lineno", 0), frozenset())
        return replace(self, fields=self.fields | mine) if mine and isinstance(function, NAMED) else self


def bound(node: ast.AST) -> Iterator[tuple[ast.expr, ast.expr]]:
    match node:
        case ast.Assign():
            yield from ((t, node.value) for t in node.targets)
        case ast.AnnAssign(value=ast.expr() as value) | ast.NamedExpr(value=value):
            yield node.target, value
        case ast.For() | ast.comprehension():
            yield node.target, node.iter


@cache
def within(scope: ast.AST) -> tuple[ast.AST, ...]:
    """The nodes of a function in the order of the source, without those of functions in it."""
    made, waiting = list[ast.AST](), _children(scope)
    while waiting:
        node = waiting.pop()
        made.append(node)
        if not isinstance(node, FUNCTIONS):
            waiting += _children(node)
    return tuple(made)


def _children(node: ast.AST) -> list[ast.AST]:
    """What stands right below a node, the last first; not how a name is used, which nothing asks."""
    below: list[ast.AST] = []
    for part in reversed(node._fields):
        match getattr(node, part, None):
            case list(found):
                below += (x for x in reversed(found) if isinstance(x, ast.AST))
            case ast.AST() as found if part != "ctx":
                below.append(found)
    return below


Scope = tuple[tuple[ast.AST, ...], Known]


def scopes(tree: ast.AST, known: Known | None = None) -> Iterator[Scope]:
    """The nodes of a source and of every function in it, with what is known of the names there."""
    nodes = within(tree)
    known = (known or Known()).into(tree).more(nodes)
    yield nodes, known
    for node in nodes:
        if isinstance(node, FUNCTIONS):
            yield from scopes(node, known)


def decisions(scoped: Iterable[Scope]) -> Iterator[str]:
    """Tests of a field meant for people against a text of the source, as they stand in the source."""
    for nodes, here in scoped:
        for node in nodes:
            if decides(node, here):
                match = isinstance(node, ast.Match)
                yield f"match {ast.unparse(node.subject)}" if match else ast.unparse(node)


def decides(node: ast.AST, known: Known) -> bool:
    """Whether one comparison, match, search or table is asked with such a field."""
    match node:
        case ast.Compare():
            sides = [node.left, *node.comparators]
            alike = any(known.text(a) and known.field(b) for a in sides for b in sides if a is not b)
            if any(isinstance(op, ORDERS) for op in node.ops):
                written = any(isinstance(s, ast.Constant) and isinstance(s.value, str) for s in sides)
                return (alike and written) or _measured(node)
            return (alike and all(isinstance(op, EQUALS) for op in node.ops)) or _measured(node)
        case ast.Call(func=ast.Name(id="max" | "min"), keywords=[*keys]) if keys:
            return any(k.arg == "key" and _by_words(k.value) for k in keys)
        case ast.Match():
            patterns = (p for c in node.cases for p in ast.walk(c.pattern) if isinstance(p, ast.MatchValue))
            return known.field(node.subject) and any(known.text(p.value) for p in patterns)
        case ast.Subscript():
            return known.text(node.value) and known.field(node.slice)
        case ast.Call(func=ast.Attribute(value=of, attr=verb), args=[first, *_]):
            asked = any(map(known.field, node.args))
            if verb in ASKS:
                either = verb in ("startswith", "endswith") or known.text(of)
                return known.field(of) or (asked and either)
            return (verb in MATCHES and asked) or (verb == "get" and known.text(of) and known.field(first))
    return False


def _measured(node: ast.Compare) -> bool:
    """Whether it asks how long a field's text is, but for whether there is any."""
    sides = [node.left, *node.comparators]
    long = any(
        isinstance(s, ast.Call) and ast.unparse(s.func) == "len" and _of_words(s.args[0]) for s in sides
    )
    return long and any(isinstance(s, ast.Constant) and s.value not in (0, None) for s in sides)


def _of_words(node: ast.AST) -> bool:
    return isinstance(node, ast.Attribute) and node.attr in WORDED


def _by_words(key: ast.expr) -> bool:
    """Whether the greatest or least is sought by a text: a function of it, or one that gives it."""
    match key:
        case ast.Lambda(body=body):
            parts = body.elts[:1] if isinstance(body, ast.Tuple) else [body]
            return any(_of_words(p) or (isinstance(p, ast.Call) and _of_words(p.func)) for p in parts)
        case ast.Call(func=ast.Name(id="attrgetter"), args=[ast.Constant(value=str(asked)), *_]):
            return asked in WORDED
        case ast.Name(id=called) | ast.Attribute(attr=called):
            return called in WORDED | {"describe"}
    return False
