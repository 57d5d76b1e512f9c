"""A thermocouple that may be lost is not left out without a word: what it reads afterwards, where it stood
when it was lost, and readings that only stood still."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from judge_lines import TOP, limit, recipe
from judge_lost import IN_BAND, LOST_AT, behind, cold, ends, lost, made, share
from made_curelog import INHG, Made, made_cure
from panelmend.plan.judge import Outcome, SensorRule, VacuumRule, Verdict, judge
from panelmend.plan.judge import codes as c
from panelmend.plan.judge.report import not_judged
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
    assert (
        "T3 was lost at 92.2 C; carried on beside the others, the dwell by the slowest may have been 0 s"
        in (verdict.against()[0].words)
    )
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


@pytest.mark.parametrize(("apart", "told"), [(4.7, False), (5.5, True)])
def test_one_lost_while_nothing_moves_stays_as_far_from_the_others(apart: float, told: bool) -> None:
    m = made()
    flat = m.times < 600.0
    m.temps[flat] = m.temps[0]
    m.temps[:, 2] = m.temps[:, 1] - apart
    assert (c.LOST_BELOW.code in codes_of(judged(ends(m, 500.0)))) is told


@pytest.mark.parametrize(("apart", "told"), [(2.8, False), (3.2, True)])
def test_a_few_kelvins_behind_on_the_way_are_no_other_place(apart: float, told: bool) -> None:
    """More are a place that comes late: 80 s, of which the dwell has 40 to spare."""
    asked = dataclasses.replace(ASKED, segments=recipe(dwell={"dwell_least": limit(4240.0)}).segments)
    m = made()
    m.temps[:, 2] = m.temps[:, 1] - apart + 0.01 * np.sin(m.times / 7.0)
    assert (c.LOST_BELOW.code in codes_of(judge(asked, ends(m, LOST_AT).log()))) is told


@pytest.mark.parametrize(("late", "told"), [(430.0, False), (510.0, True)])
def test_one_lost_on_its_way_into_the_band_is_counted_from_when_it_would_have_come(
    late: float, told: bool
) -> None:
    """Carried on as it rose in the last five minutes: it was let go however little of the dwell was left."""
    m = made()
    rate = 0.01
    gone = IN_BAND + 600.0
    m.temps[:, 2] = np.minimum(m.temps[:, 1], 385.0 - rate * (gone - 10.0 + late - m.times))
    asked = dataclasses.replace(ASKED, segments=recipe(dwell={"dwell_least": limit(2970.0)}).segments)
    assert (c.LOST_BELOW.code in codes_of(judge(asked, ends(m, gone).log()))) is told


@pytest.mark.parametrize(("back", "told"), [(3300.0, False), (3500.0, True)])
def test_one_that_comes_back_in_the_band_is_counted_from_there(back: float, told: bool) -> None:
    """The first reading after the loss lay in the band, however late, and it was let go."""
    m = cold(made(), 25.0)
    m.temps[m.times >= back, 2] = made().temps[m.times >= back, 2]
    m.temps[(m.times > 2900.0) & (m.times < back), 2] = 1645.0
    assert (c.LOST_BELOW.code in codes_of(judged(m))) is told


# --- the place of a lost one goes on to be heated ---


def test_two_lost_at_once_do_not_speak_for_one_another() -> None:
    """Each was the slowest other of the other: both conformed 25 K below the band."""
    asked = dataclasses.replace(ASKED, sensors=SensorRule(2, "table 1", may_fail=2))
    for at in (2000.0, IN_BAND + 100.0):
        m = share(share(made(), 0.75), 0.74, column=1)
        m = ends(ends(m, at), at, column=1)
        found = [r.sensor for r in judge(asked, m.log()).against() if r.code == c.LOST_BELOW.code]
        assert sorted(found) == ["T2", "T3"]


@pytest.mark.parametrize(("of", "outcome"), [(0.952, CONFORMS), (0.938, UNKNOWN)])
@pytest.mark.parametrize("at", [2000.0, 2840.0, 2960.0])
def test_a_colder_place_lost_on_the_way_stays_colder(of: float, outcome: Outcome, at: float) -> None:
    """It rises with the others, only less: at its own rate it would have come in time, and conformed."""
    assert judged(ends(share(made(), of), at)).outcome is outcome


@pytest.mark.parametrize(("of", "outcome"), [(1.05, CONFORMS), (1.06, UNKNOWN)])
def test_a_hotter_place_lost_on_the_way_stays_hotter(of: float, outcome: Outcome) -> None:
    """A place 15 K above the band conformed when its thermocouple was lost in the ramp."""
    verdict = judged(ends(share(made(), of), 2000.0))
    assert verdict.outcome is outcome
    assert any("how warm the place of T3 became" in x for x in not_judged(ASKED, verdict))
    assert not any("how warm the place" in x for x in not_judged(ASKED, judged(made())))


@pytest.mark.parametrize(("until", "outcome"), [(395.0, UNKNOWN), (None, CONFORMS)])
def test_every_limit_above_is_asked(until: float | None, outcome: Outcome) -> None:
    """Of the whole cure and of the segment as well as the top of the band."""
    m = ends(share(made(), 1.06), 2000.0)
    few = SensorRule(3, "table 1", may_fail=1)
    top = limit(until) if until else None
    assert judge(dataclasses.replace(recipe(ceiling=top), sensors=few), m.log()).outcome is outcome
    asked = dataclasses.replace(recipe(dwell={"ceiling": top}), sensors=few)
    assert judge(asked, m.log()).outcome is outcome


@pytest.mark.parametrize(("left", "told"), [(3.4, False), (2.6, True)])
@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_one_lost_while_it_parts_from_the_others_in_the_dwell_goes_on(
    left: float, told: bool, sign: float
) -> None:
    """Falling or rising by 0.3 K/min, lost in the band: ten minutes more of it are 3 K."""
    m = made()
    gone = 4000.0
    away = np.clip((m.times - (gone - 10.0)) * 0.005, -5.0 + left, 0.0) + 5.0 - left
    away *= m.times > 2850.0
    m.temps[:, 2] = m.temps[:, 0] - sign * away
    verdict = judged(ends(m, gone))
    code = c.LOST_BELOW if sign > 0 else c.LOST_ABOVE
    assert (code.code in codes_of(verdict)) is told
    assert verdict.outcome is (UNKNOWN if told else CONFORMS)


@pytest.mark.parametrize(("of", "told"), [(0.955, False), (0.925, True)])
def test_a_distance_that_hardly_grows_is_no_other_place(of: float, told: bool) -> None:
    """In the second half of a rise of 22 K: 0.5 and 0.8 K, at the top 4 and 7 K; the band is 3 K deep."""
    asked = dataclasses.replace(ASKED, segments=recipe(dwell={"band_low": limit(387.0)}).segments)
    assert (c.LOST_BELOW.code in codes_of(judge(asked, ends(share(made(), of), LOST_AT).log()))) is told


@pytest.mark.parametrize(("gone", "told"), [(3140.0, False), (3150.0, True)])
def test_others_that_hardly_move_stand(gone: float, told: bool) -> None:
    """While they rise, one that rises with them comes late; where they stand, it stays where it is."""
    m = made(top=388.9)
    m.temps[:, 2] = m.temps[:, 1] - 4.0 + 0.001 * np.sin(m.times / 7.0)
    assert (c.LOST_BELOW.code in codes_of(judged(ends(m, gone)))) is told


@pytest.mark.parametrize(("seconds", "told"), [(50.0, False), (70.0, True)])
def test_readings_of_a_minute_that_make_two_are_held_against_the_rules(seconds: float, told: bool) -> None:
    """A loose contact that read 25 K below the band now and then, never for two minutes at once."""
    m = ends(lost(), LOST_AT + 10.0)
    for at in (4000.0, 4400.0, 4800.0):
        here = (m.times >= at) & (m.times <= at + seconds)
        m.temps[here, 2] = TOP - 25.0 + 0.01 * np.sin(m.times[here] / 7.0)
    assert (c.READS_AGAIN.code in codes_of(judged(m))) is told


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


RELEASED = dataclasses.replace(ASKED, release_most=limit(325.0), vacuum=VacuumRule(limit(22 * INHG)))


def cooling(*, apart: float, gone: float, released: float, lower: float = 0.0) -> Made:
    """T3 hotter than the hottest other by so many kelvins, lost in the cool-down; the vacuum let go when the
    hottest other reads as asked, and lowered below its least so many kelvins earlier."""
    m = made()
    others = np.max(m.temps[:, [0, 1, 3]], axis=1)
    m.temps[:, 2] = others + apart + 0.01 * np.sin(m.times / 7.0)
    down = m.times > 7000.0
    m.vacuum = 24.0 * INHG + 5.0 * np.sin(m.times / 9.0)
    m.vacuum[down & (others < released + lower)] = 15.0 * INHG
    m.vacuum[down & (others < released)] = 0.0
    return ends(m, gone)


@pytest.mark.parametrize("gone", [4000.0, 7600.0, 8500.0])
@pytest.mark.parametrize(("apart", "outcome"), [(1.5, CONFORMS), (2.6, UNKNOWN), (-3.0, CONFORMS)])
def test_the_vacuum_is_let_go_only_where_a_lost_place_is_cool_too(
    gone: float, apart: float, outcome: Outcome
) -> None:
    """The hottest one was lost in the cool-down, and the release conformed by those that read on."""
    verdict = judge(RELEASED, cooling(apart=apart, gone=gone, released=323.0).log())
    assert verdict.outcome is outcome
    if outcome is UNKNOWN:
        assert [r.rule for r in verdict.against()] == ["place of a lost thermocouple, release"]
        assert c.LOST_ABOVE.code in codes_of(verdict)


def test_a_lost_place_is_asked_where_the_vacuum_was_last_as_asked() -> None:
    """Let down to 15 inHg while the others were 1.5 K hotter than at the release itself."""
    for lower, outcome in ((0.0, CONFORMS), (1.5, UNKNOWN)):
        m = cooling(apart=1.2, gone=7600.0, released=323.0, lower=lower)
        assert judge(RELEASED, m.log()).outcome is outcome


def test_one_that_was_lost_after_the_release_was_seen() -> None:
    m = cooling(apart=1.5, gone=10_000.0, released=323.0)
    assert judge(RELEASED, m.log()).outcome is CONFORMS
    assert not any("place of a lost" in r.rule for r in judge(RELEASED, m.log()).reasons)
    m = cooling(apart=2.6, gone=7600.0, released=0.0)
    assert m.vacuum[-1] > 22 * INHG, "never let go: all were cool in the end"
    assert judge(RELEASED, m.log()).outcome is CONFORMS
