"""What a hole can hide of a dwell where both its sides are read below the band: each outcome by hand, from
the blanket fully on (3 K/s) and fully off (0.5 K/s)."""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np
import pytest

from judge_lines import limit, made, recipe
from judge_readings import book_of, dwell, shown, stretch
from judge_whole import NO, OPEN, YES
from made_curelog import Made
from panelmend.plan.judge import RecipeSegment, SegmentKind, judge, make_report, rules_dwell, unread, walk
from panelmend.plan.judge.verdict import Outcome

NAN = float("nan")
TIMES = [0.0, 100.0, 200.0, 300.0, 400.0, 1000.0, 1100.0]
SLOWEST = [390.0, 390.0, 390.0, 380.0, 380.0, 380.0, 380.0]  # in the band to 250 s; a hole from 400 to 1000 s


def _outcome(least: float, *, summed: bool, since: float = 0.0, until: float = 1e9) -> Outcome:
    e = shown([300.0, *SLOWEST], times=[-0.001, *TIMES], gap=110.0)
    segment = dwell(dwell_least=limit(least), summed=summed)
    cycle: Any = dataclasses.replace(recipe(), segments=(segment,))
    s = dataclasses.replace(walk._dwell(e, cycle, 0, -0.001), since=since, until=until)
    return rules_dwell._time(e, book_of(e), s)


@pytest.mark.parametrize(
    ("least", "summed", "outcome"),
    [
        (249.9, True, YES),  # what is read alone
        (250.1, True, OPEN),
        (838.3, True, OPEN),  # and from 5/3 s after 400 to ten seconds before 1000 s: 588.33 more
        (838.4, True, NO),
        (249.9, False, YES),
        (250.1, False, OPEN),  # the hole alone can hide so much
        (588.3, False, OPEN),
        (588.4, False, NO),
    ],
)
def test_a_hole_below_the_band_leaves_open_what_it_can_hide(
    least: float, summed: bool, outcome: Outcome
) -> None:
    assert _outcome(least, summed=summed) is outcome


@pytest.mark.parametrize(
    ("since", "until", "most"),
    [
        (500.0, 1e9, 740.0),  # the way to this dwell begins at 500 s: 490 s of the hole are left
        (0.0, 700.0, 548.333),  # the way to a hotter one begins at 700 s: 298.33 s
        (990.0, 1e9, 250.0),
        (0.0, 401.0, 250.0),
    ],
)
def test_only_the_hole_s_part_of_this_dwell_counts(since: float, until: float, most: float) -> None:
    assert _outcome(most - 0.01, summed=True, since=since, until=until) is (OPEN if most > 250.0 else YES)
    assert _outcome(most + 0.01, summed=True, since=since, until=until) is NO


ROWS = np.arange(0.0, 1101.0, 100.0)
HOLED = [390.0, 390.0, 390.0, 380.0, 380.0, *[NAN] * 5, 380.0, 380.0]


def _hidden(*others: list[float], one: list[float] = HOLED, **working: Any) -> list[tuple[float, float]]:
    e = shown(one, *others, times=ROWS, gap=110.0)
    if working:
        e = dataclasses.replace(e, **working)
    found = unread.hidden_in_band(e, 385.0, 0.0, 1e9)
    return [(round(a, 2), round(b, 2)) for a, b in found]


def test_a_thermocouple_that_is_read_in_the_hole_of_another_speaks_for_itself() -> None:
    """At 600 and 700 s it reads 390 K, at 500 and 800 s 380: in the band from 550 to 750 s."""
    assert _hidden() == [(401.67, 990.0)]
    assert _hidden([380.0] * 12) == []
    assert _hidden([384.9] * 12) == []
    assert _hidden([385.0] * 12) == [(401.67, 990.0)]
    stays = [380.0] * 6 + [390.0, 390.0] + [380.0] * 4
    assert _hidden(stays) == [(550.0, 750.0)]
    twice = [380.0] * 5 + [390.0, 380.0, 390.0] + [380.0] * 4
    assert _hidden(twice) == [(450.0, 550.0), (650.0, 750.0)]


def test_two_that_are_not_read_have_both_to_be_in_the_band() -> None:
    """The other one is 30 K below it: in after 10 s at the soonest, out 60 s before the end at the latest."""
    assert _hidden([355.0, *[355.0] * 4, *[NAN] * 5, 355.0, 355.0]) == [(410.0, 940.0)]
    early = [390.0] * 5 + [NAN] * 3 + [380.0] * 4  # read again at 800 s
    assert _hidden(early) == [(401.67, 790.0)]
    above = [390.0] * 5 + [NAN] * 5 + [390.0] * 2
    assert _hidden(above) == [(401.67, 990.0)]


def test_a_hole_too_short_to_come_up_and_down_in_hides_nothing() -> None:
    """With 85 K to the band: 28.3 s up and 170 down of the 600; with 300 K more than there are."""
    cold = [390.0, 390.0, 390.0, 300.0, 300.0, *[NAN] * 5, 300.0, 300.0]
    assert _hidden(one=cold) == [(428.33, 830.0)]
    far = [390.0, 390.0, 390.0, 85.0, 85.0, *[NAN] * 5, 85.0, 85.0]
    assert _hidden(one=far) == []


def test_a_thermocouple_that_is_lost_in_the_hole_says_nothing_more() -> None:
    """Its last reading is at 600 s, below the band; from then on it may have been as warm as any."""
    lost = [380.0] * 7 + [NAN] * 5
    working = np.ones((12, 2), np.bool_)
    working[7:, 1] = False
    e = shown(HOLED, lost, times=ROWS, gap=110.0)
    lowest = np.array(HOLED)
    found = _hidden(lost, working=working, lowest=lowest)
    assert found == [(600.0, 990.0)]
    assert e.names == ("T1", "T2")
    again = [380.0] * 5 + [NAN] * 3 + [380.0] * 4  # and one that reads again is as warm as any until then
    working = np.ones((12, 2), np.bool_)
    working[5:8, 1] = False
    assert _hidden(again, working=working, lowest=lowest) == [(401.67, 800.0)]
    never = [NAN] * 12
    assert _hidden(never, working=np.array([[True, False]] * 12), lowest=lowest) == [(401.67, 990.0)]


# the whole cure


def dipped(*, read: int | None = None) -> Made:
    """In the band from 2725 to 4050 s and from 4950 to 7016.7 s; not read from 4200 to 4800 s, at 380 K
    before and after; ``read``: a thermocouple that is."""
    m = made()
    t = m.times
    dip = np.interp(t, [4000.0, 4100.0, 4900.0, 5000.0], [0.0, -10.0, -10.0, 0.0])
    m.temps += dip[:, None]
    gone = (t > 4200.0) & (t < 4800.0)
    columns = [i for i in range(4) if i != read]
    m.temps[np.ix_(gone, columns)] = np.nan
    return m


def _judged(m: Made, least: float, *, summed: bool = True) -> Outcome:
    how = recipe(dwell={"dwell_least": limit(least), "summed": summed})
    return judge(how, m.log()).outcome


@pytest.mark.parametrize(("least", "outcome"), [(3391.0, YES), (3392.0, OPEN), (3979.5, OPEN), (3980.5, NO)])
def test_a_summed_dwell_with_a_hole_under_the_band(least: float, outcome: Outcome) -> None:
    """3391.67 s are read in the band; 588.33 more can have been."""
    assert _judged(dipped(), least) is outcome


def test_one_that_is_read_under_the_band_all_through_the_hole_shows_it_too_short() -> None:
    assert _judged(dipped(read=1), 3392.0) is NO
    assert _judged(dipped(read=1), 3391.0) is YES


def test_an_unbroken_dwell_is_not_lengthened_by_it() -> None:
    """2066.7 s at a stretch; the hole is no part of it."""
    assert _judged(dipped(), 2066.0, summed=False) is YES
    assert _judged(dipped(), 2067.5, summed=False) is NO


def hidden_whole(begin: float, until: float) -> Made:
    """The whole way into the band and out of it lies in a hole."""
    m = made()
    m.temps[(m.times > begin) & (m.times < until)] = np.nan
    return m


@pytest.mark.parametrize("summed", [True, False])
@pytest.mark.parametrize(("least", "outcome"), [(4493.0, OPEN), (4493.7, NO)])
def test_a_band_that_is_nowhere_read_may_lie_in_a_hole(least: float, summed: bool, outcome: Outcome) -> None:
    """Read last at 2600 s (380 K) and again at 7100 s (382.5 K): in it from 2601.67 to 7095 s at most."""
    m = hidden_whole(2600.0, 7100.0)
    assert _judged(m, least, summed=summed) is outcome


def test_what_was_not_looked_for_is_no_failure_of_its_own() -> None:
    """The dwell before it may lie in the hole; the cooler one after it was not looked for."""
    how = recipe(dwell={"dwell_least": limit(4000.0)})
    after = RecipeSegment("after", SegmentKind.DWELL, 340.0, band_low=limit(335.0), dwell_least=limit(60.0))
    how = dataclasses.replace(how, segments=(*how.segments[:2], after, how.segments[2]))
    found = judge(how, hidden_whole(2600.0, 7100.0).log())
    assert found.outcome is OPEN
    assert [r.outcome for r in found.reasons if r.segment == "after"] == [OPEN]


# the longest dwell and the spread


@pytest.mark.parametrize(("most", "outcome"), [(249.0, NO), (250.1, OPEN), (838.3, OPEN), (838.4, YES)])
@pytest.mark.parametrize("beside", [False, True])
def test_a_longest_dwell_counts_what_a_hole_below_the_band_can_hide(
    most: float, outcome: Outcome, beside: bool
) -> None:
    """Also where the hole is of one thermocouple alone and another is read below the band: it is no longer
    the fastest that is read."""
    if beside:
        e = shown(HOLED, [380.0] * 12, times=ROWS, gap=110.0)
    else:
        e = shown(SLOWEST, times=TIMES, gap=110.0)
    segment = dwell(dwell_least=limit(10.0), dwell_most=limit(most))
    s = stretch(segment, 0.001, 250.0, entries=[("T1", 0.001)])
    assert rules_dwell._most(e, book_of(e), s) is outcome


@pytest.mark.parametrize(
    ("begin", "until", "said"),
    [
        (5000.0, 5900.0, "15 min"),
        (2700.0, 2800.0, ""),  # over the entry into the band: what counts begins behind it
        (7000.0, 7100.0, ""),  # over its end
        (5000.0, 5030.0, ""),  # no hole: two samples are missing
    ],
)
def test_verdict_and_report_say_for_how_long_a_spread_is_not_known(
    begin: float, until: float, said: str
) -> None:
    m = made()
    m.temps[(m.times > begin) & (m.times < until), 2] = np.nan
    for asked in (True, False):
        more = {"spread_most": limit(5.0)} if asked else {}
        how = recipe(dwell={"dwell_least": limit(600.0), **more})
        log = m.log()
        verdict = judge(how, log)
        told = [x for x in make_report(how, log, verdict).not_judged if "not every thermocouple" in x]
        words = f"hold, spread: for {said} of it not every thermocouple was read; the spread then is that of"
        assert told == [f"{words} those that were"] * bool(said and asked)
        assert [(n, s) for n, s in verdict.unread] == [("hold", until - begin)] * bool(said)


def test_time_that_is_not_read_is_counted_within_what_is_asked() -> None:
    e = shown(HOLED, [380.0] * 12, times=ROWS, gap=110.0)
    assert unread.unread_time(e, 0.0, 1100.0) == 600.0
    assert unread.unread_time(e, 500.0, 700.0) == 200.0
    assert unread.unread_time(e, 0.0, 400.0) == 0.0
    assert unread.unread_time(e, 1000.0, 1100.0) == 0.0
