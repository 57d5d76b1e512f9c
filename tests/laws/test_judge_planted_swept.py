"""Numbers and comparisons of the judge that a sweep over all of its places changed unnoticed, each from both
sides."""

from __future__ import annotations

import dataclasses
import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from judge_channels import rows_of
from judge_lines import limit, made, recipe
from panelmend.errors import InputError
from panelmend.plan.judge import Channel, ChannelRole, CureLog, VacuumRule, alarms, codes, find_faults
from panelmend.plan.judge.aside import _bends
from panelmend.plan.judge.evidence import gather
from panelmend.plan.judge.fault import length
from panelmend.plan.judge.faults import _set_points
from panelmend.plan.judge.faults_compare import _lead, _offset, _offset_heated
from panelmend.plan.judge.faults_filled import _no_chance, _sum
from panelmend.plan.judge.faults_frozen import _surprise, _why, still_rows
from panelmend.plan.judge.faults_moved import moved_faults
from panelmend.plan.judge.faults_reckoned import digit_of
from panelmend.plan.judge.faults_sensor import absent_faults, could_be_stuck, noise_of, stuck_faults
from panelmend.plan.judge.log import LogReadings
from panelmend.plan.judge.lost import _carried
from panelmend.plan.judge.no_readings import without_codes
from panelmend.plan.judge.order import _lines
from panelmend.plan.judge.report import _on_the_digit
from panelmend.plan.judge.standing import _vacuum as _low_vacuum
from panelmend.plan.judge.walk import _ramp, heat_start

LOG = made().log()
E = gather(LOG)


def test_what_lasts_a_day_is_told_in_hours() -> None:
    assert [length(s) for s in (86399.0, 86400.0)] == ["1440 min", "24.0 h"]


def test_a_target_is_any_temperature_above_nothing() -> None:
    ramp = recipe().segments[0]
    assert dataclasses.replace(ramp, target=0.5).target == 0.5
    with pytest.raises(InputError):
        dataclasses.replace(ramp, target=0.0)


def test_a_least_vacuum_is_any_below_that_of_the_air() -> None:
    assert VacuumRule(limit(0.5)).least.value == 0.5
    for none in (0.0, 120e3):
        with pytest.raises(InputError):
            VacuumRule(limit(none))


def test_ten_readings_of_a_piece_tell_its_noise() -> None:
    for rows, noisy in ((9, False), (10, True)):
        values = np.full(40_001, np.nan)
        values[:rows] = 300.0 + np.arange(rows) % 2
        values[500:780] = 300.0  # between the first piece and the second
        assert (noise_of(values) > 0.0) is noisy


def test_a_hole_before_the_loss_is_none_of_it() -> None:
    e: Any = SimpleNamespace(**{n: getattr(E, n) for n in ("times", "gap", "index_at", "temps", "checked")})
    column = E.temps[:, 0].copy()
    column[100:200] = np.nan
    end = float(E.times[-1])
    for lost, told in ((1990.0, True), (2000.0, False)):
        found = list(_carried(e, column, E.temps[:, 1], 1.0, lost, end))
        assert bool(found) is told


def test_a_ramp_ends_with_the_first_where_the_dwell_is_the_last_segment() -> None:
    whole = recipe()
    how = dataclasses.replace(whole, segments=whole.segments[:2])
    m = made()
    m.temps[:, 1] -= 2.0  # half a minute and more behind
    e = gather(m.log())
    made_of = _ramp(e, how, 0, 600.0)
    seen = sorted(t for _, t in made_of.entries if t is not None)
    assert seen[-1] > seen[0] + 30.0
    assert made_of.end == seen[0]


def test_a_stay_at_the_beginning_is_held_against_the_one_row_before_it() -> None:
    """The one row before it, of one channel, and the twenty after it, in which nearly all move."""
    n = 60
    temps = np.full((n, 3), 301.0)
    temps[0] = 300.0, math.nan, math.nan
    temps[13:] = 310.0 + np.arange(n - 13)[:, None]
    temps[14::9, 0] = temps[13:-1:9, 0]
    assert _no_chance(temps, still_rows(temps), np.array([2]), np.array([12])).tolist() == [True]


def test_a_sum_from_before_the_first_row_counts_the_first() -> None:
    assert _sum(np.array([4, 2, 1]), np.array([-2, 0, 1, -3]), np.array([1, 2, 9, 0])).tolist() == [
        4,
        6,
        3,
        0,
    ]


def test_a_gauge_that_moves_by_less_than_a_pascal_moves() -> None:
    stuck = np.full(61, 80e3)
    lively = stuck + 0.5 * (np.arange(61) % 2)
    for values, told in ((stuck, True), (lively, False)):
        log = rows_of(61, 10.0, Channel("V", ChannelRole.VACUUM, "pressure", values.copy()))
        assert (codes.V_STUCK.code in {f.finding.code for f in find_faults(log)}) is told


def test_one_sample_has_no_usual_step() -> None:
    assert rows_of(1).usual_step == 0.0


def test_an_offset_is_steady_in_nine_of_ten_readings() -> None:
    for strays, told in ((95, True), (105, False)):
        v = np.full(1001, 310.0)
        v[:strays] = 320.0
        assert bool(_offset(LOG, "T1", v, np.full(1001, 300.0))) is told


def test_the_top_is_three_kelvins_deep() -> None:
    """What is said of the top is the median there."""
    t = 10.0 * np.arange(100)
    for below, shown in ((2.9, "+15 K"), (3.1, "+9 K")):
        m = np.full(100, 400.0 - below)
        m[:50], m[60:70] = 300.0, 400.0
        v = m + 9.0
        v[(m > 390.0) & (m < 400.0)] += 6.0
        (found,) = _offset_heated(LOG, "T1", t, v, m)
        assert f"{shown} at the top" in found.finding.words


def test_steps_of_more_than_a_hundred_seconds_rule_no_stay_out() -> None:
    lively = 300.0 + np.arange(20.0) % 2
    for step, told in ((99.0, False), (101.0, True)):
        assert could_be_stuck(step * np.arange(20), lively) is told


def test_one_that_follows_its_set_point_in_the_rise_alone_is_it() -> None:
    """Of a log of more than six thousand rows every second one is looked at first."""
    n = 6000
    wanted = np.interp(np.arange(n), [0, 4000, n], [300.0, 400.0, 400.0])
    couple = wanted + 0.013 * np.sin(np.arange(n))
    couple[4100:] -= 3.0
    log = rows_of(
        n,
        2.0,
        Channel("T1", ChannelRole.THERMOCOUPLE, "temperature", couple),
        Channel("SP", ChannelRole.SET_POINT, "temperature", wanted),
    )

    assert _set_points(log, ("T1",), LogReadings(couple[:, None].copy()))


def test_a_limit_that_is_not_passed_yet_is_told_in_minutes(monkeypatch: pytest.MonkeyPatch) -> None:

    rate = 0.05
    monkeypatch.setattr(alarms, "slope", lambda *_: rate)
    monkeypatch.setattr(alarms, "_levels_off", lambda *_: False)
    monkeypatch.setattr(alarms, "_last_peak", lambda _: -math.inf)
    how = recipe(dwell={"target": 350.0}, ceiling=limit(400.0))
    for high, passed in ((394.0, False), (400.0, True)):
        e: Any = SimpleNamespace(
            times=E.times, highest=np.full(E.times.size, high), fastest_at=lambda _: "T1"
        )
        (found,) = alarms._heat(e, how, how.segments[1])
        assert ("is past" in found.finding.words) is passed
        assert ("in 2 min" in found.finding.words) is not passed


def test_a_rise_of_a_third_of_a_kelvin_a_minute_is_noise(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(alarms, "_last_peak", lambda _: -math.inf)
    monkeypatch.setattr(alarms, "_levels_off", lambda *_: False)
    how = recipe(dwell={"target": 350.0}, ceiling=limit(400.0))
    e: Any = SimpleNamespace(times=E.times, highest=np.full(E.times.size, 399.9), fastest_at=lambda _: "T1")
    for rate, told in ((0.00496, False), (0.00504, True)):
        monkeypatch.setattr(alarms, "slope", lambda *_, rate=rate: rate)
        assert bool(alarms._heat(e, how, how.segments[1])) is told


def test_one_that_leaves_its_highest_in_the_last_row_was_cut_off() -> None:
    n = 100
    others = np.linspace(380.0, 420.0, n)[:, None] + np.zeros((1, 2))
    for last, code in ((n - 1, codes.STUCK), (n - 2, codes.CLIPPED)):
        values = np.full(n, 395.0)
        values[:40] = np.linspace(380.0, 394.0, 40)
        values[last + 1 :] = 394.0
        (found,) = stuck_faults(rows_of(n), "T1", values, others)
        assert found.finding.code == code.code


def test_a_stay_in_the_first_row_may_end_in_a_jump() -> None:
    n = 60
    middle = np.full(n, 400.0)
    stays = np.zeros(n, np.bool_)
    stays[1:21] = True
    hot = np.ones(n, np.bool_)
    for jump, told in ((2.9, False), (3.1, True)):
        middle[21:] = 400.0 + jump + 7.0 * np.arange(n - 21)
        why = _why(rows_of(n), 0, 20, stays, stays & False, middle, hot, True)
        assert ("jump" in why) is told


def test_the_chance_that_two_more_stay_is_that_of_laplace() -> None:
    """After one that changed and three that stayed: 4 of 6, then 5 of 7."""
    assert math.exp(-_surprise(1, 3, 2)) == pytest.approx(10 / 21)


def test_rows_without_their_last_cell_are_held_against_those_just_before() -> None:
    """A row further off than the longest gap tells nothing; one in the rise is carried on as it rose."""
    n = 30
    rise = 300.0 + np.arange(n)
    power = np.ones(n)
    power[20:] = math.nan
    for by, told in ((0.0, False), (1.5, True)):  # as B reads
        couples = rise + np.where(np.arange(n) >= 20, by, 0.0), rise + 1.5
        log = rows_of(
            n,
            10.0,
            *(Channel(f"T{i}", ChannelRole.THERMOCOUPLE, "temperature", v) for i, v in enumerate(couples)),
            Channel("P", ChannelRole.POWER, "ratio", power.copy()),
        )
        assert moved_faults(log, 15.0)[1].any() == told


def test_a_row_may_be_moved_after_the_very_first() -> None:
    n = 30
    power, a, b = np.ones(n), np.full(n, 300.0), np.full(n, 340.0)
    power[1:5] = math.nan
    a[1:5] = 340.0
    times = 10.0 * np.arange(n)
    times[5:] += 1000.0
    log = CureLog(
        times,
        (
            Channel("A", ChannelRole.THERMOCOUPLE, "temperature", a),
            Channel("B", ChannelRole.THERMOCOUPLE, "temperature", b),
            Channel("P", ChannelRole.POWER, "ratio", power),
        ),
    )
    assert moved_faults(log, 15.0)[1].tolist() == [1 <= i < 5 for i in range(n)]


def test_a_row_that_ends_twice_is_looked_at_in_a_log_of_three_channels_and_more() -> None:
    n = 30
    for couples, told in ((1, False), (2, True), (3, True)):
        temps = [np.full(n, 300.0) for _ in range(couples)]
        temps[-1][10] = 306.0
        names = tuple(
            Channel(f"T{i}", ChannelRole.THERMOCOUPLE, "temperature", v) for i, v in enumerate(temps)
        )
        gauge = Channel("V", ChannelRole.VACUUM, "pressure", np.full(n, 80e3))
        log = dataclasses.replace(rows_of(n, 10.0, *names, gauge), ends_twice=np.arange(n) == 10)
        assert moved_faults(log, 15.0)[1].any() == told


def test_the_last_digit_is_no_finer_than_a_tenth_of_a_millikelvin() -> None:
    assert digit_of(np.array([300.0, 300.00002, 301.0])) == pytest.approx(1.0)
    assert digit_of(np.array([300.0, 300.0001, 300.0002])) == pytest.approx(1e-4)


def test_a_reading_colder_than_any_bond_line_is_an_open_end() -> None:
    for low, told in ((213.1, True), (213.2, False)):
        values = np.full(len(LOG), 300.0)
        values[100:110] = low
        found = absent_faults(LOG, "T1", values, np.ones(len(LOG), np.bool_))
        assert [f.finding.code for f in found] == [codes.OPEN.code] * told


def test_the_vacuum_is_told_to_be_low_since_it_was_last_enough() -> None:
    n = 100
    t = 10.0 * np.arange(n)
    vacuum = np.where(t <= 500.0, 85e3, 79e3)
    vacuum[:20] = 99e3
    high = np.where(t < 100.0, 300.0, 350.0)
    e: Any = SimpleNamespace(
        times=t, vacuum=vacuum, highest=high, checked=SimpleNamespace(vacuum_names=("V",))
    )
    (found,) = _low_vacuum(e, recipe(vacuum=VacuumRule(limit(80e3))))
    assert found.finding.words.endswith("for 8 min")


def test_the_rate_of_the_hottest_is_that_of_two_and_a_half_minutes() -> None:
    """It fell until 105 s ago, and rises since."""
    t = 10.0 * np.arange(100)
    ago = t[-1] - t
    how = recipe(dwell={"target": 350.0}, ceiling=limit(400.0))
    for fell, told in ((0.0, True), (0.3, False)):
        high = 399.0 - 0.02 * np.minimum(ago, 105.0) + fell * np.maximum(ago - 105.0, 0.0)
        e: Any = SimpleNamespace(times=t, highest=high, fastest_at=lambda _: "T1")
        assert bool(alarms._heat(e, how, how.segments[1])) is told


def test_a_lead_swapped_at_both_ends_is_told_from_the_top_three_kelvins() -> None:
    t = 10.0 * np.arange(200)
    for below, told in ((2.9, True), (3.1, False)):
        m = np.interp(t, [0.0, 500.0], [295.0, 400.0 - below])
        v = m - np.where(t >= 500.0, 10.0, 0.0)
        m[100:140], v[100:140] = 400.0, 400.0
        assert bool(_lead(LOG, "T1", t, v, m)) is told


def test_a_channel_bends_by_a_hundredth_more_than_its_last_digit() -> None:
    for step, share in ((0.2005, 0.0), (0.2015, 1.0)):
        values = 300.0 + np.cumsum(np.tile([0.1, step], 20))
        assert _bends(values) == pytest.approx(share)


def test_two_that_say_one_impossible_value_say_a_code() -> None:
    for couples, left in ((1, 10), (2, 9)):
        values = np.full(10, 300.0)
        values[4] = 200.0
        log = rows_of(
            10,
            10.0,
            *(
                Channel(f"T{i}", ChannelRole.THERMOCOUPLE, "temperature", values.copy())
                for i in range(couples)
            ),
        )
        read = without_codes(log, 105e3, 213.15, 643.15)
        assert [int(np.isfinite(c.values).sum()) for c in read.channels] == [left] * couples


def test_six_lines_are_named_and_the_others_counted() -> None:
    assert _lines(LOG, list(range(6))) == "1, 2, 3, 4, 5, 6"
    assert _lines(LOG, list(range(7))) == "1, 2, 3, 4, 5, 6 and 1 more"


def test_half_of_the_last_digit_from_either_end_of_the_band_is_said() -> None:
    how = recipe(dwell={"band_high": limit(395.0)})
    couple = Channel("T1", ChannelRole.THERMOCOUPLE, "temperature", 300.0 + np.arange(100.0))
    for by, told in ((0.49, 2), (0.51, 0)):
        row = SimpleNamespace(name="hold", least=385.0 + by, most=395.0 - by)
        verdict: Any = SimpleNamespace(segments=(row,))
        assert len(_on_the_digit(how, rows_of(100, 10.0, couple), verdict)) == told


def test_a_log_without_thermocouples_is_heated_from_its_beginning() -> None:
    e: Any = SimpleNamespace(temps=np.empty((0, 2)))
    assert heat_start(e) == 0.0
