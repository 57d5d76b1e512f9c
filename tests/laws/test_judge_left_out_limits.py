"""Rows left out, held against a limit: just on it, just beyond it, and of several which is told."""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np
import pytest

from judge_lines import limit, made, recipe
from judge_readings import book_of, dwell, shown, stretch
from panelmend.plan.judge import ChannelRole, Outcome, judge, rules_left_out
from panelmend.plan.judge import codes as c
from panelmend.plan.judge.log import Channel
from panelmend.plan.judge.recipe import RecipeSegment, SegmentKind, VacuumRule
from panelmend.plan.judge.spans import Span

TOP = 393.1  # K


def told(*temps: float) -> list[str]:
    """What is said (V645) of rows left out in the middle of the hold, each below a sample of the log."""
    log = made().log()
    hot = Channel("T2", ChannelRole.THERMOCOUPLE, "temperature", np.array(temps))
    log = dataclasses.replace(log, left_lines=log.lines[500 : 500 + len(temps)] + 1, left_out=(hot,))
    found = judge(recipe(dwell={"band_high": limit(TOP)}), log).findings
    return [f.words for f in found if f.code == c.LEFT_OUT.code]


@pytest.mark.parametrize(("kelvin", "said"), [(TOP, 0), (TOP + 5e-7, 0), (TOP + 2e-6, 1), (TOP + 5.0, 1)])
def test_a_reading_on_the_top_keeps_to_it(kelvin: float, said: int) -> None:
    assert len(told(kelvin)) == said


def test_of_several_the_hottest_is_told_with_its_line() -> None:
    log = made().log()
    for temps, row in (((396.0, 394.0, 395.0), 0), ((394.0, 396.0, 395.0), 1), ((394.0, 395.0, 396.0), 2)):
        (words,) = told(*temps)
        assert "T2 122.9 C, most 120.0 C" in words, words  # 396 and 393.1 K
        assert f"in line {int(log.lines[500 + row]) + 1}, which was left out" in words


def test_what_is_told_apart_from_the_top_has_the_digits_for_it() -> None:
    (words,) = told(TOP + 0.003)
    assert "119.953 C, most 119.950 C" in words, words


def test_of_several_the_least_vacuum_is_told_with_its_line() -> None:
    """750 mbar are asked; of the rows left out in the hold one is at 600 mbar."""
    log = made().log()
    for values, row in (((60e3, 80e3, 70e3), 0), ((80e3, 60e3, 70e3), 1), ((70e3, 80e3, 60e3), 2)):
        gauge = Channel("Vacuum", ChannelRole.VACUUM, "pressure", np.array(values))
        lines = log.lines[500:503] + 1
        changed = dataclasses.replace(log, left_lines=lines, left_out=(gauge,))
        found = judge(recipe(vacuum=VacuumRule(limit(75e3))), changed).findings
        (words,) = [f.words for f in found if f.code == c.LEFT_OUT.code]
        assert f"in line {int(lines[row])}, which was left out" in words, words


# when a row may have been read, and by what


def held(name: str, value: float, *, since: float, until: float, **more: Any) -> Outcome:
    """Of a row read between 20 s and 30 s, against 393 K, or so little vacuum, asked for a time [s]."""
    e = shown([390.0] * 5, [390.0] * 5)
    role, kind = (
        (ChannelRole.THERMOCOUPLE, "temperature") if name[0] == "T" else (ChannelRole.VACUUM, "pressure")
    )
    out = (Channel(name, role, kind, np.array([value])),)
    e = dataclasses.replace(
        e, log=dataclasses.replace(e.log, left_lines=np.array([3], np.int32), left_out=out)
    )
    asked = rules_left_out._Asked("any", limit(393.0), since, until)
    return rules_left_out._held(e, book_of(e), asked, np.array([20.0]), np.array([30.0]), **more)


@pytest.mark.parametrize(
    ("since", "until", "outcome"),
    [
        (0.0, 20.0, Outcome.UNKNOWN),  # it may have been read at the very end of that
        (0.0, 19.9, Outcome.CONFORMS),
        (30.0, 90.0, Outcome.UNKNOWN),
        (30.1, 90.0, Outcome.CONFORMS),
    ],
)
def test_a_row_is_held_to_what_is_asked_of_a_time_it_can_belong_to(
    since: float, until: float, outcome: Outcome
) -> None:
    assert held("T1", 400.0, since=since, until=until) is outcome


@pytest.mark.parametrize(("value", "outcome"), [(85e3, Outcome.CONFORMS), (84.9e3, Outcome.UNKNOWN)])
def test_a_vacuum_that_is_the_least_keeps_to_it(value: float, outcome: Outcome) -> None:
    assert held("VAC", value, since=0.0, until=90.0, least=np.array([85e3])) is outcome


@pytest.mark.parametrize(
    ("before", "working", "works"),
    [
        (-np.inf, [True, False, False], True),  # above the first sample: that one alone is beside it
        (-np.inf, [False, True, True], False),
        (0.0, [True, False, False], True),
        (0.0, [False, True, False], True),
        (0.0, [False, False, True], False),
        (20.0, [False, False, True], True),  # below the last
        (20.0, [True, True, False], False),
    ],
)
def test_a_thermocouple_works_at_the_sample_before_or_at_the_one_after(
    before: float, working: list[bool], works: bool
) -> None:
    """Samples at 0, 10 and 20 s."""
    e = shown([390.0] * 3, [390.0] * 3)
    flags = np.ones((3, 2), np.bool_)
    flags[:, 1] = working
    after = {-np.inf: 0.0, 0.0: 10.0, 20.0: np.inf}[before]
    e = dataclasses.replace(e, working=flags)
    assert rules_left_out._works(e, "T2", np.array([before]), np.array([after])).tolist() == [works]


def test_the_top_of_a_dwell_is_asked_until_its_heat_ends_and_that_of_a_ramp_in_it() -> None:
    """At 390 K until 40 s, and then 300 K: the dwell, in its band until 20 s by its slowest, ends at 25 s."""
    e = shown([390.0] * 5 + [300.0] * 5, [390.0] * 3 + [300.0] * 7)
    top = {"ceiling": limit(395.0)}
    ramp = RecipeSegment("up", SegmentKind.RAMP, 390.0, **top)

    def until(segment: RecipeSegment, *spans: Span) -> list[float]:
        made = stretch(segment, 0.0, 25.0, *spans)
        return [x.end for x in rules_left_out._tops_asked(e, recipe(), (made,))]

    assert until(dwell(**top), Span(0.0, 20.0)) == [40.0]
    assert until(dwell(**top)) == [25.0], "the slowest never came into its band"
    assert until(ramp, Span(0.0, 20.0)) == [25.0]
