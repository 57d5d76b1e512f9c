"""One thermocouple without its noise: stuck in the dwell, or a hole of one column drawn over."""

from __future__ import annotations

import numpy as np
import pytest

from judge_channels import rows_of
from made_curelog import Made, made_cure
from panelmend.plan.judge import CureLog, Outcome, find_faults, judge
from panelmend.plan.judge import codes as c
from panelmend.plan.judge.fault import Fault, length_up
from panelmend.plan.judge.faults_frozen import stays_of_each
from panelmend.plan.judge.faults_quiet import quiet_faults
from panelmend.plan.judge.report import not_judged
from recipe_curelog import RECIPE, f


def cure(
    seed: int,
    rows: int,
    how: str,
    *,
    digits: int = 1,
    sensors: int = 3,
    step: float = 30.0,
    noise: float = 0.15,
) -> Made:
    """So many rows of the first thermocouple in the dwell "stay" at one value, lie on a "line", or stand as
    they were read."""
    made = made_cure(seed, sensors=sensors, step=step, noise=noise)
    made.temps = np.round(made.temps - 273.15, digits) + 273.15
    a = int(np.argmax(made.temps.min(axis=1) > f(240))) + int(900 / step)
    one = made.temps[:, 0]
    if how == "stay":
        one[a : a + rows + 1] = one[a]
    elif how == "line":
        line = np.linspace(one[a] - 0.2, one[a] + 0.3, rows + 1)
        one[a : a + rows + 1] = np.round(line - 273.15, digits) + 273.15
    return made


def told(made: Made) -> list[Fault]:
    return [x for x in find_faults(made.log()) if x.finding.code in (c.STUCK.code, c.DRAWN.code)]


@pytest.mark.parametrize(("how", "code"), [("stay", c.STUCK), ("line", c.DRAWN)])
@pytest.mark.parametrize("seed", range(3))
def test_one_of_three_that_stands_still_in_the_dwell_does_not_let_it_conform(
    seed: int, how: str, code: object
) -> None:
    """A place that went cold meanwhile would look the same."""
    made = cure(seed, 40, how)
    (found,) = told(made)
    assert (found.finding.code, found.channel, found.doubt, found.lost) == (code.code, "TC1", True, False)  # type: ignore[attr-defined]
    assert found.until - found.time == pytest.approx(1200.0, abs=400.0)
    assert judge(RECIPE, cure(seed, 0, "").log()).outcome is Outcome.CONFORMS
    assert judge(RECIPE, made.log()).outcome is Outcome.UNKNOWN


@pytest.mark.parametrize("digits", [1, 0])
@pytest.mark.parametrize("seed", range(4))
def test_a_cure_as_it_was_has_none(seed: int, digits: int) -> None:
    assert not told(cure(seed, 0, "", digits=digits))


def test_in_whole_degrees_a_stay_is_usual() -> None:
    assert not told(cure(1, 40, "stay", digits=0))


def steady(
    rows: int, *, step: float = 20.0, noise: float = 0.3, above: float = 50.0, beside: float = 0.3
) -> bool:
    """A steady part at tenths, of which one thermocouple stays for so many steps; ``beside`` [K]: noise of
    the others meanwhile."""
    random = np.random.default_rng(4)
    n = 400
    temps = 293.0 + random.normal(0.0, 0.3, (n, 3))
    temps[:, 0] = 293.0 + random.normal(0.0, noise, n)
    temps[150 : 151 + rows, 1:] = 293.0 + random.normal(0.0, beside, (rows + 1, 2))
    temps[60:] += above
    temps = np.round(temps, 1)
    temps[150 : 151 + rows, 0] = 293.0 + above
    temps[149, 0], temps[151 + rows, 0] = 293.5 + above, 293.5 + above
    log = rows_of(n, step)
    return bool(quiet_faults(log, "T1", temps[:, 0], temps[:, 1:]))


def test_five_minutes_are_asked() -> None:
    assert [steady(15), steady(14)] == [True, False]


def test_so_many_rows_that_it_is_no_chance() -> None:
    """Noise of about 3 digits, nine tenths of it counted: a row stays with a chance near 0.17."""
    assert [steady(6, step=60.0), steady(5, step=60.0)] == [True, False]


@pytest.mark.parametrize("seed", range(3))
def test_twenty_rows_at_a_reading_a_minute_are_asked_for(seed: int) -> None:
    """They conformed where the noise is no more than a last digit."""
    made = cure(seed, 20, "stay", step=60.0, noise=0.1)
    assert [x.channel for x in told(made)] == ["TC1"]
    assert judge(RECIPE, made.log()).outcome is Outcome.UNKNOWN
    assert judge(RECIPE, cure(seed, 0, "", step=60.0, noise=0.1).log()).outcome is Outcome.CONFORMS


def test_how_long_each_thermocouple_stood_at_one_value_is_printed() -> None:
    """In whole degrees a stuck one cannot be told from one that stands."""
    verdict = judge(RECIPE, cure(1, 40, "stay", digits=0).log())
    stood = dict(verdict.stood_alone)
    assert stood["TC1"] >= 1200.0
    (words,) = [x for x in not_judged(RECIPE, verdict) if "was stuck" in x]
    assert f"TC1 {length_up(stood['TC1'])}" in words
    assert not [x for x in not_judged(RECIPE, judge(RECIPE, cure(1, 0, "").log())) if "was stuck" in x]


def test_a_stay_of_one_is_printed_from_five_minutes_on_where_it_is_hot() -> None:
    n = 100
    times = 30.0 * np.arange(n)
    temps = (
        293.0 + np.where(np.arange(n) > 20, 60.0, 0.0)[:, None] + 0.1 * (np.arange(3 * n).reshape(n, 3) % 2)
    )
    temps[40:51, 0] = temps[40, 0]
    temps[40:50, 1] = temps[50, 1] - 0.3
    temps[2:14, 2] = temps[2, 2]  # in the shop
    log = CureLog(times, ())
    assert stays_of_each(log, ("A", "B", "C"), temps) == (("A", 300.0),)


def test_noise_must_show_above_the_last_digit() -> None:
    assert [steady(60, noise=x) for x in (0.1, 0.08)] == [True, False]


def test_a_log_that_is_quiet_as_a_whole_is_no_fault_of_one() -> None:
    assert [steady(40, beside=x) for x in (0.13, 0.1)] == [True, False]


def test_a_part_at_rest_in_the_shop_is_not_asked() -> None:
    assert [steady(40, above=x) for x in (10.0, 9.5)] == [True, False]
