"""Numbers in a log that are no readings: codes such as 9999, rows newest first, a gauge that stands."""

from __future__ import annotations

import dataclasses
from dataclasses import replace

import numpy as np
import pytest

from made_curelog import INHG, Made, made_cure
from panelmend.app.log_answers import Request
from panelmend.app.logs import _answered
from panelmend.curelog.readas import ColumnAs, ReadAs, TimeAs
from panelmend.plan.judge import ChannelRole, Outcome, find_faults, judge
from panelmend.plan.judge import codes as c
from panelmend.plan.judge.no_readings import no_temperature, no_vacuum
from panelmend.plan.judge.order import times_in_order
from recipe_curelog import RECIPE, f

# written out: a number taken from the code would move with it
HOTTEST, NO_AIR = 2093.15, 120000.0


def cure(step: float = 10.0) -> tuple[Made, int]:
    """A cure and a row in its dwell."""
    made = made_cure(3, step=step)
    return made, int(np.argmax(made.temps.min(axis=1) > f(240))) + 10


@pytest.mark.parametrize("code", [9999.0, -9999.0])
@pytest.mark.parametrize(("rows", "outcome"), [(5, Outcome.CONFORMS), (6, Outcome.UNKNOWN)])
def test_a_code_in_every_thermocouple_is_a_hole_and_no_part_that_is_not_cured(
    code: float, rows: int, outcome: Outcome
) -> None:
    made, at = cure()
    made.temps[at : at + rows] = code + 273.15
    found = judge(RECIPE, made.log())
    assert found.outcome is outcome
    assert {x.code for x in found.findings} - {c.UNKNOWN.code} == {c.BLANK.code}


def test_one_value_of_all_beyond_what_a_part_reads_is_a_code_and_different_ones_are_not() -> None:
    made, at = cure()
    made.temps[at : at + 3] = 999.9 + 273.15
    assert {x.finding.code for x in find_faults(made.log())} == {c.BLANK.code}
    made.temps[at, 0] += 0.1
    assert c.OPEN.code in {x.finding.code for x in find_faults(made.log())}


@pytest.mark.parametrize("code", [9999.0, -9999.0])
@pytest.mark.parametrize(("rows", "outcome"), [(5, Outcome.CONFORMS), (6, Outcome.UNKNOWN)])
def test_a_code_of_the_gauge_is_neither_the_best_vacuum_nor_none(
    code: float, rows: int, outcome: Outcome
) -> None:
    """A few rows of 9999 inHg conformed as vacuum, of -9999 inHg failed as none."""
    made, at = cure()
    made.vacuum[at : at + rows] = code * INHG
    found = judge(RECIPE, made.log())
    assert found.outcome is outcome
    assert {x.code for x in found.findings} - {c.UNKNOWN.code} == {c.V_MISSING.code}


def test_limits_of_a_temperature_that_is_one() -> None:
    values = np.array([0.0, -0.1, HOTTEST, HOTTEST + 0.1, np.nan])
    assert no_temperature(values).tolist() == [False, True, False, True, False]


def test_limits_of_a_vacuum_that_is_one() -> None:
    vacuum = 80e3 + np.arange(100.0)
    for inside, outside in ((NO_AIR, NO_AIR + 1.0), (-NO_AIR, -NO_AIR - 1.0)):
        assert [no_vacuum(np.append(vacuum, x))[-1] for x in (inside, outside)] == [False, True]
    assert no_vacuum(np.append(vacuum, 100.5e3), 100e3)[-1]
    few = np.concatenate([vacuum, 9e5 + np.arange(2.0)])
    assert no_vacuum(few).sum() == 2
    assert not no_vacuum(np.concatenate([vacuum, 9e5 + np.arange(3.0)])).any(), "a wrong unit"
    assert no_vacuum(np.concatenate([vacuum, np.full(99, 9e5)])).sum() == 99
    assert not no_vacuum(np.concatenate([vacuum, np.full(100, 9e5)])).any()


@pytest.mark.parametrize(("rows", "outcome"), [(5, Outcome.CONFORMS), (6, Outcome.UNKNOWN)])
def test_cells_of_the_gauge_that_are_missing_count_as_rows_that_are(rows: int, outcome: Outcome) -> None:
    """Readings a minute apart count as unbroken, whether the row is missing or its cell."""
    made, at = cure()
    made.vacuum[at : at + rows] = np.nan
    assert judge(RECIPE, made.log()).outcome is outcome


def test_who_answered_how_a_log_is_read_and_what_was_taken_as_suggested() -> None:
    how = ReadAs("text", TimeAs((0,), "clock"), (ColumnAs(1, "T", ChannelRole.THERMOCOUPLE),), 2)
    asked = Request(by="C. Oda")
    assert _answered(replace(how, by="B. Ito"), asked) == "B. Ito"
    assert _answered(how, asked) == "nobody by name; taken over by C. Oda, who judged"
    told = replace(how, suggested=("sense of V", "comma"))
    assert _answered(told, Request()) == "not said; as suggested: sense of V, comma"
    assert ReadAs.from_json(told.to_json()).suggested == told.suggested


def turned(made: Made) -> Made:
    return dataclasses.replace(made, times=made.times[::-1], temps=made.temps[::-1], vacuum=made.vacuum[::-1])


def test_a_log_written_newest_first_is_said_once_with_its_order_and_not_judged() -> None:
    made, _ = cure(30.0)
    found = judge(RECIPE, turned(made).log())
    assert found.outcome is Outcome.UNKNOWN
    (said,) = [x for x in found.findings if x.code != c.UNKNOWN.code]
    n = made.times.size
    assert said.code == c.NEWEST_FIRST.code
    assert f"times fall in {n - 1} of {n - 1} steps" in said.words
    assert "08:00:00 in line 1 to 2026-11-25 05:" in said.words


def test_a_log_is_newest_first_where_more_than_half_of_its_steps_fall() -> None:
    made, _ = cure(60.0)
    log = made.log()
    for steps, first in (([-10.0, -10.0, 10.0], True), ([-10.0, -10.0, 10.0, 10.0], False)):
        times = 1e4 + np.cumsum(np.array([0.0, *steps]))
        few = dataclasses.replace(
            log, times=times, channels=(), lines=np.arange(1, times.size + 1, dtype=np.int32)
        )
        told = {x.finding.code for x in times_in_order(few).faults}
        assert (c.NEWEST_FIRST.code in told) is first


@pytest.mark.parametrize(("before", "outcome"), [(0, Outcome.UNKNOWN), (1, Outcome.DOES_NOT)])
def test_a_gauge_that_stands_still_low_says_nothing_of_how_long_it_was_low(
    before: int, outcome: Outcome
) -> None:
    """ "60 s too low" was printed of the one reading at which it began to stand still."""
    made, at = cure(60.0)
    made.vacuum[at - before : at + 25] = 68e3 + 10.0 * np.arange(25 + before)[::-1]
    made.vacuum[at : at + 25] = 68e3
    found = judge(RECIPE, made.log())
    (words,) = [x.words for x in found.against() if x.rule == "vacuum"]
    assert found.outcome is outcome
    assert "60 s" not in words
    assert "not shown" in words


@pytest.mark.parametrize("by", [3600.0, -3600.0, 365 * 86400.0, -365 * 86400.0])
@pytest.mark.parametrize("late", [False, True])
def test_a_clock_set_by_an_hour_or_a_year_on_the_way_does_not_make_a_dwell_long_enough(
    by: float, late: bool
) -> None:
    made = made_cure(7, step=60.0, dwell=2400.0)
    at = int(np.argmax(made.temps.min(axis=1) > f(240))) + (20 if late else -10)
    made.times = made.times + np.where(np.arange(made.times.size) >= at, by, 0.0)
    assert judge(RECIPE, made.log()).outcome is not Outcome.CONFORMS


@pytest.mark.parametrize("step", [30.0, 60.0, 120.0])
def test_a_dwell_that_just_misses_does_not_conform_however_far_apart_the_rows_are(step: float) -> None:
    """3600 s and 3570 s between the crossings of the band's low end, as a row each second shows them."""
    for dwell, outcome in ((2491.0, Outcome.CONFORMS), (2460.0, Outcome.DOES_NOT)):
        assert judge(RECIPE, made_cure(9, step=step, dwell=dwell, noise=0.0).log()).outcome is outcome
