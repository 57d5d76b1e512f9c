"""Stamps, holes and the chart of a log at their very edges, each answer written by hand."""

from __future__ import annotations

import dataclasses
from datetime import datetime
from types import SimpleNamespace as Made
from typing import Any

import numpy as np
import pytest

from judge_lines import limit
from judge_whole import OPEN, YES, blank, whole
from panelmend.plan.judge import (
    ChannelRole,
    SegmentKind,
    codes,
    holes,
    order,
    report,
    rules_job,
    spans,
    watch,
)
from panelmend.plan.judge.log import Channel, CureLog
from panelmend.plan.judge.rules_job import JobTimes
from panelmend.plan.judge.verdict import Outcome

NAN = float("nan")


def _log(times: Any, **more: Any) -> CureLog:
    """One thermocouple that reads the number of its sample."""
    at = np.asarray(times, float)
    values = 300.0 + np.arange(at.size)
    return CureLog(at, (Channel("T1", ChannelRole.THERMOCOUPLE, "temperature", values),), **more)


def _evenly(end: float) -> list[float]:
    return np.arange(0.0, end + 1.0, 10.0).tolist()


# the order of the samples


@pytest.mark.parametrize(
    ("newest", "waits"),
    [
        ([601.0], 1),  # further ahead than ten minutes
        ([600.0], 0),
        ([700.0, 710.0], 0),  # the next one has come
        ([700.0, 1300.0], 0),  # and is itself no more than ten minutes ahead
        ([700.0, 1301.0], 2),
    ],
)
def test_the_newest_stamp_far_ahead_waits_for_the_next(newest: list[float], waits: int) -> None:
    """Also where two stamps of a coarse clock are the same."""
    for first in (_evenly(200.0), [0.0, 10.0, 10.0, *_evenly(200.0)[2:]]):
        log = _log([*first, *(200.0 + t for t in newest)])
        live = order.times_in_order(log, live=True)
        assert (live.waiting, len(live.log), live.sure) == (waits, len(log) - waits, True)
        assert live.faults == ()
        done = order.times_in_order(log)
        assert (done.waiting, len(done.log), done.faults) == (0, len(log), ())


def test_two_stamps_that_are_the_same_are_no_step_back() -> None:
    times = [*_evenly(100.0), 100.0, 110.0, 106.0, *(t + 120.0 for t in _evenly(100.0))]
    made = order.times_in_order(_log(times))
    assert made.log.times.tolist() == [
        *_evenly(100.0),
        100.0,
        110.0,
        110.0,
        *(t + 120.0 for t in _evenly(100.0)),
    ]
    (said,) = made.faults
    assert said.finding.code == codes.ODD_STAMP.code
    assert "1 stamps step back by less than a sample" in said.finding.words
    assert made.sure


@pytest.mark.parametrize("odd", [500.0, -300.0])
def test_an_odd_stamp_after_the_clock_was_set_back_takes_the_time_of_its_place(odd: float) -> None:
    """Set back once by 1010 s: the samples go on in the order of the file, ten seconds apart."""
    after = [t - 800.0 for t in _evenly(200.0)]
    after[10] += odd
    made = order.times_in_order(_log([*_evenly(200.0), *after]))
    assert made.log.times.tolist() == _evenly(410.0)
    assert made.log.channels[0].values.tolist() == [300.0 + n for n in range(42)]
    assert sorted(f.finding.code for f in made.faults) == sorted(
        [codes.CLOCK_BACK.code, codes.ODD_STAMP.code]
    )
    assert not made.sure


def _codes(made: order.Ordered) -> list[str]:
    return [f.finding.code for f in made.faults]


@pytest.mark.parametrize(
    ("step", "back", "sure"), [(10.0, 60.0, True), (20.0, 60.0, True), (20.0, 80.0, False)]
)
def test_a_clock_set_back_by_a_few_samples_hides_none_of_them(step: float, back: float, sure: bool) -> None:
    """Set back at 200 s: the samples go on a step after the other. A minute is little, 80 s are not: how
    long they lasted is not known."""
    first = np.arange(0.0, 201.0, step)
    after = 200.0 + step - back + step * np.arange(20)
    made = order.times_in_order(_log([*first, *after]))
    assert made.log.channels[0].values.tolist() == [300.0 + n for n in range(first.size + 20)]
    assert made.log.times.tolist() == [step * n for n in range(first.size + 20)], (
        "each a step after the other"
    )
    assert (made.sure, made.log.set_back) == (sure, back)
    assert _codes(made) == [*([] if sure else [codes.CLOCK_BACK.code]), codes.ODD_STAMP.code]


@pytest.mark.parametrize(("after", "step", "later"), [(125.0, 25.0 / 3.0, 0.0), (124.9, 10.0, 5.1)])
def test_samples_between_two_stamps_stand_evenly_where_there_is_room(
    after: float, step: float, later: float
) -> None:
    """Two stamps that slip, after 100 s: two steps and a half are room for them, less is not."""
    made = order.times_in_order(_log([*_evenly(100.0), 40.0, 45.0, after, after + 10.0, after + 20.0]))
    assert made.log.times[11:].tolist() == pytest.approx(
        [100.0 + step, 100.0 + 2 * step, *(after + later + 10.0 * n for n in range(3))]
    )
    assert ("no room" in made.faults[0].finding.words) is (later > 0.0)


def test_steps_back_of_a_few_samples_add_up() -> None:
    """Three times 20 s are a minute, the fourth is more; each is said where it stands."""
    for times, sure in ((3, True), (4, False)):
        stamps = np.concatenate([80.0 * n + np.arange(0.0, 100.0, 10.0) for n in range(times)])
        made = order.times_in_order(_log([*stamps, *(80.0 * times + np.arange(0.0, 200.0, 10.0))]))
        assert made.log.channels[0].values.size == stamps.size + 20
        assert made.sure is sure
        assert _codes(made).count(codes.CLOCK_BACK.code) == (0 if sure else times)


@pytest.mark.parametrize(
    ("step", "back", "sure"), [(50.0, 10.0, True), (50.0, 11.0, False), (300.0, 1.0, False)]
)
def test_a_step_back_shorter_than_a_sample_is_time_lost(step: float, back: float, sure: bool) -> None:
    """A step and what it goes back went by, nothing is counted."""
    evenly = step * np.arange(20)
    made = order.times_in_order(_log([*evenly, *(evenly[-1] - back + step * np.arange(20))]))
    assert (len(made.log), made.sure) == (40, sure)
    slip = [*evenly, evenly[-1] - back, *(evenly[-1] + step * np.arange(2, 20))]
    assert order.times_in_order(_log(slip)).sure, "one stamp that slipped: the next stands where it belongs"


def test_rows_said_again_are_left_out_where_something_moves() -> None:
    times = np.array([*_evenly(100.0), 80.0, 90.0, 95.0, *(t + 110.0 for t in _evenly(100.0))])
    times[8:11] = (80.0, 90.0, 95.0)

    def made(values: np.ndarray) -> order.Ordered:
        log = _log(times)
        return order.times_in_order(
            dataclasses.replace(log, channels=(dataclasses.replace(log.channels[0], values=values),))
        )

    moving = 300.0 + np.arange(times.size)
    moving[11:14] = moving[8:11]
    left = made(moving.copy())
    assert left.log.times.tolist() == np.delete(times, (11, 12)).tolist(), "its last row is in time"
    assert (left.sure, _codes(left)) == (True, [codes.ODD_STAMP.code])
    moving[12] += 0.1
    assert len(made(moving).log) == times.size, "a reading is another"
    assert len(made(np.full(times.size, 300.0)).log) == times.size, "nothing moves: that shows nothing"


@pytest.mark.parametrize(("after", "left"), [(175.0, 0), (176.0, 3)])
def test_samples_without_a_clock_are_not_placed_in_a_gap(after: float, left: int) -> None:
    """Three samples of another day after 120 s. 25 s more than their steps are no gap. Beyond, nobody knows
    when in it they were read, and it stays one: behind 120 s they made a whole of two halves of a dwell."""
    odd = (-9e8, -9e8 + 10.0, -9e8 + 20.0)
    made = order.times_in_order(_log([*_evenly(120.0), *odd, after, after + 10.0]))
    between = [] if left else pytest.approx([120.0 + 13.75 * n for n in (1, 2, 3)])
    assert made.log.times[13:-2].tolist() == between
    assert made.log.times[-2:].tolist() == [after, after + 10.0]
    assert made.sure
    assert ("3 samples left out" in made.faults[0].finding.words) is bool(left)


@pytest.mark.parametrize(("falls", "turned"), [(11, True), (10, False)])
def test_a_log_whose_newest_row_stands_first(falls: int, turned: bool) -> None:
    """Most of twenty steps fall; half of them are not most."""
    times = [1000.0 - 10.0 * i for i in range(falls + 1)] + [2000.0 + 10.0 * i for i in range(20 - falls)]
    made = order.times_in_order(_log(times))
    assert (made.faults[0].finding.code == codes.NEWEST_FIRST.code) is turned
    two = order.times_in_order(_log([10.0, 0.0]))
    assert (two.faults[0].finding.code == codes.NEWEST_FIRST.code) is False  # one step tells nothing


# holes


@pytest.mark.parametrize(
    ("k", "bounds"),
    [
        (5.0, (5.0, 5.0)),  # before the first reading nothing bounds it
        (20.0, (20.0, 20.0)),  # two readings ten seconds apart are no hole
        (100.0, None),  # in the hole
        (2000.0, (2000.0, 2000.0)),  # behind the last
    ],
)
def test_where_a_level_can_have_been_passed(k: float, bounds: tuple[float, float] | None) -> None:
    times = np.array([0.0, 10.0, 20.0, 30.0, 200.0, 210.0, 220.0])
    values = np.array([NAN, 300.0, 301.0, 302.0, 320.0, 321.0, NAN])
    e: Any = Made(times=times, gap=60.0)
    found = holes.crossing_between(e, values, 310.0, k)
    if bounds is not None:
        assert found == bounds
    else:
        assert found[0] == pytest.approx(30.0 + 8.0 / 3.0)
        assert found[1] == pytest.approx(200.0 - 10.0 / 3.0)


def test_a_hole_right_after_the_first_reading_is_one() -> None:
    e: Any = Made(times=np.array([0.0, 200.0]), gap=60.0)
    found = holes.crossing_between(e, np.array([300.0, 320.0]), 310.0, 100.0)
    assert found == pytest.approx((10.0 / 3.0, 200.0 - 10.0 / 3.0))


@pytest.mark.parametrize("lost", [150, 151, 152])
def test_a_thermocouple_lost_at_any_sample_of_a_hole_has_none(lost: int) -> None:
    temps = whole().temps.copy()
    temps[150:153, 1] = NAN
    working = np.ones(temps.shape, np.bool_)
    e = dataclasses.replace(whole(), temps=temps, gap=30.0, working=working)
    assert [x[:3] for x in holes.holes(e, 0.0, 11990.0)] == [("T2", 1490.0, 1530.0)]
    working[lost, 1] = False
    assert holes.holes(e, 0.0, 11990.0) == []


# the chart


@pytest.mark.parametrize(
    ("step", "count"),
    [
        (25.0, 1),  # two and a half usual steps
        (25.5, 2),
        (0.0, 1),  # two of one time
        (-0.5, 2),
    ],
)
def test_where_the_line_of_a_chart_is_broken(step: float, count: int) -> None:
    times = np.concatenate([np.arange(0.0, 101.0, 10.0), 100.0 + step + np.arange(0.0, 101.0, 10.0)])
    log = _log(times)
    assert len(report.thinned(log, log.channels[0], 1000).pieces) == count


# a leak test and what the log shows at its time


def test_what_the_log_shows_nearest_to_a_leak_test() -> None:
    vacuum = np.full(len(whole().times), 81e3)
    vacuum[14] = 78e3
    e = dataclasses.replace(whole(), vacuum=vacuum)
    job = JobTimes(datetime(2026, 11, 25, 7, 50), datetime(2026, 11, 25, 12))
    at = datetime(2026, 11, 25, 8, 2)

    def said(start: float) -> str:
        return rules_job.other_time(e, job, at, start, 81e3, 60.0)

    assert said(86e3) == ""  # five kilopascals are two gauges
    assert "the log shows 23.9 inHg" in said(86.1e3)
    assert "the leak test 25.4 inHg" in said(86.1e3)
    assert said(73e3) == ""
    assert "the log shows 23.0 inHg" in said(72.9e3)


@pytest.mark.parametrize(
    ("gap", "nearest", "seen"),
    [
        (60.0, 60.0, True),
        (60.0, 70.0, False),
        (10.0, 60.0, True),
        (200.0, 200.0, True),
        (200.0, 210.0, False),
    ],
)
def test_how_far_from_a_leak_test_a_reading_tells_of_it(gap: float, nearest: float, seen: bool) -> None:
    """A minute, or what counts as unbroken where that is longer."""
    vacuum = np.full(len(whole().times), NAN)
    vacuum[int((300.0 + nearest) / 10.0)] = 60e3
    e = dataclasses.replace(whole(), vacuum=vacuum, gap=gap)
    job = JobTimes(datetime(2026, 11, 25, 7, 50), datetime(2026, 11, 25, 12))
    told = rules_job.other_time(e, job, datetime(2026, 11, 25, 8, 5), 81e3, 81e3, 0.0)
    assert told.startswith("the log shows") is seen


@pytest.mark.parametrize(
    ("first", "last", "outcome"),
    [
        (540.0, 7260.0, YES),  # clocks on the wall are read to the minute
        (539.0, 7260.0, OPEN),
        (540.0, 7261.0, OPEN),
    ],
)
def test_a_log_lies_within_the_times_of_its_job(
    first: float, last: float, outcome: Outcome, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Vacuum on ten minutes after the log began, the bag opened after two hours."""
    monkeypatch.setattr(rules_job, "_warm", lambda log: (first, last))
    monkeypatch.setattr(rules_job, "_vacuum_outside", lambda e, job, begun: "")
    job = JobTimes(datetime(2026, 11, 25, 8, 10), datetime(2026, 11, 25, 10))
    book = blank()
    assert (rules_job.judge_job(book, whole(), job) is YES) is (outcome is YES)


# crossing a level


@pytest.mark.parametrize(
    ("values", "after", "found"),
    [
        ([380.0, 390.0, 390.0], 0.0, 5.0),
        ([380.0, 390.0, 390.0], 7.0, 7.0),  # it came there before
        ([NAN, 390.0, 390.0], 0.0, 10.0),  # no line is drawn from where nothing was read
        ([390.0, NAN, 395.0], 5.0, 20.0),
        ([390.0, 391.0, 392.0], 0.0, 0.0),
        ([390.0, 391.0, 392.0], 5.0, 10.0),  # of one that stood there before, the next reading
        ([380.0, 381.0, 382.0], 0.0, None),
    ],
)
def test_when_a_trace_is_first_at_a_level(values: list[float], after: float, found: float | None) -> None:
    times = np.array([0.0, 10.0, 20.0])
    told = spans.first_at(times, np.asarray(values), 385.0, after)
    assert told == (found if found is None else pytest.approx(found, abs=1e-3))


# where a cure stands


@pytest.mark.parametrize(
    ("start", "highest", "on"),
    [
        (100.0, 400.0, False),  # the way on begins with the last sample: it is in the dwell still
        (99.0, 400.0, True),
        (99.0, 395.0, False),  # at the top of the band it is in it
    ],
)
def test_a_cure_goes_on_from_a_dwell_once_it_was_left(start: float, highest: float, on: bool) -> None:
    dwell = Made(
        segment=Made(kind=SegmentKind.DWELL, band_low=limit(385.0), band_high=limit(395.0)),
        found=True,
        start=0.0,
    )
    ramp = Made(segment=Made(kind=SegmentKind.RAMP, band_low=None, band_high=None), found=False, start=start)
    e: Any = Made(times=np.array([0.0, 100.0]), highest=np.array([390.0, highest]))
    walked: Any = (dwell, ramp)
    assert watch._current(e, walked) is walked[on]


@pytest.mark.parametrize(
    ("times", "now", "left"),
    [
        ((0.0, 100.0, 200.0), 1100.0, 100.0),
        ((0.0, 100.0, 200.0), 1000.0, None),  # the heat is just on
        ((-100.0, 0.0, 200.0), 1100.0, None),  # the model stood there before its heat
        ((-100.0, 1.0, 201.0), 1100.0, 20000.0),
    ],
)
def test_a_model_tells_only_of_time_that_both_have_spent(
    times: tuple[float, ...], now: float, left: float | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(watch, "heat_start", lambda e: 1000.0)
    p = watch.Predicted(times, (300.0, 310.0, 400.0))
    e: Any = Made(times=np.array([900.0, now]), lowest=np.array([300.0, 310.0]))
    found = watch._by_model(e, p, 400.0)
    assert np.isnan(found) if left is None else found == left
