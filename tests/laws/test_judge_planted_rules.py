"""Numbers and comparisons of the rules, each from both sides, that a sweep of the judge changed unnoticed."""

from __future__ import annotations

import dataclasses
import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from judge_lines import limit, made, recipe
from panelmend.errors import InputError
from panelmend.plan.judge import (
    Channel,
    ChannelRole,
    CureLog,
    LeakReading,
    Outcome,
    SensorRule,
    VacuumRule,
    codes,
    judge,
    rules_heats,
    rules_rate,
)
from panelmend.plan.judge.evidence import Evidence, gather
from panelmend.plan.judge.fault import fault
from panelmend.plan.judge.judging import _made, _near, _program
from panelmend.plan.judge.recipe import LeakRule
from panelmend.plan.judge.rule_names import RuleName
from panelmend.plan.judge.rules_dwell import _possible, _time, interruptions
from panelmend.plan.judge.rules_gauge import judge_sense, shows_open_bag
from panelmend.plan.judge.rules_heats import heats, judge_heats, judge_joint
from panelmend.plan.judge.rules_job import _whose_clock
from panelmend.plan.judge.rules_release import ends_released
from panelmend.plan.judge.rules_sensors import _history, judge_sensors
from panelmend.plan.judge.rules_vacuum import _from_log, _level, judge_leak
from panelmend.plan.judge.spans import Span, spans_above, window_rates
from panelmend.plan.judge.verdict import VerdictRecorder
from panelmend.plan.judge.walk import Stretch, _first, counted_time

LOG = made().log()
E = gather(LOG)
UP, HOLD, DOWN = recipe().segments
GOOD, BAD, OPEN = Outcome.CONFORMS, Outcome.DOES_NOT, Outcome.UNKNOWN
NAN = math.nan


def held(*spans: tuple[float, float], end: float = 5000.0) -> Stretch:
    return Stretch(HOLD, 0.0, end, (), tuple(Span(a, b) for a, b in spans), True)


def test_a_dwell_that_the_log_cuts_off_cannot_be_judged() -> None:
    """3,600 s are asked."""
    for until, last, said in ((4000.0, 4000.0, GOOD), (3000.0, 3000.0, OPEN), (3000.0, 5000.0, BAD)):
        times, lowest = np.array([0.0, last]), np.full(2, 390.0)
        e: Any = SimpleNamespace(times=times, lowest=lowest, blur=0.0, gap=1e9, log=LOG, lost_at=())
        assert _time(e, VerdictRecorder(LOG), held((0.001, until))) is said


def test_no_span_is_no_time() -> None:
    e: Any = SimpleNamespace(times=np.zeros(0), lowest=np.zeros(0), gap=25.0)
    assert _possible(e, held()) == counted_time((), HOLD) == 0.0


def dips(*of: tuple[float, float]) -> list[str]:
    """What is said of dips below 385 K, each so deep [K] and so long [s]."""
    t = np.arange(0.0, 400.0 * (len(of) + 1))
    low, spans, begin = np.full(t.size, 386.0), [], 0.0
    for k, (deep, long) in enumerate(of):
        at = 400.0 * (k + 1)
        low[(t > at) & (t < at + long)] = 385.0 - deep
        spans.append((begin, at))
        begin = at + long
    e: Any = SimpleNamespace(times=t, lowest=low, vacuum=np.full(t.size, NAN), slowest_at=lambda _: "T1")
    book = VerdictRecorder(LOG)
    interruptions(e, book, held(*spans, (begin, float(t[-1])), end=float(t[-1])))
    return [f.words for f in book.findings]


def test_noise_at_the_edge_of_the_band_is_no_dip() -> None:
    """Less than a kelvin for less than a minute."""
    told = [len(dips((deep, long))) for deep, long in ((0.9, 59.0), (0.9, 61.0), (1.1, 59.0))]
    assert told == [0, 1, 1]


def test_more_than_eight_dips_are_counted() -> None:
    for count, said in ((1, False), (8, False), (9, True)):
        words = " ".join(dips(*[(2.0, 100.0)] * count))
        assert ("times in all" in words) is said
        assert (f"{count} times in all" in words) is said


def fastest(
    times: Any,
    values: Any,
    start: float,
    end: float,
    *,
    gap: float,
    window: float = 300.0,
    back: float = 0.0,
    most: float = 1.0,
) -> Outcome:
    e: Any = SimpleNamespace(times=np.asarray(times, float), gap=gap, log=SimpleNamespace(set_back=back))
    up = dataclasses.replace(UP, rate_most=limit(most), rate_window=window)
    return rules_rate._fastest(
        e, VerdictRecorder(LOG), up, "T1", np.asarray(values, float), start, end, rising=True
    )


@pytest.mark.parametrize(
    ("most", "back", "said"),
    [
        (0.0626, 60.0, GOOD),  # 0.05 K/s over 300 s: 15 K, in 240 s 0.0625 K/s
        (0.0624, 60.0, OPEN),
        (0.0624, 0.0, GOOD),
        (0.049, 60.0, BAD),  # as the samples are timed it is too fast already
    ],
)
def test_a_rate_is_left_open_by_what_a_clock_was_set_back(most: float, back: float, said: Outcome) -> None:
    """Samples that went by in less time than they are given rose faster."""
    t = 10.0 * np.arange(60)
    assert fastest(t, 300.0 + 0.05 * t, 0.0, 590.0, gap=30.0, back=back, most=most) is said


def test_a_rate_that_nobody_read_is_none_within_two_gaps() -> None:
    t = 10.0 * np.arange(20)
    none = np.full(20, NAN)
    assert [fastest(t, none, 0.0, x, gap=30.0) for x in (59.0, 61.0)] == [GOOD, OPEN]


def test_a_hole_longer_than_the_window_hides_a_rate() -> None:
    for scale in (1.0, 1e-3):
        for hole, said in ((250.0, GOOD), (400.0, OPEN)):
            t = scale * np.concatenate([10.0 * np.arange(60), 590.0 + hole + 10.0 * np.arange(60)])
            got = fastest(t, np.full(120, 300.0), 0.0, float(t[-1]), gap=20.0 * scale, window=300.0 * scale)
            assert got is said


def test_a_mean_rate_needs_a_second(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rules_rate, "crossing_between", lambda e, v, level, at, **_: (at, at))
    up = dataclasses.replace(UP, rate_least=limit(1000.0))
    for took, said in ((0.95, GOOD), (1.05, BAD)):
        t = np.array([0.0, 10.0, 10.0 + took])
        e: Any = SimpleNamespace(times=t, index_at=lambda _: 0, checked=SimpleNamespace(faults=()))
        s = Stretch(up, 0.0, 20.0, (), (), True)
        values = np.array([300.0, 305.0, 390.0])
        assert rules_rate._mean_up(e, VerdictRecorder(LOG), s, "T1", values, 10.0 + took) is said


def test_a_mean_fall_counts_the_seconds_it_took(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rules_rate, "crossing_between", lambda e, v, level, at, **_: (at, at))
    down = dataclasses.replace(DOWN, rate_least=limit(70.0))
    temps = np.array([[390.0], [315.0]])
    e: Any = SimpleNamespace(times=np.array([0.0, 1.0]), temps=temps, names=("T1",))
    e.checked = SimpleNamespace(faults=())
    s = Stretch(down, 0.0, 1.0, (("T1", 1.0),), (), True)
    assert rules_rate.judge_cool(e, VerdictRecorder(LOG), s) is GOOD  # 75 K in one second


def test_a_span_ends_where_the_last_line_falls() -> None:
    whole = np.ones(1, np.bool_)
    (found,) = spans_above(np.array([0.0, 10.0]), np.array([2.0, 0.0]), 1.0, whole)
    assert found.end == pytest.approx(5.0, abs=1e-4)
    t, v = np.array([0.0, 10.0, 20.0]), np.full(3, 2.0)
    first, second = spans_above(t, v, 1.0, np.array([False, True]))
    assert (first.open_start, first.open_end, second.open_start, second.open_end) == (
        False,
        True,
        True,
        False,
    )
    first, second = spans_above(t, v, 1.0, np.array([True, False]))
    assert (first.open_start, first.open_end, second.open_start, second.open_end) == (
        False,
        True,
        True,
        False,
    )


def test_stamps_that_repeat_take_nothing_from_the_others() -> None:
    t, v = np.array([0.0, 0.0, 0.5, 1.0, 1.5]), np.array([0.0, 0.0, 5.0, 0.0, 0.0])
    begins, rates, unseen = window_rates(t, v, 0.0, 1.5, 0.5, 10.0)
    assert (begins.size, float(rates.max()), unseen) == (3, 10.0, 0.0)


def test_one_reading_has_no_rate() -> None:
    for end, hidden in ((0.0, 0.0), (5.0, 5.0)):
        begins, rates, unseen = window_rates(np.zeros(1), np.zeros(1), 0.0, end, 60.0, 10.0)
        assert (begins.size, rates.size, unseen) == (0, 0, hidden)


def test_the_first_readings_are_looked_for_further_on_where_there_are_four() -> None:
    column = np.full(1100, NAN)
    column[[0, 1, 2, 3]] = 300.0, 300.0, 340.0, 340.0
    column[1050:] = 340.0
    assert _first(column) == 340.0
    column[4] = 300.0
    assert _first(column) == 300.0


def blur(*times: float) -> float:
    e = SimpleNamespace(times=np.array(times), log=SimpleNamespace(stamp_step=1.0, set_back=0.0))
    return float(Evidence.blur.func(e))  # type: ignore[attr-defined]


def test_stamps_of_a_second_blur_where_they_repeat() -> None:
    assert blur(0.0, 0.0, 2.0, 4.0) == 1.0
    assert blur(0.0, 1.0, 2.0, 3.0) == 0.0


def test_before_the_first_sample_is_the_first() -> None:
    assert E.index_at(-5.0) == 0


def test_one_row_has_no_step() -> None:
    log = CureLog(np.zeros(1), (Channel("T1", ChannelRole.THERMOCOUPLE, "temperature", np.full(1, 300.0)),))
    assert gather(log).known.size == 0


def test_what_stands_in_no_line_has_none() -> None:
    book = VerdictRecorder(LOG)
    assert book.enter(GOOD, "leak test", "", clock="08:00").line == 0
    assert book.enter(GOOD, "leak test", "", time=20.0).line == 3


def test_stamps_that_are_coarse_by_less_than_a_second_leave_it_open_too() -> None:
    for value, said in ((3600.4, OPEN), (3600.6, GOOD)):
        book = VerdictRecorder(LOG)
        got = book.measure("dwell", value, limit(3600.0), "time", codes.DWELL_SHORT, most=False, unsure=0.5)
        assert got is said


def test_what_does_not_conform_is_told_first_and_then_what_is_not_known() -> None:
    book = VerdictRecorder(LOG)
    for outcome in (GOOD, OPEN, BAD):
        book.enter(outcome, "rule", "")
    e: Any = SimpleNamespace(checked=E.checked, log=LOG, lost_at=(), names=E.names)
    verdict = _made(e, book, recipe(), (), (), NAN, NAN, (), 0.0)
    assert [r.outcome for r in verdict.reasons] == [BAD, OPEN, GOOD]


def test_two_samples_are_a_log_and_a_gap_is_any_time() -> None:
    two = made()
    two.times, two.temps, two.vacuum, two.set_point = (
        x[:2] for x in (two.times, two.temps, two.vacuum, two.set_point)
    )
    assert judge(recipe(), two.log(), longest_gap=0.5).outcome is not GOOD
    with pytest.raises(InputError):
        judge(recipe(), two.log(), longest_gap=0.0)


def test_a_set_point_in_the_middle_of_the_band_is_the_program() -> None:
    hold = dataclasses.replace(HOLD, band_high=limit(395.0))
    t = 10.0 * np.arange(100)
    s = Stretch(hold, 0.0, 990.0, (), (Span(0.0, 990.0),), True)
    for asked, said in ((384.9, True), (385.0, False), (395.0, False), (395.1, True)):
        log = CureLog(t, (Channel("SP", ChannelRole.SET_POINT, "temperature", np.full(100, asked)),))
        book = VerdictRecorder(LOG)
        e: Any = SimpleNamespace(log=log, times=t)
        _program(e, book, (s,))
        assert bool(book.findings) is said


def test_what_conforms_by_less_than_the_wire_is_good_to_is_said() -> None:
    for value, said in ((386.0, True), (388.0, False)):
        book = VerdictRecorder(LOG)
        book.enter(GOOD, RuleName.BAND_TOP, "", value=value, kind="temperature", limit=limit(385.0))
        _near(book, "K")
        assert bool(book.findings) is said


def test_two_heats_are_told(monkeypatch: pytest.MonkeyPatch) -> None:
    for begins, said in (([0.0], 0), ([0.0, 5000.0], 1)):
        monkeypatch.setattr(rules_heats, "heats", lambda _, begins=begins: begins)
        book = VerdictRecorder(LOG)
        judge_heats(E, book)
        assert len(book.reasons) == said


def test_a_heat_begins_at_the_very_row() -> None:
    t = 10.0 * np.arange(100)
    temps = np.where(np.arange(100) < 51, 300.0, 350.0)[:, None]
    temps[51:53] = 299.0
    e: Any = SimpleNamespace(times=t, working=np.ones((100, 1), np.bool_), temps=temps)
    assert heats(e) == [510.0]


def test_a_joint_counts_after_the_start_of_heat_and_to_the_end(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rules_heats, "heat_start", lambda _: 600.0)
    for time, said in ((600.0, False), (610.0, True), (5000.0, True), (5010.0, False)):
        of = fault(LOG, codes.JOINED, "", time=time)
        e: Any = SimpleNamespace(checked=SimpleNamespace(faults=(of,)), log=LOG, times=E.times)
        book = VerdictRecorder(LOG)
        judge_joint(e, book, (held(),))
        assert bool(book.reasons) is said


def test_the_clock_of_the_log_is_told_by_hours_and_minutes() -> None:
    for offset in ("+02:00", "-07:30", "+00:00"):
        log: Any = SimpleNamespace(started=f"2026-11-28T08:00:00{offset}")
        assert _whose_clock(log).endswith(f"UTC{offset}")


def sensors(**more: Any) -> list[Any]:
    how = dataclasses.replace(recipe(), sensors=SensorRule(1, "table 1", may_fail=0))
    n = len(E.times)
    facts = {"working": np.ones((n, 1), np.bool_), "temps": np.empty((n, 0)), "lost_at": (), "names": ("T1",)}
    e: Any = SimpleNamespace(times=E.times, log=E.log, checked=E.checked, **{**facts, **more})
    book = VerdictRecorder(LOG)
    judge_sensors(e, book, how, (held(),))
    return [r.outcome for r in book.reasons]


def test_no_thermocouple_at_all_is_one_too_few() -> None:
    assert sensors() == [GOOD, GOOD]
    assert sensors(working=np.ones((len(E.times), 0), np.bool_)) == [BAD, GOOD]


def test_one_that_is_lost_after_the_last_dwell_was_not_lost() -> None:
    assert [sensors(lost_at=(("T1", t),))[1] for t in (5000.0, 5010.0)] == [BAD, GOOD]


def test_readings_a_second_apart_are_a_history() -> None:
    t = np.arange(50.0)
    e: Any = SimpleNamespace(times=t, gap=2.5)
    assert _history(e, np.full(50, 300.0))[0].tolist() == t.tolist()


def gauge(name: str, *values: float) -> Channel:
    return Channel(name, ChannelRole.VACUUM, "pressure", np.array(values))


def test_an_open_bag_is_shown_by_any_vacuum_at_all() -> None:
    assert [shows_open_bag(gauge("V", *x)) for x in ((0.5, 0.0, 0.0), (0.0, 0.0, 0.0))] == [True, False]


def test_a_gauge_that_nobody_had_to_answer_for_speaks_for_the_other() -> None:
    for answered, said in ((("A",), False), (("A", "B"), True)):
        log = CureLog(np.arange(3.0), (gauge("A", 8e4, 8e4, 8e4), gauge("B", 8e4, 8e4, 8e4)))
        log = dataclasses.replace(log, sense_answered=answered)
        e: Any = SimpleNamespace(log=log, checked=SimpleNamespace(vacuum_names=("A", "B")))
        book = VerdictRecorder(LOG)
        judge_sense(e, book, recipe(vacuum=VacuumRule(limit(7e4))), ())
        assert bool(book.reasons) is said


def test_dips_of_the_vacuum_are_counted_where_there_are_two() -> None:
    """Of 60 s each, of which 100 s are allowed."""
    rule = VacuumRule(limit(80e3), dip_least=70e3, dip_longest=100.0)
    for at, words in (((20,), "for 60 s"), ((20, 30), "in 2 dips")):
        vacuum = np.full(100, 85e3)
        for k in at:
            vacuum[k : k + (6 if len(at) == 1 else 4)] = 75e3
        e: Any = SimpleNamespace(times=10.0 * np.arange(100), vacuum=vacuum, gap=25.0, blur=0.0, log=LOG)
        book = VerdictRecorder(LOG)
        assert _level(e, book, recipe(vacuum=rule), np.ones(100, np.bool_)) is GOOD
        (said,) = (f.words for f in book.findings)
        assert words in said
        assert ("dips" in said) is (len(at) > 1)


def test_the_vacuum_is_let_go_where_it_falls_below_half_of_its_least() -> None:
    for third, then, said in ((42e3, 305.0, GOOD), (38e3, 305.0, OPEN), (38e3, 311.0, BAD)):
        e: Any = SimpleNamespace(
            times=10.0 * np.arange(4),
            vacuum=np.array([80e3, 80e3, third, 0.0]),
            highest=np.array([400.0, 350.0, then, 300.0]),
            names=(),
            gap=25.0,
            fastest_at=lambda _: "T1",
        )
        how = recipe(vacuum=VacuumRule(limit(80e3)), release_most=limit(310.0))
        book = VerdictRecorder(LOG)
        assert ends_released(e, book, how, (), 0.0) is said
        assert book.reasons[0].rule == (RuleName.RELEASE if said is OPEN else RuleName.RELEASED)


def test_a_leak_test_at_the_first_sample_is_entered_there() -> None:
    e: Any = SimpleNamespace(
        times=np.array([0.0, 300.0]), vacuum=np.array([85e3, 84e3]), gap=1000.0, log=LOG, checked=E.checked
    )
    rule = LeakRule(limit(5e3), 300.0)
    assert _from_log(e, rule, 0.0) == LeakReading(85e3, 84e3, 300.0)
    for least, said in ((80e3, GOOD), (86e3, OPEN)):
        book = VerdictRecorder(LOG)
        assert judge_leak(e, book, rule, VacuumRule(limit(least)), None, 0.0) is said
        assert book.reasons[0].time == 0.0
