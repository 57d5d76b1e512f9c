"""Every number of what stands still or comes twice, from both sides."""

from __future__ import annotations

import math

import numpy as np
import pytest

from judge_columns import Array, N, T, log_of
from panelmend.plan.judge import faults_frozen as ff
from panelmend.plan.judge import faults_replayed as fr

DICE = np.random.default_rng(5)


def frozen(temps: Array, times: Array = T, **more: Array) -> list[str]:
    log = log_of(times, *temps.T, **more)
    return [f.finding.words for f in ff.frozen_faults(log, temps)[0]]


def lively(
    hot: float = 60.0, *, share: float = 0.9, channels: int = 3, n: int = N, step: float = 0.1
) -> Array:
    """Up and then held; a row in which nothing changes comes with 1 - ``share``."""
    base = 300.0 + np.minimum(hot, 0.2 * np.arange(n))
    moves = np.random.default_rng(5).random(n) < share
    wave = np.cumsum(np.where(moves, step * (-1.0) ** np.cumsum(moves), 0.0))
    return np.round(np.column_stack([base + wave + 0.3 * i for i in range(channels)]), 6)


def still(temps: Array, begin: int, rows: int) -> Array:
    out = temps.copy()
    out[begin : begin + rows + 1] = out[begin]
    return out


def test_a_stay_is_three_minutes_and_six_steps() -> None:
    assert [bool(frozen(still(lively(), 600, r))) for r in (18, 16)] == [True, False]
    slow = np.arange(N) * 36.0
    for rows, told in ((6, True), (5, False)):
        temps = still(lively(share=1.0), 600, rows)
        temps[601 + rows :] += 0.35
        assert bool(frozen(temps, slow)) is told


def test_only_a_hot_part_must_move() -> None:
    """Ten kelvin above its first readings."""
    for hot, told in ((10.6, True), (9.4, False)):
        temps = lively(hot)
        temps[600:660] = np.round(temps[600], 3)
        assert bool(frozen(temps)) is told


def test_how_sure_a_stay_is_comes_from_rows_as_hot_and_as_steady() -> None:
    assert ff._surprise(50, 0, 20) == pytest.approx(
        math.lgamma(1) - math.lgamma(52) - math.lgamma(21) + math.lgamma(72)
    )
    # two thirds of all rows change: 18 steps are 12
    base = lively(share=1.0)
    assert "they change in" in frozen(still(base, 600, 18))[0]
    few = lively(share=0.45)
    few_words = frozen(still(few, 600, 26))
    assert len(few_words) <= 1
    near = lively(share=1.0)
    near[:600] -= 5.3  # elsewhere more than 5 K colder: nothing to compare with but what follows
    assert frozen(still(near, 600, 40))


def surprised(changed: int, stayed: int, steps: int) -> bool:
    return min(changed / (changed + stayed) * steps, ff._surprise(changed, stayed, steps)) >= ff.SURPRISE


def stays(share: float, steps: int) -> bool:
    temps = lively(share=share)
    return bool(frozen(still(temps, 700, steps)))


def test_a_stay_is_told_where_its_chance_is_below_exp_minus_12() -> None:
    """Between rows that always move and rows that move now and then."""
    told = [n for n in range(6, 60) if stays(0.5, n)]
    assert told
    least = min(told)
    temps = still(lively(share=0.5), 700, least)
    middle = temps.mean(axis=1)
    same = ff.still_rows(temps)
    level = np.flatnonzero(
        (np.abs(middle - middle[700]) <= 5.0) & (middle > middle[0] + 10.0) & ff._steady(T, middle)
    )
    level = level[(level <= 700) | (level > 700 + least)]
    changed = int((~same[level]).sum())
    longest = max((b - a + 1 for a, b in ff.runs(same) if b < 700 or a > 700 + least), default=1)
    sure = surprised(changed, level.size - changed, least)
    alone = (
        least >= 3 * longest
        and min(changed / level.size * least, ff._surprise(changed, level.size - changed, least)) >= 6.0
    )
    assert sure or alone
    shorter = least - 1
    assert not surprised(changed, level.size - changed, shorter)


def test_steady_is_one_and_a_half_kelvin_in_two_minutes() -> None:
    for rate, steady in ((1.45, True), (1.55, False)):
        m = 300.0 + rate / 120.0 * T
        assert bool(ff._steady(T, m)[500]) is steady
    m = 300.0 + np.where(T >= 5065.0, 5.0, 0.0)
    assert bool(ff._steady(T, m)[500])
    assert not bool(ff._steady(T, 300.0 + np.where(T >= 5055.0, 5.0, 0.0))[500]), "a minute either side"
    assert not bool(ff._steady(T, 300.0 + np.where(T > 4945.0, 5.0, 0.0))[500])
    assert bool(ff._steady(T, 300.0 + np.where(T > 4935.0, 5.0, 0.0))[500])
    one = np.full(N, np.nan)
    one[3] = 300.0
    assert not ff._steady(T, one).any()


def jump(by: float, into: float = 0.0, *, step: float = 0.1, share: float = 0.25, rows: int = 18) -> bool:
    """Rows that seldom change, a stay, and then a jump; no other sign is there."""
    temps = lively(share=share, step=step)
    temps[600:] += into + temps[599] - temps[600]
    temps = still(temps, 600, rows)
    temps[600 + rows + 1 :] += temps[600] + by - temps[600 + rows + 1]
    return any("then they jump" in w for w in frozen(temps, np.arange(N) * 200.0 / rows))


def test_a_stay_hides_a_jump_of_3_kelvin_or_six_usual_steps() -> None:
    assert [jump(b) for b in (3.2, 2.8, -3.2, -2.8)] == [True, False, True, False]
    assert [jump(8.0, i) for i in (3.8, 4.2)] == [True, False], "a stay begins where it was"
    assert [jump(b, step=0.8, share=0.6, rows=8) for b in (5.0, 4.6)] == [True, False]


def test_half_an_hour_in_which_nothing_at_all_moves() -> None:
    def of(seconds: float, *, gauge: bool = False) -> bool:
        temps = still(lively(share=0.02, step=0.5), 600, round(seconds / 10.0))
        temps[600:800] = temps[600]
        temps[599] -= 0.5
        rows = 600 + round(seconds / 10.0)
        temps[rows + 1 :] += 0.5
        v = 8e4 + np.where(np.arange(N) < 600, 5.0 * np.sin(np.arange(N)), 0.0)
        if gauge:
            v += np.sin(np.arange(N) / 40.0)
        return any("nor did anything else" in w for w in frozen(temps, vacuum=v))

    assert [of(1810.0), of(1790.0)] == [True, False]
    assert not of(1810.0, gauge=True)


def test_ten_minutes_that_nothing_in_the_log_can_be_held_against() -> None:
    def of(rows: int, others: int, digit: float = 0.1) -> bool:
        """A log that is hot and steady in few other samples."""
        n = 60 + others + rows + 1
        base = 300.0 + np.concatenate([np.linspace(0, 60, 60), np.full(others + rows + 1, 60.0)])
        base = np.round(base / digit) * digit
        temps = base[:, None] + digit * np.round(np.random.default_rng(3).normal(0, 3, (n, 3)))
        temps[60 + others :] = temps[60 + others]
        return any("too few" in w for w in frozen(temps, np.arange(n) * 10.0))

    assert [of(60, 0), of(58, 0)] == [True, False]
    assert [of(60, 0, 0.5), of(60, 0, 0.4)] == [False, True], "coarse digits may stand"
    assert ff._surprise(0, 0, 60) < ff.SURPRISE / 2 <= ff._surprise(1, 0, 60), "one sample that moved tells"


def test_coarse_is_half_a_kelvin_or_a_degree_f_in_nearly_all_readings() -> None:
    v = 300.0 + 0.5 * np.round(DICE.normal(0, 9, 5000))
    f = 300.0 + 5 / 9 * np.round(DICE.normal(0, 9, 5000))
    fine = 300.0 + 0.3 * np.round(DICE.normal(0, 9, 5000))
    assert [ff.is_coarse(x[:, None]) for x in (v, f, fine)] == [True, True, False]
    assert not ff.is_coarse(np.column_stack([v, fine]))
    for share, coarse in ((0.005, True), (0.015, False)):
        w = v.copy()
        w[np.arange(500, 5500) % 1000 < 1000 * share] += 0.2
        assert ff.is_coarse(w[:, None]) is coarse
    for off, coarse in ((0.0045, True), (0.0056, False)):  # a hundredth of a digit
        w = v + off
        w[0] = v[0]
        assert ff.is_coarse(w[:, None]) is coarse


def test_the_longest_stay_that_was_let_pass_is_that_of_a_hot_part() -> None:
    temps = still(lively(share=1.0), 600, 12)
    assert ff.longest_stay(log_of(T, *temps.T), temps) == pytest.approx(120.0)
    cold = still(lively(share=1.0), 20, 12)
    assert ff.longest_stay(log_of(T, *cold.T), cold) == pytest.approx(0.0)
    for n, value in ((8, 70.0), (7, 0.0)):
        short = np.full((n, 2), 360.0)
        short[0] = 300.0
        short[1:] = [350.0, 351.0]
        assert ff.longest_stay(log_of(T[:n], *short.T), short) == (value - 10.0 if value else 0.0)


# --- readings that come twice ---


def again(rows: int, *, channels: int = 3, changes: float = 1.0, n: int = 200, missing: float = 0.0) -> bool:
    dice = np.random.default_rng(9)
    temps = np.round(350.0 + dice.normal(0, 0.3, (n, channels)), 2)
    if changes < 1.0:
        keep = dice.random((n, channels)) > changes
        for k in range(1, n):
            temps[k] = np.where(keep[k], temps[k - 1], temps[k])
    if n >= 150:
        temps[120 : 120 + rows] = temps[40 : 40 + rows]
    else:
        temps[n - rows :] = temps[:rows]
    if missing:
        temps[: round(missing * n), 0] = np.nan
    return bool(fr.replayed_faults(log_of(np.arange(n) * 10.0, *temps.T), temps)[0])


def test_a_repeat_is_a_dozen_rows_of_three_thermocouples() -> None:
    assert [again(r) for r in (12, 11)] == [True, False]
    assert [again(30, channels=k) for k in (3, 2)] == [True, False]
    assert [again(12, n=n) for n in (24, 23)] == [True, False]
    assert [again(30, channels=4, missing=x) for x in (0.45, 0.55)] == [False, True], (
        "a channel with half of its readings"
    )


def test_a_repeat_changes_two_dozen_readings() -> None:
    def of(changed: int) -> bool:
        temps = np.round(350.0 + np.random.default_rng(9).normal(0, 0.3, (200, 3)), 2)
        stretch = np.full((12, 3), 351.0)
        for k in range(changed):
            stretch[1 + k % 11 :, k // 11] += 0.01 * (k + 1)
        temps[40:52] = temps[120:132] = stretch
        moved = int((np.diff(stretch, axis=0) != 0).sum())
        assert moved == changed
        return bool(fr.replayed_faults(log_of(np.arange(200) * 10.0, *temps.T), temps)[0])

    assert [of(24), of(23)] == [True, False]
