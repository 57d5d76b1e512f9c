"""Which channel that a person gave another role follows the heat as a thermocouple does, and which one is a
program: every limit from both sides."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from judge_lines import START, TOP, limit, recipe
from made_curelog import lagged
from panelmend.plan.judge import Channel, ChannelRole, CureLog
from panelmend.plan.judge.aside import _bends, _pieces, _stays, follows_thermocouples, programmed
from panelmend.plan.judge.log import FloatArray

TIMES = np.arange(0.0, 12000.0, 10.0)
COURSE = np.interp(TIMES, [600.0, 2850.0, 6850.0, 9700.0], [START, TOP, TOP, 310.0])
ASKED = recipe(dwell={"band_high": limit(395.0)})


def log(values: FloatArray = COURSE, times: FloatArray = TIMES) -> CureLog:
    """A log whose thermocouples all read the same."""
    names = ("T1", "T2", "T3")
    couples = tuple(Channel(n, ChannelRole.THERMOCOUPLE, "temperature", values) for n in names)
    return CureLog(times, couples)


# --- whether it follows the heat ----------------------------------------------------------------------------


@pytest.mark.parametrize(("count", "told"), [(19, False), (20, True)])
def test_twenty_samples_tell_whether_it_follows(count: int, told: bool) -> None:
    times = np.linspace(0.0, 12000.0, count)
    assert (
        follows_thermocouples(log(np.interp(times, TIMES, COURSE), times), np.interp(times, TIMES, COURSE))
        is told
    )


@pytest.mark.parametrize(("kelvin", "told"), [(9.99, False), (10.0, True), (10.5, True)])
def test_it_rises_by_ten_kelvins(kelvin: float, told: bool) -> None:
    """Beside others that rose by 20 K."""
    small = START + (COURSE - START) * 20.0 / np.ptp(COURSE)
    own = START + np.round((COURSE - START) / np.ptp(COURSE) * kelvin * 2**20) / 2**20
    assert follows_thermocouples(log(small), own) is told


@pytest.mark.parametrize(("share", "told"), [(0.39, False), (0.41, True)])
def test_it_rises_by_two_fifths_of_the_others_rise(share: float, told: bool) -> None:
    assert follows_thermocouples(log(), START + share * (COURSE - START)) is told


@pytest.mark.parametrize(("away", "told"), [(14.9, True), (15.0, True), (15.1, False), (16.0, False)])
@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_it_begins_where_the_others_begin(away: float, told: bool, sign: float) -> None:
    """In the first sample, whatever follows."""
    own = COURSE.copy()
    own[1] += 40.0
    own[0] += sign * away
    assert follows_thermocouples(log(), own) is told
    own[:] = COURSE + sign * away
    assert follows_thermocouples(log(), own) is told


@pytest.mark.parametrize(("grows", "told"), [(0.99, True), (1.01, False)])
def test_it_goes_with_the_others(grows: float, told: bool) -> None:
    """Correlation 0.9 with a swing of its own, quick enough that no delay helps."""
    swing = np.sin(TIMES / 37.0) * (TIMES > 0.0)
    added = grows * np.std(COURSE) * np.sqrt(1 / 0.81 - 1) / np.std(swing)
    assert follows_thermocouples(log(), COURSE + added * swing) is told


@pytest.mark.parametrize("late", [600.0, 1200.0, 1800.0, 2400.0])
def test_it_may_come_up_to_forty_minutes_late(late: float) -> None:
    """With a swing of its own that leaves the correlation of the right delay just above 0.9."""
    own = np.interp(TIMES - late, TIMES, COURSE)
    swing = np.sin(TIMES / 37.0)
    swing -= swing.mean()
    sharp = np.where(COURSE > 345.0, 385.0, START)  # up and down at once: a minute's delay tells
    moved = np.interp(TIMES - late, TIMES, sharp)
    for grows, told in ((0.96, True), (1.04, False)):
        added = grows * np.std(moved) * np.sqrt(1 / 0.81 - 1) / np.std(swing)
        assert follows_thermocouples(log(sharp), moved + added * swing * (TIMES > 0)) is told
    assert follows_thermocouples(log(), own)
    assert not follows_thermocouples(log(sharp), np.interp(TIMES - 3600.0, TIMES, sharp))


def test_a_late_place_follows_whatever_its_lag() -> None:
    assert all(
        follows_thermocouples(log(), lagged(TIMES, COURSE, lag)) for lag in (300.0, 900.0, 1500.0, 2000.0)
    )


# --- whether it is a program --------------------------------------------------------------------------------


PROGRAM = np.round(np.interp(TIMES, [600.0, 2700.0, 6850.0, 9700.0], [START, TOP, TOP, 310.0]), 1)
NOISE = np.random.default_rng(7).normal(0.0, 0.2, TIMES.size)


def couples(*more: FloatArray) -> tuple[Channel, ...]:
    """Two noisy thermocouples, and more."""
    values = (np.round(COURSE + NOISE, 1), np.round(COURSE - 0.5 + NOISE[::-1], 1), *more)
    return tuple(Channel(f"T{i}", ChannelRole.THERMOCOUPLE, "temperature", v) for i, v in enumerate(values))


def test_a_program_is_one() -> None:
    assert programmed(PROGRAM, couples(), ASKED)


def test_each_thermocouple_has_to_be_noisier() -> None:
    assert not programmed(PROGRAM, couples(np.round(COURSE, 1)), ASKED)


@pytest.mark.parametrize(("share", "told"), [(0.045, True), (0.055, False)])
def test_it_bends_in_no_more_than_a_twentieth_of_the_samples(share: float, told: bool) -> None:
    values = PROGRAM.copy()
    spots = np.linspace(300, 660, round(share * TIMES.size / 3)).astype(int)  # each bends three samples
    values[spots] += 0.5
    assert abs(_bends(values) - share) < 0.004
    assert programmed(values, couples(), ASKED) is told


@pytest.mark.parametrize(("top", "told"), [(384.9, False), (385.0, True), (395.0, True), (395.3, False)])
def test_it_asks_for_the_band(top: float, told: bool) -> None:
    """In whole degrees more than the band is told from nothing."""
    values = START + np.round(PROGRAM - START) * (top - START) / (TOP - START)
    assert programmed(values, couples(), ASKED) is told


@pytest.mark.parametrize(("digit", "told"), [(0.3, True), (0.35, False)])
def test_more_than_the_band_is_told_in_fine_digits(digit: float, told: bool) -> None:
    values = (
        np.round(np.interp(TIMES, [600.0, 2700.0, 6850.0, 9700.0], [0.0, 100.0, 100.0, 10.0]) / digit) * digit
    )
    assert programmed(START + values, couples(), ASKED) is told


@pytest.mark.parametrize(("knots", "told"), [(4, True), (5, False)])
def test_more_than_the_band_is_told_in_few_straight_pieces(knots: int, told: bool) -> None:
    """Two for each of three segments, and four."""
    at = np.linspace(600.0, 2600.0, 2 * knots - 2)
    rises = np.repeat(np.linspace(START, 396.0, knots), 2)[1:-1]
    values = np.round(np.interp(TIMES, [*at, 6850.0, 9700.0], [*rises, 396.0, 310.0]), 1)
    assert (_pieces(values) <= 10) is told
    assert programmed(values, couples(), ASKED) is told


def test_straight_pieces_are_counted() -> None:
    x = np.arange(100.0)
    assert _pieces(x) == 1
    assert _pieces(np.interp(x, [0.0, 40.0, 99.0], [0.0, 40.0, 40.0])) == 2
    assert _pieces(np.interp(x, [0.0, 40.0, 60.0, 99.0], [0.0, 40.0, 40.0, 1.0])) == 3
    assert _pieces(np.interp(x, [0.0, 40.0, 60.0, 99.0], [40.0, 0.0, 0.0, 39.0])) == 3


def test_a_step_of_its_last_digit_is_no_bend() -> None:
    x = np.zeros(100)
    assert _bends(x) == 0.0
    assert _bends(np.array([0.0, 0.1])) == 0.0
    x[50:] = 0.1
    assert _bends(x) == 0.0
    x[70:] = 0.3
    assert _bends(x) == pytest.approx(2 / 98)
    assert _bends(np.array([0.0, 0.1, 0.5])) == 1.0


@pytest.mark.parametrize(("late", "told"), [(-20.0, True), (0.0, True), (20.0, False)])
def test_it_is_in_the_band_before_the_slowest(late: float, told: bool) -> None:
    slowest = np.where(TIMES >= 3000.0, TOP, COURSE - 10.0) + np.where(TIMES < 3000.0, NOISE, 0.0)
    slowest[TIMES >= 3000.0] += np.abs(NOISE[TIMES >= 3000.0])
    values = np.where(3000.0 + late <= TIMES, TOP, np.minimum(PROGRAM, 380.0))
    assert programmed(values, couples(slowest), ASKED) is told


def test_thermocouples_that_never_came_into_the_band_do_not_speak() -> None:
    cold = tuple(dataclasses.replace(x, values=x.values - 60.0) for x in couples())
    assert programmed(PROGRAM, cold, ASKED)
    assert not programmed(PROGRAM - 10.0, cold, ASKED)


def test_it_stays_in_the_band_until_it_leaves_it_for_good() -> None:
    values = np.array([390.0, 385.0, np.nan, 386.0, 380.0, 384.9])
    assert _stays(values, 385.0)
    assert not _stays(np.append(values, 385.0), 385.0)
    assert not _stays(np.array([np.nan]), 385.0)
    dipped = PROGRAM.copy()
    dipped[400] = 384.9
    assert not programmed(dipped, couples(), ASKED)
