"""Numbers of what the judge takes for no evidence, each on both sides: filled rows, stays, joints, holes."""

from __future__ import annotations

from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from judge_channels import rows_of
from judge_lines import STEP, limit, made, recipe
from panelmend.plan.judge import codes as c
from panelmend.plan.judge import find_faults, judge
from panelmend.plan.judge.faults_filled import _jumped, _no_chance
from panelmend.plan.judge.faults_frozen import _why
from panelmend.plan.judge.faults_joint import joined_faults
from panelmend.plan.judge.holes import holes
from panelmend.plan.judge.walk import _cool


def no_chance(stay: int, pattern: Callable[[int], int], n: int = 120) -> bool:
    """Whether a stay after row 60 is told; ``pattern``: how many of four channels change in a row."""
    temps, still = np.zeros((n, 4)), np.zeros(n, np.bool_)
    for k in range(1, n):
        temps[k] = temps[k - 1]
        count = 0 if 60 < k <= 60 + stay else 4 if k == 61 + stay else pattern(k)
        temps[k, :count] += 0.1 if k % 2 else -0.1
        still[k] = count == 0
    edges = np.diff(still.astype(int), prepend=0, append=0)
    begins, ends = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1) - 1
    inside = ends + 1 < n
    begins, ends = begins[inside], ends[inside]
    return bool(_no_chance(temps, still, begins, ends)[begins == 61][0])


def test_a_stay_is_told_from_the_length_on_that_no_chance_explains() -> None:
    """Of four channels two change in a row: x = (1 - (1 - x)^4) / 2, x = 0.456, 4 ln(1 - x) = -2.44 a row;
    exp(-20) takes 8.2 rows."""
    assert [no_chance(k, lambda _: 2) for k in (8, 9)] == [False, True]


def test_rows_that_end_a_stay_do_not_count_where_others_tell() -> None:
    """Every fourth row a short stay ends in all four; in the rows between one of four changes."""
    assert [no_chance(k, lambda k: (1, 0, 0, 4)[k % 4]) for k in (38, 39)] == [False, True]


@pytest.mark.parametrize(("last", "told"), [((4, 2, 2, 3), False), ((2, 2, 3, 3), True)])
def test_the_three_rows_before_a_stay_tell_what_comes_to_rest(
    last: tuple[int, int, int, int], told: bool
) -> None:
    """7 and 8 of 12 changed in them, 0.7 of the share of all is 0.66; with a fourth row 11 and 10 of 16."""
    assert no_chance(30, lambda k: last[k - 57] if 57 <= k <= 60 else 4) is told


def jumped(sixth: float, rate: float) -> bool:
    """A jump of 1 K after a stay, then so many K a row for five rows, and a sixth."""
    after = np.concatenate([[1.0], 1.0 + rate * np.arange(1, 6), [1.0 + 5 * rate + sixth], np.full(20, 1.0)])
    temps = np.concatenate([0.1 * (np.arange(30) % 2), np.zeros(6), after])[:, None] + np.zeros(3)
    return bool(_jumped(rows_of(len(temps)), temps, np.array([31]), np.array([35]))[0])


def test_a_jump_is_quicker_than_the_five_rows_after_it() -> None:
    assert jumped(0.0, 0.39)
    assert not jumped(0.0, 0.41)
    assert jumped(3.0, 0.39), "the sixth is not asked"


@pytest.mark.parametrize("at", ["before", "after"])
@pytest.mark.parametrize(("other", "told"), [(13, True), (14, False)])
def test_a_stay_stands_alone_where_no_other_is_a_third_as_long(at: str, other: int, told: bool) -> None:
    """40 samples; one in five changes elsewhere: no evidence by that alone."""
    n, first = 400, 180
    still = np.arange(n) % 5 != 0
    still[first : first + 42] = False
    still[first + 1 : first + 41] = True
    begin = 60 if at == "before" else 300
    still[begin - 6 : begin + 20] = np.arange(26) % 2 == 0
    still[begin : begin + other] = True
    still[[begin - 1, begin + other]] = False
    middle = np.full(n, 350.0)
    words = _why(
        rows_of(n, 5.0), first, first + 40, still, np.zeros(n, np.bool_), middle, np.ones(n, np.bool_), False
    )
    assert bool(words) is told, words


def test_a_joint_near_the_begin_is_told_once() -> None:
    t = 10.0 * np.arange(200)
    temps = 300.0 + 0.01 * t[:, None] + np.zeros(4)
    temps[11:] += np.array([3.0, -3.0, 3.0, -3.0])
    assert [x.time for x in joined_faults(rows_of(200), temps, 30.0)] == [110.0]


def test_a_hole_ends_with_the_reading_after_it_also_of_one_that_is_lost_then() -> None:
    temps = np.full((60, 1), 390.0)
    temps[20:30] = np.nan
    working = np.ones((60, 1), np.bool_)
    working[31:] = False  # the reading at 30 is its last
    times = 10.0 * np.arange(60)
    e: Any = SimpleNamespace(
        times=times, temps=temps, working=working, names=["T1"], known=np.zeros(59, np.bool_), gap=60.0
    )
    assert holes(e, 0.0, 590.0) == [("T1", 190.0, 300.0, 390.0, 390.0)]
    working[30] = False
    assert holes(e, 0.0, 590.0) == []


def test_a_cool_down_that_is_not_over_reaches_to_the_end_of_the_log() -> None:
    times = 10.0 * np.arange(50)
    e: Any = SimpleNamespace(
        times=times,
        temps=np.linspace(390.0, 350.0, 50)[:, None],
        working=np.ones((50, 1), np.bool_),
        names=["T1"],
        index_at=lambda t: int(np.searchsorted(times, t)),
    )
    for target, end in ((340.0, 490.0), (390.0 - 40.0 * 30 / 49, 300.0)):
        s = _cool(e, SimpleNamespace(target=target), 0.0)  # type: ignore[arg-type]
        assert s.end == pytest.approx(end, abs=0.1)
        assert s.found is (end < 490.0)


def test_what_a_cool_down_lacks_is_told_at_the_end_of_the_log() -> None:
    m = made(length=8000.0)
    verdict = judge(recipe(cool={"rate_most": limit(1.0)}), m.log())
    assert [r.time for r in verdict.reasons if r.rule == "cool-down"] == [m.times[-1]]


@pytest.mark.parametrize(("rate", "told"), [(0.48, False), (0.52, True)])
def test_a_thermocouple_on_the_set_point_is_told_where_that_rises_by_half_a_kelvin_a_minute(
    rate: float, told: bool
) -> None:
    m = made(up=rate / 60.0, held=600.0, length=15000.0)
    m.set_point = m.temps[:, 0].copy()
    m.temps += np.random.default_rng(3).normal(0.0, 0.02, m.temps.shape)
    m.temps[:, 1:] -= 2.0 * np.clip((m.times - 600.0) / 3000.0, 0.0, 1.0)[:, None]
    assert m.times[1] == STEP
    names = {x.channel for x in find_faults(m.log()) if x.finding.code == c.TWIN.code}
    assert ("T1" in names) is told
