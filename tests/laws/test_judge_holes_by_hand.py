"""Times without readings, at the very edges of what is said of them: each figure reckoned by hand, with the
blanket fully on at 3 K/s and fully off at 0.5 K/s."""

from __future__ import annotations

import numpy as np
import pytest

from judge_readings import shown
from panelmend.plan.judge import holes

NAN = float("nan")


@pytest.mark.parametrize(
    ("before", "after", "in_it"),
    [
        (315.0, 315.0, NAN),  # at the level itself: it had come down
        (315.1, 315.0, NAN),
        (315.1, 315.1, 315.1),
        (330.0, 320.0, 320.0),  # it had not cooled further than that, as far as is read
        (320.0, 330.0, 320.0),
    ],
)
def test_one_read_above_a_level_on_both_sides_of_a_hole_is_above_it_within(
    before: float, after: float, in_it: float
) -> None:
    e = shown([before, NAN, NAN, NAN, after])
    found = holes.highest_with_unread(e, 315.0)
    assert found.tolist() == pytest.approx([before, in_it, in_it, in_it, after], nan_ok=True)


def test_a_hotter_one_that_is_read_in_the_hole_of_another_says_so_itself() -> None:
    e = shown([330.0, NAN, NAN, NAN, 320.0], [300.0, 310.0, 320.0, 350.0, 300.0])
    assert holes.highest_with_unread(e, 315.0).tolist() == [330.0, 320.0, 320.0, 350.0, 320.0]
    assert holes.highest_with_unread(e, 320.0).tolist() == [330.0, 310.0, 320.0, 350.0, 320.0]


@pytest.mark.parametrize(("level", "closed"), [(375.0, True), (375.01, False)])
def test_a_hole_in_which_one_can_have_come_down_to_a_level_itself_is_closed(
    level: float, closed: bool
) -> None:
    """35 s between 390 K and 390 K: 30 s off and 5 s on are 15 K down and up again."""
    e = shown([390.0, NAN, 390.0], times=[0.0, 17.0, 35.0])
    lowest, known = holes.slowest_at_least(e, level)
    assert known.all()
    assert lowest.tolist() == pytest.approx([390.0, 375.0 if closed else NAN, 390.0], nan_ok=True)


@pytest.mark.parametrize(("apart", "bounds"), [(25.0, (20.0, 20.0)), (25.5, (10.0, 25.5))])
def test_readings_as_far_apart_as_counts_as_unbroken_show_when_a_level_was_reached(
    apart: float, bounds: tuple[float, float]
) -> None:
    """From 350 to 380 K, the level: at the soonest after 10 s fully on."""
    e = shown([350.0, 380.0], times=[0.0, apart])
    assert holes.crossing_between(e, np.array([350.0, 380.0]), 380.0, 20.0) == bounds


@pytest.mark.parametrize(
    ("start", "end", "touching", "within"),
    [
        (40.0, 90.0, True, False),  # it ends where the range begins
        (40.1, 90.0, False, False),
        (39.9, 90.0, True, True),
        (0.0, 10.0, True, False),  # it begins where the range ends
        (0.0, 9.9, False, False),
        (0.0, 10.1, True, True),
    ],
)
def test_a_hole_that_only_touches_a_range(start: float, end: float, touching: bool, within: bool) -> None:
    e = shown([390.0, 389.0, NAN, NAN, 391.0, *[390.0] * 5])
    hole = ("T1", 10.0, 40.0, 389.0, 391.0)
    assert holes.holes(e, start, end, touching=True) == [hole] * touching
    assert holes.holes(e, start, end) == [hole] * within
