"""Dwells whose beginning no reading shows: loose contacts on the way up, a log that begins in the band. What
a hidden beginning could make right cannot be judged."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from judge_lines import limit
from judge_readings import book_of, dwell, shown, stretch
from judge_whole import NO, OPEN, YES
from panelmend.plan.judge import rules_dwell, rules_spread
from panelmend.plan.judge.spans import Span
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
    assert rules_spread.judge_lag(e, book_of(e), s) is OPEN


@pytest.mark.parametrize(
    ("start", "least", "outcome"),
    [
        (0.0, 90.0, YES),  # long enough without what came before the first reading
        (0.0, 91.0, OPEN),
        (0.001, 91.0, NO),  # its beginning was read
    ],
)
def test_a_log_that_begins_in_the_dwell(start: float, least: float, outcome: Outcome) -> None:
    """In the band for 90 s from the first reading on, or from a thousandth of a second after it."""
    e = shown([390.0] * 10 + [300.0] * 5)
    inside = Span(start, start + 90.0)
    s = stretch(dwell(dwell_least=limit(least)), start, 90.0, inside, entries=[("T1", start)])
    assert rules_dwell._time(e, book_of(e), s) is outcome


@pytest.mark.parametrize(("start", "outcome"), [(0.0, OPEN), (0.001, YES)])
def test_a_longest_dwell_of_a_log_that_begins_in_it(start: float, outcome: Outcome) -> None:
    e = shown([390.0] * 10 + [300.0] * 5)
    segment = dwell(dwell_least=limit(10.0), dwell_most=limit(500.0))
    s = stretch(segment, start, 95.0, entries=[("T1", start)])
    assert rules_dwell._most(e, book_of(e), s) is outcome


def _hurried(steps: list[float], least: float, stamp_step: float = 0.0, *, summed: bool = False) -> Outcome:
    """A dwell from the second sample to the last but one, of samples so many seconds apart."""
    times = np.concatenate([[0.0], np.cumsum(steps)])
    e = shown([300.0] + [390.0] * (times.size - 2) + [300.0], times=times, stamp_step=stamp_step)
    s = stretch(
        dwell(dwell_least=limit(least), summed=summed), times[1], times[-2], Span(times[1], times[-2])
    )
    return rules_dwell._time(e, book_of(e), s)


TEN = [10.0] * 10


@pytest.mark.parametrize(
    ("steps", "least", "outcome"),
    [
        # 21 steps of the dwell make 202 s, where one is two seconds: eight more may be hidden
        ([*TEN, 10.0, 2.0, *TEN, 10.0], 202.0, YES),
        ([*TEN, 10.0, 2.0, *TEN, 10.0], 210.0, OPEN),
        ([*TEN, 10.0, 2.0, *TEN, 10.0], 210.1, NO),
        ([*TEN, 10.0, 9.0, *TEN, 10.0], 209.1, NO),  # a tenth of a step less is none
        ([*TEN, 10.0, 8.9, *TEN, 10.0], 209.0, OPEN),
        ([*TEN, 4.0, 6.0, *TEN, 10.0], 205.0, NO),  # a row between two others
        ([2.0, *TEN, 10.0, *TEN, 10.0], 218.0, NO),  # before the dwell
        ([*TEN, 2.0, *TEN], 190.1, NO),  # 182 s and 8 s
    ],
)
def test_a_clock_set_back_by_less_than_a_sample(steps: list[float], least: float, outcome: Outcome) -> None:
    assert _hurried(steps, least) is outcome


def test_a_clock_set_back_again_and_again() -> None:
    """Twice eight seconds in 22 steps; three times in 33; one step in ten at the most."""
    two = [*TEN, 2.0, *TEN, 2.0, *TEN]
    assert [_hurried(two, x) for x in (300.0, 300.1)] == [OPEN, NO]
    often = [10.0, 10.0, 10.0, 2.0] * 8 + [10.0, 10.0]
    assert _hurried(often, 300.0) is NO


@pytest.mark.parametrize(("stamp_step", "outcome"), [(7.9, OPEN), (8.0, NO)])
def test_steps_that_coarse_stamps_make_hide_nothing(stamp_step: float, outcome: Outcome) -> None:
    assert _hurried([*TEN, 10.0, 2.0, *TEN, 10.0], 210.0, stamp_step) is outcome


def test_what_is_hidden_in_a_dwell_that_is_summed_is_summed() -> None:
    """Two stays of 92 s, with eight more in each."""
    e = shown([300.0] + [390.0] * 21 + [300.0], times=np.cumsum([0.0, *TEN[:5], 2.0, *TEN, 2.0, *TEN[:5]]))
    spans = Span(10.0, 102.0), Span(102.0, 194.0)
    for summed, least, outcome in (
        (True, 200.0, OPEN),
        (True, 200.1, NO),
        (False, 100.0, OPEN),
        (False, 100.1, NO),
    ):
        s = stretch(dwell(dwell_least=limit(least), summed=summed), 10.0, 194.0, *spans)
        assert rules_dwell._time(e, book_of(e), s) is outcome
