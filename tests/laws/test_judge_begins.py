"""Evidence that begins in the heat, channels that were given another role, and heat that is asked."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from judge_lines import START, TOP, limit, made, recipe
from made_curelog import INHG, Made, lagged
from panelmend.plan.judge import Channel, ChannelRole, Outcome, VacuumRule, find_faults, judge, look
from panelmend.plan.judge import codes as c
from panelmend.plan.judge.doubt import SeenOfSensor

NOISE = np.random.default_rng(31)


def cut(m: Made, kelvin: float) -> Made:
    """Without what lies before the thermocouples stand at a temperature."""
    k = int(np.argmax(m.temps.min(axis=1) > kelvin))
    return Made(m.times[k:], m.temps[k:], m.vacuum[k:], m.set_point[k:], m.names)


VACUUM = VacuumRule(limit(22 * INHG))


@pytest.mark.parametrize("kelvin", [304.0, 312.0, 317.5, 330.0])
def test_a_log_that_begins_in_the_ramp_cannot_be_judged(kelvin: float) -> None:
    """Below 45 C such a log conformed: its ramp and the vacuum before it were taken as seen."""
    for asked in (recipe(vacuum=VACUUM), recipe(ramp={"rate_most": limit(0.05)})):
        whole = made()
        assert judge(asked, whole.log()).outcome is Outcome.CONFORMS
        verdict = judge(asked, cut(whole, kelvin).log())
        assert verdict.outcome is Outcome.UNKNOWN
        assert {f.code for f in verdict.findings} & c.BEGINS_IN_HEAT
    both = judge(recipe(vacuum=VACUUM, ramp={"rate_most": limit(0.05)}), cut(made(), kelvin).log())
    assert {"vacuum", "ramp"} <= {r.rule for r in both.against()}


def test_a_warm_shop_and_a_cold_one_begin_at_rest() -> None:
    """34 C in the shop and still: a start; 18 C and rising at once: none, but in air of 16 C."""
    warm = made()
    warm.temps = np.maximum(
        warm.temps, 307.0 + 1e-4 * np.sin(warm.times / 7.0)[:, None] * [1.0, 0.9, 0.8, 0.7]
    )
    assert judge(recipe(vacuum=VACUUM), warm.log()).outcome is Outcome.CONFORMS
    cold = cut(made(), 302.5)
    cold.temps -= 12.0
    for air, told in ((278.0, True), (289.0, False), (None, True)):
        log = cold.log()
        if air is not None:
            shop = Channel("Air", ChannelRole.AIR, "temperature", np.full(len(log), air))
            log = dataclasses.replace(log, channels=(*log.channels, shop))
        assert (c.IN_RAMP.code in {f.code for f in judge(recipe(), log).findings}) is told


@pytest.mark.parametrize("blank", [0, 10, 43, 44, 45, 52])
def test_thermocouples_that_are_plugged_in_later_may_begin_in_the_ramp_too(blank: int) -> None:
    """Where nothing was read for seven minutes the search for faults stopped with an inner error; after fewer
    the ramp was not looked at."""
    seen = []
    for kelvin in (312.0, START + 1e-3):
        log = cut(made(), kelvin).log()
        channels = tuple(
            dataclasses.replace(x, values=np.where(np.arange(len(log)) < blank, np.nan, x.values))
            for x in log.channels
        )
        log = dataclasses.replace(log, channels=channels)
        seen.append(c.IN_RAMP.code in {f.finding.code for f in find_faults(log)})
    assert seen[0] or blank > 40  # 45 C and more: it starts hot instead
    still = made().log()
    late = tuple(
        dataclasses.replace(x, values=np.where(np.arange(len(still)) < blank, np.nan, x.values))
        for x in still.channels
    )
    told = {f.finding.code for f in find_faults(dataclasses.replace(still, channels=late))}
    assert c.IN_RAMP.code not in told


def noisy() -> Made:
    m = made()
    m.temps = np.round(m.temps + NOISE.normal(0, 0.2, m.temps.shape), 2)
    return m


def aside(m: Made, values: np.ndarray, role: ChannelRole, **more: object) -> tuple[Outcome, str]:
    """The verdict with a channel that looks like a thermocouple and was given a role, and all words."""
    log = m.log()
    given = Channel("T9", role, "temperature", values)
    as_read = Channel("T9", ChannelRole.THERMOCOUPLE, "temperature", values)
    others = tuple(x for x in log.channels if x.role is not ChannelRole.SET_POINT)
    log = dataclasses.replace(log, channels=(*others, given), set_aside=(as_read,))
    verdict = judge(recipe(dwell={"band_high": limit(395.0)}), log, **more)  # type: ignore[arg-type]
    return verdict.outcome, " ".join(f.words for f in verdict.findings)


def test_a_set_point_that_was_taken_for_a_thermocouple_is_no_thermocouple() -> None:
    """Corrected by a person, a program above the band made every cure one that cannot be judged."""
    m = noisy()
    program = np.round(np.interp(m.times, [600.0, 2850.0, 6850.0, 9700.0], [START, 396.0, 396.0, 310.0]), 1)
    outcome, words = aside(m, program, ChannelRole.SET_POINT)
    assert outcome is Outcome.CONFORMS
    assert c.SET_ASIDE.title not in words
    assert aside(m, program, ChannelRole.OTHER)[0] is Outcome.UNKNOWN, "said to be no set point"
    sensor = np.round(program + NOISE.normal(0, 0.2, program.size), 2)
    assert aside(m, sensor, ChannelRole.SET_POINT)[0] is Outcome.UNKNOWN, "a sensor's noise"


@pytest.mark.parametrize(("gain", "digit"), [(0.9, 0.1), (0.9, 1.0), (1.08, 0.1), (1.08, 1.0)])
def test_a_filtered_thermocouple_in_a_cold_or_hot_place_is_no_set_point(gain: float, digit: float) -> None:
    """It bends by no more than its last digit, as a program does: given the role, it was not weighed."""
    m = noisy()
    course = np.interp(m.times, [600.0, 2850.0, 6850.0, 9700.0], [START, TOP, TOP, 310.0])
    slow = START + gain * (lagged(m.times, course, 120.0) - START)
    assert aside(m, np.round(slow / digit) * digit, ChannelRole.SET_POINT)[0] is Outcome.UNKNOWN


@pytest.mark.parametrize("digit", [0.1, 1.0])
@pytest.mark.parametrize("way", ["late", "dips"])
def test_a_filtered_thermocouple_that_comes_late_or_dips_is_no_set_point(way: str, digit: float) -> None:
    """Its top in the band was enough: a place that came into it long after the others conformed."""
    m = noisy()
    course = np.interp(m.times, [600.0, 2850.0, 6850.0, 9700.0], [START, TOP, TOP, 310.0])
    slow = lagged(m.times, course, 2000.0 if way == "late" else 30.0)
    if way == "dips":
        slow -= np.interp(m.times, [4000.0, 4300.0, 4600.0], [0.0, 9.0, 0.0])
    assert aside(m, np.round(slow / digit) * digit, ChannelRole.SET_POINT)[0] is Outcome.UNKNOWN


def test_a_program_in_the_band_is_one_in_whole_degrees_too() -> None:
    m = noisy()
    program = np.interp(m.times, [600.0, 1200.0, 9000.0, 9700.0], [START, 387.0, 387.0, 310.0])
    assert aside(m, np.round(program), ChannelRole.SET_POINT)[0] is Outcome.CONFORMS
    assert aside(m, np.round(program), ChannelRole.OTHER)[0] is Outcome.CONFORMS


def test_a_statement_about_a_channel_given_another_role_stands_with_it_and_does_not_let_it_pass() -> None:
    m = noisy()
    hot = np.round(START + 1.1 * (m.temps[:, 0] - START), 2)
    said = SeenOfSensor("T9", "lies on the blanket", "B. Ito", "inspector", "A. Reyes")
    outcome, words = aside(m, hot, ChannelRole.OTHER, statements=(said,))
    assert outcome is Outcome.UNKNOWN
    assert "B. Ito (inspector) states of T9: lies on the blanket; cure run by A. Reyes" in words
    assert "with its readings: conforms" not in words, "it was weighed against itself"
    still = np.full(m.times.size, 296.0)
    outcome, words = aside(m, still, ChannelRole.OTHER, statements=(said,))
    assert outcome is Outcome.CONFORMS
    assert "does not follow the heat" in words


def test_an_idle_set_point_below_the_shop_asks_for_no_heat() -> None:
    """A controller that shows 0 C until it is started made a stop of every slow beginning."""
    m = made()
    m.temps[:] = START + 1e-4 * np.sin(m.times / 7.0)[:, None] + 0.3 * np.arange(4)
    for top, stops in ((START + 19.0, False), (START + 22.0, True)):
        m.set_point = np.where(m.times < 300.0, 273.15, np.minimum(top, START + 0.05 * (m.times - 300.0)))
        rows = m.times <= 1700.0
        part = Made(m.times[rows], m.temps[rows], m.vacuum[rows], m.set_point[rows], m.names)
        now = look(recipe(), part.log())
        assert (c.UNANSWERED.code in {a.finding.code for a in now.alarms}) is stops
