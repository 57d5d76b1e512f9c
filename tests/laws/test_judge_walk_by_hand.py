"""Where each segment of a cycle is found, and what is held of a lost thermocouple's place: small pieces, each
figure reckoned by hand. A row each ten seconds."""

from __future__ import annotations

import dataclasses
import math
from types import SimpleNamespace

import numpy as np
import pytest

from judge_lines import limit, recipe
from judge_readings import book_of, dwell, shown, stretch
from panelmend.plan.judge import Outcome, lost
from panelmend.plan.judge.recipe import CureRecipe, RecipeLimit, RecipeSegment
from panelmend.plan.judge.rule_names import RuleName
from panelmend.plan.judge.spans import Span
from panelmend.plan.judge.walk import _first_rows, _level, _ramp, counted_time, heat_start, walk

NAN = float("nan")
UP, HOLD, DOWN = recipe().segments  # to 390 K; 390 K, from 385 K on; to 315 K
ONCE_MORE = dataclasses.replace(UP, name="up again")
AGAIN = dataclasses.replace(HOLD, name="again")


def cycle(*segments: RecipeSegment) -> CureRecipe:
    return dataclasses.replace(recipe(), segments=segments)


def test_time_that_counts_is_the_sum_or_the_longest() -> None:
    spans = (Span(0.0, 10.0), Span(20.0, 50.0))
    assert counted_time(spans, dataclasses.replace(HOLD, summed=True)) == 40.0
    assert counted_time(spans, dataclasses.replace(HOLD, summed=False)) == 30.0
    assert counted_time((), HOLD) == 0.0


def test_a_second_dwell_at_the_same_temperature_is_not_parted_from_the_first() -> None:
    way = [*[300.0] * 5, 345.0, *[390.0] * 6]
    e = shown([*way[:-1], 400.0], way)  # at the end one stands above what a cooler dwell would wait for
    up, first, second = walk(e, cycle(UP, HOLD, AGAIN))
    assert up.since == heat_start(e) == 40.0
    assert (first.end, first.until) == (110.0, math.inf)
    assert second.unparted
    assert not second.found
    assert (second.start, second.since) == (110.0, 110.0)


def test_behind_a_dwell_that_never_came_nothing_is_found() -> None:
    e = shown([300.0, 330.0, 380.0, 380.0, 330.0, 310.0], [300.0, 330.0, 380.0, 380.0, 330.0, 310.0])
    assert [s.found for s in walk(e, cycle(UP, HOLD, AGAIN, DOWN))] == [False] * 4


@pytest.mark.parametrize(("late", "since"), [(0.0, 77.0), (25.0, 77.0), (25.1, 100.0)])
def test_rows_without_readings_before_the_first_may_hide_the_beginning(late: float, since: float) -> None:
    """A gap is longer than 25 s; the log begins at 100 s."""
    times = [100.0, 100.0 + late, 140.0] if late else [100.0, 110.0, 140.0]
    first = 300.0 if not late else NAN
    e = shown([first, 300.0, 300.0], times=times)
    assert _first_rows(e, 77.0) == since


def test_a_ramp_leads_to_the_band_of_the_dwell_behind_it_or_to_its_own_end() -> None:
    assert _level(cycle(UP, HOLD), 0) == 385.0
    alone = ((cycle(HOLD, UP), 1), (cycle(UP, ONCE_MORE, HOLD), 0), (cycle(HOLD, UP, DOWN), 1))
    assert [_level(how, n) for how, n in alone] == [390.0] * 3
    e = shown([300.0, 345.0, 390.0, 390.0, 390.0], [300.0, 300.0, 345.0, 390.0, 390.0])
    assert _ramp(e, cycle(UP, HOLD), 0, 0.0).end == pytest.approx(10.0 + 10.0 * 40.0 / 45.0, abs=0.01)
    for how, n in alone:
        assert _ramp(e, how, n, 0.0).end == pytest.approx(30.0, abs=0.01), "when the last is there"


def test_a_dwell_counts_up_to_where_the_way_to_a_hotter_one_begins() -> None:
    """Halfway between both, at 375 K, where the band has no top; from there on it counts no more."""
    low = dataclasses.replace(HOLD, name="low", target=360.0, band_low=limit(355.0))
    way = [*[300.0] * 5, 330.0, *[360.0] * 5, 370.0, 380.0, *[390.0] * 5]
    found = walk(shown(way, way), cycle(UP, low, HOLD))[1]
    assert found.until == pytest.approx(115.0, abs=0.01)
    assert found.spans[-1].end == found.end == found.until


LOW = dataclasses.replace(HOLD, name="low", target=360.0, band_low=limit(355.0))


@pytest.mark.parametrize("top", [None, limit(375.0)], ids=["halfway", "its_top"])
def test_a_way_to_a_hotter_dwell_between_two_readings_counts_for_none(top: RecipeLimit | None) -> None:
    """A reading a minute: 360 K at 240 s and 390 at 300 s are 375 K at 270 s; it counted up to 385 K."""
    way = [*[300.0] * 5, 360.0, 360.0, 360.0, 390.0, 390.0]
    e = shown(way, way, times=np.arange(-3, 7) * 60.0, gap=200.0)
    found = walk(e, cycle(UP, dataclasses.replace(LOW, band_high=top), HOLD))[1]
    assert found.until == found.spans[-1].end == pytest.approx(270.0, abs=0.01)
    both = [*[300.0] * 5, 345.0, 390.0, 390.0]  # into its band and out of it: at 73.3 and at 100 s
    e = shown(both, both, times=np.arange(-4, 4) * 60.0, gap=200.0)
    found = walk(e, cycle(UP, dataclasses.replace(LOW, band_high=top), HOLD))[1]
    assert found.until == pytest.approx(100.0, abs=0.01)
    assert found.spans[0].length == pytest.approx(100.0 - 73.333, abs=0.01)


def test_the_slowest_that_comes_in_once_the_way_to_a_hotter_one_has_begun_counts_nothing() -> None:
    """The fastest at 375 K at 90 s, the slowest at 355 K at 96.7 s; it counted up to 110 s."""
    fast, slow = [*[300.0] * 5, 360.0, *[390.0] * 3], [*[300.0] * 6, *[390.0] * 3]
    e = shown(fast, slow, times=np.arange(-4, 5) * 60.0, gap=200.0)
    found = walk(e, cycle(UP, LOW, HOLD))[1]
    assert found.until == pytest.approx(96.667, abs=0.01)
    assert [x.length for x in found.spans] == [0.0]


@pytest.mark.parametrize("again", [390.0, 385.0, 400.0])
def test_a_dwell_ends_where_it_has_come_down_to_a_cooler_one_that_its_heat_follows(again: float) -> None:
    """390 K, 360 and 390 once more: the first was all three, and nobody was read to have come down."""
    back = dataclasses.replace(AGAIN, target=again, band_low=limit(again - 5.0))
    way = [300.0] * 3 + [390.0] * 20 + [380.0, 370.0] + [360.0] * 20 + [370.0, 380.0] + [again] * 20
    e = shown(way, way)
    _, hot, low, _, last = walk(e, cycle(UP, HOLD, LOW, dataclasses.replace(ONCE_MORE, target=again), back))
    assert [s.found for s in (hot, low, last)] == [True] * 3
    assert hot.spans[-1].end == pytest.approx(225.0, abs=0.01)
    assert hot.until == low.start == pytest.approx(245.0, abs=0.01)  # 365 K
    assert low.spans[-1].end == pytest.approx(260.0 + again / 2.0, abs=0.01)  # halfway there


def test_a_dwell_with_no_heat_in_its_band_behind_a_cooler_one_ends_where_it_was_left() -> None:
    way = [300.0] * 3 + [390.0] * 20 + [360.0] * 20
    assert walk(shown(way, way), cycle(UP, HOLD, LOW, DOWN))[1].until == math.inf
    for high, ends in ((384.0, False), (385.0, True)):
        some = dataclasses.replace(AGAIN, target=370.0, band_low=limit(366.0), band_high=limit(high))
        found = walk(shown(way, way), cycle(UP, HOLD, LOW, some))[1]
        assert (found.until < math.inf) is ends


@pytest.mark.parametrize(
    ("outcome", "rule", "speaks"),
    [
        (Outcome.DOES_NOT, RuleName.BAND_TOP, True),
        (Outcome.UNKNOWN, RuleName.ENTRY, True),
        (Outcome.UNKNOWN, RuleName.BAND_TOP, False),
        (Outcome.CONFORMS, RuleName.ENTRY, False),
    ],
)
def test_which_reasons_speak_against_one_that_reads_again(
    outcome: Outcome, rule: RuleName, speaks: bool
) -> None:
    assert lost._speaks(SimpleNamespace(outcome=outcome, rule=rule)) is speaks  # type: ignore[arg-type]


@pytest.mark.parametrize(("place", "said"), [(395.0, False), (395.01, True)])
def test_the_place_of_a_lost_one_is_held_to_the_lowest_of_its_tops(place: float, said: bool) -> None:
    column = [390.0, NAN, NAN]
    e = shown(column, [390.0] * 3)
    book, s = book_of(e), stretch(dwell(band_high=limit(395.0), ceiling=limit(400.0)), 0.0, 20.0)
    carried = [(0, slice(1, 3), np.array([390.0, place]))]
    lost._passed(e, book, s, "T1", np.array(column), carried, recipe(ceiling=limit(410.0)))
    assert [(r.sensor, r.limit) for r in book.reasons] == [("T1", 395.0)] * said


def test_a_level_is_the_mean_of_two_minutes() -> None:
    e = shown(np.full(40, 300.0))
    assert lost._level(e, np.arange(40.0), 20) == 14.0  # of rows 8 to 20
