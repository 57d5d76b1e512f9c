"""Faults that one thermocouple shows by itself, at the very edges of what tells them: each outcome is
written by hand for readings that lie exactly on the edge, and beside it."""

from __future__ import annotations

import warnings
from types import SimpleNamespace as Made
from typing import Any

import numpy as np
import pytest

from judge_channels import codes_told as _told
from judge_channels import log_of_columns as _log
from panelmend.plan.judge import codes, faults_quiet, faults_reckoned, faults_sensor, pieces
from panelmend.plan.judge.log import FloatArray, LogReadings

NAN = float("nan")


# stuck, or cut off at the end of a range


@pytest.mark.parametrize(
    ("middle", "after", "code"),
    [
        (402.0, 396.0, codes.STUCK),  # two kelvins hotter is not hotter than that
        (402.5, 396.0, codes.CLIPPED),
        (402.5, 395.0, codes.STUCK),  # it comes back by five kelvins at once
        (402.5, 395.5, codes.CLIPPED),
    ],
)
def test_a_reading_that_never_goes_higher(middle: float, after: float, code: Any) -> None:
    times = np.arange(64) * 20.0
    values = np.full(64, 400.0)
    values[0], values[62], values[63] = 300.0, after, 300.0
    others = np.full((64, 2), middle)
    others[20:40] = middle + 20.0 * np.array([[1.0]])  # they move meanwhile
    assert _told(faults_sensor.stuck_faults(_log(times), "T1", values, others)) == [code.code]


@pytest.mark.parametrize(("first", "second", "lively"), [(1e-9, 1.0, False), (0.25, 1.0, True)])
def test_a_step_of_a_billionth_is_no_step(first: float, second: float, lively: bool) -> None:
    """Beside one whose smallest step is a kelvin, the neighbour's noise of a quarter shows nothing."""
    values = np.array([0.0, first, second + first, second * 2 + first])
    noise = (
        0.25
        * np.sqrt(6.0)
        * np.resize([1.0, 0.0, -1.0, 0.0], 24)
        / np.std(np.diff(np.resize([1.0, 0.0, -1.0, 0.0], 24), 2))
    )
    assert faults_sensor._all_lively(values, noise[:, None], 10) is lively


def test_a_neighbour_is_lively_by_four_tenths_of_a_step() -> None:
    """Met to the last bit by one of some neighbours of other sizes."""
    columns = [k * np.resize([0.0, 3.0, 1.0, 4.0, 2.0], 24) for k in range(1, 40)]
    noises = [float(np.std(np.diff(c, 2))) / np.sqrt(6) for c in columns]
    column, step = next((c, n / 0.4) for c, n in zip(columns, noises, strict=True) if 0.4 * (n / 0.4) == n)
    for by, lively in ((1.0, True), (1.001, False)):
        assert faults_sensor._all_lively(np.array([0.0, by * step]), column[:, None], 10) is lively


def test_the_middle_of_what_is_there() -> None:
    """Without a word where nothing is."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert np.isnan(faults_sensor.median_of(np.empty((3, 0)))).all()
        assert np.isnan(faults_sensor.mean_of_rows(np.empty((3, 0)))).all()
        rows = np.array([[1.0, NAN, 4.0], [NAN, NAN, NAN], [1.0, 2.0, 9.0]])
        assert np.array_equal(faults_sensor.median_of(rows), [2.5, NAN, 2.0], equal_nan=True)
        assert np.array_equal(faults_sensor.mean_of_rows(rows), [2.5, NAN, 4.0], equal_nan=True)
        assert np.array_equal(faults_sensor.median_of(rows[:2]), [2.5, NAN], equal_nan=True)


# spikes


def _spikes(times: list[float], values: list[float]) -> list[int]:
    return np.flatnonzero(faults_sensor.spike_mask(_log(times), np.array(values))).tolist()


@pytest.mark.parametrize(
    ("up", "there", "back", "told"),
    [
        (8.0, 1.0, 1.0, False),
        (8.5, 1.0, 1.0, True),
        (30.0, 10.0, 60.0, False),  # three kelvins a second up and half of one down
        (30.5, 10.0, 61.0, True),
        (30.0, 10.0, 59.0, True),
        (-30.0, 60.0, 10.0, False),  # half of one down and three up
        (-30.5, 61.0, 10.0, True),
        (-30.0, 59.0, 10.0, True),
        (-8.0, 1.0, 1.0, False),
        (-8.5, 1.0, 1.0, True),
        (100.0, 45.0, 45.0, True),  # ninety seconds in all
        (100.0, 45.0, 46.0, False),
    ],
)
def test_a_spike_is_what_no_part_follows(up: float, there: float, back: float, told: bool) -> None:
    """Another one before it is there in any case."""
    times = [0.0, 20.0, 40.0, 60.0, *(60.0 + there + x for x in (0.0, back, back + 20.0, back + 40.0))]
    values = [300.0, 340.0, 300.0, 300.0, 300.0 + up, 300.0, 300.0, 300.0]
    assert _spikes(times, values) == [1] + [4] * told
    assert _spikes(times[3:], values[3:]) == [1] * told


@pytest.mark.parametrize(("step", "told"), [(45.0, True), (45.5, False), (50.0, False)])
def test_a_log_of_long_steps_shows_no_spike(step: float, told: bool) -> None:
    """Even where two of its steps are short."""
    times = [0.0, step, step + 20.0, step + 40.0, *(step * k + 40.0 for k in range(2, 8))]
    assert _spikes(times, [300.0, 300.0, 340.0, *[300.0] * 7]) == [2] * told
    if step == 45.0:
        assert _spikes([k * 45.0 for k in range(6)], [300.0, 300.0, 600.0, 300.0, 300.0, 300.0]) == [2]


def test_a_spike_is_seen_wherever_a_piece_ends(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pieces, "PIECE", 8)
    for at in range(1, 23):
        values = [300.0] * 24
        values[at] = 340.0
        assert _spikes([k * 10.0 for k in range(24)], values) == [at]


# noise and coarse steps


def test_noise_of_few_readings_is_of_all_of_them(monkeypatch: pytest.MonkeyPatch) -> None:
    """And of a long column of pieces from its beginning to its end."""
    monkeypatch.setattr(faults_sensor, "PIECES", 2)
    monkeypatch.setattr(faults_sensor, "PIECE", 10)
    loud, still = np.resize([0.0, 3.0, -2.0, 5.0], 20), np.zeros(10)
    for size in (12, 39, 40):
        column = np.resize(loud, size)
        column[:10] = column[-10:] = 0.0
        if size > 20:
            assert faults_sensor.noise_of(column) > 0.0
    column = np.concatenate([still, loud, still])
    assert faults_sensor.noise_of(column) > 0.0  # of forty: all of them
    assert faults_sensor.noise_of(np.concatenate([still, loud, loud[:1], still])) == 0.0
    ends = np.concatenate([still, np.zeros(30), loud[:10]])
    bend = np.concatenate([np.zeros(8), np.diff(loud[:10], 2)])
    wanted = 1.4826 * np.median(np.abs(bend - np.median(bend))) / np.sqrt(6)
    assert faults_sensor.noise_of(ends) == wanted > 0.0
    bent = np.arange(41) ** 2.0  # a steady bend is no noise
    assert faults_sensor.noise_of(bent) == faults_sensor.noise_of(bent[:40]) == 0.0


@pytest.mark.parametrize(
    ("noise", "others", "told"),
    [(1.0, 0.125, False), (1.125, 0.125, True), (5.0, 1.0, False), (5.5, 1.0, True)],
)
def test_noise_of_more_than_a_kelvin_and_five_times_the_others(
    noise: float, others: float, told: bool
) -> None:
    found = faults_sensor.texture_faults(_log(np.arange(8)), "T1", np.arange(8.0), noise, others)
    assert _told(found) == [codes.NOISY.code] * told


@pytest.mark.parametrize(
    ("steps", "told"),
    [
        ([0.0] * 4 + [2.0] * 6, True),
        ([0.0] * 3 + [2.0] * 7, False),  # three in ten stand still
        ([0.0] * 3 + [1e-9] + [2.0] * 6, False),  # a billionth is neither a step nor a stand
        ([1e-9] + [0.0] * 5 + [2.0] * 6, True),
        ([0.0] * 4 + [1.875] * 6, False),
    ],
)
def test_steps_of_two_kelvin_are_coarse(steps: list[float], told: bool) -> None:
    """Small ones first, so that nothing is lost beside them."""
    order = sorted(steps, key=lambda x: (x == 2.0, x != 1e-9))
    values = np.concatenate([[0.0], np.cumsum(order)])
    assert 1e-9 not in steps or np.abs(np.diff(values))[np.abs(np.diff(values)) > 0].min() == 1e-9
    assert _told(faults_sensor.texture_faults(_log(np.arange(values.size)), "T1", values, 0.0, 0.0)) == (
        [codes.COARSE.code] * told
    )


# one without its noise


def _zigzag(count: int, size: float, level: float = 350.0) -> FloatArray:
    return level + size * (-1.0) ** np.arange(count)


@pytest.mark.parametrize(
    ("before", "read", "told"), [(12, 24, True), (12, 23, False), (13, 23, False), (14, 25, True)]
)
def test_a_stay_is_told_of_twenty_four_readings(before: int, read: int, told: bool) -> None:
    """Of which twelve show its noise; the last digit is given."""
    stay = 7
    values = np.concatenate(
        [[300.0], _zigzag(before - 1, 10.0), np.full(stay, 352.0), _zigzag(read - before - stay, 10.0)]
    )
    others = np.column_stack([_zigzag(read, 10.0), _zigzag(read, 12.0)])
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(faults_quiet, "digit_of", lambda read: 1.0)
        found = faults_quiet.quiet_faults(_log(np.arange(read) * 60.0), "T1", values, others)
    assert _told(found) == [codes.STUCK.code] * told


@pytest.mark.parametrize(
    ("first", "last", "told"),
    [(300.0, 310.0, True), (300.0, 309.5, False), (310.0, 300.0, True), (309.5, 300.0, False)],
)
def test_a_line_with_one_warm_end_is_looked_at(first: float, last: float, told: bool) -> None:
    """Ten kelvins above the first reading."""
    values = np.full(40, 320.0)
    values[0], values[10], values[30] = 300.0, first, last
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(faults_quiet, "digit_of", lambda read: 1.0)
        patch.setattr(faults_quiet, "_long", lambda *_, stays: [] if stays else [(10, 30)])
        patch.setattr(faults_quiet, "no_chance", lambda *_, stays: True)
        patch.setattr(faults_quiet, "_go_on", lambda *_: True)
        found = faults_quiet.quiet_faults(_log(np.arange(40) * 60.0), "T1", values, values[:, None])
    assert _told(found) == [codes.DRAWN.code] * told


@pytest.mark.parametrize(("away", "told"), [(59, False), (60, False), (61, True)])
def test_another_stay_within_sixty_rows_speaks_against_one(away: int, told: bool) -> None:
    """Of twelve rows beside one of four, counted to its last row, and back to the row before its first."""
    changing = list(np.arange(1.0, 101.0))
    for behind in (True, False):
        values = np.array(
            changing + [200.0] * 12 + list(np.arange(300.0, 300.0 + away - 6)) + [500.0] * 6 + changing
        )
        if behind:
            wanted = (100, 111)
        else:
            values, wanted = values[::-1], (values.size - 112, values.size - 101)
        found = list(faults_quiet._long(np.arange(values.size) * 60.0, values, 1.0, stays=True))
        assert (wanted in found) is told


def test_a_reading_stays_only_where_one_was_before() -> None:
    assert faults_quiet._same(np.array([1.0, 1.0, 2.0, 2.0, 2.0])).tolist() == [
        False,
        True,
        False,
        True,
        True,
    ]


@pytest.mark.parametrize(
    ("stays", "noise", "rows", "told"),
    [
        (True, 0.7, 10, True),  # seven tenths of a digit, ten rows of a chance of one in e each
        (True, 0.6875, 10, False),
        (True, 0.7, 9, False),
        (False, 1.0, 16, True),
        (False, 0.9375, 16, False),
        (False, 1.0, 15, False),
    ],
)
def test_what_no_chance_explains(
    stays: bool, noise: float, rows: int, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(faults_quiet, "_noise_beside", lambda *_: noise)
    made = Made(erf=lambda x: 0.5, log=lambda x: -1.0, sqrt=np.sqrt, pi=np.pi)
    monkeypatch.setattr(faults_quiet, "math", made)
    assert faults_quiet.no_chance(np.zeros(40), 1.0, 5, 5 + rows, stays=stays) is told


def test_noise_is_taken_from_sixty_rows_on_either_side(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[tuple[float, float]] = []

    def noise(values: FloatArray) -> float:
        seen.append((float(values[0]), float(values[-1])))
        return 1.0

    monkeypatch.setattr(faults_quiet, "_noise", noise)
    values = np.arange(400.0)
    assert faults_quiet._noise_beside(values, 100, 110) == 1.0
    assert seen == [(40.0, 99.0), (111.0, 170.0)]
    seen.clear()
    assert faults_quiet._noise_beside(values, 20, 388) == 1.0
    assert seen == [(0.0, 19.0)]  # eleven rows tell none
    assert faults_quiet._noise_beside(values[:20], 5, 10) == 0.0


def test_noise_is_what_bends_beside_the_usual_bend() -> None:
    assert faults_quiet._noise(np.array([0.0, 1.0, 4.0, 9.0, 16.0, 25.0])) == 0.0
    six = np.array([0.0, 1.0, 0.0, 1.0, 0.0, 1.0])  # bends of two, up and down
    assert faults_quiet._noise(six) == pytest.approx(2.0 * np.sqrt(np.pi / 2.0) / np.sqrt(6.0), rel=1e-12)
    assert faults_quiet._noise(six[:5]) == 0.0
    assert faults_quiet._noise(np.append(six, NAN)) == faults_quiet._noise(six)


# channels that no sensor stands behind


def _reckoned(columns: list[FloatArray], digit: float = 0.0, noise: float = -1.0) -> list[str]:
    """Channels that follow from others; the last digit and the noise are given where they are not nought."""
    table = np.column_stack(columns)
    names = tuple(f"T{i + 1}" for i in range(table.shape[1]))
    with pytest.MonkeyPatch.context() as patch:
        if digit:
            patch.setattr(faults_reckoned, "digit_of", lambda values: digit)
        if noise >= 0.0:
            patch.setattr(faults_reckoned, "noise_of", lambda values: noise)
        found = faults_reckoned.reckoned_faults(_log(np.arange(len(table)) * 10.0), names, LogReadings(table))
    assert {f.finding.code for f in found} <= {codes.TWIN.code}
    return [f.finding.words.partition(": ")[2] for f in found]


UP = np.arange(100.0)
FIRST, SECOND = 300.0 + UP, 350.0 + UP % 7.0  # they pass one another
HIGHEST, LOWEST = np.maximum(FIRST, SECOND), np.minimum(FIRST, SECOND)


def _missing(values: FloatArray, kept: int) -> FloatArray:
    out = values.copy()
    out[kept:] = NAN
    return out


def test_a_channel_of_fifty_readings_is_no_witness() -> None:
    """And it does not keep the others from being looked at."""
    other = _missing(SECOND + 30.0, 50)
    assert len(_reckoned([FIRST, SECOND, HIGHEST, other])) == 1
    assert _reckoned([_missing(FIRST, 50), SECOND, HIGHEST]) == []
    late = SECOND.copy()
    late[:40] = NAN  # ninety and sixty readings, of which fifty were read at once
    assert _reckoned([_missing(FIRST, 90), late, HIGHEST]) == []
    assert len(_reckoned([_missing(FIRST, 91), late, HIGHEST])) == 1


@pytest.mark.parametrize(("off", "told"), [(0.25, True), (0.2578125, False)])
def test_the_highest_and_the_lowest_lie_within_a_quarter_of_a_digit(off: float, told: bool) -> None:
    assert len(_reckoned([FIRST, SECOND, HIGHEST + off], 1.0)) == told
    assert len(_reckoned([FIRST, SECOND, LOWEST - off], 1.0)) == told
    assert len(_reckoned([FIRST, SECOND, HIGHEST + off / 8], 0.125)) == told
    assert len(_reckoned([FIRST, SECOND, LOWEST - off / 8], 0.125)) == told


@pytest.mark.parametrize(("odd", "told"), [(2, True), (3, False)])
def test_all_through_is_ninety_eight_in_a_hundred(odd: int, told: bool) -> None:
    value = HIGHEST.copy()
    value[:odd] += 3.0
    assert len(_reckoned([FIRST, SECOND, value])) == told


@pytest.mark.parametrize(
    ("digit", "noise", "told"),
    [
        (0.15, 1.0, True),
        (0.1503, 1.0, False),
        (0.125, 0.5 * (1.01 * 0.125), True),  # half of what a mean may be off by
        (0.125, 0.0625, False),
        (0.001, 0.01, True),
        (0.001, 0.0099, False),
    ],
)
def test_a_mean_is_told_in_fine_digits_and_noise(digit: float, noise: float, told: bool) -> None:
    third = 500.0 - FIRST
    found = _reckoned([FIRST, SECOND, third, (FIRST + SECOND) / 2.0], digit, noise)
    assert [x.startswith("T4 is the mean of T1, T2") for x in found] == [True] * told


def test_groups_of_others_and_what_lies_alike() -> None:
    assert faults_reckoned._groups(2) == [(0, 1)]
    assert faults_reckoned._groups(3) == [(0, 1, 2), (0, 1), (0, 2), (1, 2)]
    for near, alike in ((7, False), (8, True)):
        apart = np.array([[300.0, 300.125 if k < near else 310.0] for k in range(10)])
        assert faults_reckoned._alike(apart, 0.125) is alike
