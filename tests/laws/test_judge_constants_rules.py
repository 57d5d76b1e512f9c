"""Every number of rules, spans and holes from both sides."""

from __future__ import annotations

import dataclasses
import math
from datetime import datetime, timedelta
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from judge_lines import DOWN, HELD, START, UP, limit, made, recipe
from made_curelog import INHG, Made
from panelmend.plan.judge import (
    LeakReading,
    LeakRule,
    Outcome,
    VacuumRule,
    doubt,
    holes,
    judge,
    look,
    rules_heats,
    rules_job,
    rules_vacuum,
    spans,
    standing,
)
from panelmend.plan.judge import codes as c
from panelmend.plan.judge import evidence as ev
from panelmend.plan.judge import watch as w
from panelmend.plan.judge.evidence import gather
from panelmend.plan.judge.recipe import CureRecipe, RecipeSegment, SegmentKind
from panelmend.plan.judge.rules_job import JobTimes
from panelmend.plan.judge.walk import Stretch, heat_start

Array = NDArray[np.float64]
BEGUN = datetime(2026, 11, 25, 8)
CONFORMS, UNKNOWN, DOES_NOT = Outcome.CONFORMS, Outcome.UNKNOWN, Outcome.DOES_NOT


def rule(r: CureRecipe, m: Made, name: str, **more: Any) -> Outcome:
    """The worst outcome of the rules of a name."""
    found = [x.outcome for x in judge(r, m.log(), **more).reasons if x.rule.startswith(name)]
    return UNKNOWN if UNKNOWN in found else DOES_NOT if DOES_NOT in found else found[0]


# --- evidence and spans ---


def test_heat_is_on_from_5_kelvin() -> None:
    for by, start in ((5.2, 2990.0), (4.8, 11990.0)):
        m = made()
        m.temps = (
            START
            + np.where(m.times >= 3000.0, by, 0.0)[:, None]
            + 1e-4 * np.sin(m.times)[:, None] * [1, 2, 3, 4]
        )
        assert heat_start(gather(m.log())) == start


def test_readings_that_are_missing_are_bridged_within_a_gap() -> None:
    t = np.arange(20) * 10.0
    v = 300.0 + t
    for missing, gap, known in (
        (slice(5, 10), 60.0, True),
        (slice(5, 10), 59.0, False),
        (slice(0, 3), 60.0, False),
        (slice(17, 20), 60.0, False),
    ):
        w_ = v.copy()
        w_[missing] = np.nan
        out = ev.joined_by_lines(t, w_, gap)
        assert bool(np.isfinite(out[missing]).all()) is known
        if known:
            assert out == pytest.approx(v)
    two = np.full(20, np.nan)
    two[[3, 5]] = 1.0, 3.0
    assert ev.joined_by_lines(t, two, 60.0)[4] == pytest.approx(2.0)
    two[5] = np.nan
    assert np.isnan(ev.joined_by_lines(t, two, 60.0)[4])


def test_spans_lie_between_the_crossings_of_straight_lines() -> None:
    t = np.array([0.0, 10.0, 20.0, 30.0, 40.0, 50.0])
    v = np.array([0.0, 2.0, 2.0, 0.0, 3.0, 3.0])
    known = np.ones(5, np.bool_)
    assert [(s.start, s.end, s.open_start, s.open_end) for s in spans.spans_above(t, v, 1.0, known)] == [
        (pytest.approx(5.0, abs=1e-3), pytest.approx(25.0, abs=1e-3), False, False),
        (pytest.approx(30.0 + 10.0 / 3, abs=1e-3), 50.0, False, False),
    ]
    known[1] = False
    cut = spans.spans_above(t, v, 1.0, known)
    assert [(round(s.start), round(s.end), s.open_start, s.open_end) for s in cut] == [
        (5, 10, False, True),
        (20, 25, True, False),
        (33, 50, False, False),
    ]
    v[1] = np.nan
    (first, _) = spans.spans_above(t, v, 1.0, np.ones(5, np.bool_))
    assert (round(first.start), first.open_start) == (20, True)
    assert spans.first_at(t, np.array([0.0, 2, 2, 0, 3, 3]), 1.0, 8.0) == 8.0
    assert spans.first_at(t, np.array([0.0, 2, 2, 0, 3, 3]), 1.0, 22.0) == pytest.approx(
        30.0 + 10.0 / 3, abs=1e-3
    )
    assert spans.first_at(t, np.array([3.0, 2, 2, 0, 0, 0]), 1.0, 0.0, falling=True) == pytest.approx(
        25.0, abs=1e-3
    )
    assert spans.first_at(t, np.zeros(6), 1.0, 0.0) is None
    assert spans.last_up(t, np.array([0.0, 2, 2, 0, 3, 3]), 1.0, 0.0, 50.0) == pytest.approx(30.0 + 10.0 / 3)
    assert spans.last_up(t, np.array([0.0, 2, 2, 0, 3, 3]), 1.0, 0.0, 30.0) == pytest.approx(5.0)
    assert spans.last_up(t, np.array([3.0, 2, 2, 0, 0, 0]), 1.0, 0.0, 50.0) is None


def test_rates_slide_over_a_window_and_say_what_they_could_not_see() -> None:
    t = np.arange(0.0, 100.0, 10.0)
    v = np.where(t <= 50.0, t, 50.0 + 3 * (t - 50.0))
    begins, rates, unseen = spans.window_rates(t, v, 0.0, 90.0, 20.0, 25.0)
    assert rates.max() == pytest.approx(3.0)
    assert begins[int(np.argmax(rates))] == 50.0
    assert unseen == 0.0
    assert spans.window_rates(t, v, 0.0, 90.0, 500.0, 25.0)[1] == pytest.approx([170.0 / 90.0])
    hole = np.delete(np.arange(t.size), [4, 5, 6])
    for window, gap, seen in ((20.0, 25.0, 40.0), (20.0, 45.0, 0.0), (45.0, 25.0, 0.0)):
        assert spans.window_rates(t[hole], v[hole], 0.0, 90.0, window, gap)[2] == seen
    twice = np.sort(np.append(t, 30.0))
    assert np.isfinite(spans.window_rates(twice, np.interp(twice, t, v), 0.0, 90.0, 20.0, 25.0)[1]).all()
    one = spans.window_rates(t[:1], v[:1], 0.0, 90.0, 20.0, 25.0)
    assert one[0].size == 0
    assert one[2] == 90.0
    odd = spans.window_rates(t, v, 0.0, 90.0, 25.0, 25.0)[1]
    assert odd[-1] == pytest.approx((v[-1] - np.interp(65.0, t, v)) / 25.0)


def test_what_may_have_happened_in_a_hole() -> None:
    """Up at 3 K/s and down at half a kelvin a second, worked by hand."""
    assert holes.peak(300.0, 300.0, 70.0) == pytest.approx(300.0 + 3.0 * 10.0)  # 10 s up, 60 s down
    assert holes.trough(300.0, 300.0, 70.0) == pytest.approx(300.0 - 0.5 * 60.0)
    assert holes.peak(300.0, 320.0, 70.0) == pytest.approx(300.0 + 3.0 * (55.0 / 3.5))
    assert holes.peak(300.0, 400.0, 10.0) == 400.0
    assert holes.trough(400.0, 300.0, 10.0) == 300.0


# --- doubt ---


def hidden(shift: float, low: float = 0.0, high: float = 0.0, *, top: float | None = 395.0) -> bool:
    t = np.arange(0.0, 1000.0, 10.0)
    v = np.full(t.size, 390.0) + shift
    v[50] += low
    v[60] += high
    v[0] -= 50.0
    segment = RecipeSegment("hold", SegmentKind.DWELL, 390.0, band_low=limit(385.0), dwell_least=limit(60.0))
    segment = dataclasses.replace(segment, band_high=None if top is None else limit(top))
    stretch = Stretch(segment, 0.0, 990.0, (), (spans.Span(100.0, 450.0), spans.Span(480.0, 900.0)), True)
    e = SimpleNamespace(times=t, log=SimpleNamespace(channel=lambda _: SimpleNamespace(values=v)))
    fault: Any = SimpleNamespace(channel="T1", shift=shift)
    return doubt._hidden(e, fault, (stretch,))  # type: ignore[arg-type]


def test_an_offset_taken_off_leaves_the_band_by_half_a_kelvin() -> None:
    assert [hidden(7.0, low=-x) for x in (5.53, 5.47)] == [True, False]
    assert [hidden(7.0, high=x) for x in (5.53, 5.47)] == [True, False]
    assert not hidden(7.0, high=90.0, top=None)
    assert not hidden(0.0, low=-90.0), "no offset was told"


# --- the job ---


def test_one_heat_is_30_kelvin_and_comes_back_by_half() -> None:
    def begins(*corners: float) -> int:
        t = np.arange(len(corners)) * 100.0
        fine = np.arange(0.0, t[-1] + 1.0, 10.0)
        return len(rules_heats._begins(fine, np.interp(fine, t, corners)))

    assert [begins(300, 300 + x) for x in (30.5, 29.5)] == [1, 0]
    assert [begins(300, 400, 400 - x, 480) for x in (51.0, 49.0)] == [2, 1]
    assert begins(300, 400, 340, 371) == 2
    assert begins(300, 400, 340, 369) == 1
    assert begins(310, 300, 331) == 1, "from the lowest on"


def job_outcome(on: timedelta, opened: timedelta, m: Made | None = None) -> tuple[Outcome, str]:
    m = m or made()
    (r,) = [
        x
        for x in judge(recipe(), m.log(), job=JobTimes(BEGUN + on, BEGUN + opened)).reasons
        if x.rule == "log of this job"
    ]
    return r.outcome, r.words


WARM = timedelta(seconds=730)
COOLED = timedelta(seconds=600.0 + 90.0 / UP + HELD + 45.0 / DOWN - 0.1)  # half of the rise is gone


def test_times_of_the_job_hold_the_heat_to_the_minute_and_within_a_day() -> None:
    minute, day = timedelta(minutes=1), timedelta(hours=24)
    small = timedelta(seconds=12)
    long = COOLED + timedelta(hours=2)
    no_vacuum = made()
    no_vacuum.vacuum[:] = np.nan
    assert [job_outcome(WARM + minute + x, long, no_vacuum)[0] for x in (-small, small)] == [
        CONFORMS,
        UNKNOWN,
    ]
    assert [job_outcome(timedelta(0), COOLED - minute + x, no_vacuum)[0] for x in (small, -small)] == [
        CONFORMS,
        UNKNOWN,
    ]
    assert [job_outcome(WARM - day + x, long, no_vacuum)[0] for x in (small, -small)] == [CONFORMS, UNKNOWN]
    assert [job_outcome(timedelta(0), COOLED + day + x, no_vacuum)[0] for x in (-small, small)] == [
        CONFORMS,
        UNKNOWN,
    ]


def test_the_log_shows_no_vacuum_outside_of_the_job() -> None:
    five = timedelta(minutes=5)
    m = made()
    m.vacuum[m.times < 500.0] = 0.0
    for by, ok in ((-12, CONFORMS), (12, UNKNOWN)):
        assert job_outcome(timedelta(seconds=500 + by) + five, COOLED + timedelta(hours=2), m)[0] is ok
    for share, ok in ((0.47, CONFORMS), (0.53, UNKNOWN)):  # half of the highest is a vacuum
        weak = made()
        weak.vacuum[weak.times < 390.0] = share * weak.vacuum.max()
        assert job_outcome(timedelta(seconds=600), COOLED + timedelta(hours=2), weak)[0] is ok
    long = made()
    long.vacuum[:] = 24 * INHG + 5.0 * np.sin(long.times / 9.0)
    end = timedelta(seconds=float(long.times[-1]))
    assert [job_outcome(timedelta(0), end - five + timedelta(seconds=x), long)[0] for x in (12, -12)] == [
        CONFORMS,
        UNKNOWN,
    ]


def test_the_heat_ends_where_the_last_stands_above_half_of_its_rise() -> None:
    m = made()
    first, last = rules_job._warm(m.log())
    assert first == 730.0
    assert last == pytest.approx(COOLED.total_seconds(), abs=20.0)
    flat = made()
    flat.temps[:] = START + np.where(flat.times > 3000.0, 4.8, 0.0)[:, None]
    assert rules_job._warm(flat.log()) == (0.0, flat.times[-1])
    flat.temps[:] = START + np.where(flat.times > 3000.0, 5.2, 0.0)[:, None]
    assert rules_job._warm(flat.log()) == (3010.0, flat.times[-1])


LEAKY = recipe(vacuum=VacuumRule(limit(22 * INHG)), leak=LeakRule(limit(INHG), 60.0))


def leak(at: timedelta, *, on: timedelta = timedelta(0)) -> Outcome:
    reading = LeakReading(24.0 * INHG, 23.5 * INHG, 60.0, at=BEGUN + at)
    return _leak(made(), reading, on, timedelta(hours=6))


def _leak(m: Made, reading: LeakReading, on: timedelta, opened: timedelta) -> Outcome:
    reasons = judge(LEAKY, m.log(), leak=reading, job=JobTimes(BEGUN + on, BEGUN + opened)).reasons
    return next(r.outcome for r in reasons if "leak test" in r.rule)


def test_a_leak_test_is_made_between_vacuum_on_and_the_heat_to_the_minute() -> None:
    small, minute = timedelta(seconds=5), timedelta(minutes=1)
    on = timedelta(seconds=300)
    assert [leak(on - minute + x, on=on) for x in (small, -small)] == [CONFORMS, UNKNOWN]
    assert [leak(WARM - minute + minute + x) for x in (-small, small)] == [
        CONFORMS,
        UNKNOWN,
    ]  # over a minute later


def test_a_leak_test_is_that_of_the_log_within_5_kilopascal_and_a_minute() -> None:
    top = 24.0 * INHG
    for off, ok in ((4.9e3, CONFORMS), (5.1e3, UNKNOWN)):
        m = made()
        m.vacuum[m.times <= 600.0] = top - off
        reading = LeakReading(top, top, 60.0, at=BEGUN + timedelta(seconds=300))
        assert _leak(m, reading, timedelta(0), timedelta(hours=6)) is ok
    for far, ok in ((55.0, CONFORMS), (75.0, UNKNOWN)):  # the log shows it within a minute of the test
        m = made()
        m.vacuum[m.times < 300.0 + far] = 10e3
        reading = LeakReading(top, top, 60.0, at=BEGUN + timedelta(seconds=300))
        assert _leak(m, reading, timedelta(0), timedelta(hours=6)) is ok


def test_a_leak_test_from_the_log_begins_no_earlier_than_a_gap_before_it() -> None:
    e = gather(made().log())
    lk = LEAKY.leak
    assert lk is not None
    assert rules_vacuum._from_log(e, lk, -55.0) is not None
    assert rules_vacuum._from_log(e, lk, -65.0) is None
    made_ = rules_vacuum._from_log(e, lk, 100.0)
    assert made_ is not None
    assert made_.seconds == 60.0


def test_a_leak_test_from_more_than_the_air_can_give_is_none() -> None:
    m = made()
    for over, ok in ((0.9e3, CONFORMS), (1.1e3, UNKNOWN)):
        reading = LeakReading(95e3 + over, 95e3 + over, 60.0)
        log = dataclasses.replace(m.log(), ambient=95e3)
        reasons = judge(LEAKY, log, leak=reading).reasons
        assert next(r.outcome for r in reasons if "leak test" in r.rule) is ok


def test_vacuum_is_released_where_it_falls_below_half_of_the_least_for_good() -> None:
    r = recipe(vacuum=VacuumRule(limit(22 * INHG)), release_most=limit(325.0))
    for share, ok in ((0.47, DOES_NOT), (0.53, CONFORMS)):
        m = made()
        going = m.times > 600.0 + 90.0 / UP + HELD + 1500.0
        m.vacuum = np.where(going, np.where(m.temps[:, 0] > 324.0, share * 22 * INHG, 0.0), m.vacuum)
        assert rule(r, m, "hottest when vacuum is released") is ok


# --- the watch ---


def test_what_fell_or_did_not_follow_is_told_at_10_and_at_20_kelvin() -> None:
    m = made()
    m.temps[:] = START + 1e-4 * np.sin(m.times / 7.0)[:, None] + 0.3 * np.arange(4)
    for asked, told in ((20.8, True), (19.5, False)):
        m.set_point = np.where(m.times < 600.0, START + 0.4, START + 0.45 + asked)
        rows = m.times <= 1700.0
        part = Made(m.times[rows], m.temps[rows], m.vacuum[rows], m.set_point[rows], m.names)
        alarms = {a.finding.code for a in look(recipe(), part.log()).alarms}
        assert (c.UNANSWERED.code in alarms) is told
    for rise, told in ((4.8, True), (5.2, False)):
        n = made()
        n.temps[:] = m.temps + np.where(n.times > 900.0, rise, 0.0)[:, None] * [1, 0, 0, 0]
        n.set_point = np.where(n.times < 600.0, START, START + 60.0)
        rows = n.times <= 1700.0
        part = Made(n.times[rows], n.temps[rows], n.vacuum[rows], n.set_point[rows], n.names)
        alarms = {a.finding.code for a in look(recipe(), part.log()).alarms}
        assert (c.UNANSWERED.code in alarms) is told


def test_the_newest_reading_of_the_screen_is_one_of_the_newest_three() -> None:
    assert standing._newest(np.array([1.0, 2.0, math.nan, math.nan])) == 1
    assert standing._newest(np.array([1.0, math.nan, math.nan, math.nan])) is None
    assert standing._first(np.array([math.nan, 1.0, 1.0, 5.0, 5.0, 5.0])) == 5.0
    assert standing._first(np.array([1.0, 1.0, 1.0, 5.0, 5.0, 5.0])) == 1.0


def test_time_left_is_at_the_rate_of_five_minutes_and_of_a_part_that_moves() -> None:
    t = np.arange(0.0, 1000.0, 10.0)
    r = recipe()
    segment = r.segments[0]
    e: Any = SimpleNamespace(times=t, lowest=300.0 + 0.02 * t, highest=300.0 + 0.02 * t)
    for rate, known in ((0.00525, True), (0.00475, False)):
        left, _ = w._left(e, segment, r, 0.0, rate)
        assert math.isfinite(left) is known
        if known:
            assert left == pytest.approx((385.0 - e.lowest[-1]) / rate)
    cool = RecipeSegment("down", SegmentKind.COOL, 310.0)
    for fall, known in ((0.00525, True), (0.00475, False)):
        e.highest = 350.0 - fall * t
        left, _ = w._left(e, cool, r, 0.0, 0.0)
        assert math.isfinite(left) is known
    e.highest = 350.0 - 0.01 * np.maximum(t, 690.0)
    left, _ = w._left(e, cool, r, 0.0, 0.0)
    assert left == pytest.approx((e.highest[-1] - 310.0) / 0.01, rel=0.02), "the last five minutes"


def test_a_model_tells_the_time_left_stretched_by_how_late_the_part_is() -> None:
    m = made()
    rows = m.times <= 1720.0
    part = Made(m.times[rows], m.temps[rows], m.vacuum[rows], m.set_point[rows], m.names)
    e = gather(part.log(), live=True)
    times = tuple(np.arange(0.0, 3000.0, 10.0))
    model = w.Predicted(times, tuple(300.0 + 0.08 * np.asarray(times)))  # twice as fast
    low = e.lowest[-1]
    here = float(times[int(np.searchsorted(model.temps, low))])
    there = float(times[int(np.searchsorted(model.temps, 385.0))])
    spent = 1720.0 - heat_start(e)
    assert w._by_model(e, model, 385.0) == pytest.approx((there - here) * spent / here)
    barely = w.Predicted(times, tuple(low - 4.9 + 0.08 * np.asarray(times)))
    assert math.isnan(w._by_model(e, barely, 385.0)), "5 K into its rise"
    begun = w.Predicted(times, tuple(low - 5.2 + 0.08 * np.asarray(times)))
    assert math.isfinite(w._by_model(e, begun, 385.0))
