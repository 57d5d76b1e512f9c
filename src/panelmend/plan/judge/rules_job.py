"""Whether the log belongs to this job: its times lie within it, and it has served no other operation."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from panelmend.errors import InputError
from panelmend.plan.judge import codes
from panelmend.plan.judge.log import CureLog, Role, matrix
from panelmend.plan.judge.verdict import Book, Outcome

SLACK = timedelta(minutes=1)  # clocks on the wall are read to the minute
LONGEST = timedelta(days=7)


@dataclass(frozen=True)
class Job:
    """When the vacuum came on and the bag was opened, by the clock the log is written with (no offset); None
    when nobody said. ``by``: who said so. ``began``: when a log without dates began, as said by the same
    person. ``served``: what this log has served before, in words, "" for nothing."""

    vacuum_on: datetime | None
    bag_opened: datetime | None
    by: str = ""
    began: datetime | None = None
    served: str = ""

    def __post_init__(self) -> None:
        if self.vacuum_on is None or self.bag_opened is None:
            return
        if not timedelta(0) < self.bag_opened - self.vacuum_on <= LONGEST:
            raise InputError(
                "vacuum-on and the opening of the bag do not fit",
                read=f"{self.vacuum_on} to {self.bag_opened}",
                expected="the opening after the vacuum, within a week",
            )


def judge_job(book: Book, log: CureLog, job: Job) -> Outcome:
    """The log lies between vacuum-on and the opening of the bag of this job, and serves one operation
    once."""
    rule = "log of this job"
    place = "vacuum-on and bag opening" + (f", said by {job.by}" if job.by else "")
    if job.served:
        book.enter(
            Outcome.UNKNOWN,
            "log used once",
            f"the same log has served {job.served}; one log is evidence of one cure",
            code=codes.OTHER_JOB,
            place="record beside the document",
        )
        return Outcome.UNKNOWN
    if job.vacuum_on is None or job.bag_opened is None:
        book.unknown(rule, "nobody said when the vacuum came on and the bag was opened", place="job record")
        return Outcome.UNKNOWN
    begun = _begun(log, job)
    if begun is None:
        book.unknown(rule, "the log has no dates and nobody said when it began", place=place)
        return Outcome.UNKNOWN
    warm = _warm(log)
    first, last = (begun + timedelta(seconds=float(t)) for t in warm)
    if job.vacuum_on - SLACK <= first and last <= job.bag_opened + SLACK:
        words = (
            f"heat from {_plain(first)} to {_plain(last)}, vacuum on {_plain(job.vacuum_on)}, "
            f"bag opened {_plain(job.bag_opened)}"
        )
        book.enter(Outcome.CONFORMS, rule, words, place=place)
        return Outcome.CONFORMS
    words = (
        f"the log tells of {_plain(first)} to {_plain(last)}, the vacuum was on from {_plain(job.vacuum_on)} "
        f"to {_plain(job.bag_opened)}"
    )
    book.enter(Outcome.UNKNOWN, rule, words, code=codes.OTHER_JOB, place=place, time=float(warm[0]))
    return Outcome.UNKNOWN


def _warm(log: CureLog) -> tuple[float, float]:
    """From the first rise of a thermocouple by 5 K to the last time one stands above half of its rise; the
    whole log where nothing rose."""
    temps = matrix(log.of_role(Role.THERMOCOUPLE), len(log))
    first = np.array([c[np.isfinite(c)][0] if np.isfinite(c).any() else np.nan for c in temps.T])
    with np.errstate(invalid="ignore"):
        warm = np.flatnonzero((temps > first + 5.0).any(axis=1))
    if not warm.size:
        return float(log.times[0]), float(log.times[-1])
    with np.errstate(invalid="ignore"):
        half = np.flatnonzero((temps > first + 0.5 * (np.nanmax(temps) - first)).any(axis=1))
    return float(log.times[warm[0]]), float(log.times[half[-1] if half.size else warm[-1]])


def _begun(log: CureLog, job: Job) -> datetime | None:
    if log.started and not log.started.startswith("T"):
        return datetime.fromisoformat(log.started).replace(tzinfo=None)
    return job.began


def _plain(at: datetime) -> str:
    return at.strftime("%Y-%m-%d %H:%M")
