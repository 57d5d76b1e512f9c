"""Filled rows, quiet channels, means and the sense of a gauge: numbers that a sweep of the judge changed
unnoticed."""

from __future__ import annotations

import functools
import inspect
from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from judge_channels import couples_log
from judge_lines import recipe
from panelmend.plan.judge import (
    Channel,
    ChannelRole,
    CureLog,
    VacuumRule,
    alarms,
    codes,
    fault,
    faults_compare,
    make_report,
    said,
    spans,
    verdict,
    watch,
)
from panelmend.plan.judge.aside import _pieces
from panelmend.plan.judge.faults import _beside, _set_points
from panelmend.plan.judge.faults_drawn import line_between
from panelmend.plan.judge.faults_filled import FilledRows, filled_faults
from panelmend.plan.judge.faults_frozen import is_coarse
from panelmend.plan.judge.faults_moved import _off_course, moved_faults
from panelmend.plan.judge.faults_quiet import quiet_faults
from panelmend.plan.judge.faults_replayed import replayed_faults
from panelmend.plan.judge.faults_vacuum import vacuum_faults
from panelmend.plan.judge.log import LogReadings
from panelmend.plan.judge.recipe import RecipeSegment
from panelmend.plan.judge.rules_sensors import ResinConstants

NAN = float("nan")
log_of = functools.partial(couples_log, 10.0)


def filled(count: int, again: Any, *, channels: int = 3, blank: int = 0) -> FilledRows:
    """Rows in which every thermocouple moves, but for those that say once more what stood before."""
    temps = 350.0 + np.random.default_rng(8).normal(0.0, 1.0, (count, channels))
    for k in again:
        temps[k] = temps[k - 1]
    temps[:blank, 0] = NAN
    return filled_faults(log_of(*temps.T), temps, np.zeros(count, np.bool_))


def test_three_thermocouples_in_forty_rows_show_rows_that_were_filled_up() -> None:
    stay = range(30, 38)
    assert [bool(filled(50, stay, channels=c).couples.sum()) for c in (2, 3)] == [False, True]
    assert [int(filled(n, range(20, 28)).couples.sum()) for n in (39, 40)] == [0, 8]
    assert [int(filled(50, stay, blank=x).couples.sum()) for x in (23, 26)] == [8, 0]


def test_the_step_is_that_between_the_others_where_most_rows_were_filled_up() -> None:
    for plain, step in ((23, 30.0), (40, 10.0)):
        again = [k for k in range(1, 90) if k % 3]
        assert filled(90 + plain, again).step == pytest.approx(step)


def test_what_is_coarse_both_ways_is_coarse() -> None:
    assert is_coarse((300.0 + 5.0 * (np.arange(100) % 7))[:, None])


def test_four_thermocouples_repeat_like_three() -> None:
    one = np.random.default_rng(2).normal(350.0, 3.0, (20, 4))
    temps = np.concatenate([one, one + 7.0, one])
    assert np.flatnonzero(replayed_faults(log_of(*temps.T), temps)[1]).tolist() == list(range(40, 60))


def test_one_alone_is_never_too_quiet() -> None:
    dice = np.random.default_rng(12)
    values = np.round(350.0 + dice.normal(0.0, 0.3, 240), 1)
    values[0] = 300.0
    values[100:140] = 350.0
    others = 350.0 + dice.normal(0.0, 0.3, (240, 2))
    log = log_of(values)
    assert [bool(quiet_faults(log, "T0", values, x)) for x in (others, others[:, :0])] == [True, False]


def test_a_set_point_that_is_followed_moves_in_twenty_one_rows() -> None:
    for rows, told in ((9.0, False), (10.0, True)):
        k = np.arange(400.0)
        wanted = 300.0 + 40.0 / rows * np.clip(k - 100.0, 0.0, rows)
        couple = wanted + 0.013 * np.sin(k)
        point = Channel("SP", ChannelRole.SET_POINT, "temperature", wanted)
        found = _set_points(log_of(couple, more=(point,)), ("T0",), LogReadings(couple[:, None].copy()))
        assert bool(found) is told


def test_one_in_twenty_readings_of_a_gauge_is_its_least() -> None:
    for low, told in ((5, False), (6, True)):
        v = np.full(101, 103.9e3)
        v[:10] = 96.5e3
        v[50 : 50 + low] = 89e3
        gauge = Channel("V", ChannelRole.VACUUM, "pressure", v)
        found = vacuum_faults(log_of(more=(gauge,)), gauge, np.empty((101, 0)))
        assert (codes.V_SENSE.code in {f.finding.code for f in found}) is told


def test_a_jag_at_the_beginning_is_a_piece_of_its_own() -> None:
    values = np.full(60, 300.0)
    values[1], values[-1] = 301.0, 300.1
    assert _pieces(values) > 1


def test_one_that_was_lost_is_told_at_once_and_none_are_left() -> None:
    of = SimpleNamespace(channel="T1", finding=SimpleNamespace(words="gone"), sensor_lost=True, doubt=False)
    e: Any = SimpleNamespace(
        working=np.ones((1, 1), np.bool_), checked=SimpleNamespace(faults=(of,)), names=("T1",)
    )
    assert [a.within for a in alarms.lost_now(e)] == [0.0]
    gauge = Channel("V", ChannelRole.VACUUM, "pressure", 8e4 + np.arange(30.0))
    assert watch.look(recipe(), log_of(more=(gauge,))).working == 0


def beside(*levels: float, shares: tuple[float, ...] = ()) -> dict[str, list[str]]:
    """What comparing finds of thermocouples so far above 300 K, each read in such a share
    of the samples: the codes by name."""
    n = 100
    temps = 300.0 + np.array(levels) + np.random.default_rng(21).normal(0.0, 0.05, (n, len(levels)))
    for i, share in enumerate(shares):
        temps[round(share * n) :, i] = NAN
    names = tuple("ABCDEFGH"[: len(levels)])
    out: dict[str, list[str]] = {}
    for f in _beside(log_of(*temps.T), names, temps):
        out.setdefault(f.finding.code, []).append(f.channel)
    return out


def test_of_three_that_read_in_half_of_the_samples_one_can_be_named() -> None:
    few = codes.FEW_TOLD.code
    for shares, told in (
        ((1.0,), True),
        ((1.0, 1.0), True),
        ((1.0, 1.0, 1.0), False),
        ((1.0, 1.0, 0.52), False),
        ((1.0, 1.0, 0.48), True),
    ):
        assert (few in beside(*[0.0] * len(shares), shares=shares)) is told


def test_two_that_agree_name_the_third_and_two_that_do_not_name_none() -> None:
    assert beside(20.0, 0.0, 0.5)[codes.OFFSET.code] == ["A"]
    parted = beside(40.0, 0.0, 20.0)
    assert codes.OFFSET.code not in parted
    assert codes.UNDECIDED.code in parted


def test_a_second_look_is_without_those_the_first_condemned_and_there_is_no_third() -> None:
    assert beside(30.0, 8.5, 2.0, 0.0, -0.5)[codes.OFFSET.code] == ["A", "B"]
    assert beside(30.0, 31.0, -30.0, 8.7, 1.0, 1.0, 0.0, 0.0)[codes.OFFSET.code] == ["A", "B", "C", "D"]
    assert beside(30.0, 9.5, 8.7, 3.0, 1.0, 0.0, 0.0)[codes.OFFSET.code] == ["A", "B"]


def test_twenty_four_readings_tell_of_a_stay_where_others_are_beside_it() -> None:
    dice = np.random.default_rng(12)
    values = np.round(350.0 + dice.normal(0.0, 6.0, 31), 1)
    values[0], values[12:19] = 300.0, 350.0
    others = 350.0 + dice.normal(0.0, 6.0, (31, 2))
    log = CureLog(60.0 * np.arange(31), ())
    assert [bool(quiet_faults(log, "T0", values, x)) for x in (others, others[:, :0])] == [True, False]


def test_a_vacuum_that_stays_would_have_changed_twelve_times() -> None:
    """Thirty steps of it, of which as many of the 99 before changed."""
    for changed, told in ((38, False), (42, True)):
        k = np.arange(101)
        moves = np.diff((k * changed) // 100, prepend=0) > 0
        v = np.where(np.cumsum(moves) % 2, 80e3, 80.2e3)
        v = np.concatenate([v, np.full(30, v[-1])])
        gauge = Channel("V", ChannelRole.VACUUM, "pressure", v)
        log = CureLog(20.0 * np.arange(131), (gauge,))
        found = vacuum_faults(log, gauge, np.empty((131, 0)))
        assert (codes.FROZEN.code in {f.finding.code for f in found}) is told


def test_rows_at_the_beginning_are_held_against_those_just_behind() -> None:
    """A row further off than the longest gap tells nothing; one in the rise is carried back as it rose."""
    n = 30
    rise = 300.0 + np.arange(n)
    power = np.ones(n)
    power[:10] = NAN
    for by, told in ((0.0, False), (-1.5, True)):  # as the other reads
        couples = rise + np.where(np.arange(n) < 10, by, 0.0), rise - 1.5
        log = log_of(*couples, more=(Channel("P", ChannelRole.POWER, "ratio", power.copy()),))
        assert moved_faults(log, 15.0)[1].any() == told


def test_a_row_before_a_set_point_is_off_its_course_by_three_of_its_steps() -> None:
    zigzag = 300.0 + 0.5 * (np.arange(60) % 2 * 2 - 1)  # each a kelvin off the middle of its neighbours
    point = Channel("SP", ChannelRole.SET_POINT, "temperature", np.full(60, 320.0))
    log = log_of(zigzag, zigzag + 7.0, more=(point,))
    own = np.array([[300.0], [307.0], [320.0]])
    for off, told in ((2.9, False), (3.1, True)):
        read = own + np.array([[0.0], [off], [0.0]])
        assert _off_course(log, read, own, np.ones(3, np.bool_)) is told


def default(of: Callable[..., Any], name: str) -> Any:
    return inspect.signature(of).parameters[name].default


def test_what_is_not_said_is_nothing_and_what_is_usual_stands() -> None:
    book = verdict.VerdictRecorder
    nothing = (
        (fault.fault, "time"),
        (fault.fault, "shift"),
        (fault.Fault, "shift"),
        (said.apart, "decimals"),
        (ResinConstants, "start"),
        (verdict.Verdict, "stood"),
        (book.enter, "time"),
        (book.note, "time"),
        (book.measure, "time"),
        (book.measure, "unsure"),
        (faults_compare._doubted, "time"),
        (faults_compare._doubted, "shift"),
        (watch.Now, "judged"),
        (watch.look, "silent"),
        (CureLog, "stamp_step"),
        (VacuumRule, "dip_longest"),
    )
    assert {default(of, name) for of, name in nothing} == {0}
    assert default(RecipeSegment, "rate_window") == 600.0
    assert default(spans.first_above, "sign") == 1.0
    assert default(book.measure, "decimals") == 1
    assert default(alarms.slope, "least") == 4
    assert default(make_report, "points") == 600
    assert default(line_between, "most") == 3
