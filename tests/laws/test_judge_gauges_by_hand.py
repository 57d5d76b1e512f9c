"""Faults of a vacuum gauge and of stays of a whole log, at the very edges of what tells them: each outcome is
written by hand for readings that lie exactly on the edge, and beside it."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from judge_channels import codes_told as _told
from panelmend.plan.judge import codes, faults_frozen, faults_vacuum
from panelmend.plan.judge.log import Channel, ChannelRole, CureLog, FloatArray

NAN = float("nan")
AIR = 100e3  # Pa


def _log(count: int, step: float = 10.0, **more: Any) -> CureLog:
    return CureLog(np.arange(count) * step, (), ambient=AIR, **more)


def _faults(values: Any, step: float = 10.0) -> list[Any]:
    v = np.asarray(values, np.float64)
    channel = Channel("V1", ChannelRole.VACUUM, "pressure", v)
    return faults_vacuum.vacuum_faults(_log(v.size, step), channel, np.full((v.size, 1), 300.0))


# a gauge


def test_a_gauge_without_a_reading_is_lost() -> None:
    (found,) = _faults([NAN] * 8)
    assert (found.finding.code, found.lost, found.sensor_lost) == (codes.DEAD.code, True, True)
    assert (found.time, found.until) == (0.0, 70.0)


@pytest.mark.parametrize(
    ("first", "middle", "top", "told"),
    [
        (90e3, 40e3, 90e3, False),  # more than nine tenths of the air
        (90.5e3, 40e3, 90.5e3, True),
        (96e3, 48e3, 96e3, False),  # and below half of it in the cure
        (96e3, 47.5e3, 96e3, True),
        (96e3, 40e3, 105e3, False),  # and no more than a twentieth above the air
        (96e3, 40e3, 104.5e3, True),
    ],
)
def test_a_gauge_that_begins_at_the_air_and_falls_counts_from_nothing(
    first: float, middle: float, top: float, told: bool
) -> None:
    values = np.full(100, middle)
    values[0], values[50:56] = first, top
    assert (codes.V_SENSE.code in _told(_faults(values))) is told


@pytest.mark.parametrize(("top", "told"), [(101e3, False), (101.5e3, True)])
def test_a_vacuum_beyond_the_air_by_more_than_a_thousand_pascals(top: float, told: bool) -> None:
    values = np.where(np.arange(40) % 2 == 0, top, 60e3)
    values[0] = 0.0
    assert (codes.V_IMPOSSIBLE.code in _told(_faults(values))) is told


def test_it_is_told_from_where_it_first_was() -> None:
    """Readings of the air itself and of a thousand pascals more come before."""
    values = np.full(100, 60e3)
    values[10], values[20], values[30:60:2] = AIR, 101e3, 103e3
    (found,) = [f for f in _faults(values) if f.finding.code == codes.V_IMPOSSIBLE.code]
    assert (found.time, found.until, found.lost) == (300.0, 990.0, True)


@pytest.mark.parametrize(("top", "fits"), [(980e3, False), (979e3, True), (400e3, False), (401e3, True)])
def test_another_unit_fits_between_four_tenths_of_the_air_and_nearly_all_of_it(
    top: float, fits: bool
) -> None:
    """Of mbar taken as kPa, ten times too much."""
    values = np.where(np.arange(40) % 2 == 0, top, 60e3)
    values[0] = 0.0
    (found,) = [f for f in _faults(values) if f.finding.code == codes.V_IMPOSSIBLE.code]
    assert ("mbar taken as kPa would give" in found.finding.words) is fits


@pytest.mark.parametrize(("top", "told"), [(100.0, False), (101.0, True), (7999.0, True), (8000.0, False)])
def test_a_vacuum_far_too_small(top: float, told: bool) -> None:
    values = np.full(40, top)
    values[::2] -= 0.25 * top
    assert (codes.V_UNIT.code in _told(_faults(values))) is told


@pytest.mark.parametrize(
    ("shown", "middle", "least", "told"),
    [
        (95e3, 60e3, 60e3, True),  # nineteen twentieths of the air
        (94.5e3, 60e3, 60e3, False),
        (96e3, 60e3, 90e3, False),  # and six hundredths of it more than the least
        (96e3, 60e3, 89.5e3, True),
        (96e3, 90e3, 60e3, False),  # and than in the cure
        (96e3, 89.5e3, 60e3, True),
        (96e3, 102e3, 60e3, False),
        (96e3, 102.5e3, 60e3, True),
    ],
)
def test_a_gauge_that_shows_the_air_where_there_is_no_vacuum(
    shown: float, middle: float, least: float, told: bool
) -> None:
    for place in (slice(0, 3), slice(21, 24)):
        v = np.full(24, middle)
        v[place] = shown
        assert bool(faults_vacuum._air_shown(_log(24), v, AIR, middle, least)) is told


def _cycle(count: int, *, up: float = 31.0, back: float = 31.0) -> FloatArray:
    """Thermocouples that rise in the middle and come back with the last sample alone."""
    temps = np.full(count, 300.0 + up)
    temps[0], temps[-1] = 300.0, 300.0 + up - back
    return temps[:, None]


@pytest.mark.parametrize(
    ("up", "back", "told"), [(31.0, 31.0, True), (30.0, 31.0, False), (31.0, 30.0, False), (30.5, 30.5, True)]
)
def test_a_vacuum_that_stands_through_heat_and_cooling(up: float, back: float, told: bool) -> None:
    """From the first sample to the last; the gauge itself need not have failed."""
    v = np.full(70, 80e3)
    found = faults_vacuum._stays(_log(70), "V1", v, _cycle(70, up=up, back=back))
    assert [(f.finding.code, f.time, f.until) for f in found] == [(codes.FROZEN.code, 10.0, 690.0)] * told
    assert [(f.lost, f.sensor_lost) for f in found] == [(True, False)] * told


def _beside(values: list[float], steps: int, other: int = 0, step: float = 30.0) -> list[Any]:
    """Readings, then a stay of so many steps at 80 kPa, and a shorter one of so many at 50 kPa behind it."""
    v = np.array([0.0, *values, *[80e3] * (steps + 1), 10.0, *([50e3] * (other + 1) if other else []), 20.0])
    found = faults_vacuum._stays(_log(v.size, step), "V1", v, np.full((v.size, 1), 300.0))
    assert [f.time for f in found] == [(len(values) + 2) * step] * len(found)
    return found


def _lively(count: int, moves: int, turns: int) -> list[float]:
    """Readings below 80 kPa, of which so many, all over, differ from the one before, and so many of those
    turn back from the one before: first up and up, then up and down."""
    ways = [1.0] * (moves - turns)
    for _ in range(turns):
        ways.append(-ways[-1])
    at, out, done = 79e3, [], 0
    for i in range(count):
        if i * moves >= done * count:
            at, done = at + 16.0 * ways[done], done + 1
        out.append(at)
    assert done == moves
    return out


@pytest.mark.parametrize(
    ("count", "moves", "turns", "steps", "told"),
    [
        (20, 6, 5, 40, True),  # three in ten change, twelve in the stay would
        (21, 6, 5, 45, False),
        (20, 9, 2, 40, True),  # two of eight turn back
        (21, 10, 2, 40, False),  # two of nine
        (20, 10, 5, 24, True),  # half of them, twelve in the stay
        (20, 10, 5, 23, False),
        (19, 10, 5, 40, False),  # fewer than twenty tell nothing
    ],
)
def test_a_vacuum_that_stands_while_it_moved_before(
    count: int, moves: int, turns: int, steps: int, told: bool
) -> None:
    """The first of the readings differs from the sample before in any case, and is counted."""
    values = _lively(count, moves, turns)
    assert _told(_beside(values, steps)) == [codes.FROZEN.code] * told


@pytest.mark.parametrize(("level", "told"), [(64e3, False), (64.1e3, True), (96e3, False), (95.9e3, True)])
def test_readings_a_fifth_away_tell_nothing_of_a_stay(level: float, told: bool) -> None:
    """Of readings that change each time every second lies there, the others far off."""
    assert _told(_beside([40e3, level, 120e3, level] * 20, 60)) == [codes.FROZEN.code] * told


@pytest.mark.parametrize(("other", "told"), [(20, True), (21, False)])
def test_a_stay_is_three_times_as_long_as_any_other(other: int, told: bool) -> None:
    assert _told(_beside(_lively(40, 30, 20), 60, other)) == [codes.FROZEN.code] * told


# a whole log that stands


def test_the_longest_stay_begins_to_count_above_ten_kelvin() -> None:
    times = np.arange(20) * 60.0
    for top, span in ((310.0, 0.0), (310.5, 60.0 * 9)):
        temps = np.full((20, 2), top)
        temps[:10] = 300.0 + np.arange(10)[:, None] / 64.0
        assert faults_frozen.longest_stay(CureLog(times, ()), temps) == span
    late = np.full((20, 1), 340.0)
    late[:8], late[8] = NAN, 300.0
    assert faults_frozen.longest_stay(CureLog(times, ()), late) == 60.0 * 10


def test_too_few_samples_show_no_stay() -> None:
    """A second thermocouple that reads once makes the mean of the first sample cool."""
    for count in (0, 7, 8):
        temps = np.full((count, 2), 340.0)
        if count:
            temps[0, 0], temps[1:, 0] = 300.0, NAN
        found, out, everything = faults_frozen.frozen_faults(CureLog(np.arange(count) * 300.0, ()), temps)
        assert len(found) == (count == 8)
        assert out.sum() == everything.sum() == 7 * (count == 8)


def _stays(at: float, *, count: int = 1, power: bool = False) -> list[Any]:
    """Stays of twenty steps, a minute each, at a level above a first sample of 300 K, among readings that
    change each time and go on from there."""
    rows: list[float] = [300.0]
    for k in range(count):
        rows += [at + 0.125 * (i % 7) for i in range(120)] + [at + (k + 1) / 64.0] * 21
    rows += [at + 0.125 * (i % 7) for i in range(30)]
    temps = np.array([[x, x, x] for x in rows])
    if not power:
        log = CureLog(np.arange(len(rows)) * 60.0, ())
    else:
        values = np.arange(len(rows)) % 2.0
        values[np.diff(temps[:, 0], prepend=0.0) == 0.0] = 1.0
        log = CureLog(np.arange(len(rows)) * 60.0, (Channel("P", ChannelRole.POWER, "ratio", values),))
    found, _, _ = faults_frozen.frozen_faults(log, temps)
    return found


def test_a_stay_is_told_above_ten_kelvin_and_once() -> None:
    assert len(_stays(310.5)) == 1
    assert len(_stays(340.0)) == 1
    assert len(_stays(340.0, power=True)) == 1
    assert len(_stays(340.0, count=7)) == 7
    assert len(_stays(340.0, count=8)) == len(_stays(340.0, count=10)) == 8


@pytest.mark.parametrize(("top", "told"), [(310.0, False), (310.5, True)])
def test_a_stay_of_the_level_ten_kelvin_up_is_cold(top: float, told: bool) -> None:
    """Readings a little below it say nothing either way: they stand still too."""
    times, temps = np.arange(40) * 60.0, np.full((40, 1), top)
    temps[0], temps[1:5, 0] = 300.0, [302.0, 304.0, 306.0, 308.0]
    found, _, _ = faults_frozen.frozen_faults(CureLog(times, ()), temps)
    assert len(found) == told


@pytest.mark.parametrize(("odd", "coarse"), [(0, True), (1, False), (2, False)])
def test_readings_in_half_kelvins(odd: int, coarse: bool) -> None:
    """More than 99 in 100 lie within a hundredth of a mark, and one a hundredth away is not within it."""
    values = np.arange(100) % 4 * 0.5
    values[40 : 40 + 4 * odd : 4] = 0.005
    assert faults_frozen.is_coarse(values[:, None]) is coarse


@pytest.mark.parametrize(("top", "steady"), [(303.0, True), (302.875, False)])
def test_readings_that_swing_by_two_kelvin_are_on_no_way(top: float, steady: bool) -> None:
    """One kelvin further after ten minutes, and two more in between."""
    middle = np.array([300.0, 301.0, 302.0, top, 302.0, 301.0, 301.0, 301.0, 301.0, 301.0, 301.0])
    assert bool(faults_frozen._steady(np.arange(11) * 60.0, middle, True)[5]) is steady


def _why(steps: int, others: list[int], *, span: float = 60.0, changed: int = 0, **more: Any) -> str:
    """Why a stay of so many steps is no evidence, after readings that change each time and other stays."""
    still = [False]
    for n in others:
        still += [False, *[True] * n]
    still += [False] * changed
    first = len(still)
    still += [False, *[True] * steps, False]
    n = len(still)
    middle = np.full(n, 350.0)
    middle[0], middle[-1] = 300.0, more.get("end", 350.0)
    hot = middle > 310.0
    all_still = (
        np.array(still) if more.get("all_still") is None else more["all_still"](np.array(still), first)
    )
    return faults_frozen._why(
        CureLog(np.arange(n) * span, ()), first, first + steps, np.array(still), all_still, middle, hot,
        bool(more.get("coarse", True)),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("others", "changed", "steps", "told"),
    [
        ([6] * 8, 35, 18, True),  # half of 88 change, and it is three times as long as any other
        ([6] * 8, 35, 17, False),
        ([9] * 9, 67, 24, True),  # half of 154: in 24 steps twelve changes are missing
        ([9] * 9, 67, 23, False),
    ],
)
def test_a_stay_among_readings_of_which_half_change(
    others: list[int], changed: int, steps: int, told: bool
) -> None:
    """The rows at both ends of the stay are of those that change; the first five minutes are on a way up."""
    assert _why(steps, others, changed=changed).startswith("elsewhere") is told


def test_a_stay_of_all_that_is_measured_for_half_an_hour() -> None:
    for rest, told in ((0, True), (1, False)):

        def all_still(still: Any, first: int, rest: int = rest) -> Any:
            out = still.copy()
            if rest:
                out[first + 30] = False
            return out

        assert (
            _why(30, [], all_still=all_still, end=NAN) == "nor did anything else that is measured"
        ) is told


@pytest.mark.parametrize(("surprise", "told"), [(6.0, False), (5.5, True)])
def test_too_few_others_to_show_that_a_stay_is_usual(
    surprise: float, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(faults_frozen, "_surprise", lambda changed, stayed, steps: surprise)
    found = _why(12, [9], all_still=lambda still, first: np.zeros_like(still), coarse=False)
    assert found.startswith("only") is told
