"""Whoever asks which member of an enumeration a thing is says what becomes of the others.

Walks the source. A chain of two or more questions about one thing ("if it is A ... elif it is B ... else")
may leave one member to its last branch, or raise; otherwise a member that somebody adds falls through to an
old one. A table of members that is asked with a fallback does the same in silence. One question with an
else ("A or anything else") stands only where the reason is said below that the answer is A's own; the others
are a ``match`` that ends in ``assert_never``, or a table of all members.
"""

from __future__ import annotations

import ast
from collections.abc import Iterable, Iterator
from functools import cache

import pytest

from member_sets import Members, member_of, sets_of
from source_trees import trees

# (file, what is asked): why more than one member may share the last branch or the fallback
ALLOWED = {
    (
        "records/package/check_package.py",
        "kind",
    ): "kinds of entries that carry no rule of their own are held by the chain alone",
    (
        "records/package/check_signed.py",
        "kind",
    ): "kinds of entries that no signature covers are held by the chain alone",
    ("render/request.py", "reason.kind"): "a size and an area are rounded up; the rest are typed or counted",
    ("units/showing.py", "kind"): "two of seventy kinds change their unit with size; the rest keep theirs",
    ("app/shelf_verbs.py", "head.shelf"): "panels, data and jobs alone name entries of other shelves",
    ("plan/judge/judging.py", "r.rule"): "only these rules have a usual value that a person confirms",
    ("shelves/choose.py", "by"): "what is sorted by words has no range, and no kind of number",
}

SIDES = "there are two sides, and two senses of bulging"
OWN = "a property of this member alone, that no other has"
# (what is asked, its member): why one question is enough
ALONE = {
    ("side", "outside"): SIDES,
    ("side", "inside"): SIDES,
    ("seen_from", "outside"): SIDES,
    ("bulges", "outside"): SIDES,
    ("worked", "outside"): SIDES,
    ("group", "finish"): "only what is spread over no plies has an amount that nobody can work out",
    ("hand", "left"): "a panel that has another hand is left or right, which the shelf's faults see to",
    ("by", "clamps"): "of what presses without a bag, clamps alone need a plate that spreads them",
    ("action", "pot"): "asked with what the operation lays; a core that is neither has no paste to spread",
    ("action", "replace"): "only a core that is replaced has a plug",
    ("ask", "person"): OWN,
    ("depth", "surface"): "only a damage of the finish is judged by depth alone",
    ("depth", "through"): "only a damage through both skins is worked from both",
    ("form", "circle"): "only a circle has one size and no angle",
    ("form", "ellipse"): "the search for an ellipse is quicker on arcs; any form may be searched on points",
    ("kind", "SegmentKind.DWELL"): "only a dwell has a held band",
    (
        "kind",
        "area",
    ): 'only an area is worded "of" its metal; a skin returns before, the rest stands under it',
    ("kind", "distance to a repair"): "has a code of its own",
    ("kind", "dwell"): "only a dwell is held",
    ("kind", "ratio"): "a bare number is a ratio; every other kind has units",
    ("kind", "spot"): "only a spot has a diameter",
    ("kind", "step signed"): OWN,
    ("kind", "time"): "only times have a unit that reports fix: minutes",
    ("kind", "tap"): "a tap is dull or sound, every other reading is a number",
    ("law", "autocatalytic"): "only this law has this constant",
    ("metal", "composite"): "of structure only composite is no metal; every metal passes as it is",
    ("mark", "instruments, lots"): OWN,
    ("moisture", "none found"): OWN,
    ("operation", "cut cloth"): "only cloth is darted",
    ("outcome", "Outcome.UNKNOWN"): "what cannot be judged has a code of its own",
    ("outlook", "Outlook.HOLDS"): "water left in the core takes back only what holds dry",
    ("outlook", "Outlook.UNTRIED"): OWN,
    ("part", "fill"): "a fill is laid with the plies where no operation is its own",
    ("role", "ChannelRole.THERMOCOUPLE"): "kept though it reads nothing: a lost sensor counts",
    ("role", "ChannelRole.VACUUM"): "only a vacuum is counted from ambient",
    ("role", "fill"): "a fill is laid with the plies where no operation is its own",
    ("role", "sanding"): "drawn dashed",
    ("self", "Withheld.SPACING"): OWN,
    ("sense", "Sense.EITHER"): "says nothing",
    ("sense", "absolute"): "only an absolute pressure is taken from ambient",
    ("severity", "Severity.STOP"): "only a stop is called out",
    (
        "shelf",
        "data",
    ): "approved data alone stands in tables of a manual, each with a place and a typist of its own",
    ("shelf", "panels"): "only a panel has another hand",
    ("shelf", "stores"): "stores are no entry that a repair is made from",
    ("standing", "Standing.READY"): "says nothing",
    ("use", "edge breather"): "a strip beside the others is drawn filled",
    ("use", "heat blanket"): "only the blanket is drawn in its own pen",
    ("kind", "coldest, far skin, hottest"): "of each there is one curve, called by its kind",
    ("weight", "stop"): "a caution has no stop to fall short of",
}


@cache
def _tables() -> dict[str, ast.Dict]:
    """Tables written at the top of a file, by name."""
    return {name: table for tree in trees().values() for name, table in _written(tree.body).items()}


def _written(nodes: Iterable[ast.AST]) -> dict[str, ast.Dict]:
    """Tables that are given a name, by it."""
    return {
        target.id: node.value
        for node in nodes
        if isinstance(node, ast.Assign | ast.AnnAssign) and isinstance(node.value, ast.Dict)
        for target in (node.targets if isinstance(node, ast.Assign) else [node.target])
        if isinstance(target, ast.Name)
    }


def _question(test: ast.expr) -> tuple[str, Members] | None:
    """What is asked and for which members; of several joined questions the first about members."""
    if isinstance(test, ast.BoolOp):
        return next((q for q in map(_question, test.values) if q), None)
    if not isinstance(test, ast.Compare) or len(test.ops) != 1:
        return None
    if not isinstance(test.ops[0], ast.Eq | ast.Is | ast.In):
        return None
    right = test.comparators[0]
    many = right.elts if isinstance(right, ast.Tuple | ast.Set | ast.List) else [right]
    asked = frozenset(m for m in map(member_of, many) if m)
    subject = ast.unparse(test.left)
    if len(asked) != len(many) or not sets_of(asked, subject.rpartition(".")[2]):
        return None
    return subject, asked


def _raises(body: list[ast.stmt], subject: str) -> bool:
    """Whether what is left is refused: at once, or all but one member of it."""
    if not body:
        return False
    first = body[0]
    if isinstance(first, ast.If) and isinstance(first.test, ast.Compare):
        unless = isinstance(first.test.ops[0], ast.IsNot | ast.NotEq)
        return unless and ast.unparse(first.test.left) == subject and _raises(first.body, subject)
    return isinstance(first, ast.Raise) or ast.unparse(first).startswith("assert_never(")


def _chains(body: list[ast.stmt]) -> Iterator[tuple[int, str, list[Members], bool]]:
    """Line, subject, members asked for and whether the end raises, of every chain in a block."""
    at = 0
    while at < len(body):
        first = body[at]
        at += 1
        if not isinstance(first, ast.If) or not (question := _question(first.test)):
            continue
        subject, asked, node = question[0], [], first
        while True:
            following = _question(node.test)
            if not following or following[0] != subject:
                rest: list[ast.stmt] = [node]
                break
            if not isinstance(node.body[-1], ast.Raise):  # a branch that refuses chooses nothing
                asked.append(following[1])
            rest = node.orelse
            if len(rest) == 1 and isinstance(rest[0], ast.If):
                node = rest[0]
                continue
            leaves = isinstance(node.body[-1], ast.Return | ast.Continue | ast.Raise)
            if not rest and leaves and at < len(body):
                if isinstance(body[at], ast.If):
                    node = body[at]  # type: ignore[assignment]
                    at += 1
                    continue
                rest = body[at:]
            break
        yield first.lineno, subject, asked, _raises(rest, subject)


def _choices(node: ast.IfExp) -> tuple[str, list[Members]]:
    question = _question(node.test)
    assert question is not None
    asked = [question[1]]
    rest = node.orelse
    while isinstance(rest, ast.IfExp) and (more := _question(rest.test)) and more[0] == question[0]:
        asked.append(more[1])
        rest = rest.orelse
    return question[0], asked


def falls_through(tree: ast.AST) -> Iterator[tuple[int, str, str]]:
    """Line, what is asked and the members nobody names, wherever more than one is left."""
    within = _written(ast.walk(tree))
    inner: set[int] = set()
    elses: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.If) and len(node.orelse) == 1 and isinstance(node.orelse[0], ast.If):
            elses.add(id(node.orelse))
        found: list[tuple[int, str, list[Members], bool]] = []
        for block in ("body", "orelse", "finalbody"):
            part = getattr(node, block, None)
            if isinstance(part, list) and id(part) not in elses:
                found += _chains(part)
        if isinstance(node, ast.IfExp) and id(node) not in inner and _question(node.test):
            subject, asked = _choices(node)
            found.append((node.lineno, subject, asked, False))
            rest = node.orelse
            while isinstance(rest, ast.IfExp):
                inner.add(id(rest))
                rest = rest.orelse
        if isinstance(node, ast.Call) and (table := _asked_table(node, within)):
            yield (node.lineno, *table)
        for line, subject, asked, raises in found:
            named = frozenset[str]().union(*asked)
            if len(asked) < 2 or raises:
                continue
            left = min((s - named for s in sets_of(named, subject.rpartition(".")[2])), key=len, default=None)
            if left is None or len(left) > 1:
                yield line, subject, ", ".join(sorted(left or ("no one enumeration",)))


def asked_alone(tree: ast.AST) -> Iterator[tuple[int, str, str]]:
    """Line, what is asked and for which member, of every single question that has an else."""
    inner: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.If | ast.IfExp):
            rest = node.orelse if isinstance(node.orelse, list) else [node.orelse]
            inner |= {id(rest[0])} if len(rest) == 1 else set()
        if not isinstance(node, ast.If | ast.IfExp) or id(node) in inner or not (q := _question(node.test)):
            continue
        if isinstance(node, ast.IfExp):
            alone = len(_choices(node)[1]) == 1
        else:
            first = node.orelse[0] if node.orelse else None
            following = _question(first.test) if isinstance(first, ast.If) else None
            alone = bool(node.orelse) and (following is None or following[0] != q[0])
            alone = alone and not _raises(node.orelse, q[0])
        if alone:
            yield node.lineno, q[0].rpartition(".")[2], ", ".join(sorted(q[1]))


def _asked_table(call: ast.Call, within: dict[str, ast.Dict]) -> tuple[str, str] | None:
    """``{member: ...}.get(thing, fallback)``, the table written there, beside it or atop a file."""
    if not isinstance(call.func, ast.Attribute) or call.func.attr != "get" or len(call.args) != 2:
        return None
    table: ast.expr | None = call.func.value
    if isinstance(table, ast.Name):
        table = within.get(table.id) or _tables().get(table.id)
    if not isinstance(table, ast.Dict) or not table.keys:
        return None
    asked = frozenset(m for m in (member_of(k) for k in table.keys if k) if m)
    subject = ast.unparse(call.args[0])
    if subject in ast.unparse(call.args[1]):  # what has no word of its own is said by its own name
        return None
    sets = sets_of(asked, subject.rpartition(".")[2]) if asked else []
    left = min((s - asked for s in sets), key=len, default=frozenset[str]())
    return (subject, ", ".join(sorted(left))) if len(left) > 1 else None


@cache
def every_fall() -> list[tuple[str, int, str, str]]:
    """Of the whole package: file, line, what is asked and the members nobody names."""
    return [(path, *fall) for path, tree in trees().items() for fall in falls_through(tree)]


@cache
def every_lone_question() -> list[tuple[str, int, str, str]]:
    """Of the whole package: file, line, what is asked and for which member."""
    return [(path, *question) for path, tree in trees().items() for question in asked_alone(tree)]


def test_no_member_falls_through() -> None:
    found = [
        f"{path}:{line}: {what}: nobody says what becomes of {left}"
        for path, line, what, left in every_fall()
        if (path, what) not in ALLOWED
    ]
    assert not found, "\n".join(found)


def test_a_question_alone_is_about_its_member() -> None:
    found = [
        f"{path}:{line}: {what} is {member}, or anything else"
        for path, line, what, member in every_lone_question()
        if (what, member) not in ALONE
    ]
    assert not found, "\n".join(found)


def test_every_reason_for_asking_alone_is_needed() -> None:
    assert {(what, member) for _, _, what, member in every_lone_question()} == set(ALONE)


@pytest.mark.parametrize("text", ["a = 1 if weave == 'plain' else 2", "if weave == 'plain': a()\nelse: b()"])
def test_a_question_alone_is_seen(text: str) -> None:
    assert [f[1:] for f in asked_alone(ast.parse(text))] == [("weave", "plain")]


def test_the_permitted_places_are_there() -> None:
    every = {(path, what) for path, _, what, _ in every_fall()}
    assert set(ALLOWED) <= every
    assert all(ALLOWED.values())


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("if weave == 'plain': a()\nelif weave == 'satin': b()\nelse: c()", "twill, unidirectional"),
        ("if weave == 'plain': a()\nelif weave == 'satin': b()", "twill, unidirectional"),
        (
            "def f(weave):\n if weave == 'plain': return 1\n if weave in ('satin',): return 2\n return 3",
            "twill",
        ),
        ("a = 1 if weave == 'plain' else 2 if weave == 'satin' else 3", "twill, unidirectional"),
        ("a = {'plain': 1, 'satin': 2}.get(x.weave, 3)", "twill, unidirectional"),
        ("def f(x):\n t = {'plain': 1, 'satin': 2}\n return t.get(x.weave, 3)", "twill, unidirectional"),
        ("if c is Severity.STOP: a()\nelif c is Severity.NOTE: b()", "Severity.CAUTION, Severity.CONFIRM"),
    ],
)
def test_what_falls_through_is_seen(text: str, left: str) -> None:
    assert [f for f in falls_through(ast.parse(text)) if f[2].startswith(left)]


@pytest.mark.parametrize(
    "text",
    [
        "if weave == 'plain': a()",
        "if weave == 'plain': a()\nelif weave == 'satin': b()\nelse: raise ValueError",
        "if weave == 'plain': a()\nelif weave == 'satin': b()\nelse: assert_never(weave)",
        "if weave == 'plain': a()\nelif weave in ('satin', 'twill'): b()\nelse: c()",
        "a = {'plain': 1, 'satin': 2, 'twill': 3}.get(x.weave, 3)",
    ],
)
def test_what_names_all_but_one_stands(text: str) -> None:
    assert not list(falls_through(ast.parse(text)))
