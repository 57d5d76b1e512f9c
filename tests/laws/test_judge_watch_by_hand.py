"""What is said of a running cure at its very edges: which channels are told of, and which not; each answer is
written by hand."""

from __future__ import annotations

from types import SimpleNamespace as Made
from typing import Any

import numpy as np
import pytest

from judge_lines import curve, limit, recipe
from panelmend.errors import InputError
from panelmend.plan.judge import ChannelRole, SegmentKind, alarms, codes, standing, unjudged, watch
from panelmend.plan.judge.evidence import Evidence
from panelmend.plan.judge.log import Channel, CureLog
from panelmend.plan.judge.recipe import RecipeLimit, RecipeSegment, VacuumRule
from panelmend.plan.judge.spans import Span
from panelmend.plan.judge.walk import Stretch

NAN = float("nan")
RATE = 1.0 / 64.0  # K/s
TIMES = np.arange(1000.0, 1641.0, 8.0)


def _e(*couples: Any, **more: Any) -> Any:
    """Thermocouples [K] at those times, or of one value all the time."""
    temps = np.column_stack([np.broadcast_to(np.asarray(c, float), TIMES.shape) for c in couples])
    given = {
        "times": TIMES, "temps": temps, "highest": temps.max(axis=1), "lowest": temps.min(axis=1),
        "names": tuple(f"T{i + 1}" for i in range(len(couples))), "working": np.ones(temps.shape, np.bool_),
        "slowest_at": lambda at: "T1", "fastest_at": lambda at: "T1", "checked": Made(faults=()),
    }  # fmt: skip
    return Made(**(given | more))


def _to(end: float, rate: float = RATE) -> Any:
    return end + rate * (TIMES - TIMES[-1])


def test_on_a_ramp_the_band_of_the_dwell_it_leads_to_counts() -> None:
    cycle = recipe(dwell={"band_high": limit(393.0)})
    found = alarms._heat(_e(_to(392.0)), cycle, cycle.segments[0])
    assert [a.finding.code for a in found] == [codes.TOP_SOON.code]
    assert alarms._heat(_e(_to(392.0)), recipe(), cycle.segments[0]) == []


@pytest.mark.parametrize(
    ("channel", "lost", "doubt", "told"),
    [
        ("T1", True, False, True),
        ("T1", False, True, True),
        ("T1", False, False, False),  # only said
        ("VAC", True, False, False),  # no thermocouple
        ("VAC", False, False, False),
    ],
)
def test_a_thermocouple_that_is_lost_or_in_doubt(channel: str, lost: bool, doubt: bool, told: bool) -> None:
    fault = Made(channel=channel, sensor_lost=lost, doubt=doubt, finding=Made(words="it stands still"))
    e = _e(390.0, 390.0, checked=Made(faults=(fault,)))
    assert [a.finding.code for a in alarms.lost_now(e)] == [codes.SENSOR_NOW.code] * told


@pytest.mark.parametrize(
    ("rate", "left"),
    [
        (-RATE, None),  # as slow as the noise
        (-RATE - 2**-12, 10.0 / (RATE + 2**-12)),
        (RATE, None),
    ],
)
def test_how_long_the_hottest_still_needs(
    rate: float, left: float | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(watch, "CREEP", RATE)
    cool = RecipeSegment("down", SegmentKind.COOL, 315.0)
    found, how = watch._left(_e(_to(325.0, rate)), cool, recipe(), 0.0, 0.0)
    assert how.startswith("the hottest does not fall") is (left is None)
    assert np.isnan(found) if left is None else found == left
    assert watch._left(_e(_to(315.0, rate)), cool, recipe(), 0.0, 0.0)[0] == 0.0


@pytest.mark.parametrize(
    ("steady", "said"),
    [
        (1.0, codes.TOP_SOON),  # as fast over five minutes as it has to be: no swing of the control
        (1.0 + 2**-10, codes.TOP_NEARS),  # carried on for two and a half minutes only
    ],
)
def test_a_rise_that_is_steady_enough(steady: float, said: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """At its rate it passes the top of the band in 160 s."""
    monkeypatch.setattr(alarms, "STEADY", steady)
    cycle = recipe(dwell={"band_high": limit(392.0 + 160.0 * RATE)})
    found = alarms._heat(_e(_to(392.0)), cycle, cycle.segments[1])
    assert [a.finding.code for a in found] == [said.code]


@pytest.mark.parametrize(("above", "words"), [(0.0, "is past"), (RATE, "passes")])
def test_a_limit_that_is_just_reached_is_past(above: float, words: str) -> None:
    cycle = recipe(dwell={"band_high": limit(392.0 + above)})
    (found,) = alarms._heat(_e(_to(392.0)), cycle, cycle.segments[1])
    assert words in found.finding.words


def test_a_peak_lies_more_than_five_minutes_back() -> None:
    times = np.array([0.0, 99.0, 100.0, 400.0])
    assert alarms._last_peak(_of(times, [380.0, 391.0, 395.0, 390.0])) == 391.0


def _of(times: Any, highest: Any) -> Any:
    return Made(times=np.asarray(times, float), highest=np.asarray(highest, float))


def test_a_rise_that_slows_down_ends_where_its_rate_is_nothing() -> None:
    """A parabola: over both spans its rate is that of their middles, 148 and 48 s ago, so that it goes on
    by the square of the rate 48 s ago over twice the deceleration."""
    slowing, now = 2.0**-13, 2.0**-6
    ago = TIMES[-1] - TIMES
    e = _e(392.0 - now * ago - slowing / 2 * ago**2)
    end = 392.0 + (now + 48.0 * slowing) ** 2 / (2.0 * slowing)
    assert alarms._levels_off(e, 392.0, end + 1e-6, swings=False)
    assert not alarms._levels_off(e, 392.0, end - 1e-6, swings=False)


def test_a_rise_that_ends_at_the_limit_passes_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """From 1/16 to 1/32 K/s in 100 s: it goes on for 25/16 K."""
    monkeypatch.setattr(alarms, "slope", lambda t, v, span, least=4: 1 / 16 if span == 300.0 else 1 / 32)
    assert not alarms._levels_off(_e(390.0), 390.0, 391.5625, swings=False)
    assert alarms._levels_off(_e(390.0), 390.0, 391.5626, swings=False)


def test_a_span_that_holds_its_readings_is_not_made_longer() -> None:
    times = 1000.0 + np.array([0.0, 26.0, 52.0, 78.0, 104.0])
    values = RATE * times
    values[0] = 500.0  # of before
    for span in (80.0, 60.0):  # sixty seconds hold three: as long as four take, and no longer
        assert alarms.slope(times, values, span) == pytest.approx(RATE)


@pytest.mark.parametrize(("readings", "said"), [(5, True), (6, False)])
def test_the_noise_of_a_gauge_takes_five_steps(readings: int, said: bool) -> None:
    times = 1000.0 + 25.0 * np.arange(readings)
    vacuum = 70.6e3 - 4.0 * (times - times[-1]) + 200.0 * np.resize([1.0, -1.0], readings)
    e = Made(times=times, vacuum=vacuum, highest=np.full(readings, 390.0))
    found = alarms._vacuum(e, recipe(vacuum=VacuumRule(limit(70e3))))
    assert [a.finding.code for a in found] == [codes.VACUUM_SOON.code] * said


@pytest.mark.parametrize(("times", "said"), [(1.03, False), (1.05, True)])
def test_a_rate_over_half_of_its_window(times: float, said: bool) -> None:
    """It began 160 s ago; of a whole window it would be slower."""
    values = 350.0 + np.maximum(0.0, 160.0 - (TIMES[-1] - TIMES)) * RATE * times
    ramp = RecipeSegment("up", SegmentKind.RAMP, 390.0, rate_window=300.0, rate_most=limit(RATE))
    assert [a.finding.code for a in alarms._ramp(_e(values), ramp)] == [codes.RAMP_SOON.code] * said


@pytest.mark.parametrize(("held", "said"), [(3600.0, codes.DONE), (3599.0, codes.BAND_SOON)])
def test_a_dwell_that_was_held_is_done(held: float, said: Any) -> None:
    """The slowest falls since 160 s and leaves the band in 170 s."""
    ago = TIMES[-1] - TIMES
    values = 385.0 + 170.0 * RATE + np.minimum(ago, 160.0) * RATE
    found = alarms._dwell(_e(values), recipe().segments[1], held)
    assert [a.finding.code for a in found] == [said.code]


@pytest.mark.parametrize(("blur", "held"), [(0.0, 1000.0), (10.0, 990.0), (2000.0, 0.0)])
def test_the_time_held_is_less_by_what_the_stamps_leave_open(
    blur: float, held: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(watch, "walk", lambda e, recipe: (stretch,))
    monkeypatch.setattr(Evidence, "blur", blur)
    hold = recipe().segments[1]
    stretch = Stretch(hold, 3000.0, 4000.0, (), (Span(3000.0, 4000.0),), True, 385.0)
    times = np.arange(0.0, 4001.0, 100.0)
    couples = [curve(times) + k / 8.0 + np.resize([0.0, 0.25], times.size) for k in range(2)]
    channels = tuple(
        Channel(f"T{i}", ChannelRole.THERMOCOUPLE, "temperature", c) for i, c in enumerate(couples)
    )
    now = watch.look(recipe(), CureLog(times, channels))
    assert (now.held, now.needed, now.left) == (held, 3600.0, 3600.0 - held)


@pytest.mark.parametrize(("hottest", "down"), [(385.0, False), (384.999, True)])
def test_a_cool_down_begins_below_the_band(hottest: float, down: bool) -> None:
    hold, cool = recipe().segments[1:]
    walked: Any = (Made(segment=hold, found=True, start=0.0), Made(segment=cool, found=False, start=1640.0))
    assert watch._current(_e(hottest), walked) is walked[down]


@pytest.mark.parametrize(
    ("now", "expected"), [(1000.0, 300.0), (1050.0, 305.0), (1100.0, 310.0), (1100.5, None), (999.0, None)]
)
def test_what_a_model_expects(now: float, expected: float | None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(watch, "heat_start", lambda e: 1000.0)
    found = watch._expected(_of([900.0, now], [300.0, 300.0]), watch.Predicted((0.0, 100.0), (300.0, 310.0)))
    assert np.isnan(found) if expected is None else found == expected


@pytest.mark.parametrize("times", [(0.0,), (0.0, 0.0), (10.0, 0.0), (0.0, 10.0, 20.0)])
def test_a_prediction_has_rising_times_two_at_least(times: tuple[float, ...]) -> None:
    with pytest.raises(InputError, match="rising times"):
        watch.Predicted(times, (300.0,) * min(len(times), 2))


# what stays said


@pytest.mark.parametrize(("blur", "told"), [(0.0, False), (5.0, False), (5.1, True)])
@pytest.mark.parametrize("summed", [False, True])
def test_a_dwell_that_was_left_early_is_counted_as_the_verdict_counts_it(
    summed: bool, blur: float, told: bool
) -> None:
    """Of 3605 s as much is not sure as the stamps are coarse, of a sum for each of its parts."""
    hold, cool = recipe(dwell={"summed": summed}).segments[1:]
    parts = (Span(0.0, 3605.0),) if not summed else (Span(0.0, 3000.0), Span(3100.0, 3705.0))
    walked: Any = (Made(segment=hold, found=True, spans=parts), Made(segment=cool, found=False, spans=()))
    found = standing._left_early(_e(300.0, blur=blur / len(parts)), cool, walked)
    assert [a.finding.code for a in found] == [codes.LEFT_EARLY.code] * told


@pytest.mark.parametrize(
    ("asked", "rose", "told"),
    [
        (320.0, 0.0, False),  # twenty kelvin are not much
        (320.001, 0.0, True),
        (390.0, 9.99, True),
        (390.0, 10.0, False),  # it rose, and fell back
    ],
)
def test_a_set_point_far_above_and_a_part_that_never_rose(asked: float, rose: float, told: bool) -> None:
    couple = np.full(TIMES.size, 300.0)
    couple[40] += rose
    wanted = np.where(TIMES < 1032.0, 300.0, asked)
    point = Channel("SP", ChannelRole.SET_POINT, "temperature", wanted)
    e = _e(couple, log=Made(of_role=lambda role: (point,)))
    assert [a.finding.code for a in standing._unanswered(e)] == [codes.UNANSWERED.code] * told


@pytest.mark.parametrize(("least", "since"), [(70e3, "80 s"), (70e3 - 1.0, "3 min")])
def test_since_when_a_vacuum_is_too_low(least: float, since: str) -> None:
    """The least itself, ten readings back, is a vacuum still."""
    vacuum = np.where(TIMES[-1] - 160.0 < TIMES, 60e3, 80e3)
    vacuum[-11] = least
    values = np.where(TIMES < 1100.0, 300.0, 390.0)
    e = _e(values, vacuum=vacuum, checked=Made(faults=(), vacuum_names=("VAC",)))
    (found,) = standing._vacuum(e, recipe(vacuum=VacuumRule(limit(70e3))))
    assert found.finding.words.endswith(f"for {since}")


@pytest.mark.parametrize(("dead", "told"), [((), True), ((0,), True), ((1,), True), ((0, 1), False)])
def test_a_set_point_that_nothing_answers(dead: tuple[int, ...], told: bool) -> None:
    """A thermocouple that is not read any more hides none that is."""
    wanted = np.where(TIMES < 1032.0, 300.0, 390.0)
    couples = [np.full(TIMES.size, 300.0), np.full(TIMES.size, 300.0)]
    for i in dead:
        couples[i][-3:] = NAN
    point = Channel("SP", ChannelRole.SET_POINT, "temperature", wanted)
    e = _e(*couples, log=Made(of_role=lambda role: (point,)))
    e.highest = np.full(TIMES.size, 300.0)
    assert [a.finding.code for a in standing._unanswered(e)] == [codes.UNANSWERED.code] * told


@pytest.mark.parametrize(("hottest", "was"), [(330.0, False), (330.0 + RATE, True)])
def test_what_was_hot_stood_above_the_release(hottest: float, was: bool) -> None:
    e = _e(np.where(TIMES < 1100.0, hottest, 310.0))
    assert standing._was_hot(e, recipe(release_most=limit(330.0))) is was


@pytest.mark.parametrize(
    ("read", "held", "told"),
    [
        (True, 3599.9, True),
        (True, 3600.0, False),  # it was held for its least time
        (False, 3599.9, False),  # nothing is read
        (False, 3600.0, False),
    ],
)
def test_the_slowest_below_the_band_of_a_dwell(read: bool, held: float, told: bool) -> None:
    values = np.full(TIMES.size, 380.0)
    if not read:
        values[-3:] = NAN
    found = standing._band(_e(values), recipe().segments[1], held)
    assert [a.finding.code for a in found] == [codes.BAND_NOW.code] * told


# channels that no rule looks at


def _now(*, dwell: bool = True, spans: bool = True) -> Any:
    kind = SegmentKind.DWELL if dwell else SegmentKind.RAMP
    segment = Made(kind=kind, band_low=limit(385.0), band_high=limit(395.0), ceiling=None)
    return Made(segment=segment, spans=(Span(1000.0, 1640.0),) if spans else (), found=True, end=1640.0)


@pytest.mark.parametrize(
    ("here", "dwell", "spans", "told"),
    [
        (385.0, True, True, False),  # at the foot of the band it is in it
        (384.999, True, True, True),
        (384.0, True, False, False),  # the slowest is not in the band yet
        (384.0, False, True, False),  # on the way up it is none of it
        (395.0, True, True, False),
        (395.001, True, True, True),
        (395.001, True, False, False),
        (395.001, False, True, False),
    ],
)
def test_a_channel_out_of_the_band(
    here: float, dwell: bool, spans: bool, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(unjudged, "follows_thermocouples", lambda log, values: True)
    c = Channel("X9", ChannelRole.THERMOCOUPLE, "temperature", np.full(TIMES.size, here))
    found = unjudged._out(_e(390.0, log=Made()), c, recipe(), _now(dwell=dwell, spans=spans))
    assert [(a.finding.code, a.within) for a in found] == [(codes.UNJUDGED_OUT.code, 0.0)] * told


@pytest.mark.parametrize(("missing", "told"), [(2, True), (3, False)])
def test_a_channel_whose_newest_three_readings_are_missing_is_not_that_of_now(
    missing: int, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(unjudged, "follows_thermocouples", lambda log, values: True)
    values = np.full(TIMES.size, 400.0)
    values[-missing:] = NAN
    c = Channel("X9", ChannelRole.THERMOCOUPLE, "temperature", values)
    assert bool(unjudged._out(_e(390.0, log=Made()), c, recipe(), _now())) is told


@pytest.mark.parametrize(
    ("hottest", "bagged", "told"), [(330.0, True, False), (330.001, True, True), (330.001, False, False)]
)
def test_a_vacuum_is_held_until_all_are_cool(hottest: float, bagged: bool, told: bool) -> None:
    cycle = recipe(release_most=limit(330.0), bagged=bagged)
    found = alarms._cool(_e(hottest), cycle, cycle.segments[2])
    assert [a.finding.code for a in found] == [codes.HOLD_VACUUM.code] * told


@pytest.mark.parametrize(("ceiling", "told"), [(396.0, False), (395.999, True)])
def test_a_channel_above_the_maximum_temperature(
    ceiling: float, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(unjudged, "follows_thermocouples", lambda log, values: True)
    c = Channel("X9", ChannelRole.THERMOCOUPLE, "temperature", np.full(TIMES.size, 396.0))
    cycle = recipe(ceiling=RecipeLimit(ceiling, "table 1"))
    assert bool(unjudged._out(_e(390.0, log=Made()), c, cycle, _now(dwell=False))) is told


@pytest.mark.parametrize(
    ("role", "name", "program", "told"),
    [
        (ChannelRole.THERMOCOUPLE, "X9", False, True),
        (ChannelRole.THERMOCOUPLE, "X9", True, True),  # no set point of the log
        (ChannelRole.THERMOCOUPLE, "SP", False, True),  # a set point, and no program
        (ChannelRole.THERMOCOUPLE, "SP", True, False),
        (ChannelRole.VACUUM, "X9", False, False),  # no temperature at all
        (ChannelRole.VACUUM, "SP", False, False),
    ],
)
def test_which_channels_with_another_role_are_told_of(
    role: ChannelRole, name: str, program: bool, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(unjudged, "follows_thermocouples", lambda log, values: True)
    monkeypatch.setattr(unjudged, "programmed", lambda values, couples, recipe: program)
    monkeypatch.setattr(unjudged, "no_program", lambda log, values, s: False)
    values = np.full(TIMES.size, 400.0)
    point = Channel("SP", ChannelRole.SET_POINT, "temperature", values)
    aside = Channel(name, role, "temperature", values)
    log = Made(set_aside=(aside,), of_role=lambda r: (point,) if r is ChannelRole.SET_POINT else ())
    found = unjudged.unjudged_now(_e(390.0, log=log), recipe(), _now(), ())
    assert [a.finding.code for a in found] == [codes.UNJUDGED_OUT.code] * told
