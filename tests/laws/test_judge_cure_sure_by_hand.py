"""How far a part surely cured where its log has gaps, and how far it can have; a vacuum on its limit: by
hand."""

from __future__ import annotations

from types import SimpleNamespace as Made
from typing import Any

import numpy as np
import pytest

from judge_lines import limit, recipe
from judge_readings import book_of, shown
from judge_whole import NO, OPEN, YES
from panelmend.plan.judge import rules_sensors, rules_vacuum
from panelmend.plan.judge.recipe import VacuumRule
from panelmend.plan.judge.verdict import Outcome


@pytest.mark.parametrize(
    ("tops", "hottest"),
    [
        ({"dwell": {"band_high": limit(395.0)}}, 395.0),  # of one segment of three
        ({"ramp": {"ceiling": limit(400.0)}}, 400.0),
        ({"ceiling": limit(410.0)}, 410.0),
        ({}, 643.15),  # as hot as a bond line can be
    ],
)
def test_in_a_gap_a_part_was_no_hotter_than_its_data_allow(
    tops: Any, hottest: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[float | None] = []

    def cure(e: Any, resin: Any, most: float | None = None) -> tuple[str, float]:
        seen.append(most)
        return "T1", 0.95

    monkeypatch.setattr(rules_sensors, "cure_of_slowest", cure)
    e: Any = shown([390.0] * 3, times=[0.0, 100.0, 110.0])
    resin: Any = Made(glass=None)
    asked = recipe(degree_least=limit(0.9), **tops)
    assert rules_sensors.judge_cure(e, book_of(e), asked, resin)[0] is YES
    assert seen == [None, hottest]


@pytest.mark.parametrize(
    ("least", "outcome"),
    [(0.90, YES), (0.9001, OPEN), (0.95, OPEN), (0.9501, NO)],
)
def test_what_a_gap_leaves_open_cannot_be_judged(
    least: float, outcome: Outcome, monkeypatch: pytest.MonkeyPatch
) -> None:
    """0.9 is sure, and it can have come to 0.95."""
    monkeypatch.setattr(
        rules_sensors, "cure_of_slowest", lambda e, resin, most=None: ("T1", 0.95 if most else 0.9)
    )
    e: Any = shown([390.0] * 3, times=[0.0, 100.0, 110.0])
    resin: Any = Made(glass=None)
    assert rules_sensors.judge_cure(e, book_of(e), recipe(degree_least=limit(least)), resin)[0] is outcome


@pytest.mark.parametrize(
    ("value", "most", "least", "kind", "places", "words"),
    [
        (0.8999, 0.9509, 0.9, "ratio", 3, ("0.899 is", "least 0.900;", "to 0.950")),  # rounded down
        (380.0, 400.0, 390.0, "temperature", 1, ("106.9 C is", "least 116.9 C;", "to 126.9 C")),
        # by two thousandths of a kelvin less: with the digits to see it
        (390.048, 400.0, 390.05, "temperature", 1, ("116.898 C is", "least 116.900 C;", "to 126.9 C")),
    ],
)
def test_what_is_sure_and_what_can_have_been_in_words(
    value: float, most: float, least: float, kind: str, places: int, words: tuple[str, str, str]
) -> None:
    said = rules_sensors._sure_only("T1", value, most, least, kind, places)
    sure, asked, could = words
    assert said == f"T1 {sure} sure, {asked} in the gaps of the readings it can have come {could}"


# vacuum


@pytest.mark.parametrize(("pascal", "outcome"), [(75e3, YES), (74.999e3, NO)])
def test_a_vacuum_that_is_the_least_all_through_keeps_to_it(pascal: float, outcome: Outcome) -> None:
    e = shown([390.0] * 4, vacuum=[pascal] * 4)
    asked = recipe(vacuum=VacuumRule(limit(75e3)))
    assert rules_vacuum._level(e, book_of(e), asked, np.ones(4, np.bool_)) is outcome


@pytest.mark.parametrize(
    ("first", "second", "outcome", "told"),
    [
        (60e3, 60e3, YES, 60e3),
        (60e3, 59.9e3, NO, 59.9e3),
        (59.9e3, 60e3, NO, 59.9e3),
        (50e3, 55e3, NO, 50e3),
        (55e3, 50e3, NO, 50e3),
    ],
)
def test_of_two_dips_that_count_as_one_the_deeper_is_held(
    first: float, second: float, outcome: Outcome, told: float
) -> None:
    """Ten seconds each, ten apart, of which a minute in all may go down to 600 mbar."""
    e = shown([390.0] * 6, vacuum=[80e3, first, 80e3, second, 80e3, 80e3])
    book = book_of(e)
    asked = recipe(vacuum=VacuumRule(limit(75e3), dip_least=60e3, dip_longest=60.0))
    assert rules_vacuum._level(e, book, asked, np.ones(6, np.bool_)) is outcome
    assert [r.value for r in book.reasons] == [told]


@pytest.mark.parametrize(("gap", "outcome"), [(10.0, YES), (9.9, NO)])
def test_a_dip_is_seen_to_end_by_a_reading_no_further_than_a_gap(gap: float, outcome: Outcome) -> None:
    """The next is ten seconds later, and a minute is allowed of one that is seen to end."""
    e = shown([390.0] * 5, vacuum=[80e3, 80e3, 60e3, 80e3, 80e3], gap=gap)
    asked = recipe(vacuum=VacuumRule(limit(75e3), dip_least=60e3, dip_longest=60.0))
    assert rules_vacuum._level(e, book_of(e), asked, np.ones(5, np.bool_)) is outcome


@pytest.mark.parametrize(
    ("pascal", "words"),
    [
        (75e3, "22.1 inHg below ambient, least 22.1 inHg"),
        (74.99e3, "22.14 inHg below ambient, least 22.15 inHg"),
    ],
)
def test_a_vacuum_is_told_apart_from_its_least_where_it_is_too_low(pascal: float, words: str) -> None:
    """75,000 Pa by 3,386.389 Pa are 22.1475 inHg, 74,990 Pa 22.1445."""
    e = shown([390.0] * 4, vacuum=[pascal] * 4)
    book = book_of(e)
    rules_vacuum._level(e, book, recipe(vacuum=VacuumRule(limit(75e3))), np.ones(4, np.bool_))
    assert words in book.reasons[0].words


@pytest.mark.parametrize(
    ("pascal", "cooled", "asked"),
    [(80e3, True, 1), (70e3, True, 0), (80e3, False, 0), (70e3, False, 0)],
)
def test_how_the_vacuum_was_let_go_is_asked_where_it_held_until_all_had_cooled(
    pascal: float, cooled: bool, asked: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    called: list[float] = []

    def let_go(e: Any, book: Any, recipe: Any, end: float) -> Outcome:
        called.append(end)
        return YES

    monkeypatch.setattr(rules_vacuum, "heat_start", lambda e: 0.0)
    monkeypatch.setattr(rules_vacuum, "needed_until", lambda e, recipe, walked: (30.0, cooled))
    monkeypatch.setattr(rules_vacuum, "let_go_unread", let_go)
    e = shown([390.0] * 4, vacuum=[pascal] * 4)
    book = book_of(e)
    found = rules_vacuum.judge_vacuum(e, book, recipe(vacuum=VacuumRule(limit(75e3))), ())
    assert called == [30.0] * asked
    assert found is (NO if pascal < 75e3 else YES if cooled else OPEN)


@pytest.mark.parametrize(("gauge", "said"), [("absolute", "absolute"), ("", "not said")])
def test_how_the_gauge_of_a_leak_test_counts_is_told(gauge: str, said: str) -> None:
    assert f"gauge counts: {said}" in rules_vacuum._told(rules_vacuum.LeakReading(80e3, 79e3, 300.0, gauge))
