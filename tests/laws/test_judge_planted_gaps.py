"""Numbers of gaps, stamps, moved and repeated rows, gauges and lost places that faults changed unnoticed."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from judge_channels import rows_of
from panelmend.plan.judge import CureLog, codes, faults_moved
from panelmend.plan.judge.alarms import beside_prediction
from panelmend.plan.judge.aside import follows_thermocouples
from panelmend.plan.judge.faults_clock import _in_ramp, clock_faults, gap_limit
from panelmend.plan.judge.faults_moved import _ended_twice, _off_course
from panelmend.plan.judge.faults_replayed import replayed_faults
from panelmend.plan.judge.faults_vacuum import _air_shown, _scaled, _stays
from panelmend.plan.judge.log import Channel, ChannelRole
from panelmend.plan.judge.lost import _carried, _level
from panelmend.plan.judge.order import times_in_order


@pytest.mark.parametrize(("step", "limit"), [(20.0, 60.0), (110.0, 275.0), (125.0, 300.0), (1000.0, 300.0)])
def test_between_readings_five_minutes_apart_a_part_can_be_spoilt(step: float, limit: float) -> None:
    assert gap_limit(rows_of(30), step) == limit


@pytest.mark.parametrize(("step", "told"), [(299.0, False), (301.0, True)])
def test_a_sample_in_five_minutes_is_sparse(step: float, told: bool) -> None:
    assert (codes.SPARSE.code in {f.finding.code for f in clock_faults(rows_of(30, step))}) is told


@pytest.mark.parametrize(("shown", "told"), [(94.5e3, False), (95.5e3, True)])
@pytest.mark.parametrize("end", [False, True])
def test_a_gauge_that_shows_nearly_all_the_air_counts_the_other_way(
    shown: float, told: bool, end: bool
) -> None:
    v = np.full(100, 20e3)
    v[-10:] = v[-10:] if not end else shown
    v[:10] = v[:10] if end else shown
    assert bool(_air_shown(rows_of(100), v, 100e3, 20e3, 20e3)) is told


@pytest.mark.parametrize(
    ("words", "pascals"),
    [
        ("kPa taken as inHg", 3386.389 / 1000.0),
        ("mbar taken as kPa", 10.0),
        ("mbar taken as inHg", 3386.389 / 100.0),
        ("mmHg taken as inHg", 25.4),
    ],
)
def test_what_a_gauge_would_show_in_its_own_unit(words: str, pascals: float) -> None:
    assert _scaled(80e3 * pascals, words) == pytest.approx(80e3, rel=1e-6)


@pytest.mark.parametrize(("share", "told"), [(0.285, False), (0.315, True)])
def test_a_gauge_of_which_three_in_ten_readings_change_is_lively(share: float, told: bool) -> None:
    """Fewer are a coarse gauge between two of its marks; it turns at each change."""
    changes = np.floor(share * np.arange(400))
    v = 84e3 + 100.0 * (changes % 2)
    v[300:] = v[300]
    assert bool(_stays(rows_of(400), "V", v, np.full((400, 3), 390.0))) is told


def test_where_a_place_stood_is_the_mean_of_two_minutes() -> None:
    e: Any = SimpleNamespace(times=10.0 * np.arange(50))
    values = np.zeros(50)
    values[20] = 13.0
    assert [_level(e, values, at) for at in (32, 33)] == [1.0, 0.0]
    values[19] = 26.0
    assert _level(e, values, 32) == 1.0


def test_a_thermocouple_that_reads_to_the_end_is_not_carried_on() -> None:
    e: Any = SimpleNamespace(times=10.0 * np.arange(50), gap=60.0, index_at=lambda t: int(t // 10.0))
    column = np.full(50, 390.0)
    assert list(_carried(e, column, column, 1.0, 100.0, 490.0)) == []


@pytest.mark.parametrize(("odd", "sure"), [(5, True), (6, False)])
@pytest.mark.parametrize("by", [-3600.0])
def test_five_stamps_that_come_back_are_a_slip_six_a_clock_that_was_set(
    odd: int, sure: bool, by: float
) -> None:
    times = 60.0 * np.arange(60)
    times[30 : 30 + odd] += by
    ordered = times_in_order(CureLog(times, (), lines=np.arange(60, dtype=np.int32)))
    assert ordered.sure is sure
    assert len(ordered.log) == 60
    assert (ordered.log.times.tolist() == (60.0 * np.arange(60)).tolist()) is sure


@pytest.mark.parametrize(
    ("step", "ahead", "waiting"), [(60.0, 1190.0, 0), (60.0, 1210.0, 1), (10.0, 590.0, 0), (10.0, 610.0, 1)]
)
def test_a_newest_stamp_far_ahead_waits(step: float, ahead: float, waiting: int) -> None:
    times = step * np.arange(60)
    times[-1] = times[-2] + ahead
    assert (
        times_in_order(CureLog(times, (), lines=np.arange(60, dtype=np.int32)), live=True).waiting == waiting
    )


def kinds(*names: str) -> Any:
    return SimpleNamespace(
        channels=[
            SimpleNamespace(
                kind=n, role=ChannelRole.THERMOCOUPLE if n == "temperature" else ChannelRole.VACUUM
            )
            for n in names
        ]
    )


@pytest.mark.parametrize(
    ("before", "last", "off", "told"),
    [
        ("temperature", "pressure", 4.9, False),
        ("temperature", "pressure", 5.1, True),
        ("pressure", "temperature", 4.9e3, False),
        ("pressure", "temperature", 5.1e3, True),
    ],
)
def test_how_far_off_its_course_a_moved_cell_is(before: str, last: str, off: float, told: bool) -> None:
    read = np.array([[0.0], [off], [0.0]])
    warm = np.array([True, before == "temperature", last == "temperature"])
    assert _off_course(kinds("temperature", before, last), read, np.zeros((3, 1)), warm) is told


@pytest.mark.parametrize(
    ("apart", "moved", "told"),
    [(10.0, 6.6, False), (10.0, 6.7, True), (0.24, 0.24, False), (0.26, 0.26, True)],
)
def test_moved_rows_fit_the_next_course_twice_as_well(apart: float, moved: float, told: bool) -> None:
    """Three courses so far apart; and the rows are off their own by half a kelvin in all."""
    own = np.array([[0.0], [apart], [2 * apart]])
    assert _off_course(kinds(*["temperature"] * 3), own + moved, own, np.ones(3, np.bool_)) is told


@pytest.mark.parametrize(("n", "twice", "told"), [(12, 6, True), (11, 6, False)])
def test_more_than_half_of_the_rows_end_twice_by_themselves(
    monkeypatch: pytest.MonkeyPatch, n: int, twice: int, told: bool
) -> None:
    monkeypatch.setattr(faults_moved, "_off_course", lambda *_: True)
    channels = tuple(
        Channel(f"T{i}", ChannelRole.THERMOCOUPLE, "temperature", np.full(n, 300.0 + i)) for i in range(3)
    )
    log = CureLog(
        10.0 * np.arange(n), channels, lines=np.arange(n, dtype=np.int32), ends_twice=np.arange(n) < twice
    )
    found, out = _ended_twice(log)
    assert bool(found) is told
    assert out.sum() == (twice if told else 0)


@pytest.mark.parametrize(("third", "told"), [(1, False), (2, True)])
@pytest.mark.parametrize(("rows", "comes"), [(11, False), (12, True)])
def test_a_dozen_rows_with_two_dozen_changes_come_twice(
    third: int, told: bool, rows: int, comes: bool
) -> None:
    random = np.random.default_rng(6)
    temps = random.uniform(300.0, 400.0, (100, 3))
    temps[20:32, 2] = temps[20, 2]
    temps[32 - third : 32, 2] += 1.0 + np.arange(third)
    temps[60 : 60 + rows] = temps[20 : 20 + rows]
    found, out = replayed_faults(rows_of(100), temps)
    assert bool(found) is (told and comes)
    assert out.sum() == (12 if found else 0)


@pytest.mark.parametrize(
    ("share", "away", "told"), [(1.0, 14.5, True), (1.0, 15.5, False), (0.42, 0.0, True), (0.38, 0.0, False)]
)
def test_a_channel_that_begins_and_rises_as_the_part_follows_it(
    share: float, away: float, told: bool
) -> None:
    heat = np.interp(np.arange(200), [0, 20, 120, 199], [0.0, 0.0, 100.0, 100.0])
    couples = tuple(Channel(f"T{i}", ChannelRole.THERMOCOUPLE, "temperature", 293.0 + heat) for i in range(3))
    log = CureLog(60.0 * np.arange(200), couples, lines=np.arange(200, dtype=np.int32))
    assert bool(follows_thermocouples(log, 293.0 + away + share * heat)) is told


@pytest.mark.parametrize(
    ("away", "code"), [(9.5, ""), (-9.5, ""), (10.5, codes.BEHIND.code), (-10.5, codes.AHEAD_OF_IT.code)]
)
def test_ten_kelvins_from_the_prediction_are_worth_a_look(away: float, code: str) -> None:
    e: Any = SimpleNamespace(lowest=np.full(5, 350.0), times=np.arange(5.0), slowest_at=lambda _: "T1")
    assert [a.finding.code for a in beside_prediction(e, 350.0 + away)] == ([code] if code else [])


@pytest.mark.parametrize(
    ("first", "later", "share", "told"),
    [
        (310.0, 0.297, 1.0, False),
        (310.0, 0.31, 1.0, True),
        (310.0, 1.0, 0.78, False),
        (310.0, 1.0, 0.82, True),
        (300.0, 1.0, 0.88, False),
        (300.0, 1.0, 0.92, True),
    ],
)
def test_a_rise_from_rest_begins_slowly(first: float, later: float, share: float, told: bool) -> None:
    """K/min of the five minutes after the first two, and the share of it in those."""
    log = rows_of(100)
    rise = np.interp(
        log.times, [0.0, 120.0, 990.0], [0.0, 2.0 * share * later, 2.0 * share * later + 14.5 * later]
    )
    assert bool(_in_ramp(log, (first + rise)[:, None], first)) is told
