"""Numbers of the rules that planted faults showed untried, from both sides."""

from __future__ import annotations

import dataclasses
from datetime import datetime, timedelta

import numpy as np
import pytest

from judge_lines import START, TOP, limit, made, recipe
from made_curelog import INHG, Made
from panelmend.errors import InputError
from panelmend.physics.cure_chemistry import n_order
from panelmend.plan.judge import (
    Channel,
    ChannelRole,
    CureLog,
    LeakReading,
    LeakRule,
    Outcome,
    RecipeSegment,
    ResinConstants,
    SegmentKind,
    SensorRule,
    VacuumRule,
    judge,
)
from panelmend.plan.judge import codes as c
from panelmend.plan.judge.evidence import gather
from panelmend.plan.judge.faults import check_readings, find_faults
from panelmend.plan.judge.faults_sensor import absent_faults, spike_mask
from panelmend.plan.judge.faults_vacuum import vacuum_faults
from panelmend.plan.judge.holes import slowest_at_least
from panelmend.plan.judge.recipe import CureRecipe
from panelmend.plan.judge.rules_job import JobTimes
from panelmend.plan.judge.rules_sensors import _history, cure_of_slowest
from panelmend.plan.judge.spans import trace_at, window_rates
from panelmend.plan.judge.walk import walk

BEGUN = datetime(2026, 11, 25, 8)
CONFORMS, UNKNOWN, DOES_NOT = Outcome.CONFORMS, Outcome.UNKNOWN, Outcome.DOES_NOT


def of_rule(r: CureRecipe, m: Made, name: str) -> list[Outcome]:
    return [x.outcome for x in judge(r, m.log()).reasons if x.rule.startswith(name)]


def until(m: Made, time: float) -> Made:
    rows = m.times <= time
    return Made(m.times[rows], m.temps[rows], m.vacuum[rows], m.set_point[rows], m.names)


def test_a_band_that_was_not_reached_may_still_be_while_the_part_has_not_cooled_by_3_kelvin() -> None:
    r = recipe(dwell={"band_low": limit(TOP + 2.0)})
    for fell, outcome in ((2.8, UNKNOWN), (3.2, DOES_NOT)):
        m = until(made(held=4000.0), 6000.0)
        m.temps[-20:] -= fell
        assert of_rule(r, m, "entry into the band") == [outcome]


def test_a_dwell_that_a_hole_or_the_end_of_the_log_could_hide_cannot_be_judged() -> None:
    m = until(made(), 5000.0)
    assert of_rule(recipe(), m, "dwell") == [UNKNOWN]
    for seconds, outcome in ((200.0, CONFORMS), (900.0, UNKNOWN)):
        hole = made()
        kept = (hole.times < 4000.0) | (hole.times >= 4000.0 + seconds)
        hole.times, hole.temps, hole.vacuum, hole.set_point = (
            x[kept] for x in (hole.times, hole.temps, hole.vacuum, hole.set_point)
        )
        r = recipe(dwell={"summed": True, "dwell_least": limit(3700.0)})
        assert of_rule(r, hole, "dwell") == [outcome]
    short = recipe(dwell={"dwell_least": limit(9000.0)})
    assert of_rule(short, made(), "dwell") == [DOES_NOT]


def test_spread_is_that_of_the_dwell_and_not_of_the_ramp() -> None:
    r = recipe(dwell={"spread_most": limit(3.0)})
    for ramp, dwell, outcome in ((20.0, 1.0, CONFORMS), (1.0, 4.0, DOES_NOT)):
        m = made()
        knots = [600.0, 1000.0, 1500.0, 2600.0, 6000.0, 7000.0]
        m.temps[:, 3] -= np.interp(m.times, knots, [0.0, ramp, ramp, dwell, dwell, 0.0])
        assert of_rule(r, m, "spread") == [outcome]


def dips(*depths: tuple[float, float, float]) -> tuple[list[str], list[float]]:
    """Dips (begin, samples, K below the band): what is said of them, and time held before deep ones."""
    m = made(held=6000.0)
    for begin, seconds, by in depths:
        rows = (m.times >= begin) & (m.times < begin + seconds)
        m.temps[rows] = 385.0 - by + 1e-4 * np.arange(4) + 1e-3 * (np.arange(rows.sum()) % 2)[:, None]
    v = judge(recipe(), m.log())
    words = [f.words for f in v.findings if f.code in (c.BELOW_BAND.code, c.INTERRUPTED.code)]
    return words, [i.held_before for i in v.interruptions]


def test_a_dip_is_noise_up_to_a_kelvin_and_a_minute() -> None:
    # a dip of n samples is n + 1 steps wide, less what lies above the band on its flanks
    assert [len(dips((4000.0, 30.0, x))[0]) for x in (0.95, 1.05)] == [0, 1]
    said = [len(dips((4000.0, s, 0.9))[0]) for s in (60.0, 70.0)]  # 53 and 63 s below
    assert said == [0, 1]


def test_an_interruption_tells_the_time_held_before_it() -> None:
    words, held = dips((4000.0, 100.0, 9.0), (5000.0, 100.0, 9.0))
    assert len(words) == len(held) == 2
    assert held[0] == pytest.approx(4000.0 - 2725.0, abs=15.0)
    assert held[1] == pytest.approx(held[0] + 900.0, abs=25.0)
    assert [len(dips((4000.0, 100.0, x))[1]) for x in (7.8, 8.2)] == [0, 1]


def test_times_of_a_job_lie_within_a_week() -> None:
    on = datetime(2026, 11, 25, 8)
    assert JobTimes(on, on + timedelta(days=6.9))
    with pytest.raises(InputError, match="do not fit"):
        JobTimes(on, on + timedelta(days=7.1))
    with pytest.raises(InputError, match="do not fit"):
        JobTimes(on, on)


def test_hours_between_a_job_and_its_log_are_told() -> None:
    m = made()
    (r,) = [
        x
        for x in judge(
            recipe(), m.log(), job=JobTimes(BEGUN - timedelta(hours=30), BEGUN + timedelta(hours=4))
        ).reasons
        if x.rule == "log of this job"
    ]
    assert "before the heat of this log: 30 h; times further than 24 h" in r.words


def test_the_log_shows_a_leak_test_within_a_minute_of_it() -> None:
    r = recipe(vacuum=VacuumRule(limit(22 * INHG)), leak=LeakRule(limit(INHG), 60.0))
    top = 24.0 * INHG
    for low_until, outcome in ((360.0, CONFORMS), (370.0, UNKNOWN)):
        m = made()
        m.vacuum[m.times < low_until] = 10e3
        reading = LeakReading(top, top, 60.0, at=BEGUN + timedelta(seconds=305))
        reasons = judge(r, m.log(), leak=reading, job=JobTimes(BEGUN, BEGUN + timedelta(hours=6))).reasons
        assert next(x.outcome for x in reasons if "leak test" in x.rule) is outcome


def test_half_of_the_highest_vacuum_is_a_vacuum() -> None:
    for share, outcome in ((0.47, CONFORMS), (0.53, UNKNOWN)):
        m = made()
        m.vacuum[m.times < 390.0] = share * m.vacuum.max()
        job = JobTimes(BEGUN + timedelta(seconds=600), BEGUN + timedelta(hours=5))
        reasons = judge(recipe(), m.log(), job=job).reasons
        assert next(x.outcome for x in reasons if x.rule == "log of this job") is outcome


def test_rates_count_from_where_the_data_lets_them() -> None:
    """Quick below 340 K and slow above it, and the other way round."""
    for low, high, outcome in ((0.08, 0.03, CONFORMS), (0.03, 0.08, DOES_NOT)):
        m = made(held=6000.0)
        a = 600.0 + 40.0 / low
        b = a + 50.0 / high
        m.temps = np.interp(m.times, [600.0, a, b, b + 4500.0, b + 8000.0], [START, 340.0, TOP, TOP, 310.0])[
            :, None
        ] + (1e-4 * np.sin(m.times / 7.0)[:, None] * [1.0, 0.9, 0.8, 0.7])
        r = recipe(ramp={"rate_most": limit(0.05), "rate_above": 341.0})
        assert set(of_rule(r, m, "fastest rise")) == {outcome}
        mean = recipe(ramp={"rate_least": limit(0.05), "rate_above": 341.0})
        assert set(of_rule(mean, m, "mean rise")) == {DOES_NOT if outcome is CONFORMS else CONFORMS}


def test_a_rate_over_a_hole_longer_than_its_window_is_not_known() -> None:
    for seconds, outcome in ((280.0, CONFORMS), (320.0, UNKNOWN)):
        m = made()
        kept = (m.times <= 1000.0) | (m.times >= 1000.0 + seconds)
        m.times, m.temps, m.vacuum, m.set_point = (x[kept] for x in (m.times, m.temps, m.vacuum, m.set_point))
        found = of_rule(recipe(ramp={"rate_most": limit(0.05)}), m, "fastest rise")
        assert (UNKNOWN in found) is (outcome is UNKNOWN)


def test_thermocouples_count_from_the_heat_to_the_end_of_the_last_dwell() -> None:
    r = dataclasses.replace(recipe(), sensors=SensorRule(4, "table 1", may_fail=0))
    for begin, end, outcome in ((0, 50, None), (9000, 12000, CONFORMS), (4000, 12000, DOES_NOT)):
        m = made()
        m.temps[(m.times >= begin) & (m.times < end), 1] = np.nan
        found = of_rule(r, m, "thermocouples that work")
        assert found == [outcome if outcome is not None else CONFORMS]


def test_two_thermocouples_that_stop_together_are_the_logger() -> None:
    m = made(sensors=2)
    m.temps[-30:] = np.nan
    found = {f.finding.code for f in check_readings(m.log()).faults}
    assert c.STOPPED.code not in found
    m = made(sensors=2)
    m.temps[-30:, 0] = np.nan
    assert c.STOPPED.code in {f.finding.code for f in check_readings(m.log()).faults}


def test_two_heats_are_one_too_many() -> None:
    m = made()
    m.temps += np.interp(m.times, [9700, 10900, 11900], [0, 32.0, 0])[:, None]
    assert of_rule(recipe(), m, "one heat") == [UNKNOWN]
    assert of_rule(recipe(), made(), "one heat") == []


def test_a_contact_counts_as_loose_from_a_minute_without_a_reading() -> None:
    for step, told in ((9.0, True), (8.0, False)):  # seven steps: 63 and 56 s
        t = np.arange(600) * step
        v = np.full(600, 300.0)
        for at in (100, 200, 300):
            v[at : at + 6] = np.nan
        log = CureLog(t, (Channel("T1", ChannelRole.THERMOCOUPLE, "temperature", v.copy()),))
        found = [f.finding.code for f in absent_faults(log, "T1", v, np.ones(600, np.bool_))]
        assert found == [c.LOOSE.code if told else c.MISSING.code]


def gauge(v: np.ndarray, step: float) -> bool:
    t = np.arange(v.size) * step
    temps = np.full((v.size, 1), 300.0)
    log = CureLog(t, (Channel("V", ChannelRole.VACUUM, "pressure", v.copy()),), ambient=101325.0)
    return any(f.finding.code == c.FROZEN.code for f in vacuum_faults(log, log.channel("V"), temps))


def test_a_gauge_that_stands_does_so_for_twenty_steps_beside_drawn_vacuum() -> None:
    lively = 8e4 + 20.0 * np.cumsum((-1.0) ** np.arange(300))
    for steps, told in ((20, True), (19, False)):
        v = lively.copy()
        v[200 : 201 + steps] = v[200]
        v[201 + steps :] += 7.0
        v[:200] -= 7.0
        assert gauge(v, 32.0) is told
    for share, told in (
        (0.83, True),
        (0.77, False),
        (1.17, True),
        (1.23, False),
    ):  # of the level it stands at
        v = share * 8e4 + 20.0 * np.cumsum((-1.0) ** np.arange(300))
        v[200:261] = 8e4
        assert gauge(v, 32.0) is told


def two_steps() -> CureRecipe:
    """A dwell at 355 K without a top, before the one at 390 K."""
    soak = RecipeSegment("soak", SegmentKind.DWELL, 355.0, band_low=limit(350.0), dwell_least=limit(60.0))
    r = recipe()
    return dataclasses.replace(r, segments=(r.segments[0], soak, *r.segments[1:]))


def test_a_dwell_without_a_top_ends_half_way_to_the_hotter_one() -> None:
    walked = walk(gather(made().log()), two_steps())
    soak = next(s for s in walked if s.segment.name == "soak")
    assert soak.end == pytest.approx(600.0 + (372.5 - START) / 0.04, abs=1.0)


def test_a_hole_wider_than_the_gap_that_lies_in_it_is_closed_too() -> None:
    m = made()
    kept = (m.times <= 4000.0) | (m.times >= 4080.0)
    m.temps[(m.times > 3960.0) & (m.times < 4120.0), 1] = np.nan
    e = gather(Made(m.times[kept], m.temps[kept], m.vacuum[kept], m.set_point[kept], m.names).log(), 60.0)
    assert not e.known.all()
    lowest, known = slowest_at_least(e, TOP - 80.0)
    assert known.all()
    assert np.isfinite(lowest).all()
    assert not slowest_at_least(e, TOP - 10.0)[1].all(), "it may have fallen below that"


def test_a_spike_is_told_in_five_readings_and_not_in_four() -> None:
    for count, told in ((5, True), (4, False)):
        values = np.full(count, 330.0)
        values[count // 2] = 370.0
        log = CureLog(
            10.0 * np.arange(count), (Channel("T1", ChannelRole.THERMOCOUPLE, "temperature", values),)
        )
        assert spike_mask(log, values).any() is np.bool_(told)


def test_a_vacuum_that_the_air_cannot_give_is_said_to_be_one() -> None:
    r = recipe(vacuum=VacuumRule(limit(90e3)))
    for air, told in ((89e3, True), (91e3, False)):
        verdict = judge(r, made().log(ambient=air))
        assert ("cannot give it at all" in verdict.against()[0].words) is told


def test_a_log_that_ends_under_vacuum_is_released_cold_or_not_known() -> None:
    for release, outcome in ((329.9, UNKNOWN), (330.2, CONFORMS)):
        m = until(made(), 6850.0 + (TOP - 330.0) / 0.03)
        m.vacuum[-5:] = 24.0 * INHG
        r = recipe(vacuum=VacuumRule(limit(20 * INHG)), release_most=limit(release))
        assert of_rule(r, m, "release") == [outcome]


def test_a_leak_test_in_the_log_begins_in_it() -> None:
    r = recipe(vacuum=VacuumRule(limit(20 * INHG)), leak=LeakRule(limit(INHG), 60.0))
    m = made()
    m.vacuum = 24.0 * INHG - 0.01 * m.times
    for started, told in ((-55.0, False), (-65.0, True)):
        verdict = judge(r, m.log(), leak_started=started)
        words = next(x.words for x in verdict.reasons if "leak test" in x.rule)
        assert ("no leak test is recorded" in words) is told


def test_windows_of_a_rate_to_the_last_sample() -> None:
    begins, rates, _ = window_rates(np.array([0.0, 10.0]), np.array([300.0, 301.0]), 0.0, 10.0, 10.0, 60.0)
    assert (begins.tolist(), rates.tolist()) == ([0.0], [pytest.approx(0.1)])
    times, values = np.array([0.0, 7.0, 20.0]), np.array([300.0, 300.0, 313.0])
    begins, rates, _ = window_rates(times, values, 0.0, 20.0, 10.0, 60.0)
    assert begins.tolist() == [0.0, 7.0, 10.0]
    assert rates[-1] == pytest.approx(1.0)


def test_a_degree_of_cure_needs_two_readings_and_takes_the_lower_side_of_gaps_of_a_second() -> None:
    resin = ResinConstants(n_order(1e5, 6e4, 1.0))
    for count, known in ((2, True), (1, False)):
        values = np.full(count, 400.0)
        log = CureLog(
            600.0 * np.arange(count), (Channel("T1", ChannelRole.THERMOCOUPLE, "temperature", values),)
        )
        assert (cure_of_slowest(gather(log, 1e4), resin)[0] == "T1") is known
    times = 1.05 * np.arange(30)
    e = gather(CureLog(times, (Channel("T1", ChannelRole.THERMOCOUPLE, "temperature", 350.0 + times),)), 0.5)
    assert _history(e, e.temps[:, 0])[0].size > 30, "gaps have points of their own"
    wide = dataclasses.replace(e, gap=1.1)
    assert _history(wide, e.temps[:, 0])[0].size == 30


def test_before_the_first_and_after_the_last_reading_a_trace_shows_that_reading() -> None:
    times = np.arange(5.0)
    values = np.array([np.nan, 300.0, 301.0, 302.0, np.nan])
    assert [trace_at(times, values, t) for t in (0.0, 1.5, 4.0)] == [300.0, 300.5, 302.0]
    assert np.isnan(trace_at(times, np.full(5, np.nan), 2.0))


def test_missing_vacuum_is_told_by_its_longest_run() -> None:
    m = made()
    m.vacuum[100:103] = m.vacuum[300:310] = m.vacuum[500:502] = np.nan
    told = next(f.finding.words for f in find_faults(m.log()) if f.finding.code == c.V_MISSING.code)
    assert "15 cells, the longest run 110 s" in told
    assert f"(at {m.log().clock(3000.0)})" in told
