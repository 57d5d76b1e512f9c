"""Where segments are found when dwells follow one another, and how what stays open is told: by hand."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest

from judge_lines import limit, recipe
from judge_readings import shown
from panelmend.plan.judge.recipe import CureRecipe, RecipeSegment
from panelmend.plan.judge.said import lengths_apart
from panelmend.plan.judge.unread import _can_be
from panelmend.plan.judge.walk import walk

UP, HOLD, DOWN = recipe().segments  # to 390 K; 390 K, from 385 K on; to 315 K
UP_AGAIN, AGAIN = dataclasses.replace(UP, name="up again"), dataclasses.replace(HOLD, name="again")
LOW = dataclasses.replace(HOLD, name="low", target=360.0, band_low=limit(355.0))
WARM = dataclasses.replace(UP, name="warm", target=360.0)


def cycle(*segments: RecipeSegment) -> CureRecipe:
    return dataclasses.replace(recipe(), segments=segments)


@pytest.mark.parametrize("step", [60.0, 10.0, 1.0, 0.5])
def test_a_slowest_that_comes_in_behind_the_fastest_counts_nothing_however_fine_the_steps(
    step: float,
) -> None:
    """The fastest leaves at 375 K at 90 s, the slowest comes to 355 K at 96.7 s: up to 110 s counted where
    no row of before lay beside its coming in."""
    t = np.arange(-240.0, 300.0, step)
    fast, slow = np.interp(t, [0, 60, 120], [300, 360, 390]), np.interp(t, [60, 120], [300, 390])
    found = walk(shown(fast, slow, times=t, gap=200.0), cycle(WARM, LOW, UP, HOLD))[1]
    assert found.until == pytest.approx(96.667, abs=0.01)
    assert sum(x.length for x in found.spans) == 0.0


@pytest.mark.parametrize(("dip", "counts"), [(375.1, False), (374.9, True)])
def test_one_that_comes_back_below_the_way_out_counts_until_it_leaves_again(dip: float, counts: bool) -> None:
    """The fastest overshoots to 380 K, the slowest comes in at 100 s; above 375 K it is on its way."""
    t = np.arange(0.0, 400.0, 10.0)
    fast = np.interp(t, [0, 80, 110, 150, 200], [300, 380, 380, dip, dip])
    slow = np.interp(t, [60, 100, 120], [300, 355, 360])
    found = walk(shown(fast, slow, times=t, gap=25.0), cycle(WARM, LOW, UP, HOLD))[1]
    assert (sum(x.length for x in found.spans) > 0.0) is counts


def test_a_way_up_from_a_dwell_may_begin_with_it_and_one_down_may_not() -> None:
    way = [300.0] * 3 + [360.0] * 10 + [390.0] * 10 + [310.0] * 3
    _, low, up, hold, down = walk(shown(way, way), cycle(WARM, LOW, UP, HOLD, DOWN))
    assert (up.since, hold.since) == (low.start, low.start)
    assert down.since == hold.end > hold.start


def test_heat_follows_a_cooler_dwell_behind_this_one_only() -> None:
    """The cooler dwell before it, and what cools at the end, are none: nothing ends it but the log."""
    way = [300.0] * 3 + [360.0] * 10 + [390.0] * 10 + [360.0] * 5 + [310.0] * 3
    assert walk(shown(way, way), cycle(WARM, LOW, HOLD, DOWN))[2].until == math.inf
    again = dataclasses.replace(AGAIN, name="third")
    same = walk(shown(way, way), cycle(WARM, HOLD, AGAIN, again, DOWN))
    assert [s.until for s in same if s.segment.name == "hold"] == [math.inf]


def test_the_heat_that_follows_a_cooler_dwell_is_not_the_last_segment() -> None:
    way = [300.0] * 3 + [390.0] * 20 + [380.0, 370.0] + [360.0] * 20 + [370.0, 380.0] + [390.0] * 20
    found = walk(shown([*way, 310.0], [*way, 310.0]), cycle(UP, HOLD, LOW, UP_AGAIN, AGAIN, DOWN))
    assert found[1].until == found[2].start == pytest.approx(245.0, abs=0.01)  # 365 K


def test_where_two_bands_touch_the_hotter_dwell_ends_below_its_own() -> None:
    """385 K is the low end of the first and the top of the second: at 385 K it is in the first."""
    low = dataclasses.replace(LOW, target=380.0, band_low=limit(376.0), band_high=limit(385.0))
    way = [300.0] * 3 + [390.0] * 10 + [385.0] * 20 + [380.0] * 20 + [390.0] * 10
    found = walk(shown(way, way), cycle(UP, HOLD, low, UP_AGAIN, AGAIN, DOWN))[1]
    assert found.until == pytest.approx(320.0, abs=0.1)  # where it leaves 385 K
    assert found.spans[0].length == pytest.approx(320.0 - 20.0 - 10.0 * 5.0 / 90.0, abs=10.0)


@pytest.mark.parametrize(
    ("shown_length", "held", "words"),
    [
        (86390.0, 90000.0, ("24 h", "25 h")),
        (86390.0, 86400.0, ("23.997 h", "24.000 h")),
        (86300.0, 90000.0, ("1438 min", "25.0 h")),
    ],
)
def test_a_length_that_rounds_to_a_day_is_told_in_the_unit_of_its_limit(
    shown_length: float, held: float, words: tuple[str, str]
) -> None:
    assert lengths_apart(shown_length, held) == words


@pytest.mark.parametrize(("step", "begin"), [(25.0, 12.5), (25.1, 5.0 / 3.0)])
def test_steps_of_just_a_gap_are_read_and_longer_ones_are_a_hole(step: float, begin: float) -> None:
    """Up from 380 to 390 K: at 385 K halfway where it is read; in a hole 5 K later at 3 K/s, the fastest."""
    times = np.array([0.0, step])
    (stay,) = _can_be(times, np.array([380.0, 390.0]), np.array([True, True]), 385.0, 25.0)
    assert stay == pytest.approx((begin, step), abs=0.01)
