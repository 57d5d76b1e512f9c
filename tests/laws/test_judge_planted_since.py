"""Numbers and comparisons of the judge that planted faults changed unnoticed."""

from __future__ import annotations

import dataclasses
from datetime import datetime
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from judge_channels import rows_of
from judge_lines import limit, made, recipe
from made_curelog import INHG
from panelmend.errors import InputError
from panelmend.plan.judge import (
    ChannelRole,
    CureLog,
    LeakRule,
    Outcome,
    Predicted,
    find_faults,
    judge,
    make_report,
)
from panelmend.plan.judge import codes as c
from panelmend.plan.judge.approved import _names
from panelmend.plan.judge.faults import MOST_COMPARED, _thinned
from panelmend.plan.judge.faults_joint import _apart, jump_faults
from panelmend.plan.judge.faults_moved import _carried, _off_course, _rows
from panelmend.plan.judge.faults_sensor import _seconds, absent_faults
from panelmend.plan.judge.pieces import PIECE
from panelmend.plan.judge.rules_job import JobTimes
from panelmend.plan.judge.rules_vacuum import _after, _dips
from panelmend.plan.judge.spans import trace_at
from panelmend.plan.judge.verdict import told_apart


def bare(n: int, step: float = 10.0) -> CureLog:
    return CureLog(step * np.arange(n), ())


def test_a_value_and_its_limit_are_told_apart_by_four_more_digits() -> None:
    def digits(value: float) -> Any:
        return lambda more: f"{value:.{more}f}"

    assert told_apart(True, digits(1.0001), digits(1.0)) == ("1.0001", "1.0000")
    assert told_apart(True, digits(1.00001), digits(1.0)) == ("1.0000", "1.0000")


def test_a_report_of_a_log_set_back_before_its_begin_has_its_whole_length() -> None:
    m = made()
    m.times[600:] -= 7000.0
    log = m.log()
    assert log.times.min() == -1000.0
    assert make_report(recipe(), log, judge(recipe(), log)).length == log.times.max() + 1000.0


@pytest.mark.parametrize(
    ("fall", "over", "sound"), [(0.0, 1.0, True), (0.0, 0.0, False), (-1.0, 60.0, False)]
)
def test_a_leak_test_needs_a_time_and_a_fall(fall: float, over: float, sound: bool) -> None:
    if sound:
        assert LeakRule(limit(fall), over).over == over
    else:
        with pytest.raises(InputError, match="a leak test needs"):
            LeakRule(limit(fall), over)


def test_without_a_leak_test_it_is_said_that_none_is_recorded() -> None:
    words = [r.words for r in judge(recipe(leak=LeakRule(limit(INHG), 60.0)), made().log()).against()]
    assert any("no leak test is recorded" in w for w in words)


@pytest.mark.parametrize("half", [(datetime(2026, 11, 25, 8), None), (None, datetime(2026, 11, 25, 12))])
def test_one_of_the_times_of_a_job_alone_is_not_enough(half: tuple[datetime | None, datetime | None]) -> None:
    verdict = judge(recipe(), made().log(), job=JobTimes(*half))
    assert verdict.outcome is Outcome.UNKNOWN
    assert any("nobody said when the vacuum came on" in r.words for r in verdict.against())


def test_a_prediction_needs_times_that_rise_however_little() -> None:
    assert Predicted((0.0, 0.5), (300.0, 301.0)).times[1] == 0.5
    with pytest.raises(InputError):
        Predicted((0.0, 0.0), (300.0, 301.0))


def test_after_the_only_reading_it_still_says_that_one() -> None:
    assert trace_at(np.array([0.0, 10.0]), np.array([5.0, np.nan]), 10.0) == 5.0


def test_dips_of_vacuum_are_one_where_the_time_between_is_shorter_than_allowed() -> None:
    e: Any = SimpleNamespace(times=10.0 * np.arange(12))
    low = np.zeros(12, np.bool_)
    low[[2, 8]] = True  # good again at 30 s, low again at 80 s
    assert len(_dips(e, low, 51.0)) == 1
    assert len(_dips(e, low, 49.0)) == 2
    assert _after(e, 10) == _after(e, 11) == 110.0


def test_segments_of_one_kind_are_numbered_in_their_order() -> None:
    kinds = ("ramp", "dwell", "ramp", "dwell", "cool")
    names = _names(SimpleNamespace(segment=[SimpleNamespace(kind=k) for k in kinds]))  # type: ignore[arg-type]
    assert [n[-2:] for n in names[:4]] == [" 1", " 1", " 2", " 2"]
    assert not names[4][-1].isdigit()


def test_a_jump_counts_from_the_sample_after_it_to_the_last_two() -> None:
    m = made()
    m.temps[500:] += 80.0
    told = [x for x in find_faults(m.log()) if x.finding.code == c.JUMPED.code]
    assert [x.time for x in told] == [m.times[500]]
    for at in (10, 98, 99):
        temps = np.full((100, 2), 300.0)
        temps[at:] += 80.0
        assert [x.time for x in jump_faults(bare(100), temps, 30.0)] == [10.0 * at]


def test_a_jump_where_two_pieces_of_a_long_log_meet_is_told() -> None:
    for at in (PIECE - 1, PIECE, PIECE + 1):
        temps = np.full((PIECE + 100, 2), 300.0)
        temps[at:] += 80.0
        assert [x.time for x in jump_faults(bare(len(temps)), temps, 30.0)] == [10.0 * at]


def test_straight_lines_of_any_slope_lie_nowhere_apart() -> None:
    t = 10.0 * np.arange(100)
    temps = np.column_stack([300.0 + k * t for k in (0.01, 0.03, 0.02, 0.05)])
    assert np.abs(_apart(t, temps, 6, 30.0)).max() < 1e-9
    temps[50:, :2] += 1.0
    assert _apart(t, temps, 6, 30.0).max() == pytest.approx(0.5)


def test_an_open_circuit_is_no_reading_up_to_the_next_one() -> None:
    values = np.full(200, 300.0)
    values[100:105] = 2000.0
    (told,) = absent_faults(bare(200), "T1", values, np.ones(200, np.bool_))
    assert (told.time, told.until) == (1000.0, 1050.0)


def test_missing_cells_are_told_at_their_longest_run() -> None:
    values = np.full(200, 300.0)
    values[20:23] = values[60:65] = np.nan
    (told,) = absent_faults(bare(200), "T1", values, np.ones(200, np.bool_))
    assert told.finding.code == c.MISSING.code
    assert told.time == 600.0


def test_no_reading_for_more_than_two_minutes_to_the_end_is_a_stop() -> None:
    log = bare(1000, 0.5)
    seen = set()
    for rows in range(230, 250):
        values = np.full(1000, 300.0)
        values[-rows:] = np.nan
        span = _seconds(log, (1000 - rows, 999))
        told = {x.finding.code for x in absent_faults(log, "T1", values, np.ones(1000, np.bool_))}
        assert (c.STOPPED.code in told) == (span > 120.0), span
        seen.add(span)
    assert {120.0, 120.5} <= seen


def test_a_row_is_carried_on_by_the_line_through_five() -> None:
    log = CureLog(10.0 * np.arange(60) + 7.0, made().log().channels[:0])
    line = 300.0 + 0.02 * log.times
    assert _carried(log, line, np.arange(10, 15), np.array([20, 21])) == pytest.approx(line[20:22])
    m = made(length=600.0)
    assert list(_rows(m.log(), 10, 1, 30.0)) == [10, 11, 12, 13, 14]
    assert list(_rows(m.log(), 2, -1, 30.0)) == [2, 1, 0]


@pytest.mark.parametrize(("by", "told"), [(1, True), (0, False)])
def test_rows_that_fit_their_right_hand_neighbours_are_moved(by: int, told: bool) -> None:
    log = made(length=600.0).log()
    couples = log.of_role(ChannelRole.THERMOCOUPLE)
    log = dataclasses.replace(log, channels=couples)
    own = np.array([[300.0], [310.0], [320.0], [330.0]]) + np.zeros((4, 2))
    read = np.vstack([own[by:], own[:by] * 0.0 + 330.0]) + 0.2
    assert _off_course(log, read, own, np.ones(4, np.bool_)) is told


def test_a_long_log_is_compared_from_its_first_sample_to_its_last() -> None:
    for n, kept in ((MOST_COMPARED, MOST_COMPARED), (MOST_COMPARED + 2, MOST_COMPARED // 2 + 2)):
        log = rows_of(n, 1.0)
        thin, temps = _thinned(log, np.ones((n, 2)))
        assert len(thin) == len(temps) == kept
        assert (thin.times[0], thin.times[-1]) == (0.0, n - 1.0)


@pytest.mark.parametrize("way", ["absolute", "negative"])
def test_a_gauge_of_the_other_sense_is_taken_out_of_the_judgement(way: str) -> None:
    m = made()
    m.vacuum = 101325.0 - m.vacuum if way == "absolute" else -m.vacuum
    told = [x for x in find_faults(m.log()) if x.finding.code == c.V_SENSE.code]
    assert told
    assert all(x.lost for x in told)
