"""Dwells whose beginning no reading shows: loose contacts on the way up, a log that begins in the band. What
a hidden beginning could make right cannot be judged."""

from __future__ import annotations

from typing import Any

import pytest

from judge_lines import limit
from judge_readings import book_of, dwell, shown, stretch
from judge_whole import NO, OPEN
from panelmend.plan.judge import rules_dwell
from panelmend.plan.judge.verdict import Outcome

NOBODY: Any = [("T1", None), ("T2", None)]


@pytest.mark.parametrize(("most", "outcome"), [(94.9, NO), (95.1, OPEN), (500.0, OPEN)])
def test_a_longest_dwell_that_none_was_read_to_come_to(most: float, outcome: Outcome) -> None:
    """In the band for the 95 s that are read, down through 385 K half way to 380 K; how long before that no
    reading shows."""
    e = shown([390.0] * 10 + [380.0] * 5, [390.0] * 9 + [380.0] * 6)
    s = stretch(dwell(dwell_least=limit(10.0), dwell_most=limit(most)), 0.0, 95.0, entries=NOBODY)
    assert rules_dwell._most(e, book_of(e), s) is outcome


def test_of_none_that_was_read_to_come_there_the_last_is_not_behind_the_first() -> None:
    e = shown([390.0] * 10, [390.0] * 10)
    s = stretch(dwell(lag_most=limit(60.0)), 0.0, 90.0, entries=NOBODY)
    assert rules_dwell._lag(e, book_of(e), s) is OPEN
