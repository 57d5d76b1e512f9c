"""A dwell that is cooler than the one before it: where it begins, how long it is, and how hot. Each figure is
reckoned by hand."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from judge_lines import limit, made, recipe
from judge_readings import shown
from judge_whole import NO, OPEN, YES
from made_curelog import Made
from panelmend.plan.judge import SensorRule, codes, judge
from panelmend.plan.judge.recipe import CureRecipe, RecipeLimit
from panelmend.plan.judge.rule_names import RuleName
from panelmend.plan.judge.verdict import Outcome, Verdict
from panelmend.plan.judge.walk import _dwell_below, walk


def _down(low: float, noise: float = 0.0) -> Made:
    """Half an hour and more at 390 K, down to 360 K at 0.03 K/s, there for so long [s], and down."""
    m = made()
    knots = np.cumsum([0.0, 600.0, 2250.0, 2000.0, 1000.0, low, 1500.0])
    shape = np.interp(m.times, knots, [300.0, 300.0, 390.0, 390.0, 360.0, 360.0, 310.0])
    m.temps[:] = (shape + 1e-4 * np.sin(m.times / 7.0))[:, None] + np.arange(4) * 1e-6
    m.temps += noise * np.random.default_rng(2).normal(0.0, 1.0, m.temps.shape)
    return m


def _cooler(**more: RecipeLimit) -> CureRecipe:
    up, hold, down = recipe().segments
    first = dataclasses.replace(hold, name="hot", dwell_least=limit(1800.0))
    low = {"band_low": limit(355.0), "dwell_least": limit(1800.0), **more}
    second = dataclasses.replace(hold, name="low", target=360.0, **low)  # type: ignore[arg-type]
    return dataclasses.replace(recipe(), segments=(up, first, second, down))


@pytest.mark.parametrize("high", [None, limit(365.0)], ids=["as_far_above", "its_top"])
@pytest.mark.parametrize(
    ("low", "outcome"),
    # 166.7 s from 365 K, the stay, and 150 s to 355 K
    [(1480.0, NO), (1490.0, YES), (600.0, NO), (2400.0, YES)],
)
def test_a_cooler_dwell_begins_where_the_hottest_has_come_down_to_it(
    high: RecipeLimit | None, low: float, outcome: Outcome
) -> None:
    """The way down was counted: 18 of 30 minutes conformed, and with a top of the band no cure did."""
    more = {} if high is None else {"band_high": high}
    verdict = judge(_cooler(**more), _down(low).log())
    assert [r.outcome for r in verdict.reasons if r.segment == "low" and r.kind == "time"] == [outcome]
    assert verdict.outcome is outcome
    row = next(r for r in verdict.segments if r.name == "low")
    assert row.start == pytest.approx(5683.3, abs=0.5)


def test_the_longest_cooler_dwell_and_its_heat_are_told_from_the_way_down() -> None:
    how = _cooler(band_high=limit(365.0), dwell_most=limit(2750.0))
    assert (
        judge(how, _down(2400.0, 0.2).log()).outcome is YES
    )  # 2716.7 s; noise about the top is none above it
    assert judge(how, _down(2450.0).log()).outcome is NO
    m = _down(2400.0)
    m.temps += np.interp(m.times, [6400.0, 6700.0, 7600.0, 7800.0], [0.0, 6.0, 6.0, 0.0])[:, None]
    against = judge(how, m.log()).against()
    assert RuleName.BAND_TOP in [r.rule for r in against if r.outcome is NO]


def test_a_cooler_dwell_that_was_never_come_down_to_cannot_be_judged() -> None:
    m = _down(2400.0)
    cut = Made(m.times[:550], m.temps[:550], m.vacuum[:550], m.set_point[:550], m.names)
    verdict = judge(_cooler(), cut.log())
    words = [r.words for r in verdict.reasons if r.segment == "low"]
    assert words == ["the hottest is nowhere read to have come down to its band"]
    assert verdict.outcome is OPEN


def test_a_gap_on_the_way_down_leaves_open_when_a_cooler_dwell_began() -> None:
    """From 5000 to 6000 s: 1500 s are read of it, and as much as 1000 more can have been."""
    m = _down(1500.0)
    m.temps[(m.times > 5000.0) & (m.times < 6000.0)] = np.nan
    for least, outcome in ((1490.0, YES), (1510.0, OPEN), (2490.0, OPEN), (2510.0, NO)):
        found = judge(_cooler(dwell_least=limit(least)), m.log()).reasons
        assert [r.outcome for r in found if r.segment == "low" and r.kind == "time"] == [outcome], least


def _late_down(came: float, unread: tuple[float, float] = (1e9, 1e9)) -> Made:
    """Like a stay of 2400 s at 360 K, but T1 comes down to it evenly, from 4850 s to ``came`` [s]."""
    m = _down(2400.0)
    m.temps[:, 0] = np.interp(m.times, [4850.0, came, 8250.0, 9750.0], [390.0, 360.0, 360.0, 310.0])
    early = m.times < 4850.0
    m.temps[early, 0] = m.temps[early, 1] + 1e-6
    m.temps[(m.times > unread[0]) & (m.times < unread[1]), 0] = np.nan
    return m


def test_one_not_read_when_the_others_came_down_and_read_above_it_was_above() -> None:
    """T1 at 365 K at 6975 s, 355 K at 8400 s: 23.8 of 30 min; not read at 5683 s, as the others came down."""
    for unread in ((1e9, 1e9), (5640.0, 5740.0), (5600.0, 5900.0)):
        verdict = judge(_cooler(), _late_down(7400.0, unread).log())
        time = [r for r in verdict.reasons if r.segment == "low" and r.kind == "time"]
        assert [r.outcome for r in time] == [NO], unread
        assert time[0].value == pytest.approx(1425.0, abs=1.0)


@pytest.mark.parametrize(("most", "outcome"), [(1280.0, NO), (1300.0, YES)])
def test_the_last_behind_the_first_comes_down_into_a_cooler_dwell(most: float, outcome: Outcome) -> None:
    """The others at 365 K at 5683.3 s, T1 at 6975.0 s; it was asked from below, and nobody was late."""
    how = _cooler(lag_most=limit(most), dwell_least=limit(1200.0))
    found = [r for r in judge(how, _late_down(7400.0).log()).reasons if "behind" in r.rule]
    assert [r.outcome for r in found] == [outcome]
    assert found[0].value == pytest.approx(1291.7, abs=0.5)
    assert found[0].sensor == "T1"


NAN = float("nan")
COOLED = [390.0, 390.0, 380.0, 370.0, 366.0, 364.0]  # at 365 K, the top of its band, at 45 s


@pytest.mark.parametrize(
    ("more", "start"),
    [
        ([362.0] * 14, 45.0),
        ([366.0, 362.0, *[362.0] * 12], 62.5),  # above it again at 60 s, and back at 62.5 s
        ([365.0, 362.0, *[362.0] * 12], 45.0),  # at the top of the band is none above it
        ([362.0] * 4 + [366.0] + [362.0] * 9, 102.5),  # 55 s later
        ([362.0] * 5 + [366.0] + [362.0] * 8, 45.0),  # 65 s later: it had come down
    ],
)
def test_a_cooler_dwell_begins_once_the_hottest_has_been_below_its_top_for_a_minute(
    more: list[float], start: float
) -> None:
    e, how = shown(COOLED + more, [x - 1.0 for x in COOLED + more]), _cooler(band_high=limit(365.0))
    found = _dwell_below(e, how, 2, 0.0)
    assert found.found
    assert found.start == pytest.approx(start, abs=0.01)
    assert [(s.start, s.end) for s in found.spans] == [(pytest.approx(start, abs=0.01), 190.0)]
    assert found.since == found.start
    assert _dwell_below(e, how, 2, 150.0).start == 150.0, "come down before that"


def test_when_a_cooler_dwell_can_have_begun_at_the_soonest() -> None:
    """From 390 K at 40 s with 0.5 K/s at most to 365 K at 90 s; it is read at 100 s."""
    way = [390.0] * 5 + [NAN] * 5 + [360.0] * 10
    how = _cooler(band_high=limit(365.0))
    found = _dwell_below(shown(way, way), how, 2, 0.0)
    assert (found.start, found.since) == (100.0, 90.0)
    assert _dwell_below(shown(way, way), how, 2, 95.0).since == 95.0
    up = [300.0] * 5 + [330.0, 360.0] + way
    walked = walk(shown(up, up), how)
    assert (walked[2].segment.name, walked[2].since) == ("low", 160.0)


def _read_no_more(
    high: RecipeLimit | None, gone: tuple[float, float], least: float = 1800.0, opened: float = 1645.0
) -> Verdict:
    """The hottest by 6 K is read no more within a time [s]; the data allow one that is lost."""
    m = _down(2400.0, 0.1)
    m.temps[:, 2] += np.interp(m.times, [600.0, 2850.0], [0.0, 6.0])
    m.temps[(m.times > gone[0]) & (m.times < gone[1]), 2] = np.nan
    m.temps[(m.times > gone[0]) & (m.times < gone[0] + 20.0), 2] = opened
    how = _cooler(dwell_least=limit(least), **({} if high is None else {"band_high": high}))
    return judge(dataclasses.replace(how, sensors=SensorRule(3, "t", may_fail=1)), m.log())


@pytest.mark.parametrize("high", [None, limit(367.0)], ids=["as_far_above", "its_top"])
def test_a_place_that_nobody_read_come_down_leaves_a_cooler_dwell_open(high: RecipeLimit | None) -> None:
    """Its thermocouple was lost at 396 K, before the way down: the others' way down was taken for its own."""
    top = 365.0 if high is None else high.value
    verdict = _read_no_more(high, (4700.0, 1e9))
    found = [r for r in verdict.reasons if r.code == codes.LOST_ABOVE.code]
    assert (found[0].outcome, found[0].segment, found[0].sensor) == (OPEN, "low", "T3")
    assert found[0].limit == pytest.approx(top)
    assert f"nobody read when its place came down to {top - 273.15:.1f} C" in found[0].words
    assert verdict.outcome is OPEN


def test_one_that_was_read_to_come_down_before_it_was_lost_begins_the_cooler_dwell() -> None:
    """At 0.03 K/s from 396 at 4850 s it is at 367 K at 5816 s."""
    high = limit(367.0)
    for lost, told in ((5700.0, True), (5790.0, True), (5900.0, False)):
        words = [r.words for r in _read_no_more(high, (lost, 1e9)).reasons]
        assert any("nobody read when its place came down" in x for x in words) is told, lost
    assert _read_no_more(high, (5900.0, 1e9)).outcome is YES


def test_one_that_is_read_again_shows_how_long_it_has_been_down() -> None:
    """The dwell is left at 8400 s, at 355 K; of it are read 1400 s from 7000 s on."""
    for least, told in ((1380.0, False), (1440.0, True)):
        found = _read_no_more(limit(367.0), (4700.0, 7000.0), least)
        words = [r.words for r in found.reasons if r.code == codes.LOST_ABOVE.code]
        assert bool(words) is told, words
        assert found.outcome is (OPEN if told else YES)
        assert not told or words[0].endswith("since it was read again 23 min are shown, 24 min are asked")


def test_a_gap_of_the_hottest_on_the_way_down_begins_no_cooler_dwell() -> None:
    """Read again at 366 K it has not come down to 365 K; the others came down to it in the gap, at 5683 s.
    With 367 K as the top 2400 s are read from 6000 s on, and as much as 1300 s more can have been."""
    assert _read_no_more(None, (4700.0, 6000.0), opened=float("nan")).outcome is NO
    for least, outcome in ((2390.0, YES), (2430.0, OPEN), (3650.0, OPEN), (3750.0, NO)):
        found = _read_no_more(limit(367.0), (4700.0, 6000.0), least, float("nan")).reasons
        assert [r.outcome for r in found if r.segment == "low" and r.kind == "time"] == [outcome], least
