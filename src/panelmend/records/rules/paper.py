"""Rules for signed paper: typed by one, compared with the scan by another, judged by the day it tells of."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from panelmend.records import events as e
from panelmend.records.canonical import seconds_between
from panelmend.records.doing.judged import Met, covered, items, require_answer, verdict_met
from panelmend.records.doing.standing import At, content, standing
from panelmend.records.refusals import (
    BACKWARDS,
    BLOCKED,
    CHANGED,
    FUTURE,
    LOCKED,
    MALFORMED,
    NO_SUCH,
    NO_VERDICT,
    NOBODY,
    NOT_AN_ANSWER,
    NOT_FILLED,
    NOT_INCLUDED,
    NOT_THEIRS,
    OUTSIDE,
    OWN_WORK,
    SAME_PERSON,
)
from panelmend.records.rights import SCOPE_OF
from panelmend.records.rules.doing import VERDICT_STEP, check_signature
from panelmend.records.rules.named import LAID, in_calibration, laid_while_usable, named_in, named_where_read
from panelmend.records.rules.stock import open_job_of, require_usable
from panelmend.records.state import Job, State


def _transcribed(state: State, entry: e.Entry, what: e.Transcribed) -> None:
    if state.rules < 2:
        raise MALFORMED("a typed paper before there were any")
    job = open_job_of(state, what.job)
    if what.step not in job.steps:
        raise NO_SUCH(f"step {what.step} of job {what.job}")
    step, attempt, now = job.steps[what.step], job.now(what.step), standing(job, what.step)
    if attempt.did is not None:
        raise LOCKED(f"step {what.step}")
    if now.at is not At.READY:
        raise BLOCKED(f"step {what.step}: {now.words}")
    if (what.accepted is None) != (what.accepted_at is None):
        raise MALFORMED("who accepted and when go together")
    if max(what.did_at, what.accepted_at or "") > entry.at:
        raise FUTURE(what.accepted_at or what.did_at)
    seen: set[int] = set()
    for r in what.readings:
        if r.blank >= len(step.blanks) or r.blank in seen:
            raise NOT_AN_ANSWER(f"step {what.step} has no blank {r.blank}, or it is answered twice")
        seen.add(r.blank)
        require_answer(step.blanks[r.blank], r, what.did_at)


def _checked(state: State, entry: e.Entry, what: e.PaperChecked) -> None:
    job = open_job_of(state, what.job)
    if what.step not in job.steps:
        raise NO_SUCH(f"step {what.step} of job {what.job}")
    attempt = job.now(what.step)
    if attempt.on_paper is None or attempt.on_paper[2] != what.transcript:
        raise NO_SUCH(f"typed paper of step {what.step} in entry {what.transcript}")
    told, typed_by, number = attempt.on_paper
    if attempt.did is not None:
        raise LOCKED(f"step {what.step}")
    now = standing(job, what.step)
    if state.rules >= 3 and now.at is not At.READY:
        raise BLOCKED(f"step {what.step}: {now.words}")
    if any(f.number > number for f in attempt.filled.values()):
        raise CHANGED("something was written at the step since it was transcribed")
    if entry.by in (typed_by, told.did, told.accepted):
        raise SAME_PERSON(f"{entry.by} typed it, or stands on the paper")
    if entry.by in job.workers or entry.by in job.deciders:
        raise OWN_WORK(f"{entry.by} worked on job {what.job}, or decided a deviation of it")
    _as_on_the_day(state, job, what.step, told)
    if what.signature.meaning is not e.Meaning.CHECKED:
        raise MALFORMED("a typed paper is signed as checked")
    shown = content(state, job, what.step)
    check_signature(state, entry, what.signature, shown, job.opened.document, job.opened.plan)


def _as_on_the_day(state: State, job: Job, key: str, told: e.Transcribed) -> None:
    """See that what the paper tells could be entered on its day. Raises Refused."""
    step, attempt = job.steps[key], job.now(key)
    before = max([job.at, attempt.since, *(job.now(n).done_at for n in step.needs)])
    if told.did_at < before:
        raise BACKWARDS(f"step {key}: the paper says {told.did_at}, what it needs was done at {before}")
    _could(state, told.did, e.Role.TECHNICIAN, told.did_at)
    if told.did in job.deciders:
        raise NOT_INCLUDED(f"{told.did} decided a deviation of the job")
    for r in told.readings:
        blank = step.blanks[r.blank]
        named_in(state, job, blank, r, (told.did_at,))
        if r.instrument is not None:
            in_calibration(state, r.instrument, (told.did_at,))
        if r.at is not None and not blank.ahead and not job.at <= r.at <= told.did_at:
            raise NOT_AN_ANSWER(f"{blank.what!r}: {r.at}; the paper says done at {told.did_at}")
    stand = covered(job, key)
    for item in items(job, key):
        if item.key not in stand and item.met is Met.NOT_YET:
            raise NOT_FILLED(f"step {key}: {item.what}")
        if item.key not in stand and item.met is Met.OUTSIDE:
            raise OUTSIDE(f"step {key}: {item.what} {item.words}")
    for issue, at, gone in attempt.issued:
        out = gone + max(0, seconds_between(at, told.did_at))
        require_usable(state, state.lots[issue.lot], told.did_at, out=out)
    if state.rules >= 3:
        named_where_read(step, attempt)
        if step.id in LAID:
            laid_while_usable(state, job, step, (told.did_at,))
    if step.hold is None or step.hold_by == "certificate holder":
        if told.accepted is not None:
            raise NOT_AN_ANSWER(f"step {key} has no hold that is accepted on the card")
        return
    if told.accepted is None or told.accepted_at is None:
        raise NOT_FILLED(f"step {key}: who accepted {step.hold}")
    if told.accepted_at < told.did_at:
        raise BACKWARDS(f"accepted at {told.accepted_at}, done at {told.did_at}")
    assert isinstance(step.hold_by, e.Role)
    _could(state, told.accepted, step.hold_by, told.accepted_at)
    if told.accepted in job.workers or told.accepted in job.deciders:
        raise OWN_WORK(f"{told.accepted} worked on job {job.opened.job}")
    if step.id == VERDICT_STEP and "v" not in stand and verdict_met(attempt) is not Met.WITHIN:
        raise NO_VERDICT(f"step {key}")


def _could(state: State, number: str, role: e.Role, at: str) -> None:
    """See that a person had a role and its authorisation on a day. Raises Refused."""
    person = state.people.get(number)
    if person is None:
        raise NOBODY(number)
    day, scope = state.day(at).isoformat(), SCOPE_OF[role]
    asked = (role.value, f"scope {scope.value}")
    held = role in person.roles and person.authorised.get(scope, "") >= day
    gone = person.removed and state.entered[person.removed - 1] <= at
    if state.rules >= 3 and gone:
        raise NOT_THEIRS(f"{person.name} had left on {day}")
    if not held or any(x not in person.since or state.day(person.since[x]).isoformat() > day for x in asked):
        raise NOT_THEIRS(f"{person.name} was no authorised {role.value} on {day}")


RULES: dict[type, Callable[[State, e.Entry, Any], None]] = {
    e.Transcribed: _transcribed,
    e.PaperChecked: _checked,
}
