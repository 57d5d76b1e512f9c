"""A thermocouple that may be lost is not left out without a word: what it reads afterwards, where it stood
when it was lost, and readings that only stood still."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from judge_lines import TOP, limit, recipe
from judge_lost import IN_BAND, LOST_AT, behind, cold, ends, lost, made
from made_curelog import INHG, Made, made_cure
from panelmend.plan.judge import Outcome, SensorRule, VacuumRule, Verdict, judge
from panelmend.plan.judge import codes as c
from recipe_curelog import RECIPE

CONFORMS, DOES_NOT, UNKNOWN = Outcome.CONFORMS, Outcome.DOES_NOT, Outcome.UNKNOWN
ASKED = dataclasses.replace(
    recipe(dwell={"band_high": limit(395.0)}, ceiling=limit(400.0)),
    sensors=SensorRule(3, "table 1", may_fail=1),
)


def judged(m: Made) -> Verdict:
    return judge(ASKED, m.log())


def codes_of(v: Verdict) -> set[str]:
    return {f.code for f in v.findings}


def test_one_lost_contact_does_not_silence_a_cold_place() -> None:
    """One sample of an open contact and everything after it was not judged: 20 K below the band conformed."""
    assert judged(cold(made(), 25.0)).outcome is DOES_NOT
    verdict = judged(lost(cold(made(), 25.0)))
    assert verdict.outcome is UNKNOWN
    assert c.READS_AGAIN.code in codes_of(verdict)
    against = verdict.against()[0]
    assert (against.rule, "T3" in against.words) == ("thermocouple that reads again", True)
    same = judged(lost())
    assert same.outcome is CONFORMS
    assert c.LOST_SAME.code in codes_of(same), "it is said that it read on"


def test_three_missing_stretches_do_not_silence_it_either() -> None:
    m = cold(made(), 25.0)
    for at in (900.0, 1300.0, 1700.0):
        m.temps[int(at / 10.0) : int(at / 10.0) + 9, 2] = np.nan
    verdict = judged(m)
    assert verdict.outcome is UNKNOWN
    assert {c.LOOSE.code, c.READS_AGAIN.code} <= codes_of(verdict)


def test_nor_a_hot_one() -> None:
    m = lost()
    m.temps[(m.times > 4000.0) & (m.times < 4600.0), 2] += 25.0
    assert judged(m).outcome is UNKNOWN


def test_what_fails_without_it_fails() -> None:
    m = lost(cold(made(), 25.0))
    m.temps[:, 0] += np.interp(m.times, [4000.0, 4300.0, 4600.0], [0.0, 20.0, 0.0])
    assert judged(m).outcome is DOES_NOT


@pytest.mark.parametrize(("seconds", "told"), [(110.0, False), (130.0, True)])
def test_readings_of_less_than_two_minutes_after_a_loss_tell_nothing(seconds: float, told: bool) -> None:
    """What a broken contact shows now and then is no place's temperature."""
    m = ends(lost(), LOST_AT + 10.0)
    here = (m.times >= 4000.0) & (m.times <= 4000.0 + seconds)
    m.temps[here, 2] = TOP - 25.0 + 0.01 * np.sin(m.times[here] / 7.0)
    assert (c.READS_AGAIN.code in codes_of(judged(m))) is told


def test_a_hole_of_a_lost_one_is_no_hole_in_the_evidence() -> None:
    """It comes and goes and is right where it reads: allowed to be lost, it takes nothing away."""
    m = lost(at=3000.0)
    m.temps[(m.times > 3300.0) & (m.times < 3900.0), 2] = np.nan
    assert judged(m).outcome is CONFORMS


def test_one_lost_below_the_band_while_the_others_stood_in_it_leaves_the_slowest_unknown() -> None:
    """The dwell began to count when it was lost, and conformed."""
    verdict = judged(ends(cold(made(), 25.0), IN_BAND + 200.0))
    assert verdict.outcome is UNKNOWN
    assert c.LOST_BELOW.code in codes_of(verdict)
    assert "T3 was lost at 92.2 C, below the band (111.9 C)" in verdict.against()[0].words
    assert judged(ends(cold(made(), 4.0), IN_BAND + 200.0)).outcome is CONFORMS, "it stood in the band"
    assert judged(ends(cold(made(), 25.0), 2000.0)).outcome is CONFORMS, (
        "the others were on their way as well"
    )


@pytest.mark.parametrize(("late", "told"), [(570.0, False), (630.0, True)])
def test_one_lost_far_behind_the_others_in_the_ramp_leaves_the_slowest_unknown(
    late: float, told: bool
) -> None:
    """Lost a minute before the others came into the band, however cold it stood, it conformed."""
    verdict = judged(behind(late))
    assert (c.LOST_BELOW.code in codes_of(verdict)) is told
    assert verdict.outcome is (UNKNOWN if told else CONFORMS)


@pytest.mark.parametrize(("apart", "told"), [(2.8, False), (3.2, True)])
def test_a_few_kelvins_behind_are_no_other_place(apart: float, told: bool) -> None:
    """At the start nothing rises yet, and ten minutes of no rate are nothing."""
    m = made()
    flat = m.times < 600.0
    m.temps[flat] = m.temps[0]
    m.temps[:, 2] = m.temps[:, 1] - apart
    assert (c.LOST_BELOW.code in codes_of(judged(ends(m, 500.0)))) is told


@pytest.mark.parametrize(("late", "told"), [(560.0, False), (640.0, True)])
def test_one_lost_on_its_way_into_the_band_may_be_lost(late: float, told: bool) -> None:
    """Carried on as it rose in the last five minutes, it is in the band ten minutes after it was lost."""
    m = made()
    rate = 0.01
    gone = IN_BAND + 100.0
    m.temps[:, 2] = np.minimum(m.temps[:, 2], 385.0 - rate * (gone - 10.0 + late - m.times))
    assert (c.LOST_BELOW.code in codes_of(judged(ends(m, gone)))) is told


def test_one_that_comes_back_in_the_band_was_only_away() -> None:
    m = cold(made(), 25.0)
    m.temps[m.times > 3300.0, 2] = made().temps[m.times > 3300.0, 2]
    m.temps[(m.times > 2900.0) & (m.times <= 3300.0), 2] = 1645.0
    assert c.LOST_BELOW.code not in codes_of(judged(m))


@pytest.mark.parametrize("noise", [0.5, 0.8])
def test_a_quiet_cold_place_in_whole_degrees_is_no_stuck_sensor(noise: float) -> None:
    """Beside noisy neighbours its last digit stood still in the hold: taken for stuck, it was left out."""
    m = made_cure(1, step=10.0, sensors=4, noise=noise)
    quiet = made_cure(1, step=10.0, sensors=4, noise=0.03).temps[:, 2]
    m.temps[:, 2] = np.round(294.0 + 0.55 * (quiet - 294.0) - 273.15) + 273.15
    verdict = judge(RECIPE, m.log())
    assert verdict.outcome is UNKNOWN
    assert any(r.rule == "thermocouple in doubt" and r.sensor == "TC3" for r in verdict.against())


# --- a vacuum that hovers ---

HOVERING = recipe(vacuum=VacuumRule(limit(22 * INHG), dip_least=20 * INHG, dip_longest=60.0))


def hovers(low: int, good: int, *, times: int) -> Made:
    m = made()
    for k in range(times):
        at = 400 + k * (low + good)
        m.vacuum[at : at + low] = 21.0 * INHG
    return m


def test_dips_one_after_the_other_are_one_dip() -> None:
    """A vacuum below its least for half of an hour, never for a minute at once, conformed."""
    assert judge(HOVERING, hovers(3, 3, times=1).log()).outcome is CONFORMS
    assert judge(HOVERING, hovers(3, 3, times=2).log()).outcome is CONFORMS, "a minute together"
    verdict = judge(HOVERING, hovers(3, 3, times=40).log())
    assert verdict.outcome is DOES_NOT
    assert "20 min too low in 40 dips" in verdict.against()[0].words
    assert judge(HOVERING, hovers(3, 5, times=3).log()).outcome is DOES_NOT
    assert judge(HOVERING, hovers(3, 6, times=40).log()).outcome is CONFORMS, "a minute of rest in between"
