"""A dwell by the fastest, where its stretch begins or ends in a hole, and where the readings end: each
outcome is written by hand from the readings."""

from __future__ import annotations

import dataclasses
from typing import Any

import pytest

from judge_lines import limit
from judge_readings import book_of, dwell, shown, stretch
from judge_whole import NO, OPEN, YES
from panelmend.plan.judge import rules_dwell
from panelmend.plan.judge.recipe import RecipeSegment
from panelmend.plan.judge.spans import Span
from panelmend.plan.judge.verdict import Outcome

NAN = float("nan")
SLOW = [380.0, 390.0, 390.0, 390.0, 380.0, 370.0, 360.0, 350.0]  # in its band from 5 to 35 s
FAST = [380.0, 390.0, 390.0, 390.0, 390.0, 390.0, 390.0, 380.0]  # from 5 to 65 s


def _longest(most: float, until: float | None = None) -> Outcome:
    e = shown(SLOW, FAST)
    segment = dwell(dwell_least=limit(20.0), dwell_most=limit(most))
    s = stretch(segment, 5.0, 35.0, Span(5.0, 35.0), entries=[("T1", 5.0), ("T2", 5.0)])
    if until is not None:
        s = dataclasses.replace(s, until=until)
    return rules_dwell._most(e, book_of(e), s)


def test_the_fastest_is_in_its_band_longer_than_the_slowest() -> None:
    """It was cut off where the slowest left, 30 s in place of 60."""
    assert [_longest(x) for x in (29.0, 59.9, 60.1)] == [NO, NO, YES]


def test_the_way_to_a_hotter_dwell_is_no_part_of_this_one() -> None:
    assert [_longest(x, until=45.0) for x in (39.9, 40.1)] == [NO, YES]


HELD = [390.0] * 4
ENTERED = [0.0, 100.0, 200.0, 300.0, 310.0, 320.0, 330.0, 340.0], [380.0, 380.0, 380.0, *HELD, 380.0]
LEFT = [0.0, 10.0, 20.0, 30.0, 130.0, 230.0], [*HELD, 380.0, 380.0]


@pytest.mark.parametrize(
    ("read", "begin", "end", "top"),
    [
        # up 3 K/s with the blanket on, down 0.5 K/s with it off: they meet 17.1 s after 200 s
        (ENTERED, 300.0, 330.0, 380.0 + 3.0 * 60.0 / 3.5),
        (LEFT, 0.0, 30.0, 390.0 + 3.0 * 40.0 / 3.5),  # 11.4 s after 30 s
    ],
)
def test_a_hole_in_which_a_dwell_is_entered_or_left_can_hide_what_is_too_hot(
    read: tuple[list[float], list[float]], begin: float, end: float, top: float
) -> None:
    """Only holes within the dwell were looked at; these touch it."""
    times, temps = read
    e = shown(temps, times=times)
    for above, outcome in ((-0.01, OPEN), (0.01, YES)):
        segment = dwell(band_high=limit(top + above))
        s = stretch(segment, begin, end, Span(begin, end))
        assert rules_dwell._band_high(e, book_of(e), s) is outcome, above


def _dwell_of(temps: list[float], least: float) -> Outcome:
    e = shown(temps)
    segment: RecipeSegment = dwell(dwell_least=limit(least))
    s = stretch(segment, 5.0, 35.0, Span(5.0, 30.0), entries=[("T1", 5.0)])
    return rules_dwell._time(e, book_of(e), s)


def test_rows_without_readings_are_the_end_of_the_readings() -> None:
    """The log went on with blanks, and the dwell was too short by what nobody read."""
    seen: list[Any] = [380.0, 390.0, 390.0, 390.0]
    assert _dwell_of([*seen, NAN, NAN, NAN], 60.0) is OPEN
    assert _dwell_of(seen, 60.0) is OPEN
    assert _dwell_of([*seen, NAN, 370.0, NAN], 60.0) is NO  # it was read out of the band afterwards
    assert _dwell_of([*seen, NAN, NAN, NAN], 25.0) is YES
