"""Channels without a sensor of their own; readings that a part could follow, taken for spikes."""

from __future__ import annotations

import numpy as np
import pytest

from made_curelog import Made, made_cure
from panelmend.plan.judge import Outcome, find_faults, judge
from panelmend.plan.judge import codes as c
from recipe_curelog import RECIPE, f

# written out: a number taken from the code would move with it
OFF, ON, ON_SET_POINT = 0.5, 3.0, 0.1


def twins(made: Made) -> dict[str, str]:
    return {x.channel: x.finding.words for x in find_faults(made.log()) if x.finding.code == c.TWIN.code}


@pytest.mark.parametrize("noise", [0.0, 0.03])
def test_a_thermocouple_that_is_the_set_point_is_none(noise: float) -> None:
    made = made_cure(1)
    made.temps[:, 2] = made.set_point + noise * np.random.default_rng(1).standard_normal(made.times.size)
    assert list(twins(made)) == ["TC3"]
    assert "no part follows without lag" in twins(made)["TC3"]


@pytest.mark.parametrize(("off", "told"), [(ON_SET_POINT - 0.005, True), (ON_SET_POINT + 0.005, False)])
def test_how_near_the_set_point_is_probed(off: float, told: bool) -> None:
    made = made_cure(1)
    made.temps[:, 2] = made.set_point + off
    assert ("TC3" in twins(made)) is told


def test_whole_degrees_may_stand_on_the_set_point() -> None:
    """A good controller on a slow ramp: nothing finer than the digit is said."""
    made = made_cure(1)
    made.temps[:, 2] = np.round(made.set_point)
    made.set_point = np.round(made.set_point)
    assert "TC3" not in twins(made)


@pytest.mark.parametrize(
    ("way", "words"), [("late", "one sample late"), ("shift", "shifted by"), ("same", "to the last digit")]
)
def test_a_channel_that_repeats_another_late_or_shifted_is_none(way: str, words: str) -> None:
    made = made_cure(1)
    other = made.temps[:, 3]
    made.temps[:, 4] = {"late": np.roll(other, 1), "shift": other + 0.3, "same": other}[way]
    made.temps[0, 4] = other[0]
    assert list(twins(made)) == ["TC5"]
    assert words in twins(made)["TC5"]


@pytest.mark.parametrize("of", [(0, 1), (0, 1, 3)])
def test_the_mean_of_some_of_the_others_is_none(of: tuple[int, ...]) -> None:
    made = made_cure(1)
    made.temps = np.round(made.temps, 2)
    made.temps[:, 5] = np.round(made.temps[:, list(of)].mean(axis=1), 2)
    assert list(twins(made)) == ["TC6"]
    assert "mean of " + ", ".join(f"TC{i + 1}" for i in of) in twins(made)["TC6"]


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("digits", [0, 1, 2])
def test_real_thermocouples_are_no_twins(seed: int, digits: int) -> None:
    made = made_cure(seed, sensors=8, noise=(0.02, 0.15)[seed % 2])
    made.temps = np.round(made.temps, digits)
    assert twins(made) == {}


def _jump(step: float, samples: int, by: float) -> Made:
    """In the middle of the dwell one thermocouple reads ``by`` K more for a few samples."""
    made = made_cure(1, step=step, noise=0.02)
    at = int(np.argmax(made.temps.min(axis=1) > f(240))) + int(1500.0 / step)
    made.temps[at : at + samples, 1] += by
    return made


@pytest.mark.parametrize("samples", [1, 2])
def test_a_short_heat_that_the_part_could_follow_is_a_reading_and_no_spike(samples: int) -> None:
    """One sample in 30 s, 9 K up and back: 0.3 K/s, less than the blanket fully on or off gives."""
    made = _jump(30.0, samples, 9.0)
    assert c.SPIKE.code not in {x.finding.code for x in find_faults(made.log())}
    verdict = judge(RECIPE, made.log())
    assert verdict.outcome is Outcome.DOES_NOT
    assert "top of the band" in {r.rule for r in verdict.against()}


@pytest.mark.parametrize(("rate", "told"), [(OFF + 0.02, True), (OFF - 0.02, False)])
def test_the_rate_of_a_spike_is_probed_at_what_the_part_loses_with_the_blanket_off(
    rate: float, told: bool
) -> None:
    made = _jump(20.0, 1, 0.0)
    at = int(np.argmax(made.temps.min(axis=1) > f(240))) + 75
    made.temps[at, 1] = max(made.temps[at - 1, 1], made.temps[at + 1, 1]) + rate * 20.0
    made.temps[at + 1, 1] = made.temps[at, 1] - rate * 20.0
    assert (c.SPIKE.code in {x.finding.code for x in find_faults(made.log())}) is told
    assert ON == 3.0


@pytest.mark.parametrize(("rate", "told"), [(ON + 0.05, True), (ON - 0.05, False)])
def test_the_rate_of_a_fall_and_rise_is_probed_at_what_the_blanket_gives(rate: float, told: bool) -> None:
    """Down by no more than the part loses over a gap of a minute, up within three seconds."""
    times = np.concatenate([np.arange(0.0, 3000.0, 3.0), [3040.0], 3043.0 + np.arange(0.0, 3000.0, 3.0)])
    values = np.full(times.size, 390.0) + 0.1 * np.sin(times)
    at = 1000
    values[at] = values[at + 1] - 3.0 * rate
    made = made_cure(1, sensors=3)
    made.times, made.temps = times, np.column_stack([values, values + 0.3, values - 0.2])
    made.temps[at, 1:] = 390.0
    made.vacuum, made.set_point = np.full(times.size, 8e4), values
    assert ("TC1" in {x.channel for x in find_faults(made.log()) if x.finding.code == c.SPIKE.code}) is told
