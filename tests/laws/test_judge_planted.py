"""Every fault planted in a process is named by the judge with the right outcome; clean cures conform."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Callable

import numpy as np
import pytest

from made_curelog import INHG, Made, lagged, made_cure
from panelmend.plan.judge import CureRecipe, LeakReading, Outcome, judge
from panelmend.plan.judge import codes as c
from panelmend.plan.judge.doubt import SeenOfSensor
from planted_curelog import LOG_FAULTS
from recipe_curelog import LEAKY, RECIPE, at, f, two_step, with_dwell

DOES_NOT, UNKNOWN, CONFORMS = Outcome.DOES_NOT, Outcome.UNKNOWN, Outcome.CONFORMS
Change = Callable[[Made], None]


def hot_sensor(m: Made) -> None:
    hump = np.exp(-(((m.times - 3600) / 300) ** 2))
    m.temps[:, 2] += 20 * hump


def above_band(m: Made) -> None:
    m.temps[:, 2] += 7 * np.exp(-(((m.times - 4600) / 300) ** 2))


def interrupted(m: Made) -> None:
    off = (m.times > 4500) & (m.times < 6000)
    m.temps -= 60 * np.sin(np.pi * np.clip((m.times - 4500) / 1500, 0, 1))[:, None] * off[:, None]


def dip_below(m: Made) -> None:
    m.temps[:, 0] -= 9 * np.exp(-(((m.times - 5000) / 120) ** 2))


def never_there(m: Made) -> None:
    m.temps[:, 1] = 294 + (m.temps[:, 1] - 294) * 0.9


def spread(m: Made) -> None:
    m.temps[:, 1] -= 4.0 * (m.temps[:, 1] - 294) / 100
    m.temps[:, 2] += 4.0 * (m.temps[:, 2] - 294) / 100


def late(m: Made) -> None:
    m.temps[:, 4] = lagged(m.times, m.temps[:, 4], 700.0)


def low_vacuum(m: Made) -> None:
    m.vacuum *= 21 / 24


def long_dip(m: Made) -> None:
    m.vacuum[400:420] = 21 * INHG


def deep_dip(m: Made) -> None:
    m.vacuum[400:404] = 12 * INHG


def allowed_dip(m: Made) -> None:
    m.vacuum[400:404] = 21 * INHG


def released_hot(m: Made) -> None:
    m.vacuum[m.times > 8200] = 0.0


def never_drawn(m: Made) -> None:
    m.vacuum *= 0.0


def two_lost(m: Made) -> None:
    m.temps[500:, 0] = np.nan
    m.temps[520:, 3] = np.nan


def four_lost(m: Made) -> None:
    for i in range(4):
        m.temps[500 + 10 * i :, i] = np.nan


def one_lost(m: Made) -> None:
    m.temps[500:, 5] = np.nan


def gap_in_dwell(m: Made) -> None:
    keep = (m.times < 4000) | (m.times > 5500)
    m.times, m.temps, m.vacuum, m.set_point = m.times[keep], m.temps[keep], m.vacuum[keep], m.set_point[keep]


def gap_in_ramp(m: Made) -> None:
    keep = (m.times < 1100) | (m.times > 2000)
    m.times, m.temps, m.vacuum, m.set_point = m.times[keep], m.temps[keep], m.vacuum[keep], m.set_point[keep]


def cut_in_dwell(m: Made) -> None:
    keep = m.times < 4000
    m.times, m.temps, m.vacuum, m.set_point = m.times[keep], m.temps[keep], m.vacuum[keep], m.set_point[keep]


def cut_in_ramp(m: Made) -> None:
    keep = m.times < 2000
    m.times, m.temps, m.vacuum, m.set_point = m.times[keep], m.temps[keep], m.vacuum[keep], m.set_point[keep]


def no_start(m: Made) -> None:
    keep = m.times > 3200
    m.times, m.temps, m.vacuum, m.set_point = m.times[keep], m.temps[keep], m.vacuum[keep], m.set_point[keep]


def clock_back(m: Made) -> None:
    m.times[500:] -= 900


def nothing(m: Made) -> None:
    return


def wrong_program(m: Made) -> None:
    m.set_point[m.set_point > 390] += 20


def no_vacuum(m: Made) -> None:
    m.vacuum[:] = np.nan


def said(channel: str) -> SeenOfSensor:
    return SeenOfSensor(channel, "lead found cut under the blanket", "A. Reyes", "inspector")


NEEDS = dataclasses.replace(RECIPE, sensors=dataclasses.replace(RECIPE.sensors, must_work=("TC6",)))
SUMMED = with_dwell(summed=True)
PLANTED: dict[str, tuple[Change, dict[str, float], CureRecipe, Outcome, str]] = {
    "heated too fast": (nothing, {"rate": 4 / 60}, RECIPE, DOES_NOT, c.RAMP_FAST.code),
    "heated too slowly": (nothing, {"rate": 0.4 / 60}, RECIPE, DOES_NOT, c.RAMP_SLOW.code),
    "dwell short": (nothing, {"dwell": 2000.0}, RECIPE, DOES_NOT, c.DWELL_SHORT.code),
    "dwell long": (nothing, {"dwell": 7000.0}, RECIPE, DOES_NOT, c.DWELL_LONG.code),
    "too cold": (nothing, {"hold": f(235)}, RECIPE, DOES_NOT, c.NOT_REACHED.code),
    "too hot": (nothing, {"hold": f(278)}, RECIPE, DOES_NOT, c.CEILING.code),
    "one too hot": (hot_sensor, {}, RECIPE, DOES_NOT, c.CEILING.code),
    "above the band": (above_band, {}, RECIPE, DOES_NOT, c.ABOVE_BAND.code),
    "interrupted": (interrupted, {"dwell": 4000.0}, RECIPE, DOES_NOT, c.INTERRUPTED.code),
    "interrupted, summed": (interrupted, {"dwell": 3400.0}, SUMMED, DOES_NOT, c.DWELL_SHORT.code),
    "a dip in the dwell": (dip_below, {}, RECIPE, DOES_NOT, c.BELOW_BAND.code),
    "spread": (spread, {}, RECIPE, DOES_NOT, c.SPREAD.code),
    "late into the band": (late, {"dwell": 4500.0}, RECIPE, DOES_NOT, c.LAG.code),
    "cooled too fast": (nothing, {"cool": 4.5 / 60}, RECIPE, DOES_NOT, c.COOL_FAST.code),
    "released hot": (released_hot, {}, RECIPE, DOES_NOT, c.RELEASED_HOT.code),
    "vacuum low": (low_vacuum, {}, RECIPE, DOES_NOT, c.VACUUM_LOW.code),
    "vacuum dip too long": (long_dip, {}, RECIPE, DOES_NOT, c.VACUUM_LOW.code),
    "vacuum dip too deep": (deep_dip, {}, RECIPE, DOES_NOT, c.VACUUM_LOW.code),
    "vacuum dip allowed": (allowed_dip, {}, RECIPE, CONFORMS, c.VACUUM_DIP.code),
    "vacuum never drawn": (never_drawn, {}, RECIPE, DOES_NOT, c.VACUUM_LOW.code),
    "two sensors lost": (two_lost, {}, RECIPE, DOES_NOT, c.SENSORS_LOST.code),
    "four sensors lost": (four_lost, {}, RECIPE, DOES_NOT, c.SENSORS_FEW.code),
    "one sensor lost": (one_lost, {}, RECIPE, CONFORMS, c.STOPPED.code),
    "a needed sensor lost": (one_lost, {}, NEEDS, DOES_NOT, c.SENSOR_NEEDED.code),
    "intermediate dwell skipped": (nothing, {}, two_step(), DOES_NOT, c.DWELL_SHORT.code),
    "wrong program": (wrong_program, {}, RECIPE, CONFORMS, c.PROGRAM.code),
    "gap in the dwell": (gap_in_dwell, {}, RECIPE, UNKNOWN, c.GAP.code),
    "gap in the ramp": (gap_in_ramp, {}, RECIPE, UNKNOWN, c.GAP.code),
    "cut in the dwell": (cut_in_dwell, {}, RECIPE, UNKNOWN, c.ENDS_HOT.code),
    "cut in the ramp": (cut_in_ramp, {}, RECIPE, UNKNOWN, c.UNKNOWN.code),
    "no beginning": (no_start, {}, RECIPE, UNKNOWN, c.STARTS_HOT.code),
    "clock back": (clock_back, {}, RECIPE, UNKNOWN, c.CLOCK_BACK.code),
    "no vacuum channel": (no_vacuum, {}, RECIPE, UNKNOWN, c.UNKNOWN.code),
    "no leak test": (nothing, {}, LEAKY, UNKNOWN, c.UNKNOWN.code),
}


@pytest.mark.parametrize("name", PLANTED)
def test_a_planted_fault_of_the_process_is_judged(name: str) -> None:
    change, how, recipe, outcome, code = PLANTED[name]
    for seed in (1, 2, 3):
        made = made_cure(seed, **how)  # type: ignore[arg-type]
        change(made)
        verdict = judge(recipe, made.log())
        words = [r.words for r in verdict.against()]
        assert verdict.outcome is outcome, f"{name}, seed {seed}: {verdict.outcome}, {words}"
        assert code in {x.code for x in verdict.findings}, f"{name}, seed {seed}: {words}"


def test_more_than_thirty_kinds_of_fault_are_planted() -> None:
    kinds = {code for _, code in LOG_FAULTS.values()} | {x[4] for x in PLANTED.values()}
    assert len(kinds) >= 50
    assert len(LOG_FAULTS) + len(PLANTED) >= 70


def test_clean_cures_conform() -> None:
    outcomes = []
    for seed in range(20):
        for step in (5.0, 30.0):
            made = made_cure(seed, step=step, noise=(0.05, 0.2)[seed % 2])
            verdict = judge(RECIPE, made.log())
            outcomes.append((seed, step, verdict.outcome, [r.words for r in verdict.against()]))
    assert [o for o in outcomes if o[2] is not CONFORMS] == []


@pytest.mark.parametrize("name", LOG_FAULTS)
def test_the_judge_lives_with_every_fault_of_a_log(name: str) -> None:
    made = made_cure(5)
    LOG_FAULTS[name][0](made, np.random.default_rng(5))
    verdict = judge(RECIPE, made.log(), leak=LeakReading(26 * INHG, 25.2 * INHG, 60.0))
    assert verdict.outcome in Outcome
    data = json.loads(verdict.to_json())
    assert data["outcome"] == verdict.outcome.value
    assert (
        verdict.to_json()
        == judge(RECIPE, made.log(), leak=LeakReading(26 * INHG, 25.2 * INHG, 60.0)).to_json()
    )


def test_every_reason_says_when_what_and_where() -> None:
    made = made_cure(1, rate=4 / 60)
    verdict = judge(RECIPE, made.log())
    for reason in verdict.reasons:
        assert reason.place.startswith("M3-SRM")
        assert reason.clock.startswith("2026-11-25")
        assert reason.line >= 1
        assert reason.words
    fast = [r for r in verdict.against() if r.rule == "fastest rise"]
    assert all(r.value > r.limit == at(3 / 60, "").value and r.sensor and r.time > 0 for r in fast)
    assert len(fast) == 6


def test_a_lost_sensor_is_out_from_its_loss_and_not_before() -> None:
    made = made_cure(1)
    made.temps[:, 0] += 25 * np.exp(-(((made.times - 3500) / 200) ** 2))  # too hot while it still worked
    made.temps[500:, 0] = np.nan
    verdict = judge(RECIPE, made.log())
    assert c.CEILING.code in {r.code for r in verdict.against()}
    assert verdict.lost_sensors[0][0] == "TC1"


def test_a_cold_place_is_never_explained_away() -> None:
    """A thermocouple that reads low may be wired wrong or may lie on a cold place: a tenth low is no
    signature of a wrong wire, and what somebody states about it is printed and never makes the cure
    conform."""
    made = made_cure(1)
    never_there(made)
    assert judge(RECIPE, made.log()).outcome is DOES_NOT
    assert judge(RECIPE, made.log(), statements=(said("TC2"),)).outcome is UNKNOWN
    for share in (0.93, 0.92, 0.85, 0.7, 0.5, 0.3, 0.1):
        made = made_cure(2)
        made.temps[:, 1] = 294 + (made.temps[:, 1] - 294) * share
        assert judge(RECIPE, made.log()).outcome is not CONFORMS, share


def test_a_thermocouple_that_leaves_the_others_is_looked_at_before_it_is_left_out() -> None:
    made = made_cure(3)
    LOG_FAULTS["came_off"][0](made, np.random.default_rng(3))
    verdict = judge(RECIPE, made.log())
    assert verdict.outcome is UNKNOWN
    assert verdict.lost_sensors == (), "a suspicion takes no reading away"
    name = next(r.sensor for r in verdict.against() if r.rule == "thermocouple in doubt")
    told = judge(RECIPE, made.log(), statements=(said(name),))
    assert told.outcome is UNKNOWN
    words = next(r.words for r in told.against() if r.rule == "thermocouple in doubt")
    assert "with its readings: " in words
    assert "without: conforms" in words
    assert "A. Reyes (inspector) states" in words
