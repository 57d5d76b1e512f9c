"""Rows filled up with the readings of the row before are no evidence."""

from __future__ import annotations

import numpy as np
import pytest

from made_curelog import Made, made_cure
from panelmend.plan.judge import CureLog, Outcome, find_faults, judge
from panelmend.plan.judge import codes as c
from recipe_curelog import RECIPE, f


def cure(seed: int = 1, **how: float) -> Made:
    made = made_cure(seed, **how)  # type: ignore[arg-type]
    made.temps = np.round(made.temps - 273.15, 1) + 273.15
    return made


def carried(made: Made, begin: int, rows: int, *, vacuum: bool = True) -> Made:
    """Rows after ``begin`` with the readings of ``begin``."""
    made.temps[begin + 1 : begin + 1 + rows] = made.temps[begin]
    if vacuum:
        made.vacuum[begin + 1 : begin + 1 + rows] = made.vacuum[begin]
    return made


def every(made: Made, rows: int) -> Made:
    """One reading in so many rows, carried forward."""
    taken = np.arange(made.times.size) // rows * rows
    made.temps, made.vacuum = made.temps[taken], made.vacuum[taken]
    return made


def codes_of(log: CureLog) -> set[str]:
    return {x.finding.code for x in find_faults(log)}


def in_dwell(made: Made) -> int:
    return int(np.argmax(made.temps.min(axis=1) > f(240))) + 60


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("where", ["ramp", "dwell", "cool-down"])
def test_two_minutes_carried_forward_are_a_hole(seed: int, where: str) -> None:
    made = cure(seed)
    at = {"ramp": 140, "dwell": in_dwell(made), "cool-down": made.times.size - 200}[where]
    log = carried(made, at, 12).log()
    assert c.FILLED.code in codes_of(log)
    if where == "dwell":
        words = next(x.finding.words for x in find_faults(log) if x.finding.code == c.FILLED.code)
        assert "12 rows repeat" in words
        assert "for 2 min" in words
    if where != "cool-down":  # vacuum is asked there
        assert judge(RECIPE, log).outcome is Outcome.UNKNOWN


def test_thermocouples_carried_forward_while_the_gauge_goes_on_are_a_hole_of_theirs() -> None:
    made = cure()
    log = carried(made, in_dwell(made), 12, vacuum=False).log()
    assert c.FILLED.code in codes_of(log)
    assert not any("vacuum" in r.rule for r in judge(RECIPE, log).against())


@pytest.mark.parametrize("minutes", [10, 15, 20])
def test_a_log_of_few_readings_filled_up_to_one_in_ten_seconds_is_judged_by_its_readings(
    minutes: int,
) -> None:
    """It conformed: a part could have been spoilt between any two."""
    made = every(cure(), 6 * minutes)
    assert c.FILLED.code in codes_of(made.log())
    assert judge(RECIPE, made.log()).outcome is not Outcome.CONFORMS


@pytest.mark.parametrize("rows", [3, 6, 12])
def test_readings_that_come_every_30_to_120_seconds_count_though_the_rows_come_every_ten(rows: int) -> None:
    log = every(cure(), rows).log()
    assert codes_of(log) & {c.FILLED.code, c.REPEATS.code} == {c.REPEATS.code}
    assert judge(RECIPE, log).outcome is Outcome.CONFORMS


@pytest.mark.parametrize(("rows", "told"), [(4, False), (5, False), (6, True)])
def test_a_stretch_is_a_hole_from_a_minute_on(rows: int, told: bool) -> None:
    """Four or five rows of ten seconds carried forward lie between readings a minute apart."""
    made = cure()
    found = codes_of(carried(made, in_dwell(made), rows).log())
    assert (c.FILLED.code in found) is told
    assert (c.REPEATS.code in found) is not told


@pytest.mark.parametrize(("sensors", "told"), [(2, False), (3, True)])
def test_the_fewest_thermocouples_are_probed(sensors: int, told: bool) -> None:
    made = cure(sensors=sensors)
    assert (c.FILLED.code in codes_of(carried(made, in_dwell(made), 12).log())) is told


@pytest.mark.parametrize(("where", "told"), [("ramp", True), ("dwell", False)])
def test_in_coarse_digits_only_what_jumps_is_told(where: str, told: bool) -> None:
    """Whole degrees F stand as long in a dwell by themselves."""
    made = made_cure()
    made.temps = np.round((made.temps - 273.15) * 1.8) / 1.8 + 273.15
    at = 140 if where == "ramp" else in_dwell(made)
    assert (c.FILLED.code in codes_of(carried(made, at, 12).log())) is told


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("digit", [1.0, 5 / 9, 0.1, 0.05])
@pytest.mark.parametrize("noise", [0.02, 0.05, 0.1, 0.3])
@pytest.mark.parametrize("step", [1.0, 10.0, 60.0])
def test_sound_logs_have_no_such_rows(seed: int, digit: float, noise: float, step: float) -> None:
    made = made_cure(seed, sensors=3 + seed, step=step, noise=noise)
    made.temps = np.round((made.temps - 273.15) / digit) * digit + 273.15
    assert not codes_of(made.log()) & {c.FILLED.code, c.REPEATS.code}
