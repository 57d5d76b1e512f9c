"""Small reckonings of the judge at the ends of their ranges, each answer written by hand: what can have
happened in a hole, how a trace goes on, what is put back into order, what a gauge and a job show."""

from __future__ import annotations

import dataclasses
from datetime import datetime, timedelta
from types import SimpleNamespace as Made
from typing import Any

import numpy as np
import pytest

from judge_lines import limit, recipe
from judge_readings import book_of, dwell, shown, stretch
from judge_whole import NO, OPEN, YES
from panelmend.errors import InputError
from panelmend.plan.judge import (
    ChannelRole,
    SegmentKind,
    SensorRule,
    codes,
    evidence,
    fault,
    holes,
    judging,
    order,
    report,
    rules_dwell,
    rules_gauge,
    rules_job,
    rules_rate,
    rules_sensors,
    rules_vacuum,
    said,
    spans,
    verdict,
)
from panelmend.plan.judge.log import Channel, CureLog
from panelmend.plan.judge.recipe import LeakRule, RecipeSegment, VacuumRule
from panelmend.plan.judge.rules_job import JobTimes
from panelmend.plan.judge.rules_vacuum import LeakReading
from panelmend.plan.judge.spans import Span
from panelmend.plan.judge.verdict import Outcome
from panelmend.plan.judge.walk import Stretch

NAN = float("nan")
VACUUM = VacuumRule(limit(70e3))


def _log(times: Any, **more: Any) -> CureLog:
    at = np.asarray(times, float)
    couple = Channel("T1", ChannelRole.THERMOCOUPLE, "temperature", 300.0 + np.arange(at.size))
    return CureLog(at, (couple,), **more)


# what a hole can hide


@pytest.mark.parametrize(
    ("before", "after", "seconds", "most"),
    [
        (390.0, 390.0, 70.0, 420.0),  # 10 s up, 60 s down
        (390.0, 404.0, 70.0, 432.0),  # 14 s up, 56 s down
        (390.0, 390.0, 0.0, 390.0),
        (300.0, 390.0, 10.0, 390.0),  # faster than a part can follow
    ],
)
def test_the_most_that_a_hole_can_hide(before: float, after: float, seconds: float, most: float) -> None:
    """Up by 3 K/s with the blanket fully on, then down by half a kelvin a second with it off."""
    assert holes.peak(before, after, seconds) == pytest.approx(most)


@pytest.mark.parametrize(
    ("before", "after", "seconds", "least"),
    [
        (390.0, 390.0, 70.0, 360.0),  # 60 s down, 10 s up
        (390.0, 376.0, 70.0, 358.0),  # 64 s down, 6 s up
        (390.0, 390.0, 0.0, 390.0),
        (390.0, 300.0, 10.0, 300.0),
    ],
)
def test_the_least_that_a_hole_can_hide(before: float, after: float, seconds: float, least: float) -> None:
    assert holes.trough(before, after, seconds) == pytest.approx(least)


@pytest.mark.parametrize(("left", "known"), [(388.0, True), (387.9, False)])
def test_a_hole_in_which_the_foot_of_the_band_was_just_kept(
    left: float, known: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(holes, "trough", lambda before, after, seconds: min(before, after) - 3.0)
    e = shown([390.0, left, 390.0, 390.0], times=[0.0, 10.0, 100.0, 110.0])
    assert holes.slowest_at_least(e, 385.0)[1].tolist() == [True, known, True]


@pytest.mark.parametrize(("gap", "hole"), [(170.0, False), (169.0, True)])
def test_a_step_as_long_as_counts_as_unbroken_is_no_hole(gap: float, hole: bool) -> None:
    e: Any = Made(times=np.array([0.0, 30.0, 200.0, 210.0]), gap=gap)
    found = holes.crossing_between(e, np.array([300.0, 302.0, 320.0, 321.0]), 310.0, 100.0)
    assert (found != (100.0, 100.0)) is hole


def test_what_is_read_again_after_a_loss_counts_from_a_minute_on() -> None:
    """Thirty seconds, then two minutes: the first is none of it, to its last reading."""
    times = np.arange(30) * 10.0
    values = np.full(30, 300.0)
    values[[5, 6, 7]] = NAN
    values[20:] = NAN
    found = evidence._reads_again(times, values, 10.0)
    assert np.flatnonzero(found).tolist() == []  # 30 s and 110 s
    values[20:22] = 300.0
    found = evidence._reads_again(times, values, 10.0)
    assert np.flatnonzero(found).tolist() == list(range(8, 22))


def test_one_missing_reading_between_the_only_two() -> None:
    times = np.arange(3) * 10.0
    assert evidence._bridged(times, np.array([300.0, NAN, 310.0]), 25.0).tolist() == [300.0, 305.0, 310.0]


# how a trace goes on


def test_a_trace_between_readings_that_lie_apart() -> None:
    times = np.array([0.0, 10.0, 20.0])
    assert spans.trace_at(times, np.array([300.0, NAN, 320.0]), 5.0) == 305.0
    assert spans.trace_at(times, np.array([300.0, 340.0, 320.0]), 15.0) == 330.0


def test_a_part_of_a_stay_is_open_where_the_whole_is() -> None:
    whole = Span(0.0, 10.0, open_start=True, open_end=True)
    for start, end, first, last in (
        (0.0, 10.0, True, True),
        (1.0, 10.0, False, True),
        (0.0, 9.0, True, False),
    ):
        part = whole.within(start, end)
        assert (part.start, part.end, part.open_start, part.open_end) == (start, end, first, last)


def test_of_two_readings_of_one_time_the_first_counts_for_rates() -> None:
    times, values = np.array([0.0, 10.0, 10.0, 20.0, 30.0]), np.array([0.0, 1.0, 9.0, 2.0, 3.0])
    begins, rates, unseen = spans.window_rates(times, values, 0.0, 30.0, 10.0, 25.0)
    assert begins.tolist() == [0.0, 10.0, 20.0]
    assert rates == pytest.approx([0.1, 0.1, 0.1])
    assert unseen == 0.0


# what is put back into order


def test_stamps_that_repeat_are_no_log_turned_round() -> None:
    times = [60.0 * (i // 4) for i in range(40)]
    found = order.times_in_order(_log(times))
    assert (found.faults, found.sure) == ((), True)


def test_a_log_turned_round_is_said_once() -> None:
    """Of thirty-nine steps twenty-nine fall; the ten of no length are none of them."""
    times = [60.0 * (20 - i // 2) for i in range(20)] + [600.0 - 10.0 * i for i in range(1, 21)]
    found = order.times_in_order(_log(times))
    assert "times fall in 29 of 39 steps" in found.faults[0].finding.words


@pytest.mark.parametrize(
    ("back", "hour"), [(3590.0, True), (3595.0, True), (3596.0, False), (3585.0, True), (3584.0, False)]
)
def test_a_clock_that_is_set_back(back: float, hour: bool) -> None:
    """The next sample was due 10 s later: it is an hour behind, to half a step."""
    first = [10.0 * i for i in range(501)]
    times = [*first, *(5000.0 - back + 10.0 * i for i in range(100))]
    found = order.times_in_order(_log(times))
    (told,) = found.faults
    assert told.finding.code == codes.CLOCK_BACK.code
    assert ("an hour" in told.finding.words) is hour
    assert (told.time, told.until) == (5000.0 - back, 5000.0)


def test_a_clock_without_a_date_goes_on_past_midnight() -> None:
    assert _log([0.0, 10.0], started="T23:59:50").clock(20.0) == "00:00:10"


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(119.4, "119 s"), (120.0, "2 min"), (86340.0, "1439 min"), (86400.0, "24.0 h"), (129600.0, "36.0 h")],
)
def test_a_duration_in_words(seconds: float, words: str) -> None:
    assert fault.length(seconds) == words


@pytest.mark.parametrize(("view", "words"), [("mm", "10 K"), ("in", "18 F")])
def test_how_far_two_temperatures_lie_apart(view: str, words: str) -> None:
    with said.in_units(view):
        assert said.apart(10.0) == words


def test_a_rate_needs_a_window() -> None:
    assert RecipeSegment("up", SegmentKind.RAMP, 390.0, rate_window=0.001).rate_window == 0.001
    with pytest.raises(InputError, match="longer than nothing"):
        RecipeSegment("up", SegmentKind.RAMP, 390.0, rate_window=0.0)


def test_two_samples_are_a_log_and_one_is_none() -> None:
    with pytest.raises(InputError, match="fewer than two samples"):
        judging.judge(recipe(), _log([0.0]))
    assert judging.judge(recipe(), _log([0.0, 10.0])).outcome is not YES


# dwells and rates


def test_a_stay_that_a_hole_begins() -> None:
    """What lies before the first stay is not made part of it."""
    e = shown([390.0] * 30)
    s = stretch(dwell(dwell_least=limit(80.0)), 0.0, 100.0, Span(20.0, 100.0, open_start=True))
    assert rules_dwell._time(e, book_of(e), s) is YES
    s = stretch(dwell(dwell_least=limit(80.1)), 0.0, 100.0, Span(20.0, 100.0, open_start=True))
    assert rules_dwell._time(e, book_of(e), s) is NO


def test_how_long_a_cure_was_held_before_it_broke() -> None:
    e = shown([390.0] * 6 + [370.0] * 4 + [390.0] * 6 + [370.0] * 4 + [390.0] * 5)
    parts = (Span(0.0, 50.0), Span(100.0, 150.0), Span(200.0, 240.0))
    told = rules_dwell.interruptions(e, book_of(e), stretch(dwell(), 0.0, 240.0, *parts))
    assert [(x.start, x.end, x.held_before) for x in told] == [(50.0, 100.0, 50.0), (150.0, 200.0, 100.0)]


@pytest.mark.parametrize(("above", "outcome"), [(350.0, NO), (350.001, YES), (None, NO)])
def test_rates_count_from_a_temperature_on(above: float | None, outcome: Outcome) -> None:
    """By 5 K/s from 350 K to 400 K, and by 2 K/s from there on."""
    e = shown([300.0, 350.0, 400.0, 420.0, 440.0])
    ramp = RecipeSegment(
        "up", SegmentKind.RAMP, 440.0, rate_window=10.0, rate_most=limit(3.0), rate_above=above
    )
    found = rules_rate._fastest(e, book_of(e), ramp, "T1", e.temps[:, 0], 0.0, 40.0, rising=True)
    assert found is outcome


def test_no_rise_at_all_has_no_mean_rate(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rules_rate, "first_at", lambda times, values, level, start: 20.0)
    e = shown([300.0, 300.0, 305.0, 305.0, 305.0])
    ramp = RecipeSegment("up", SegmentKind.RAMP, 305.0, rate_least=limit(0.1))
    s = Stretch(ramp, 0.0, 40.0, (("T1", 40.0),), (), True, 305.0)
    book = book_of(e)
    assert rules_rate._mean_up(e, book, s, "T1", e.temps[:, 0], 40.0) is YES
    assert book.reasons == []


# thermocouples and the degree of cure


@pytest.mark.parametrize(("lost", "outcome"), [(0, YES), (1, YES), (2, NO)])
def test_how_many_thermocouples_may_be_lost(lost: int, outcome: Outcome) -> None:
    e = shown([390.0] * 20, [390.0] * 20, [390.0] * 20)
    e = dataclasses.replace(e, lost_at=(("T1", 150.0), ("T2", 160.0))[:lost])
    cycle = dataclasses.replace(recipe(), sensors=SensorRule(1, "table 1", may_fail=1))
    book = book_of(e)
    found = rules_sensors.judge_sensors(e, book, cycle, (stretch(dwell(), 0.0, 190.0),))
    assert found is outcome
    named = ("0 lost", "1 lost (T1)", "2 lost (T1, T2)")[lost]
    assert book.reasons[1].words == f"{named}, most 1"


def test_of_two_that_cured_alike_the_first_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    degrees = iter([0.95, 0.94, 0.94])
    monkeypatch.setattr(rules_sensors, "integrate", lambda law, t, v, start: Made(degree=[next(degrees)]))
    e = shown(*[[390.0] * 5] * 3)
    assert rules_sensors.cure_of_slowest(e, Made(law=None, start=0.0)) == ("T2", 0.94)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("degree", "told"), [(0.95, 0.95), (0.9999, 0.999), (1.0, 0.999), (0.9009, 0.9), (0.0, 0.0)]
)
def test_a_degree_of_cure_is_shown_rounded_down(degree: float, told: float) -> None:
    assert verdict.cured(degree) == told


@pytest.mark.parametrize(
    ("value", "unsure", "outcome"),
    [(3610.0, 10.0, YES), (3609.9, 10.0, OPEN), (3600.0, 0.0, YES), (3600.0, 1.0, OPEN), (3590.0, 10.0, NO)],
)
def test_a_time_of_coarse_stamps_against_its_least(value: float, unsure: float, outcome: Outcome) -> None:
    book = book_of(shown([390.0] * 3))
    found = book.measure("it", value, limit(3600.0), "time", codes.DWELL_SHORT, most=False, unsure=unsure)
    assert found is outcome


# vacuum


@pytest.mark.parametrize(("value", "outcome"), [(70e3, YES), (69.999e3, NO)])
def test_the_least_vacuum_itself_is_enough(value: float, outcome: Outcome) -> None:
    vacuum = np.full(10, 80e3)
    vacuum[5] = value
    e = shown([390.0] * 10, vacuum=vacuum)
    book = book_of(e)
    assert rules_vacuum._level(e, book, recipe(vacuum=VACUUM), np.ones(10, np.bool_)) is outcome
    if outcome is YES:  # no more digits than it takes
        assert book.reasons[0].words == "vacuum: 20.7 inHg below ambient, least 20.7 inHg"
    else:
        assert book.reasons[0].words.startswith("vacuum: 20.6707 inHg below ambient, least 20.6710 inHg")


@pytest.mark.parametrize(
    ("start", "end", "outcome"),
    [
        (101e3, 100e3, YES),  # a kilopascal more than the air is two gauges
        (101.001e3, 100e3, OPEN),
        (80e3, 80e3, YES),  # it lost nothing
        (80e3, 80.001e3, OPEN),
        (70e3, 69e3, YES),
        (69.999e3, 69e3, OPEN),
    ],
)
def test_readings_that_can_be_a_leak_test(start: float, end: float, outcome: Outcome) -> None:
    e = shown([390.0] * 5)
    e = dataclasses.replace(e, log=dataclasses.replace(e.log, ambient=100e3))
    reading = LeakReading(start, end, 300.0)
    found = rules_vacuum.judge_leak(e, book_of(e), LeakRule(limit(3e3), 300.0), VACUUM, reading, None)
    assert found is outcome


def test_a_leak_test_that_is_taken_from_the_log() -> None:
    e = shown([300.0] * 21, vacuum=80e3 - 10.0 * np.arange(21))
    found = rules_vacuum._from_log(e, LeakRule(limit(3e3), 120.0), 40.0)
    assert found == LeakReading(80e3 - 40.0, 80e3 - 160.0, 120.0)
    late = rules_vacuum._from_log(e, LeakRule(limit(3e3), 120.0), 140.0)
    assert late == LeakReading(80e3 - 140.0, 80e3 - 200.0, 60.0)


@pytest.mark.parametrize(
    ("values", "told"),
    [
        ([80e3, 80e3, 40e3, 40e3], True),  # half of the highest, twice
        ([80e3, 80e3, 80e3, 40e3], False),  # one alone may be a loose contact
        ([80e3, 80e3, 40.001e3, 40e3], False),
        ([0.0, 0.0, 0.0, 0.0], False),  # it never showed a vacuum
        ([NAN, 80e3, 0.0, 0.0], True),
    ],
)
def test_a_gauge_that_shows_the_open_bag(values: list[float], told: bool) -> None:
    gauge = Channel("VAC", ChannelRole.VACUUM, "pressure", np.array(values))
    assert rules_gauge.shows_open_bag(gauge) is told


# the job


def test_how_far_from_the_heat_the_times_of_a_job_may_lie() -> None:
    """A night and a day."""
    day, on = timedelta(hours=24), datetime(2026, 11, 25, 8)
    second = timedelta(seconds=1)
    job = JobTimes(on, on + timedelta(days=3))
    assert rules_job._too_wide(job, on + day, on + timedelta(days=2)) == ""
    assert "vacuum on before the heat" in rules_job._too_wide(job, on + day + second, on + timedelta(days=2))
    assert "bag opened after the heat" in rules_job._too_wide(job, on + day, on + timedelta(days=2) - second)


@pytest.mark.parametrize(
    ("at", "over", "told"),
    [
        (-60, 0, ""),  # clocks on the wall are read to the minute
        (-61, 0, "before the vacuum of this bag"),
        (3600, 7260, ""),
        (3600, 7261, "after the bag was opened"),
    ],
)
def test_a_leak_test_within_the_times_of_a_job(at: int, over: int, told: str) -> None:
    on = datetime(2026, 11, 25, 8)
    job = JobTimes(on, on + timedelta(hours=2))
    e: Any = Made(log=Made(started=""))
    found = rules_job.other_time(e, job, on + timedelta(seconds=at), 80e3, 79e3, over - at)
    assert told in found if told else found == ""


def test_from_when_to_when_a_log_is_warm() -> None:
    """From the first rise by more than 5 K to the last time above half of the rise."""
    values = [300.0, 305.0, 305.1, 350.0, 400.0, 360.0, 350.1, 350.0, 340.0]
    assert rules_job._warm(shown(values).log) == (20.0, 60.0)


# the report


@pytest.mark.parametrize(("stood", "told"), [(180.0, False), (181.0, True)])
def test_how_long_a_logger_can_stop_unseen(stood: float, told: bool) -> None:
    of: Any = Made(reasons=(), stood=stood, lost_sensors=(), stood_alone=(), unread=())
    lines = [x for x in report.not_judged(recipe(), of) if "a logger that stops for 3 min or less" in x]
    assert [("they stood as long in this log" in x) for x in lines] == [told]


def test_a_chart_keeps_about_as_many_points_as_are_asked_for() -> None:
    values = 300.0 + np.sin(np.arange(100.0))
    values[37] = 350.0
    log = CureLog(np.arange(100.0), (Channel("T1", ChannelRole.THERMOCOUPLE, "temperature", values),))
    (piece,) = report.thinned(log, log.channels[0], 10).pieces
    assert len(piece.times) <= 12  # a least and a most of five slices, and both ends
    assert 350.0 in piece.values
    assert (piece.times[0], piece.times[-1]) == (0.0, 99.0)
