"""Parts of the judge and of the watch at their very edges, each answer written by hand: the way through a
cure cycle, channels with another role, how long is left, stamps, heats and holes."""

from __future__ import annotations

import dataclasses
import math
from types import SimpleNamespace as Made
from typing import Any

import numpy as np
import pytest

from judge_lines import limit, recipe
from judge_whole import NO, OPEN, YES, blank, whole
from panelmend.plan.judge import (
    ChannelRole,
    SegmentKind,
    alarms,
    aside,
    codes,
    holes,
    order,
    pieces,
    rules_heats,
    spans,
    walk,
    watch,
)
from panelmend.plan.judge.recipe import RecipeSegment, VacuumRule
from panelmend.plan.judge.verdict import Outcome, VerdictRecorder

NAN = float("nan")


# the way through a cure cycle


def _hot_again(target: float) -> Any:
    """Up, a dwell, and up once more, with nothing after it."""
    whole = recipe()
    return dataclasses.replace(
        whole, segments=(*whole.segments[:2], RecipeSegment("on", SegmentKind.RAMP, target))
    )


def test_a_cycle_may_end_with_a_ramp() -> None:
    """It is over when the slowest is at its own target; one to a dwell when the fastest is in the band."""
    cycle = _hot_again(390.0)
    assert (walk._level(cycle, 0), walk._level(cycle, 2)) == (385.0, 390.0)
    e = dataclasses.replace(whole(), temps=whole().temps + np.arange(4) * 4.0)
    for at, ended in ((0, min), (2, max)):
        found = walk._ramp(e, cycle, at, 0.0)
        seen = [t for _, t in found.entries if t is not None]
        assert found.end == ended(seen)
        assert len(set(seen)) == 4


def test_a_segment_as_hot_as_the_dwell_is_no_hotter_one() -> None:
    e = whole()
    assert walk._way_to_hotter(e, _hot_again(390.0), 1, 3000.0) == math.inf
    assert walk._way_to_hotter(e, _hot_again(395.0), 1, 3000.0) == e.times[-1]  # it never left for there
    up = dataclasses.replace(e, highest=np.where(e.times >= 5000.0, 396.0, e.highest))
    assert walk._way_to_hotter(up, _hot_again(390.0), 1, 3000.0) == math.inf
    assert 4990.0 <= walk._way_to_hotter(up, _hot_again(395.0), 1, 3000.0) <= 5000.0


# channels with another role


def _with(outcome: Outcome) -> VerdictRecorder:
    book = blank()
    book.enter(outcome, "it", "as it was found")
    return book


@pytest.mark.parametrize(
    ("without", "with_it", "asked"),
    [
        (YES, YES, False),  # nothing hangs on it
        (YES, NO, True),
        (YES, OPEN, True),
        (NO, OPEN, False),  # it does not conform either way
        (NO, NO, False),
        (OPEN, NO, False),
    ],
)
def test_a_channel_with_another_role_makes_open_what_hangs_on_it(
    without: Outcome, with_it: Outcome, asked: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    log, cycle = whole().log, recipe(vacuum=VacuumRule(limit(70e3)))
    first = log.of_role(ChannelRole.THERMOCOUPLE)[0]
    gauge = log.of_role(ChannelRole.VACUUM)[0]
    monkeypatch.setattr(aside, "follows_thermocouples", lambda log, values: True)
    monkeypatch.setattr(aside, "no_program", lambda log, values, s: True)

    def apart(channel: Any) -> Any:
        return dataclasses.replace(log, set_aside=(dataclasses.replace(channel, name="X9"),))

    def more(role: ChannelRole) -> Any:
        other = dataclasses.replace(first, name="X9", values=first.values - 1.0, role=role)
        return dataclasses.replace(log, channels=(*log.channels, other))

    def applied(log: Any) -> VerdictRecorder:
        return _with(with_it)

    def weighed(weigh: Any, log: Any, *rest: Any) -> None:
        book = _with(without)
        weigh(log, book, applied, cycle, *rest)
        assert len(book.findings) >= 1
        assert [r.outcome for r in book.reasons] == [without] + [OPEN] * asked

    weighed(aside.weigh_aside, apart(first), ())
    weighed(aside.weigh_gauges, apart(gauge), ())
    weighed(aside.weigh_air, more(ChannelRole.AIR))
    weighed(aside.weigh_points, more(ChannelRole.SET_POINT), (Made(),))


@pytest.mark.parametrize(("away", "behind"), [(0.0, False), (-1.0 / 64.0, True)])
def test_air_that_is_behind_the_part_while_it_rises(
    away: float, behind: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What it does once the part is hottest says nothing."""
    log = whole().log
    middle = np.median(np.column_stack([c.values for c in log.of_role(ChannelRole.THERMOCOUPLE)]), axis=1)
    values = np.where(
        np.arange(middle.size) < int(np.argmax(middle)),
        middle + away,
        middle - 20.0 * (1 if not behind else -1),
    )
    first = log.of_role(ChannelRole.THERMOCOUPLE)[0]
    air = dataclasses.replace(first, name="AIR", values=values, role=ChannelRole.AIR)
    monkeypatch.setattr(aside, "follows_thermocouples", lambda log, values: True)
    book = _with(YES)
    aside.weigh_air(
        dataclasses.replace(log, channels=(*log.channels, air)), book, lambda x: _with(YES), recipe()
    )
    assert [f.code for f in book.findings] == [codes.AIR_FOLLOWS.code] * behind


@pytest.mark.parametrize(
    ("kind", "found", "spans_of", "low", "answer"),
    [
        (SegmentKind.DWELL, True, (spans.Span(0.0, 100.0),), 385.0, True),
        (SegmentKind.RAMP, True, (spans.Span(0.0, 100.0),), 385.0, False),
        (SegmentKind.DWELL, False, (spans.Span(0.0, 100.0),), 385.0, False),
        (SegmentKind.DWELL, True, (), 385.0, False),
        (SegmentKind.DWELL, True, (spans.Span(0.0, 100.0),), None, False),
        (
            SegmentKind.DWELL,
            True,
            (spans.Span(0.0, 100.0),),
            380.0,
            False,
        ),  # at the foot of the band it is in it
    ],
)
def test_a_set_point_below_the_band_of_a_dwell(
    kind: SegmentKind, found: bool, spans_of: Any, low: float | None, answer: bool
) -> None:
    times = np.arange(0.0, 101.0, 10.0)
    segment = Made(kind=kind, band_low=None if low is None else limit(low), band_high=None)
    s: Any = Made(segment=segment, found=found, spans=spans_of, end=100.0)
    assert aside.no_program(Made(times=times), np.full(times.size, 380.0), s) is answer  # type: ignore[arg-type]


def test_a_program_bends_by_its_last_digit_and_never_below_the_band_again() -> None:
    assert aside._stays(np.array([380.0, 385.0, 390.0, 385.0, 380.0]), 385.0) is False
    assert aside._stays(np.array([385.0, 390.0, 385.0, 380.0, 370.0]), 385.0) is True
    assert aside._stays(np.array([385.0, 384.0, 385.0]), 385.0) is False
    assert aside._stays(np.array([380.0]), 385.0) is False


# the watch


@pytest.mark.parametrize(
    ("low", "rate", "left"),
    [
        (385.0, 1.0 / 64.0, 0.0),  # at the foot of the band it is in it
        (385.0, 0.0, 0.0),
        (384.0, 1.0 / 64.0, 64.0),
        (384.0, alarms.CREEP, None),  # as slow as the noise: it does not rise
    ],
)
def test_how_long_the_slowest_still_needs(low: float, rate: float, left: float | None) -> None:
    cycle = recipe()
    e = Made(times=np.arange(5.0), lowest=np.full(5, low), highest=np.full(5, low))
    found, how = watch._left(e, cycle.segments[0], cycle, 0.0, rate)  # type: ignore[arg-type]
    assert how.startswith("the slowest does not rise") is (left is None)
    assert found == left if left is not None else math.isnan(found)


@pytest.mark.parametrize(
    ("low", "goal", "left"),
    [
        (305.0, 400.0, None),  # five kelvin above where the model begins
        (310.0, 400.0, 900.0),  # at 100 s of the model after 100 s
        (310.0, 400.001, None),  # the model never comes there
        (400.0, 400.0, None),  # at its very end it says nothing more
    ],
)
def test_what_the_model_still_needs(
    low: float, goal: float, left: float | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(watch, "heat_start", lambda e: 1000.0)
    p = watch.Predicted((0.0, 50.0, 100.0, 1000.0), (300.0, 305.0, 310.0, 400.0))
    e: Any = Made(times=np.arange(1000.0, 1101.0, 10.0), lowest=np.full(11, low))
    found = watch._by_model(e, p, goal)
    assert math.isnan(found) if left is None else found == left
    e.times = e.times - 100.0  # the heat is not on yet
    assert math.isnan(watch._by_model(e, p, goal))


# order and places


@pytest.mark.parametrize(
    ("step", "usual", "hour"),
    [
        (3610.0, 10.0, True),
        (3605.0, 10.0, True),
        (3615.0, 10.0, True),
        (3604.9, 10.0, False),
        (3615.1, 10.0, False),
        (-3590.0, 10.0, True),
        (3603.0, 1.0, True),
        (3603.1, 1.0, False),
    ],
)
def test_a_clock_that_jumps_by_an_hour(step: float, usual: float, hour: bool) -> None:
    """To half a step, and to two seconds at least."""
    assert order._is_hour(step, usual) is hour


def test_stamps_in_a_range_with_both_its_ends() -> None:
    stamps = np.array([5.0, 30.0, 10.0, 20.0])
    assert order._first_within(stamps, 10.0, 20.0) == 2
    assert order._first_within(stamps, 10.1, 20.0) == 3
    assert order._first_within(stamps, 10.1, 19.9) is None


def test_the_first_of_several_that_are_greatest(monkeypatch: pytest.MonkeyPatch) -> None:
    """In one piece or in several."""
    values = np.array([NAN, 3.0, 7.0, 1.0, 7.0, 2.0, NAN])
    for size in (2, 3, 4, 64):
        monkeypatch.setattr(pieces, "PIECE", size)
        assert pieces.place_of_most(lambda part: values[part], 0, 7) == 2
        assert pieces.place_of_most(lambda part: values[part], 3, 7) == 4
        assert pieces.place_of_least(-values, np.ones(7, np.bool_)) == 2


def test_a_heat_is_thirty_kelvin_and_ends_by_half_of_it() -> None:

    def begins(values: list[float]) -> list[float]:
        return rules_heats._begins(np.arange(4) * 10.0, np.asarray(values, np.float64))

    assert begins([300.0, 300.0, 330.0, 330.0]) == [0.0]
    assert begins([300.0, 300.0, 329.99, 300.0]) == []
    assert begins([300.0, 330.0, 315.0, 345.0]) == [0.0]
    assert begins([300.0, 330.0, 314.0, 344.0]) == [0.0, 20.0]


@pytest.mark.parametrize(
    ("start", "end", "gap", "seen"),
    [
        (0.0, 11990.0, 30.0, True),
        (0.0, 11990.0, 40.0, False),  # as long as counts as unbroken
        (1530.0, 11990.0, 30.0, False),  # it ended where the range begins
        (1529.0, 11990.0, 30.0, True),
        (0.0, 1490.0, 30.0, False),  # it begins where the range ends
        (0.0, 1491.0, 30.0, True),
    ],
)
def test_a_hole_of_one_thermocouple_in_a_range(start: float, end: float, gap: float, seen: bool) -> None:
    """Without readings from 1500 to 1520 s: between those at 1490 and 1530 s."""
    temps = whole().temps.copy()
    temps[150:153, 1] = NAN
    e = dataclasses.replace(whole(), temps=temps, gap=gap)
    found = holes.holes(e, start, end)
    assert [x[:3] for x in found] == [("T2", 1490.0, 1530.0)] * seen
