"""The vacuum is let go: where nobody can know that every place had cooled, the cure cannot be judged. Each
outcome is written by hand."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from judge_lines import limit, made, recipe
from judge_readings import book_of, shown
from judge_whole import NO, OPEN, YES
from made_curelog import INHG, Made
from panelmend.plan.judge import evidence, judge, rules_release
from panelmend.plan.judge.recipe import RecipeLimit, VacuumRule
from panelmend.plan.judge.verdict import Outcome, VerdictRecorder

HELD_TO = VacuumRule(limit(22.0 * INHG))


@pytest.mark.parametrize(
    ("last", "more", "outcome"),
    [
        (7000.0, {}, OPEN),  # 386 K; the vacuum is let go at 9450 s
        (7000.0, {"release_most": limit(330.0)}, OPEN),
        (9000.0, {"release_most": limit(326.0)}, YES),  # 325.5 K are read
        (9300.0, {}, OPEN),  # 316.5 K, the cool-down ends at 315
        (9360.0, {}, YES),
        (9360.0, {"release_most": limit(314.0)}, OPEN),
    ],
)
def test_vacuum_let_go_where_no_temperature_is_read_any_more_cannot_be_judged(
    last: float, more: dict[str, RecipeLimit], outcome: Outcome
) -> None:
    """It was told as a vacuum that failed, and as let go at the last reading's temperature, 41 min old."""
    m = made()
    m.temps[m.times > last] = np.nan
    verdict = judge(recipe(vacuum=HELD_TO, **more), m.log())
    assert verdict.outcome is outcome
    m.vacuum[(m.times > 5000.0) & (m.times < 5100.0)] = 0.0
    assert judge(recipe(vacuum=HELD_TO, **more), m.log()).outcome is NO, "while it was read hot"


@pytest.mark.parametrize(("rows", "outcome"), [(700, OPEN), (931, OPEN), (936, YES)])
def test_a_log_cut_before_the_vacuum_was_no_longer_needed_cannot_be_judged(
    rows: int, outcome: Outcome
) -> None:
    """Vacuum is needed until the hottest is at 315 K, at 9350 s; without a cool-down to the dwell's end."""
    m = made()
    cut = Made(m.times[:rows], m.temps[:rows], m.vacuum[:rows], m.set_point[:rows], m.names)
    verdict = judge(recipe(vacuum=HELD_TO), cut.log())
    assert verdict.outcome is outcome
    assert sum("until when it was needed" in r.words for r in verdict.reasons) == (outcome is OPEN)
    short = dataclasses.replace(recipe(vacuum=HELD_TO), segments=recipe().segments[:2])
    assert judge(short, cut.log()).outcome is YES


def _slow_to_cool(unread: tuple[float, float], let_go: float) -> Made:
    """T1 cools from 390 K at 6,850 s to 312 K at 10,200 s: at 315 K at 10,071 s, the four others at 9,350 s;
    T1 is not read between two moments, the vacuum is let go at a third."""
    m = made(sensors=5)
    m.times = np.arange(0.0, 11000.0, 10.0)
    way = np.interp(m.times, [600, 2850, 6850, 9500], [300, 390, 390, 310])
    m.temps = np.column_stack([way] * 5)
    m.temps[:, 0] = np.where(m.times > 6850, np.interp(m.times, [6850, 10200], [390, 312]), way)
    m.temps += np.random.default_rng(2).normal(0.0, 0.1, m.temps.shape) + np.array([0.0, -0.3, 0.0, 0.3, 0.2])
    m.temps[(m.times > unread[0]) & (m.times < unread[1]), 0] = np.nan
    m.vacuum = np.where(m.times < let_go, 24 * INHG + 5 * np.sin(m.times), 0.0)
    m.set_point = np.full(m.times.size, np.nan)
    return m


@pytest.mark.parametrize(
    ("unread", "let_go", "outcome"),
    [
        ((1e9, 1e9), 10100, Outcome.CONFORMS),  # all read, all cool
        ((1e9, 1e9), 9480, Outcome.DOES_NOT),  # T1 read at 329 K
        ((9000, 10150), 9480, Outcome.UNKNOWN),  # T1 not read then
        ((9000, 10150), 10300, Outcome.CONFORMS),  # read again, and cool, when it was let go
        ((9000, 1e9), 9480, Outcome.UNKNOWN),  # T1 lost at 340 K
        ((10160, 1e9), 10300, Outcome.CONFORMS),  # lost when it was cool
    ],
)
def test_vacuum_is_let_go_when_the_hottest_that_is_not_read_is_cool_too(
    unread: tuple[float, float], let_go: float, outcome: Outcome
) -> None:
    """Without a release temperature the vacuum is needed to the end of the cool-down, 315 K."""
    how = recipe(vacuum=VacuumRule(limit(22 * INHG)), cool={"target": 315.0})
    assert judge(how, _slow_to_cool(unread, let_go).log()).outcome is outcome


@pytest.mark.parametrize(("read", "outcome"), [(310.0, YES), (310.1, OPEN)])
@pytest.mark.parametrize("released", [False, True])
def test_how_hot_one_can_have_been_that_is_read_ten_seconds_later(
    read: float, outcome: Outcome, released: bool
) -> None:
    """It can have fallen by 0.5 K/s since; 315 K is cool enough, by the cool-down or by the data."""
    how = recipe(vacuum=VacuumRule(limit(70e3)), cool={"target": 300.0 if released else 315.0})
    how = dataclasses.replace(how, release_most=limit(315.0) if released else None)
    nan = float("nan")
    e = shown([300.0] * 4, [320.0, nan, nan, read], vacuum=[80e3, 80e3, 0.0, 0.0])
    book = book_of(e)
    assert rules_release.let_go_unread(e, book, how, 5.0) is outcome
    assert [r.sensor for r in book.reasons] == ["T2"] * (outcome is OPEN)


def test_without_a_release_temperature_and_a_cool_down_nothing_is_asked() -> None:
    how = recipe(vacuum=VacuumRule(limit(70e3)))
    assert rules_release.cool_enough(how) == 315.0
    assert rules_release.cool_enough(dataclasses.replace(how, segments=how.segments[:2])) is None
    assert rules_release.cool_enough(dataclasses.replace(how, release_most=limit(330.0))) == 330.0


@pytest.mark.parametrize("release", [None, limit(320.0)], ids=["cooled", "release"])
@pytest.mark.parametrize(
    ("unread", "from_", "outcome"),
    [
        (
            (9150, 9225),
            9400,
            Outcome.DOES_NOT,
        ),  # the others cool at 9150 to 9350 s; T1 is read hot after that
        ((9320, 9400), 9480, Outcome.DOES_NOT),
        ((9150, 9400), 10100, Outcome.CONFORMS),  # T1 cool at 10,071 s
    ],
)
def test_one_not_read_when_the_others_had_cooled_and_read_hot_after_that_was_hot(
    release: RecipeLimit | None, unread: tuple[float, float], from_: float, outcome: Outcome
) -> None:
    """Vacuum falls to 13 of 22 inHg from then on, and is let go when all are cool; a hole of a minute and a
    quarter made it conform."""
    m = _slow_to_cool(unread, 10200.0)
    m.vacuum[(m.times > from_) & (m.times < 10200)] = 13 * INHG
    more = {} if release is None else {"release_most": release}
    how = recipe(vacuum=VacuumRule(limit(22 * INHG)), cool={"target": 315.0}, **more)
    assert judge(how, m.log()).outcome is outcome


def test_one_read_cool_then_not_and_hot_when_the_vacuum_was_let_go_leaves_it_open() -> None:
    """T1 read at 314.9 K while others were hot, not read when they had cooled, 329 K when it was let go."""
    m = _slow_to_cool((1e9, 1e9), 9480.0)
    m.temps[(m.times > 9000) & (m.times < 9300), 0] = 314.9
    m.temps[(m.times >= 9300) & (m.times < 9420), 0] = np.nan
    how = recipe(vacuum=VacuumRule(limit(22 * INHG)), cool={"target": 315.0})
    e = evidence.gather(m.log())
    book = VerdictRecorder(e.log)
    end = float(e.times[np.flatnonzero((e.times > 6850.0) & (e.highest <= 315.0))[0]])
    assert 9300 < end < 9420
    assert rules_release.let_go_unread(e, book, how, end) is OPEN
    assert "T1 was not read when the others had cooled, and is read at 55" in book.reasons[0].words
    m.temps[m.times >= 9420, 0] = 314.9
    e = evidence.gather(m.log())
    assert rules_release.let_go_unread(e, VerdictRecorder(e.log), how, end) is YES


def _let_go(*couples: list[float], vacuum: list[float], most: float = 315.0) -> tuple[Outcome, list[str]]:
    """The rule on the release, at ten seconds a row; a gap is longer than 25 s."""
    how = dataclasses.replace(recipe(vacuum=VacuumRule(limit(70e3))), release_most=limit(most))
    e = shown(*couples, vacuum=vacuum)
    book = book_of(e)
    return rules_release.ends_released(e, book, how, (), 0.0), [r.words for r in book.reasons]


@pytest.mark.parametrize(("least", "outcome"), [(80e3, YES), (80.1e3, OPEN)])
def test_vacuum_that_stands_at_its_least_was_not_let_go(least: float, outcome: Outcome) -> None:
    nan = float("nan")
    how = recipe(vacuum=VacuumRule(limit(least)), cool={"target": 315.0})
    e = shown([300.0] * 4, [320.0, nan, nan, 320.0], vacuum=[80e3] * 4)
    assert rules_release.let_go_unread(e, book_of(e), how, 5.0) is outcome


@pytest.mark.parametrize(("end", "outcome"), [(19.0, OPEN), (20.0, YES)])
def test_vacuum_is_let_go_behind_the_end_not_at_it(end: float, outcome: Outcome) -> None:
    """At 20 s T2 is not read; at 30 s it is, and cool."""
    nan = float("nan")
    how = recipe(vacuum=VacuumRule(limit(70e3)), cool={"target": 315.0})
    e = shown([300.0] * 4, [320.0, nan, nan, 312.0], vacuum=[80e3, 80e3, 0.0, 0.0])
    assert rules_release.let_go_unread(e, book_of(e), how, end) is outcome


@pytest.mark.parametrize(("read", "outcome"), [(310.0, YES), (310.1, OPEN)])
def test_one_not_read_at_the_release_itself_may_have_been_exactly_as_hot_as_allowed(
    read: float, outcome: Outcome
) -> None:
    nan = float("nan")
    found, words = _let_go([300.0] * 4, [320.0, nan, nan, read], vacuum=[80e3, 80e3, 80e3, 0.0])
    assert found is outcome
    assert sum(w.startswith("T2 was not read when") for w in words) == (outcome is OPEN)


@pytest.mark.parametrize(
    ("rows", "read", "outcome"),
    [
        (2, 315.0, YES),  # 20 s before the vacuum is let go, as long as readings may stay out
        (2, 330.1, NO),  # read, and too hot 30 s later too, at 0.5 K/s
        (2, 330.0, OPEN),
        (3, 315.0, YES),  # 30 s: cool when it was last read
        (3, 315.1, OPEN),
    ],
)
def test_how_long_ago_the_hottest_was_read_when_the_vacuum_was_let_go(
    rows: int, read: float, outcome: Outcome
) -> None:
    nan = float("nan")
    temps = [330.0, 320.0, read, *[nan] * rows, nan]
    vacuum = [*[80e3] * (3 + rows), 0.0]
    assert _let_go(temps, temps, vacuum=vacuum)[0] is outcome


@pytest.mark.parametrize(("ago", "outcome"), [(25.0, NO), (25.1, OPEN)])
def test_readings_as_old_as_a_gap_are_no_gap(ago: float, outcome: Outcome) -> None:
    nan = float("nan")
    how = dataclasses.replace(recipe(vacuum=VacuumRule(limit(70e3))), release_most=limit(315.0))
    times = [0.0, 10.0, 10.0 + ago, 50.0]
    e = shown([345.0, 340.0, nan, nan], vacuum=[80e3, 80e3, 80e3, 0.0], times=times)
    assert rules_release._released(e, book_of(e), how, 2, 0.0) is outcome


def test_a_log_that_ends_under_vacuum_says_how_hot_it_was_then() -> None:
    nan = float("nan")
    assert _let_go([330.0] * 3, vacuum=[80e3] * 3) == (OPEN, ["the log ends under vacuum at 56.9 C"])
    assert _let_go([nan] * 3, vacuum=[80e3] * 3) == (OPEN, ["no readings"])
    assert _let_go([315.0] * 3, vacuum=[80e3] * 3)[0] is YES
    assert _let_go([315.1] * 3, vacuum=[80e3] * 3)[0] is OPEN
