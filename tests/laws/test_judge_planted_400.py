"""What faults of a draw over all of the code changed in the judge unnoticed, from both sides."""

from __future__ import annotations

import dataclasses
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from judge_lines import limit, made, recipe
from panelmend.physics.thermocouple import Wire
from panelmend.plan.judge import CureLog
from panelmend.plan.judge.evidence import gather
from panelmend.plan.judge.fault import length
from panelmend.plan.judge.faults_compare import _slow, told_apart_from
from panelmend.plan.judge.faults_frozen import _why, frozen_faults
from panelmend.plan.judge.faults_quiet import _long
from panelmend.plan.judge.lost import _carried
from panelmend.plan.judge.recipe import LeakRule
from panelmend.plan.judge.report import _wires
from panelmend.plan.judge.rules_vacuum import LeakReading, _no_test
from panelmend.plan.judge.standing import _left_early
from panelmend.plan.judge.walk import Stretch

E = gather(made().log())


def rows_of(n: int, step: float = 10.0) -> CureLog:
    return CureLog(step * np.arange(n), (), lines=np.arange(n, dtype=np.int32))


def test_one_steady_sample_is_held_against_a_stay_of_twenty_seven_steps() -> None:
    """After one change a row stays so long with a chance of 1 in 406, of 26 steps in 378; exp(6) is 403."""
    n = 200
    for steps, told in ((26, True), (27, False)):
        stays = np.zeros(n, np.bool_)
        stays[101 : 101 + steps] = stays[50] = True
        hot, middle = np.zeros(n, np.bool_), np.full(n, 400.0)
        hot[[50, 100 + steps]] = True  # no other row counts
        assert bool(_why(rows_of(n, 30.0), 100, 100 + steps, stays, stays, middle, hot, False)) is told


def test_a_log_of_one_thermocouple_can_stand_still() -> None:
    n = 400
    temps = np.where(np.arange(n) < 50, 300.0, 400.0)[:, None] + 0.1 * (np.arange(n)[:, None] % 2)
    temps[100:301] = temps[100]
    assert frozen_faults(rows_of(n), temps)[1].sum() == 200


def test_one_that_never_comes_up_is_not_said_to_be_slow() -> None:
    t = 10.0 * np.arange(300)
    m = np.interp(t, [0.0, 1000.0], [300.0, 400.0])
    late = [np.interp(t, [x, 1000.0 + x], [300.0, 400.0]) for x in (590.0, 610.0)]
    assert [bool(_slow(E.log, "T1", t, v, m)) for v in (np.full(300, 300.0), *late)] == [False, False, True]


def test_one_lost_for_the_last_sample_alone_is_carried_on_to_it() -> None:
    e: Any = SimpleNamespace(**{n: getattr(E, n) for n in ("times", "gap", "index_at", "temps", "checked")})
    column = E.temps[:, 0].copy()
    last = len(column) - 1
    column[last] = np.nan
    found = list(_carried(e, column, E.temps[:, 1], 1.0, float(E.times[last - 1]), float(E.times[-1])))
    assert [(at, gone) for at, gone, _ in found] == [(last - 1, slice(last, last + 1))]


def test_a_dwell_that_was_not_reached_was_not_left_early() -> None:
    hold, cool = recipe().segments[1:]
    e: Any = SimpleNamespace(blur=0.0)
    for found in (False, True):
        walked = (Stretch(hold, 0.0, 3700.0, (), (), found), Stretch(cool, 4000.0, 5000.0, (), (), False))
        assert bool(_left_early(e, cool, walked)) is found


@pytest.mark.parametrize(("start", "counts"), [(105e3, True), (105001.0, False)])
def test_a_leak_test_starts_no_more_than_a_kilopascal_above_what_the_air_gives(
    start: float, counts: bool
) -> None:
    """Of whose air nothing was said: at most 104 kPa."""
    reading = LeakReading(start, 9e4, 300.0, gauge="below ambient")
    rule = LeakRule(limit(2e3), 300.0, start_least=limit(8e4))
    assert ("cannot give" not in _no_test(E, rule, None, reading)) is counts


@pytest.mark.parametrize(("rows", "told"), [(29, False), (30, True)])
def test_a_line_of_one_lasts_five_minutes_without_what_is_cut_off(rows: int, told: bool) -> None:
    """Five rows rise before it by less than a last digit each; the last of them fits the line."""
    restless = np.where(np.arange(20) % 2, 9.0, -9.0)
    values = np.concatenate([restless, 0.9 * np.arange(5), np.full(rows, 4.5), restless])
    assert bool(list(_long(10.0 * np.arange(values.size), values, 1.0, stays=False))) is told


def test_stamps_at_uneven_steps_blur_by_what_they_are_written_in() -> None:
    even, uneven = 60.0 * np.arange(20), 60.0 * np.arange(20)
    uneven[10:] += 60.0
    for times, step, blur in (
        (even, 60.0, 0.0),
        (uneven, 60.0, 60.0),
        (uneven, 1.0, 0.0),
        (uneven, 1.1, 1.1),
    ):
        assert dataclasses.replace(E, log=CureLog(times, (), stamp_step=step)).blur == blur


def test_two_minutes_are_told_in_minutes() -> None:
    assert [length(x) for x in (119.4, 120.0)] == ["119 s", "2 min"]


def test_what_a_cure_of_just_its_heat_tells_apart_is_not_said_to_be_untold() -> None:
    start = told_apart_from(Wire.J, Wire.K)
    for top, untold in ((start, False), (start - 0.1, True)):
        heat = {"target": top}
        words = " ".join(_wires(recipe(ramp=heat, dwell=heat)))
        assert ("J wire on a K input" in words) is untold
