"""Every rule of the judge just inside and just outside its limit, on exact straight lines."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable

import numpy as np
import pytest

from judge_lines import DOWN, END, HELD, START, STEP, TOP, UP, limit, made, recipe
from made_curelog import INHG, Made
from panelmend.plan.judge import (
    CureRecipe,
    LeakReading,
    LeakRule,
    Outcome,
    SensorRule,
    VacuumRule,
    judge,
)
from panelmend.plan.judge import codes as c
from panelmend.plan.judge.fault import Fault
from panelmend.plan.judge.faults import find_faults

# written out: a number taken from the code would move with it
SPARSE, UNBROKEN = 300.0, 60.0


CONFORMS, DOES_NOT, UNKNOWN = Outcome.CONFORMS, Outcome.DOES_NOT, Outcome.UNKNOWN


def outcome(r: CureRecipe, m: Made | None = None, **more: object) -> Outcome:
    return judge(r, (m or made()).log(), **more).outcome  # type: ignore[arg-type]


NEAR = 0.004  # share of the limit
LIMITS: dict[str, tuple[Callable[[float], CureRecipe], float, bool]] = {
    # name: the recipe with the limit at a value, the value seen, whether the limit is a most
    "fastest rise": (lambda x: recipe(ramp={"rate_most": limit(x)}), UP, True),
    "fastest fall": (lambda x: recipe(cool={"rate_most": limit(x)}), DOWN, True),
    "mean rise": (lambda x: recipe(ramp={"rate_least": limit(x)}), UP, False),
    "mean fall": (
        lambda x: recipe(cool={"rate_least": limit(x)}),
        (385.0 - 315.0) / ((385.0 - 315.0) / DOWN),
        False,
    ),
    "dwell least": (
        lambda x: recipe(dwell={"dwell_least": limit(x)}),
        HELD + 5.0 / UP + 5.0 / DOWN,
        False,
    ),
    "dwell most": (
        lambda x: recipe(dwell={"dwell_most": limit(x)}),
        HELD + 5.0 / UP + 5.0 / DOWN,
        True,
    ),
    "top of the band": (lambda x: recipe(dwell={"band_high": limit(x)}), TOP, True),
    "ceiling": (lambda x: recipe(ceiling=limit(x)), TOP, True),
    "ceiling of a segment": (lambda x: recipe(dwell={"ceiling": limit(x)}), TOP, True),
    "entry": (lambda x: recipe(dwell={"band_low": limit(x)}), TOP, False),
}


@pytest.mark.parametrize("name", LIMITS)
def test_a_limit_bites_just_outside_and_not_just_inside(name: str) -> None:
    of, seen, most = LIMITS[name]
    small = NEAR * seen if "band" not in name and "ceiling" not in name and name != "entry" else 0.01
    inside, outside = (seen + small, seen - small) if most else (seen - small, seen + small)
    if name == "entry":
        short = made(held=4300.0)
        assert outcome(of(inside), short) in (CONFORMS, DOES_NOT)
        rules = {r.rule: r.outcome for r in judge(of(outside), short.log()).reasons}
        assert rules["entry into the band"] is DOES_NOT
        assert "entry into the band" not in {r.rule for r in judge(of(inside), short.log()).reasons}
        return
    assert outcome(of(inside)) is CONFORMS
    assert outcome(of(outside)) is DOES_NOT


def apart(by: float) -> Made:
    m = made()
    m.temps[:, 3] += by * np.clip((m.temps[:, 3] - START) / (TOP - START), 0, 1)
    return m


def test_spread_is_probed() -> None:
    r = recipe(dwell={"spread_most": limit(3.0)})
    assert outcome(r, apart(2.99)) is CONFORMS
    assert outcome(r, apart(3.01)) is DOES_NOT


def test_lag_is_probed() -> None:
    def late(by: float) -> Made:
        m = made(held=4600.0)
        m.temps[:, 3] = np.interp(m.times - by, m.times, m.temps[:, 3])
        return m

    r = recipe(dwell={"lag_most": limit(300.0)})
    assert outcome(r, late(298.0)) is CONFORMS
    assert outcome(r, late(302.0)) is DOES_NOT


VACUUM = VacuumRule(limit(22 * INHG), dip_least=20 * INHG, dip_longest=60.0)


def dipped(to: float, samples: int) -> Made:
    m = made()
    m.vacuum[400 : 400 + samples] = to * INHG + 3.0 * np.sin(np.arange(samples))
    return m


def test_vacuum_and_its_dips_are_probed() -> None:
    def at_level(inhg: float) -> Made:
        m = made()
        m.vacuum *= inhg / 24.0
        return m

    r = recipe(vacuum=VACUUM)
    assert outcome(r, at_level(22.01)) is CONFORMS
    assert outcome(r, at_level(19.99)) is DOES_NOT
    plain = recipe(vacuum=VacuumRule(limit(22 * INHG)))
    assert outcome(plain, at_level(22.01)) is CONFORMS
    assert outcome(plain, at_level(21.99)) is DOES_NOT
    assert outcome(r, dipped(20.01, 5)) is CONFORMS
    assert outcome(r, dipped(19.98, 5)) is DOES_NOT
    assert outcome(r, dipped(20.01, 6)) is CONFORMS, "60 s from the first low reading to the next good one"
    assert outcome(r, dipped(20.01, 7)) is DOES_NOT
    assert outcome(plain, dipped(21.9, 5)) is DOES_NOT


def test_release_is_probed() -> None:
    def released(at_temperature: float) -> Made:
        m = made()
        row = int(np.argmax((m.times > 7500) & (m.temps[:, 0] < at_temperature)))
        m.vacuum = np.where(np.arange(m.times.size) < row, 24.0 * INHG + 5.0 * np.sin(m.times / 9.0), 0.0)
        return m

    r = recipe(vacuum=VacuumRule(limit(22 * INHG)), release_most=limit(325.0))
    assert outcome(r, released(324.6)) is CONFORMS
    assert outcome(r, released(325.4)) is DOES_NOT


def test_the_leak_test_is_probed() -> None:
    r = recipe(vacuum=VacuumRule(limit(22 * INHG)), leak=LeakRule(limit(INHG), 60.0))

    def leak(start: float, fall: float, seconds: float = 60.0) -> Outcome:
        return outcome(r, leak=LeakReading(start * INHG, (start - fall) * INHG, seconds))

    assert leak(24.0, 0.999) is CONFORMS
    assert leak(24.0, 1.001) is DOES_NOT
    assert leak(24.0, 0.5, 59.9) is UNKNOWN
    assert leak(24.0, 1.001, 60.1) is UNKNOWN
    own = dataclasses.replace(r, leak=LeakRule(limit(INHG), 60.0, start_least=limit(25 * INHG)))
    assert outcome(own, leak=LeakReading(25.0 * INHG, 24.9 * INHG, 60.0)) is CONFORMS
    assert outcome(own, leak=LeakReading(24.9 * INHG, 24.8 * INHG, 60.0)) is UNKNOWN


def lost(count: int) -> Made:
    m = made()
    m.temps[400:, :count] = np.nan
    return m


def test_numbers_of_thermocouples_are_probed() -> None:
    assert outcome(recipe(), lost(2)) is CONFORMS
    assert outcome(recipe(), lost(3)) is DOES_NOT
    some = dataclasses.replace(recipe(), sensors=SensorRule(1, "table 1", may_fail=1))
    assert outcome(some, lost(1)) is CONFORMS
    assert outcome(some, lost(2)) is DOES_NOT
    needed = dataclasses.replace(recipe(), sensors=SensorRule(1, "table 1", must_work=("T2",)))
    assert outcome(needed, lost(1)) is CONFORMS
    assert outcome(needed, lost(2)) is DOES_NOT


# --- what counts as what ---


def found(m: Made) -> dict[str, Fault]:
    return {f.finding.code: f for f in find_faults(m.log())}


def stretched(step: float) -> Made:
    m = made()
    m.times = np.concatenate([m.times[:500], m.times[500:] + step - STEP])
    return m


def test_a_gap_is_named_and_a_hole_begins_where_they_should() -> None:
    assert c.GAP.code not in found(stretched(25.0))
    assert c.GAP.code in found(stretched(26.5))
    assert UNBROKEN == 60.0
    assert SPARSE == 300.0
    r = recipe(vacuum=VacuumRule(limit(22 * INHG)))
    assert outcome(r, stretched(UNBROKEN)) is CONFORMS
    assert outcome(r, stretched(UNBROKEN + 1.0)) is UNKNOWN


def spiked(by: float, samples: int) -> Made:
    m = made()
    m.temps[500 : 500 + samples, 1] += by
    return m


def test_a_spike_is_probed() -> None:
    assert c.SPIKE.code in found(spiked(8.1, 1))
    assert c.SPIKE.code not in found(spiked(7.9, 1))
    assert c.SPIKE.code in found(spiked(30.0, 3))
    assert c.SPIKE.code not in found(spiked(30.0, 4))


def test_a_hot_start_and_a_hot_end_are_probed() -> None:
    def shifted(by: float) -> Made:
        m = made()
        m.temps += by
        return m

    assert c.STARTS_HOT.code not in found(shifted(318.15 - START - 0.1))
    assert c.STARTS_HOT.code in found(shifted(318.15 - START + 0.1))
    assert c.ENDS_HOT.code not in found(shifted(323.15 - END - 0.1))
    assert c.ENDS_HOT.code in found(shifted(323.15 - END + 0.1))


def test_a_wire_is_called_wrong_only_where_no_cold_place_reads_so() -> None:
    """A J wire on a K input reads about a quarter too much; that share is kept and the rise is changed."""
    from panelmend.physics.thermocouple import reading

    def wired(top: float) -> Made:
        m = made(top=top)
        m.temps += np.random.default_rng(3).normal(0.0, 0.05, m.temps.shape)  # none follows another exactly
        m.temps[:, 0] = [reading("J", "K", t, START) for t in m.temps[:, 0]]
        return m

    assert c.WRONG_WIRE.code in found(wired(375.0))
    assert c.WRONG_WIRE.code not in found(wired(345.0)), "less than 15 K: a hot place may read so"


def test_an_interrupted_cure_begins_at_eight_kelvin() -> None:
    def fallen(by: float) -> set[str]:
        m = made(held=5000.0)
        low = (m.times > 5000) & (m.times < 5400)
        m.temps[low] -= (by + 5.0) * np.sin(np.pi * (m.times[low] - 5000) / 400)[:, None]
        return {f.code for f in judge(recipe(dwell={"summed": True}), m.log()).findings}

    assert c.BELOW_BAND.code in fallen(7.8)
    assert c.INTERRUPTED.code not in fallen(7.8)
    assert c.INTERRUPTED.code in fallen(8.3)


def test_a_still_span_is_probed_by_its_length() -> None:
    def still(seconds: float) -> Made:
        m = made()
        random = np.random.default_rng(4)
        m.temps += random.normal(0, 0.2, m.temps.shape)
        m.temps = np.round(m.temps - 273.15, 1) + 273.15
        rows = (m.times >= 4000) & (m.times <= 4000 + seconds)
        m.temps[rows] = m.temps[rows][0]
        return m

    assert c.FROZEN.code not in found(still(170.0))
    assert c.FROZEN.code in found(still(180.0))
