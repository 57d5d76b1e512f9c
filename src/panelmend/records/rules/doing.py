"""Rules for jobs: a plan that can be begun, steps in their order, two persons, nothing signed ever
changed."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from panelmend.records import events as e
from panelmend.records import seals
from panelmend.records.canonical import amount, seconds_between, sha256
from panelmend.records.doing.judged import Met, answer, covered, items, verdict_met
from panelmend.records.doing.standing import (
    At,
    complete,
    content,
    decision_content,
    opening_content,
    release_content,
    standing,
    statements,
)
from panelmend.records.refusals import (
    BACKWARDS,
    BLOCKED,
    CHANGED,
    CLOSED,
    DEVIATION_OPEN,
    FIELD_MISSING,
    LATE,
    LOCKED,
    LOG_SERVED,
    MALFORMED,
    NO_SUCH,
    NO_VERDICT,
    NOT_AN_ANSWER,
    NOT_DRAWN,
    NOT_FILLED,
    NOT_IN_PLAN,
    NOT_INCLUDED,
    NOT_READY,
    NOT_THEIR_KEY,
    NOT_THEIRS,
    OUT_OF_CALIBRATION,
    OUTSIDE,
    OWN_WORK,
    PAST_LIFE,
    REPLAYED,
    TAKEN,
)
from panelmend.records.rights import SCOPE_OF
from panelmend.records.rules.stock import held_for, job_of, usable
from panelmend.records.state import Attempt, Batch, Job, State, number_key, panel_key, served_as

LATE_AFTER = 15 * 60  # [s] what is entered within this of its time is not late
LARGEST_FILE = 64 * 2**20  # [bytes] of a photograph or another file
LAID = ("O14", "O18", "O20")  # adhesive, plies, the bag: what was drawn is laid, and under vacuum
NONE_USED = "none"  # what is typed where no instrument was used
VERDICT_STEP = "O24"  # the step before the bag is opened


def check_signature(
    state: State, entry: e.Entry, s: e.Signature, shown: str, document: str, plan: str
) -> None:
    """See that a signature is fresh, of exactly what stands there, and sealed by the person's own key. Raises
    Refused."""
    if state.rules >= 2:
        text = seals.text_of(state.records, entry.number, entry.before, entry.bare())
        if not seals.sealed(state.people[entry.by].key, text, s.seal):
            raise NOT_THEIR_KEY(f"{entry.by}, entry {entry.number}")
    elif s.seal:
        raise MALFORMED("a seal before there were any")
    if s.ticket in state.tickets:
        raise REPLAYED(s.ticket[:8])
    if s.words != statements()[s.meaning]:
        raise CHANGED("the sentence is another than the meaning's")
    if s.name != state.people[entry.by].name:
        raise CHANGED(f"signed as {s.name!r}, the person is {state.people[entry.by].name!r}")
    if (s.document, s.plan) != (document, plan):
        raise CHANGED("another document or plan")
    if s.content != shown:
        raise CHANGED("something was written since it was shown")


def _opened(state: State, entry: e.Entry, what: e.JobOpened) -> None:
    if what.standing != "READY":
        raise NOT_READY(f"job {what.job}: {what.standing}")
    if number_key("job", what.job) in state.numbers:
        raise TAKEN(f"job {what.job}")
    if what.follows is not None:
        before = state.jobs.get(what.follows)
        if before is None:
            raise NO_SUCH(f"job {what.follows}")
        if before.closed != "stopped":
            raise NOT_READY(f"job {what.follows} is still open: stop it first, so that two cards never run")
    _look_at_steps(what)
    _earlier(state, what)
    if state.rules >= 3:
        held_for(state, what.job, what.kit, max(state.latest, entry.entered))
    elif what.kit or what.pieces:
        raise MALFORMED("a kit before there were any")
    shown = opening_content(state.records, what.model_dump(mode="json"))
    if what.signature.meaning is not e.Meaning.ACCEPTED:
        raise MALFORMED("a plan is signed as accepted: work may go on")
    check_signature(state, entry, what.signature, shown, what.document, what.plan)


def _earlier(state: State, what: e.JobOpened | e.JobRevised) -> None:
    """See that a plan knew of every repair bonded and released on its panel. Raises Refused."""
    if state.rules < 2:
        return
    there = [j for j in state.panels.get(panel_key(what.panel, what.serial), []) if j != what.job]
    bonded = [j for j in there if any(x.operation for x in state.jobs[j].opened.steps)]
    missing = [j for j in bonded if state.jobs[j].closed == "released" and j not in what.earlier]
    if missing:
        raise NOT_IN_PLAN(f"{what.panel} serial {what.serial}: {', '.join(missing)}")


def _revised(state: State, entry: e.Entry, what: e.JobRevised) -> None:
    job = job_of(state, what.job)
    if state.rules < 2:
        raise MALFORMED("a revision before there were any")
    if what.standing != "READY":
        raise NOT_READY(f"job {what.job}: {what.standing}")
    if what.plan == job.opened.plan:
        raise NOT_READY(f"job {what.job} is worked by that plan already")
    if (what.panel, what.serial) != (job.opened.panel, job.opened.serial):
        raise CHANGED(f"another panel: {job.opened.panel} serial {job.opened.serial or 'not given'}")
    waiting = [d.raised.deviation for d in job.deviations.values() if d.decided is None]
    if waiting:
        raise DEVIATION_OPEN(", ".join(waiting))
    _look_at_steps(what)
    _earlier(state, what)
    if state.rules >= 3:
        held_for(state, what.job, what.kit, max(state.latest, entry.entered))
    elif what.kit or what.pieces:
        raise MALFORMED("a kit before there were any")
    shown = opening_content(state.records, what.model_dump(mode="json"))
    if what.signature.meaning is not e.Meaning.ACCEPTED:
        raise MALFORMED("a plan is signed as accepted: work may go on")
    check_signature(state, entry, what.signature, shown, what.document, what.plan)


def _look_at_steps(what: e.JobOpened | e.JobRevised) -> None:
    seen: set[str] = set()
    for step in what.steps:
        if step.key in seen or any(n not in seen for n in step.needs):
            raise MALFORMED(f"step {step.key} stands twice, or before what it needs")
        if (step.hold is None) != (step.hold_by is None):
            raise MALFORMED(f"step {step.key}: a hold and who comes go together")
        seen.add(step.key)
    by_key = {s.key: s for s in what.steps}
    for clock in what.clocks:
        ends = [(clock.start, clock.start_blank), (clock.end, clock.end_blank)]
        if clock.until is not None:
            ends.append((clock.until, clock.until_blank))
        for key, blank in ends:
            at = by_key.get(key)
            if at is None or blank >= len(at.blanks) or at.blanks[blank].entry is not e.EntryKind.TIME:
                raise MALFORMED(f"clock {clock.name}: blank {blank} of {key} is no time")


def open_step(state: State, entry: e.Entry, job_name: str, key: str) -> tuple[Job, e.Step, Attempt]:
    """A step that may be written in: READY, nothing signed. Raises Refused."""
    job = job_of(state, job_name)
    if key not in job.steps:
        raise NO_SUCH(f"step {key} of job {job_name}")
    if entry.at < job.at:
        raise BACKWARDS(f"job {job_name} was opened later")
    attempt = job.now(key)
    if attempt.did is not None or attempt.rejected is not None:
        raise LOCKED(f"step {key}")
    now = standing(job, key)
    if now.at is not At.READY:
        raise BLOCKED(f"step {key}: {now.words}")
    if entry.by in job.deciders:
        raise NOT_INCLUDED(f"{entry.by} decided a deviation of job {job_name}")
    if state.rules >= 2:
        _after_what_it_needs(entry, job, key, attempt)
    return job, job.steps[key], attempt


def _after_what_it_needs(entry: e.Entry, job: Job, key: str, attempt: Attempt) -> None:
    """Nothing was so in a step before the steps it needs were done and accepted. Raises Refused."""
    if entry.at < attempt.since:
        raise BACKWARDS(f"step {key} is done again since {attempt.since}")
    for need in job.steps[key].needs:
        if entry.at < job.now(need).done_at:
            raise BACKWARDS(f"step {need} was done or accepted at {job.now(need).done_at}")


def _readings(state: State, entry: e.Entry, what: e.Readings) -> None:
    job, step, attempt = open_step(state, entry, what.job, what.step)
    seen: set[int] = set()
    for r in what.readings:
        if r.blank >= len(step.blanks) or r.blank in seen:
            raise NOT_AN_ANSWER(f"step {what.step} has no blank {r.blank}, or it is answered twice")
        seen.add(r.blank)
        answer(step.blanks[r.blank], r, entry.at)
        if r.at is not None and r.at > max(state.latest, entry.entered) and not step.blanks[r.blank].ahead:
            raise NOT_AN_ANSWER(f"{step.blanks[r.blank].what!r}: {r.at} has not come yet")
        if state.rules >= 2:
            _time_then(state, entry, step.blanks[r.blank], r)
            _named(state, entry, job, step.blanks[r.blank], r)
        if r.at is not None and r.at < job.at:
            raise NOT_AN_ANSWER(f"{step.blanks[r.blank].what!r}: {r.at} is before the job was opened")
        if r.blank in attempt.filled and not r.why.strip():
            raise NOT_AN_ANSWER(f"{step.blanks[r.blank].what!r} is filled in: say why it is written again")
        if r.instrument is not None:
            _calibrated(state, entry, r.instrument)


def _calibrated(state: State, entry: e.Entry, instrument: str) -> None:
    """See that an instrument was in date when it was read, and is when that is entered. Raises Refused."""
    in_calibration(state, instrument, (entry.at, max(state.latest, entry.entered)))


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


def _time_then(state: State, entry: e.Entry, blank: e.Blank, r: e.Reading) -> None:
    """A time in a blank: not after the moment it is told of; long before it is entered, it says why. Raises
    Refused."""
    if r.at is None or blank.ahead:
        return
    if r.at > entry.at:
        raise NOT_AN_ANSWER(f"{blank.what!r}: {r.at} is after {entry.at}, of which it is told")
    if seconds_between(r.at, max(state.latest, entry.entered)) > LATE_AFTER and not entry.late.strip():
        raise LATE(f"{blank.what!r}: it was at {r.at}, entered at {entry.entered}")


def _named(state: State, entry: e.Entry, job: Job, blank: e.Blank, r: e.Reading) -> None:
    named_in(state, job, blank, r, (entry.at, max(state.latest, entry.entered)))


def named_in(state: State, job: Job, blank: e.Blank, r: e.Reading, moments: tuple[str, ...]) -> None:
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
        if name in state.mixed:
            _batch_lives(state.mixed[name], job, moments)
            continue
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
            usable(state, lot, moment, out=out)


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


def _file(state: State, entry: e.Entry, what: e.FileKept) -> None:
    if not 0 < what.size <= LARGEST_FILE:
        raise MALFORMED(f"a file of {what.size} bytes, {LARGEST_FILE} at most")
    open_step(state, entry, what.job, what.step)


def _verdict(state: State, entry: e.Entry, what: e.VerdictKept) -> None:
    job, step, attempt = open_step(state, entry, what.job, what.step)
    if step.id != VERDICT_STEP:
        raise NOT_AN_ANSWER(f"step {what.step} judges no log")
    if what.cure != step.cure:
        raise NOT_AN_ANSWER(f"a verdict on {what.cure!r}; this step opens the bag of {step.cure!r}")
    for log in (what.log, what.measured):
        served = state.logs.get(log)
        if served is not None and served != served_as(job, what.step):
            raise LOG_SERVED(served)
    if state.rules >= 2 and not what.measured:
        raise MALFORMED("a verdict says what its log holds")
    before = attempt.verdict
    if before is None:
        return
    if before.verdict.log != what.log or before.verdict.outcome is not e.Judged.UNKNOWN:
        raise LOCKED(f"step {what.step} has its verdict: {before.verdict.outcome.value}")


def _signed(state: State, entry: e.Entry, what: e.StepSigned) -> None:
    job = job_of(state, what.job)
    step = job.steps.get(what.step)
    if step is None:
        raise NO_SUCH(f"step {what.step} of job {what.job}")
    s = what.signature
    {
        e.Meaning.DID: _did,
        e.Meaning.CHECKED: _checked,
        e.Meaning.ACCEPTED: _hold,
        e.Meaning.REJECTED: _hold,
    }[s.meaning](state, entry, job, step)
    if s.meaning is e.Meaning.REJECTED and not what.why.strip():
        raise NOT_FILLED("what was rejected, and why")
    check_signature(state, entry, s, content(state, job, what.step), job.opened.document, job.opened.plan)


def _did(state: State, entry: e.Entry, job: Job, step: e.Step) -> None:
    _, _, attempt = open_step(state, entry, job.opened.job, step.key)
    if state.rules >= 3:
        if attempt.on_paper is not None:
            raise BLOCKED(f"step {step.key}: what was typed from paper waits for the check against the scan")
        named_where_read(step, attempt)
    stand = covered(job, step.key)
    for item in items(job, step.key):
        if item.key in stand:
            continue
        if item.met is Met.NOT_YET:
            raise NOT_FILLED(f"step {step.key}: {item.what}")
        if item.met is Met.OUTSIDE:
            raise OUTSIDE(f"step {step.key}: {item.what} {item.words}")
    if step.id == VERDICT_STEP and attempt.verdict is None:
        raise NO_VERDICT(f"step {step.key}: nobody has judged the log")
    for issue, at, gone in attempt.issued:
        if entry.at < at:
            raise BACKWARDS(f"lot {issue.lot} was drawn at {at}")
        usable(state, state.lots[issue.lot], entry.at, out=gone + seconds_between(at, entry.at))
        if (
            state.rules >= 2
        ):  # signed late it must still be usable: a time that is typed makes nothing younger
            late = max(state.latest, entry.entered)
            usable(state, state.lots[issue.lot], late, out=gone + seconds_between(at, late))
    if state.rules >= 2 and step.id in LAID:
        laid_while_usable(state, job, step, (entry.at, max(state.latest, entry.entered)))
    last = max((f.at for f in attempt.filled.values()), default="")
    if entry.at < last:
        raise BACKWARDS(f"step {step.key}: something in it was read at {last}")


def named_where_read(step: e.Step, attempt: Attempt) -> None:
    """Where a number other than nothing was read, an instrument is named: "none" is no instrument. Raises
    Refused."""
    unnamed = [
        step.blanks[i].what
        for i, f in attempt.filled.items()
        if step.blanks[i].names == "instruments" and not f.reading.names
    ]
    read = [f.reading for f in attempt.filled.values() if f.reading.value is not None]
    if unnamed and any(amount(r.value or "0") for r in read):
        raise NOT_AN_ANSWER(
            f"{unnamed[0]!r}: something was read in step {step.key}; name what it was read on"
        )


def laid_while_usable(state: State, job: Job, step: e.Step, moments: tuple[str, ...]) -> None:
    """What was drawn for an operation, at any step of it, is usable until it lies under vacuum. Raises
    Refused."""
    for other in job.opened.steps:
        if other.operation != step.operation:
            continue
        for issue, at, gone in job.now(other.key).issued:
            for moment in moments:
                out = gone + max(0, seconds_between(at, moment))
                usable(state, state.lots[issue.lot], moment, out=out)


def _checked(state: State, entry: e.Entry, job: Job, step: e.Step) -> None:
    if job.now(step.key).did is None:
        raise BLOCKED(f"step {step.key}: not done yet")
    _not_before_done(state, entry, job.now(step.key))
    _second(job, entry)


def _not_before_done(state: State, entry: e.Entry, attempt: Attempt) -> None:
    if state.rules >= 2 and entry.at < attempt.done_at:
        raise BACKWARDS(f"it was done at {attempt.done_at}")


def _second(job: Job, entry: e.Entry) -> None:
    """The person is none of those who worked on this job or let a deviation of it stand. Raises Refused."""
    if entry.by in job.workers:
        raise OWN_WORK(f"{entry.by} worked on job {job.opened.job}")
    if entry.by in job.deciders:
        raise OWN_WORK(f"{entry.by} decided a deviation of job {job.opened.job}")


def _hold(state: State, entry: e.Entry, job: Job, step: e.Step) -> None:
    attempt = job.now(step.key)
    if step.hold is None:
        raise NOT_AN_ANSWER(f"step {step.key} has no hold")
    if step.hold_by == "certificate holder":
        raise NOT_THEIRS(f"step {step.key} is accepted by the release entry alone")
    if attempt.accepted is not None or attempt.rejected is not None:
        raise LOCKED(f"step {step.key}")
    now = standing(job, step.key)
    if now.at is not At.HOLD:
        raise BLOCKED(f"step {step.key}: {now.words or 'it is not done yet'}")
    person, role = state.people[entry.by], step.hold_by
    today = state.day(max(state.latest, entry.entered)).isoformat()
    assert role is not None
    if role not in person.roles or person.authorised.get(SCOPE_OF[role], "") < today:
        raise NOT_THEIRS(f"{step.hold}: the {role} comes")
    _not_before_done(state, entry, attempt)
    _second(job, entry)
    if (
        step.id == VERDICT_STEP
        and isinstance(entry.what, e.StepSigned)
        and entry.what.signature.meaning is e.Meaning.ACCEPTED
        and "v" not in covered(job, step.key)
        and verdict_met(attempt) is not Met.WITHIN
    ):
        raise NO_VERDICT(f"step {step.key}: {attempt.verdict.verdict.outcome if attempt.verdict else 'none'}")


def _raised(state: State, entry: e.Entry, what: e.DeviationRaised) -> None:
    job = job_of(state, what.job)
    if what.step not in job.steps:
        raise NO_SUCH(f"step {what.step} of job {what.job}")
    if what.deviation.casefold() in {d.casefold() for d in job.deviations}:
        raise TAKEN(f"deviation {what.deviation}")
    there = {i.key for i in items(job, what.step)} | {"v", "r"}
    if not set(what.covers) <= there:
        raise NO_SUCH(f"{', '.join(sorted(set(what.covers) - there))} of step {what.step}")


def _decided(state: State, entry: e.Entry, what: e.DeviationDecided) -> None:
    job = job_of(state, what.job)
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
    if what.signature.meaning is not e.Meaning.ACCEPTED and what.decision is e.Decision.STANDS:
        raise MALFORMED("what may stand is signed as accepted")
    if what.signature.meaning is not e.Meaning.REJECTED and what.decision is not e.Decision.STANDS:
        raise MALFORMED("what may not stand is signed as rejected")
    shown = decision_content(state, job, what.deviation)
    check_signature(state, entry, what.signature, shown, job.opened.document, job.opened.plan)


def _released(state: State, entry: e.Entry, what: e.Released) -> None:
    job = job_of(state, what.job)
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
            raise BLOCKED(f"step {step.key}: {standing(job, step.key).words or 'not done yet'}")
        if not last and not complete(job, step.key):
            raise BLOCKED(f"step {step.key} is not complete")
    _second(job, entry)
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
    e.JobOpened: _opened,
    e.JobRevised: _revised,
    e.Readings: _readings,
    e.FileKept: _file,
    e.VerdictKept: _verdict,
    e.StepSigned: _signed,
    e.DeviationRaised: _raised,
    e.DeviationDecided: _decided,
    e.Released: _released,
    e.JobStopped: _stopped,
}
