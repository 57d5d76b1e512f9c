"""Rules for deviations and how a job ends: decided by an engineer without a part in it, released, stopped."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any, assert_never

from panelmend.records import events as e
from panelmend.records.canonical import sha256
from panelmend.records.doing.judged import items
from panelmend.records.doing.standing import complete, decision_content, release_content, standing
from panelmend.records.refusals import (
    BACKWARDS,
    BLOCKED,
    CLOSED,
    DEVIATION_OPEN,
    FIELD_MISSING,
    LOCKED,
    MALFORMED,
    NO_SUCH,
    NOT_AN_ANSWER,
    NOT_INCLUDED,
    TAKEN,
)
from panelmend.records.rules.coupons import coupons_hold
from panelmend.records.rules.doing import check_signature, second
from panelmend.records.rules.stock import open_job_of
from panelmend.records.state import Job, State


def _raised(state: State, entry: e.Entry, what: e.DeviationRaised) -> None:
    job = open_job_of(state, what.job)
    if what.step not in job.steps:
        raise NO_SUCH(f"step {what.step} of job {what.job}")
    if state.rules >= 4 and entry.at < job.at:
        raise BACKWARDS(f"job {what.job} was opened later")
    if what.deviation.casefold() in {d.casefold() for d in job.deviations}:
        raise TAKEN(f"deviation {what.deviation}")
    there = {i.key for i in items(job, what.step)} | {"v", "r"}
    if not set(what.covers) <= there:
        raise NO_SUCH(f"{', '.join(sorted(set(what.covers) - there))} of step {what.step}")


def _decided(state: State, entry: e.Entry, what: e.DeviationDecided) -> None:
    job = open_job_of(state, what.job)
    dev = job.deviations.get(what.deviation)
    if dev is None:
        raise NO_SUCH(f"deviation {what.deviation}")
    if dev.decided is not None:
        raise LOCKED(f"deviation {what.deviation} is decided; raise another")
    if entry.by == dev.by or entry.by in job.workers:
        raise NOT_INCLUDED(f"{entry.by} raised it or worked on the job")
    if entry.by in job.accepters:
        raise NOT_INCLUDED(f"{entry.by} accepted a hold of this job")
    attempt = job.attempts[dev.raised.step][dev.attempt - 1]
    again = what.decision is e.Decision.AGAIN
    if again != (what.again_from is not None):
        raise MALFORMED("work done again names the step it begins from, and nothing else does")
    if again and (what.again_from not in job.steps or dev.raised.step not in job.after(str(what.again_from))):
        raise NOT_AN_ANSWER(f"doing again from {what.again_from} does not reach step {dev.raised.step}")
    if what.decision is e.Decision.STANDS and attempt.rejected is not None:
        raise NOT_AN_ANSWER("what an inspector rejected is done again or stopped; it does not stand")
    match what.decision:
        case e.Decision.STANDS:
            if what.signature.meaning is not e.Meaning.ACCEPTED:
                raise MALFORMED("what may stand is signed as accepted")
        case e.Decision.AGAIN | e.Decision.STOP:
            if what.signature.meaning is not e.Meaning.REJECTED:
                raise MALFORMED("what may not stand is signed as rejected")
        case _:
            assert_never(what.decision)
    shown = decision_content(state, job, what.deviation)
    check_signature(state, entry, what.signature, shown, job.opened.document, job.opened.plan)


def _released(state: State, entry: e.Entry, what: e.Released) -> None:
    job = open_job_of(state, what.job)
    for name in ("description", "completed", "certificate_number", "certificate_kind"):
        if not str(getattr(what, name)).strip():
            raise FIELD_MISSING(name)
    if not what.performed_by:
        raise FIELD_MISSING("performed_by")
    waiting = [d.raised.deviation for d in job.deviations.values() if d.decided is None]
    if waiting:
        raise DEVIATION_OPEN(", ".join(waiting))
    for step in job.opened.steps:
        last = step.hold_by == "certificate holder"
        if last and job.now(step.key).did is None:
            waits = standing(job, step.key).words or "who worked on the job signs first that it is done"
            raise BLOCKED(f"step {step.number} ({step.id}): {waits}")
        if not last and not complete(job, step.key):
            raise BLOCKED(f"step {step.key} is not complete")
    coupons_hold(job)
    second(job, entry)
    did = {state.people[w].name for w in job.workers}
    if set(what.performed_by) != did:
        raise FIELD_MISSING(
            f"performed_by names {', '.join(what.performed_by)}; the work was by {', '.join(sorted(did))}"
        )
    _completed(state, entry, job, what.completed)
    if what.signature.meaning is not e.Meaning.ACCEPTED:
        raise MALFORMED("a release is signed as accepted")
    shown = sha256(release_content(state, job) + sha256(release_fields(what)))
    check_signature(state, entry, what.signature, shown, job.opened.document, job.opened.plan)


def said_fields(description: str, certificate_number: str, certificate_kind: str) -> None:
    """See that each field of a release that is typed says something: strokes and dots are none. Looked at
    before an entry is made; releases of before stay what they are.

    Raises:
        Refused: R137, naming the field.
    """
    typed = {
        "description": description,
        "certificate_number": certificate_number,
        "certificate_kind": certificate_kind,
    }
    for name, text in typed.items():
        if not any(x.isalnum() for x in text):
            raise FIELD_MISSING(name)


def release_fields(what: e.Released) -> str:
    """The fields of a release as one text, for what its signature covers."""
    held = what.model_dump(mode="json")
    return repr([[k, held[k]] for k in sorted(held) if k != "signature"])


def _completed(state: State, entry: e.Entry, job: Job, day: str) -> None:
    """The day of completion: not before the last step was signed, not after today. Raises Refused."""
    if not re.fullmatch(r"\d{4}-\d\d-\d\d", day):
        raise FIELD_MISSING(f"completed: a day such as 2026-11-26, read {day[:20]!r}")
    last = max(state.entered[a.did[1] - 1] for held in job.attempts.values() for a in held[-1:] if a.did)
    first, today = state.day(last).isoformat(), state.day(max(state.latest, entry.entered)).isoformat()
    if not first <= day <= today:
        raise FIELD_MISSING(f"completed: {day}; the last step was entered {first}, today is {today}")


def _stopped(state: State, entry: e.Entry, what: e.JobStopped) -> None:
    if what.job not in state.jobs:
        raise NO_SUCH(f"job {what.job}")
    if state.jobs[what.job].closed:
        raise CLOSED(f"job {what.job} is {state.jobs[what.job].closed}")


RULES: dict[type, Callable[[State, e.Entry, Any], None]] = {
    e.DeviationRaised: _raised,
    e.DeviationDecided: _decided,
    e.Released: _released,
    e.JobStopped: _stopped,
}
