"""Numbers and comparisons of the signs that a log is faulty, each from both sides, that a sweep of the judge
changed unnoticed."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from judge_channels import codes_told, couples_log
from judge_lines import made
from panelmend.plan.judge import Channel, ChannelRole, codes, faults_drawn
from panelmend.plan.judge.faults import _could_repeat, _sampled, _set_points, agree, check_readings
from panelmend.plan.judge.faults_clock import _is_hour, clock_faults, whole_log_faults
from panelmend.plan.judge.faults_compare import _offset_heated, _slow
from panelmend.plan.judge.faults_drawn import drawn_faults
from panelmend.plan.judge.faults_filled import _jumped
from panelmend.plan.judge.faults_frozen import _why, frozen_faults, is_coarse, still_rows
from panelmend.plan.judge.faults_joint import joined_faults, jump_faults
from panelmend.plan.judge.faults_quiet import _noise
from panelmend.plan.judge.faults_reckoned import digit_of, reckoned_faults
from panelmend.plan.judge.faults_replayed import replayed_faults
from panelmend.plan.judge.faults_sensor import (
    absent_faults,
    could_be_stuck,
    noise_of,
    spike_mask,
    stuck_faults,
)
from panelmend.plan.judge.faults_vacuum import _air_shown, vacuum_faults
from panelmend.plan.judge.log import FloatArray, LogReadings

LOG = made().log()
NAN = float("nan")


def test_readings_of_an_open_end_and_no_others_are_taken_out() -> None:
    a, b = (300.0 + 0.1 * np.arange(100) + x for x in (0.0, 0.7))
    a[50:53] = 700.0
    gone = np.flatnonzero(np.isnan(check_readings(couples_log(10.0, a, b)).temps[:, 0]))
    assert gone.tolist() == [50, 51, 52, 53]
    for at in (20, 40, 60):
        a[at : at + 5] = 700.0
    assert np.nanmax(check_readings(couples_log(10.0, a, b)).temps) < 400.0


def test_neighbours_are_apart_as_nine_of_ten_readings_are() -> None:
    for far, good in ((95, True), (105, False)):
        pair = np.zeros((1001, 2))
        values = np.full(1001, 5.0)
        values[:far] = 50.0
        pair[:, 1] = 4.0
        assert agree(values, pair) is not good  # 4 K are too much beside 5 K and little beside 50 K


def test_one_sample_is_not_looked_at_first() -> None:
    assert [_sampled(n).size for n in (0, 1, 2)] == [0, 0, 1]


def test_a_shifted_repeat_is_let_through_and_an_unlike_one_is_not() -> None:
    a = np.random.default_rng(3).normal(300.0, 1.0, 200)
    some = _sampled(200)
    assert _could_repeat(a, a + 5.0, some)
    assert not _could_repeat(a, a[::-1].copy(), some)


def follows(wanted: FloatArray, couple: FloatArray, step: float) -> bool:
    point = Channel("SP", ChannelRole.SET_POINT, "temperature", wanted.copy())
    log = couples_log(step, couple, more=(point,))
    return bool(_set_points(log, ("T0",), LogReadings(couple[:, None].copy())))


def test_a_set_point_rises_by_a_kelvin_in_two_minutes() -> None:
    t = 10.0 * np.arange(500)
    for rise, said in ((0.96, False), (1.02, True)):
        wanted = 300.0 + rise / 120.0 * t
        assert follows(wanted, wanted + 0.013 * np.sin(t), 10.0) is said
    t = 2.0 * np.arange(9000)  # of long logs some rows are looked at first
    wanted = 300.0 + 1.05 / 120.0 * t
    assert follows(wanted, wanted + 0.013 * np.sin(t), 2.0)


def test_one_in_twenty_readings_on_the_set_point_is_looked_at() -> None:
    n = 1000
    wanted = 300.0 + np.clip(np.arange(n) - 100.0, 0.0, 40.0)
    couple = wanted + 0.013 * np.sin(np.arange(n))
    couple[:94] -= 3.0
    couple[147:] -= 3.0
    assert follows(wanted, couple, 10.0)


def test_repeated_stamps_do_not_hide_uneven_ones() -> None:
    steps = np.where(np.arange(60) % 2, 10.0, 40.0)
    steps[30] = 0.0
    log = couples_log(1.0, np.full(61, 300.0), times=np.concatenate([[0.0], np.cumsum(steps)]))
    assert codes.IRREGULAR.code in codes_told(clock_faults(log))


def test_an_hour_is_one_within_half_a_step() -> None:
    assert [_is_hour(3660.0 + x, 60.0) for x in (29.0, 31.0)] == [True, False]


def test_a_log_ends_hot_by_its_last_row() -> None:
    """Above 50 C."""
    for last, said in ((323.0, False), (323.9, True)):
        temps = np.concatenate([np.full(99, 300.0), [last]])
        assert (codes.ENDS_HOT.code in codes_told(whole_log_faults(couples_log(10.0, temps)))) is said


def test_the_first_two_minutes_tell_the_offset() -> None:
    t = np.arange(600.0)
    m = np.interp(t, [0.0, 500.0], [300.0, 400.0])
    v = m + np.where((t <= 60.0) | (t > 400.0), 0.0, 10.0)
    assert not _offset_heated(LOG, "T1", t, v, m)
    v = m + np.where((t < 60.0) | (t > 400.0), 0.0, 10.0)
    assert _offset_heated(LOG, "T1", t, v, m)


def test_one_that_is_late_at_six_tenths_is_slow() -> None:
    t = 5.0 * np.arange(600)
    m = np.interp(t, [0.0, 1000.0], [300.0, 400.0])
    for jump, said in ((1250.0, True), (1190.0, False)):
        v = np.where(t < jump, 300.0, np.maximum(362.0, m - 1e-3))
        v[t > jump + 2.0] = np.maximum(v[t > jump + 2.0], 366.5)
        v[:] = np.where(t < jump, np.where(t > 600.0, 359.0, 300.0), v)
        assert bool(_slow(LOG, "T1", t, v, m)) is said


@pytest.mark.parametrize(
    ("shares", "between", "told"),
    [((0.5, 0.5, 0.5), 28, False), ((0.5, 0.5, 0.5), 29, True), ((0.0, 38 / 180, 38 / 180), 6, True)],
)
def test_how_rare_a_line_is_goes_by_its_rows_and_by_those_beside(
    monkeypatch: pytest.MonkeyPatch, shares: tuple[float, ...], between: int, told: bool
) -> None:
    n, a, b = 190, 100, 109
    masks = []
    for share in shares:
        mask = np.zeros(n, np.bool_)
        rest = np.flatnonzero((np.arange(n) < a) | (np.arange(n) > b))
        mask[rest[: round(share * rest.size)]] = True
        mask[a : b + 1] = True
        masks.append(mask)
    for k in (a - 1, b + 1):  # the run is no longer than it is
        masks[0][k] = False
    left = iter(masks)
    monkeypatch.setattr(faults_drawn, "straight_rows", lambda *_: next(left))
    monkeypatch.setattr(faults_drawn, "line_between", lambda *_: (a - 1, a + between))
    monkeypatch.setattr(faults_drawn, "_warm", lambda *_: True)
    temps = np.full((n, 3), 300.0)
    assert bool(drawn_faults(couples_log(30.0, *temps.T), temps, np.zeros(n, np.bool_))[0]) is told


@pytest.mark.parametrize(("rows", "told"), [(5, False), (6, True)])
def test_six_rows_are_a_line(monkeypatch: pytest.MonkeyPatch, rows: int, told: bool) -> None:
    n = 190
    mask = np.zeros(n, np.bool_)
    mask[100 : 100 + rows] = True
    monkeypatch.setattr(faults_drawn, "straight_rows", lambda *_: mask)
    monkeypatch.setattr(faults_drawn, "line_between", lambda *_: (99, 110))
    monkeypatch.setattr(faults_drawn, "_warm", lambda *_: True)
    temps = np.full((n, 3), 300.0)
    assert bool(drawn_faults(couples_log(30.0, *temps.T), temps, np.zeros(n, np.bool_))[0]) is told


def test_one_row_after_a_jump_shows_it() -> None:
    temps = np.repeat(300.0 + np.arange(42.0)[:, None] * 0.1, 3, axis=1)
    temps[30:40] = temps[29]
    temps[40:] = temps[29] + 20.0
    log = couples_log(10.0, *temps.T)
    assert _jumped(log, temps, np.array([30]), np.array([39])).tolist() == [True]


def test_eight_rows_can_stand_still_and_the_second_row_is_looked_at() -> None:
    temps = np.array([300.0, *[400.0] * 7])[:, None]
    assert int(frozen_faults(couples_log(300.0, temps[:, 0]), temps)[1].sum()) == 6
    assert still_rows(np.full((2, 1), 300.0)).tolist() == [False, True]


def test_half_kelvins_are_coarse_to_a_hundredth_of_a_step() -> None:
    whole = 300.0 + 0.5 * (np.arange(100) % 7)
    assert is_coarse(whole[:, None])
    off = whole.copy()
    off[[10, 30, 50, 70, 90]] += 0.00525
    assert not is_coarse(off[:, None])


def why(n: int, last: int, middle: FloatArray, hot: Any, stays: Any) -> str:
    log = couples_log(30.0, np.full(n, 300.0))
    return _why(log, 100, last, stays, stays & False, middle, hot, True)


def test_a_sample_as_hot_to_five_kelvins_speaks_of_a_stay() -> None:
    """One that changed, of a stay of 27 steps: chance 1 in 406; exp(6) is 403."""
    n = 200
    for away, steps, told in ((4.9, 27, True), (4.9, 26, False), (5.1, 27, False)):
        stays = np.zeros(n, np.bool_)
        stays[101 : 101 + steps] = True
        middle = np.full(n, 400.0)
        middle[40:61] = 400.0 + away
        hot = np.zeros(n, np.bool_)
        hot[[50, 100 + steps]] = True
        assert ("100 % of 1 samples" in why(n, 100 + steps, middle, hot, stays)) is told


def test_a_stay_that_one_row_follows_may_end_in_a_jump() -> None:
    n = 122
    stays = np.zeros(n, np.bool_)
    stays[101:121] = True
    middle = np.full(n, 400.0)
    middle[121] = 410.0
    assert "jump" in why(n, 120, middle, np.arange(n) == 120, stays)


def test_two_rows_can_jump() -> None:
    temps = np.array([[300.0, 301.0], [360.0, 361.0]])
    assert codes_told(jump_faults(couples_log(10.0, *temps.T), temps, 60.0)) == [codes.JUMPED.code]


def joined(blank: int = 0, step: float = 10.0) -> bool:
    n = 160
    dice = np.random.default_rng(11)
    temps = 350.0 + dice.normal(0.0, 0.02, (n, 3))
    temps[80:] += [0.0, 5.0, -5.0]
    temps[:blank, 0] = NAN
    times = 10.0 * np.arange(n)
    times[78:] += step - 10.0  # no window about the joint is without it
    times[83:] += step - 10.0
    return bool(joined_faults(couples_log(10.0, *temps.T, times=times), temps, 1.0))


def test_a_joint_shows_in_three_that_read_in_nine_of_ten_rows() -> None:
    assert [joined(blank=x) for x in (0, 12, 20)] == [True, True, False]


def test_a_joint_beside_a_step_of_two_and_a_half_is_not_told() -> None:
    assert [joined(step=x) for x in (24.0, 26.0)] == [True, False]


def test_few_rows_have_no_noise() -> None:
    assert _noise(np.array([300.0, 302.0, 301.0])) == 0.0


def reckoned(*, span: float = 20.0, off: float = 0.0, noise: float = 0.2) -> bool:
    """Whether a channel in tenths is said to be the mean of three others with so much noise [K]."""
    n = 400
    dice = np.random.default_rng(9).normal(0.0, 1.0, (n, 3))
    bend = np.array([noise_of(c) for c in dice.T])
    others = 300.0 + span * np.arange(n)[:, None] / (n - 1) + dice / bend * noise + np.array([0.0, 4.0, 9.0])
    mean = np.round(others.mean(axis=1), 1) + off
    mean[0], mean[-1] = np.round(mean[0], 1), np.round(mean[0] + span, 1)
    table = np.column_stack([others, mean])
    log = couples_log(10.0, *table.T)
    found = reckoned_faults(log, ("A", "B", "C", "M"), LogReadings(table.copy()))
    return any(f.channel == "M" for f in found)


def test_a_mean_is_told_to_a_last_digit_where_noise_shows() -> None:
    assert [reckoned(off=x) for x in (0.0, 0.05, 0.16)] == [True, True, False]
    assert [reckoned(noise=x) for x in (0.049, 0.053)] == [False, True]
    assert [reckoned(span=x, noise=0.06) for x in (4.7, 5.2)] == [False, True]


def test_the_last_digit_is_that_of_one_in_twenty_steps() -> None:
    steps = np.concatenate([np.full(6, 0.1), np.full(95, 1.0)])
    assert digit_of(300.0 + np.concatenate([[0.0], np.cumsum(steps)])) == pytest.approx(0.1)
    assert digit_of(np.array([300.0])) == 0.0


def test_a_pattern_that_comes_again_before_twelve_rows_have_passed_repeats_later() -> None:
    one = np.random.default_rng(2).normal(350.0, 3.0, (11, 3))
    temps = np.tile(one, (4, 1))
    out = replayed_faults(couples_log(10.0, *temps.T), temps)[1]
    assert (bool(out[:22].any()), bool(out[22:].all())) == (False, True)


def test_an_empty_column_is_dead_from_the_first_sample() -> None:
    n = len(LOG)
    (found,) = absent_faults(LOG, "T1", np.full(n, NAN), np.ones(n, np.bool_))
    assert (found.finding.code, found.time) == (codes.DEAD.code, 0.0)


def test_three_times_more_than_a_minute_without_a_reading_is_a_loose_contact() -> None:
    for rows, said in ((119, False), (120, True)):  # and half a second to the next
        values = np.full(2000, 300.0)
        for at in (200, 800, 1400):
            values[at : at + rows] = NAN
        found = absent_faults(couples_log(0.5, values), "T0", values, np.ones(2000, np.bool_))
        assert (codes.LOOSE.code in codes_told(found)) is said


def test_a_stay_of_five_minutes_less_two_steps_is_looked_at() -> None:
    for step, rows, extra, said in ((8.0, 35, 0.0, False), (8.0, 36, 0.0, True), (8.0, 35, 3.0, False)):
        n = 100
        values = 300.0 + np.arange(n) % 2
        values[20 : 21 + rows] = 300.0
        values[19], values[21 + rows] = 305.0, 305.0
        times = step * np.arange(n)
        times[25:] += extra - step if extra else 0.0
        if extra:
            values[21 + rows : 22 + rows] = 300.0  # one more step, of three seconds
            values[22 + rows] = 305.0
        assert could_be_stuck(times, values) is said


def test_one_that_stays_for_a_quarter_of_an_hour_beside_lively_ones_is_stuck() -> None:
    dice = np.random.default_rng(4)
    for step, said in ((8.995, False), (9.005, True)):
        n = 300
        others = 350.0 + dice.normal(0.0, 0.5, (n, 2))
        values = 350.0 + np.round(dice.normal(0.0, 0.5, n), 1)
        values[100:201] = 350.0
        values[99], values[201] = 351.0, 351.0
        found = stuck_faults(couples_log(step, values), "T0", values, others)
        assert bool(found) is said


def test_readings_that_all_jump_are_spikes_too() -> None:
    values = 300.0 + 40.0 * (np.arange(20) % 2)
    assert spike_mask(couples_log(10.0, values), values).any()


def test_ten_readings_of_a_piece_and_no_fewer_tell_its_noise() -> None:
    rough = 300.0 + np.array([0.0, 3.0, 1.0, 4.0, 1.0, 5.0, 9.0, 2.0, 6.0, 5.0])
    for rows, noisy in ((9, False), (10, True)):
        values = np.full(40_001, NAN)
        values[:rows] = rough[:rows]
        values[500:780] = 300.0
        assert (noise_of(values) > 0.0) is noisy


def test_half_of_a_vacuum_below_nothing_has_its_sign_turned() -> None:
    for low, said in ((50, False), (51, True)):
        v = Channel("V", ChannelRole.VACUUM, "pressure", np.repeat([-4e3, 0.0], [low, 101 - low]))
        log = couples_log(10.0, more=(v,))
        assert (codes.V_SENSE.code in codes_told(vacuum_faults(log, v, np.empty((101, 0))))) is said


def shown_air(first: float, rest: float, least: float, low: int = 10) -> bool:
    v = np.full(101, rest)
    v[:10] = first
    v[50 : 50 + low] = least
    log = couples_log(10.0, more=(Channel("V", ChannelRole.VACUUM, "pressure", v),))
    middle, least_ = np.percentile(v, [50, 5]).tolist()
    return bool(_air_shown(log, v, 104e3, middle, least_))


def test_air_shown_as_vacuum_is_that_of_sea_level_at_the_most() -> None:
    assert [shown_air(x, 50e3, 50e3) for x in (96e3, 97e3)] == [False, True]
    for share, said in ((0.058, False), (0.063, True)):
        assert shown_air(96.5e3, 103.9e3, 96.5e3 - share * 104e3) is said
