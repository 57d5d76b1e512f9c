"""Numbers of the running watch and of lost, moved and turned logs, each from both sides, that a sweep of the
judge changed unnoticed."""

from __future__ import annotations

import dataclasses
import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from judge_channels import counted
from judge_lines import limit, made, recipe
from panelmend.errors import InputError
from panelmend.plan.judge import (
    Outcome,
    Predicted,
    SegmentKind,
    VacuumRule,
    alarms,
    codes,
    judging,
    watch,
)
from panelmend.plan.judge.alarm import Alarm
from panelmend.plan.judge.alarms import _late_step
from panelmend.plan.judge.aside import _pieces, no_program
from panelmend.plan.judge.evidence import gather
from panelmend.plan.judge.fault import fault, length_up
from panelmend.plan.judge.order import times_in_order
from panelmend.plan.judge.pieces import place_of_least
from panelmend.plan.judge.recipe import CureRecipe, RecipeSegment
from panelmend.plan.judge.rules_vacuum import judge_vacuum
from panelmend.plan.judge.said import apart, in_units
from panelmend.plan.judge.spans import Span
from panelmend.plan.judge.standing import _left_early
from panelmend.plan.judge.standing import _vacuum as _low_vacuum
from panelmend.plan.judge.verdict import VerdictRecorder
from panelmend.plan.judge.walk import Stretch
from panelmend.plan.judge.watch import _by_model, _expected, _left

LOG = made().log()
E = gather(LOG)
N = len(E.times)
UP, HOLD, DOWN = recipe().segments
NAN = math.nan
LAST = 300


# the running watch


def seen(**more: Any) -> Any:
    """What the alarms look at at the end of a hundred samples; who reads most and least is told by the
    sample asked for."""
    t = 10.0 * np.arange(100)
    facts = {"times": t, "highest": np.full(100, 380.0), "lowest": np.full(100, 380.0), "names": ("T1",)}
    facts |= {"temps": np.full((100, 1), 380.0), "fastest_at": "at {}".format, "slowest_at": "at {}".format}
    return SimpleNamespace(**{**facts, **more})


def one(found: list[Alarm], code: Any) -> Alarm:
    (alarm,) = (a for a in found if a.finding.code == code.code)
    return alarm


def test_the_step_of_late_needs_two_stamps() -> None:
    assert [_late_step(np.array(t)) for t in ([5.0], [0.0, 10.0])] == [0.0, 10.0]


def test_alarms_name_who_reads_so_now_and_are_due_at_once() -> None:
    e = seen(lowest=np.full(100, 300.0))
    beside = one(alarms.beside_prediction(e, 320.0), codes.BEHIND)
    assert ("at 99" in beside.finding.words, beside.within) == (True, 0.0)
    done = one(alarms._dwell(e, HOLD, 3600.0), codes.DONE)
    assert done.within == 0.0
    slow = dataclasses.replace(UP, rate_least=limit(0.1), rate_window=300.0)
    rises = seen(lowest=300.0 + 0.02 * 10.0 * np.arange(100))
    told = one(alarms._ramp(rises, slow), codes.RAMP_SLOWS)
    assert ("at 99" in told.finding.words, told.within) == (True, 0.0)
    falls = seen(lowest=386.0 - 0.01 * 10.0 * (np.arange(100) - 99))
    near = alarms._dwell(falls, HOLD, 0.0)
    assert "at 99" in near[0].finding.words
    (silent,) = alarms.silence(E, 1e4)
    assert silent.within == 0.0


def test_one_that_falls_out_of_its_band_now_is_due_at_once() -> None:
    for above, within in ((-0.5, 0.0), (0.005, 0.5)):
        e = seen(lowest=385.0 + above - 0.01 * 10.0 * (np.arange(100) - 99))
        (told,) = alarms._dwell(e, HOLD, 0.0)
        assert told.within == pytest.approx(within)


def test_the_vacuum_is_held_while_the_hottest_is_above_its_release() -> None:
    for most, said in ((379.0, True), (381.0, False)):
        how = recipe(release_most=limit(most))
        found = [a for a in alarms._cool(seen(), how, DOWN) if a.finding.code == codes.HOLD_VACUUM.code]
        assert bool(found) is said
        assert not found or found[0].within == 0.0


def test_a_rise_that_levels_off_within_a_second_of_its_limit_is_none(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(alarms, "slope", lambda *_: 0.05)
    monkeypatch.setattr(alarms, "_last_peak", lambda _: -math.inf)
    how = recipe(dwell={"target": 350.0}, ceiling=limit(400.0))
    for levels in (False, True):
        monkeypatch.setattr(alarms, "_levels_off", lambda *_, levels=levels: levels)
        found = alarms._heat(seen(highest=np.full(100, 400.0 - 0.025)), how, HOLD_TO_350)
        assert bool(found) is not levels
        assert all("is past" not in a.finding.words and "at 99" in a.finding.words for a in found)


HOLD_TO_350 = dataclasses.replace(HOLD, target=350.0)


def test_the_vacuum_falls_over_three_late_steps(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of 60 s each, 180 s: 1.66 Pa/s are less than 300 Pa then, 1.68 are more."""
    monkeypatch.setattr(alarms, "_late_step", lambda _: 60.0)
    how = recipe(vacuum=VacuumRule(limit(80e3)))
    for fall, said in ((1.66, False), (1.68, True)):
        monkeypatch.setattr(alarms, "slope", lambda *_, fall=fall: -fall)
        found = alarms._vacuum(seen(vacuum=np.full(100, 80.1e3)), how)
        assert bool(found) is said
    for value, within in ((80e3, 0.0), (80e3 + 0.84, 0.5)):
        (told,) = alarms._vacuum(seen(vacuum=np.full(100, value)), how)
        assert told.within == pytest.approx(within)


def test_how_old_the_newest_is_is_told_in_minutes_from_two_on() -> None:
    assert [length_up(s) for s in (119.0, 120.0)] == ["119 s", "2 min"]


def test_nothing_is_left_where_nothing_is_read() -> None:
    of = SimpleNamespace(channel="T1", finding=SimpleNamespace(words="gone"), sensor_lost=True, doubt=False)
    e: Any = SimpleNamespace(
        working=np.ones((0, 1), np.bool_), checked=SimpleNamespace(faults=(of,)), names=("T1",)
    )
    assert "0 are left" in alarms.lost_now(e)[0].finding.words


def test_nothing_moves_now() -> None:
    frozen = np.zeros(100, np.bool_)
    frozen[40:] = True
    e = seen(checked=SimpleNamespace(frozen=frozen, faults=()), order=True)
    (told,) = alarms.clock_now(e)
    assert ("for 10 min" in told.finding.words, told.within) == (True, 0.0)


def test_a_low_vacuum_is_told_while_the_part_is_warm() -> None:
    how = recipe(vacuum=VacuumRule(limit(80e3)))
    for rose, said in ((4.9, False), (5.1, True)):
        e = seen(vacuum=np.full(100, 70e3), checked=SimpleNamespace(vacuum_names=("V",)))
        e.highest = np.where(np.arange(100) == 50, 380.0 + rose, 380.0)
        found = _low_vacuum(e, how)
        assert bool(found) is said
        assert all(a.within == 0.0 for a in found)


def test_nothing_lies_behind_where_the_segment_is_not_known() -> None:
    short = Stretch(HOLD, 0.0, 100.0, (), (Span(0.0, 100.0),), True)
    e: Any = SimpleNamespace(blur=0.0)
    assert _left_early(e, None, (short,)) == []
    assert len(_left_early(e, DOWN, (short, Stretch(DOWN, 100.0, 200.0, (), (), False)))) == 1


def test_nothing_is_left_to_wait_for_where_it_was_reached() -> None:
    how = recipe()
    assert _left(seen(), HOLD, how, 3600.5, 0.0)[0] == 0.0
    assert _left(seen(lowest=np.full(100, 386.0)), UP, how, 0.0, 0.05)[0] == 0.0
    assert _left(seen(highest=np.full(100, 310.0)), DOWN, how, 0.0, 0.0)[0] == 0.0


def test_a_prediction_tells_until_its_end(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(watch, "heat_start", lambda _: 0.0)
    p = Predicted((0.0, 100.0, 200.0), (300.0, 350.0, 400.0))
    for at, told in ((-1.0, NAN), (0.0, 300.0), (0.5, 300.25), (200.0, 400.0), (201.0, NAN)):
        e: Any = SimpleNamespace(times=np.array([at]))
        assert _expected(e, p) == pytest.approx(told, nan_ok=True)
    quick = Predicted((0.0, 0.5, 1.0), (300.0, 350.0, 400.0))
    for spent, left in ((0.0, NAN), (0.5, 0.5), (5.0, 5.0)):
        now: Any = SimpleNamespace(times=np.array([spent]), lowest=np.array([349.0]))
        assert _by_model(now, quick, 400.0) == pytest.approx(left, nan_ok=True)
    now = SimpleNamespace(times=np.array([5.0]), lowest=np.array([360.0]))
    assert _by_model(now, quick, 340.0) == 0.0


def test_the_ramp_is_not_shown_where_the_first_segment_begins_in_the_heat(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    warm: list[bool] = []
    monkeypatch.setattr(judging, "_segment", lambda e, book, s, in_heat: warm.append(in_heat))
    hot = dataclasses.replace(E.checked, faults=(fault(LOG, codes.STARTS_HOT, ""),))
    judging._applied(dataclasses.replace(E, checked=hot), judging.RuleInputs(recipe(), None, None, None))
    assert warm == [True, False, False]


def test_a_vacuum_that_is_not_read_for_longer_than_a_gap_is_not_known() -> None:
    for rows_, said in ((4, Outcome.CONFORMS), (8, Outcome.UNKNOWN)):
        m = made()
        m.vacuum[300 : 300 + rows_] = NAN
        e = gather(m.log(), 60.0)
        book = VerdictRecorder(LOG)
        assert judge_vacuum(e, book, recipe(vacuum=VacuumRule(limit(70e3))), ()) is said


def cut(rows_: int, **how: Any) -> Any:
    m = made(**how)
    m.times, m.temps, m.vacuum, m.set_point = (x[:rows_] for x in (m.times, m.temps, m.vacuum, m.set_point))
    return m


def test_the_watch_names_the_slowest_of_now_and_holds_nothing_before_the_dwell() -> None:
    m = cut(200)
    m.temps[-1, 2] -= 5.0
    now = watch.look(recipe(), m.log())
    assert (now.slowest, now.held) == ("T3", 0.0)
    alone = CureRecipe("r", (HOLD,), recipe().sensors)
    assert watch.look(alone, m.log()).held == 0.0


def test_a_ramp_that_is_done_waits_for_no_model() -> None:
    first = RecipeSegment("first", SegmentKind.RAMP, 305.0)
    how = CureRecipe("r", (first, UP, HOLD, DOWN), recipe().sensors)
    p = Predicted((0.0, 1000.0, 3000.0), (300.0, 350.0, 400.0))
    assert watch.look(how, cut(120).log(), predicted=p).left_how == "the slowest is in the band"


def test_a_rise_that_slows_down_is_told_by_three_readings() -> None:
    """At 40 s each: quick until 80 s ago, slow since."""
    t = 40.0 * np.arange(30)
    high = np.where(t < t[-3], 0.05 * (t - t[-3]), 0.001 * (t - t[-3])) + 390.0
    assert alarms._levels_off(SimpleNamespace(times=t, highest=high), float(high[-1]), 390.3, False)  # type: ignore[arg-type]


# channels that were given another role


def test_a_set_point_in_the_middle_of_the_band_is_a_program() -> None:
    hold = dataclasses.replace(HOLD, band_high=limit(395.0))
    s = Stretch(hold, 0.0, 990.0, (), (Span(0.0, 990.0),), True)
    t = 10.0 * np.arange(100)
    noise = np.random.default_rng(5).normal(0.0, 0.3, 100)
    for level, rough, said in (
        (384.0, 0.0, True),
        (386.0, 0.0, False),
        (394.0, 1.0, False),
        (396.0, 0.0, False),
        (396.0, 1.0, True),
    ):
        assert no_program(counted(*t), level + np.round(rough * noise, 1), s) is said


def test_a_program_is_of_as_many_straight_pieces_as_it_bends() -> None:
    whole = 300.0 + np.concatenate([np.arange(50.0), np.full(50, 50.0)])
    assert [_pieces(x) for x in (whole[:50], whole)] == [1, 2]
    for bow, count in ((1.0, 1), (1.06, 2)):  # a hundredth more than a digit of one kelvin
        bent = 300.0 + np.arange(40.0)
        bent[20] += bow
        bent[0:1] -= bow
        assert _pieces(bent) >= count


# order of time


def test_a_quick_log_and_one_of_three_rows_are_put_in_order() -> None:
    quick = times_in_order(counted(*(0.5 * np.arange(10))))
    assert (quick.sure, quick.waiting, quick.faults) == (True, 0, ())
    turned = times_in_order(counted(20.0, 10.0, 0.0))
    assert (turned.sure, turned.waiting, [f.finding.code for f in turned.faults]) == (
        False,
        0,
        [codes.NEWEST_FIRST.code],
    )
    assert turned.log.times.tolist() == [0.0, 10.0, 20.0]


def test_a_turned_log_tells_how_often_its_times_fall_and_between_which_lines() -> None:
    (found, *_) = times_in_order(counted(30.0, 20.0, 20.5, 10.0, 0.0)).faults
    assert "times fall in 3 of 4 steps" in found.finding.words
    assert "in line 1 to" in found.finding.words
    assert "in line 5" in found.finding.words


def test_a_stamp_that_leaves_the_clock_takes_the_time_of_its_place_alone() -> None:
    made_of = times_in_order(counted(0.0, 10.0, 20.0, 9000.0, 30.0, 25.0, 40.0, 50.0))
    assert made_of.log.times.tolist() == [0.0, 10.0, 20.0, 30.0, 40.0, 40.0, 50.0, 60.0]
    assert (made_of.sure, made_of.waiting) == (True, 0)
    assert "1 stamps leave the clock" in " ".join(f.finding.words for f in made_of.faults)


def test_two_stamps_that_fall_while_the_log_grows_are_not_taken_as_they_are() -> None:
    assert len(times_in_order(counted(10.0, 0.0), live=True).log) == 1


# the log and the recipe


def test_the_usual_step_goes_forward() -> None:
    assert counted(0.0, 10.0, 5.0, 15.0, 10.0).usual_step == 10.0


def test_the_line_of_a_sample_is_its_own() -> None:
    assert [LOG.line_at(t) for t in (49.9, 50.0)] == [5, 6]
    assert counted(0.0, 1.0).ends_twice.size == 0


def test_the_first_of_all_may_be_the_least() -> None:
    assert place_of_least(np.array([1.0, 2.0]), np.ones(2, np.bool_)) == 0


def test_windows_and_gaps_are_any_time_and_a_ramp_goes_up() -> None:
    assert dataclasses.replace(UP, rate_window=0.5).rate_window == 0.5
    assert dataclasses.replace(recipe(), longest_gap=0.5).longest_gap == 0.5
    for target, good in ((400.0, True), (380.0, False)):
        again = RecipeSegment("again", SegmentKind.RAMP, target)
        if good:
            assert CureRecipe("r", (UP, HOLD, again), recipe().sensors)
        else:
            with pytest.raises(InputError):
                CureRecipe("r", (UP, HOLD, again), recipe().sensors)


def test_ten_kelvins_are_eighteen_degrees_fahrenheit() -> None:
    with in_units("in"):
        assert apart(10.0) == "18 F"
