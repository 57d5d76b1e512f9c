"""Stretches of a log that were drawn, filled up, moved, joined or stood still: further edges of what tells
them, each outcome written by hand for what lies exactly on the edge, and beside it."""

from __future__ import annotations

import itertools
from typing import Any

import numpy as np
import pytest

from judge_channels import codes_told as _told
from judge_channels import log_of_columns as _log
from panelmend.plan.judge import (
    codes,
    faults_drawn,
    faults_filled,
    faults_frozen,
    faults_joint,
    faults_moved,
    faults_quiet,
    faults_reckoned,
    faults_replayed,
)
from panelmend.plan.judge.log import FloatArray, LogReadings

NAN = float("nan")


# drawn


def test_a_line_may_rise_and_end_with_the_last_row() -> None:
    times, rising = 100.0 + np.arange(20.0), 300.0 + 3.0 * np.arange(20.0)
    assert faults_drawn.straight_rows(times, rising, 0.125).tolist() == [False, *[True] * 18, False]
    assert faults_drawn.line_between(times, [rising], [0.125], 0, 20, 0) == (0, 19)
    assert faults_drawn.line_between(times, [rising], [0.125], 5, 15, 0) == (5, 15)
    with np.errstate(all="raise"):
        assert faults_drawn.line_between(np.full(20, 5.0), [rising], [0.125], 5, 15, 0) is None


def test_a_row_may_lie_a_last_digit_and_a_little_off_its_line() -> None:
    """A thousandth beside its neighbours, two hundredths on a whole line; of a digit of eight kelvins."""
    for off, straight in ((8.008, True), (8.0081, False)):
        assert bool(faults_drawn.straight_rows(np.arange(3.0), np.array([0.0, off, 0.0]), 8.0)[1]) is straight
    for off, found in ((8.16, (0, 9)), (8.161, None)):
        values = np.zeros(10)
        values[4] = off
        assert faults_drawn.line_between(np.arange(10.0), [values], [8.0], 0, 9, 0) == found


# filled up


@pytest.mark.parametrize(("count", "told"), [(39, False), (40, True)])
def test_forty_rows_show_whether_some_were_filled(
    count: int, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        faults_filled, "_jumped", lambda log, temps, begins, ends: np.ones(begins.size, np.bool_)
    )
    column = np.repeat(300.0 + 8.0 * np.arange(20), 3)[:count]
    temps = np.column_stack([column, column + 1.0, column + 2.0])
    found = faults_filled.filled_faults(_log(np.arange(count) * 10.0), temps, np.zeros(count, np.bool_))
    assert bool(found.faults) is told


def _chance(changes: list[int], stay: int, after: list[int], channels: int) -> bool:
    """Whether a stay is told after and before rows in which so many channels change; all do where it ends."""
    temps = np.full((1, channels), 300.0)
    for many in [*changes, *[0] * stay, channels, *after]:
        row = temps[-1].copy()
        row[:many] += 1.0
        temps = np.vstack([temps, row])
    still = faults_frozen.still_rows(temps)
    begin, end = len(changes) + 1, len(changes) + stay
    found = faults_filled._no_chance(temps, still, np.array([begin]), np.array([end]))
    return bool(found[0])


@pytest.mark.parametrize(("stay", "told"), [(8, False), (9, True)])
def test_how_often_one_channel_changes_where_rows_without_a_change_are_not_seen(
    stay: int, told: bool
) -> None:
    """Two of four change in each row that is seen: one alone does in 0.456 of all, 2.4 of surprise a row."""
    assert _chance([2] * 25, stay, [2] * 25, 4) is told


@pytest.mark.parametrize(("near", "told"), [(7, True), (6, False)])
def test_what_comes_to_rest_changes_less_and_less(near: int, told: bool) -> None:
    """In the three rows before a stay seven tenths of what is usual behind it: of half of twenty channels."""
    assert _chance([20] * 25 + [near] * 3, 4, [10] * 25, 20) is told


@pytest.mark.parametrize(("last", "told"), [(40, True), (8, False)])
def test_the_row_before_a_stay_of_one_row_is_near_it(last: int, told: bool) -> None:
    assert _chance([20] * 25 + [8, 8, last], 1, [20] * 25, 40) is told


def test_a_surprise_at_its_limit_is_no_chance(monkeypatch: pytest.MonkeyPatch) -> None:
    limit = -2 * 3 * float(np.log1p(-(1.0 - 1e-6)))
    for value, told in ((limit, True), (float(np.nextafter(limit, np.inf)), False)):
        monkeypatch.setattr(faults_filled, "SURPRISE", value)
        assert _chance([3] * 25, 2, [3] * 25, 3) is told


def test_eight_stretches_are_named_each() -> None:
    begins = np.arange(8) * 10 + 1
    found = list(faults_filled._said(_log(np.arange(101) * 10.0), begins, begins + 6, 10.0))
    assert [(f.time, f.until) for f in found] == [(k * 100.0, k * 100.0 + 80.0) for k in range(8)]


# stood still


@pytest.mark.parametrize(("steps", "told"), [(30, True), (29, False)])
def test_a_stay_of_one_thermocouple_is_printed_from_five_minutes_on(steps: int, told: bool) -> None:
    values = np.concatenate([[300.0], 350.0 + np.arange(9) / 8.0, np.full(steps + 1, 360.0)])
    found = faults_frozen.stays_of_each(_log(np.arange(values.size) * 10.0), ("T1",), values[:, None])
    assert found == (("T1", 300.0),) * told


@pytest.mark.parametrize(("by", "steady"), [(1.5, False), (1.375, True)])
def test_less_than_a_kelvin_and_a_half_in_two_minutes_is_steady(by: float, steady: bool) -> None:
    times, middle = np.arange(21) * 60.0, 300.0 + 0.5 * by * np.arange(21)
    assert bool(faults_frozen._steady(times, middle)[10]) is steady


def _why(
    steps: int, others: list[int], *, beside: float = 350.0, end: float = 350.0, changed: int = 0
) -> str:
    """Why a stay at 350 K is no evidence, after other stays and readings that change at some level."""
    still = [False]
    for n in others:
        still += [False, *[True] * n]
    still += [False] * changed
    first = len(still)
    still += [False, *[True] * steps, False]
    middle = np.full(len(still), beside)
    middle[0], middle[first : first + steps + 1], middle[-1] = 300.0, 350.0, end
    return faults_frozen._why(
        _log(np.arange(len(still)) * 60.0), first, first + steps, np.array(still), np.array(still), middle,
        middle > 310.0, True,
    )  # fmt: skip


def test_the_rows_at_both_ends_of_a_stay_are_among_those_beside_it() -> None:
    assert _why(24, [9] * 9, changed=67) == (
        "elsewhere as hot and as steady they change in 50 % of 154 samples"
    )


@pytest.mark.parametrize(("beside", "told"), [(355.0, True), (345.0, True), (355.5, False), (344.5, False)])
def test_readings_five_kelvin_away_are_beside_a_stay(beside: float, told: bool) -> None:
    assert _why(24, [], changed=80, beside=beside, end=NAN).startswith("elsewhere") is told


@pytest.mark.parametrize(("end", "told"), [(353.0, False), (353.5, True), (347.0, False), (346.5, True)])
def test_a_stay_that_ends_in_a_jump_of_more_than_three_kelvin(end: float, told: bool) -> None:
    assert _why(12, [9] * 6, end=end).startswith("then they jump") is told


# joined


@pytest.mark.parametrize(("step", "told"), [(60.0, True), (60.5, False)])
def test_a_step_as_long_as_a_gap_shows_a_jump(step: float, told: bool) -> None:
    temps = np.array([[300.0, 320.0], [500.0, 520.0], [500.0, 520.0]])
    assert bool(faults_joint.jump_faults(_log([0.0, step, step + 10.0]), temps, 60.0)) is told


@pytest.mark.parametrize(("behind", "told"), [(4, True), (3, False)])
def test_lines_are_drawn_through_a_minute_and_a_half(behind: int, told: bool) -> None:
    """Four rows each half a minute: a hole further off hides no joint."""
    times = np.arange(100) * 30.0
    times[50 + behind :] += 1000.0
    temps = np.column_stack([np.full(100, 350.0), np.full(100, 355.0), np.full(100, 360.0)])
    temps[50:, 0] += 4.0
    temps[50:, 2] -= 4.0
    found = faults_joint.joined_faults(_log(times), temps, 60.0)
    assert (1500.0 in [f.time for f in found]) is told


@pytest.mark.parametrize(("gap", "size"), [(1.0, np.sqrt(0.5)), (0.99, 0.0)])
def test_a_line_is_drawn_over_steps_as_long_as_a_gap(gap: float, size: float) -> None:
    times = np.arange(8.0)
    up = np.where(times > 3.5, 1.0, 0.0)
    apart = faults_joint._apart(times, np.column_stack([300.0 + up, 300.0 + 0.0 * up, 300.0 - up]), 4, gap)
    assert apart == pytest.approx([size], rel=1e-9)


# moved


def _column(level: float, odd: float, rows: tuple[int, ...], count: int = 60) -> list[float]:
    return [odd if k in rows else level for k in range(count)]


def _moved(rows: tuple[int, ...], count: int = 60) -> tuple[list[Any], int]:
    columns = [_column(a, b, rows, count) for a, b in ((300.0, 320.0), (320.0, 340.0), (340.0, NAN))]
    found, out = faults_moved.moved_faults(_log(np.arange(count) * 10.0, columns), 60.0)
    return found, int(out.sum())


def test_rows_at_the_begin_of_a_log_are_held_against_those_behind_them() -> None:
    for rows in ((0,), (0, 1)):
        found, moved = _moved(rows)
        assert (len(found), moved) == (1, len(rows))


def test_four_moved_stretches_are_named() -> None:
    for many in (3, 4, 5, 6):
        found, moved = _moved(tuple(range(5, 5 + 8 * many, 8)))
        assert (len(found), moved) == (min(many, 4), many)


def _ends_twice(rows: tuple[int, ...], channels: int = 3) -> tuple[list[Any], int]:
    levels = (300.0, 320.0, 340.0, 340.0)[4 - channels - 1 :]
    columns = [_column(a, b, rows) for a, b in itertools.pairwise(levels)]
    twice = np.isin(np.arange(60), rows)
    found, out = faults_moved._ended_twice(_log(np.arange(60) * 10.0, columns, ends_twice=twice))
    return found, int(out.sum())


def test_rows_that_end_twice_are_told_of_three_channels_and_four_are_named() -> None:
    for many in (1, 4, 5):
        found, moved = _ends_twice(tuple(range(5, 5 + 8 * many, 8)))
        assert (len(found), moved) == (min(many, 4), many)
    assert _ends_twice((5,), 2) == ([], 0)


def test_a_channel_is_carried_on_along_its_line() -> None:
    log = _log(1000.0 + np.arange(20) * 10.0)
    values = 300.0 + 0.25 * np.arange(20)
    values[12] = NAN
    found = faults_moved._carried(log, values, np.arange(10, 15), np.array([15, 17]))
    assert found == pytest.approx([303.75, 304.25], rel=1e-12)


# one without its noise


@pytest.mark.parametrize(("rows", "told"), [(10, True), (9, False)])
def test_a_stay_is_of_five_minutes_however_late_it_comes(rows: int, told: bool) -> None:
    values = np.concatenate([np.arange(100.0), np.full(rows + 1, 200.0), np.arange(300.0, 320.0)])
    found = list(faults_quiet._long(np.arange(values.size) * 30.0, values, 1.0, stays=True))
    assert found == [(100, 100 + rows)] * told


@pytest.mark.parametrize(("last", "told"), [(105, True), (104, False)])
def test_a_line_is_of_five_minutes_between_its_ends(
    last: int, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(faults_quiet, "straight_rows", lambda times, values, digit: values == 1.0)
    monkeypatch.setattr(faults_quiet, "line_between", lambda *_: (100, last))
    values = np.zeros(130)
    values[99:112] = 1.0
    assert list(faults_quiet._long(np.arange(130) * 60.0, values, 1.0, stays=False)) == [(100, last)] * told


@pytest.mark.parametrize(("noise", "told"), [(1.4, True), (1.375, False)])
def test_noise_is_counted_in_last_digits(noise: float, told: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """Seven tenths of two kelvins."""
    monkeypatch.setattr(faults_quiet, "_noise_beside", lambda *_: noise)
    assert faults_quiet.no_chance(np.zeros(400), 2.0, 5, 305, stays=True) is told


@pytest.mark.parametrize(("noise", "keep"), [(0.25, True), (0.2421875, False)])
def test_the_others_go_on_with_half_of_their_noise(
    noise: float, keep: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(faults_quiet, "_noise", lambda values: noise)
    monkeypatch.setattr(faults_quiet, "_noise_beside", lambda *_: 0.5)
    assert faults_quiet._go_on(np.zeros((40, 2)), 5, 20) is keep


# reckoned, and read twice


@pytest.mark.parametrize(("wide", "told"), [(5.0, False), (5.25, True)])
def test_a_channel_that_moved_by_more_than_five_kelvin_may_be_reckoned(wide: float, told: bool) -> None:
    first = 300.0 + np.resize([0.0, 1.0, 0.5, 0.25], 100)
    second = 300.0 + np.resize([0.25, 0.0, wide, 2.0, 0.75], 100)
    highest = np.maximum(first, second)
    highest[7] = 300.0
    second[7] = first[7] = 300.0
    assert np.ptp(highest) == wide
    readings = LogReadings(np.column_stack([first, second - 8.0 * (second < first), highest]))
    found = faults_reckoned.reckoned_faults(_log(np.arange(100) * 10.0), ("T1", "T2", "T3"), readings)
    assert _told(found) == [codes.TWIN.code] * told


@pytest.mark.parametrize(("read", "told"), [(50, False), (51, True)])
def test_readings_come_twice_in_channels_read_in_more_than_half_of_the_rows(read: int, told: bool) -> None:
    temps: FloatArray = 300.0 + np.round(np.random.default_rng(1).normal(0.0, 5.0, (100, 3)), 3)
    temps[read:, 2] = NAN
    temps[30:45] = temps[5:20]
    found, _ = faults_replayed.replayed_faults(_log(np.arange(100) * 10.0), temps)
    assert bool(found) is told
