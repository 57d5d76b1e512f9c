"""Stamps that stand or come too soon, and dwells cut by them: at the very limit, by hand. Readings are ten
seconds apart where nothing else is said."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

import numpy as np
import pytest

from judge_lines import limit, recipe
from judge_readings import book_of, dwell, shown, stretch
from judge_whole import NO, OPEN, YES
from panelmend.plan.judge import codes, judging, rules_dwell
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


@pytest.mark.parametrize(("least", "code"), [(377.0, codes.BELOW_BAND), (376.9, codes.INTERRUPTED)])
def test_more_than_eight_kelvin_below_the_band_a_cure_is_interrupted(least: float, code: Any) -> None:
    e = shown([390.0] * 5 + [least] * 12 + [390.0] * 5)
    book = book_of(e)
    s = stretch(dwell(), 0.0, 210.0, Span(0.0, 40.0), Span(170.0, 210.0))
    found = rules_dwell.interruptions(e, book, s)
    assert [f.code for f in book.findings] == [code.code]
    assert len(found) == (code is codes.INTERRUPTED)


# a band that no reading shows


def _not_reached(
    least: float, slowest: list[float], level: float = 385.0, hidden: float = 100.0
) -> tuple[Outcome, str]:
    e = shown([395.0] * len(slowest), slowest)
    book = book_of(e)
    s = dataclasses.replace(stretch(dwell(dwell_least=limit(least)), 0.0, 90.0), found=False, level=level)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(rules_dwell, "_hidden", lambda *_: hidden)
        return rules_dwell._not_reached(e, book, s), " ".join(r.words for r in book.reasons)


COOLED = [300.0, 384.0, 384.0, 300.0]


@pytest.mark.parametrize(("least", "outcome"), [(100.0, OPEN), (100.1, NO), (1.0, OPEN), (0.5, OPEN)])
def test_a_dwell_that_just_fits_into_holes_may_have_been(least: float, outcome: Outcome) -> None:
    """They hide 100 s."""
    assert _not_reached(least, COOLED)[0] is outcome


@pytest.mark.parametrize(("hottest", "looked_for"), [(385.0, False), (384.9, True)])
def test_one_that_just_came_to_the_band_was_not_looked_for(hottest: float, looked_for: bool) -> None:
    words = _not_reached(500.0, [300.0, hottest, 300.0], level=math.nan)[1]
    assert words.startswith("not looked for") is not looked_for
    assert ("never reached" in words) is looked_for


@pytest.mark.parametrize(("summed", "seconds"), [(False, 100.0), (True, 150.0)])
def test_of_two_holes_the_longer_hides_a_dwell(
    summed: bool, seconds: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(rules_dwell, "hidden_in_band", lambda *_: [(0.0, 50.0), (100.0, 200.0)])
    e, s = shown([390.0] * 3), stretch(dwell(summed=summed), 0.0, 20.0)
    assert rules_dwell._hidden(e, s, 385.0) == seconds
    monkeypatch.setattr(rules_dwell, "hidden_in_band", lambda *_: [])
    assert rules_dwell._hidden(e, s, 385.0) == 0.0


@pytest.mark.parametrize(("seconds", "told"), [(0.0, False), (0.5, True), (20.0, True)])
def test_a_dwell_that_was_not_read_all_through_is_named(
    seconds: float, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(judging, "unread_time", lambda *_: seconds)
    e, s = shown([390.0] * 3), stretch(dwell(), 0.0, 20.0, Span(0.0, 20.0))
    assert judging._unread(e, (s,)) == ((("hold", seconds),) if told else ())


@pytest.mark.parametrize(
    ("stamp_step", "set_back", "blur"), [(60.0, 10.0, 70.0), (60.0, 0.0, 60.0), (0.0, 10.0, 10.0)]
)
def test_stamps_that_repeat_and_a_clock_set_back_blur_together(
    stamp_step: float, set_back: float, blur: float
) -> None:
    e = shown([390.0] * 3, times=[0.0, 0.0, 60.0], stamp_step=stamp_step)
    e = dataclasses.replace(e, log=dataclasses.replace(e.log, set_back=set_back))
    assert e.blur == blur


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


def test_where_no_hole_hides_a_way_only_the_stamps_leave_a_longest_dwell_open() -> None:
    """66.67 s, of stamps of whole minutes: 385 K lies 3.33 s from 390 K on each way of 90 K in a minute."""
    e = shown(
        [300.0] * 2 + [390.0] * 4 + [300.0] * 4,
        times=[0.0, 0.0, 60.0, 60.0, 120.0, 120.0, 180.0, 180.0, 240.0, 240.0],
        gap=70.0,
        stamp_step=60.0,
    )
    book = book_of(e)
    segment = dwell(dwell_least=limit(10.0), dwell_most=limit(100.0))
    s = stretch(segment, 56.0, 124.0, entries=[("T1", 56.0)])
    assert rules_dwell._most(e, book, s) is OPEN
    (said,) = book.reasons
    assert "the stamps leave it open" in said.words
    assert "no reading shows" not in said.words


# the hottest of a dwell


@pytest.mark.parametrize(
    ("first", "last", "outcome"),
    [
        (3, 8, OPEN),  # not read from 20 s to 90 s: to where the way to the dwell begins
        (3, 7, YES),
        (14, 17, OPEN),  # not read from 130 s on: where what counts ends
        (15, 17, YES),
    ],
)
def test_a_hole_that_touches_a_dwell_may_hide_the_hottest(first: int, last: int, outcome: Outcome) -> None:
    """Of the second, at 394 K, from 90 s to 130 s; a degree more is too hot."""
    second = [394.0] * 20
    second[first : last + 1] = [math.nan] * (last + 1 - first)
    e = shown([390.0] * 14 + [300.0] * 6, second)
    s = stretch(dwell(band_high=limit(395.0)), 90.0, 130.0, Span(90.0, 130.0))
    s = dataclasses.replace(s, since=90.0, until=130.0)
    assert rules_dwell._peak(e, book_of(e), s, limit(395.0), "any", codes.ABOVE_BAND, ends=False) is outcome


@pytest.mark.parametrize(("spans", "outcome"), [((Span(0.0, 20.0),), NO), ((), YES)])
def test_the_heat_of_a_dwell_that_the_slowest_never_came_to_ends_with_it(
    spans: tuple[Span, ...], outcome: Outcome
) -> None:
    """The fastest is at 400 K in the fourth row, at 30 s; the dwell ends at 20 s."""
    e = shown([390.0] * 3 + [400.0, 390.0, 300.0, 300.0])
    s = stretch(dwell(band_high=limit(395.0)), 0.0, 20.0, *spans)
    assert rules_dwell._peak(e, book_of(e), s, limit(395.0), "any", codes.ABOVE_BAND, ends=False) is outcome


# the way to a hotter dwell


@pytest.mark.parametrize(("last", "end"), [(400.0, 90.0), (400.1, 20.0)])
def test_the_fastest_that_comes_back_to_half_way_has_not_left(last: float, end: float) -> None:
    """It stands at 405 K, above half way between 390 K and 410 K, when the slowest comes in at 20 s."""
    hotter = RecipeSegment("more", SegmentKind.DWELL, 410.0, band_low=limit(406.0), dwell_least=limit(100.0))
    cycle: Any = recipe()
    cycle = type(cycle)("two", (dwell(), hotter), cycle.sensors)
    e = shown([300.0] * 2 + [390.0] * 8, [405.0] * 9 + [last])
    assert _way_to_hotter(e, cycle, 0, 20.0) == end
