"""Numbers and comparisons of the judge that faults planted earlier changed and no test noticed."""

from __future__ import annotations

import dataclasses
import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from judge_lines import TOP, limit, made, recipe
from made_curelog import INHG
from panelmend.physics.thermocouple import Wire, twice_reversed_reading
from panelmend.plan.judge import Predicted, VacuumRule, alarms, find_faults, judge, make_report
from panelmend.plan.judge import codes as c
from panelmend.plan.judge.evidence import gather
from panelmend.plan.judge.faults_compare import _lead, _swapped
from panelmend.plan.judge.faults_sensor import _seconds, texture_faults
from panelmend.plan.judge.holes import slowest_at_least, trough
from panelmend.plan.judge.report import not_judged, thinned
from panelmend.plan.judge.rules_heats import judge_heats
from panelmend.plan.judge.rules_job import JobTimes
from panelmend.plan.judge.rules_rate import _mean_up
from panelmend.plan.judge.verdict import VerdictRecorder
from panelmend.plan.judge.walk import Stretch
from panelmend.plan.judge.watch import _by_model, _current

# written out: a number taken from the code would move with it
MOST_NAMED, SHORTEST = 8, 180.0


LOG = made().log()


def codes_of(m: Any) -> set[str]:
    return {f.finding.code for f in find_faults(m.log())}


def test_a_run_without_readings_lasts_from_the_reading_before_to_the_one_after() -> None:
    assert _seconds(LOG, (5, 8)) == 50.0
    assert _seconds(LOG, (0, 2)) == 30.0
    assert _seconds(LOG, (len(LOG) - 2, len(LOG) - 1)) == 20.0


@pytest.mark.parametrize(
    ("still", "step", "told"),
    [(3, 2.0, False), (4, 2.0, True), (4, 1.9, True), (5, 2.0, False), (4, 1.89, False)],
)
def test_coarse_steps_are_of_so_many_kelvins_and_stand_so_often(still: int, step: float, told: bool) -> None:
    moves = np.array([0.0] * still + [1.0] * (10 - still))
    values = step * (np.concatenate([[0.0], np.cumsum(moves)]) % 2.0)
    assert bool(texture_faults(LOG, "T1", values, 0.0, 0.0)) is told


@pytest.mark.parametrize(("fell", "told"), [(26.9, False), (27.0, True)])
def test_swapped_legs_fall_by_a_third_of_the_others_rise(fell: float, told: bool) -> None:
    m = np.concatenate([[300.0, 310.0], np.linspace(311.0, 390.0, 20)])
    v = np.interp(m, [300.0, 390.0], [300.0, 300.0 - fell])
    v[-1] = 300.0 - fell
    assert bool(_swapped(LOG, "T1", 10.0 * np.arange(m.size), v, m)) is told


def test_a_lead_swapped_at_both_ends_tells_how_warm_its_joint_is() -> None:
    t = 10.0 * np.arange(400)
    m = np.interp(t, [0.0, 1500.0, 4000.0], [295.0, TOP, TOP])
    shown = twice_reversed_reading(Wire.K, TOP, 295.0 + 9.0, 295.0)
    v = np.interp(m, [295.0, TOP], [295.0, shown])
    words = _lead(LOG, "T1", t, v, m)[0].finding.words
    assert "type J" in words or "type K" in words
    told = float(words.split("its joint ")[1].split(" ")[0])
    assert told == pytest.approx(9.0, abs=1.5)


def test_two_of_five_that_read_off_leave_every_one_in_doubt() -> None:
    """A second look without those the first condemned is for fewer than half."""
    m = made(sensors=5)
    m.temps += np.random.default_rng(1).normal(0.0, 0.2, m.temps.shape)
    m.temps[:, :2] += 15.0
    assert c.OFFSET.code in codes_of(m)


def test_a_set_point_is_followed_in_more_than_fifty_readings() -> None:
    for rows, told in ((50, False), (51, True)):
        m = made()
        keep = slice(0, rows)
        m.times, m.vacuum = m.times[keep], m.vacuum[keep]
        rise = 300.0 + 0.1 * m.times
        m.temps = np.column_stack([rise + 0.013 * np.sin(m.times), rise - 3.0, rise - 4.0, rise - 5.0])
        m.set_point = m.temps[:, 0].copy()
        assert (c.TWIN.code in codes_of(m)) is told


def test_a_set_point_that_is_followed_rises_by_thirty_kelvins() -> None:
    for by, told in ((29.5, False), (30.5, True)):
        m = made()
        m.times, m.vacuum = m.times[:300], m.vacuum[:300]
        rise = 300.0 + by * m.times / m.times[-1]
        m.temps = (
            np.column_stack([rise, rise - 3.0, rise - 4.0, rise - 5.0]) + 0.01 * np.sin(m.times)[:, None]
        )
        m.set_point = rise
        words = [f.finding.words for f in find_faults(m.log()) if f.finding.code == c.TWIN.code]
        assert any("is the set point" in x for x in words) is told


def test_a_slope_asks_for_as_many_readings_as_it_needs_and_no_more() -> None:
    t = 30.0 * np.arange(20)
    v = np.where(t >= t[-4], 300.0, 310.0)
    assert alarms.slope(t, v, 90.0) == 0.0, "the last four are in the span"


def test_a_limit_that_was_passed_while_it_rises_is_told_as_such() -> None:
    t = 10.0 * np.arange(100)
    e: Any = SimpleNamespace(times=t, highest=TOP + 5.0 + 0.02 * (t - t[-1]) + 0.5, fastest_at=lambda _: "T1")
    r = recipe(ceiling=limit(TOP + 5.0))
    (alarm,) = alarms._heat(e, r, r.segments[1])
    assert "is past" in alarm.finding.words
    assert alarm.finding.code == c.TOP_SOON.code


def test_a_hole_is_closed_by_the_lowest_it_can_have_come_to() -> None:
    m = made(sensors=2)
    m.temps[600:610, 0] = np.nan
    e = gather(m.log(), None)
    low = trough(float(m.temps[599, 0]), float(m.temps[610, 0]), 110.0)
    lowest, known = slowest_at_least(e, low - 0.5)
    assert known.all()
    assert lowest[605] == pytest.approx(low, abs=0.01)
    assert np.isnan(slowest_at_least(e, low + 0.5)[0][605])


def test_four_heats_are_named_and_all_are_counted() -> None:
    m = made(length=30000.0)
    m.temps[:] = (300.0 + 60.0 * (0.5 - 0.5 * np.cos(2 * np.pi * m.times / 5000.0)))[:, None] + np.arange(
        4
    ) * 1e-3
    e = gather(m.log(), None)
    book = VerdictRecorder(m.log())
    judge_heats(e, book)
    assert "heated 6 times" in book.reasons[0].words
    assert book.reasons[0].words.split("from ")[1].split(": the log")[0].count(", ") == 3


def test_a_prediction_is_followed_to_its_last_reading() -> None:
    t = 10.0 * np.arange(100)
    low = 300.0 + 0.05 * t
    e: Any = SimpleNamespace(
        times=t, lowest=low, highest=low, temps=low[:, None], checked=SimpleNamespace(faults=())
    )
    for goal, known in ((395.0, True), (400.0, True), (401.0, False)):
        left = _by_model(e, Predicted((0.0, 1000.0, 2000.0), (300.0, 345.0, 400.0)), goal)
        assert math.isfinite(left) is known
    assert math.isfinite(_by_model(e, Predicted((0.0, 1000.0, 2000.0), (300.0, 345.0, 352.0)), 351.0))


@pytest.mark.parametrize(("over", "ramp"), [(0.5, True), (-0.5, False)])
def test_a_second_ramp_is_on_when_the_hottest_leaves_the_first_dwell_upwards(over: float, ramp: bool) -> None:
    r = recipe(dwell={"band_high": limit(TOP + 5.0)})
    up, hold, _ = r.segments
    e: Any = SimpleNamespace(times=np.array([0.0, 100.0]), highest=np.array([TOP, TOP + 5.0 + over]))
    walked = (Stretch(hold, 0.0, 50.0, (), (), True), Stretch(up, 50.0, 100.0, (), (), True))
    now = _current(e, walked)
    assert now is not None
    assert (now.segment is up) is ramp


def test_a_mean_rise_counts_from_the_first_reading_there_is() -> None:
    t = 10.0 * np.arange(6)
    values = np.array([300.0, 310.0, math.nan, 320.0, 330.0, 340.0])
    e: Any = SimpleNamespace(times=t, index_at=lambda _: 2, gap=60.0, checked=SimpleNamespace(faults=()))
    got: list[float] = []
    book: Any = SimpleNamespace(measure=lambda rule, value, *a, **k: got.append(value))
    up = dataclasses.replace(recipe().segments[0], rate_least=limit(0.01))
    _mean_up(e, book, Stretch(up, 0.0, 50.0, (), (), True, 340.0), "T1", values, 50.0)
    assert got == [pytest.approx((340.0 - 305.0) / 45.0, rel=1e-4)]


def test_every_dip_is_counted_where_more_than_eight_are() -> None:
    for dips, told in ((MOST_NAMED, False), (MOST_NAMED + 1, True)):
        m = made()
        for k in range(dips):
            m.temps[400 + 20 * k : 406 + 20 * k, :] = 382.0 + np.arange(4) * 1e-3
        words = [f.words for f in judge(recipe(), m.log()).findings if f.code == c.BELOW_BAND.code]
        assert any(f"{dips} times in all" in x for x in words) is told


def test_one_dip_of_the_vacuum_is_not_counted() -> None:
    m = made()
    m.vacuum[400:404] = 21.5 * INHG
    rule = VacuumRule(limit(22 * INHG), dip_least=20 * INHG, dip_longest=60.0)
    (words,) = [f.words for f in judge(recipe(vacuum=rule), m.log()).findings if f.code == c.VACUUM_DIP.code]
    assert "dips" not in words


def test_what_is_not_judged_says_no_more_than_is_so() -> None:
    verdict = dataclasses.replace(judge(recipe(), LOG), stood=SHORTEST)
    words = " ".join(not_judged(recipe(), verdict))
    assert "(they stood as long" not in words
    assert "whether the log is of this job: not asked" in words
    assert "(they stood as long" in " ".join(
        not_judged(recipe(), dataclasses.replace(verdict, stood=SHORTEST + 10.0))
    )
    asked = judge(recipe(), LOG, job=JobTimes(None, None))
    assert "not asked" not in " ".join(make_report(recipe(), LOG, asked).not_judged)


def test_a_quick_logger_draws_one_line() -> None:
    log = dataclasses.replace(LOG, times=LOG.times / 20.0)
    assert len(thinned(log, log.channels[0], 600).pieces) == 1
