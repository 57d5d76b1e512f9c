"""Numbers of common practice that moved by a tenth unnoticed, each just inside and just outside."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from judge_channels import rows_of
from judge_lines import limit, made, recipe
from panelmend.plan.judge import CureLog, codes, faults_joint
from panelmend.plan.judge.doubt import _hidden
from panelmend.plan.judge.evidence import _reads_again, gather
from panelmend.plan.judge.fault import fault, run_ends
from panelmend.plan.judge.faults_drawn import drawn_faults, line_between, straight_rows
from panelmend.plan.judge.faults_filled import _no_chance
from panelmend.plan.judge.faults_joint import joined_faults
from panelmend.plan.judge.faults_moved import _moved, _steps
from panelmend.plan.judge.faults_quiet import _go_on, _long
from panelmend.plan.judge.faults_vacuum import _stays
from panelmend.plan.judge.log import Channel, ChannelRole, FloatArray
from panelmend.plan.judge.lost import _place
from panelmend.plan.judge.pieces import PIECE
from panelmend.plan.judge.rules_dwell import interruptions
from panelmend.plan.judge.spans import Span
from panelmend.plan.judge.verdict import VerdictRecorder
from panelmend.plan.judge.walk import Stretch

E = gather(made().log())
N = len(E.times)
LAST = 300


def place_beside(other: FloatArray, apart: FloatArray) -> FloatArray:
    """What the place of a thermocouple that stood ``apart`` (n,) [K] from the ``other`` (n,) [K] may have
    come to, less the other, in ten minutes after its last reading."""
    gone = slice(LAST + 1, LAST + 61)
    return _place(E, other + apart, other, 1.0, LAST, gone) - other[gone]


def rising(by: float) -> FloatArray:
    """So many kelvins in the five minutes before the last reading, at the same rate all through [K]."""
    return 350.0 + by / 30.0 * (np.arange(N) - LAST)


def test_others_that_move_two_kelvins_in_five_minutes_are_on_their_way() -> None:
    """On the way, 2.5 K apart are no other place; at rest they are."""
    for by, apart in ((1.97, -2.5), (2.03, 0.0)):
        assert place_beside(rising(by), np.full(N, -2.5)) == pytest.approx(apart)


def test_a_place_that_fell_back_by_seven_tenths_of_a_kelvin_is_heated_less() -> None:
    for fell, less in ((0.69, False), (0.71, True)):
        apart = np.where(np.arange(N) >= LAST - 13, -fell, 0.0)
        assert bool((place_beside(rising(12.0), apart) < -0.1).all()) is less


def test_a_place_that_drifted_by_seven_tenths_of_a_kelvin_drifts_on() -> None:
    still = np.full(N, 350.0)
    for fell, drifts in ((0.69, False), (0.71, True)):
        apart = np.where(np.arange(N) >= LAST - 20, -1.0 - fell, -1.0)
        end = -1.0 - fell - (2.0 * fell * 590.0 / 600.0 if drifts else 0.0)
        assert place_beside(still, apart)[-1] == pytest.approx(end, abs=0.2)


def test_a_place_stands_where_it_stood_in_the_mean_of_two_minutes() -> None:
    """Thirteen readings: the one before them says nothing."""
    still = np.full(N, 350.0)
    for back, seen in ((13, False), (12, True)):
        apart = np.full(N, -2.0)
        apart[LAST - back] -= 6.5
        assert place_beside(still, apart)[0] == pytest.approx(-2.5 if seen else -2.0)


def test_readings_after_a_loss_count_from_a_minute_at_once_and_two_in_all() -> None:
    times = np.arange(0.0, 600.0)
    for lengths, count in (((60, 60), 122), ((60, 59), 0), ((59, 120), 121), ((59, 119), 0), ((119,), 0)):
        values = np.full(times.size, np.nan)
        at = 10
        for length in lengths:
            values[at : at + length + 1] = 350.0
            at += length + 10
        assert int(_reads_again(times, values, 5.0).sum()) == count, lengths


def on_lines(rows: int, channels: int, *, step: float = 10.0, rest: int | None = None) -> int:
    """How many rows are told of a part without noise for so many rows, with so many rows beside them."""
    n = 600
    temps = 300.0 + np.random.default_rng(5).normal(0.0, 0.5, (n, channels))
    temps[60:] += 40.0
    temps = np.round(temps, 1)
    temps[[299, 302 + rows]] = 345.0
    temps[300 : 302 + rows] = 340.0
    spoilt = np.full(n, rest is not None)
    spoilt[301 : 301 + rows] = False
    spoilt[70 : 70 + (rest or 0)] = False
    log = rows_of(n, step)
    return int(drawn_faults(log, temps, spoilt)[1].sum())


def test_a_line_takes_six_rows_of_three_thermocouples() -> None:
    assert [on_lines(rows, 9, step=30.0) for rows in (5, 6)] == [0, 6]
    assert [on_lines(200, channels) for channels in (2, 3)] == [0, 200]


def test_sixty_rows_beside_a_line_tell_how_rare_it_is() -> None:
    assert [on_lines(100, 4, rest=rest) for rest in (59, 60)] == [0, 100]


@pytest.mark.parametrize(
    ("step", "rows"),
    [(2.0, 10), (9.0, 10), (9.6, 9), (10.5, 9), (10.7, 8), (15.0, 6), (16.3, 6), (16.5, 5), (30.0, 4)],
)
def test_the_lines_at_a_joint_are_drawn_through_a_minute_and_a_half(
    monkeypatch: pytest.MonkeyPatch, step: float, rows: int
) -> None:
    asked = []

    def apart(times: FloatArray, temps: FloatArray, count: int, gap: float) -> FloatArray:
        asked.append(count)
        return np.zeros(times.size)

    monkeypatch.setattr(faults_joint, "_apart", apart)
    joined_faults(CureLog(step * np.arange(100), ()), np.zeros((100, 3)), 60.0)
    assert asked == [rows]


def test_a_stay_of_one_is_asked_of_five_minutes_and_six_rows_and_thrice_any_other() -> None:
    def stays(rows: int, step: float, other: int = 1) -> bool:
        values = np.arange(100.0) % 2
        values[40 : 41 + rows] = 5.0
        values[20 : 21 + other] = 5.0
        return (40, 40 + rows) in list(_long(step * np.arange(100), values, 1.0, stays=True))

    assert [stays(rows, 10.0) for rows in (29, 30)] == [False, True]
    assert [stays(5, 60.5), stays(6, 60.0), stays(5, 70.0), stays(6, 70.0)] == [False, True, False, True]
    assert [stays(rows, 60.0, 5) for rows in (14, 15)] == [False, True]
    assert [stays(rows, 60.0, 10) for rows in (29, 30, 31)] == [False, True, True]


@pytest.mark.parametrize(("share", "go_on"), [(0.49, False), (0.51, True)])
def test_the_others_go_on_with_half_of_their_noise(share: float, go_on: bool) -> None:
    n = 180
    noise = np.tile([1.0, -1.0, -1.0, 1.0, 0.0, 2.0], n // 6)
    one = noise.copy()
    one[60:120] *= share
    assert _go_on(one[:, None], 60, 119) is go_on
    assert _go_on(np.column_stack([one, one * 0.0 + noise]), 60, 119), "half of them are enough"
    assert _go_on(np.column_stack([one, one, noise]), 60, 119) is go_on


def turned(turns: int, changes: int = 80) -> bool:
    """A gauge that stays for fifteen minutes after so many changes of which some turn back."""
    steps = np.ones(changes)
    for k in range(turns):
        steps[3 * k + 4 :] *= -1.0
    before = 8e4 + 10.0 * np.cumsum(steps)
    v = np.concatenate([before, np.full(91, before[-1])])
    log = CureLog(10.0 * np.arange(v.size), ())
    return bool(_stays(log, "vacuum", v, np.full((v.size, 1), 300.0)))


def test_a_quarter_of_the_changes_of_a_lively_gauge_turn_back() -> None:
    """Of 78 pairs of changes beside one another; the first reading has none before it."""
    assert [turned(k) for k in (18, 19, 20, 21)] == [False, False, True, True]


@pytest.mark.parametrize(("below", "deep"), [(7.9, False), (8.1, True)])
def test_a_dip_of_more_than_eight_kelvins_is_an_interrupted_cure(below: float, deep: bool) -> None:
    how = recipe()
    hold = how.segments[1]
    assert hold.band_low is not None
    lowest = E.lowest.copy()
    lowest[450:470] = hold.band_low.value - below
    e = dataclasses.replace(E, lowest=lowest)
    spans = (Span(3000.0, 4490.0), Span(4710.0, 6000.0))
    s = Stretch(hold, 3000.0, 6000.0, (), spans, True)
    assert bool(interruptions(e, VerdictRecorder(E.log), s)) is deep


@pytest.mark.parametrize(("off", "told"), [(3.2, False), (3.45, True)])
def test_a_row_stands_where_it_should_when_it_lies_twice_as_near_to_its_own_course(
    off: float, told: bool
) -> None:
    """Courses 10 K apart: a third of the way."""
    values = np.tile(np.array([300.0, 310.0, 320.0, 330.0]), (40, 1))
    values[20:23, :3] += off
    values[20:23, 3] = np.nan
    of = ChannelRole.THERMOCOUPLE
    channels = tuple(Channel(f"T{k}", of, "temperature", v) for k, v in enumerate(values.T.copy()))
    assert _moved(CureLog(10.0 * np.arange(40), channels), 19, 20, -1, 60.0) is told


@pytest.mark.parametrize(("spikes", "usual"), [(50, 0.525), (51, 1.0)])
def test_usual_steps_are_those_of_nearly_all_readings(spikes: int, usual: float) -> None:
    """Of a thousand; a reading beside a spike lies half as far from the middle."""
    values = np.zeros(1002)
    values[3 : 3 + 6 * spikes : 6] = 1.0
    assert _steps(values) == pytest.approx(usual)


def carried(before: list[int], rows: int, after: list[int]) -> bool:
    """Whether a stay of ten thermocouples for so many rows is no chance, of which so many change in each row
    before and after it."""
    counts = np.array([*before, *[0] * rows, *after])
    place = (np.cumsum(counts) - counts)[:, None]  # each row goes on with the next of the ten
    temps = np.cumsum((np.arange(10) - place) % 10 < counts[:, None], axis=0) + 300.0
    still = counts == 0
    begins, ends = run_ends(still)
    return bool(_no_chance(temps, still, begins, ends)[begins.tolist().index(len(before))])


@pytest.mark.parametrize(("changes", "told"), [((4, 3, 3), False), ((4, 4, 3), True)])
def test_what_comes_to_rest_changes_less_just_before(changes: tuple[int, ...], told: bool) -> None:
    """Half of ten change in a row elsewhere: seven tenths of that are ten and a half in three."""
    assert carried([8] * 40 + [*changes], 6, [10, *[5] * 40]) is told


def test_a_stay_that_no_chance_explains_ends_with_half_of_the_channels() -> None:
    """Each row of ten that change half the time has a chance of exp(-6.9) to stand."""
    assert [carried([8] * 40, rows, [10, *[5] * 40]) for rows in (2, 3)] == [False, True]
    assert [carried([8] * 40, 6, [last, *[5] * 40]) for last in (4, 5)] == [False, True]


def test_twenty_rows_beside_a_stay_tell_how_often_channels_change() -> None:
    """One row more that hardly changes would make three rows a chance."""
    for rows, told in ((19, False), (20, True)):
        assert carried([8] * 40, 3, [10, *[5] * rows, *[2] * 20]) is told
        assert carried([*[2] * 20, *[5] * rows], 3, [10, *[8] * 40]) is told


def test_five_rows_that_end_no_stay_tell_how_often_channels_change() -> None:
    """Where there are fewer, rows that end one count as well, in which more changes."""
    for single, told in ((4, False), (5, True)):
        after = [10, *[0, 10] * (20 - single), *[5] * single, *[0, 10] * 10]
        assert carried([8] * 40 + [4, 4, 3], 6, after) is told


def knees(rows: int, *, turned: bool) -> bool:
    """Three thermocouples that rise by nine tenths of a digit for so many rows and are at rest then."""
    restless = 9.0 * np.random.default_rng(2).integers(-9, 9, 80)
    one = np.concatenate([restless, 0.9 * np.arange(rows), np.full(60, 0.9 * rows), restless])
    temps = 0.1 * np.column_stack([one[::-1] if turned else one] * 3) + 390.0
    temps[:5] = 300.0 + 0.1 * np.arange(5)[:, None]
    log = rows_of(len(temps))
    return bool(drawn_faults(log, temps, np.zeros(len(temps), np.bool_))[0])


@pytest.mark.parametrize("turned", [False, True])
def test_a_line_may_lose_three_rows_at_either_end_and_no_more(turned: bool) -> None:
    assert [knees(rows, turned=turned) for rows in (4, 5)] == [True, False]


def test_every_row_but_the_first_and_the_last_has_two_neighbours() -> None:
    """In a long log too, which is looked at in pieces."""
    for n in (3, 7, PIECE + 5):
        times = 10.0 * np.arange(n)
        assert straight_rows(times, 0.5 * times, 0.1).tolist() == [False, *[True] * (n - 2), False]


def test_a_line_reaches_to_the_last_row_and_keeps_within_a_last_digit() -> None:
    times, values = 10.0 * np.arange(30), np.zeros(30)
    assert line_between(times, [values], [0.1], 5, 30) == (5, 29)
    for away, found in ((0.1, True), (0.105, False)):
        bent = values.copy()
        bent[15] = away
        assert (line_between(times, [bent], [0.1], 5, 29) == (5, 29)) is found


@pytest.mark.parametrize(
    ("temps", "told"),
    [
        ([300.0, 330.5, 300.0], True),
        ([300.0, 329.5, 299.0], False),
        ([300.0, 331.0, 301.5], False),
        ([300.0, 331.0], False),
        ([300.0], False),
        ([], False),
    ],
)
def test_a_gauge_that_stays_through_heat_and_cooling_to_the_end_is_told(
    temps: list[float], told: bool
) -> None:
    """However few temperatures there are: up by thirty kelvins and down again."""
    n = 100
    v = np.full(n, 8e4)
    v[:20] = 0.0
    read = np.full((n, 1), np.nan)
    read[30 : 30 + len(temps), 0] = temps
    assert bool(_stays(CureLog(10.0 * np.arange(n), ()), "V", v, read)) is told


@pytest.mark.parametrize(
    ("value", "hidden"), [(384.5, False), (384.48, True), (395.5, False), (395.52, True), (390.0, False)]
)
def test_a_thermocouple_that_reads_off_hides_a_place_half_a_kelvin_out_of_the_band(
    value: float, hidden: bool
) -> None:
    values = np.full(N, 390.0)
    values[450] = value
    log = dataclasses.replace(
        E.log, channels=(Channel("T1", ChannelRole.THERMOCOUPLE, "temperature", values + 8.0),)
    )
    hold = recipe(dwell={"band_high": limit(395.0)}).segments[1]
    s = Stretch(hold, 3000.0, 6000.0, (), (Span(3000.0, 6000.0),), True)
    f = fault(log, codes.STUCK, "", channel="T1", shift=8.0)
    assert _hidden(dataclasses.replace(E, log=log), f, (s,)) is hidden
