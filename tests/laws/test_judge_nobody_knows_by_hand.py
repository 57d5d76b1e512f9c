"""What nobody knows, and what was never there: the vacuum let go between two rows, inputs without a
thermocouple, thermocouples taken off when all was done, and two dwells of one target. Each outcome is written
by hand."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from judge_lines import limit, made, recipe
from judge_whole import NO, OPEN, YES
from made_curelog import INHG, Made
from panelmend.plan.judge import SensorRule, codes, judge
from panelmend.plan.judge.recipe import VacuumRule
from panelmend.plan.judge.report import not_judged
from panelmend.plan.judge.said import lengths_apart
from panelmend.plan.judge.verdict import Outcome

HELD = VacuumRule(limit(22.0 * INHG))


def _sparse(step: int, let_go: float) -> Made:
    """Every so many rows of a cure that cools by 0.03 K/s from 390 K at 6850 s."""
    m = made()
    m.vacuum = np.where(m.times < let_go, 24.0 * INHG + 5.0 * np.sin(m.times / 9.0), 0.0)
    return Made(m.times[::step], m.temps[::step], m.vacuum[::step], m.set_point[::step], m.names)


@pytest.mark.parametrize(
    ("let_go", "most", "outcome"),
    [
        # rows at 9000 s, 325.5 K, and at 9300 s, 316.5 K
        (9200.0, 320.0, OPEN),
        (9200.0, 326.0, YES),
        (9200.0, 316.0, NO),
    ],
)
def test_a_vacuum_let_go_between_two_rows_of_which_the_next_is_cool_cannot_be_judged(
    let_go: float, most: float, outcome: Outcome
) -> None:
    how = recipe(vacuum=HELD, release_most=limit(most), longest_gap=400.0)
    verdict = judge(how, _sparse(30, let_go).log())
    assert verdict.outcome is outcome
    words = [r.words for r in verdict.reasons if "between them is not shown" in r.words]
    assert len(words) == (outcome is OPEN)
    assert all(x.startswith("52.3 C at the last reading with the vacuum, 43.4 C at the first") for x in words)


@pytest.mark.parametrize("fill", [np.nan, 1643.15], ids=["empty", "open"])
@pytest.mark.parametrize(
    ("least", "may_fail", "default", "outcome"),
    [
        (4, 0, False, YES),  # the data's least is met without it
        (4, 0, True, OPEN),  # no least in the data
        (5, 0, False, NO),  # four worked, whatever the fifth was
    ],
)
def test_an_input_that_never_reads_was_not_lost(
    fill: float, least: int, may_fail: int, default: bool, outcome: Outcome
) -> None:
    m = made(sensors=5)
    m.temps += np.random.default_rng(4).normal(0.0, 0.1, m.temps.shape)
    m.temps[:, 4] = fill
    how = dataclasses.replace(recipe(), sensors=SensorRule(least, "t", may_fail=may_fail, default=default))
    verdict = judge(how, m.log())
    assert verdict.outcome is outcome
    if outcome is YES:
        row = next(r for r in verdict.reasons if r.rule == "thermocouples lost")
        assert row.words == (
            "0 lost, most 0; T5: no reading in the whole log, as of an input without a thermocouple"
        )
    m.temps[:300, 4] = m.temps[:300, 3] + 0.05
    assert judge(how, m.log()).outcome is NO, "it read, and was lost"


@pytest.mark.parametrize(
    ("at", "to", "let_go", "outcome"),
    [
        (10500.0, 302.0, 10400.0, YES),  # cool from 9350 s on: 308 K, then as at the start
        (10500.0, 302.0, 11000.0, OPEN),  # under vacuum
        (10500.0, 280.0, 10400.0, OPEN),  # colder than it ever was
        (9000.0, 300.0, 8990.0, NO),  # the vacuum let go too soon
    ],
)
def test_thermocouples_taken_off_when_all_was_done_leave_nothing_open(
    at: float, to: float, let_go: float, outcome: Outcome
) -> None:
    m = made()
    m.temps[m.times > 9400.0] += 12.0  # what is left of the heat: 322 K
    m.temps[m.times > 9400.0] += np.random.default_rng(4).normal(0.0, 0.1, m.temps[m.times > 9400.0].shape)
    m.temps[m.times >= at] = to
    m.temps += np.arange(4) * 1e-3
    m.vacuum = np.where(m.times < let_go, 24.0 * INHG + 5.0 * np.sin(m.times / 9.0), 0.0)
    verdict = judge(recipe(vacuum=HELD, cool={"target": 325.0}), m.log())
    assert any(f.code == codes.JUMPED.code for f in verdict.findings)
    assert verdict.outcome is outcome


def test_two_dwells_of_one_target_cannot_be_told_apart() -> None:
    """It was said that the second was never reached."""
    up, hold, down = recipe().segments
    parts = tuple(dataclasses.replace(hold, name=n, dwell_least=limit(1800.0)) for n in ("a", "b"))
    verdict = judge(dataclasses.replace(recipe(), segments=(up, *parts, down)), made().log())
    assert verdict.outcome is OPEN
    assert [(r.segment, r.words) for r in verdict.against()] == [
        ("b", "the dwell before it has the same target: no reading shows where it begins")
    ]
    assert next(r for r in verdict.segments if r.name == "down").end == pytest.approx(9350.0, abs=15.0)


def test_the_way_down_between_two_dwells_is_told_as_not_judged() -> None:
    up, hold, down = recipe().segments
    low = dataclasses.replace(hold, name="low", target=360.0, band_low=limit(355.0))
    verdict = judge(recipe(), made().log())
    told = "low, rate of the way down to it from hold: the data gives no segment for it"
    for segments, said in (((up, hold, low, down), True), ((up, low, hold, down), False)):
        how = dataclasses.replace(recipe(), segments=segments)
        assert (told in not_judged(how, verdict)) is said


def test_a_clock_set_back_is_told_at_its_jump() -> None:
    m = made()
    m.times[600:] -= 3600.0
    verdict = judge(recipe(), m.log())
    row = next(r for r in verdict.reasons if r.rule == "order of time")
    assert row.time == next(float(t) for t in m.times[600:601])


@pytest.mark.parametrize(
    ("shown", "asked", "words"),
    [
        (86399.0, 86400.0, ("23.9997 h", "24.0000 h")),
        (86340.0, 86400.0, ("1439 min", "24.0 h")),
        (7199.999, 7200.0, ("7199.999 s", "7200.000 s")),
        (7199.999998, 7200.0, ("7199.999998 s", "7200.000000 s")),
    ],
)
def test_two_times_that_are_not_alike_are_told_apart(
    shown: float, asked: float, words: tuple[str, str]
) -> None:
    assert lengths_apart(shown, asked) == words
