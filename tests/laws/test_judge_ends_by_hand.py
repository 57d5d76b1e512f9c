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
from made_curelog import INHG, Made
from panelmend.plan.judge import holes, judge, rules_dwell, rules_spread, unread, walk
from panelmend.plan.judge.recipe import RecipeSegment, VacuumRule
from panelmend.plan.judge.rule_names import RuleName
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
    assert rules_spread.judge_spread(e, book_of(e), s) is outcome


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


COOL = [380.0, 390.0, 390.0, 390.0, 380.0, NAN, NAN, NAN, 380.0]  # the hole from 40 to 80 s


@pytest.mark.parametrize(
    ("temps", "gap", "place", "most", "outcome"),
    [
        # 380 K either side and 40 s: up at 3 K/s, down at 0.5 K/s, that is 397.142857 K
        (COOL, 25.0, {}, 397.142, OPEN),
        (COOL, 25.0, {}, 397.144, YES),
        (COOL, 40.0, {}, 391.0, YES),  # a blink within the longest gap
        (COOL, 25.0, {"until": 39.0}, 391.0, YES),  # the way to a hotter one had begun
        (COOL, 25.0, {"since": 39.0}, 391.0, OPEN),
        (COOL[::-1], 25.0, {}, 397.142, OPEN),
        (COOL[::-1], 25.0, {}, 397.144, YES),
        (COOL[::-1], 25.0, {"since": 41.0}, 391.0, YES),  # before the way to this one had begun
        ([*COOL, 300.0, NAN, NAN, NAN, 300.0], 25.0, {"until": 85.0}, 397.144, YES),
    ],
)
def test_a_hole_below_the_band_bounds_the_heat_as_one_in_it_does(
    temps: list[float], gap: float, place: dict[str, float], most: float, outcome: Outcome
) -> None:
    """After the dwell or on the way up it was not looked at where the data give no maximum temperature."""
    e = shown(temps, gap=gap)
    segment = dwell(dwell_least=limit(20.0), band_high=limit(most))
    s = dataclasses.replace(_whole(temps, segment), **place)
    assert rules_dwell._band_high(e, book_of(e), s) is outcome
    own = dataclasses.replace(segment, band_high=None, ceiling=limit(most))
    one = dataclasses.replace(s, segment=own)
    assert rules_dwell.judge_ceilings(e, book_of(e), recipe(), (one,)) is outcome


@pytest.mark.parametrize(("high", "outcome"), [(397.1, NO), (395.0, YES)])
def test_the_fastest_above_the_band_after_the_slowest_left_is_too_hot(high: float, outcome: Outcome) -> None:
    """It was looked at only until the slowest left; what it does below the band is the cool-down's."""
    e = shown([390.0, 390.0, 380.0, 388.0, high, 388.0, 380.0], [390.0, 390.0, *[380.0] * 5])
    cycle = dataclasses.replace(recipe(), segments=(dwell(band_high=limit(395.0)),))
    s = walk._dwell(e, cycle, 0, 0.0)
    assert s.end == pytest.approx(15.0, abs=1e-3)
    assert unread.heat_ends(e, s) == 50.0
    assert unread.heat_ends(e, dataclasses.replace(s, until=35.0)) == 30.0
    assert unread.heat_ends(e, dataclasses.replace(s, until=16.0)) == s.end
    assert rules_dwell._band_high(e, book_of(e), s) is outcome


@pytest.mark.parametrize(
    ("last", "gap", "outcome"),
    [(390.0, 25.0, OPEN), (385.0, 25.0, OPEN), (384.99, 25.0, YES), (390.0, 30.0, YES)],
    ids=["in_the_band", "at_its_low_end", "below_it", "no_longer_than_a_gap"],
)
def test_one_thermocouple_that_stops_in_the_band_bounds_nothing_more(
    last: float, gap: float, outcome: Outcome
) -> None:
    """T1 is read no more after 20 s, the other one till 50 s."""
    e = shown([390.0, 390.0, last, NAN, NAN, NAN], [390.0, 390.0, 380.0, 380.0, 380.0, 380.0], gap=gap)
    segment = dwell(dwell_least=limit(10.0), dwell_most=limit(1e4), band_high=limit(395.0))
    s = walk._dwell(e, dataclasses.replace(recipe(), segments=(segment,)), 0, 0.0)
    assert unread.ends_in_band(e, s) is (outcome is OPEN)
    entered = dataclasses.replace(s, start=0.001)  # its way into the band was read
    assert rules_dwell._most(e, book_of(e), entered) is outcome
    assert rules_dwell._band_high(e, book_of(e), s) is outcome
    hot = recipe(ceiling=limit(396.0))
    assert rules_dwell.judge_ceilings(e, book_of(e), hot, (s,)) is outcome
    working = np.ones((6, 2), np.bool_)
    working[3:, 0] = False
    lost = dataclasses.replace(e, working=working)  # the data's own rule asks about it
    assert unread.ends_in_band(lost, s) is False


@pytest.mark.parametrize(
    ("others", "lost"), [(12000.0, True), (9000.0, True), (6720.0, True), (6700.0, False)]
)
def test_one_that_stops_before_the_others_counts_as_lost_though_all_are_silent_in_the_end(
    others: float, lost: bool
) -> None:
    """Where rows without any reading followed it was only missing: nothing asked how hot it became."""
    m = made()
    m.temps[m.times > 6600.0, 0] = np.nan
    m.temps[m.times > others] = np.nan
    verdict = judge(recipe(dwell={"dwell_most": limit(4600.0)}), m.log())
    assert (verdict.lost_sensors == (("T1", 6610.0),)) is lost


def test_how_hot_a_thermocouple_can_be_that_is_not_read() -> None:
    e = shown([320.0, NAN, NAN, NAN, 310.0, NAN, NAN], [300.0] * 7, gap=5.0)
    assert [holes.hottest_unread(e, i) for i in (1, 2, 5)] == [("T1", 325.0), ("T1", 320.0), ("T1", 310.0)]
    assert holes.hottest_unread(e, 0)[0] == holes.hottest_unread(e, 4)[0] == ""
    early = shown([NAN, 340.0, NAN, 340.0], [300.0] * 4, [339.0, 339.0, NAN, 335.5], gap=5.0)
    assert holes.hottest_unread(early, 0)[0] == "", "nothing was read before"
    assert holes.hottest_unread(early, 2) == ("T1", 345.0)
    working = np.ones((4, 3), np.bool_)
    working[:, 0] = False
    gone = dataclasses.replace(early, working=working)
    assert holes.hottest_unread(gone, 2) == ("T3", 340.5)


@pytest.mark.parametrize(("most", "outcome"), [(340.4, OPEN), (340.6, YES)])
def test_one_that_is_not_read_at_the_release_may_have_been_too_hot(most: float, outcome: Outcome) -> None:
    """T1 at 310.5 K at 9500 s, a minute after the vacuum was last held: 30 K more at the most."""
    m = made()
    m.temps[(m.times > 9400.0) & (m.times < 9500.0), 0] = np.nan
    how = recipe(vacuum=VacuumRule(limit(22.0 * INHG)), release_most=limit(most))
    verdict = judge(how, m.log())
    assert verdict.outcome is outcome
    assert sum(r.rule == RuleName.RELEASE for r in verdict.against()) == (outcome is OPEN)


def _rows_added(m: Made, before: int) -> Made:
    """The same log with so many rows without a reading of heat before it."""
    times = np.arange(0.0, (before + m.times.size) * 10.0, 10.0)
    blank = np.full((before, m.temps.shape[1]), np.nan)
    vacuum = np.concatenate([24.0 * INHG + 5.0 * np.sin(np.arange(before)), m.vacuum])
    return Made(times, np.vstack([blank, m.temps]), vacuum, np.full(times.size, np.nan), m.names)


def test_rows_before_the_first_reading_and_after_the_last_hide_what_a_hole_hides() -> None:
    """First read 10 K below the band, so out of it 20 s before; last 5 K below, so in it 1.67 s later."""
    e = shown([NAN, NAN, NAN, NAN, 375.0, 380.0, NAN, NAN, NAN])
    found = unread.hidden_in_band(e, 385.0, -1e9, 1e9)
    assert [(round(a, 2), round(b, 2)) for a, b in found] == [(0.0, 20.0), (51.67, 80.0)]
    assert unread.hidden_in_band(e, 385.0, 25.0, 51.0) == []
    assert unread.hidden_in_band(shown([NAN] * 9), 385.0, 0.0, 1e9) == []
    short = shown([NAN, NAN, 375.0, 380.0, NAN, NAN])  # no longer than a gap
    assert unread.hidden_in_band(short, 385.0, -1e9, 1e9) == []


@pytest.mark.parametrize(
    ("rows", "least", "outcome"),
    [
        # 4291.7 s are read; the last reading is 380.0 K at 7200 s, the last row at 11990 s
        ("after", 9079.0, OPEN),
        ("after", 9081.0, NO),
        # read first at 300 K after an hour: out of the band 170 s before
        ("before", 7721.0, OPEN),
        ("before", 7722.5, NO),
        ("neither", 4300.0, NO),
    ],
)
def test_a_dwell_too_short_by_less_than_such_rows_can_hide_cannot_be_judged(
    rows: str, least: float, outcome: Outcome
) -> None:
    """It did not conform."""
    m = made()
    if rows == "after":
        m.temps[m.times > 7200.0] = np.nan
    m = _rows_added(m, 360) if rows == "before" else m
    verdict = judge(recipe(dwell={"dwell_least": limit(least), "summed": True}), m.log())
    assert [r.outcome for r in verdict.reasons if r.kind == "time"] == [outcome]


def test_a_dwell_before_the_first_reading_cannot_be_judged() -> None:
    m = made()
    m.temps[m.times < 7200.0] = np.nan
    verdict = judge(recipe(), m.log())
    assert [r.outcome for r in verdict.reasons if r.rule == RuleName.ENTRY] == [OPEN]


@pytest.mark.parametrize(
    ("hole", "least", "outcome"),
    [
        ((2900.0, 5300.0), 600.0, OPEN),
        # 35 K up at 3 K/s and down at 0.5: 81.7 s of the 2400
        ((2900.0, 5300.0), 2318.0, OPEN),
        ((2900.0, 5300.0), 2319.0, NO),
        ((5300.0, 5300.0), 600.0, NO),
    ],
)
def test_a_gap_in_a_cooler_dwell_may_hide_the_hotter_one_after_it(
    hole: tuple[float, float], least: float, outcome: Outcome
) -> None:
    """The first dwell was held long enough before it, and nothing is read of the second."""
    m = made()
    shape = np.interp(m.times, [0.0, 600.0, 1850.0, 5450.0, 7000.0], [300.0, 300.0, 350.0, 350.0, 310.0])
    m.temps[:] = (shape + 1e-4 * np.sin(m.times / 7.0))[:, None] + np.arange(4) * 1e-6
    m.temps[(m.times > hole[0]) & (m.times < hole[1])] = np.nan
    up, hold, down = recipe().segments
    first = dataclasses.replace(
        hold, name="first", target=350.0, band_low=limit(345.0), dwell_least=limit(600.0)
    )
    second = dataclasses.replace(hold, name="second", dwell_least=limit(least))
    ramp = dataclasses.replace(up, name="up again")
    how = dataclasses.replace(recipe(), segments=(up, first, ramp, second, down))
    assert [r.outcome for r in judge(how, m.log()).reasons if r.rule == RuleName.ENTRY] == [outcome]
