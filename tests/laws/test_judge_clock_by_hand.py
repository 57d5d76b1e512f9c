"""The clock and how a log begins, at the very edges of what tells them: each outcome is written by hand for
what lies exactly on the edge, and beside it."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from judge_channels import codes_told as _told
from judge_channels import log_of_columns as _log
from panelmend.plan.judge import codes, faults_clock
from panelmend.plan.judge.log import FloatArray

NAN = float("nan")


# the clock, and how a log begins


@pytest.mark.parametrize(("repeats", "often"), [(1, False), (2, True)])
def test_stamps_that_repeat_in_more_than_a_fifth_of_the_steps_are_too_coarse(
    repeats: int, often: bool
) -> None:
    steps = [10.0] * (5 - repeats) + [0.0] * repeats
    (found,) = faults_clock.clock_faults(_log(np.cumsum([0.0, *steps])))
    assert found.finding.code == codes.REPEATED.code
    assert ("too coarse" in found.finding.words) is often


@pytest.mark.parametrize(
    ("steps", "stamp", "told"),
    [
        ([10.0] * 30 + [15.0] * 10, 0.0, False),  # half of the usual step
        ([10.0] * 30 + [15.5] * 10, 0.0, True),
        ([10.0] * 30 + [16.0] * 10, 4.0, False),  # or one and a half times what stamps show
        ([10.0] * 30 + [16.5] * 10, 4.0, True),
        (([10.0] * 2 + [0.0]) * 13, 0.0, False),  # stamps that repeat are no uneven steps
    ],
)
def test_uneven_steps(steps: list[float], stamp: float, told: bool) -> None:
    found = faults_clock.clock_faults(_log(np.cumsum([0.0, *steps]), stamp_step=stamp))
    assert (codes.IRREGULAR.code in _told(found)) is told


def _begins(times: Any, values: Any, air: float = NAN) -> bool:
    """Whether a log begins in the ramp."""
    columns, kinds = ([values], "T") if np.isnan(air) else ([values, np.full(len(times), air)], "TA")
    log = _log(times, columns, kinds)
    temps = np.array(values, np.float64)[:, None]
    return _told(faults_clock._in_ramp(log, temps, float(values[0]))) == [codes.IN_RAMP.code]


def _rise(begin: float, first: float, later: float, end: float = 450.0) -> tuple[FloatArray, FloatArray]:
    """By so many kelvins in the first two minutes, and in the next five."""
    times = np.arange(0.0, end + 1.0, 10.0)
    return times, np.interp(times, [0.0, 120.0, 420.0], [begin, begin + first, begin + first + later])


@pytest.mark.parametrize(
    ("first", "told"),
    [
        (12.0, True),  # 0.1 K/s is eight tenths of 0.125
        (11.9, False),
    ],
)
def test_a_first_rise_of_eight_tenths_of_the_next_is_no_beginning(first: float, told: bool) -> None:
    assert _begins(*_rise(310.0, first, 37.5)) is told


@pytest.mark.parametrize(
    ("begin", "air", "told"),
    [
        (301.0, 296.0, False),  # five kelvins above the air
        (301.5, 296.0, True),
        (301.0, 290.0, True),
        (303.15, NAN, False),  # without air above a shop of 25 C: then nine tenths are asked
        (303.25, NAN, True),
    ],
)
def test_five_kelvin_above_the_shop(begin: float, air: float, told: bool) -> None:
    assert _begins(*_rise(begin, 12.75, 37.5), air) is told


@pytest.mark.parametrize(("begin", "told"), [(301.0, False), (301.5, True)])
def test_beside_air_that_is_as_warm_a_log_begins_cold_however_it_rises(begin: float, told: bool) -> None:
    assert _begins(*_rise(begin, 15.0, 37.5), 296.0) is told


@pytest.mark.parametrize(("end", "told"), [(420.0, True), (410.0, False)])
def test_seven_minutes_show_how_a_log_begins(end: float, told: bool) -> None:
    assert _begins(*_rise(310.0, 14.0, 37.5, end)) is told


@pytest.mark.parametrize(("late", "told"), [(440.0, True), (441.0, False)])
def test_a_reading_two_steps_behind_seven_minutes_counts(late: float, told: bool) -> None:
    times = np.array([*np.arange(0.0, 411.0, 10.0), late, late + 10.0, late + 20.0])
    assert _begins(times, 310.0 + times / 10.0) is told


@pytest.mark.parametrize(("first", "told"), [(318.15, False), (318.25, True)])
def test_above_45_c_a_log_starts_hot(first: float, told: bool) -> None:
    values = np.full(60, first)
    found = faults_clock.whole_log_faults(_log(np.arange(60) * 10.0, [values, values]))
    assert (codes.STARTS_HOT.code in _told(found)) is told


def test_two_samples_far_apart_are_sparse() -> None:
    assert _told(faults_clock.clock_faults(_log([0.0, 400.0]))) == [codes.SPARSE.code]
    assert faults_clock.clock_faults(_log([0.0])) == []


@pytest.mark.parametrize(("count", "told"), [(20, False), (21, True)])
def test_more_than_twenty_steps_show_whether_they_are_even(count: int, told: bool) -> None:
    steps = [10.0] * 15 + [20.0] * (count - 15)
    assert (codes.IRREGULAR.code in _told(faults_clock.clock_faults(_log(np.cumsum([0.0, *steps]))))) is told


@pytest.mark.parametrize(
    ("step", "usual", "hour"),
    [
        (3615.0, 10.0, True),  # half of a step beside the hour
        (3615.5, 10.0, False),
        (3605.0, 10.0, True),
        (3604.5, 10.0, False),
        (3603.0, 1.0, True),  # and two seconds
        (3603.5, 1.0, False),
    ],
)
def test_a_gap_of_an_hour(step: float, usual: float, hour: bool) -> None:
    assert faults_clock._is_hour(step, usual) is hour


@pytest.mark.parametrize(("later", "told"), [(1.5, True), (1.4, False)])
def test_three_tenths_of_a_kelvin_a_minute_is_a_rise(later: float, told: bool) -> None:
    """From nought, so that it is met to the last bit; the air was colder."""
    assert _begins(*_rise(0.0, 16.0, later), -50.0) is told


@pytest.mark.parametrize(("last", "told"), [(323.15, False), (323.25, True)])
def test_above_50_c_a_log_ends_hot(last: float, told: bool) -> None:
    values = np.full(60, last)
    found = faults_clock.whole_log_faults(_log(np.arange(60) * 10.0, [values, values]))
    assert (codes.ENDS_HOT.code in _told(found)) is told
