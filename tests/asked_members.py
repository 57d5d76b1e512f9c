"""Where one question about a member lets any other go on, wherever it stands in a source.

Beside the chains that ``test_members_named`` reads: an answer that is the question itself, a choice by what
it is not, a question that leaves with what stands under it for all others, and a group with a name.
"""

from __future__ import annotations

import ast
from collections.abc import Callable, Iterator

Members = frozenset[str]
Sets = Callable[[Members, str], list[Members]]
Member = Callable[[ast.AST], str]
NEGATED = ast.NotEq | ast.IsNot | ast.NotIn
ASKS = ast.Eq | ast.Is | ast.In | NEGATED


def groups(trees: dict[str, ast.Module], member: Member) -> dict[str, Members]:
    """Groups of members that stand under a name at the top of a file."""
    found = {}
    for tree in trees.values():
        for node in tree.body:
            if isinstance(node, ast.Assign | ast.AnnAssign) and node.value is not None:
                target = node.targets[0] if isinstance(node, ast.Assign) else node.target
                inside = node.value
                if isinstance(inside, ast.Call) and ast.unparse(inside.func) in ("frozenset", "set", "tuple"):
                    inside = inside.args[0] if inside.args else inside
                if isinstance(target, ast.Name) and isinstance(inside, ast.Tuple | ast.Set | ast.List):
                    members = [member(e) for e in inside.elts]
                    if members and all(members):
                        found[target.id] = frozenset(members)
    return found


class Asking:
    """Questions about enumerations of more than two members."""

    def __init__(self, sets: Sets, member: Member, named: dict[str, Members]) -> None:
        self._sets, self._member, self._named = sets, member, named

    def seen(self, tree: ast.AST) -> Iterator[str]:
        """Every such question that decides for members nobody names, as it is written."""
        for node in ast.walk(tree):
            match node:
                case ast.Return(value=ast.Compare() | ast.BoolOp() | ast.UnaryOp() as value):
                    yield from self._within(value, negated=False)
                case ast.IfExp():
                    yield from self._within(node.test, negated=True)
                case ast.Compare(ops=[ast.In() | ast.NotIn()]):
                    yield from self._group(node)
            for block in ("body", "orelse", "finalbody"):
                part = getattr(node, block, None)
                if isinstance(part, list):
                    yield from self._guards(part)

    def bare(self, tree: ast.AST) -> Iterator[str]:
        """What a ``match`` about members asks whose last case takes any other in silence."""
        for node in ast.walk(tree):
            if isinstance(node, ast.Match):
                asked = [m for c in node.cases for m in self._of_case(c.pattern)]
                last = node.cases[-1]
                takes_all = isinstance(last.pattern, ast.MatchAs) and last.pattern.pattern is None
                subject = ast.unparse(node.subject)
                known = asked and self._sets(frozenset(asked), subject.rpartition(".")[2])
                ends = ast.unparse(last.body[0]).startswith(("assert_never(", "raise "))
                if takes_all and known and not ends:
                    yield subject

    def _of_case(self, pattern: ast.pattern) -> Iterator[str]:
        for node in ast.walk(pattern):
            if isinstance(node, ast.MatchValue) and self._member(node.value):
                yield self._member(node.value)

    def _of_many(self, node: ast.Compare, asked: Members) -> bool:
        sets = self._sets(asked, ast.unparse(node.left).rpartition(".")[2]) if asked else []
        return any(len(s) > 2 and s != asked for s in sets)

    def _within(self, test: ast.expr, *, negated: bool) -> Iterator[str]:
        match test:
            case ast.BoolOp():
                for value in test.values:
                    yield from self._within(value, negated=negated)
            case ast.UnaryOp(op=ast.Not()):
                yield from self._within(test.operand, negated=False)
            case ast.Compare(ops=[op], comparators=[right]) if isinstance(op, ASKS):
                many = right.elts if isinstance(right, ast.Tuple | ast.Set | ast.List) else [right]
                asked = [self._member(m) for m in many]
                meant = not negated or isinstance(op, NEGATED)
                if meant and all(asked) and self._of_many(test, frozenset(asked)):
                    yield ast.unparse(test)

    def _group(self, node: ast.Compare) -> Iterator[str]:
        right = node.comparators[0]
        name = right.attr if isinstance(right, ast.Attribute) else getattr(right, "id", "")
        if name in self._named and self._of_many(node, self._named[name]):
            yield ast.unparse(node)

    def _guards(self, body: list[ast.stmt]) -> Iterator[str]:
        for at, node in enumerate(body):
            if not isinstance(node, ast.If) or node.orelse or at + 1 == len(body):
                continue
            if not isinstance(node.body[-1], ast.Return | ast.Continue):
                continue
            asked = list(self._within(node.test, negated=False))
            if asked and not self._refused(body[at + 1 :], node):
                yield from asked

    def _refused(self, rest: list[ast.stmt], first: ast.If) -> bool:
        """Whether a chain of such questions about one thing ends where any other is refused."""
        subject = self._subject(first.test)
        for node in rest:
            if isinstance(node, ast.If) and self._subject(node.test) == subject:
                if isinstance(node.body[-1], ast.Raise) or ast.unparse(node.body[-1]).startswith(
                    "assert_never("
                ):
                    return True
                continue
            return isinstance(node, ast.Raise) or ast.unparse(node).startswith("assert_never(")
        return False

    def _subject(self, test: ast.expr) -> str:
        inner = next((n for n in ast.walk(test) if isinstance(n, ast.Compare)), None)
        return ast.unparse(inner.left) if inner is not None else ""
