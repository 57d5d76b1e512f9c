"""Every number of the faults that a thermocouple shows by itself, or shares, from both sides."""

from __future__ import annotations

import numpy as np
import pytest

from judge_columns import Array, log_of
from panelmend.plan.judge import CureLog, codes
from panelmend.plan.judge import faults as whole
from panelmend.plan.judge import faults_reckoned as fr
from panelmend.plan.judge import faults_sensor as fs
from panelmend.plan.judge.faults import check_readings
from panelmend.plan.judge.log import LogReadings

DICE = np.random.default_rng(77)


T = np.arange(0.0, 6000.0, 10.0)
LOG = log_of(T, T)
ALL = np.ones(T.size, np.bool_)


def absent(v: Array, log: CureLog = LOG) -> list[str]:
    return [f.finding.code for f in fs.absent_faults(log, "T0", v, np.ones(v.size, np.bool_))]


def blank(*runs: tuple[int, int]) -> Array:
    v = np.full(T.size, 300.0)
    for a, b in runs:
        v[a:b] = np.nan
    return v


def test_a_contact_is_loose_at_three_times_of_more_than_a_minute() -> None:
    assert absent(blank((100, 106), (200, 206), (300, 306))) == [
        codes.LOOSE.code
    ]  # 70 s from reading to reading
    assert absent(blank((100, 105), (200, 205), (300, 305))) == [codes.MISSING.code]  # 60 s
    assert absent(blank((100, 106), (200, 206))) == [codes.MISSING.code]
    v = blank()
    v[[100, 200]] = 700.0
    assert absent(v) == [codes.OPEN.code] * 2
    v[300] = 700.0
    assert absent(v) == [codes.LOOSE.code]


def test_open_or_silent_to_the_end_is_to_the_last_sample_or_the_one_before() -> None:
    for last, to_end in ((599, True), (598, True), (597, False)):
        v = blank()
        v[500 : last + 1] = 700.0
        (f,) = fs.absent_faults(LOG, "T0", v, ALL)
        assert ("to the end" in f.finding.words) is to_end
        w = blank((500, last + 1))
        assert absent(w) == [codes.STOPPED.code if to_end else codes.MISSING.code]
    assert absent(blank((587, 600))) == [codes.STOPPED.code]  # 130 s
    assert absent(blank((588, 600))) == [codes.MISSING.code]  # 120 s


def test_bounds_of_a_bond_line() -> None:
    for value, seen in ((643.0, False), (643.3, True), (213.3, False), (213.0, True)):
        v = blank()
        v[100:110] = value
        assert bool(absent(v)) is seen
        made = check_readings(
            log_of(T, v, v + 1.0, v - 1.0) if not seen else log_of(T, v, blank() + 0.1 * T, blank())
        )
        assert np.isnan(made.temps[105, 0]) == seen


def late(*, blind: float, warm: float, firsts: int = 5) -> bool:
    """A thermocouple without readings for so long while another rises by so much."""
    v = 300.0 + np.where(T >= 60.0, warm, 0.0)
    v[:firsts] = 300.0
    w = np.full(T.size, 300.0)
    w[blind > T] = np.nan
    return bool(fs.late_faults(LOG, ("T0", "T1"), np.column_stack([v, w])))


def test_one_that_begins_late_does_so_after_two_minutes_and_5_kelvin() -> None:
    assert [late(blind=130.0, warm=6.0), late(blind=120.0, warm=6.0)] == [True, False]
    assert [late(blind=400.0, warm=5.2), late(blind=400.0, warm=4.8)] == [True, False]
    v = np.full(T.size, 306.0)
    v[:5] = [300.0, 300.0, 300.0, 306.0, 306.0]
    w = np.where(T < 400.0, np.nan, 300.0)
    assert fs.late_faults(LOG, ("T0", "T1"), np.column_stack([v, w])), "the middle of the first five"
    v[2] = 306.0
    assert not fs.late_faults(LOG, ("T0", "T1"), np.column_stack([v, w]))


def stuck(seconds: float, moved: float, *, step: float = 10.0, samples: int = 0, **how: float) -> list[str]:
    """Stands still for so long while the other moves by so much in the middle of it."""
    t = np.arange(0.0, 6000.0, step)
    n = samples or round(seconds / step)
    v = 300.0 + 0.37 * np.sin(t / 7.0)
    v[100 : 101 + n] = v[100]
    trim = min(300.0, (t[100 + n] - t[100]) / 3)
    begin, end = t[100] + trim, t[100 + n] - trim
    other = 300.0 + np.interp(t, [begin, end], [0.0, moved])
    return [f.finding.code for f in fs.stuck_faults(log_of(t, v), "T0", v, other[:, None])]


def test_a_value_is_stuck_for_five_minutes_and_twenty_samples_while_the_others_move_5_kelvin() -> None:
    assert [bool(stuck(s, 9.0)) for s in (300.0, 290.0)] == [True, False]
    assert [bool(stuck(600.0, 9.0, step=30.0, samples=n)) for n in (20, 19)] == [True, False]
    assert [bool(stuck(600.0, m)) for m in (5.2, 4.8)] == [True, False]
    assert (
        fs.moved_meanwhile(T, np.where((T > 290.0) & (T < 5700.0), 1.0, 0.0) * 0 + (T < 295.0), 5990.0) == 0.0
    )
    assert fs.moved_meanwhile(T, 1.0 * (T < 305.0), 5990.0) == 1.0, "five minutes are left to slow ones"
    short = T[:61]
    assert fs.moved_meanwhile(short, 1.0 * (short < 195.0), 600.0) == 0.0
    assert fs.moved_meanwhile(short, 1.0 * (short < 205.0), 600.0) == 1.0, "a third of a shorter stay"


def test_a_stay_of_a_quarter_of_an_hour_counts_among_lively_ones() -> None:
    def of(
        seconds: float, *, step: float = 10.0, noise: float = 0.3, rest: int = 0, moves: float = 1.0
    ) -> bool:
        t = np.arange(0.0, 8000.0, step)
        n = round(seconds / step)
        v = 350.0 + moves * 0.1 * np.round(DICE.normal(0, 3.0, t.size))
        v[100 : 101 + n] = v[100]
        beside = 350.0 + DICE.normal(0, noise, (t.size, 2))
        if rest:
            beside[110 : 110 + rest, 0] = beside[110, 0]
        return bool(fs.stuck_faults(log_of(t, v), "T0", v, beside))

    assert [of(920.0), of(890.0)] == [True, False]
    assert [of(15.0 * 61, step=15.0), of(15.0 * 59 + 30.0, step=16.0)] == [True, False], "60 samples"
    # a neighbour that rests for a quarter as long
    assert [of(1200.0, rest=29), of(1200.0, rest=32)] == [True, False]


def test_a_neighbour_is_lively_whose_noise_is_two_fifths_of_the_step() -> None:
    v = np.tile([300.0, 301.0], 50)
    for share, lively in ((0.43, True), (0.37, False)):
        noise = DICE.normal(0, 1.0, 400)
        noise *= share * np.sqrt(6) / np.std(np.diff(noise, 2))
        assert fs._all_lively(v, noise[:, None], 100) is lively
    flat = np.concatenate([np.full(10, 1.0), DICE.normal(0, 3.0, 100)])
    assert [fs._all_lively(v, flat[:, None], x) for x in (10, 9)] == [True, False]
    assert not fs._all_lively(v, DICE.normal(0, 3.0, (9, 1)), 100), "fewer than ten readings"
    assert fs._all_lively(v, DICE.normal(0, 3.0, (10, 1)), 100)


def clipped(hotter: float, leaves: float, top: float = 0.0) -> str:
    t = T
    v = np.minimum(np.interp(t, [0, 1000, 3000, 4000], [300.0, 360.0, 360.0, 300.0]), 350.0)
    v += 0.2 * np.sin(t) * (v < 349.0)
    end = int(np.flatnonzero(v == 350.0)[-1])
    v[end + 1] = 350.0 - leaves
    v[10] = 350.0 + top
    middle = np.where(t < 1500, 300.0, 350.0 + hotter) + 0.01 * t * 0
    return fs.stuck_faults(log_of(t, v), "T0", v, middle[:, None])[0].finding.code


def test_one_cut_off_at_its_range_stands_at_its_highest_below_the_others_and_leaves_without_a_jump() -> None:
    assert [clipped(2.2, 4.0), clipped(1.8, 4.0)] == [codes.CLIPPED.code, codes.STUCK.code]
    assert [clipped(9.0, 4.8), clipped(9.0, 5.2)] == [codes.CLIPPED.code, codes.STUCK.code]
    assert [clipped(9.0, 4.0), clipped(9.0, 4.0, 0.1)] == [codes.CLIPPED.code, codes.STUCK.code]


def spike(step: float, width: int, high: float, **how: float) -> int:
    """How many readings of a spike are taken out."""
    t = np.arange(60) * step
    v = np.full(60, 300.0)
    v[30 : 30 + width] += high
    v[30 + width :] += how.get("after", 0.0)
    return int(fs.spike_mask(log_of(t, v), v).sum())


def test_a_spike_is_8_kelvin_three_samples_and_90_seconds() -> None:
    assert [spike(1.0, 1, h) for h in (8.2, 7.8, -8.2, -7.8)] == [1, 0, 1, 0]
    assert [spike(1.0, w, 50.0) for w in (1, 2, 3, 4)] == [1, 2, 3, 0]
    assert [spike(44.0, 1, 300.0), spike(46.0, 1, 300.0)] == [1, 0]
    assert [spike(22.0, 3, 300.0), spike(23.0, 3, 300.0)] == [3, 0]
    assert [spike(1.0, 1, 50.0, after=3.8), spike(1.0, 1, 50.0, after=4.2)] == [1, 0]
    # up at 3 K/s or down at half a kelvin a second a part could follow
    t = np.arange(60) * 20.0
    for up, down, taken in ((2.9, 0.45, 0), (3.1, 0.45, 1), (2.9, 0.55, 1)):
        times = t.copy()
        times[31:] += up / down * 20.0 - 20.0 if up / down * 20.0 < 70.0 else 0.0
        v = np.full(60, 300.0)
        v[30] += 9.0
        times = np.concatenate(
            [np.arange(30) * 20.0, [580.0 + 9.0 / up], 580.0 + 9.0 / up + 9.0 / down + np.arange(29) * 20.0]
        )
        assert fs.spike_mask(log_of(times, v), v).sum() == taken
        w = np.full(60, 300.0)
        w[30] -= 9.0
        times = np.concatenate(
            [np.arange(30) * 20.0, [580.0 + 9.0 / down], 580.0 + 9.0 / up + 9.0 / down + np.arange(29) * 20.0]
        )
        assert fs.spike_mask(log_of(times, w), w).sum() == taken
    few = np.array([300.0, 300.0, 350.0, 300.0])
    assert not fs.spike_mask(log_of(np.arange(4.0), few), few).any()


def textured(v: Array, noise: float = 0.0, others: float = 0.0) -> list[str]:
    return [
        f.finding.code for f in fs.texture_faults(log_of(np.arange(v.size) * 10.0, v), "T0", v, noise, others)
    ]


def test_coarse_is_a_step_of_1_9_kelvin_and_many_that_stay() -> None:
    def of(step: float, stay: float, moves: int = 50) -> list[str]:
        n = round(moves / (1 - stay))
        moved = np.zeros(n)
        moved[np.linspace(0, n - 1, moves).astype(int)] = 1.0
        return textured(300.0 + step * np.cumsum(moved))

    assert [bool(of(s, 0.6)) for s in (1.95, 1.85)] == [True, False]
    assert [bool(of(2.0, s)) for s in (0.32, 0.28)] == [True, False]
    assert [bool(of(2.0, 0.6, m)) for m in (7, 5)] == [True, False]


def test_noisy_is_1_kelvin_and_five_times_the_others() -> None:
    v = 300.0 + np.arange(50.0)
    assert [textured(v, n, 0.1) for n in (1.05, 0.95)] == [[codes.NOISY.code], []]
    assert [textured(v, 2.0, n) for n in (0.39, 0.41)] == [[codes.NOISY.code], []]


def test_noise_is_the_spread_of_second_differences_scaled_to_a_reading() -> None:
    v = DICE.normal(0, 0.5, 20_000)
    assert fs.noise_of(v) == pytest.approx(0.5, rel=0.03)
    assert fs.noise_of(DICE.normal(0, 0.5, 60_000)) == pytest.approx(0.5, rel=0.03)
    assert fs.noise_of(v[:9]) == 0.0
    assert fs.noise_of(v[:10]) > 0.0
    long = np.concatenate([np.zeros(30_000), DICE.normal(0, 0.5, 30_000)])
    assert fs.noise_of(long) < 0.45, "from beginning to end"


# --- one channel beside another ---


def test_two_neighbours_agree_within_3_kelvin_or_two_fifths_of_what_the_third_is_away() -> None:
    z = np.zeros(100)
    for apart, ok in ((2.9, True), (3.1, False)):
        assert whole.agree(z + 1.0, np.column_stack([z, z + apart])) is ok
    for apart, ok in ((7.6, True), (8.4, False)):
        assert whole.agree(z + 20.0 + apart / 2, np.column_stack([z, z + apart])) is ok
    for share, ok in ((9, True), (12, False)):
        pair = np.column_stack([z, z])
        pair[:share, 1] = 50.0
        assert whole.agree(z + 1.0, pair) is ok
        away = z + 1.5
        away[: 100 - share] = 40.0
        assert (
            whole.agree(np.where(np.arange(100) < share, 20.0, 1.0), np.column_stack([z, z + 3.5])) is not ok
        )
    assert whole.agree(z[:1], np.column_stack([z, z + 50.0])[:1]), "one sample tells nothing"
    assert not whole.agree(z[:2], np.column_stack([z, z + 50.0])[:2])


def twins(count: int, moved: float) -> bool:
    v = np.linspace(300.0, 300.0 + moved, count)
    log = log_of(np.arange(count) * 10.0, v, v)
    return bool(whole._twins(log, ("T0", "T1"), LogReadings(np.column_stack([v, v]))))


def test_twins_are_told_by_more_than_fifty_samples_and_5_kelvin() -> None:
    assert [twins(51, 20.0), twins(50, 20.0)] == [True, False]
    assert [twins(100, 5.2), twins(100, 4.8)] == [True, False]


def test_a_repeat_that_is_late_or_shifted_needs_noise_and_digits_that_change() -> None:
    for sigma, told in ((0.0106, True), (0.0094, False)):
        v = DICE.normal(0, 1.0, 5000)
        v *= sigma / fs.noise_of(v)
        assert bool(whole._repeats(v[1:], v[:-1])) is told
        assert bool(whole._repeats(v, v + 1.5)) is told
        assert whole._repeats(v, v) == " "
    for stay, told in ((0.46, True), (0.53, False)):  # a coarse channel repeats its last value anyhow
        v = np.zeros(4000)
        for i in range(1, 4000):
            v[i] = v[i - 1] if (i * stay) % 1.0 < stay else v[i - 1] + 1.0 + DICE.random()
        assert bool(whole._repeats(v[1:], v[:-1]) == ", one sample late") is told


def on_point(near: float, *, rises: float = 2.0, count: int = 400, top: float = 60.0) -> bool:
    """A channel so near to a set point that rises by ``rises`` K/min to ``top`` above its beginning."""
    t = np.arange(count) * 10.0
    point = 300.0 + np.minimum(top, rises / 60.0 * t)
    v = point + near
    readings = LogReadings(np.column_stack([v]))
    return bool(whole._set_points(log_of(t, v, point=point), ("T0",), readings))


def test_on_the_set_point_is_a_tenth_of_a_kelvin_while_it_rises_by_half_a_kelvin_a_minute() -> None:
    assert [on_point(0.095), on_point(0.105)] == [True, False]
    assert [on_point(0.05, rises=x, count=5000) for x in (0.53, 0.47)] == [True, False]
    assert [on_point(0.05, top=x) for x in (31.0, 29.0)] == [True, False]
    assert [on_point(0.05, count=x, rises=61.3, top=1e9) for x in (51, 50)] == [True, False]
    t = np.arange(400) * 10.0
    for rows, told in ((22, True), (18, False)):  # samples in which it rises
        point = 300.0 + np.interp(t, [1000.0, 1000.0 + 10.0 * (rows - 11)], [0.0, 60.0])
        v = point + 0.05
        moves = np.interp(t + 60.0, t, point) - np.interp(t - 60.0, t, point) > 1.0
        assert bool(moves.sum() > 20) is told
        assert bool(whole._set_points(log_of(t, v, point=point), ("T0",), LogReadings(v[:, None]))) is told


def test_a_channel_alone_is_asked_for_its_readings_and_two_are_not_compared() -> None:
    v = 300.0 + 0.01 * T
    v[-20:] = np.nan
    assert codes.STOPPED.code in {f.finding.code for f in check_readings(log_of(T, v)).faults}
    three = check_readings(log_of(T, v, v + 0.3 + 0.01 * np.sin(T), v - 0.2 + 0.01 * np.cos(T))).faults
    assert codes.STOPPED.code not in {f.finding.code for f in three}, "all at once is the logger"
    up = np.interp(T, [600.0, 3000.0], [300.0, 390.0])
    off = up + 12.0
    assert codes.OFFSET.code not in {f.finding.code for f in check_readings(log_of(T, up, off)).faults}
    assert codes.OFFSET.code in {f.finding.code for f in check_readings(log_of(T, up, up + 0.3, off)).faults}


# --- reckoned channels ---


def reckoned(way: str, *, count: int = 400, digit: float = 0.1, noise: float = 0.3, **how: float) -> bool:
    """A channel that is the mean or the highest of two others, or nearly so."""
    t = np.arange(count) * 10.0
    base = 300.0 + np.linspace(0.0, how.get("moved", 60.0), count)
    table = base[:, None] + DICE.normal(0, noise, (count, 2)) + [0.0, how.get("apart", 5.0)]
    table = np.round(table / digit) * digit
    mine = table.mean(axis=1) if way == "mean" else table.max(axis=1)
    mine = np.round(mine / digit) * digit + how.get("off", 0.0) * digit
    odd = np.arange(count) % 100 < how.get("odd", 0.0)
    mine[odd] += 7.0
    log = log_of(t, mine, *table.T)
    found = fr.reckoned_faults(log, ("T0", "T1", "T2"), LogReadings(np.column_stack([mine, table])))
    return any(way in f.finding.words for f in found)


def test_a_reckoned_channel_is_told_by_fifty_samples_5_kelvin_and_98_percent() -> None:
    assert [reckoned("highest", count=x) for x in (51, 50)] == [True, False]
    assert [reckoned("mean", odd=x) for x in (1.0, 3.0)] == [True, False]
    assert [reckoned("highest", odd=x) for x in (1.0, 3.0)] == [True, False]
    assert [reckoned("mean", noise=0.06, moved=x, apart=0.0 * x + 5.0) for x in (5.6, 4.4)] == [True, False]


def test_a_mean_is_told_within_one_digit_in_fine_digits_above_the_noise() -> None:
    assert [reckoned("mean", digit=x) for x in (0.14, 0.16)] == [True, False]
    assert [reckoned("mean", off=x) for x in (0.45, 2.1)] == [True, False]
    assert [reckoned("highest", off=x) for x in (0.2, 0.3)] == [True, False]


def test_neighbours_that_lie_as_near_to_one_another_tell_no_mean() -> None:
    beside = np.zeros((100, 2))
    for share, alike in ((72, True), (68, False)):
        beside[:, 1] = np.where(np.arange(100) < share, 0.05, 9.0)
        assert fr._alike(beside, 0.1) is alike
    assert fr.digit_of(np.array([1.0, 1.1, 1.3, 1.4, 2.0])) == pytest.approx(0.1, rel=0.1)
    assert len(fr._groups(12)) == 1 + 66 + 220
    assert len(fr._groups(13)) == 1
