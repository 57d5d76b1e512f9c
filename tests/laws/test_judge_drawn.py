"""A hole that was filled with straight lines is no evidence."""

from __future__ import annotations

import dataclasses
import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from judge_channels import rows_of
from judge_lines import recipe
from made_curelog import Made, made_cure
from panelmend.plan.judge import CureLog, Outcome, find_faults, judge
from panelmend.plan.judge import codes as c
from panelmend.plan.judge.faults_drawn import drawn_faults, goes_one_way
from panelmend.plan.judge.spans import Span
from panelmend.plan.judge.standing import _left_early
from panelmend.plan.judge.walk import Stretch
from recipe_curelog import RECIPE, f


def drawn(seed: int, rows: int, digits: int = 1, *, cold: bool = False) -> Made:
    """So many rows of the dwell, or of the cold before the heat, between two readings on lines."""
    made = made_cure(seed)
    made.temps = np.round(made.temps - 273.15, digits) + 273.15
    a = 1 if cold else int(np.argmax(made.temps.min(axis=1) > f(240))) + 60
    share = np.linspace(0.0, 1.0, rows + 2)[:, None]
    line = made.temps[a] + share * (made.temps[a + rows + 1] - made.temps[a])
    made.temps[a : a + rows + 2] = np.round(line - 273.15, digits) + 273.15
    return made


def told(made: Made) -> bool:
    return c.DRAWN.code in {x.finding.code for x in find_faults(made.log())}


@pytest.mark.parametrize("seed", range(4))
def test_ten_minutes_drawn_in_the_dwell_cannot_be_judged(seed: int) -> None:
    made = drawn(seed, 60)
    assert told(made)
    assert judge(RECIPE, made.log()).outcome is Outcome.UNKNOWN


@pytest.mark.parametrize("seed", range(4))
def test_a_cure_as_it_was_has_none(seed: int) -> None:
    made = made_cure(seed)
    made.temps = np.round(made.temps - 273.15, 1) + 273.15
    assert not told(made)
    assert judge(RECIPE, made.log()).outcome is Outcome.CONFORMS


@pytest.mark.parametrize(("digit", "noise"), [(1.0, 0.3), (0.5, 0.15)])
@pytest.mark.parametrize("seed", [1, 3, 7])
def test_noise_within_one_coarse_digit_is_no_line(seed: int, digit: float, noise: float) -> None:
    """It goes to and fro between two numbers, both within a digit of a line; the way up does not. Such
    sound cures were said to be drawn over."""
    made = made_cure(seed, noise=noise)
    made.temps = np.round((made.temps - 273.15) / digit) * digit + 273.15
    assert not told(made)


@pytest.mark.parametrize(
    ("values", "one_way"),
    [
        ([1.0, 1.0, 2.0, 2.0], True),
        ([2.0, 2.0, 1.0, 1.0], True),
        ([1.0, 1.0, 1.0], True),
        ([1.0, 2.0, 1.0], False),
        ([2.0, 1.0, 2.0], False),
        ([1.0, 1.0 - 0.9e-6, 2.0], True),  # of floating arithmetic
        ([1.0, 1.0 - 1.1e-6, 2.0], False),
    ],
)
def test_a_line_nowhere_turns_back(values: list[float], one_way: bool) -> None:
    assert goes_one_way(np.array(values)) is one_way


@pytest.mark.parametrize(("at", "expected"), [(2, True), (3, True), (4, False), (47, False), (48, True)])
def test_three_rows_at_either_end_of_a_line_may_turn_back(at: int, expected: bool) -> None:
    """Fifty rows drawn, from row 301 on; of T1 one is a digit off, as by chance beside it."""
    log, temps = rows_on_a_line(50)
    temps[300 + at, 0] += 0.1
    faults, _ = drawn_faults(log, temps, np.zeros(len(log), np.bool_))
    assert bool(faults) is expected


def test_a_minute_counts_as_unbroken_and_nothing_is_asked_of_it() -> None:
    assert not told(drawn(1, 5))


def test_what_is_cold_before_the_heat_is_not_asked() -> None:
    assert not told(drawn(1, 12, cold=True))


def rows_on_a_line(
    rows: int, *, channels: int = 3, above: float = 40.0, spread: float = 0.12, unread: int = 0, n: int = 600
) -> tuple[CureLog, np.ndarray]:
    """A steady part at tenths, so many rows of it between two readings on lines; cold at first."""
    temps = 300.0 + np.random.default_rng(5).normal(0.0, spread, (n, channels))
    temps[60:] += above
    temps = np.round(temps, 1)
    temps[300] = 300.0 + above
    temps[299], temps[301 + rows], temps[302 + rows] = 303.0 + above, 300.0 + above, 303.0 + above
    temps[300 : 302 + rows] = 300.0 + above
    temps[100 : 100 + unread, 0] = np.nan
    return rows_of(n), temps


def found(rows: int, **how: Any) -> bool:
    log, temps = rows_on_a_line(rows, **how)
    faults, out = drawn_faults(log, temps, np.zeros(len(log), np.bool_))
    assert out.sum() == (rows if faults else 0)
    return bool(faults)


def test_the_chance_of_a_line_is_that_of_every_third_row() -> None:
    """How many rows it takes, counted here row by row."""
    told = []
    for rows in range(8, 60):
        _, temps = rows_on_a_line(rows)
        rarity = 0.0
        for column in temps.T:
            near = [abs(column[k] - 0.5 * (column[k - 1] + column[k + 1])) <= 0.1001 for k in range(1, 599)]
            rest = [x for k, x in enumerate(near, 1) if not 301 <= k <= 300 + rows]
            rarity -= math.log(sum(rest) / (len(rest) + 2))  # the first and the last have one neighbour only
        told.append(rows / 3.0 * rarity >= 20.0)
        assert found(rows) is told[-1], rows
    assert {True, False} == set(told)


def test_three_thermocouples_that_read_and_a_part_that_is_warm_are_asked() -> None:
    assert found(50)
    assert not found(50, channels=2)
    assert found(50, channels=4, unread=70)
    assert not found(50, unread=70)
    assert found(50, unread=59)
    assert found(50, above=10.5)
    assert not found(50, above=9.5)


def test_a_dwell_that_lies_behind_counts_as_the_verdict_counts_it() -> None:
    hold = recipe().segments[1]
    cool = Stretch(recipe().segments[2], 4000.0, 5000.0, (), (), False)
    for spans, summed, blur, told in (
        (((0.0, 3640.0),), False, 39.0, False),
        (((0.0, 3640.0),), False, 41.0, True),
        (((0.0, 1840.0), (1900.0, 3700.0)), True, 19.0, False),
        (((0.0, 1840.0), (1900.0, 3700.0)), True, 21.0, True),
        (((0.0, 1840.0), (1900.0, 3700.0)), False, 0.0, True),
    ):
        segment = dataclasses.replace(hold, summed=summed)
        walked = (Stretch(segment, 0.0, 3700.0, (), tuple(Span(*x) for x in spans), True), cool)
        e: Any = SimpleNamespace(blur=blur)
        assert bool(_left_early(e, cool.segment, walked)) is told, (spans, summed, blur)
        assert not _left_early(e, segment, walked), "not behind yet"
