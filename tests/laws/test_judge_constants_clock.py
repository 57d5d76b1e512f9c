"""Every number of clocks, order, holes and words of time from both sides."""

from __future__ import annotations

import numpy as np
import pytest

from judge_columns import Array, log_of
from panelmend.errors import Finding
from panelmend.plan.judge import CureLog, codes
from panelmend.plan.judge.evidence import gather
from panelmend.plan.judge.fault import length
from panelmend.plan.judge.faults_clock import clock_faults, gap_limit, whole_log_faults
from panelmend.plan.judge.faults_joint import jump_faults
from panelmend.plan.judge.order import times_in_order


def every(step: float, count: int) -> Array:
    return np.arange(count) * step


def found(log: CureLog) -> dict[str, list[Finding]]:
    out: dict[str, list[Finding]] = {}
    for f in clock_faults(log):
        out.setdefault(f.finding.code, []).append(f.finding)
    return out


def test_stamps_are_called_too_coarse_from_a_fifth_that_repeat() -> None:
    for repeats, coarse in ((21, True), (19, False)):
        times = every(10.0, 101)
        times[1 : 2 * repeats : 2] = times[0 : 2 * repeats : 2]
        (finding,) = found(log_of(times))[codes.REPEATED.code]
        assert ("too coarse" in finding.words) is coarse


def test_a_dozen_gaps_are_named_and_the_rest_counted() -> None:
    times = np.cumsum(np.where(np.arange(200) % 14 == 7, 100.0, 10.0))
    gaps = found(log_of(times))[codes.GAP.code]
    assert len(gaps) == 13
    assert "2 further gaps" in gaps[-1].words
    just = np.cumsum(np.where(np.arange(200) % 17 == 7, 100.0, 10.0))
    assert len(found(log_of(just))[codes.GAP.code]) == 12


@pytest.mark.parametrize(("count", "told"), [(22, True), (21, False)])
def test_uneven_steps_are_told_from_more_than_twenty(count: int, told: bool) -> None:
    times = np.cumsum(np.where(np.arange(count) % 2 == 0, 6.0, 14.0))
    assert (codes.IRREGULAR.code in found(log_of(times))) is told


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_uneven_steps_are_those_of_a_tenth_of_them(sign: float) -> None:
    """Both ends: a tenth of steps that are longer, or shorter, by more than half of the usual."""
    for share, told in ((21, True), (19, False)):
        steps = np.full(200, 10.0)
        steps[:share] += sign * 6.0
        times = np.concatenate([[0.0], np.cumsum(steps)])
        assert (codes.IRREGULAR.code in found(log_of(times))) is told


def test_uneven_steps_are_wider_than_the_stamps_can_blur() -> None:
    for apart, told in ((15.3, True), (14.7, False)):
        steps = np.where(np.arange(100) % 2 == 0, 20.0 - apart / 2, 20.0 + apart / 2)
        assert (codes.IRREGULAR.code in found(log_of(np.cumsum(steps), stamp=10.0))) is told


def test_sparse_is_more_than_five_minutes_a_sample() -> None:
    for step, told in ((299.0, False), (301.0, True)):
        assert (codes.SPARSE.code in found(log_of(every(step, 50)))) is told
    assert found(log_of(np.zeros(2))).keys() == {codes.REPEATED.code}, "two samples are looked at"


def test_an_hour_of_a_quick_logger_is_an_hour_within_two_seconds() -> None:
    for off, code in ((1.9, codes.CLOCK_HOUR), (2.1, codes.GAP)):
        times = every(1.0, 100)
        times[50:] += 3600.0 + off
        assert set(found(log_of(times))) == {code.code}


def test_a_hole_is_longer_than_a_minute_and_than_two_and_a_half_steps_and_what_stamps_blur() -> None:
    limits = ((10.0, 0.0, 60.0), (60.0, 60.0, 210.0), (40.0, 1.0, 101.0), (119.0, 1.0, 298.5))
    for step, stamp, hole in (*limits, (121.0, 1.0, 301.0), (300.0, 0.0, 300.0), (240.0, 60.0, 360.0)):
        for by, known in ((0.0, True), (0.5, False)):
            times = every(step, 100)
            times[50:] += hole - step + by
            log = log_of(times, 300.0 + 0.01 * times, 300.0 + 0.011 * times, stamp=stamp)
            assert bool(gather(log).known.all()) is known
            assert gap_limit(log) == pytest.approx(hole)


def test_steps_that_differ_by_half_of_the_usual_are_uneven() -> None:
    for apart, told in ((5.2, True), (4.8, False)):
        steps = np.resize([10.0, 10.0 - apart / 2, 10.0, 10.0 + apart / 2, 10.0], 100)
        assert (codes.IRREGULAR.code in found(log_of(np.cumsum(steps)))) is told


def test_one_thermocouple_alone_is_not_all_of_them_missing() -> None:
    times = every(10.0, 100)
    one = 300.0 + 0.01 * times
    one[40:50] = np.nan
    assert not whole_log_faults(log_of(times, one))
    assert {f.finding.code for f in whole_log_faults(log_of(times, one, one.copy()))} == {codes.BLANK.code}


# --- a log that begins in the heat ---


def begins(
    first: float, early: float, later: float, *, step: float = 10.0, span: float = 900.0, **more: Array
) -> bool:
    """Whether a log that rises by ``early`` [K/s] for two minutes, then by ``later``, begins in the heat."""
    times = every(step, int(span / step) + 1)
    v = first + early * np.minimum(times, 120.0) + later * np.maximum(times - 120.0, 0.0)
    log = log_of(times, v, v + 0.1, v - 0.1, **more)
    return codes.IN_RAMP.code in {f.finding.code for f in whole_log_faults(log)}


def test_a_rise_is_full_from_the_first_sample_on_or_begins_slowly() -> None:
    assert begins(310.0, 0.0164, 0.02)
    assert not begins(310.0, 0.0157, 0.02)
    assert begins(310.0, 0.00525, 0.00525)
    assert not begins(310.0, 0.00475, 0.00475), "weather"
    assert begins(303.3, 0.02, 0.02)
    assert begins(303.0, 0.0182, 0.02), "in a shop that may have been colder"
    assert not begins(303.0, 0.0178, 0.02), "no more than 5 K above 25 C"
    assert begins(317.9, 0.02, 0.02)
    assert not begins(318.3, 0.02, 0.02), "V108 says it"
    assert begins(310.0, 0.02, 0.02, span=430.0)
    assert not begins(310.0, 0.02, 0.02, span=410.0), "too short to tell"


def test_a_rise_is_held_against_the_next_five_minutes() -> None:
    times = every(5.0, 181)
    for until, told in ((425.0, True), (395.0, False)):  # ten times as fast from then on
        v = 310.0 + 0.01 * times + 0.09 * np.maximum(times - until, 0.0)
        found_ = {f.finding.code for f in whole_log_faults(log_of(times, v, v + 0.1))}
        assert (codes.IN_RAMP.code in found_) is told
    turn = 130.0  # a rise that begins two minutes late
    v = 310.0 + 0.02 * np.maximum(times - turn, 0.0)
    assert codes.IN_RAMP.code not in {f.finding.code for f in whole_log_faults(log_of(times, v, v + 0.1))}


def test_the_shops_air_is_what_was_read_first_and_25_c_at_most() -> None:
    cold = np.full(91, 280.0)
    assert begins(285.3, 0.0164, 0.02, air=cold.copy())
    assert not begins(284.8, 0.02, 0.02, air=cold.copy())
    assert begins(303.3, 0.02, 0.02, air=np.full(91, 330.0)), "an oven's air is no shop's"
    late = cold.copy()
    late[:2] = 300.0
    assert begins(285.3, 0.02, 0.02, air=late.copy()), "the middle of five readings"
    late[:3] = 300.0
    assert not begins(285.3, 0.02, 0.02, air=late)


# --- order ---


def ordered(times: list[float], *, live: bool = False, stamp: float = 0.0) -> tuple[int, int, str]:
    """How many samples are left, how many wait, and what was said."""
    made = times_in_order(log_of(np.array(times), stamp=stamp), live=live)
    return len(made.log), made.waiting, " ".join(f.finding.words for f in made.faults)


def test_a_newest_stamp_far_ahead_waits_for_the_next_ones() -> None:
    for step, far in ((10.0, 600.0), (60.0, 1200.0)):
        run = [step * i for i in range(50)]
        last = run[-1]
        assert ordered([*run, last + far - 5.0], live=True) == (51, 0, "")
        assert ordered([*run, last + far + 5.0], live=True)[:2] == (50, 1)
        assert ordered([*run, last + far + 5.0], live=False) == (51, 0, "")
        two = [*run, last + far + 5.0, last + 2 * far + 10.0]
        assert ordered(two, live=True)[:2] == (50, 2)
        assert ordered([*two, last + 3 * far + 15.0], live=True)[1] == 2


def test_a_stamp_that_leaves_the_clock_and_comes_back_takes_the_time_of_its_place() -> None:
    run = [10.0 * i for i in range(50)]
    rest = [run[-1] + 20.0 + 10.0 * i for i in range(10)]
    for ahead, kept, words in ((24.0, 61, "step back by less"), (26.0, 61, "time of their place")):
        left, _, said = ordered([*run, run[-1] + ahead, *rest])
        assert (left, words in said) == (kept, True), said
    for away in (5, 6):
        back = [run[-1] - 3600.0 + 10.0 * i for i in range(away)]
        left, _, said = ordered([*run, *back, *rest[: 65 - 50 - away + (away - 5)]])
        assert ("jumps back" in said) is (away == 6)
        assert ("time of their place" in said) is (away == 5)
    for by, put_right in ((9.5, True), (10.5, False)):
        left, _, said = ordered([*run, run[-1] - by, *rest])
        assert ("step back by less" in said) is put_right
    left, _, said = ordered([*run, run[-1] - 50.0, *rest], stamp=60.0)
    assert "step back by less" in said, "what the stamps blur"


def test_a_clock_that_was_set_back_an_hour_is_called_so() -> None:
    run = [10.0 * i for i in range(800)]
    for off, told in ((4.5, True), (5.5, False)):
        after = [run[-1] + 10.0 - 3600.0 - off + 10.0 * i for i in range(20)]
        assert (", an hour" in ordered([*run, *after])[2]) is told
    quick = [1.0 * i for i in range(4000)]
    for off, told in ((1.9, True), (2.1, False)):
        after = [quick[-1] + 1.0 - 3600.0 - off + 1.0 * i for i in range(20)]
        assert (", an hour" in ordered([*quick, *after])[2]) is told


def test_a_first_stamp_that_is_wrong_is_set_aside() -> None:
    run = [10.0 * i for i in range(30)]
    assert ordered([5000.0, *run])[0] == 30
    left, _, said = ordered([5000.0, *run[:4]])
    assert left == 4, said


def test_lengths_are_told_in_the_unit_that_fits() -> None:
    assert [length(x) for x in (119.0, 121.0, 7190.0, 7210.0)] == ["119 s", "2 min", "120 min", "120 min"]
    assert [length(x) for x in (86399.0, 86401.0)] == ["1440 min", "24.0 h"]


# --- all at once ---


def jumps(count: int, by: float, *, read: int = 3, times: int = 1) -> int:
    t = every(10.0, 100)
    v = np.tile(300.0 + 0.01 * t, (count, 1)).T.copy()
    for k in range(times):
        v[20 + 10 * k :] += by * (-1.0) ** k
    v[:, read:] = np.nan
    return len(jump_faults(log_of(t), v, 25.0))


def test_all_that_read_jump_by_more_than_a_part_can_follow() -> None:
    assert jumps(2, 50.0) == 1
    assert jumps(1, 50.0) == 0, "one alone may be a loose contact"
    assert jumps(3, 50.0, read=1) == 0, "one that reads alone"
    assert jumps(3, 50.0, read=2) == 1
    up, down = 8.0 + 30.0, 8.0 + 5.0
    assert [jumps(3, up - 0.5), jumps(3, up + 0.5)] == [0, 1]
    assert [jumps(3, -down + 0.5), jumps(3, -down - 0.5)] == [0, 1]
    assert jumps(3, 50.0, times=6) == 4
    t = every(10.0, 100)
    t[50:] += 20.0
    v = np.tile(300.0 + 0.01 * t, (3, 1)).T.copy()
    v[50:] += 150.0
    assert [len(jump_faults(log_of(t), v, g)) for g in (29.0, 31.0)] == [0, 1], "in a hole nothing is known"
