"""Rules that look at every thermocouple and all of a dwell: none of them is passed over, first or last."""

from __future__ import annotations

import numpy as np
import pytest

from judge_lines import limit, made, recipe
from made_curelog import INHG
from panelmend.plan.judge import Outcome, codes, judge
from panelmend.plan.judge.recipe import VacuumRule

# Heat from 600 s, the band of 385 K reached at 2725 s; 390 K from 2850 to 6850 s.
DIP = (4000.0, 4300.0)


@pytest.mark.parametrize(
    ("begin", "end", "outcome"),
    [
        (2900.0, 3900.0, Outcome.DOES_NOT),  # in the first part of the dwell
        (4500.0, 6500.0, Outcome.UNKNOWN),  # in the second, where it alone moves: in doubt
        (1000.0, 2000.0, Outcome.CONFORMS),  # on the ramp
    ],
)
def test_a_spread_in_either_part_of_a_dwell_counts(begin: float, end: float, outcome: Outcome) -> None:
    cure = made()
    cure.temps[(cure.times >= DIP[0]) & (cure.times <= DIP[1])] -= 6.0
    cure.temps[:, 2] += np.interp(cure.times, [begin, 0.5 * (begin + end), end], [0.0, 2.0, 0.0])
    asked = {"spread_most": limit(1.5), "summed": True, "dwell_least": limit(3000.0)}
    verdict = judge(recipe(dwell=asked), cure.log())
    (spread,) = [r for r in verdict.reasons if r.rule.startswith("spread")]
    assert spread.outcome is outcome
    assert (codes.SPREAD.code in {f.code for f in verdict.findings}) is (outcome is Outcome.DOES_NOT)
    if outcome is not Outcome.CONFORMS:
        assert spread.value == pytest.approx(2.0, abs=1e-3)
        assert spread.time == 0.5 * (begin + end)
        assert spread.sensor.startswith("T3 and ")


@pytest.mark.parametrize("sensor", range(4))
@pytest.mark.parametrize(("begin", "by", "code"), [(1000.0, 6.0, "RAMP_FAST"), (7100.0, -6.0, "COOL_FAST")])
def test_a_rate_of_any_thermocouple_counts(sensor: int, begin: float, by: float, code: str) -> None:
    """6 K in 300 s on top of 0.04 K/s up or 0.03 K/s down are 0.06 and 0.05 K/s."""
    cure = made()
    cure.temps[:, sensor] += np.interp(cure.times, [begin, begin + 300.0, begin + 900.0], [0.0, by, 0.0])
    most = {"rate_most": limit(0.045)}
    verdict = judge(recipe(ramp=most, cool=most), cure.log())
    fast = [r for r in verdict.reasons if r.outcome is not Outcome.CONFORMS and r.kind == "temperature rate"]
    assert [(r.sensor, r.outcome) for r in fast] == [(f"T{sensor + 1}", Outcome.DOES_NOT)]
    assert fast[0].code == getattr(codes, code).code
    assert fast[0].value == pytest.approx(0.06 if by > 0 else 0.05, abs=1e-4)


@pytest.mark.parametrize(("let_go", "outcome"), [(9500.0, Outcome.CONFORMS), (9400.0, Outcome.DOES_NOT)])
def test_vacuum_is_needed_until_the_hottest_has_cooled(let_go: float, outcome: Outcome) -> None:
    """Three come to 315 K at 9350 s, the one 4 K above them at 9483 s: until then the bag is held."""
    cure = made()
    cure.temps[:, 1] += np.interp(cure.times, [7200.0, 8200.0], [0.0, 4.0])
    cure.vacuum = np.where(cure.times < let_go, 24.0 * INHG + 5.0 * np.sin(cure.times / 9.0), 0.0)
    verdict = judge(recipe(vacuum=VacuumRule(limit(22.0 * INHG))), cure.log())
    (held,) = [r for r in verdict.reasons if r.rule == "vacuum"]
    assert held.outcome is outcome


@pytest.mark.parametrize("low", [2, 20])
def test_a_vacuum_seen_too_low_and_then_read_no_more_does_not_conform(low: int) -> None:
    """Readings that show it too low are no gap: what came after them makes none of them better."""
    cure = made()
    cure.vacuum[500 : 500 + low] = 15.0 * INHG + np.sin(np.arange(low))
    cure.vacuum[500 + low :] = np.nan
    verdict = judge(recipe(vacuum=VacuumRule(limit(22.0 * INHG))), cure.log())
    told = [r.outcome for r in verdict.reasons if r.rule == "vacuum" and r.value < 22.0 * INHG]
    assert told == [Outcome.DOES_NOT]
    assert verdict.outcome is Outcome.DOES_NOT
