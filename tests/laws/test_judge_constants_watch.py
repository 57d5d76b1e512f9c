"""Every number of the watch's alarms from both sides, on traces drawn for it."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from judge_lines import limit, made, recipe
from made_curelog import INHG
from panelmend.errors import InputError
from panelmend.plan.judge import Predicted, SegmentKind, VacuumRule, alarms, look
from panelmend.plan.judge import codes as c
from panelmend.plan.judge.evidence import gather
from panelmend.plan.judge.recipe import RecipeSegment

Array = NDArray[np.float64]
TOP, LOW = 390.0, 385.0
SHORT = RecipeSegment("hold", SegmentKind.DWELL, TOP, band_low=limit(LOW), dwell_least=limit(3600.0))


def seen(
    times: Array, high: Array, low: Array | None = None, vacuum: Array | None = None, **more: Any
) -> Any:
    """What the alarms look at, with nothing else."""
    low = high if low is None else low
    none = np.full(times.size, math.nan)
    return SimpleNamespace(
        times=times,
        highest=high,
        lowest=low,
        temps=np.column_stack([high, low]),
        names=("T1", "T2"),
        vacuum=none if vacuum is None else vacuum,
        fastest_at=lambda _: "T1",
        slowest_at=lambda _: "T2",
        **more,
    )


def codes(found: list[alarms.Alarm]) -> set[str]:
    return {a.finding.code for a in found}


def every(step: float, span: float) -> Array:
    return np.arange(0.0, span + step / 2, step)


def test_the_newest_reading_is_one_of_the_newest_three() -> None:
    nan = math.nan
    assert alarms.newest_value(np.array([7.0, 5.0, nan, nan])) == 5.0
    assert math.isnan(alarms.newest_value(np.array([5.0, nan, nan, nan])))


def test_a_rate_needs_four_readings_over_four_tenths_of_its_span() -> None:
    def of(times: list[float], least: int = 4) -> float:
        return alarms.slope(np.array(times), 0.5 * np.array(times), 100.0, least)

    assert of([0, 20, 40, 60]) == pytest.approx(0.5)
    assert math.isnan(of([0, 20, 60]))
    assert of([0, 20, 60], 3) == pytest.approx(0.5)
    assert math.isnan(of([0, 10, 20, 39]))
    assert of([0, 10, 20, 42]) == pytest.approx(0.5)
    t = every(10.0, 200.0)
    bent = np.where(t >= 100.0, t, 500.0)
    assert alarms.slope(t, bent, 100.0) == pytest.approx(1.0), "nothing before the span counts"


def rising(rate: float, high: float, *, step: float = 10.0, before: float = 600.0) -> Any:
    """Steady for long, then up at a rate [K/s] for 300 s to ``high``."""
    t = every(step, before + 300.0)
    return seen(t, high - rate * np.clip(900.0 - t, 0.0, 300.0))


def heat(e: Any, top: float, segment: RecipeSegment = SHORT) -> set[str]:
    return codes(alarms._heat(e, recipe(ceiling=limit(top)), segment))


def test_heat_is_told_past_the_target_and_from_a_creep_on() -> None:
    assert heat(rising(0.02, TOP + 1.05), TOP + 5) == {c.TOP_NEARS.code}
    assert heat(rising(0.02, TOP + 0.95), TOP + 5) == set()
    assert heat(rising(0.00525, TOP + 2), TOP + 3) == {c.TOP_NEARS.code}
    assert heat(rising(0.00475, TOP + 2), TOP + 3) == set()


def test_the_rate_of_heat_is_the_lesser_of_two_and_a_half_minutes_and_of_one_and_a_half() -> None:
    t = every(10.0, 900.0)
    flat = np.interp(t, [0, 790, 900], [TOP + 2, TOP + 2, TOP + 4.2])
    quick = alarms.slope(t, flat, 90.0, 3)
    slow = alarms.slope(t, flat, 150.0)
    assert slow < quick
    room = flat[-1] + 190.0 * slow  # three minutes off by the slow one, nearer by the quick one
    assert heat(seen(t, flat), room) == {c.TOP_NEARS.code}
    assert alarms.slope(t, flat, 100.0) > 1.06 * slow
    for step in (5.0, 45.0):  # a step of 45 s: three readings in 90 s
        t = every(step, 900.0)
        late = TOP + 2 + 0.02 * t + np.where(t > 805.0, 0.6, 0.0)  # a step 95 s ago
        assert alarms.slope(t, late, 90.0, 3) == pytest.approx(0.02)
        assert alarms.slope(t, late, 150.0) > 0.022
        assert heat(seen(t, late), late[-1] + 190.0 * 0.02) == {c.TOP_NEARS.code}
        if step == 5.0:
            assert heat(seen(t, late), late[-1] + 610.0 * 0.02) == set()
            assert heat(seen(t, late), late[-1] + 590.0 * 0.02) == {c.TOP_NEARS.code}


def test_a_peak_that_was_taken_back_halves_the_time_of_a_stop() -> None:
    def of(within: float, *, at: float = 560.0) -> set[str]:
        e = rising(0.02, TOP + 4)
        e.highest[(e.times >= at - 5) & (e.times <= at + 5)] = TOP + 4.5
        return heat(e, TOP + 4 + 0.02 * within)

    assert of(95.0) == {c.TOP_NEARS.code}
    assert of(85.0) == {c.TOP_SOON.code}
    assert of(175.0, at=-50.0) == {c.TOP_SOON.code}, "no peak before"
    e = rising(0.02, TOP + 4)
    assert alarms._last_peak(e) == pytest.approx(e.highest[0])
    e.highest[e.times == 610.0] = TOP + 9  # 290 s ago: this rise, no peak before it
    assert alarms._last_peak(e) < TOP
    e.highest[e.times == 590.0] = TOP + 8
    assert alarms._last_peak(e) == TOP + 8


def parabola(rate: float, bend: float, *, step: float = 5.0) -> Any:
    """Rises ever more slowly: ``rate`` [K/s] at the end, slowing by ``bend`` [K/s2]."""
    t = every(step, 600.0)
    back = 600.0 - t
    return seen(t, TOP - rate * back - 0.5 * bend * back**2)


@pytest.mark.parametrize(
    ("swings", "long", "short"), [(False, 300.0, 100.0), (True, 150.0, 60.0), (True, 300.0, 100.0)]
)
def test_a_rise_levels_off_by_its_own_deceleration(swings: bool, long: float, short: float) -> None:
    rate, bend = 0.02, 2e-4
    e = parabola(rate, bend)
    slow, quick = (alarms.slope(e.times, e.highest, x, 3) for x in (long, short))
    assert slow == pytest.approx(rate + bend * long / 2, rel=0.02)
    goes_on = (rate + bend * short / 2) ** 2 / (2 * bend)
    if swings and long == 300.0:
        e.highest[e.times >= 545.0] += (
            2.0 * (e.times[e.times >= 545.0] - 545.0) / 55.0
        )  # the short span speeds up
        quick = alarms.slope(e.times, e.highest, short, 3)
        slow = alarms.slope(e.times, e.highest, long, 3)
        goes_on = quick**2 / (2 * (slow - quick) / 100.0)
        assert alarms.slope(e.times, e.highest, 60.0, 3) > alarms.slope(e.times, e.highest, 150.0)
    assert alarms._levels_off(e, TOP, TOP + 1.04 * goes_on, swings)
    assert not alarms._levels_off(e, TOP, TOP + 0.96 * goes_on, swings)


def test_a_rise_that_does_not_slow_down_or_that_falls_levels_off_nowhere() -> None:
    assert not alarms._levels_off(parabola(0.02, -1e-5), TOP, TOP + 1e3, True)
    assert not alarms._levels_off(parabola(-0.02, 1e-4), TOP, TOP + 1e3, False)
    assert alarms._levels_off(parabola(0.02, 2e-4, step=45.0), TOP, TOP + 1e3, False), (
        "three readings in 100 s"
    )
    t = every(5.0, 600.0)
    kinked = seen(t, np.interp(t, [0, 300, 450, 500, 600], [TOP, TOP - 8, TOP - 8, TOP - 4.8, TOP]))
    assert alarms._levels_off(kinked, TOP, TOP + 1e3, True), "slower than it was two minutes ago"
    assert not alarms._levels_off(kinked, TOP, TOP + 1e3, False)
    e = parabola(0.02, 2e-4)
    assert heat(seen(e.times, e.highest + 2), TOP + 7) == set(), "ends below"
    straight = seen(e.times, TOP + 2 - 0.02 * (600.0 - e.times))
    assert heat(straight, TOP + 7) == {c.TOP_NEARS.code}


LEAST = VacuumRule(limit(22 * INHG))


def vacuum(
    fall: float, *, noise: float = 0.0, above: float = 100.0, most: float = 22 * INHG + 2e3, **how: Any
) -> set[str]:
    """Steady, then down by ``fall`` [Pa] in the last 150 s to ``above`` the least."""
    t = every(5.0, 600.0)
    v = 22 * INHG + above + fall * np.clip((600.0 - t) / 150.0, 0.0, how.get("longest", 1.0))
    v += noise * (-1.0) ** np.arange(t.size)
    v[0] = most
    for at, by in how.get("steps", ()):
        v[t.size - 1 - at :] += by
        v[t.size - at :] -= by
    hot = np.full(t.size, how.get("hot", TOP))
    r = recipe(vacuum=LEAST, release_most=limit(325.0))
    return codes(alarms._vacuum(seen(t, hot, vacuum=v), r))


def test_vacuum_that_falls_is_told_beyond_its_noise() -> None:
    assert vacuum(315.0) == {c.VACUUM_SOON.code}
    assert vacuum(285.0) == set()
    # alternating by 2 a, the spread of its steps is 2 a
    assert vacuum(1250.0, noise=150.0) == {c.VACUUM_SOON.code}
    assert vacuum(1150.0, noise=150.0) == set()
    assert vacuum(600.0, steps=((32, 900.0),)) == {c.VACUUM_SOON.code}, "a jump 32 samples ago is no noise"
    assert vacuum(600.0, steps=((20, 900.0),)) == set()
    assert vacuum(600.0, above=2200.0) == {c.VACUUM_SOON.code}, "in nine minutes"
    assert vacuum(600.0, above=2600.0) == set(), "in eleven"
    assert vacuum(600.0, hot=324.0) == set(), "may be released"
    assert vacuum(600.0, above=-700.0, most=22 * INHG - 50) == set(), "never was drawn"
    assert vacuum(600.0, above=-300.0) == {c.VACUUM_SOON.code}


def test_the_fall_of_vacuum_is_that_of_the_last_two_and_a_half_minutes() -> None:
    t = every(5.0, 600.0)
    v = np.interp(t, [0, 470, 490, 600], [22 * INHG + 700, 22 * INHG + 700, 22 * INHG + 300, 22 * INHG + 300])
    assert codes(alarms._vacuum(seen(t, np.full(t.size, TOP), vacuum=v), recipe(vacuum=LEAST))) == {
        c.VACUUM_SOON.code
    }


def test_few_steps_of_vacuum_tell_no_noise() -> None:
    t = np.array([0.0, 40.0, 80.0, 120.0, 150.0, 160.0])
    for count, told in ((6, False), (5, True)):
        v = 22 * INHG + np.array([1200.0, 200.0, 1100.0, 300.0, 500.0, 0.0])[-count:]
        e = seen(t[-count:], np.full(count, TOP), vacuum=v)
        fall = -alarms.slope(e.times, e.vacuum, 150.0) * 150.0
        noise = float(np.std(np.diff(v)))
        assert 300.0 < fall < 4 * noise
        assert bool(alarms._vacuum(e, recipe(vacuum=LEAST))) is told


def ramp(values: Array, t: Array, **how: Any) -> set[str]:
    """Alarms of a ramp with a window of 300 s to 390 K."""
    segment = RecipeSegment("up", SegmentKind.RAMP, TOP, rate_window=300.0, **how)
    return codes(alarms._ramp(seen(t, values), segment))


def test_a_ramp_is_told_by_half_its_window_and_a_slow_one_by_all_of_it() -> None:
    t = every(10.0, 900.0)
    bent = np.interp(t, [0, 750, 800, 900], [300.0, 330.0, 336.0, 340.0])  # quick 100 s ago, slower since
    rate = alarms.slope(t, bent, 150.0)
    assert ramp(bent, t, rate_most=limit(rate / 1.04)) == {c.RAMP_SOON.code}
    assert ramp(bent, t, rate_most=limit(rate / 1.02)) == set()
    assert abs(alarms.slope(t, bent, 100.0) / rate - 1) > 0.05
    slow = alarms.slope(t, bent, 300.0)
    assert ramp(bent, t, rate_least=limit(1.01 * slow)) == {c.RAMP_SLOWS.code}
    assert ramp(bent, t, rate_least=limit(0.99 * slow)) == set()


def test_a_ramp_is_slow_only_once_it_has_begun_and_before_it_ends() -> None:
    def of(span: float, rise: float, end: float) -> set[str]:
        t = every(10.0, span)
        return ramp(end - rise + rise * t / span, t, rate_least=limit(1.0))

    assert of(620.0, 15.0, 350.0) == {c.RAMP_SLOWS.code}
    assert of(590.0, 15.0, 350.0) == set(), "twice the window"
    assert of(700.0, 10.5, 350.0) == {c.RAMP_SLOWS.code}
    assert of(700.0, 9.5, 350.0) == set(), "10 K up"
    assert of(700.0, 15.0, TOP - 15.5) == {c.RAMP_SLOWS.code}
    assert of(700.0, 15.0, TOP - 14.5) == set(), "15 K to go"


def test_a_dwell_that_sinks_is_told_by_two_and_a_half_minutes() -> None:
    t = every(10.0, 900.0)
    low = np.interp(t, [0, 740, 790, 900], [389.0, 389.0, 387.0, 387.0])
    rate = -alarms.slope(t, low, 150.0)
    assert rate > 0.0055
    assert codes(alarms._dwell(seen(t, low), SHORT, 0.0)) == {c.BAND_NEARS.code}
    for creep, told in ((0.00525, {c.BAND_NEARS.code}), (0.00475, set())):
        assert codes(alarms._dwell(seen(t, 386.0 - creep * (t - 900.0)), SHORT, 0.0)) == told


def test_a_fall_is_told_by_half_its_window() -> None:
    t = every(10.0, 900.0)
    bent = np.interp(t, [0, 750, 800, 900], [360.0, 340.0, 334.0, 330.0])
    rate = -alarms.slope(t, bent, 150.0)
    for share, told in ((1.04, {c.COOL_SOON.code}), (1.02, set())):
        segment = RecipeSegment(
            "down", SegmentKind.COOL, 310.0, rate_window=300.0, rate_most=limit(rate / share)
        )
        assert codes(alarms._cool(seen(t, bent), recipe(), segment)) == told


def test_silence_of_a_quick_logger_is_five_seconds() -> None:
    m = made(length=3000.0)
    m.times = m.times / 10.0
    e = gather(m.log(), live=True)
    assert alarms.silence(e, 4.8) == []
    assert codes(alarms.silence(e, 5.2)) == {c.SILENT.code}


@pytest.mark.parametrize(
    ("step", "gap", "last"),
    [(10.0, 40.0, 40.0), (10.0, 90.0, 60.0), (10.0, 12.0, 12.0), (40.0, 300.0, 100.0), (10.0, 2.0, 5.0)],
)
def test_silence_asks_the_longest_gap_of_the_data_and_a_minute_at_most(
    step: float, gap: float, last: float
) -> None:
    m = made(length=3000.0)
    m.times = m.times * step / 10.0
    asked = recipe(longest_gap=gap)
    for silent, told in ((last - 0.2, False), (last + 0.2, True)):
        now = look(asked, m.log(), silent=silent)
        assert (c.SILENT.code in {a.finding.code for a in now.alarms}) is told


def test_the_watch_counts_a_dwell_as_the_verdict_does_by_the_longest_gap_of_the_data() -> None:
    m = made()
    hole = (m.times > 4000.0) & (m.times < 4120.0)
    m.times, m.temps, m.vacuum, m.set_point = (x[~hole] for x in (m.times, m.temps, m.vacuum, m.set_point))
    at = int(np.searchsorted(m.times, 5000.0))
    m.times, m.temps, m.vacuum, m.set_point = (x[:at] for x in (m.times, m.temps, m.vacuum, m.set_point))
    held = {gap: look(recipe(longest_gap=gap), m.log()).held for gap in (None, 119.0, 121.0)}
    assert held[None] == held[119.0] == pytest.approx(870.0, abs=15.0)
    assert held[121.0] > 2000.0
    with pytest.raises(InputError, match="longest gap"):
        recipe(longest_gap=0.0)


def test_what_is_far_beside_the_prediction_is_told_at_10_kelvin() -> None:
    e = seen(every(10.0, 100.0), np.full(11, TOP))
    assert codes(alarms.beside_prediction(e, TOP + 10.5)) == {c.BEHIND.code}
    assert codes(alarms.beside_prediction(e, TOP - 10.5)) == {c.AHEAD_OF_IT.code}
    assert alarms.beside_prediction(e, TOP + 9.5) == []


def test_a_frozen_log_is_told_with_its_age() -> None:
    m = made()
    rng = np.random.default_rng(4)
    m.temps = np.round(m.temps + rng.normal(0, 0.3, m.temps.shape), 1)
    m.temps[400:] = m.temps[400]
    rows = m.times <= 4900.0
    m.times, m.temps, m.vacuum, m.set_point = m.times[rows], m.temps[rows], m.vacuum[rows], m.set_point[rows]
    now = look(recipe(), m.log())
    (words,) = [a.finding.words for a in now.alarms if a.finding.code == c.FROZEN.code]
    assert "for 15 min" in words
    assert alarms.clock_now(gather(made().log(), live=True)) == []


def test_a_prediction_is_two_times_at_least() -> None:
    assert Predicted((0.0, 60.0), (300.0, 301.0)).temps == (300.0, 301.0)
    with pytest.raises(InputError):
        Predicted((0.0,), (300.0,))


@pytest.mark.parametrize("step", [10.0, 60.0, 100.0, 180.0])
def test_limits_ahead_are_told_at_any_sampling(step: float) -> None:
    """At a reading a minute no rate of two and a half minutes was known: a rise was told when its limit was
    passed, a vacuum that fell and a band that was left not at all."""
    t = every(step, 3600.0)
    ends = t[-1]
    up = TOP + 5.0 + 0.02 * np.clip(t - ends + 900.0, 0.0, None)
    assert heat(seen(t, up), up[-1] + 0.02 * 120.0) == {c.TOP_SOON.code}
    down = LOW + 1.7 + 0.01 * np.clip(ends - t, 0.0, 900.0)
    assert codes(alarms._dwell(seen(t, down), SHORT, 0.0)) == {c.BAND_SOON.code}
    air = 24.0 * INHG - 10.0 * np.clip(t - ends + 900.0, 0.0, None)
    asked = recipe(vacuum=VacuumRule(limit(air[-1] - 1000.0)))
    assert codes(alarms._vacuum(seen(t, up, vacuum=air), asked)) == {c.VACUUM_SOON.code}
    level = np.full(t.size, TOP + 5.0)
    assert heat(seen(t, level), TOP + 6.0) == set()


def test_a_rate_reaches_further_back_only_where_steps_are_long() -> None:
    t = every(60.0, 1200.0)
    v = np.where(t >= 1020.0, t, 0.0)
    assert alarms.slope(t, v, 150.0) == pytest.approx(1.0), "the four newest readings"
    lost = np.where(t == 1080.0, math.nan, 0.5 * t)
    assert alarms.slope(t, lost, 150.0) == pytest.approx(0.5), "one of them may be missing"
    lost[t == 1140.0] = math.nan
    assert math.isnan(alarms.slope(t, lost, 150.0)), "two may not"
    quick = np.array([*every(10.0, 600.0), 900.0, 910.0])
    assert math.isnan(alarms.slope(quick, quick, 150.0)), "a hole is not bridged"
