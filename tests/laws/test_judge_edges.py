"""Edge decisions of the judge, each as written in docs/method/verdict.md."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from made_curelog import AIR, INHG, made_cure
from panelmend.errors import InputError
from panelmend.physics.cure_chemistry import n_order
from panelmend.plan.judge import (
    Channel,
    ChannelRole,
    CureLog,
    CureRecipe,
    LeakReading,
    Outcome,
    RecipeSegment,
    ResinConstants,
    SensorRule,
    Verdict,
    judge,
)
from recipe_curelog import COOL, DWELL, LEAKY, RAMP, RECIPE, at, f, two_step, with_dwell

ONE = SensorRule(1, "note")


def log_of(times: list[float], *columns: list[float], vacuum: float = 24 * INHG) -> CureLog:
    """Channels of straight lines. Ten nanokelvin move them all: readings as fine as these that
    stand still for half an hour of heat are those of a logger that has stopped."""
    t = np.array(times)
    alive = 1e-8 * np.sin(t / 70.0)
    couples = [
        Channel(f"TC{i + 1}", ChannelRole.THERMOCOUPLE, "temperature", np.array(c) + alive)
        for i, c in enumerate(columns)
    ]
    return CureLog(
        t, (*couples, Channel("Bag", ChannelRole.VACUUM, "pressure", vacuum + 50.0 * np.sin(t / 700.0)))
    )


def simple(*, dwell: float = 3600.0, rate_most: float | None = None, summed: bool = False) -> CureRecipe:
    """Straight lines: 300 K, ramp 0.05 K/s to 390 K, dwell, fall."""
    ramp = RecipeSegment(
        "up", RAMP.kind, 390.0, rate_most=at(rate_most, "a") if rate_most else None, rate_window=300.0
    )
    hold = RecipeSegment(
        "hold",
        DWELL.kind,
        390.0,
        band_low=at(385.0, "b"),
        band_high=at(395.0, "b"),
        dwell_least=at(dwell, "b"),
        summed=summed,
    )
    return CureRecipe("lines", (ramp, hold), ONE)


TIMES = np.arange(0.0, 9001.0, 30.0)


def line(top: float = 390.0, hold: float = 4200.0) -> list[float]:
    knots = [0.0, 600.0, 600.0 + (top - 300) / 0.05, 600.0 + (top - 300) / 0.05 + hold]
    return list(np.interp(TIMES, [*knots, knots[-1] + 1200], [300, 300, top, top, 320]))


def reason(verdict: Verdict, rule: str) -> float:
    return next(r.value for r in verdict.reasons if r.rule.startswith(rule))


def test_exactly_on_a_limit_conforms() -> None:
    flat = log_of(list(TIMES), line(395.0))
    assert judge(simple(), flat).outcome is Outcome.CONFORMS
    above = log_of(list(TIMES), line(395.001))
    assert judge(simple(), above).outcome is Outcome.DOES_NOT
    on_low = log_of(list(TIMES), line(385.0))
    assert judge(simple(), on_low).outcome is Outcome.CONFORMS
    below = log_of(list(TIMES), line(384.999))
    assert judge(simple(), below).outcome is Outcome.DOES_NOT


def test_rate_exactly_on_its_limit_conforms() -> None:
    log = log_of(list(TIMES), line())
    assert judge(simple(rate_most=0.05), log).outcome is Outcome.CONFORMS
    assert judge(simple(rate_most=0.0499), log).outcome is Outcome.DOES_NOT


def test_dwell_is_counted_from_crossing_to_crossing() -> None:
    """Up through 385 K at 0.05 K/s, 100 s before the hold; down through it 5/70 of 1200 s after it."""
    log = log_of(list(TIMES), line())
    exact = 100.0 + 4200.0 + 1200.0 * 5 / 70
    assert reason(judge(simple(), log), "dwell by the slowest") == pytest.approx(exact, abs=1.0)


def test_a_longer_dwell_never_turns_a_verdict_bad() -> None:
    needed = 100.0 + 4200.0 + 1200.0 * 5 / 70
    log = log_of(list(TIMES), line())
    assert judge(simple(dwell=needed - 1.0), log).outcome is Outcome.CONFORMS
    assert judge(simple(dwell=needed + 1.0), log).outcome is Outcome.DOES_NOT


def test_the_slowest_decides_the_dwell_and_the_fastest_the_top() -> None:
    cold, hot = list(np.interp(TIMES - 120.0, TIMES, line())), line(394.0)
    verdict = judge(simple(), log_of(list(TIMES), line(), cold, hot))
    entry = next(r for r in verdict.reasons if r.rule.startswith("dwell by the slowest"))
    assert entry.sensor == "TC2"
    top = next(r for r in verdict.reasons if r.rule == "top of the band")
    assert (top.sensor, top.value) == ("TC3", pytest.approx(394.0, abs=1e-3))


def broken(depth: float) -> CureLog:
    values = np.array(line(hold=5400.0)) + 1e-3 * np.sin(TIMES / 70.0)  # no reading stands still for an hour
    values[(TIMES >= 5000) & (TIMES < 5300)] = depth
    return log_of(list(TIMES), list(values), list(values))


def test_continuous_and_summed_dwell_differ_as_the_data_says() -> None:
    log = broken(380.0)
    whole = reason(judge(simple(dwell=4800.0), log), "dwell")
    assert judge(simple(dwell=4800.0), log).outcome is Outcome.DOES_NOT
    assert judge(simple(dwell=4800.0, summed=True), log).outcome is Outcome.CONFORMS
    assert whole < reason(judge(simple(dwell=4800.0, summed=True), log), "dwell")


def test_an_interrupted_cure_is_told_with_what_happened() -> None:
    verdict = judge(simple(dwell=4800.0), broken(340.0))
    assert len(verdict.interruptions) == 1
    told = verdict.interruptions[0]
    assert told.least == pytest.approx(340.0)
    assert 270 < told.end - told.start < 360
    assert told.held_before == pytest.approx(2690, abs=30)
    assert told.vacuum == pytest.approx(24 * INHG, abs=60)


def test_time_in_a_gap_does_not_count() -> None:
    keep = (TIMES < 4000) | (TIMES > 4600)
    values = np.array(line())
    log = log_of(list(TIMES[keep]), list(values[keep]))
    verdict = judge(simple(dwell=3600.0), log)
    assert verdict.outcome is Outcome.UNKNOWN
    assert "gap" in verdict.against()[0].words
    enough = judge(simple(dwell=2000.0), log)
    dwell = next(r for r in enough.reasons if r.rule.startswith("dwell by the slowest"))
    assert dwell.outcome is Outcome.CONFORMS
    assert {r.rule for r in enough.against()} == {"top of the band"}, "ten minutes could hide a peak"
    never = judge(simple(dwell=6000.0), log)
    assert never.outcome is Outcome.DOES_NOT


def test_a_logger_that_writes_only_changes_needs_its_longest_gap() -> None:
    values = np.array(line())
    keep = np.concatenate([[True], np.abs(np.diff(values)) > 0.1]) | (np.arange(TIMES.size) % 10 == 0)
    log = log_of(list(TIMES[keep]), list(values[keep]))
    assert judge(simple(), log).outcome is Outcome.UNKNOWN
    assert judge(simple(), log, longest_gap=310.0).outcome is Outcome.CONFORMS
    with pytest.raises(InputError, match="longest gap"):
        judge(simple(), log, longest_gap=0.0)


def test_one_missing_reading_is_bridged_and_a_long_hole_is_not() -> None:
    values = np.array(line())
    values[140] = np.nan
    other = line()
    assert judge(simple(), log_of(list(TIMES), list(values), other, other)).outcome is Outcome.CONFORMS
    values[130:145] = np.nan
    assert judge(simple(), log_of(list(TIMES), list(values), other, other)).outcome is Outcome.UNKNOWN


def test_sampling_does_not_change_the_verdict_on_straight_lines() -> None:
    knots_t, knots_v = [0, 600, 2400, 6600, 7800, 9000], [300, 300, 390, 390, 320, 320]
    seen = set()
    for step in (5.0, 10.0, 30.0, 60.0):
        t = np.arange(0.0, 9001.0, step)
        verdict = judge(simple(), log_of(list(t), list(np.interp(t, knots_t, knots_v))))
        seen.add((verdict.outcome, round(reason(verdict, "dwell by the slowest") / 60, 1)))
    assert len(seen) == 1


def test_repeated_stamps_of_a_minute_clock_are_judged() -> None:
    t = np.floor(np.arange(0.0, 9001.0, 10.0) / 60) * 60
    values = np.interp(
        np.arange(0.0, 9001.0, 10.0), [0, 600, 2400, 6600, 7800, 9000], [300, 300, 390, 390, 320, 320]
    )
    log = dataclasses.replace(log_of(list(t), list(values)), stamp_step=60.0)
    assert judge(simple(rate_most=0.06), log).outcome is Outcome.CONFORMS


def test_two_dwells_are_judged_one_after_the_other() -> None:
    t = np.arange(0.0, 16000.0, 20.0)
    soak, hot = f(180), f(250)
    knots = [(0, 294), (600, 294), (600 + (soak - 294) / 0.04, soak)]
    knots.append((knots[-1][0] + 1800, soak))
    knots.append((knots[-1][0] + (hot - soak) / 0.04, hot))
    knots.append((knots[-1][0] + 4000, hot))
    knots.append((knots[-1][0] + (hot - 315) / 0.035, 315))
    curve = np.interp(t, *zip(*knots, strict=True))
    values = [list(curve + d) for d in (-1.0, 0.0, 1.0)]
    verdict = judge(two_step(), log_of(list(t), *values))
    assert verdict.outcome is Outcome.CONFORMS, [r.words for r in verdict.against()]
    rows = {r.name: r for r in verdict.segments}
    assert rows["soak"].end <= rows["cure"].start
    assert rows["soak"].held == pytest.approx(1800, abs=400)


@pytest.mark.parametrize(
    ("end", "seconds", "outcome"),
    [
        (25.2, 60.0, Outcome.CONFORMS),
        (25.0, 60.0, Outcome.CONFORMS),  # exactly 1 inHg
        (24.8, 60.0, Outcome.DOES_NOT),
        (25.5, 30.0, Outcome.UNKNOWN),  # shorter: not scaled up
        (25.2, 300.0, Outcome.CONFORMS),  # longer and within: better than asked
        (23.0, 300.0, Outcome.UNKNOWN),  # longer and over: not scaled down
    ],
)
def test_leak_test(end: float, seconds: float, outcome: Outcome) -> None:
    verdict = judge(LEAKY, made_cure(1).log(), leak=LeakReading(26 * INHG, end * INHG, seconds))
    assert verdict.outcome is outcome


def test_leak_test_within_the_log() -> None:
    made = made_cure(1, before=1200.0)
    test = (made.times >= 300) & (made.times <= 400)
    made.vacuum[test] = (24 - 0.5 * (made.times[test] - 300) / 60) * INHG
    assert judge(LEAKY, made.log(), leak_started=300.0).outcome is Outcome.CONFORMS
    made.vacuum[test] = (24 - 1.2 * (made.times[test] - 300) / 60) * INHG
    assert judge(LEAKY, made.log(), leak_started=300.0).outcome is Outcome.DOES_NOT


def test_vacuum_that_the_air_cannot_give_is_said() -> None:
    made = made_cure(1, vacuum=21 * INHG)
    verdict = judge(RECIPE, made.log(), ambient=21.9 * INHG)
    words = next(r.words for r in verdict.against() if r.rule == "vacuum")
    assert "cannot give it at all" in words
    assert verdict.outcome is Outcome.DOES_NOT


def test_degree_of_cure_of_the_slowest() -> None:
    """n-th order at a constant rate constant: alpha = 1 - (1 + (n-1) k t)^(1/(1-n))."""
    t = np.arange(0.0, 1001.0, 10.0)
    hot = np.full(t.size, 390.0)
    hot[0] = 389.0
    k = 1e-3
    resin = ResinConstants(
        n_order(1e-3 * math.exp(1e3 / (8.314462618 * 390.0)), 1e3, 1.5), glass=(266.15, 523.15, 0.78)
    )
    recipe = dataclasses.replace(simple(dwell=500.0), degree_least=at(0.55, "d"), glass_least=at(300.0, "d"))
    verdict = judge(recipe, log_of(list(t), list(hot)), resin=resin)
    assert verdict.degree == pytest.approx(1 - (1 + 0.5 * k * 1000) ** -2, abs=2e-4)
    assert verdict.glass > 300
    missing = judge(recipe, log_of(list(t), list(hot)))
    assert any("constants" in r.words for r in missing.against())


@settings(derandomize=True, database=None, deadline=None, max_examples=40)
@given(
    shift=st.floats(0, 1e6),
    order=st.permutations(range(4)),
    seed=st.integers(0, 20),
)
def test_shifting_the_clock_or_reordering_channels_changes_nothing(
    shift: float, order: list[int], seed: int
) -> None:
    made = made_cure(seed, step=60.0, sensors=4)
    log = made.log()
    turned = dataclasses.replace(
        log, channels=tuple(log.channels[i] for i in order) + log.channels[4:], started="2031-01-01T00:00:00"
    )
    first, second = judge(RECIPE, log), judge(RECIPE, turned)
    assert first.outcome is second.outcome
    assert sorted(r.words for r in first.reasons) == sorted(r.words for r in second.reasons)


@settings(derandomize=True, database=None, deadline=None, max_examples=30)
@given(tighter=st.floats(0, 3000), seed=st.integers(0, 10))
def test_a_stricter_recipe_never_conforms_where_a_milder_one_does_not(tighter: float, seed: int) -> None:
    log = made_cure(seed, step=60.0).log()
    mild = with_dwell(dwell_least=at(3000.0, "s"))
    strict = with_dwell(dwell_least=at(3000.0 + tighter, "s"))
    rank = {Outcome.CONFORMS: 2, Outcome.UNKNOWN: 1, Outcome.DOES_NOT: 0}
    assert rank[judge(strict, log).outcome] <= rank[judge(mild, log).outcome]


def test_logs_nobody_can_judge_are_refused() -> None:
    with pytest.raises(InputError, match="fewer than two samples"):
        judge(RECIPE, log_of([0.0], [300.0]))
    bare = CureLog(np.arange(3.0), (Channel("x", ChannelRole.OTHER, "", np.zeros(3)),))
    with pytest.raises(InputError, match="thermocouple"):
        judge(RECIPE, bare)
    all_gone = log_of(list(TIMES), [math.nan] * TIMES.size)
    assert judge(RECIPE, all_gone).outcome is not Outcome.CONFORMS


def test_recipes_that_contradict_themselves_are_refused() -> None:
    with pytest.raises(InputError, match="without a dwell"):
        CureRecipe("x", (RAMP, COOL), ONE)
    with pytest.raises(InputError, match="wrong way round"):
        dataclasses.replace(DWELL, band_low=at(f(270), "x"))
    with pytest.raises(InputError, match="after the cool-down"):
        CureRecipe("x", (DWELL, COOL, RAMP), ONE)
    with pytest.raises(InputError, match="below ambient"):
        dataclasses.replace(RECIPE.vacuum, least=at(AIR * 2, "x"))  # type: ignore[type-var]
    with pytest.raises(InputError, match="no number"):
        at(math.nan, "x")
