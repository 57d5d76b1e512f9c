"""The logger's clock against a clock on the wall, and against the step it was set to."""

from __future__ import annotations

import dataclasses
from datetime import datetime, timedelta
from functools import cache

import numpy as np
import pytest

from made_curelog import made_cure
from panelmend.app.log_watch import set_to_of, watched_all, watched_of
from panelmend.errors import InputError
from panelmend.plan.judge import CureLog, Outcome, Verdict, judge
from panelmend.plan.judge import codes as c
from panelmend.plan.judge.report import not_judged
from panelmend.plan.judge.rules_clock import WatchedDwell
from panelmend.plan.judge.rules_job import JobTimes
from recipe_curelog import RECIPE

# written out: a number taken from the code would move with it
READ, LATE, EARLY = 120.0, 1200.0, 300.0
BEGUN = datetime(2026, 11, 25, 8)
NOON = datetime(2026, 11, 25, 12)
NAME = next(s.name for s in RECIPE.segments if s.dwell_least is not None)
LEAST = next(s.dwell_least.value for s in RECIPE.segments if s.dwell_least is not None)
LOG = made_cure(1).log()


def verdict_of(log: CureLog = LOG, seconds: float | None = None, set_to: float | None = None) -> Verdict:
    opened = BEGUN + timedelta(seconds=float(log.times[-1]) + 600.0)
    watched = () if seconds is None else (WatchedDwell(NAME, NOON, NOON + timedelta(seconds=seconds)),)
    return judge(RECIPE, log, job=JobTimes(BEGUN, opened, "A. Reyes", watched=watched, set_to=set_to))


@cache
def lasted() -> float:
    """The dwell by the log's own clock [s], from the slowest's entry to its end."""
    row = next(s for s in verdict_of().segments if s.kind == "dwell")
    low = next(s.band_low.value for s in RECIPE.segments if s.band_low is not None)
    temps = np.column_stack([x.values for x in LOG.channels if x.role.value == "thermocouple"])
    slowest = temps.min(axis=1)
    i = int(np.argmax(slowest >= low))
    entry = LOG.times[i - 1] + (LOG.times[i] - LOG.times[i - 1]) * (low - slowest[i - 1]) / (
        slowest[i] - slowest[i - 1]
    )
    return float(row.end - entry)


def outcome(seconds: float, log: CureLog = LOG) -> tuple[Outcome, str]:
    rows = [r for r in verdict_of(log, seconds).reasons if r.rule == "dwell by a watch"]
    assert len(rows) == 1
    return rows[0].outcome, rows[0].code


def stretched(log: CureLog, by: float) -> CureLog:
    """Stamps at steps ``by`` times as long, as a clock that runs fast gives."""
    return dataclasses.replace(log, times=log.times * by)


def test_nobody_compared_the_clock_and_the_verdict_says_so() -> None:
    verdict = verdict_of()
    assert verdict.outcome is Outcome.CONFORMS
    assert verdict.rests_on() == (
        f"the logger's clock, which nobody compared with a clock on the wall ({NAME})",
    )
    assert c.CLOCK_ALONE.code in {f.code for f in verdict.findings}
    assert any("nobody compared it" in x for x in not_judged(RECIPE, verdict))


def test_a_watch_that_agrees_takes_that_away() -> None:
    verdict = verdict_of(seconds=lasted() - 240.0)
    assert verdict.outcome is Outcome.CONFORMS
    assert verdict.rests_on() == ()
    assert c.CLOCK_ALONE.code not in {f.code for f in verdict.findings}
    left = not_judged(RECIPE, verdict)
    assert any("outside the dwells timed by a clock on the wall" in x for x in left)
    assert any("nobody said what the logger was set to" in x for x in left)


def test_a_short_dwell_under_stretched_stamps_conformed() -> None:
    """A dwell of five eighths of its least under stamps 1.6 times as far apart."""
    short = made_cure(1, dwell=1800.0).log()
    assert verdict_of(short).outcome is Outcome.DOES_NOT
    long = stretched(short, 1.6)
    assert verdict_of(long).outcome is Outcome.CONFORMS, "no reading shows it"
    real = (lasted() - 1800.0) + 60.0  # of the cure as it was, and a minute
    verdict = verdict_of(long, seconds=real)
    assert verdict.outcome is Outcome.UNKNOWN
    assert c.CLOCK_DIFFERS.code in {f.code for f in verdict.findings}
    assert any("too short" in r.words for r in verdict.against())


def test_the_least_by_the_watch_on_both_sides() -> None:
    assert lasted() > LEAST
    assert outcome(LEAST - READ)[0] is Outcome.CONFORMS, "a watch is read to the minute, twice"
    assert outcome(LEAST - READ - 1.0) == (Outcome.UNKNOWN, c.CLOCK_DIFFERS.code)


def test_the_longest_dwell_by_the_watch_on_both_sides() -> None:
    most = lasted() - 60.0
    limited = dataclasses.replace(
        RECIPE,
        segments=tuple(
            dataclasses.replace(s, dwell_least=dataclasses.replace(s.dwell_least, value=600.0),
                                dwell_most=dataclasses.replace(s.dwell_least, value=most))
            if s.dwell_least is not None else s
            for s in RECIPE.segments
        ),
    )  # fmt: skip

    def told(seconds: float) -> bool:
        watched = (WatchedDwell(NAME, NOON, NOON + timedelta(seconds=seconds)),)
        opened = BEGUN + timedelta(seconds=float(LOG.times[-1]) + 600.0)
        rows = judge(limited, LOG, job=JobTimes(BEGUN, opened, watched=watched)).reasons
        return any(r.rule == "dwell by a watch" and "too long" in r.words for r in rows)

    assert not told(most + READ)
    assert told(most + READ + 1.0)


def test_the_two_clocks_on_both_sides() -> None:
    fast = stretched(LOG, 1.2)
    real = 1.2 * lasted()
    assert real - LATE > LEAST
    assert outcome(real - LATE + 1.0, fast)[0] is Outcome.CONFORMS
    assert outcome(real - LATE - 1.0, fast) == (Outcome.UNKNOWN, c.CLOCK_DIFFERS.code)
    assert outcome(lasted() + EARLY - 1.0)[0] is Outcome.CONFORMS
    assert outcome(lasted() + EARLY + 1.0) == (Outcome.UNKNOWN, c.CLOCK_DIFFERS.code)


def step_told(log: CureLog, set_to: float) -> Outcome:
    rows = [r for r in verdict_of(log, set_to=set_to).reasons if r.rule == "step the logger was set to"]
    assert len(rows) == 1
    assert rows[0].code == ("" if rows[0].outcome is Outcome.CONFORMS else c.OTHER_STEP.code)
    return rows[0].outcome


def test_the_step_the_logger_was_set_to_on_both_sides() -> None:
    step = float(np.median(np.diff(LOG.times)))
    still = dataclasses.replace(LOG, stamp_step=0.0)
    assert step_told(still, step) is Outcome.CONFORMS
    assert step_told(still, step / 1.099) is Outcome.CONFORMS, "a tenth of what it was set to"
    assert step_told(still, step / 1.101) is Outcome.UNKNOWN
    assert step_told(still, step / 0.901) is Outcome.CONFORMS
    assert step_told(still, step / 0.899) is Outcome.UNKNOWN
    assert step_told(still, step / 2.0) is Outcome.UNKNOWN, (
        "stamps at twice their steps are no missing readings"
    )


def test_stamps_stretched_in_the_dwell_alone_are_told_by_the_step() -> None:
    short = made_cure(1, dwell=1800.0).log()
    step = float(np.median(np.diff(short.times)))
    temps = np.column_stack([x.values for x in short.channels if x.role.value == "thermocouple"])
    hot = np.flatnonzero(temps.min(axis=1) > temps.max() - 8.0)
    steps = np.diff(short.times)
    steps[hot[0] : hot[-1]] *= 1.6
    log = dataclasses.replace(short, times=np.concatenate([[0.0], np.cumsum(steps)]))
    assert verdict_of(log).outcome is Outcome.CONFORMS, "without what it was set to nothing shows it"
    assert step_told(log, step) is Outcome.UNKNOWN


@pytest.mark.parametrize(("share", "right"), [(0.049, Outcome.CONFORMS), (0.051, Outcome.UNKNOWN)])
def test_a_few_other_steps_are_let_pass(share: float, right: Outcome) -> None:
    """Steps of 1.2 times the usual over so much of the time from the heat to the end of the dwell."""
    step = float(np.median(np.diff(LOG.times)))
    rows = verdict_of().segments
    end = next(s for s in rows if s.kind == "dwell").end
    first = int(np.searchsorted(LOG.times, min(s.start for s in rows)))
    n = int(np.count_nonzero(LOG.times[first + 1 :] <= end))
    steps = np.diff(LOG.times)
    k = round(share * n / (1.2 - 0.2 * share))  # 1.2 k of n + 0.2 k
    steps[first + 5 : first + 5 + k] *= 1.2
    log = dataclasses.replace(LOG, times=np.concatenate([[0.0], np.cumsum(steps)]), stamp_step=0.0)
    assert step_told(log, step) is right


def test_how_a_watch_is_typed() -> None:
    day = watched_of("10:02; 12:06", ("dwell",))
    assert (day.name, day.seconds_long) == ("dwell", timedelta(hours=2, minutes=4))
    assert watched_of("23:30; 01:35", ("dwell",)).seconds_long == timedelta(hours=2, minutes=5), (
        "over midnight"
    )
    dated = watched_of("2026-11-25 23:30; 2026-11-26 01:35", ("dwell",))
    assert dated.seconds_long == timedelta(hours=2, minutes=5)
    two = ("dwell 1", "dwell 2")
    assert watched_of("dwell 2; 10:02; 12:06", two).name == "dwell 2"
    for text, names in (
        ("10:02; 12:06", two),
        ("dwell 3; 10:02; 12:06", two),
        ("10:02", ("dwell",)),
        ("ten; 12:06", ("dwell",)),
        ("10; 12", ("dwell",)),
        ("2026-11-25; 2026-11-26", ("dwell",)),
        ("10:02+02:00; 12:06", ("dwell",)),
        ("2026-11-25 10:02; 12:06", ("dwell",)),
        ("2026-11-25 12:06; 2026-11-25 10:02", ("dwell",)),
        ("2026-11-25 10:02; 2026-11-27 10:03", ("dwell",)),
        ("10:02; 12:06", ()),
    ):
        with pytest.raises(InputError):
            watched_of(text, names)
    with pytest.raises(InputError, match="twice"):
        watched_all(("dwell 1; 10:02; 12:06", "dwell 1; 10:03; 12:06"), two)


def test_how_a_step_is_typed() -> None:
    assert set_to_of("") is None
    assert set_to_of("1 min") == pytest.approx(60.0)
    assert set_to_of("60 min") == pytest.approx(3600.0)
    for text in ("0 s", "61 min", "soon"):
        with pytest.raises(InputError):
            set_to_of(text)
