"""Whether the log belongs to this job: its times are within the job's, and it has served no other
operation."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from panelmend.errors import InputError
from panelmend.plan.judge import codes
from panelmend.plan.judge.evidence import Evidence
from panelmend.plan.judge.log import ChannelRole, CureLog, matrix
from panelmend.plan.judge.rule_names import RuleName
from panelmend.plan.judge.rules_clock import WatchedDwell
from panelmend.plan.judge.said import by_utc, show
from panelmend.plan.judge.verdict import Outcome, VerdictRecorder

SLACK = timedelta(minutes=1)  # clocks on the wall are read to the minute
LONGEST = timedelta(days=7)
# common practice, no source, all three:
BESIDE = timedelta(hours=24)  # vacuum on before the heat, bag shut after it: a night and a day
PUMP = timedelta(minutes=5)  # until a bag is drawn down, and of two clocks
GAUGES_APART = 5e3  # Pa between a gauge on the bag and the logger's
DRAWN = 0.5  # of the highest vacuum of the log: the pump is on


@dataclass(frozen=True)
class JobTimes:
    """When the vacuum came on and the bag was opened, by the clock the log is written with (no offset); None
    when nobody said. ``by``: who said so. ``began``: when a log without dates began, as said by the same
    person. ``served``: what this log has served before, in words, "" for nothing. ``watched``: dwells by a
    watch on the wall; ``set_to`` [s]: the time between readings the logger was set to, None when nobody said
    (see :mod:`panelmend.plan.judge.rules_clock`). Not ``bagged``: the two times are those at which it was
    covered and held, and at which what held it came off."""

    vacuum_on: datetime | None
    bag_opened: datetime | None
    by: str = ""
    began: datetime | None = None
    served: str = ""
    watched: tuple[WatchedDwell, ...] = ()
    set_to: float | None = None
    bagged: bool = True

    @property
    def began_words(self) -> str:
        """What the first time is."""
        return "vacuum on" if self.bagged else "covered and held"

    @property
    def ended_words(self) -> str:
        """What the second time is."""
        return "bag opened" if self.bagged else "what held it taken off"

    def __post_init__(self) -> None:
        if self.vacuum_on is None or self.bag_opened is None:
            return
        if not timedelta(0) < self.bag_opened - self.vacuum_on <= LONGEST:
            raise InputError(
                "vacuum-on and the opening of the bag do not fit"
                if self.bagged
                else "when it was covered and when what held it came off do not fit",
                read=f"{self.vacuum_on} to {self.bag_opened}",
                expected="the second after the first, within a week",
            )


def judge_job(book: VerdictRecorder, e: Evidence, job: JobTimes) -> Outcome:
    """The log must lie between vacuum-on and bag opening of this job, both within a day of the heat, show no
    vacuum outside them, and serve one operation once."""
    log = e.log
    rule = RuleName.OF_THIS_JOB
    place = f"{job.began_words}, {job.ended_words}" + (f", said by {job.by}" if job.by else "")
    if job.served:
        book.enter(
            Outcome.UNKNOWN,
            RuleName.USED_ONCE,
            f"the same log has served {job.served}; one log is evidence of one cure",
            code=codes.OTHER_JOB,
            place="record beside the document",
        )
        return Outcome.UNKNOWN
    if job.vacuum_on is None or job.bag_opened is None:
        told = (
            "the vacuum came on and the bag was opened"
            if job.bagged
            else "it was covered and held, and what held it came off"
        )
        book.unknown(rule, f"nobody said when {told}", place="job record")
        return Outcome.UNKNOWN
    begun = _begun(log, job)
    if begun is None:
        book.unknown(rule, "the log has no dates and nobody said when it began", place=place)
        return Outcome.UNKNOWN
    warm = _warm(log)
    first, last = (begun + timedelta(seconds=float(t)) for t in warm)
    if job.vacuum_on - SLACK <= first and last <= job.bag_opened + SLACK:
        why = _too_wide(job, first, last) or _vacuum_outside(e, job, begun)
        if why:
            why += _whose_clock(log)
            book.enter(Outcome.UNKNOWN, rule, why, code=codes.WINDOW, place=place, time=float(warm[0]))
            return Outcome.UNKNOWN
        words = (
            f"heat from {_plain(first)} to {_plain(last)}, {job.began_words} {_plain(job.vacuum_on)}, "
            f"{job.ended_words} {_plain(job.bag_opened)}{_whose_clock(log)}"
        )
        book.enter(Outcome.CONFORMS, rule, words, place=place)
        return Outcome.CONFORMS
    lay = "the vacuum was on" if job.bagged else "it was held"
    words = (
        f"the log tells of {_plain(first)} to {_plain(last)}, {lay} from {_plain(job.vacuum_on)} "
        f"to {_plain(job.bag_opened)}{_whose_clock(log)}"
    )
    book.enter(Outcome.UNKNOWN, rule, words, code=codes.OTHER_JOB, place=place, time=float(warm[0]))
    return Outcome.UNKNOWN


def _too_wide(job: JobTimes, first: datetime, last: datetime) -> str:
    """Why the times of the job say nothing about this log: it could lie anywhere within days; "" else."""
    assert job.vacuum_on is not None
    assert job.bag_opened is not None
    for words, wait in (
        (f"{job.began_words} before the heat of this log", first - job.vacuum_on),
        (f"{job.ended_words} after the heat of this log", job.bag_opened - last),
    ):
        if wait > BESIDE:
            hours = wait.total_seconds() / 3600.0
            most = BESIDE.total_seconds() / 3600.0
            return (
                f"{words}: {hours:.0f} h; times further than {most:.0f} h from the heat do not tell this log "
                "from another: ask for the true times, or for the log of what lies between"
            )
    return ""


def _vacuum_outside(e: Evidence, job: JobTimes, begun: datetime) -> str:
    """The log shows vacuum before it came on or after the bag was opened, "" else."""
    assert job.vacuum_on is not None
    assert job.bag_opened is not None
    seen = np.isfinite(e.vacuum)
    if not job.bagged or not seen.any():
        return ""
    drawn = np.flatnonzero(seen & (np.nan_to_num(e.vacuum) >= DRAWN * float(np.nanmax(e.vacuum))))
    from_, to = (begun + timedelta(seconds=float(e.times[i])) for i in (drawn[0], drawn[-1]))
    if from_ < job.vacuum_on - PUMP:
        told = f"it came on {_plain(job.vacuum_on)} as was said"
        return f"the log shows vacuum from {_plain(from_)} on, {told}"
    if to > job.bag_opened + PUMP:
        told = f"the bag was opened {_plain(job.bag_opened)} as was said"
        return f"the log shows vacuum until {_plain(to)}, {told}"
    return ""


def other_time(
    e: Evidence, job: JobTimes, at: datetime | None, start: float, end: float, seconds: float
) -> str:
    """Why a leak test typed for this job does not belong to it, "" where nothing speaks against it.

    Args:
        e: what the log shows.
        job: the times of the job.
        at: when the pump was shut off, None when nobody said.
        start, end: vacuum [Pa below ambient].
        seconds: between them [s].
    """
    if at is None:
        return "nobody said when the pump was shut off: a leak test counts for the bag it was made with"
    over = at + timedelta(seconds=seconds)
    if job.vacuum_on is not None and at < job.vacuum_on - SLACK:
        return f"made {_plain(at)}, before the vacuum of this bag came on {_plain(job.vacuum_on)}"
    if job.bag_opened is not None and over > job.bag_opened + SLACK:
        return f"made {_plain(at)}, after the bag was opened {_plain(job.bag_opened)}"
    begun = _begun(e.log, job)
    if begun is None:
        return ""
    heat = begun + timedelta(seconds=_warm(e.log)[0])
    if over > heat + SLACK:
        return f"made {_plain(at)}, after the heat was on ({_plain(heat)}): it is made before"
    for when, told in ((at, start), (over, end)):
        here = (when - begun).total_seconds()
        near = np.flatnonzero(np.isfinite(e.vacuum) & (np.abs(e.times - here) <= max(e.gap, 60.0)))
        if near.size and np.abs(e.vacuum[near] - told).min() > GAUGES_APART:
            seen = show(
                float(e.vacuum[near[np.argmin(np.abs(e.vacuum[near] - told))]]), "pressure", decimals=1
            )
            return (
                f"the log shows {seen} at {_plain(when)}, the leak test {show(told, 'pressure', decimals=1)}"
            )
    return ""


def _warm(log: CureLog) -> tuple[float, float]:
    """From the first rise of a thermocouple by 5 K to the last time one stands above half of its rise; the
    whole log where nothing rose."""
    temps = matrix(log.of_role(ChannelRole.THERMOCOUPLE), len(log))
    first = np.array([c[np.isfinite(c)][0] if np.isfinite(c).any() else np.nan for c in temps.T])
    with np.errstate(invalid="ignore"):
        warm = np.flatnonzero((temps > first + 5.0).any(axis=1))
    if not warm.size:
        return float(log.times[0]), float(log.times[-1])
    with np.errstate(invalid="ignore"):
        half = np.flatnonzero((temps > first + 0.5 * (np.nanmax(temps) - first)).any(axis=1))
    return float(log.times[warm[0]]), float(log.times[half[-1] if half.size else warm[-1]])


def _begun(log: CureLog, job: JobTimes) -> datetime | None:
    if log.started and not log.started.startswith("T"):
        return datetime.fromisoformat(log.started).replace(tzinfo=None)
    return job.began


def _whose_clock(log: CureLog) -> str:
    """Which clock the times are given by: a shop that reads another one types times that do not fit."""
    if not log.started or log.started.startswith("T"):
        return ""
    offset = datetime.fromisoformat(log.started).utcoffset()
    return "" if offset is None else f"; all by the log's clock, {by_utc(offset)}"


def _plain(at: datetime) -> str:
    return at.strftime("%Y-%m-%d %H:%M")
