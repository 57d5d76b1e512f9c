"""A log and its leak test belong to one bag: told times that could hold any log, tests of no known time."""

from __future__ import annotations

import dataclasses
import math
from datetime import datetime, timedelta

import numpy as np
import pytest

from made_curelog import INHG, made_cure
from panelmend.physics.thermocouple import Wire
from panelmend.plan.judge import LeakReading, Outcome, Verdict, judge
from panelmend.plan.judge import codes as c
from panelmend.plan.judge.faults_compare import told_apart_from
from panelmend.plan.judge.report import not_judged
from panelmend.plan.judge.rules_job import JobTimes, _warm
from recipe_curelog import LEAKY, RECIPE

# written out: a number taken from the code would move with it
SLACK, PUMP, BESIDE, GAUGES_APART = timedelta(minutes=1), timedelta(minutes=5), timedelta(hours=24), 5000.0


BEGUN = datetime(2026, 11, 25, 8)
MADE = made_cure(1, before=1200.0)
LOG = MADE.log()
FIRST, LAST = (BEGUN + timedelta(seconds=x) for x in _warm(LOG))
OPENED = BEGUN + timedelta(seconds=float(LOG.times[-1]) + 600.0)
SECOND = timedelta(seconds=1)
DRAWN = BEGUN + timedelta(seconds=float(LOG.times[np.argmax(MADE.vacuum >= 0.5 * MADE.vacuum.max())]))
UNTIL = BEGUN + timedelta(
    seconds=float(LOG.times[np.flatnonzero(MADE.vacuum >= 0.5 * MADE.vacuum.max())[-1]])
)
BLANK = tuple(
    dataclasses.replace(x, values=np.where(LOG.times < 900.0, np.nan, x.values)) if x.name == "Vacuum" else x
    for x in LOG.channels
)


def told(on: datetime, opened: datetime) -> str:
    """Why the log is not of this job, "" when it is."""
    verdict = judge(RECIPE, LOG, job=JobTimes(on, opened, "A. Reyes"))
    rows = [r for r in verdict.reasons if r.rule == "log of this job"]
    assert len(rows) == 1
    return "" if rows[0].outcome is Outcome.CONFORMS else f"{rows[0].code} {rows[0].words}"


def test_a_window_of_days_holds_any_log_and_is_asked_about() -> None:
    assert told(BEGUN, OPENED) == ""
    assert told(FIRST - BESIDE, OPENED) == ""
    early = told(FIRST - BESIDE - SECOND, OPENED)
    assert early.startswith(c.WINDOW.code)
    assert "ask for the true times" in early
    assert told(BEGUN, LAST + BESIDE) == ""
    assert told(BEGUN, LAST + BESIDE + SECOND).startswith(c.WINDOW.code)


def test_vacuum_in_the_log_outside_of_the_told_times_contradicts_them() -> None:
    assert told(DRAWN + PUMP, OPENED) == ""
    late = told(DRAWN + PUMP + SECOND, OPENED)
    assert late.startswith(c.WINDOW.code)
    assert f"the log shows vacuum from {DRAWN:%Y-%m-%d %H:%M} on" in late
    assert UNTIL - PUMP > LAST, "the vacuum is held past the heat"
    assert told(BEGUN, UNTIL - PUMP) == ""
    assert "the log shows vacuum until" in told(BEGUN, UNTIL - PUMP - SECOND)


def leak(at: datetime | None, start: float = 24.0, end: float = 23.5, **log: object) -> Verdict:
    reading = LeakReading(start * INHG, end * INHG, 60.0, at=at)
    return judge(
        LEAKY, dataclasses.replace(LOG, **log), leak=reading, job=JobTimes(BEGUN, OPENED, "A. Reyes")
    )


def why(verdict: Verdict) -> str:
    rows = [r for r in verdict.reasons if "leak test" in r.rule]
    assert len(rows) == 1
    return "" if rows[0].outcome is Outcome.CONFORMS else rows[0].words


def test_a_leak_test_counts_with_its_own_time_before_the_heat_of_this_bag() -> None:
    assert "nobody said when the pump was shut off" in why(leak(None))
    assert why(leak(BEGUN + timedelta(minutes=5))) == ""
    assert why(leak(BEGUN - SLACK, channels=BLANK)) == ""
    assert "before the vacuum of this bag" in why(leak(BEGUN - SLACK - SECOND, channels=BLANK))
    assert "the log shows 0.0 inHg" in why(leak(BEGUN - SLACK)), "the pump was not on yet"
    minute = timedelta(seconds=60)
    assert why(leak(FIRST + SLACK - minute)) == ""
    assert "after the heat was on" in why(leak(FIRST + SLACK - minute + SECOND))
    assert "after the bag was opened" in why(leak(OPENED + timedelta(hours=2)))
    years = why(leak(BEGUN - timedelta(days=400)))
    assert "made 2025-10-21 08:00" in years


def test_the_report_shows_when_the_pump_was_shut_off_and_no_line_of_the_log() -> None:
    verdict = leak(BEGUN + timedelta(minutes=5))
    row = next(r for r in verdict.reasons if "leak test" in r.rule)
    assert row.clock == "2026-11-25 08:05"
    assert row.line == 0
    assert math.isnan(row.time)
    assert "pump shut off 2026-11-25 08:05" in row.words
    nobody = next(r for r in leak(None).reasons if "leak test" in r.rule)
    assert (nobody.clock, nobody.line) == ("a time nobody said", 0)


def test_a_leak_test_that_the_log_contradicts_cannot_be_judged() -> None:
    """The logger's own vacuum at those minutes."""
    at = BEGUN + timedelta(minutes=5)
    near = np.abs(LOG.times - 300.0) <= 60.0
    most = float(MADE.vacuum[near].max() + GAUGES_APART) / INHG
    assert why(leak(at, most - 0.05, most - 0.06)) == ""
    assert "the log shows" in why(leak(at, most + 0.05, most + 0.04))
    assert why(leak(at, most + 0.05, most + 0.04, channels=BLANK)) == "", "no vacuum there to compare with"


@pytest.mark.parametrize("hours", [30, 100, 160])
def test_an_old_log_in_a_wide_window_does_not_conform(hours: int) -> None:
    """Six days between vacuum-on and opening: any cure of that week would fit."""
    verdict = judge(RECIPE, LOG, job=JobTimes(BEGUN - timedelta(hours=hours), OPENED, "A. Reyes"))
    assert verdict.outcome is Outcome.UNKNOWN


def test_the_report_says_which_thermocouple_types_the_heat_cannot_tell_apart() -> None:
    """By hand from NIST Monograph 175: J wire on a K input reads 1.27 of the rise at 121 C, T on K 1.08."""
    told = " ".join(x for x in not_judged(RECIPE, judge(RECIPE, LOG)) if "another type" in x)
    assert "T wire on a K input" in told
    assert "K wire on a T input" in told
    assert "J wire on a K" not in told
    assert 300.0 < told_apart_from(Wire.J, Wire.K) < 370.0
    assert told_apart_from(Wire.T, Wire.K) > 420.0
