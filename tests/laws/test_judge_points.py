"""A thermocouple that stands in the set point's column, and a pressure that is no gauge of a bag."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from judge_lines import START, limit, made, recipe
from made_curelog import INHG
from panelmend.plan.judge import Channel, ChannelRole, Outcome, SensorRule, Verdict, judge
from panelmend.plan.judge.log import FloatArray
from panelmend.plan.judge.recipe import VacuumRule

M = made()
HEAT = np.clip((M.temps[:, 0] - START) / 90.0, 0.0, 1.0)
NOISE = np.random.default_rng(5).normal(0.0, 0.3, M.times.size)
LOSES = SensorRule(2, "table 1", may_fail=1)


def with_point(values: FloatArray) -> Verdict:
    """Judged with a set point [K]."""
    return judge(recipe(dwell={"band_high": limit(395.0)}), dataclasses.replace(M, set_point=values).log())


def test_columns_of_a_cold_thermocouple_and_the_set_point_exchanged_do_not_conform() -> None:
    """The set point stands at its last digit like a thermocouple that broke, and one may be lost: it
    conformed."""
    cold, point = M.temps[:, 2] - 12.0 * HEAT, np.round(M.temps[:, 0], 1)
    temps = M.temps.copy()
    temps[:, 2] = point
    log = dataclasses.replace(M, temps=temps, set_point=cold).log()
    verdict = judge(dataclasses.replace(recipe(), sensors=LOSES), log)
    assert verdict.outcome is Outcome.UNKNOWN
    assert "V571" in [f.code for f in verdict.findings]
    assert any("Set point taken as set point" in r.words for r in verdict.against())


@pytest.mark.parametrize(
    ("off", "noise", "told"),
    [(-5.1, 0.0, True), (-4.9, 0.0, False), (5.1, 1.0, True), (4.9, 1.0, False), (9.0, 0.0, False)],
)
def test_below_the_band_or_above_it_with_a_noise_it_is_no_program(
    off: float, noise: float, told: bool
) -> None:
    verdict = with_point(np.round(M.temps[:, 0] + off * HEAT + noise * NOISE, 2))
    assert ("V571" in [f.code for f in verdict.findings]) is told


def test_a_program_that_does_not_follow_the_heat_is_only_said() -> None:
    verdict = with_point(np.full(M.times.size, 380.0))
    assert verdict.outcome is Outcome.CONFORMS
    assert [f.code for f in verdict.findings if f.code in ("V225", "V571")] == ["V225"]


@pytest.mark.parametrize(("air", "outcome"), [(1.49, Outcome.UNKNOWN), (1.51, Outcome.CONFORMS)])
def test_a_pressure_beyond_the_air_is_no_gauge_of_a_bag(air: float, outcome: Outcome) -> None:
    """The pressure of an autoclave, given the role other, made a sound cure one that cannot be judged."""
    values = np.where(M.times < 9450, -air * 101325.0, 0.0) + np.sin(M.times)
    pressure = Channel("autoclave", ChannelRole.VACUUM, "pressure", values)
    log = dataclasses.replace(M.log(), set_aside=(pressure,))
    verdict = judge(recipe(vacuum=VacuumRule(limit(22.0 * INHG))), log, ambient=101325.0)
    assert verdict.outcome is outcome
    said = next(f for f in verdict.findings if f.code == "V534")
    assert ("no vacuum of a bag" in said.words) is (outcome is Outcome.CONFORMS)
