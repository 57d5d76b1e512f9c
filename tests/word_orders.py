"""Where a source puts things in order by words, or heaps them up by words: what comes first may decide.

Printing in such an order decides nothing; each place says so in the table beside.
"""

from __future__ import annotations

import ast
from collections.abc import Iterable, Iterator

from word_decisions import ORDERS, SAYS, WORDED, Known, Scope

SORTS = {"sorted", "min", "max", "groupby", "nsmallest", "nlargest", "sort", "heappush", "insort"}
# What a name or an id finds is the thing itself; what a title finds is whatever is called so.
PEOPLES = WORDED - {"name", "id", "ident"}
HEAPS = {"setdefault", "get", "add", "pop", "discard", "remove"}
COUNTS = {"Counter", "fromkeys"}
PASSES = {"list", "tuple", "set", "frozenset", "reversed", "str"}


def orders(scoped: Iterable[Scope]) -> Iterator[str]:
    """Every order and every heap by words of a source, as it stands there."""
    for nodes, here in scoped:
        yield from (ast.unparse(n) for n in nodes if _sorts(n, here) or _heaps(n, here))
        for node in nodes:
            if isinstance(node, ast.ClassDef) and (first := _ordered_by(node)):
                yield f"class {node.name}: {first}"


def _sorts(node: ast.AST, known: Known) -> bool:
    match node:
        case ast.Compare():
            sides = [node.left, *node.comparators]
            return any(isinstance(o, ORDERS) for o in node.ops) and all(_worded(s, PEOPLES) for s in sides)
        case ast.Call(func=ast.Name(id=verb) | ast.Attribute(attr=verb)) if verb in SORTS:
            keys = [k.value for k in node.keywords if k.arg == "key"]
            if verb == "groupby":
                keys += node.args[1:]
            if keys:
                return any(_key(k, known) for k in keys)
            return any(_words(a, known) for a in node.args)
    return False


def _key(key: ast.expr, known: Known) -> bool:
    """Whether a key to sort by is, or holds, a text for people or a name."""
    match key:
        case ast.Lambda(body=body):
            return _words(body, known)
        case ast.Call(func=ast.Name(id="attrgetter"), args=asked):
            return any(isinstance(a, ast.Constant) and a.value in WORDED for a in asked)
        case ast.Attribute(value=ast.Name(id="str")):
            return True  # str.lower, str.casefold: of texts alone
        case ast.Name(id=called) | ast.Attribute(attr=called):
            return called in WORDED | SAYS or ast.unparse(key) in known.says
    return False


def _words(node: ast.AST, known: Known) -> bool:
    """Whether an expression is such a text or one of its parts, a row with one in it, or many of them."""
    match node:
        case ast.Tuple(elts=parts) | ast.List(elts=parts):
            return any(_words(p, known) for p in parts)
        case ast.Starred(value=inner) | ast.FormattedValue(value=inner):
            return _words(inner, known)
        case ast.GeneratorExp(elt=inner) | ast.ListComp(elt=inner) | ast.SetComp(elt=inner):
            return _words(inner, known)
        case ast.DictComp(key=inner):
            return _words(inner, known)
        case ast.BoolOp(values=parts) | ast.JoinedStr(values=parts):
            return any(_words(p, known) for p in parts)
        case ast.Call(func=ast.Name(id=called), args=[inner, *_]) if called in PASSES:
            return _words(inner, known)
        case ast.Name(id=one):
            return one in WORDED - {"what", "id", "name"} or one in known.fields
        case ast.Attribute(attr=one):
            return one in WORDED
    return isinstance(node, ast.Call | ast.Subscript | ast.IfExp) and known.field(node)


def _heaps(node: ast.AST, known: Known) -> bool:
    """Whether a group, a table or a set is kept by a text for people."""
    match node:
        case ast.Call(func=ast.Attribute(attr=verb), args=[key, *_]) if verb in HEAPS:
            return _worded(key, PEOPLES)
        case ast.Call(func=ast.Name(id=verb) | ast.Attribute(attr=verb), args=[ast.GeneratorExp(elt=key)]):
            return verb in COUNTS and _worded(key, PEOPLES)
        case ast.DictComp(key=key) | ast.SetComp(elt=key):
            return _worded(key, PEOPLES)
        case ast.Compare(left=key, ops=[ast.In() | ast.NotIn()], comparators=[ast.Name() | ast.Attribute()]):
            return _worded(key, PEOPLES)
        case ast.Subscript(slice=key, value=ast.Name() | ast.Attribute()):
            return _worded(key, PEOPLES)
    return False


def _worded(node: ast.AST, names: set[str]) -> bool:
    match node:
        case ast.Attribute(attr=one):
            return one in names
        case ast.Call(func=ast.Name(id=called)):
            return called in ("describe", "described")
        case ast.Call(func=ast.Attribute(attr=called)):
            return called in names and called != "title"
        case ast.Tuple(elts=parts):
            return any(_worded(p, names) for p in parts)
    return False


def _ordered_by(node: ast.ClassDef) -> str:
    """The field of words by which the members of a class with an order of its own are ordered, if any."""
    if not any("order=True" in ast.unparse(d) for d in node.decorator_list):
        return ""
    rows = [b.target.id for b in node.body if isinstance(b, ast.AnnAssign) and isinstance(b.target, ast.Name)]
    return next((r for r in rows if r in WORDED), "")
