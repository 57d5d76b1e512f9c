"""What passed though nobody can know it, or though it was read: readings that end in the band, a spread
beside a thermocouple not read, time before the first reading in the band and after the slowest had left.
Each outcome is written by hand."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from judge_lines import limit, made, recipe
from judge_readings import book_of, dwell, shown, stretch
from judge_whole import NO, OPEN, YES
from panelmend.plan.judge import judge, rules_dwell, unread, walk
from panelmend.plan.judge.recipe import RecipeSegment
from panelmend.plan.judge.spans import Span
from panelmend.plan.judge.verdict import Outcome

NAN = float("nan")
HELD = [380.0, 390.0, 390.0, 390.0, 390.0]


def _whole(temps: list[float], segment: RecipeSegment, rest: float = 0.0) -> walk.Stretch:
    e = shown(temps)
    cycle = dataclasses.replace(recipe(), segments=(segment,))
    return dataclasses.replace(walk._dwell(e, cycle, 0, 0.0), since=rest)


@pytest.mark.parametrize(
    ("end", "outcome"),
    [([385.0], OPEN), ([384.99], YES), ([384.99, NAN, NAN], YES), ([385.0, NAN, NAN], OPEN), ([390.0], OPEN)],
    ids=["at_the_low_end", "below_it", "below_it_and_blank", "at_it_and_blank", "in_the_band"],
)
def test_where_readings_end_in_the_band_nothing_bounds_what_came_after(
    end: list[float], outcome: Outcome
) -> None:
    """Longest dwell, top of the band and maximum temperature; of the least dwell the time read is enough."""
    temps = HELD + end
    e = shown(temps)
    segment = dwell(
        dwell_least=limit(20.0), dwell_most=limit(1e4), band_high=limit(395.0), ceiling=limit(396.0)
    )
    s = _whole(temps, segment)
    assert rules_dwell._most(e, book_of(e), s) is outcome
    assert rules_dwell._band_high(e, book_of(e), s) is outcome
    assert rules_dwell._time(e, book_of(e), s) is YES
    cycle = dataclasses.replace(
        recipe(ceiling=limit(396.0)), segments=(dataclasses.replace(segment, ceiling=None),)
    )
    assert rules_dwell.judge_ceilings(e, book_of(e), cycle, (s,)) is outcome
    own = dataclasses.replace(recipe(), segments=(segment,))
    assert rules_dwell.judge_ceilings(e, book_of(e), own, (s,)) is outcome
    assert unread.ends_in_band(e, s) is (outcome is OPEN)
    assert unread.ends_in_band(e, dataclasses.replace(s, until=50.0)) is False  # a hotter one is next


def test_what_was_read_too_long_or_too_hot_stays_so_where_readings_end() -> None:
    e = shown([380.0, 390.0, 396.0, 390.0])
    s = _whole(
        [380.0, 390.0, 396.0, 390.0],
        dwell(dwell_least=limit(20.0), dwell_most=limit(24.9), band_high=limit(395.0)),
    )
    assert rules_dwell._most(e, book_of(e), s) is NO  # from 5 to 30 s
    assert rules_dwell._band_high(e, book_of(e), s) is NO


def test_a_log_that_is_cut_in_the_dwell_does_not_conform_to_a_longest_one() -> None:
    how = recipe(
        dwell={"dwell_least": limit(3600.0), "dwell_most": limit(4600.0), "band_high": limit(395.0)},
        ceiling=limit(400.0),
    )
    m = made()
    assert judge(how, m.log()).outcome is YES
    m.temps[m.times > 6600.0] = np.nan
    verdict = judge(how, m.log())
    assert verdict.outcome is OPEN
    assert sum("the readings end in the band" in r.words for r in verdict.reasons) == 3
    least = recipe(dwell={"dwell_least": limit(3600.0)})
    assert judge(least, m.log()).outcome is YES  # no limit that what came after could have passed


@pytest.mark.parametrize(("most", "outcome"), [(4.0, NO), (4.99, NO), (5.01, YES)])
def test_a_spread_counts_of_those_that_are_read_while_another_is_not(most: float, outcome: Outcome) -> None:
    """T2 stands 5 K off T1 only while T3 is not read: that is known whatever T3 did."""
    e = shown(
        [390.0] * 7,
        [390.0, 390.0, 395.0, 395.0, 395.0, 390.0, 390.0],
        [390.0, 390.0, NAN, NAN, NAN, 390.0, 390.0],
        gap=15.0,
    )
    s = stretch(dwell(spread_most=limit(most)), 0.0, 60.0, Span(0.0, 60.0))
    assert rules_dwell._spread(e, book_of(e), s) is outcome


def test_of_one_alone_that_is_read_there_is_no_spread() -> None:
    e = shown([390.0, 390.0, 390.0], [390.5, NAN, 390.5], gap=5.0)
    assert list(np.isnan(unread.least_read(e))) == [False, True, False]


def _up(hole: bool) -> np.ndarray:
    """An hour at 380 K on the way up, an hour and 11.53 min in the band; nothing read in that first hour."""
    t = np.arange(0.0, 16000.0, 10.0)
    knots = [0.0, 600.0, 2600.0, 6200.0, 6450.0, 10450.0, 13120.0]
    temps = np.interp(t, knots, [300.0, 300.0, 380.0, 380.0, 390.0, 390.0, 310.0])
    if hole:
        temps[(t > 2610.0) & (t < 6190.0)] = np.nan
    return temps


@pytest.mark.parametrize(
    ("hole", "most", "outcome"),
    [
        (False, 4300.0, YES),
        (True, 4300.0, OPEN),
        # 4291.7 s are read; in the hole from 5/3 s after 2610 s to ten seconds before 6190 s 3568.3 more
        (True, 7859.0, OPEN),
        (True, 7861.0, YES),
    ],
)
def test_a_hole_before_the_first_reading_in_the_band_counts_towards_the_longest_dwell(
    hole: bool, most: float, outcome: Outcome
) -> None:
    """It counted towards the least dwell alone."""
    m = made(length=16000.0)
    ripple = 1e-4 * np.sin(m.times / 7.0)
    m.temps[:] = (_up(hole) + ripple)[:, None] + np.arange(4) * 1e-6
    how = recipe(dwell={"dwell_least": limit(3600.0), "dwell_most": limit(most)})
    found = [r for r in judge(how, m.log()).reasons if r.rule.startswith("longest dwell")]
    assert [r.outcome for r in found] == [outcome]


@pytest.mark.parametrize(("most", "outcome"), [(4600.0, NO), (7300.0, NO), (7400.0, YES)])
def test_the_fastest_back_in_the_band_after_the_slowest_left_counts_towards_the_longest(
    most: float, outcome: Outcome
) -> None:
    """71.53 min with the others, and T1 alone again for some 50 min afterwards, read all the time."""
    m = made()
    t = m.times
    up = np.interp(t, [7250.0, 7400.0, 10400.0, 10600.0], [0.0, 1.0, 1.0, 0.0])
    m.temps[:, 0] = m.temps[:, 0] * (1.0 - up) + (388.0 + 0.2 * np.sin(t / 37.0)) * up
    how = recipe(dwell={"dwell_least": limit(3600.0), "dwell_most": limit(most)})
    found = [r for r in judge(how, m.log()).reasons if r.rule.startswith("longest dwell")]
    assert [r.outcome for r in found] == [outcome]


@pytest.mark.parametrize(("most", "outcome"), [(4800.0, OPEN), (4900.0, OPEN), (4917.0, OPEN), (4919.0, YES)])
def test_coarse_stamps_are_held_against_the_most_that_a_hole_allows(most: float, outcome: Outcome) -> None:
    """4300 s are shown; with the hole it may be 4858.3 s, and 60 s more by the stamps."""
    m = made()
    m.temps[(m.times > 7100.0) & (m.times < 7700.0)] = np.nan
    log = dataclasses.replace(m.log(), times=np.floor(m.times / 60.0) * 60.0, stamp_step=60.0)
    how = recipe(dwell={"dwell_least": limit(3600.0), "dwell_most": limit(most)})
    found = [r for r in judge(how, log).reasons if r.rule.startswith("longest dwell")]
    assert [r.outcome for r in found] == [outcome]
