"""What is still to be looked up for a blank goes by what was set, never by how its words read."""

from __future__ import annotations

import ast
import re
from typing import Any, cast

import pytest

from panelmend.derive import Ledger
from panelmend.derive.figure import PRACTICE
from panelmend.job.card.part import Blank
from panelmend.job.card.writing import ASK, RECORD, TOLERANCE, Bound, number
from panelmend.records.doing.sheet import blank_of
from source_trees import trees


def test_every_bound_says_whether_it_is_open() -> None:
    assert [b for b in Bound if not b.is_open] == [RECORD]


def test_a_number_without_limits_asks_for_one_and_with_an_aim_for_a_tolerance() -> None:
    aim = Ledger().default("x", 0.1, "length", source=PRACTICE)
    assert number("x", "mm").said is ASK
    assert number("x", "mm", aim=aim).said is TOLERANCE
    assert number("x", "mm", low=aim).said == ""


@pytest.mark.parametrize(
    ("said", "ask"), [(RECORD, "record"), (ASK, "person"), ("write down", "person"), ("see table", "person")]
)
def test_a_reading_is_only_recorded_where_that_was_set(said: str, ask: str) -> None:
    """Words that happen to read "write down" leave the judgement with a person."""
    assert cast("Any", blank_of(Blank("x", None, None, "mm", said=said), "mm")).ask == ask


def test_no_other_words_ask_the_approved_data_for_a_limit() -> None:
    """A limit that is asked for in other words would stand on no list of what is to be looked up."""
    found = [
        (name, node.value)
        for name, tree in trees().items()
        for node in ast.walk(tree)
        if name.startswith("job/") and isinstance(node, ast.Constant) and isinstance(node.value, str)
        if re.search("(limit|tolerance): approved data", node.value)
    ]
    assert {name for name, _ in found} == {"job/card/writing.py"}
    assert {said for _, said in found} == {b.value for b in Bound if b.is_open}


def test_no_blank_has_the_words_of_a_bound_and_not_the_bound() -> None:
    """ "write down" typed out once more had a person asked for a limit that there is none of."""
    found = [
        (name, node.lineno)
        for name, tree in trees().items()
        for node in ast.walk(tree)
        if name.startswith("job/card/")
        and isinstance(node, ast.Constant)
        and node.value in {b.value for b in Bound}
    ]
    assert {name for name, _ in found} == {"job/card/writing.py"}, found
