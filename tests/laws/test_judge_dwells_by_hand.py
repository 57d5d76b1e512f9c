"""The way through a cure and dwells at their very edges, on a few readings made
for each rule; each outcome is written by hand."""

from __future__ import annotations

import dataclasses
from types import SimpleNamespace as Made
from typing import Any

import numpy as np
import pytest

from judge_lines import limit, recipe
from judge_readings import book_of, dwell, shown, stretch
from judge_whole import NO, OPEN, YES
from panelmend.plan.judge import (
    SegmentKind,
    codes,
    evidence,
    holes,
    rules_dwell,
    rules_spread,
    spans,
    walk,
)
from panelmend.plan.judge.recipe import RecipeSegment
from panelmend.plan.judge.spans import Span
from panelmend.plan.judge.verdict import Outcome
from panelmend.plan.judge.walk import Stretch

NAN = float("nan")


# the way through a cure


def test_heat_comes_on_before_the_first_thermocouple_that_rises() -> None:
    one = [300.0] * 6 + [305.0, 305.001, 340.0, 380.0]
    two = [300.0] * 8 + [340.0, 380.0]
    assert walk.heat_start(shown(one, two)) == 60.0  # five kelvin exactly is not above
    assert walk.heat_start(shown(two, two)) == 70.0
    assert walk.heat_start(shown([300.0] * 10)) == 90.0


def test_only_a_dwell_has_a_band_that_a_ramp_leads_to() -> None:
    ramp = RecipeSegment("up", SegmentKind.RAMP, 380.0)
    further = RecipeSegment("on", SegmentKind.RAMP, 390.0, band_low=limit(350.0))
    cycle = recipe()
    cycle = dataclasses.replace(cycle, segments=(ramp, further, dwell()))
    assert [walk._level(cycle, i) for i in (0, 1)] == [380.0, 385.0]


def _cycle(segment: RecipeSegment) -> Any:
    return dataclasses.replace(recipe(), segments=(segment,))


def test_what_of_the_slowest_lies_in_a_dwell() -> None:
    """From its start on, each stay in the band; readings alone count as stays of no length."""
    slowest = [
        380.0,
        390.0,
        380.0,
        380.0,
        380.0,
        NAN,
        NAN,
        NAN,
        390.0,
        NAN,
        NAN,
        NAN,
        390.0,
        390.0,
        NAN,
        NAN,
        NAN,
        390.0,
    ]
    e = shown(slowest)
    found = walk._dwell(e, _cycle(dwell()), 0, 30.0)
    assert [(x.start, x.end) for x in found.spans] == [(80.0, 80.0), (120.0, 130.0), (170.0, 170.0)]
    assert (found.start, found.end) == (80.0, 170.0)
    assert walk._dwell(e, _cycle(dwell()), 0, 0.0).spans[0].start == pytest.approx(5.0, abs=1e-3)


def test_a_dwell_begins_with_the_first_and_a_cool_down_ends_with_the_last() -> None:
    first = [380.0, 390.0, 390.0, 390.0, 390.0, 310.0, 310.0, 310.0]
    last = [380.0, 380.0, 380.0, 390.0, 390.0, 390.0, 390.0, 310.0]
    e = shown(first, last)
    found = walk._dwell(e, _cycle(dwell()), 0, 0.0)
    assert (found.start, found.spans[0].start) == (
        pytest.approx(5.0, abs=1e-3),
        pytest.approx(25.0, abs=1e-3),
    )
    cool = RecipeSegment("down", SegmentKind.COOL, 350.0)
    down = walk._cool(e, cool, 40.0)
    assert [t for _, t in down.entries] == pytest.approx([45.0, 65.0], abs=1e-3)
    assert (down.end, down.found) == (pytest.approx(65.0, abs=1e-3), True)


# dwells


@pytest.mark.parametrize(("last", "outcome"), [(377.001, OPEN), (377.0, NO), (379.999, OPEN), (370.0, NO)])
def test_a_band_that_was_never_reached(last: float, outcome: Outcome) -> None:
    """Three kelvins back it has cooled; else the log ended before it could be seen."""
    e = shown([300.0, 360.0, 380.0, last])
    segment = dwell()
    s = Stretch(segment, 0.0, 0.0, (("T1", None),), (), False, 385.0)
    assert rules_dwell.judge_dwell(e, book_of(e), s) is outcome


IN = [0.0, 100.0, 200.0, 500.0, 600.0, 700.0, 800.0], [380.0, 380.0, 380.0, 390.0, 390.0, 390.0, 380.0]
OUT = [0.0, 100.0, 200.0, 300.0, 400.0, 700.0, 800.0], [380.0, 390.0, 390.0, 390.0, 390.0, 380.0, 380.0]
BOTH = [0.0, 100.0, 400.0, 700.0, 800.0], [380.0, 380.0, 390.0, 380.0, 380.0]


@pytest.mark.parametrize(
    ("read", "least", "outcome"),
    [
        (IN, 249.0, YES),  # read in the band from 500 s on, out of it at 750 s
        (IN, 251.0, OPEN),
        (IN, 548.0, OPEN),  # it can have been there 5/3 s after 200 s, with the blanket fully on
        (IN, 549.0, NO),
        (OUT, 349.0, YES),  # in it from 50 s on, and read there up to 400 s
        (OUT, 351.0, OPEN),
        (OUT, 639.0, OPEN),  # and up to ten seconds before 700 s, with the blanket fully off
        (OUT, 641.0, NO),
        (BOTH, 1.0, OPEN),  # from 101.7 to 690 s
        (BOTH, 588.0, OPEN),
        (BOTH, 589.0, NO),
    ],
)
@pytest.mark.parametrize("summed", [False, True])
def test_a_dwell_that_begins_or_ends_in_a_hole(
    read: tuple[list[float], list[float]], least: float, outcome: Outcome, summed: bool
) -> None:
    times, slowest = read
    e = shown(slowest, times=times, gap=110.0)
    s = walk._dwell(e, _cycle(dwell(dwell_least=limit(least), summed=summed)), 0, 0.0)
    assert rules_dwell._time(e, book_of(e), s) is outcome


CUT = (Span(0.0, 40.0, open_end=True), Span(60.0, 100.0, open_start=True))


@pytest.mark.parametrize(
    ("inside", "summed", "least", "outcome"),
    [
        (CUT, False, 100.0, OPEN),  # with the hole it is just enough
        (CUT, False, 100.001, NO),
        (CUT, False, 40.0, YES),
        ((Span(0.0, 40.0), *CUT[1:]), False, 100.0, NO),
        (
            (Span(0.0, 10.0), Span(20.0, 60.0, open_end=True), Span(80.0, 120.0, open_start=True)),
            False,
            100.0,
            OPEN,
        ),
        (
            (Span(0.0, 10.0), Span(20.0, 60.0, open_end=True), Span(80.0, 120.0, open_start=True)),
            False,
            101.0,
            NO,
        ),
        (
            (Span(0.0, 10.0), Span(20.0, 60.0, open_end=True), Span(80.0, 120.0, open_start=True)),
            True,
            110.0,
            OPEN,
        ),
        (
            (Span(0.0, 10.0), Span(20.0, 60.0, open_end=True), Span(80.0, 120.0, open_start=True)),
            True,
            90.0,
            YES,
        ),
        ((Span(100.0, 190.0),), False, 90.0, YES),  # the log ends in it, and it was long enough
        ((Span(100.0, 190.0),), False, 90.001, OPEN),
        ((Span(100.0, 189.0),), False, 90.0, NO),
    ],
)
def test_a_dwell_that_a_hole_cuts(
    inside: tuple[Span, ...], summed: bool, least: float, outcome: Outcome
) -> None:
    e = shown([300.0] + [390.0] * 20, times=np.arange(-10.0, 195.0, 10.0))
    s = stretch(dwell(dwell_least=limit(least), summed=summed), 0.0, 190.0, *inside, entries=[("T1", 0.0)])
    assert rules_dwell._time(e, book_of(e), s) is outcome


@pytest.mark.parametrize(
    ("before", "after", "falling", "soonest", "latest"),
    [
        (310.0, 320.0, False, 100.0, 200.0 - 10.0 / 3.0),  # it was there before the hole
        (300.0, 310.0, False, 100.0 + 10.0 / 3.0, 200.0),  # and just there after it
        (310.0, 300.0, True, 100.0, 180.0),
        (320.0, 310.0, True, 120.0, 200.0),
    ],
)
def test_a_level_that_one_side_of_a_hole_stands_at(
    before: float, after: float, falling: bool, soonest: float, latest: float
) -> None:
    e: Any = Made(times=np.array([0.0, 100.0, 200.0, 300.0]), gap=60.0)
    values = np.array([before, before, after, after])
    found = holes.crossing_between(e, values, 310.0, 150.0, falling=falling)
    assert found == pytest.approx((soonest, latest))


@pytest.mark.parametrize(("could", "outcome"), [(395.0, YES), (395.001, OPEN)])
def test_a_peak_that_a_hole_could_hide(
    could: float, outcome: Outcome, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(rules_dwell, "peak", lambda before, after, seconds: could)
    e = shown([390.0, 390.0, NAN, NAN, NAN, 390.0, 390.0, 380.0])
    s = stretch(dwell(band_high=limit(395.0)), 0.0, 60.0)
    assert rules_dwell._band_high(e, book_of(e), s) is outcome


def test_what_a_hole_could_hide_is_said_with_the_readings_beside_it() -> None:
    """From 328.15 K in 200 s; at 55 C a hole of 3 min "could have passed 121.9 C"."""
    e = shown([300.0, 328.15, 330.15, 330.15], times=[0.0, 10.0, 210.0, 220.0], gap=25.0)
    s, book = stretch(dwell(band_high=limit(395.05)), 0.0, 220.0), book_of(e)
    assert rules_dwell._band_high(e, book, s) is OPEN
    assert [r.words for r in book.reasons if r.outcome is OPEN] == [
        "T1 has no reading for 4 min, 55.0 C before and 57.0 C after: that it kept to 121.9 C is not shown, "
        "a blanket fully on could have passed it"
    ]


@pytest.mark.parametrize(
    ("first", "until", "found"),
    [
        (20.0, np.inf, [(60.0, 80.0), (150.0, 190.0)]),  # what ends as the first comes in is none of it
        (19.0, np.inf, [(19.0, 20.0), (60.0, 80.0), (150.0, 190.0)]),
        (20.0, 180.0, [(60.0, 80.0), (150.0, 180.0)]),
        (20.0, 149.0, [(60.0, 80.0)]),
        (85.0, 140.0, []),
    ],
)
def test_stays_of_the_fastest_in_a_band(first: float, until: float, found: list[tuple[float, float]]) -> None:
    """Up to the way to a hotter segment; that the slowest had left before, at 100 s, ends none."""
    known = np.ones(19, np.bool_)
    known[[2, 5, 8, 14]] = False
    highest = np.full(20, 390.0)
    highest[[3, 4, 5, 9, 10, 11, 12, 13, 14]] = 380.0
    times = np.arange(20) * 10.0
    s = dataclasses.replace(stretch(dwell(), 0.0, 100.0), until=until)
    told = rules_dwell.fastest_in_band(s, times, highest, known, first)
    assert [(x.start, x.end) for x in told] == found


@pytest.mark.parametrize(("until", "found"), [(50.0, [(0.0, 10.0), (50.0, 50.0)]), (49.0, [(0.0, 10.0)])])
def test_a_reading_at_the_very_end_of_what_counts_is_a_stay_of_its_own(
    until: float, found: list[tuple[float, float]]
) -> None:
    """Behind a gap; its stamp may be as far off as any, and that counts for each stay."""
    known = np.array([True, False, False, True])
    s = dataclasses.replace(stretch(dwell(), 0.0, 100.0), until=until)
    times = np.array([0.0, 10.0, 30.0, 50.0, 60.0])
    told = rules_dwell.fastest_in_band(s, times, np.array([390.0, 390.0, 300.0, 390.0, 390.0]), known, 0.0)
    assert [(x.start, x.end) for x in told] == found


@pytest.mark.parametrize(("blur", "outcome"), [(10.0, YES), (10.5, OPEN), (0.0, YES)])
def test_two_stays_of_coarse_stamps_are_twice_as_unsure(
    blur: float, outcome: Outcome, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Thirty and twenty seconds of the seventy that are allowed: as far within as both may be longer."""
    monkeypatch.setattr(evidence.Evidence, "blur", blur)
    highest = [390.0] * 4 + [300.0] * 3 + [390.0] * 3 + [300.0] * 3
    e = shown(highest)
    e = dataclasses.replace(
        e, known=np.array([True] * 3 + [False] + [True] * 2 + [False] + [True] * 2 + [False] + [True] * 2)
    )
    s = stretch(dwell(dwell_least=limit(10.0), dwell_most=limit(70.0)), 0.1, 120.0, entries=[("T1", 0.1)])
    monkeypatch.setattr(rules_dwell, "crossing_between", lambda e, v, level, t, falling=False: (t, t))
    monkeypatch.setattr(rules_dwell, "fastest_in_band", lambda s, *more: [Span(0.0, 30.0), Span(70.0, 90.0)])
    assert rules_dwell._most(e, book_of(e), s) is outcome


@pytest.mark.parametrize(
    ("most", "outcome"), [(199.0, NO), (200.0, OPEN), (489.0, OPEN), (490.0, YES), (495.0, YES)]
)
def test_a_longest_dwell_that_ends_in_a_hole(most: float, outcome: Outcome) -> None:
    """In the band up to 200 s, 5 K below it at 500 s: with the blanket off for the last ten seconds alone."""
    e = shown([390.0, 390.0, 390.0, 380.0, 380.0], times=[0.0, 100.0, 200.0, 500.0, 510.0], gap=110.0)
    segment = dwell(dwell_least=limit(10.0), dwell_most=limit(most))
    s = stretch(segment, 0.001, 510.0, entries=[("T1", 0.001)])
    assert rules_dwell._most(e, book_of(e), s) is outcome


@pytest.mark.parametrize(("most", "outcome"), [(100.0, NO), (350.0, OPEN), (401.0, YES)])
def test_a_last_one_that_came_into_the_band_in_a_hole(most: float, outcome: Outcome) -> None:
    """The first at 100 s; the last between 200 and 500 s, by a straight line at 350 s."""
    times = [0.0, 100.0, 200.0, 500.0, 510.0]
    e = shown(
        [380.0, 385.0, 390.0, 390.0, 390.0], [300.0, 340.0, 380.0, 390.0, 390.0], times=times, gap=110.0
    )
    s = stretch(dwell(lag_most=limit(most)), 100.0, 510.0, entries=[("T1", 100.0), ("T2", 350.0)])
    assert rules_spread.judge_lag(e, book_of(e), s) is outcome


@pytest.mark.parametrize(
    ("depth", "span", "told"),
    [
        (0.99, 59.0, False),  # noise at the edge
        (1.0, 59.0, True),
        (0.99, 60.0, True),
        (1.0, 60.0, True),
    ],
)
def test_a_dip_below_the_band(depth: float, span: float, told: bool) -> None:
    e = shown([390.0, 390.0, 385.0 - depth, 390.0, 390.0], times=[0.0, 50.0, 130.0, 180.0, 200.0], gap=100.0)
    for open_end, open_start in ((False, False), (True, False), (False, True), (True, True)):
        s = stretch(
            dwell(),
            0.0,
            200.0,
            Span(0.0, 100.0, open_end=open_end),
            Span(100.0 + span, 200.0, open_start=open_start),
        )
        book = book_of(e)
        assert rules_dwell.interruptions(e, book, s) == []
        cut = open_end or open_start  # by a hole: nobody knows whether it dipped
        assert [f.code for f in book.findings] == [codes.BELOW_BAND.code] * (told and not cut)


@pytest.mark.parametrize(
    ("hole_one", "hole_two", "known"),
    [
        ((390.0, 390.0), (390.0, 390.0), [True, True]),
        ((390.0, 386.0), (390.0, 390.0), [False, True]),  # one of two could have fallen out of the band
        ((390.0, 390.0), (386.0, 390.0), [True, False]),
        ((386.0, 386.0), (390.0, 390.0), [False, True]),
    ],
)
def test_holes_in_which_nothing_can_have_left_the_band(
    hole_one: tuple[float, float],
    hole_two: tuple[float, float],
    known: list[bool],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Both thermocouples are not read from 20 to 100 s and from 100 to 180 s; in that time 3 K are lost."""
    monkeypatch.setattr(holes, "trough", lambda before, after, seconds: min(before, after) - 3.0)
    times = [0.0, 10.0, 20.0, 100.0, 180.0, 190.0, 200.0]
    couples = [
        [390.0, 390.0, one, 390.0, two, 390.0, 390.0] for one, two in zip(hole_one, hole_two, strict=True)
    ]
    e = shown(*couples, times=times, gap=25.0)
    assert e.known.tolist() == [True, True, False, False, True, True]
    _, found = holes.slowest_at_least(e, 385.0)
    assert found.tolist() == [True, True, *known, True, True]


# what the evidence is


def test_single_missing_readings_are_joined_and_longer_holes_are_not() -> None:
    values = [300.0, 310.0, NAN, 330.0, NAN, NAN, 360.0]
    e = shown(values, values)
    assert e.temps[:4, 0].tolist() == [300.0, 310.0, 320.0, 330.0]
    assert np.isnan(e.temps[4:6, 0]).all()
    assert np.isnan(e.lowest[4:6]).all()


def test_a_span_that_begins_with_the_log_begins_there() -> None:
    times, known = np.arange(4) * 10.0, np.ones(3, np.bool_)
    (found,) = spans.spans_above(times, np.array([390.0, 390.0, 380.0, 380.0]), 385.0, known)
    assert (found.start, found.open_start) == (0.0, False)
    assert found.end == pytest.approx(15.0, abs=1e-3)
    (found,) = spans.spans_above(times, np.array([380.0, 380.0, 390.0, 390.0]), 385.0, known)
    assert (found.end, found.open_end) == (30.0, False)
