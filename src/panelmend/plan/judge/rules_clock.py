"""Whether the logger's clock ran at the right rate: against a clock on the wall, against the interval it was
set to.

No reading shows how fast a clock ran. The times of a dwell written down from another clock do, and so does
the interval that the logger was set to, where stamps were rewritten.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from panelmend.errors import InputError
from panelmend.plan.judge import codes
from panelmend.plan.judge.evidence import Evidence
from panelmend.plan.judge.fault import length
from panelmend.plan.judge.recipe import SegmentKind
from panelmend.plan.judge.rule_names import RuleName
from panelmend.plan.judge.said import show
from panelmend.plan.judge.verdict import Outcome, VerdictRecorder
from panelmend.plan.judge.walk import Stretch

# common practice, no source, all:
TO_THE_MINUTE = 120.0  # s: a watch is read to the minute, twice
SEEN_LATE = 1200.0  # s that a dwell of the log may be longer: seen late, ended when the heat is taken off
SEEN_EARLY = 300.0  # s that it may be shorter
STEP_SHARE = 0.1  # of the step a logger was set to
OTHER_STEPS = 0.05  # of the time from the heat to the end of the last dwell
LONGEST_DWELL = timedelta(days=2)


@dataclass(frozen=True)
class WatchedDwell:
    """A dwell by a watch on the wall: its ``name``, when the slowest was in the band (``began``) and when it
    was ended; the watch need not agree with the clock of the log."""

    name: str
    began: datetime
    ended: datetime

    def __post_init__(self) -> None:
        if not timedelta(0) < self.seconds_long <= LONGEST_DWELL:
            raise InputError(
                "a dwell timed by a clock on the wall ends after it begins",
                where=self.name,
                read=f"{self.began} to {self.ended}",
                expected=f"the end later, within {LONGEST_DWELL.days} days",
            )

    @property
    def seconds_long(self) -> timedelta:
        """How long it lasted by the watch."""
        return self.ended - self.began


def judge_clock(
    book: VerdictRecorder,
    e: Evidence,
    walked: Sequence[Stretch],
    watched: tuple[WatchedDwell, ...],
    set_to: float | None,
    by: str,
) -> tuple[str, ...]:
    """Compare each dwell with the times from a clock on the wall, and the intervals of the log with the one
    that the logger was set to.

    Args:
        book: where the rules are entered.
        e: what the log shows.
        walked: where the segments lie in it.
        watched: dwells by a watch on the wall.
        set_to: the time between readings that the logger was set to [s]; None where nobody said.
        by: who said so.

    Returns:
        Dwells of which nobody compared the time, by name.
    """
    said = f", said by {by}" if by else ""
    dwells = [s for s in walked if s.segment.kind is SegmentKind.DWELL and s.found]
    times = {w.name: w for w in watched}
    for s in dwells:
        if s.segment.name in times:
            _compared(book, s, times[s.segment.name], f"a clock on the wall{said}")
    if set_to is not None:
        _steps(book, e, walked, set_to, f"what the logger was set to{said}")
    return tuple(s.segment.name for s in dwells if s.segment.name not in times)


def _compared(book: VerdictRecorder, s: Stretch, watch: WatchedDwell, place: str) -> None:
    lasted = watch.seconds_long.total_seconds()
    begin = s.spans[0].start if s.spans else s.start
    here = s.end - begin
    both = (
        f"{_whole_minutes(lasted)} by the clock on the wall, {_whole_minutes(here)} by the log's clock, from "
        "the slowest's entry on"
    )
    least, most = s.segment.dwell_least, s.segment.dwell_most
    why = ""
    if least is not None and lasted < least.value - TO_THE_MINUTE - 1e-6:
        why = f"by the clock on the wall it is too short, least {_whole_minutes(least.value)}"
    elif most is not None and lasted > most.value + TO_THE_MINUTE + 1e-6:
        why = (
            f"by the clock on the wall it is too long, most {_whole_minutes(most.value)}, or its two "
            "times are swapped"
        )
    elif here > lasted + SEEN_LATE + 1e-6:
        more = _whole_minutes(here - lasted)
        why = f"the log's clock ran ahead, or its stamps are not the logger's: {more} more"
    elif here < lasted - SEEN_EARLY - 1e-6:
        why = (
            f"the log's clock ran slow, the times are from another dwell, or its two times are swapped: "
            f"{_whole_minutes(lasted - here)} less"
        )
    words = f"{s.segment.name}: {both}" + (f"; {why}" if why else "")
    book.enter(
        Outcome.UNKNOWN if why else Outcome.CONFORMS,
        RuleName.BY_A_WATCH,
        words,
        segment=s.segment.name,
        time=begin,
        code=codes.CLOCK_DIFFERS if why else None,
        place=place,
    )


def _steps(book: VerdictRecorder, e: Evidence, walked: Sequence[Stretch], set_to: float, place: str) -> None:
    """Steps from reading to reading; of stamps too coarse for that, the mean of as many as blur it by no more
    than :data:`STEP_SHARE`."""
    found = [s for s in walked if s.found]
    dwells = [s.end for s in found if s.segment.kind is SegmentKind.DWELL]
    end = max(dwells, default=float(e.times[-1]))
    begin = min((s.start for s in found), default=float(e.times[0]))  # a cold day before it thins nothing
    together = max(1, math.ceil(e.log.stamp_step / (STEP_SHARE * set_to)))
    times = e.times[(e.times >= begin) & (e.times <= end)][::together]
    steps = np.diff(times) / together
    if not steps.size:
        words = (
            f"set to {length(set_to)}; too few readings, or stamps too coarse, to compare their steps with it"
        )
        book.enter(Outcome.UNKNOWN, RuleName.STEP_SET, words, code=codes.OTHER_STEP, place=place)
        return
    near = STEP_SHARE * set_to + e.log.stamp_step / together + 1e-6
    other = np.abs(steps - set_to) > near
    share = float(steps[other].sum() / steps.sum())
    if share <= OTHER_STEPS + 1e-9:
        words = f"set to {length(set_to)}, and the stamps lie so far apart"
        book.enter(Outcome.CONFORMS, RuleName.STEP_SET, words, place=place)
        return
    words = (
        f"set to {length(set_to)}; over {100 * share:.0f} % of the time from the heat to the end of the last "
        f"dwell readings lie {length(float(np.median(steps[other])))} apart"
    )
    at = float(times[int(np.argmax(other))])
    book.enter(Outcome.UNKNOWN, RuleName.STEP_SET, words, code=codes.OTHER_STEP, place=place, time=at)


def _whole_minutes(seconds: float) -> str:
    return show(seconds, "time", decimals=0)
