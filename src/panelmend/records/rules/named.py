"""Rules for what an answer names: lots and instruments of the records."""

from __future__ import annotations

from panelmend.records import events as e
from panelmend.records.canonical import canonical_amount, seconds_between
from panelmend.records.refusals import (
    BACKWARDS,
    NO_SUCH,
    NOT_AN_ANSWER,
    NOT_DRAWN,
    OUT_OF_CALIBRATION,
    PAST_LIFE,
)
from panelmend.records.rules.stock import require_usable
from panelmend.records.state import Attempt, Batch, Job, State

LAID = ("O14", "O18", "O20")  # adhesive, plies, the bag: what was drawn is laid, and under vacuum
NONE_USED = "none"  # what is typed where no instrument was used


def in_calibration(state: State, instrument: str, moments: tuple[str, ...]) -> None:
    """See that an instrument was in date at some moments, by what was known then. Raises Refused."""
    known = state.instruments.get(instrument)
    if known is None:
        raise OUT_OF_CALIBRATION(f"{instrument} is not known")
    for at in moments:
        due = state.due_of(instrument, at) if state.rules >= 2 else known.due
        if state.day(at).isoformat() > due:
            raise OUT_OF_CALIBRATION(
                f"{instrument}: on {state.day(at)} {f'due {due}' if due else 'not known'}"
            )


def named_in(state: State, job: Job, blank: e.CardBlank, r: e.Reading, moments: tuple[str, ...]) -> None:
    """Lots and instruments that an answer names: known here, drawn for the job before the first of some
    moments, in date at each of them. Raises Refused."""
    if blank.names == "instruments" and not r.names and r.typed == NONE_USED:
        return
    if bool(r.names) != bool(blank.names):
        asked = f"names {blank.names} of the records" if blank.names else "names nothing of the records"
        raise NOT_AN_ANSWER(f"{blank.what!r} {asked}, read {', '.join(r.names)[:60] or r.typed[:60]!r}")
    for name in r.names:
        if blank.names == "instruments":
            in_calibration(state, name, moments)
            continue
        taken_from(state, job, name, moments)


def taken_from(state: State, job: Job, name: str, moments: tuple[str, ...]) -> None:
    """See that a lot or batch of which something of a job is made was drawn or mixed for it before, and is in
    date at each moment. Raises Refused."""
    if name in state.mixed:
        _batch_lives(state.mixed[name], job, moments)
        return
    lot = state.lots.get(name)
    if lot is None:
        raise NO_SUCH(f"lot {name}")
    if lot.by_job.get(job.opened.job, 0) <= 0:
        raise NOT_DRAWN(f"lot {name}, job {job.opened.job}")
    drawn = [(at, gone) for j, at, gone in lot.issues if j == job.opened.job]
    if moments[0] < min(drawn)[0]:
        raise BACKWARDS(f"lot {name} was drawn at {min(drawn)[0]}")
    out = max(gone + max(0, seconds_between(at, moments[0])) for at, gone in drawn)
    for moment in moments:
        require_usable(state, lot, moment, out=out)


def _batch_lives(batch: Batch, job: Job, moments: tuple[str, ...]) -> None:
    """A batch named at a step is this job's, mixed before, and not past its life. Raises Refused."""
    what = batch.mixed
    if what.job != job.opened.job:
        raise NOT_DRAWN(f"batch {what.batch} was mixed for job {what.job}")
    if moments[0] < batch.at:
        raise BACKWARDS(f"batch {what.batch} was mixed at {batch.at}")
    ran = seconds_between(batch.at, moments[0])
    if ran > what.life:
        raise PAST_LIFE(f"batch {what.batch}: mixed {ran} s before, life {what.life} s")


def named_where_read(step: e.CardStep, attempt: Attempt) -> None:
    """Where a number other than nothing was read, an instrument is named: "none" is no instrument. Raises
    Refused."""
    unnamed = [
        step.blanks[i].what
        for i, f in attempt.filled.items()
        if step.blanks[i].names == "instruments" and not f.reading.names
    ]
    read = [f.reading for f in attempt.filled.values() if f.reading.value is not None]
    if unnamed and any(canonical_amount(r.value or "0") for r in read):
        raise NOT_AN_ANSWER(
            f"{unnamed[0]!r}: something was read in step {step.key}; name what it was read on"
        )


def laid_while_usable(state: State, job: Job, step: e.CardStep, moments: tuple[str, ...]) -> None:
    """What was drawn for an operation, at any step of it, is usable until it lies under vacuum. Raises
    Refused."""
    for other in job.opened.steps:
        if other.operation != step.operation:
            continue
        for issue, at, gone in job.now(other.key).issued:
            for moment in moments:
                out = gone + max(0, seconds_between(at, moment))
                require_usable(state, state.lots[issue.lot], moment, out=out)
