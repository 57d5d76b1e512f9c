"""Numbers of stays, drawn lines, quiet columns and joined logs that planted faults changed unnoticed."""

from __future__ import annotations

import numpy as np
import pytest

from judge_channels import rows_of
from panelmend.plan.judge import faults_joint, faults_quiet
from panelmend.plan.judge.faults_drawn import line_between, straight_rows
from panelmend.plan.judge.faults_filled import _jumped
from panelmend.plan.judge.faults_frozen import _why, frozen_faults, is_coarse
from panelmend.plan.judge.faults_joint import _apart, joined_faults, jump_faults
from panelmend.plan.judge.faults_quiet import _long, _noise_beside, no_chance
from panelmend.plan.judge.log import FloatArray
from panelmend.plan.judge.no_readings import no_vacuum
from panelmend.plan.judge.standing import _newest


def why(
    steps: int,
    *,
    still: int = 1,
    step: float = 10.0,
    then: float = 0.0,
    rise: float = 0.0,
    coarse: bool = True,
) -> str:
    """Why a stay of so many steps is none; elsewhere every ``still``-th row stays, and half as long once."""
    n, first = 2000, 1000
    log = rows_of(n, step)
    stays = np.arange(n) % still == 0
    stays[100 : 100 + steps // 2] = True
    stays[first + 1 : first + steps + 1] = True
    middle = np.full(n, 400.0)
    middle[: first + 1] -= rise * np.arange(first + 1)[::-1]
    middle[first + steps + 1 :] += then
    return _why(log, first, first + steps, stays, stays, middle, np.ones(n, np.bool_), coarse)


def test_twelve_changes_should_have_been_seen() -> None:
    """Every second row stays: half a change a row, less the stay of a dozen rows."""
    assert [bool(why(x, still=2)) for x in (23, 25)] == [False, True]


def test_a_stay_hides_three_kelvins_or_six_usual_steps() -> None:
    assert [why(60, then=x) for x in (2.9, -2.9)] == ["", ""]
    assert all("jump" in why(60, then=x) for x in (3.1, -3.1))
    assert [bool(why(60, then=x, rise=0.6)) for x in (3.5, 3.7)] == [False, True]


def test_half_an_hour_in_which_nothing_changes_is_no_evidence() -> None:
    assert [bool(why(x)) for x in (179, 180)] == [False, True]


def test_ten_minutes_that_nothing_can_be_held_against_are_no_evidence() -> None:
    n = 200
    for steps, told in ((59, False), (60, True)):
        stays = np.zeros(n, np.bool_)
        stays[101 : 101 + steps] = True
        hot, middle = np.zeros(n, np.bool_), np.full(n, 400.0)
        hot[100 + steps] = True  # no other row counts
        assert bool(_why(rows_of(n), 100, 100 + steps, stays, stays, middle, hot, False)) is told
        assert not _why(rows_of(n), 100, 100 + steps, stays, stays, middle, hot, True)


def test_the_rows_of_a_stay_are_no_evidence_but_its_first_is() -> None:
    n = 400
    temps = np.where(np.arange(n) < 50, 300.0, 400.0)[:, None] + 0.1 * (np.arange(3 * n).reshape(n, 3) % 2)
    temps[100:301] = temps[100]
    found, out, everything = frozen_faults(rows_of(n), temps)
    assert len(found) == 1
    assert np.flatnonzero(out).tolist() == list(range(101, 301))
    assert (out == everything).all()


@pytest.mark.parametrize(
    ("digit", "coarse"), [(0.5, True), (1.0, True), (5 / 9, True), (0.55, False), (6 / 9, False)]
)
def test_half_kelvins_and_whole_degrees_f_are_coarse(digit: float, coarse: bool) -> None:
    column = 293.15 + digit * (7 * np.arange(60) % 13)
    assert is_coarse(column[:, None]) is coarse


def knee(rows: int) -> FloatArray:
    """Restless, then so many rows that rise by 0.9 of a digit, then at rest, then restless."""
    restless = np.where(np.arange(20) % 2, 9.0, -9.0)
    return np.concatenate([restless, 0.9 * np.arange(rows), np.full(60, 0.9 * rows), restless])


def test_a_line_of_all_may_lose_three_rows_at_either_end() -> None:
    """The row before the knee is within a digit of the line."""
    for rows, found in ((4, True), (5, False)):
        values = knee(rows)
        times, end = 10.0 * np.arange(values.size), 20 + rows + 59
        assert (line_between(times, [values], [1.0], 20, end) is not None) is found
        assert (
            line_between(times, [values[::-1]], [1.0], values.size - 1 - end, values.size - 21) is not None
        ) is (found)


def test_a_line_of_one_may_lose_twelve_rows_at_either_end() -> None:
    for rows, found in ((13, True), (14, False)):
        values = knee(rows)
        lines = list(_long(10.0 * np.arange(values.size), values, 1.0, stays=False))
        assert bool(lines) is found


@pytest.mark.parametrize(("away", "straight"), [(0.99, True), (1.05, False)])
def test_a_row_is_straight_within_a_last_digit(away: float, straight: bool) -> None:
    values = np.array([0.0, 0.0, 0.1 * away, 0.0, 0.0])
    assert straight_rows(10.0 * np.arange(5), values, 0.1)[2] == straight


@pytest.mark.parametrize(
    ("stays", "noise", "rows", "told"),
    [
        (True, 0.69, 500, False),
        (True, 0.71, 500, True),
        (False, 0.99, 500, False),
        (False, 1.01, 500, True),
        (True, 1.0, 11, False),  # nine tenths of the noise: a row stays with a chance of 0.42
        (True, 1.0, 12, True),
        (False, 2.0, 18, False),  # and lies on the line with a chance of 0.42
        (False, 2.0, 19, True),
    ],
)
def test_noise_that_makes_a_stay_or_a_line_no_chance(
    monkeypatch: pytest.MonkeyPatch, stays: bool, noise: float, rows: int, told: bool
) -> None:
    monkeypatch.setattr(faults_quiet, "_noise_beside", lambda *_: 0.1 * noise)
    assert no_chance(np.zeros(900), 0.1, 100, 100 + rows, stays=stays) is told


def test_a_dozen_of_sixty_rows_beside_tell_the_noise() -> None:
    random = np.random.default_rng(1).normal(0, 1, 100)
    for rows, known in ((11, False), (12, True)):
        values = np.concatenate([random[:rows], np.zeros(20)])
        assert (_noise_beside(values, rows, rows + 19) > 0) is known
    values = np.concatenate([random, np.zeros(20)])
    noise = _noise_beside(values, 100, 119)
    for back, counts in ((61, False), (60, True)):
        other = values.copy()
        other[100 - back] = 50.0
        assert (_noise_beside(other, 100, 119) != noise) is counts


@pytest.mark.parametrize(
    ("moved", "onward", "sixth", "told"),
    [(2, 0, 0, False), (3, 0, 0, True), (5, 10, 10, True), (5, 11, 11, False), (5, 10, 90, True)],
)
def test_a_stay_ends_in_a_jump(moved: int, onward: int, sixth: int, told: bool) -> None:
    """Three last digits, and two and a half times as quick as the five rows after it."""
    column = np.zeros(60)
    column[:8] = np.arange(8)
    column[20:] = moved + np.round(onward * np.minimum(np.arange(40), 5) / 5)
    column[26] = moved + sixth
    temps = np.column_stack([column] * 3)
    assert _jumped(rows_of(60), temps, np.array([11]), np.array([19])).tolist() == [told]


def test_two_thermocouples_show_a_change_of_unit() -> None:
    temps = np.full((50, 2), 300.0)
    temps[20:] += 60.0
    assert len(jump_faults(rows_of(50), temps, 30.0)) == 1
    assert jump_faults(rows_of(50), temps[:, :1], 30.0) == []


def test_lines_beside_a_joint_go_through_a_minute_and_a_half(monkeypatch: pytest.MonkeyPatch) -> None:
    counts = []

    def apart(times: FloatArray, _temps: FloatArray, count: int, _gap: float) -> FloatArray:
        counts.append(count)
        return np.zeros(times.size - 2 * count + 1)

    monkeypatch.setattr(faults_joint, "_apart", apart)
    for step in (15.0, 30.0, 60.0, 9.0, 5.0):
        assert joined_faults(rows_of(100, step), np.full((100, 3), 300.0), 2 * step) == []
    assert counts == [6, 4, 4, 10, 10]


@pytest.mark.parametrize("at", [0, 40])
def test_a_joint_is_held_against_what_is_not_near_it(monkeypatch: pytest.MonkeyPatch, at: int) -> None:
    sizes = np.full(200, 0.1)
    sizes[at] = 3.0
    monkeypatch.setattr(faults_joint, "_apart", lambda *_: sizes.copy())
    assert len(joined_faults(rows_of(215), np.full((215, 3), 300.0), 30.0)) == 1


def test_nothing_is_told_of_a_joint_beside_a_gap() -> None:
    times = 10.0 * np.arange(60)
    times[30:] += 500.0
    temps = 300.0 + np.random.default_rng(2).normal(0, 1, (60, 3))
    size = _apart(times, temps, 4, 30.0)
    assert np.flatnonzero(size == 0.0).tolist() == list(range(23, 30))


@pytest.mark.parametrize(("most", "few"), [(119e3, 0), (125e3, 2), (-119e3, 0), (-125e3, 2)])
def test_no_air_gives_such_a_vacuum(most: float, few: int) -> None:
    assert no_vacuum(np.concatenate([80e3 + np.arange(98.0), most + np.arange(2.0)])).sum() == few


def test_the_newest_three_rows_are_those_of_now() -> None:
    gone = np.nan
    assert _newest(np.array([1.0, 2.0, gone, gone])) == 1
    assert _newest(np.array([1.0, gone, gone, gone])) is None
