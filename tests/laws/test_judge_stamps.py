"""Stamps that are coarser than the samples: what they leave open is never counted for the cure."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from judge_lines import DOWN, HELD, UP, limit, made, recipe
from made_curelog import INHG, Made
from panelmend.plan.judge import CureRecipe, Outcome, VacuumRule, judge, look
from panelmend.plan.judge.evidence import gather

CONFORMS, UNKNOWN, DOES_NOT = Outcome.CONFORMS, Outcome.UNKNOWN, Outcome.DOES_NOT
HERE = HELD + 5.0 / UP + 5.0 / DOWN  # s in the band
MINUTE = 60.0


def stamped(phase: float = 0.0, *, every: int = 1, m: Made | None = None) -> Made:
    """A cure whose samples carry the hour and minute only; the first is ``phase`` [s] into its minute."""
    m = m or made()
    here = slice(None, None, every)
    m.times, m.temps, m.vacuum, m.set_point = m.times[here], m.temps[here], m.vacuum[here], m.set_point[here]
    m.times = np.floor((m.times + phase) / MINUTE) * MINUTE
    return m


def outcome(r: CureRecipe, m: Made, stamp: float = MINUTE) -> Outcome:
    return judge(r, m.log(stamp_step=stamp)).outcome


@pytest.mark.parametrize("phase", [0.0, 10.0, 20.0, 30.0, 40.0, 50.0])
@pytest.mark.parametrize("every", [1, 10], ids=["repeated stamps", "uneven steps"])
def test_a_dwell_that_was_too_short_never_conforms_by_its_stamps(phase: float, every: int) -> None:
    m = stamped(phase, every=every)
    assert outcome(recipe(dwell={"dwell_least": limit(HERE + 1.0)}), m) is not CONFORMS
    assert outcome(recipe(dwell={"dwell_least": limit(HERE - 2.1 * MINUTE)}), m) is CONFORMS
    assert outcome(recipe(dwell={"dwell_most": limit(HERE - 1.0)}), m) is not CONFORMS
    assert outcome(recipe(dwell={"dwell_most": limit(HERE + 2.1 * MINUTE)}), m) is CONFORMS


def test_what_coarse_stamps_leave_open_is_one_of_their_steps() -> None:
    log = stamped().log(stamp_step=MINUTE)
    counted = judge(recipe(), log).segments[1].held
    for by, said in ((MINUTE + 0.1, CONFORMS), (MINUTE - 0.1, UNKNOWN), (0.1, UNKNOWN), (-0.1, DOES_NOT)):
        verdict = judge(recipe(dwell={"dwell_least": limit(counted - by)}), log)
        assert verdict.outcome is said
        assert ("the stamps leave it open" in verdict.reasons[0].words) is (said is UNKNOWN)


def test_even_samples_of_a_minute_and_stamps_of_a_second_are_as_good_as_their_crossings() -> None:
    even = stamped(every=6)
    assert gather(even.log(stamp_step=MINUTE)).blur == 0.0
    assert outcome(recipe(dwell={"dwell_least": limit(HERE - 30.0)}), even) is CONFORMS
    uneven = made()
    uneven.times[1::2] += 1.0
    assert gather(uneven.log(stamp_step=1.0)).blur == 0.0
    assert gather(stamped().log(stamp_step=MINUTE)).blur == MINUTE
    assert gather(stamped(every=10).log(stamp_step=MINUTE)).blur == MINUTE
    twice = made()
    twice.times = np.repeat(twice.times[::2], 2)[: twice.times.size]
    assert gather(twice.log(stamp_step=1.0)).blur == 1.0


def test_every_part_of_a_summed_dwell_may_be_a_step_shorter() -> None:
    m = made()
    for at in (300, 500):
        m.temps[at : at + 30] -= 7.0
    log = stamped(m=m).log(stamp_step=MINUTE)
    counted = judge(recipe(dwell={"summed": True}), log).segments[1].held
    for by, said in ((3 * MINUTE + 0.1, CONFORMS), (3 * MINUTE - 0.1, UNKNOWN)):
        r = recipe(dwell={"summed": True, "dwell_least": limit(counted - by)})
        assert judge(r, log).outcome is said


def test_how_far_the_last_is_behind_is_open_by_a_step() -> None:
    m = made()
    m.temps[:, 1] = np.interp(m.times - 200.0, m.times, m.temps[:, 1])
    log = stamped(m=m).log(stamp_step=MINUTE)
    seen = next(
        r.value for r in judge(recipe(dwell={"lag_most": limit(900.0)}), log).reasons if "behind" in r.rule
    )
    for by, said in ((MINUTE + 0.1, CONFORMS), (MINUTE - 0.1, UNKNOWN)):
        assert judge(recipe(dwell={"lag_most": limit(seen + by)}), log).outcome is said


@pytest.mark.parametrize(("longest", "said"), [(239.0, DOES_NOT), (299.0, UNKNOWN), (301.0, CONFORMS)])
def test_an_allowed_dip_may_have_been_a_step_longer(longest: float, said: Outcome) -> None:
    m = made()
    low = (m.times >= 4020.0) & (m.times < 4260.0)
    m.vacuum[low] = 20.0 * INHG
    rule = VacuumRule(limit(22 * INHG), dip_least=18 * INHG, dip_longest=longest)
    r = dataclasses.replace(recipe(), vacuum=rule)
    assert outcome(r, stamped(m=m)) is said


def test_the_watch_counts_a_dwell_as_the_verdict_will() -> None:
    r, m = recipe(), stamped()
    held = {stamp: look(r, _until(m, 5500.0).log(stamp_step=stamp)).held for stamp in (0.0, MINUTE)}
    assert held[0.0] > 0.0
    assert held[0.0] - held[MINUTE] == pytest.approx(MINUTE)


def _until(m: Made, time: float) -> Made:
    here = m.times <= time
    m = dataclasses.replace(m)
    m.times, m.temps, m.vacuum, m.set_point = m.times[here], m.temps[here], m.vacuum[here], m.set_point[here]
    return m


@pytest.mark.parametrize(
    ("by", "said"), [(40.1, CONFORMS), (39.9, UNKNOWN), (0.1, UNKNOWN), (-0.1, DOES_NOT)]
)
def test_what_a_clock_set_back_leaves_open_is_what_it_was_set_back(by: float, said: Outcome) -> None:
    """40 s in the dwell: whether its samples lasted them or the stamps are right, nobody can know."""
    m = made()
    at = int(np.searchsorted(m.times, 4000.0))
    m.times[at:] -= 40.0
    counted = judge(recipe(), m.log()).segments[1].held
    assert counted == pytest.approx(HERE, abs=1.0), "as the samples went by"
    assert judge(recipe(dwell={"dwell_least": limit(counted - by)}), m.log()).outcome is said
    assert judge(recipe(dwell={"dwell_most": limit(counted + by)}), m.log()).outcome is said
