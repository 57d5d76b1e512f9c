"""One question about a member decides for the others only where the reason is written down.

``test_members_named`` reads chains, questions with an else and tables that are asked. Here stand the forms in
which the others go on in silence: an answer that is the question itself, a choice by what something is not, a
question that leaves at once, a group of members with a name, and a ``match`` that takes any other.
"""

from __future__ import annotations

import ast

import pytest

from asked_members import Asking, groups
from member_sets import member_of, sets_of
from members_let_go import LET_GO
from panelmend.app.exits import of_plan
from panelmend.errors import Severity
from panelmend.plan.standing import DRAFTS, Standing
from source_trees import trees

GROUP = {"FACED": frozenset({"plain", "satin"})}


def asking(named: dict[str, frozenset[str]] | None = None) -> Asking:
    return Asking(sets_of, member_of, groups(trees(), member_of) if named is None else named)


def test_what_lets_the_others_go_has_its_reason() -> None:
    ask = asking()
    found = {(file, question) for file, tree in trees().items() for question in ask.seen(tree)}
    assert len(found) > 100
    assert found - set(LET_GO) == set(), "name every member and end in assert_never, or give the reason"
    assert set(LET_GO) - found == set(), "no longer there: off the list with them"
    assert all(len(why) > 20 for why in LET_GO.values())


def test_no_match_takes_any_other_in_silence() -> None:
    ask = asking()
    assert [(file, what) for file, tree in trees().items() for what in ask.bare(tree)] == []


@pytest.mark.parametrize(
    "text",
    [
        "def f(x): return x.weave == 'plain'",
        "def f(x): return x.weave != 'plain' and y",
        "def f(x): return not x.weave in ('plain', 'satin')",
        "def f(x): return y or x.weave in ('plain', 'satin')",
        "def f(c): return c is Severity.STOP",
        "a = 1 if weave != 'plain' else 2",
        "a = 1 if y and c is not Severity.STOP else 2",
        "a = 1 if not weave == 'plain' else 2",
        "def f(weave):\n if weave == 'plain': return 1\n return 2",
        "def f(weave):\n if weave != 'plain' and y: return 1\n return 2",
        "def f(weave):\n if weave == 'plain': return 1\n if y: return 3\n return 2",
        "for weave in x:\n if weave == 'plain': continue\n a()",
        "a = weave in FACED",
        "a = [x for x in y if x.weave not in m.FACED]",
    ],
)
def test_a_question_that_lets_others_go_is_seen(text: str) -> None:
    assert list(asking(GROUP).seen(ast.parse(text)))


@pytest.mark.parametrize(
    "text",
    [
        "def f(x): return x.side == 'outside' if y else 1",
        "a = 1 if weave == 'plain' else 2",  # seen by test_members_named
        "def f(x): return x.weave in ('plain', 'satin', 'twill', 'unidirectional')",
        "def f(weave):\n if weave == 'plain': return 1\n raise ValueError",
        "def f(weave):\n if weave == 'plain': return 1\n if weave == 'satin': return 2\n assert_never(weave)",
        "def f(weave):\n if weave == 'plain': raise ValueError\n return 2",
        "a = weave in OTHERS",
    ],
)
def test_what_names_or_refuses_the_others_stands(text: str) -> None:
    assert not list(asking(GROUP).seen(ast.parse(text)))


def test_a_match_that_takes_any_other_is_seen() -> None:
    text = "match x.weave:\n case 'plain': a()\n case 'satin' | 'twill': b()\n case _: c()"
    assert list(asking(GROUP).bare(ast.parse(text))) == ["x.weave"]
    for end in ("assert_never(x.weave)", "raise ValueError"):
        assert list(asking(GROUP).bare(ast.parse(text.replace("c()", end)))) == []
    assert list(asking(GROUP).bare(ast.parse(text.replace("x.weave", "x.roll")))) == []


def test_a_weight_and_a_standing_that_nobody_knows_are_not_ready() -> None:
    assert set(DRAFTS) == set(Severity)
    assert {s for s in Severity if DRAFTS[s]} == {Severity.CONFIRM, Severity.STOP}
    assert [of_plan(s, strict=True).value for s in Standing] == [6, 1, 0]
    assert [of_plan(s, strict=False).value for s in Standing] == [6, 0, 0]
    with pytest.raises(AssertionError, match="NEARLY"):
        of_plan("NEARLY", strict=False)  # type: ignore[arg-type]


def test_no_members_are_of_no_enumeration() -> None:
    """An empty group once ended in StopIteration."""
    assert sets_of(frozenset(), "weave") == []
