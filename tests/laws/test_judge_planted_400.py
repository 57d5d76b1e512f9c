"""What faults of a draw over all of the code changed in the judge unnoticed, from both sides."""

from __future__ import annotations

import dataclasses
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from judge_channels import rows_of
from judge_lines import limit, made, recipe
from panelmend.errors import InputError
from panelmend.physics.thermocouple import Wire
from panelmend.plan.judge import CureLog, Outcome, SensorRule, VacuumRule, faults_sensor
from panelmend.plan.judge.evidence import gather
from panelmend.plan.judge.fault import length
from panelmend.plan.judge.faults_compare import _slow, told_apart_from
from panelmend.plan.judge.faults_frozen import _why, frozen_faults
from panelmend.plan.judge.faults_quiet import _long
from panelmend.plan.judge.lost import _carried
from panelmend.plan.judge.no_readings import no_temperature
from panelmend.plan.judge.order import times_in_order
from panelmend.plan.judge.recipe import LeakRule
from panelmend.plan.judge.report import _wires
from panelmend.plan.judge.rules_vacuum import LeakReading, _enter, _no_test
from panelmend.plan.judge.spans import Span
from panelmend.plan.judge.standing import _left_early
from panelmend.plan.judge.verdict import VerdictRecorder
from panelmend.plan.judge.walk import Stretch

E = gather(made().log())


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


@pytest.mark.parametrize(("back", "words"), [(9.9, "step back by less"), (10.0, "time of their place")])
def test_a_step_back_of_less_than_a_sample_is_repaired(back: float, words: str) -> None:
    times = 10.0 * np.arange(60)
    times[30] = times[29] - back
    log = CureLog(times, (), lines=np.arange(60, dtype=np.int32))
    made = times_in_order(log)
    assert len(made.log) == 60
    assert words in made.faults[0].finding.words


def test_a_side_of_a_span_stays_open_where_it_is_not_cut_off() -> None:
    span = Span(100.0, 200.0, True, True)
    sides = [(a, b) for a in (99.0, 100.0, 101.0) for b in (199.0, 200.0, 201.0)]
    for start, end in sides:
        part = span.within(start, end)
        assert (part.open_start, part.open_end) == (start <= 100.0, end >= 200.0)
        closed = Span(100.0, 200.0).within(start, end)
        assert (closed.open_start, closed.open_end) == (False, False)


def test_a_rule_may_allow_no_loss_and_asks_one_thermocouple() -> None:
    assert SensorRule(1, "table 1", may_fail=0).may_fail == 0
    for least, may_fail in ((0, None), (1, -1)):
        with pytest.raises(InputError):
            SensorRule(least, "table 1", may_fail=may_fail)


def test_a_reading_of_no_vacuum_at_all_is_not_above_the_air() -> None:
    rule = LeakRule(limit(2e3), 300.0, start_least=limit(8e4))
    for end, above in ((0.0, False), (-0.1, True)):
        reading = LeakReading(9e4, end, 300.0, gauge="below ambient")
        assert ("above the air pressure" in _no_test(E, rule, None, reading)) is above


@pytest.mark.parametrize(("air", "said"), [(79e3, True), (81e3, False), (np.nan, False)])
def test_a_vacuum_that_the_air_cannot_give_is_said_to_be_so(air: float, said: bool) -> None:
    e = dataclasses.replace(E, log=dataclasses.replace(E.log, ambient=air))
    for outcome in (Outcome.DOES_NOT, Outcome.CONFORMS):
        book = VerdictRecorder(e.log)
        _enter(e, book, recipe(vacuum=VacuumRule(limit(8e4))), 50, "", outcome)
        assert ("cannot give it at all" in book.reasons[0].words) is (said and outcome is Outcome.DOES_NOT)


@pytest.mark.parametrize(
    ("values", "none"), [([300.0, 2200.0], [False, True]), ([-1.0, 300.0], [True, False])]
)
def test_no_reading_stands_above_or_below_what_thermocouples_read(
    values: list[float], none: list[bool]
) -> None:
    assert no_temperature(np.array(values)).tolist() == none


def stuck(
    patch: pytest.MonkeyPatch, steps: int, step: float, *, moved: float = 9.0, lively: bool = False
) -> tuple[bool, bool] | None:
    """Whether a stay of so many steps is taken as lost and as doubted, beside others that moved [K]."""
    patch.setattr(faults_sensor, "moved_meanwhile", lambda *_: moved)
    patch.setattr(faults_sensor, "_all_lively", lambda *_: lively)
    n = 200
    values = 390.0 + np.arange(n) % 2
    values[100 : 101 + steps] = 388.0
    log = rows_of(n, step)
    found = faults_sensor.stuck_faults(log, "T1", values, np.full((n, 2), 390.0))
    return (found[0].lost, found[0].doubt) if found else None


def test_a_stay_of_five_minutes_and_twenty_samples_is_told_where_the_others_moved(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Five kelvins; with less a stay three times as long is a suspicion."""
    lost, doubt = (True, False), (False, True)
    assert [stuck(monkeypatch, *x) for x in ((20, 15.0), (19, 16.0), (20, 14.9))] == [lost, None, None]
    assert [stuck(monkeypatch, 20, 15.0, moved=x) for x in (4.9, 5.0, 5.1)] == [None, None, lost]
    quiet = [stuck(monkeypatch, *x, moved=0.0, lively=True) for x in ((60, 15.1), (60, 15.0), (59, 16.0))]
    assert quiet == [doubt, None, None]
    assert [stuck(monkeypatch, 60, 16.0, moved=x, lively=True) for x in (4.9, 5.0, 5.1)] == [
        doubt,
        doubt,
        lost,
    ]
