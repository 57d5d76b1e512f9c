"""The small steps by which samples are put in the order of time, each at its very edge, reckoned by hand."""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np
import pytest

from panelmend.plan.judge import ChannelRole, codes, order
from panelmend.plan.judge.log import Channel, CureLog, FloatArray

NAN = float("nan")


def _log(times: list[float], *couples: list[float]) -> CureLog:
    rows = couples or ([390.0 + k for k in range(len(times))],)
    channels = [
        Channel(f"T{i}", ChannelRole.THERMOCOUPLE, "temperature", np.array(c, float))
        for i, c in enumerate(rows, 1)
    ]
    return CureLog(np.array(times, float), tuple(channels), started="2026-11-25T08:00:00")


@pytest.mark.parametrize(
    ("step", "usual", "hour"),
    [
        (3615.0, 10.0, True),  # half a step beside
        (3615.1, 10.0, False),
        (3604.0, 2.0, True),  # two seconds at least
        (3604.1, 2.0, False),
        (-3590.0, 10.0, True),
        (-3584.9, 10.0, False),
    ],
)
def test_a_step_of_an_hour(step: float, usual: float, hour: bool) -> None:
    assert order._is_hour(step, usual) is hour


@pytest.mark.parametrize(
    ("low", "high", "found"), [(10.0, 10.0, 1), (15.0, 20.0, 2), (4.0, 5.0, 0), (16.0, 20.0, None)]
)
def test_the_first_stamp_within_a_range(low: float, high: float, found: int | None) -> None:
    assert order._first_within(np.array([5.0, 10.0, 15.0]), low, high) == found


@pytest.mark.parametrize(
    ("times", "first"),
    [
        ([100.0, 80.0, 89.0], 80.0),
        ([100.0, 80.0, 90.0], 100.0),  # a step before it is none
        ([100.0, 95.0, 105.0], 100.0),
        ([100.0], 100.0),
    ],
)
def test_where_the_clock_begins(times: list[float], first: float) -> None:
    assert order._first(np.array(times), 10.0) == first


@pytest.mark.parametrize(
    ("times", "at", "back", "even"),
    [
        ([0.0, 10.0, 20.0, 15.0, 25.0], 3, 15.0, True),
        ([0.0, 10.0, 5.0, 15.0], 2, 15.0, True),
        ([30.0, 10.0, 20.0, 20.0], 1, 0.0, False),  # nothing two rows before it
        ([0.0, 10.0, 20.0, 15.0], 3, 0.0, False),  # and nothing behind
        ([0.0, 10.0, 20.0, 15.0, 30.0], 3, 10.0, True),  # half a step more is even
        ([0.0, 10.0, 20.0, 15.0, 30.1], 3, 9.9, False),
        ([0.0, 5.0, 15.0, 10.0, 20.0], 3, 20.0, True),  # or less
        ([0.0, 4.9, 15.0, 10.0, 20.0], 3, 20.0, False),
        ([0.0, 10.0, 20.0, 15.0, 32.4], 3, 7.6, False),  # 0.75 of a step is a clock that was set
        ([0.0, 10.0, 20.0, 15.0, 32.6], 3, 0.0, False),  # less is a stamp that slipped
        ([-50.0, 0.0, 10.0, 20.0, 30.0, 25.0, 35.0, 45.0, 55.0, 99.0], 5, 15.0, True),  # three on each side
        ([0.0, 30.0, 40.0, 50.0, 45.0, 55.0, 65.0, 75.0], 4, 0.0, False),
    ],
)
def test_a_clock_that_was_set_goes_on(times: list[float], at: int, back: float, even: bool) -> None:
    assert order._stays_back(np.array(times), at, 10.0) == (pytest.approx(back), even)


def test_a_clock_that_was_set_back_is_found_from_its_new_time_to_the_old() -> None:
    found = order._set_back(_log([0.0, 10.0, 20.0, 15.0, 25.0]), 3, 15.0, 10.0)
    assert (found.time, found.until) == (15.0, 20.0)


@pytest.mark.parametrize(
    ("couples", "run", "said"),
    [
        (([1, 2, 3, 2, 3, 4],), [3, 4], True),  # of these, row 4 is like the one before the run
        (([1, 2, 3, 2, 3, 4], [1, 2, 3, 2, 3, 4]), [3, 4], True),
        (([1, 2, 3, 2, 3, 4], [1, 2, 3, 2, 9, 4]), [3, 4], False),  # one of two reads something else
        (([1, NAN, 3, NAN, 3, 4],), [3, 4], True),
        (([1, 2, 3, 2, 5, 4],), [3, 4], False),
        (([1, 3, 3, 3, 3, 4],), [3, 4], False),  # nothing moves
    ],
)
def test_rows_that_say_rows_above_again(couples: tuple[list[float], ...], run: list[int], said: bool) -> None:
    log = _log([0.0, 10.0, 20.0, 10.0, 20.0, 30.0], *couples)
    assert order._said_before(log, np.array(run)) is said


def test_a_row_like_the_one_right_above_says_nothing_again() -> None:
    log = _log([0.0, 10.0, 20.0, 20.0, 30.0], [1, 2, 3, 3, 5])
    assert not order._said_before(log, np.array([3]))


@pytest.mark.parametrize(("count", "more"), [(6, ""), (7, " and 1 more"), (9, " and 3 more")])
def test_six_lines_are_named(count: int, more: str) -> None:
    log = _log([10.0 * k for k in range(12)])
    named = ", ".join(str(int(x)) for x in log.lines[:6])
    assert order._lines(log, list(range(count))) == named + more


def test_a_log_written_newest_first_is_turned_round() -> None:
    log = _log([140.0, 130.0, 130.0, 120.0, 100.0])
    made = order.times_in_order(log)
    assert made.log.times.tolist() == [0.0, 20.0, 30.0, 30.0, 40.0]
    assert made.log.channels[0].values.tolist() == [394.0, 393.0, 392.0, 391.0, 390.0]
    assert (made.sure, made.waiting) == (False, 0)
    assert made.faults[0].finding.code == codes.NEWEST_FIRST.code
    first, last = (f"{log.clock(t)} in line {log.lines[i]}" for t, i in ((140.0, 0), (100.0, -1)))
    assert f"times fall in 3 of 4 steps, from {first} to {last}" in made.faults[0].finding.words


def test_three_rows_can_be_newest_first_and_two_cannot() -> None:
    for times, turned in (([20.0, 10.0, 0.0], True), ([10.0, 0.0], False)):
        found = order.times_in_order(_log(times)).faults
        assert (codes.NEWEST_FIRST.code in {f.finding.code for f in found}) is turned


def test_nothing_waits_in_a_log_that_is_done() -> None:
    made = order.times_in_order(_log([0.0, 10.0, 20.0, 30.0, 25.0, 40.0, 50.0]))
    assert made.waiting == 0


STEADY = [60.0 * k for k in range(5)]


@pytest.mark.parametrize(
    ("times", "by", "at"),
    [
        # by 50 s, and on from there
        ([*STEADY, *(190.0 + 60.0 * k for k in range(6))], "50 s", 5),
        # two stamps that leave the clock and come back to one 10 s behind it: there is no room for them
        ([*STEADY, 100.0, 160.0, *(250.0 + 60.0 * k for k in range(6))], "2 min", 5),
        # of two that leave it the second falls
        ([*STEADY, 400.0, 100.0, *(250.0 + 60.0 * k for k in range(6))], "5 min", 6),
    ],
)
def test_a_clock_set_back_without_room_for_its_samples_says_by_how_much(
    times: list[float], by: str, at: int
) -> None:
    log = _log(times)
    made = order.times_in_order(log)
    said = [f for f in made.faults if f.finding.code == codes.CLOCK_BACK.code]
    assert [(f.time, f.until) for f in said] == [(times[at], times[at - 1])]
    assert f"by {by} after line {log.lines[at - 1]}; " in said[0].finding.words
    assert not made.sure


def test_stamps_to_the_minute_of_a_sample_each_twenty_seconds_leave_room() -> None:
    """One of three within a minute is far off: those around it stand a minute apart, as a minute may be."""
    times = [60.0 * (k // 3) for k in range(30)]
    times[14] = 1500.0
    made = order.times_in_order(dataclasses.replace(_log(times), stamp_step=60.0))
    assert (made.log.set_back, made.sure) == (0.0, True)
    assert made.log.times.size == 30


# where no time was lost, and where it was


def _numbered(times: FloatArray, **more: Any) -> CureLog:
    """One thermocouple that reads the number of its sample."""
    values = 300.0 + np.arange(times.size)
    return CureLog(times, (Channel("T1", ChannelRole.THERMOCOUPLE, "temperature", values),), **more)


@pytest.mark.parametrize("pairs", [1, 7])
@pytest.mark.parametrize("step", [10.0, 120.0])
def test_rows_that_changed_places_lose_no_time(pairs: int, step: float) -> None:
    times = step * np.arange(60)
    for n in range(pairs):
        at = 3 + 8 * n
        times[[at, at + 1]] = times[[at + 1, at]]
    made = order.times_in_order(_numbered(times))
    assert made.log.times.tolist() == (step * np.arange(60)).tolist()
    assert made.log.channels[0].values.tolist() == [300.0 + n for n in range(60)], "in the order of the file"
    assert (made.sure, made.log.set_back) == (True, 0.0)


def test_a_block_that_came_after_the_next_one_stands_evenly() -> None:
    """Three rows of a later time first; their stamps and those of the others together fill their places."""
    times = 10.0 * np.arange(40)
    times[10:16] = [130.0, 140.0, 150.0, 100.0, 110.0, 120.0]
    made = order.times_in_order(_numbered(times))
    assert made.sure
    assert len(made.log) == 40
    assert (np.diff(made.log.times) >= 0.0).all()


@pytest.mark.parametrize("every", [5.0, 10.0, 30.0])
@pytest.mark.parametrize("odd", [-86400.0, 3600.0, 9e6])
def test_one_odd_stamp_among_stamps_of_whole_minutes_sets_no_clock_back(every: float, odd: float) -> None:
    times = np.floor(every * np.arange(200) / 60.0) * 60.0
    for at in range(90, 100):
        spoiled = times.copy()
        spoiled[at] += odd
        made = order.times_in_order(_numbered(spoiled, stamp_step=60.0))
        assert (made.sure, made.log.set_back, len(made.log)) == (True, 0.0, 200), at
        assert abs(made.log.times - times).max() <= 60.0


@pytest.mark.parametrize(("back", "sure"), [(130.0, False), (0.0, True)])
def test_a_clock_set_back_by_a_sample_among_uneven_stamps(back: float, sure: bool) -> None:
    """Two minutes a sample, up to 20 s early or late: each step back hides two minutes and more."""
    rng = np.random.default_rng(7)
    times = 120.0 * np.arange(100) + rng.uniform(-20.0, 20.0, 100)
    for at in (30, 60):
        times[at:] -= back + (30.0 if back else 0.0)
    made = order.times_in_order(_numbered(times))
    assert made.sure is sure
    assert made.log.set_back == (pytest.approx(2 * (back + 30.0), abs=80.0) if back else 0.0)


def test_a_clock_set_back_among_steps_of_any_length_is_not_sure() -> None:
    """Steps from half of three minutes to one and a half; twice 300 s back is about 600 s, but for the steps'
    own scatter."""
    rng = np.random.default_rng(3)
    times = np.concatenate([[0.0], np.cumsum(180.0 * rng.uniform(0.5, 1.5, 99))])
    assert order.times_in_order(_numbered(times.copy())).log.set_back == 0.0
    for at in (30, 60):
        times[at:] -= 300.0
    made = order.times_in_order(_numbered(times))
    assert (made.sure, made.log.set_back > 300.0, len(made.log)) == (False, True, 100)


# small steps of it


@pytest.mark.parametrize(
    ("steps", "usual", "slack"),
    [
        ([10.0] * 10 + [0.0] * 1, 10.0, 0.0),
        ([10.0] * 10 + [0.0] * 2, 10.0 * 10 / 12, 60.0),  # a fifth of those forward are coarse stamps
        ([10.0] * 5 + [0.0] * 5, 5.0, 60.0),  # ten seconds forward, ten samples in fifty
        ([0.5] * 4, 0.5, 0.0),
        ([0.0] * 3, 0.0, 0.0),
        ([10.0, -30.0, 10.0, 10.0], 10.0, 0.0),
    ],
)
def test_the_step_of_samples_of_which_some_have_one_stamp(
    steps: list[float], usual: float, slack: float
) -> None:
    times = np.concatenate([[0.0], np.cumsum(steps)])
    assert order.sample_step(times, 60.0) == (pytest.approx(usual), slack)


@pytest.mark.parametrize(
    ("made", "stamps", "at", "first"),
    [
        (
            [0.0, 10.0, 20.0, 30.0, 40.0, 5.0, 5.0],
            [20.0, 25.0],
            4,
            3,
        ),  # a stamp that is the same is not later
        ([0.0, 10.0, 20.0, 30.0, 40.0, 5.0, 5.0], [19.9, 25.0], 4, 2),
        ([10.0 * k for k in range(1, 21)], [0.0], 15, 5),  # ten samples back and no further
        ([10.0 * k for k in range(1, 21)], [0.0], 3, 0),
        ([10.0, 20.0], [30.0], 1, 1),
    ],
)
def test_the_first_sample_later_than_stamps(
    made: list[float], stamps: list[float], at: int, first: int
) -> None:
    assert order._before(np.array(made), np.array(stamps), at) == first


@pytest.mark.parametrize(
    ("times", "run", "first"),
    [
        ([0.0, 20.0, 10.0, 30.0], [2], 1),
        ([0.0, 20.0, 15.0, 30.0], [2], 1),  # half a step nearer, and half a step further
        ([0.0, 20.0, 15.1, 30.0], [2], None),
        ([0.0, 20.0, 4.9, 30.0], [2], None),
        ([10.0, 0.0, 10.0, 20.0], [1], None),  # nothing stands before them
        ([0.0, 10.0, 25.0, 30.0], [2], None),  # later than all before it
        ([0.0, 30.0, 10.0, 20.0, 40.0], [2, 3], 1),
    ],
)
def test_samples_that_changed_places_stand_evenly_together(
    times: list[float], run: list[int], first: int | None
) -> None:
    stamps = np.array(times)
    assert order._swapped_from(stamps, stamps, np.array(run), 10.0) == first


def test_rows_that_changed_places_after_the_clock_was_set_back() -> None:
    """Set back by a minute after 100 s, two rows exchanged a hundred seconds later."""
    after = 50.0 + 10.0 * np.arange(20)
    after[[10, 11]] = after[[11, 10]]
    times = np.concatenate([10.0 * np.arange(11), after])
    made = order.times_in_order(_numbered(times))
    assert made.log.times.tolist() == [10.0 * k for k in range(31)]
    assert made.log.set_back == 60.0
    assert made.sure


@pytest.mark.parametrize(("here", "back"), [(2.5, 0.0), (2.4, 7.6), (-10.0, 20.0)])
def test_three_quarters_of_a_step_set_a_clock_back(here: float, back: float) -> None:
    """Of a step of ten seconds, between steps of ten."""
    times = np.concatenate([[0.0], np.cumsum([10.0] * 3 + [here] + [10.0] * 5)])
    assert order._stays_back(times, 4, 10.0) == (pytest.approx(back), True)


def test_a_stamp_that_slips_is_not_said_among_those_that_set_the_clock_back() -> None:
    """Four times 20 s back are more than a minute; one stamp slips and the next stands where it belongs."""
    stamps = np.concatenate([80.0 * n + np.arange(0.0, 100.0, 10.0) for n in range(4)])
    times = np.concatenate([stamps, 320.0 + np.arange(0.0, 400.0, 10.0)])
    times[60] -= 15.0
    made = order.times_in_order(_numbered(times))
    assert [f.finding.code for f in made.faults].count(codes.CLOCK_BACK.code) == 4
    assert made.log.set_back == 80.0


@pytest.mark.parametrize(("lost", "sure"), [(60.0, True), (60.1, False)])
def test_rows_without_a_time_count_among_what_a_clock_was_set_back(lost: float, sure: bool) -> None:
    """In a log whose stamps never fall, and in one that was set back by 20 s besides."""
    even = dataclasses.replace(_numbered(10.0 * np.arange(40)), set_back=lost)
    made = order.times_in_order(even)
    assert (made.sure, made.log.set_back) == (sure, lost)
    said = [f.finding.words for f in made.faults if f.finding.code == codes.CLOCK_BACK.code]
    assert len(said) == (0 if sure else 1)
    assert all("rows whose time cannot be read" in words for words in said)
    times = np.concatenate([10.0 * np.arange(20), 180.0 + 10.0 * np.arange(20)])
    less = dataclasses.replace(_numbered(times), set_back=lost - 20.0)
    made = order.times_in_order(less)
    assert (made.sure, made.log.set_back) == (sure, pytest.approx(lost))
    assert "up to 20 s later" in made.faults[-1].finding.words


@pytest.mark.parametrize(
    ("first", "words", "held"),
    [
        (900.0, "before the first stamp that others follow", 1),
        (0.0, "in a gap", 1),
    ],
)
def test_why_samples_are_left_out_is_said(first: float, words: str, held: int) -> None:
    """One before all others, or a stamp of another day between 100 s and 200 s; what it holds is kept."""
    times = np.concatenate([10.0 * np.arange(11), 200.0 + 10.0 * np.arange(11)])
    times = np.insert(times, 0 if first else 11, first or 9e6)
    made = order.times_in_order(_numbered(times))
    (said,) = made.faults
    assert words in said.finding.words
    assert sum(x in said.finding.words for x in ("in a gap", "above again", "before the first")) == 1
    assert made.log.left_lines.tolist() == [1 if first else 12]
    assert made.log.left_out[0].values.tolist() == [300.0 if first else 311.0]
    assert held == made.log.left_lines.size


def test_rows_said_again_are_left_out_and_not_kept() -> None:
    times = [0.0, 10.0, 20.0, 30.0, 10.0, 20.0, 40.0, 50.0]
    values = [1.0, 2.0, 3.0, 4.0, 2.0, 3.0, 5.0, 6.0]
    made = order.times_in_order(_log(times, values))
    (said,) = made.faults
    assert "above again" in said.finding.words
    assert (len(made.log), made.log.left_lines.size) == (6, 0)
