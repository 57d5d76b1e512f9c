"""Rates, thermocouples and vacuum at their very edges, on a few readings made for each rule; each outcome is
written by hand."""

from __future__ import annotations

import dataclasses
from types import SimpleNamespace as Made
from typing import Any

import numpy as np
import pytest

from judge_lines import limit, recipe
from judge_readings import book_of, dwell, shown, stretch
from judge_whole import NO, OPEN, YES
from panelmend.errors import InputError
from panelmend.plan.judge import (
    SegmentKind,
    SensorRule,
    codes,
    pieces,
    rules_heats,
    rules_rate,
    rules_release,
    rules_sensors,
    rules_vacuum,
)
from panelmend.plan.judge.recipe import RecipeSegment, VacuumRule
from panelmend.plan.judge.rule_names import RuleName
from panelmend.plan.judge.rules_vacuum import LeakReading
from panelmend.plan.judge.verdict import Outcome
from panelmend.plan.judge.walk import Stretch

NAN = float("nan")


# rates


@pytest.mark.parametrize(("gap", "outcome"), [(25.0, YES), (24.9, OPEN)])
def test_a_ramp_too_short_for_a_reading(gap: float, outcome: Outcome) -> None:
    """Fifty seconds between two readings are two gaps."""
    e = dataclasses.replace(shown([300.0, 301.0, 302.0, 303.0, 304.0, 305.0, 306.0, 307.0]), gap=gap)
    ramp = RecipeSegment("up", SegmentKind.RAMP, 390.0, rate_window=60.0, rate_most=limit(0.2))
    values = np.full(8, NAN)
    found = rules_rate._fastest(e, book_of(e), ramp, "T1", values, 10.0, 60.0, rising=True)
    assert found is outcome


@pytest.mark.parametrize(
    ("entry", "rate"),
    [
        (51.0, 1.5),  # a second after five kelvin above the start
        (50.9, None),
        (70.0, 1.5),
    ],
)
def test_a_mean_rise_is_of_what_was_read(entry: float, rate: float | None) -> None:
    """From 305 K, which stands there from 50 s on, by a kelvin and a half a second to where it came in."""
    times = np.array([0.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 70.0])
    values = np.array([300.0, 300.0, 300.0, 300.0, 300.0, 305.000305, 320.000305, 335.000305])
    e = shown(values, times=times)
    e.log.times.setflags(write=False)
    ramp = RecipeSegment("up", SegmentKind.RAMP, 310.0, rate_least=limit(1.0))
    s = Stretch(ramp, 0.0, entry, (("T1", entry),), (), True, 310.0)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(rules_rate, "first_at", lambda times, values, level, start: 50.0)
        book = book_of(e)
        assert rules_rate._mean_up(e, book, s, "T1", e.temps[:, 0], entry) is YES
    if rate is None:
        assert book.reasons == []
    else:
        (reason,) = book.reasons
        assert reason.value == pytest.approx(rate, rel=1e-3)


@pytest.mark.parametrize(("top", "outcome"), [(305.0, YES), (305.0001, NO)])
def test_one_that_comes_in_no_higher_than_where_its_rise_begins_did_not_rise(
    top: float, outcome: Outcome
) -> None:
    """The mean rise begins five kelvin above the first reading."""
    e = shown([300.0, 305.0, 305.0, top, top])
    ramp = RecipeSegment("up", SegmentKind.RAMP, 305.0, rate_least=limit(1.0))
    s = Stretch(ramp, 0.0, 30.0, (("T1", 30.0),), (), True, 305.0)
    assert rules_rate._mean_up(e, book_of(e), s, "T1", e.temps[:, 0], 30.0) is outcome


@pytest.mark.parametrize(("end", "most", "outcome"), [(30.0, 2.9, NO), (30.0, 3.0, YES), (29.9, 2.9, YES)])
def test_a_rate_above_a_temperature_is_asked_to_the_last_reading(
    end: float, most: float, outcome: Outcome
) -> None:
    """Three kelvin a second between the last two readings, and those alone stand above 315 K."""
    e = shown([300.0, 310.0, 320.0, 350.0])
    ramp = RecipeSegment(
        "up", SegmentKind.RAMP, 390.0, rate_window=10.0, rate_most=limit(most), rate_above=315.0
    )
    found = rules_rate._fastest(e, book_of(e), ramp, "T1", e.temps[:, 0], 0.0, end, rising=True)
    assert found is outcome


@pytest.mark.parametrize(
    ("set_back", "most", "outcome"),
    [
        (9.0, 9.9, OPEN),  # nine of ten seconds: it may have risen by a kelvin in the one that is left
        (9.0, 10.1, YES),
        (9.5, 10.4, OPEN),  # half a second is taken as a whole one
        (9.5, 10.6, YES),
    ],
)
def test_a_clock_set_back_by_nearly_the_window_of_a_rate(
    set_back: float, most: float, outcome: Outcome
) -> None:
    """A kelvin a second."""
    e = shown([300.0, 310.0, 320.0, 330.0])
    e = dataclasses.replace(e, log=dataclasses.replace(e.log, set_back=set_back))
    ramp = RecipeSegment("up", SegmentKind.RAMP, 390.0, rate_window=10.0, rate_most=limit(most))
    found = rules_rate._fastest(e, book_of(e), ramp, "T1", e.temps[:, 0], 0.0, 30.0, rising=True)
    assert found is outcome


@pytest.mark.parametrize(
    ("least", "outcome"), [(0.05, YES), (0.082, YES), (0.084, OPEN), (0.15, OPEN), (0.5, NO)]
)
def test_a_mean_fall_that_ends_in_a_hole(least: float, outcome: Outcome) -> None:
    """From 390 K to 350 K between 200 and 500 s after it began. With the blanket off it loses half a kelvin
    in a second: it came there between 220 and 480 s, so that it fell by 0.083 to 0.18 K/s."""
    times = [0.0, 100.0, 200.0, 500.0, 510.0]
    e = shown([390.0, 380.0, 360.0, 340.0, 340.0], times=times, gap=110.0)
    cool = RecipeSegment("down", SegmentKind.COOL, 350.0, rate_least=limit(least))
    s = Stretch(cool, 0.0, 350.0, (("T1", 350.0),), (), True, 350.0)
    assert rules_rate.judge_cool(e, book_of(e), s) is outcome


@pytest.mark.parametrize(
    ("most", "gap", "outcome"),
    [
        (0.1, 25.0, YES),  # over the hole just as fast as it may
        (0.0999, 25.0, OPEN),
        (0.11, 25.0, YES),
        (0.11, 24.0, YES),
    ],
)
def test_a_rise_into_a_hole_is_as_fast_as_over_all_of_it(most: float, gap: float, outcome: Outcome) -> None:
    """By a tenth of a kelvin a second over thirty seconds, in which it came to the band."""
    e = dataclasses.replace(shown([380.0, 381.0, 384.0, 385.0], times=[0.0, 10.0, 40.0, 50.0]), gap=gap)
    ramp = RecipeSegment("up", SegmentKind.RAMP, 383.0, rate_window=30.0, rate_most=limit(most))
    s = Stretch(ramp, 0.0, 30.0, (("T1", 30.0),), (), True, 383.0)
    assert rules_rate._into_hole(e, book_of(e), s, "T1", e.temps[:, 0], 30.0) is outcome


@pytest.mark.parametrize(("window", "outcome"), [(0.8, YES), (0.7, OPEN)])
def test_a_hole_longer_than_the_window_of_a_rate(window: float, outcome: Outcome) -> None:
    """However short: readings ten a second apart from one hole of eight tenths."""
    times = [0.0, 0.1, 0.2, 1.0, 1.1]
    e = dataclasses.replace(shown([380.0, 380.0, 380.0, 381.0, 381.0], times=times), gap=0.5)
    ramp = RecipeSegment("up", SegmentKind.RAMP, 380.5, rate_window=window, rate_most=limit(9.0))
    s = Stretch(ramp, 0.0, 0.6, (("T1", 0.6),), (), True, 380.5)
    assert rules_rate._into_hole(e, book_of(e), s, "T1", e.temps[:, 0], 0.6) is outcome


def test_a_mean_rate_is_of_a_second_at_least() -> None:
    assert rules_rate._rates(10.0, (0.0, 0.0), (0.5, 0.5), 0.0) == (10.0, 10.0)
    assert rules_rate._rates(10.0, (0.0, 3.0), (5.0, 10.0), 0.0) == (1.0, 5.0)


# thermocouples


def test_the_fewest_that_worked_at_any_time_count(monkeypatch: pytest.MonkeyPatch) -> None:
    """In whatever pieces a long log is looked at; one is lost from 200 s on."""
    e = shown([300.0] * 5 + [390.0] * 26, [300.0] * 5 + [390.0] * 26)
    working = np.ones((31, 2), np.bool_)
    for lost, outcome in ((range(20, 31), NO), (range(4, 6), NO), (range(4), YES)):
        working[:] = True
        working[list(lost), 1] = False
        made = dataclasses.replace(e, working=working)
        s = stretch(dwell(), 60.0, 300.0)
        for size in (8, 64):
            monkeypatch.setattr(pieces, "PIECE", size)
            cycle = dataclasses.replace(recipe(), sensors=SensorRule(2, "table 1"))
            assert rules_sensors.judge_sensors(made, book_of(e), cycle, (s,)) is outcome


def test_the_history_that_a_degree_of_cure_is_reckoned_from(monkeypatch: pytest.MonkeyPatch) -> None:
    """One reading in some, both ends of a gap, and in a gap down at 0.5 K/s to the coldest, up at 3 K/s, or
    up to what is given, and down; of two readings of one time the first."""
    monkeypatch.setattr(rules_sensors, "MOST_POINTS", 3)
    times = np.array([0.0, 10.0, 10.0, 20.0, 30.0, 40.0, 100.0, 110.0, 135.0, 145.0])
    values = np.array([300.0, 301.0, 399.0, 302.0, 303.0, 304.0, 310.0, 311.0, 312.0, 313.0])
    e: Any = Made(times=times, gap=25.0)
    t, v = rules_sensors._history(e, values)
    assert list(zip(t.tolist(), v.tolist(), strict=True)) == [
        (0.0, 300.0), (30.0, 303.0), (40.0, 304.0), (48.0, 300.0),
        (pytest.approx(100.0 - 10.0 / 3.0), 300.0), (100.0, 310.0), (110.0, 311.0), (145.0, 313.0),
    ]  # fmt: skip
    t, v = rules_sensors._history(e, values, 319.0)
    assert list(zip(t.tolist(), v.tolist(), strict=True))[2:6] == [
        (40.0, 304.0), (45.0, 319.0), (82.0, 319.0), (100.0, 310.0),
    ]  # fmt: skip
    assert rules_sensors._in_gap(np.array([0.0, 70.0]), np.array([310.0, 310.0]), -1.0, 270.0) == [
        (60.0, 280.0)
    ]
    assert rules_sensors._in_gap(np.array([0.0, 70.0]), np.array([310.0, 310.0]), 1.0, 350.0) == [
        (10.0, 340.0)
    ]
    assert rules_sensors._in_gap(np.array([0.0, 70.0]), np.array([300.0, 510.0]), 1.0, 600.0) == []
    # as hot as it may be at all where it turns; or a degree beside it, for 67.67 s
    assert rules_sensors._in_gap(np.array([0.0, 70.0]), np.array([310.0, 310.0]), 1.0, 340.0) == [
        (10.0, 340.0)
    ]
    assert rules_sensors._in_gap(np.array([0.0, 70.0]), np.array([310.0, 310.0]), 1.0, 311.0) == [
        (pytest.approx(1.0 / 3.0), 311.0), (68.0, 311.0),
    ]  # fmt: skip
    # down by 35 K in 70 s with the blanket off all the while: it turned where it was read
    assert rules_sensors._in_gap(np.array([0.0, 70.0]), np.array([335.0, 300.0]), 1.0, 600.0) == []


@pytest.mark.parametrize(
    ("time", "told"), [(60.0, False), (61.0, True), (300.0, True), (301.0, False), (190.0, True)]
)
def test_two_jobs_in_one_log_between_the_heat_and_the_last_segment(
    time: float, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(rules_heats, "heat_start", lambda e: 60.0)
    joint = Made(
        time=time,
        channel="",
        sensor_lost=False,
        doubt=False,
        reckoned=False,
        finding=Made(code=codes.JOINED.code),
    )
    e = shown([390.0] * 40, faults=(joint,))
    book = book_of(e)
    walked = (stretch(dwell(), 60.0, 200.0), stretch(dwell(), 200.0, 300.0))
    rules_heats.judge_joint(e, book, walked)
    assert [r.outcome for r in book.reasons] == [OPEN] * told


# vacuum


@pytest.mark.parametrize("which", ["start", "end", "seconds"])
def test_a_leak_test_of_which_one_reading_is_no_number(which: str) -> None:
    given = {"start": 80e3, "end": 79e3, "seconds": 300.0}
    assert LeakReading(**given).seconds == 300.0
    with pytest.raises(InputError, match="not a number"):
        LeakReading(**(given | {which: NAN}))


def test_the_longest_time_without_a_vacuum_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rules_vacuum, "heat_start", lambda e: 0.0)
    monkeypatch.setattr(rules_vacuum, "needed_until", lambda e, recipe, walked: (300.0, True))
    vacuum = np.full(31, 80e3)
    vacuum[[5, 6, 7, 15, 16, 17, 18, 19, 25, 26, 27, 28]] = NAN
    e = shown([390.0] * 31, vacuum=vacuum)
    book = book_of(e)
    assert rules_vacuum.judge_vacuum(e, book, recipe(vacuum=VacuumRule(limit(70e3))), ()) is OPEN
    assert "not known for 60 s at the longest" in book.reasons[-1].words
    assert book.reasons[-1].time == 50.0


@pytest.mark.parametrize(
    ("lost", "outcome"),
    [
        ([], YES),  # two dips that are allowed
        ([10, 11, 12], NO),  # behind the first nothing is read
        ([13, 14, 15], NO),  # behind the second
        ([10, 11, 13, 14, 15], NO),
    ],
)
def test_two_dips_of_which_one_is_not_seen_to_end(lost: list[int], outcome: Outcome) -> None:
    vacuum = np.full(31, 80e3)
    vacuum[[9, 12]] = 65e3
    vacuum[lost] = NAN
    if 12 in lost:
        vacuum[16] = 65e3
    e = shown([390.0] * 31, vacuum=vacuum)
    rule = VacuumRule(limit(70e3), dip_least=60e3, dip_longest=200.0)
    found = rules_vacuum._level(e, book_of(e), recipe(vacuum=rule), np.ones(31, np.bool_))
    assert found is outcome


def _still(code: Any, channel: str, time: float = 60.0) -> Any:
    return Made(channel=channel, time=time, until=time, finding=Made(code=code.code))


@pytest.mark.parametrize(
    ("faults", "dips", "outcome"),
    [
        ([], [(5, 5)], NO),
        ([_still(codes.FROZEN, "VAC")], [(5, 5)], OPEN),
        ([_still(codes.FROZEN, "VAC")], [(4, 5)], NO),
        ([_still(codes.FROZEN, "VAC")], [(3, 3), (5, 5)], NO),
        ([_still(codes.FROZEN, "VAC", 70.0)], [(5, 5)], NO),
        ([_still(codes.STUCK, "VAC")], [(5, 5)], NO),
        ([_still(codes.FROZEN, "T1")], [(5, 5)], NO),
        ([_still(codes.FROZEN, "T1"), _still(codes.FROZEN, "VAC")], [(5, 5)], OPEN),
    ],
)
def test_a_gauge_that_stands_still_from_a_dip_on(
    faults: list[Any], dips: list[tuple[int, int]], outcome: Outcome
) -> None:
    e = shown([390.0] * 12)
    e = dataclasses.replace(
        e,
        checked=Made(faults=tuple(faults), vacuum_names=("VAC",), names=("T1",)),  # type: ignore[arg-type]
    )
    assert rules_vacuum._not_seen(e, book_of(e), recipe(vacuum=VacuumRule(limit(70e3))), 5, dips) is outcome


@pytest.mark.parametrize(
    ("vacuum", "hot", "outcome"),
    [
        ([80e3, 35e3, 0.0], [331.0, 330.0, 329.0], YES),  # half of the least is held still
        ([80e3, 34.99e3, 0.0], [331.0, 330.001, 329.0], NO),
        ([80e3, 34.99e3, 0.0], [331.0, 330.0, 329.0], OPEN),  # let go between the two rows
        ([80e3, 35e3, 0.0], [331.0, 330.001, 329.0], OPEN),
        ([80e3, 35e3, 0.0], [331.0, 330.0005, 330.0005], NO),
        ([80e3, 80e3, 80e3], [331.0, 330.5, 330.0], YES),  # still held at the end, and cool
        ([80e3, 80e3, 80e3], [331.0, 330.5, 330.001], OPEN),
    ],
)
def test_the_release_of_a_vacuum(vacuum: list[float], hot: list[float], outcome: Outcome) -> None:
    asked = recipe(vacuum=VacuumRule(limit(70e3)), release_most=limit(330.0))
    e = shown(hot, vacuum=vacuum)
    book = book_of(e)
    assert rules_release.ends_released(e, book, asked, (), 20.0) is outcome
    assert book.reasons[0].rule in (RuleName.RELEASE, RuleName.RELEASED)


@pytest.mark.parametrize(
    ("kelvin", "never"), [(213.15, False), (213.1, True), (643.15, False), (643.2, True), (NAN, True)]
)
def test_what_no_bond_line_reads_is_no_reading(kelvin: float, never: bool) -> None:
    """From -60 C to 370 C."""
    e = shown([kelvin] * 3, [300.0] * 3)
    assert rules_sensors._never_read(e, "T1") is never
