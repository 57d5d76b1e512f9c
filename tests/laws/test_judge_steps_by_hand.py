"""Stamps that stand or come too soon, and dwells cut by them: at the very limit, by hand. Readings are ten
seconds apart where nothing else is said."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from judge_lines import limit, recipe
from judge_readings import book_of, dwell, shown, stretch
from judge_whole import NO, OPEN, YES
from panelmend.plan.judge import rules_dwell
from panelmend.plan.judge.faults_clock import stood_before_gaps
from panelmend.plan.judge.faults_joint import jump_faults
from panelmend.plan.judge.log import CureLog
from panelmend.plan.judge.recipe import RecipeSegment, SegmentKind
from panelmend.plan.judge.spans import Span
from panelmend.plan.judge.verdict import Outcome
from panelmend.plan.judge.walk import _way_to_hotter

# a clock that stood


def test_a_clock_that_stood_before_the_last_reading() -> None:
    """Three rows of one stamp, of which a second holds one; alone behind the gap is the last."""
    times = np.array([0.0, 10.0, 20.0, 20.0, 20.0, 120.0])
    assert stood_before_gaps(CureLog(times, (), stamp_step=1.0), 50.0) == [(2, 4)]


def test_a_single_row_before_a_gap_is_no_clock_that_stood() -> None:
    times = np.array([0.0, 100.0, 110.0, 210.0])
    assert stood_before_gaps(CureLog(times, (), stamp_step=0.0), 50.0) == []


def test_in_a_long_log_a_clock_that_stood_is_found_where_it_is() -> None:
    """Beyond the 65,536 rows that are looked at together, and where two such parts meet."""
    for at in (65_534, 65_535, 65_536, 70_000):
        times = np.arange(70_010.0)
        times[at - 2 : at + 1] = times[at - 2]
        times[at + 1 :] += 100.0
        assert stood_before_gaps(CureLog(times, (), stamp_step=1.0), 50.0) == [(at - 2, at)]


@pytest.mark.parametrize(("row", "jumps"), [(8, 1), (9, 0), (12, 0)])
def test_from_the_first_row_of_a_stamp_that_stood_a_jump_is_none(row: int, jumps: int) -> None:
    """Down by twenty kelvin behind the row; the clock stands from row 9 to 13, and a gap follows."""
    times = np.concatenate([np.arange(10) * 10.0, np.full(4, 90.0), 190.0 + np.arange(10) * 10.0])
    temps = np.where(np.arange(24) <= row, 390.0, 370.0)
    e = shown(temps, temps, times=times, gap=50.0, stamp_step=1.0)
    assert len(jump_faults(e.log, e.checked.temps, 50.0)) == jumps


# steps shorter than usual

TEN = [10.0] * 10


def _hurried(
    steps: list[float], least: float, *inside: tuple[int, int], summed: bool = False
) -> tuple[Outcome, str]:
    """A dwell from the second sample to the last but one, or in these, of samples so many seconds apart."""
    times = np.concatenate([[0.0], np.cumsum(steps)])
    e = shown([300.0] + [390.0] * (times.size - 2) + [300.0], times=times)
    spans = [Span(times[a], times[b]) for a, b in inside or [(1, times.size - 2)]]
    book = book_of(e)
    s = stretch(dwell(dwell_least=limit(least), summed=summed), spans[0].start, spans[-1].end, *spans)
    return rules_dwell._time(e, book, s), " ".join(r.words for r in book.reasons)


@pytest.mark.parametrize(
    ("rows", "least", "outcome"),
    [
        (20, 180.0, OPEN),  # two of twenty: 18 steps in the dwell, two of them 8 s too short
        (20, 180.1, NO),
        (19, 154.0, YES),  # two of nineteen are more than one in ten
        (19, 154.1, NO),
    ],
)
def test_one_step_in_ten_may_be_short(rows: int, least: float, outcome: Outcome) -> None:
    steps = [10.0] * rows
    steps[5] = steps[12] = 2.0
    assert _hurried(steps, least)[0] is outcome


@pytest.mark.parametrize(
    ("short", "inside", "least", "outcome"),
    [
        (1, (1, 21), 200.0, OPEN),  # the first step of the dwell: 192 s, and eight
        (0, (1, 21), 200.1, NO),
        (20, (1, 21), 200.0, OPEN),  # the last
        (20, (1, 20), 190.1, NO),  # right behind it
    ],
)
def test_a_short_step_counts_from_the_first_of_a_dwell_to_the_last(
    short: int, inside: tuple[int, int], least: float, outcome: Outcome
) -> None:
    steps = [*TEN, *TEN, 10.0, 10.0, 10.0]
    steps[short] = 2.0
    assert _hurried(steps, least, inside)[0] is outcome


@pytest.mark.parametrize(
    ("summed", "least", "outcome"),
    [(False, 90.0, OPEN), (False, 90.1, NO), (True, 180.0, OPEN), (True, 180.1, NO)],
)
def test_of_a_dwell_in_two_parts_the_one_that_hides_more_counts(
    summed: bool, least: float, outcome: Outcome
) -> None:
    """82 s, in which eight may be hidden, and 80 s of steps as usual; or twice 82 s, summed, and sixteen."""
    steps = [*TEN, *TEN, 10.0, 10.0]
    steps[4] = 2.0
    steps[14] = 2.0 if summed else 10.0
    inside = [(1, 10), (11, 20 if summed else 19)]
    assert _hurried(steps, least, *inside, summed=summed)[0] is outcome


def test_where_nothing_counts_nothing_is_hidden() -> None:
    e = shown([300.0] * 10)
    assert rules_dwell._hurried(e, stretch(dwell(), 0.0, 90.0)) == 0.0


def test_what_a_gap_hides_is_told_as_that() -> None:
    """100 s, a gap of 100 s and 90 s: 290 s at most."""
    times = np.concatenate([np.arange(12) * 10.0, 210.0 + np.arange(11) * 10.0])
    e = shown([300.0] + [390.0] * 21 + [300.0], times=times)
    book = book_of(e)
    spans = Span(10.0, 110.0, open_end=True), Span(210.0, 300.0, open_start=True)
    s = stretch(dwell(dwell_least=limit(290.0)), 10.0, 300.0, *spans)
    assert rules_dwell._time(e, book, s) is OPEN
    assert [r.words.partition("; ")[2] for r in book.reasons] == ["gaps in the readings could hide the rest"]


# the longest dwell


@pytest.mark.parametrize(("most", "outcome"), [(91.0, YES), (90.0, NO)])
def test_the_longest_dwell_begins_with_the_first(most: float, outcome: Outcome) -> None:
    """From 10 s to 100.56 s, through 385 K on the way from 390 K to 300 K; the second came at 60 s."""
    e = shown([300.0] + [390.0] * 10 + [300.0] * 4, [300.0] * 5 + [390.0] * 6 + [300.0] * 4)
    segment = dwell(dwell_least=limit(10.0), dwell_most=limit(most))
    s = stretch(segment, 10.0, 100.0, entries=[("T1", 10.0), ("T2", 60.0)])
    assert rules_dwell._most(e, book_of(e), s) is outcome


@pytest.mark.parametrize(("most", "outcome"), [(90.0, OPEN), (89.9, NO)])
def test_a_longest_dwell_that_is_just_kept_where_the_readings_end(most: float, outcome: Outcome) -> None:
    """From 10 s to the last reading at 100 s."""
    e = shown([300.0] + [390.0] * 10)
    segment = dwell(dwell_least=limit(10.0), dwell_most=limit(most))
    s = stretch(segment, 10.0, 100.0, entries=[("T1", 10.0)])
    assert rules_dwell._most(e, book_of(e), s) is outcome


# the way to a hotter dwell


@pytest.mark.parametrize(("last", "end"), [(400.0, 90.0), (400.1, 20.0)])
def test_the_fastest_that_comes_back_to_half_way_has_not_left(last: float, end: float) -> None:
    """It stands at 405 K, above half way between 390 K and 410 K, when the slowest comes in at 20 s."""
    hotter = RecipeSegment("more", SegmentKind.DWELL, 410.0, band_low=limit(406.0), dwell_least=limit(100.0))
    cycle: Any = recipe()
    cycle = type(cycle)("two", (dwell(), hotter), cycle.sensors)
    e = shown([300.0] * 2 + [390.0] * 8, [405.0] * 9 + [last])
    assert _way_to_hotter(e, cycle, 0, 20.0) == end
