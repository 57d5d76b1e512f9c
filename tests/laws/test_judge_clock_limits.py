"""Every limit of the rules on a watch and on the logger's step, at it and one step beside it."""

from __future__ import annotations

from datetime import datetime, timedelta
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from made_curelog import made_cure
from panelmend.errors import InputError
from panelmend.plan.judge import Outcome, SegmentKind
from panelmend.plan.judge.rules_clock import WatchedDwell, _compared, _steps
from panelmend.plan.judge.verdict import VerdictRecorder

NOON = datetime(2026, 11, 25, 12)
LOG = made_cure(1).log()
GOOD, OPEN = Outcome.CONFORMS, Outcome.UNKNOWN


def watched(seconds: float) -> WatchedDwell:
    return WatchedDwell("dwell", NOON, NOON + timedelta(seconds=seconds))


def test_a_dwell_by_a_watch_takes_more_than_no_time_and_two_days_at_most() -> None:
    two = 2 * 86400.0
    assert watched(1.0).seconds_long == timedelta(seconds=1)
    assert watched(two).seconds_long == timedelta(days=2)
    for seconds in (0.0, -1.0, two + 1.0):
        with pytest.raises(InputError, match="ends after it begins"):
            watched(seconds)


def compared(by_watch: float, by_log: float, least: float | None = None, most: float | None = None) -> Any:
    def bound(x: float | None) -> Any:
        return None if x is None else SimpleNamespace(value=x)

    segment = SimpleNamespace(name="dwell", dwell_least=bound(least), dwell_most=bound(most))
    spans = (SimpleNamespace(start=500.0),)
    s: Any = SimpleNamespace(segment=segment, spans=spans, start=0.0, end=500.0 + by_log)
    book = VerdictRecorder(LOG)
    _compared(book, s, watched(by_watch), "a watch")
    (row,) = book.reasons
    return row.outcome, row.words.rpartition("; ")[2]


@pytest.mark.parametrize(
    ("by_watch", "by_log", "least", "most", "outcome", "words"),
    [
        (3480.0, 3600.0, 3600.0, None, GOOD, ""),
        (3479.0, 3600.0, 3600.0, None, OPEN, "too short"),
        (6120.0, 6000.0, None, 6000.0, GOOD, ""),
        (6121.0, 6000.0, None, 6000.0, OPEN, "too long"),
        (3600.0, 4800.0, None, None, GOOD, ""),
        (3600.0, 4801.0, None, None, OPEN, "ran ahead"),
        (3900.0, 3600.0, None, None, GOOD, ""),
        (3901.0, 3600.0, None, None, OPEN, "ran slow"),
    ],
)
def test_a_watch_on_both_sides_of_each_limit(
    by_watch: float, by_log: float, least: float | None, most: float | None, outcome: Outcome, words: str
) -> None:
    told, why = compared(by_watch, by_log, least, most)
    assert told is outcome
    assert words in why


def step(
    times: list[float] | np.ndarray,
    set_to: float,
    stamp: float = 0.0,
    ends: tuple[float, ...] = (),
    heat: float = 0.0,
) -> Outcome:
    at = np.asarray(times, float)
    e: Any = SimpleNamespace(times=at, log=SimpleNamespace(stamp_step=stamp))
    book = VerdictRecorder(LOG)
    dwell = SimpleNamespace(kind=SegmentKind.DWELL)
    walked: Any = [SimpleNamespace(found=True, segment=dwell, start=heat, end=x) for x in ends]
    walked.append(SimpleNamespace(found=False, segment=dwell, start=0.0, end=1e9))
    _steps(book, e, walked, set_to, "set")
    (row,) = book.reasons
    return row.outcome


def steps(*each: tuple[int, float]) -> np.ndarray:
    """Times from so many steps of so many seconds, one group after another."""
    return np.concatenate([[0.0], np.cumsum(np.concatenate([np.full(n, s) for n, s in each]))])


def test_a_twentieth_of_the_time_at_other_steps_and_a_tenth_of_a_step() -> None:
    assert step(steps((95, 1.0), (1, 5.0)), 1.0) is GOOD
    assert step(steps((95, 1.0), (1, 5.1)), 1.0) is OPEN
    assert step(steps((50, 33.0)), 30.0) is GOOD
    assert step(steps((50, 33.1)), 30.0) is OPEN
    assert step(steps((50, 27.0)), 30.0) is GOOD
    assert step(steps((50, 26.9)), 30.0) is OPEN


def test_only_the_time_to_the_end_of_the_last_dwell_counts_and_all_of_that() -> None:
    late = steps((50, 10.0), (1, 40.0))
    assert step(late, 10.0, ends=(500.0,)) is GOOD
    assert step(late, 10.0, ends=(500.0, 200.0)) is GOOD
    assert step(late, 10.0, ends=(200.0, 540.0)) is OPEN, "a reading at the very end is in it"
    assert step(late, 10.0, ends=(540.0, 200.0)) is OPEN
    assert step(late, 10.0) is OPEN, "no dwell: the whole log"


def test_stamps_of_whole_minutes_are_blurred_over_as_many_readings_as_it_takes() -> None:
    def minutes(seconds: float, count: int = 400) -> np.ndarray:
        return 60.0 * np.floor(seconds * np.arange(count) / 60.0)

    assert step(minutes(30.0), 30.0, 60.0) is GOOD
    assert step(minutes(31.0), 30.0, 60.0) is GOOD, "means of 30 and 33 s: a digit of the stamp, and a tenth"
    assert step(minutes(30.0, 50), 30.0, 60.0) is GOOD, "and no more readings than that"
    assert step(minutes(45.0), 30.0, 60.0) is OPEN
    assert step(minutes(20.0), 30.0, 60.0) is OPEN


def test_what_cannot_be_compared_does_not_conform() -> None:
    """Too few readings for stamps so coarse: it was said that the stamps lie so far apart."""
    assert step([0.0], 10.0) is OPEN
    assert step(60.0 * np.arange(100), 1.0, 60.0) is OPEN


def test_a_cold_day_before_the_heat_thins_nothing() -> None:
    """A stretched dwell of an hour was less than a twentieth of a log that began the day before."""
    log = steps((8640, 10.0), (200, 16.0))
    assert step(log, 10.0, ends=(float(log[-1]),), heat=86400.0) is OPEN
    assert step(log, 10.0, ends=(86400.0,), heat=86000.0) is GOOD
    assert step(steps((100, 3.0), (50, 10.0)), 10.0, ends=(800.0,), heat=300.0) is GOOD, "what is before"
