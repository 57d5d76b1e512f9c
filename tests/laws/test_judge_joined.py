"""The logs of two jobs put one behind the other where both are as hot are not evidence of one."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from made_curelog import Made, made_cure
from panelmend.plan.judge import Outcome, find_faults, judge
from panelmend.plan.judge import codes as c
from recipe_curelog import RECIPE, f
from second_curelog import Plan, runs, sampled

# written out: a number taken from the code would move with it
STEP, STEP_CHANNELS = 0.8, 3


APART = np.array([1.0, -1.0, 1.0, -1.0, 1.0, -1.0])


def hot(made: Made) -> int:
    return int(np.argmax(made.temps.min(axis=1) > f(240))) + 120


def stepped(by: float, at: int | None = None, *, sensors: int = 6, noise: float = 0.1) -> Made:
    """The thermocouples step against one another by this root mean square [K], and stay there."""
    made = made_cure(1, noise=noise, sensors=sensors)
    made.temps[at or hot(made) :] += by * APART[:sensors]
    return made


def named(made: Made) -> bool:
    return c.JOINED.code in {x.finding.code for x in find_faults(made.log())}


@pytest.mark.parametrize("seed", range(4))
def test_two_halves_of_dwells_are_no_dwell(seed: int) -> None:
    """They conformed: nothing stands still, no clock jumps, no temperature leaves the band."""
    first, second = (made_cure(10 * seed + k, noise=0.1) for k in (0, 5))
    a, b = hot(first), hot(second)
    first.temps = np.concatenate([first.temps[:a], second.temps[b:] + 1.5 * np.roll(APART, seed)])
    first.vacuum = np.concatenate([first.vacuum[:a], second.vacuum[b:]])
    first.times = np.arange(len(first.temps)) * 10.0
    first.set_point = np.full(first.times.size, np.nan)
    verdict = judge(RECIPE, first.log())
    assert c.JOINED.code in {x.code for x in verdict.findings}
    assert [r.rule for r in verdict.against() if r.outcome is Outcome.UNKNOWN] == ["one job in the log"]


@pytest.mark.parametrize(("by", "told"), [(STEP - 0.15, False), (STEP + 0.15, True)])
def test_the_least_step_is_probed(by: float, told: bool) -> None:
    assert named(stepped(by, noise=0.03)) is told


def test_a_step_is_told_beside_what_lines_lie_apart_elsewhere() -> None:
    assert named(stepped(1.2))
    assert not named(stepped(1.2, noise=1.5))


@pytest.mark.parametrize(("sensors", "told"), [(STEP_CHANNELS - 1, False), (STEP_CHANNELS, True)])
def test_the_fewest_thermocouples_are_probed(sensors: int, told: bool) -> None:
    made = made_cure(1, sensors=sensors)
    made.temps[hot(made) :] += np.array([3.0, -3.0, 0.0])[:sensors]
    assert named(made) is told


def test_after_the_cool_down_it_is_said_and_judged_no_more() -> None:
    """Whoever opens the bag pulls the thermocouples off."""
    late = stepped(3.0, -24)
    verdict = judge(RECIPE, late.log())
    assert c.JOINED.code in {x.code for x in verdict.findings}
    assert verdict.outcome is Outcome.CONFORMS
    assert judge(RECIPE, stepped(2.0, -160).log()).outcome is not Outcome.CONFORMS


def test_one_thermocouple_that_steps_and_one_behind_a_gap_are_no_joint() -> None:
    made = made_cure(1)
    made.temps[hot(made) :, 2] += 4.0
    assert not named(made)
    made = stepped(2.0)
    made.times[hot(made) :] += 300.0
    assert not named(made)


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("step", [2.0, 10.0, 60.0])
@pytest.mark.parametrize("digits", [0, 1])
def test_sound_logs_have_no_joint(seed: int, step: float, digits: int) -> None:
    made = made_cure(seed, sensors=3 + seed, step=step, noise=(0.03, 0.1, 0.3)[seed])
    made.temps = np.round(made.temps, digits)
    assert not named(made)


def test_on_the_second_family_joints_are_told_and_sound_cures_have_none() -> None:
    """Seeds not looked at while the figures were chosen. Cures that stand alike are not told."""
    cures = runs([Plan(s, spread=3.0 + s % 6) for s in range(60200, 60206)])
    logs = [sampled(r, s) for s, r in enumerate(cures)]
    told = 0
    for a, b in itertools.pairwise(logs):
        assert not named_second(a.times, a.seen)
        i, k = (int(np.flatnonzero(x.seen.min(axis=1) > 112.0)[40]) for x in (a, b))
        times = np.concatenate(
            [a.times[:i], b.times[k:] - b.times[k] + a.times[i - 1] + b.times[k] - b.times[k - 1]]
        )
        told += named_second(times, np.concatenate([a.seen[:i], b.seen[k:]]))
    assert told >= 4


def named_second(times: np.ndarray, seen: np.ndarray) -> bool:
    made = Made(
        times,
        seen + 273.15,
        np.full(times.size, 8e4),
        np.full(times.size, np.nan),
        [f"T{i}" for i in range(5)],
    )
    return named(made)
