"""Rules for jobs: a plan that can be begun, steps in their order, two persons, nothing signed ever
changed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from panelmend.records import events as e
from panelmend.records import seals
from panelmend.records.canonical import seconds_between
from panelmend.records.doing.bench import not_entered
from panelmend.records.doing.judged import Met, covered, items, require_answer, verdict_met
from panelmend.records.doing.standing import (
    At,
    content,
    opening_sum,
    standing,
    statements,
)
from panelmend.records.refusals import (
    BACKWARDS,
    BLOCKED,
    CHANGED,
    DEVIATION_OPEN,
    LATE,
    LOCKED,
    LOG_SERVED,
    MALFORMED,
    NO_SUCH,
    NO_VERDICT,
    NOT_AN_ANSWER,
    NOT_ENTERED,
    NOT_FILLED,
    NOT_IN_PLAN,
    NOT_INCLUDED,
    NOT_READY,
    NOT_THEIR_KEY,
    NOT_THEIRS,
    OUTSIDE,
    OWN_WORK,
    REPLAYED,
    TAKEN,
)
from panelmend.records.rights import SCOPE_OF
from panelmend.records.rules.named import LAID, in_calibration, laid_while_usable, named_in, named_where_read
from panelmend.records.rules.stock import held_for, open_job_of, require_usable
from panelmend.records.state import (
    Attempt,
    Job,
    State,
    jobs_of_panel,
    number_key,
    panel_key,
    served_as,
)

LATE_AFTER = 15 * 60  # [s] what is entered within this of its time is not late
LARGEST_FILE = 64 * 2**20  # [bytes] of a photograph or another file
VERDICT_STEP = "O24"  # the step before the bag is opened


def check_signature(
    state: State, entry: e.Entry, s: e.Signature, shown: str, document: str, plan: str
) -> None:
    """See that a signature is fresh, of exactly what stands there, and sealed by the person's own key. Raises
    Refused."""
    if state.rules >= 2:
        text = seals.text_of(state.records, entry.number, entry.before, entry.bare())
        if not state.prove(entry.number, state.people[entry.by].key, text, s.seal):
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
    _signed_plan(state, entry, what)


def _signed_plan(state: State, entry: e.Entry, what: e.SignedPlan) -> None:
    _look_at_steps(what)
    _earlier(state, what)
    if state.rules >= 3:
        held_for(state, what.job, what.kit, max(state.latest, entry.entered))
    elif what.kit or what.pieces:
        raise MALFORMED("a kit before there were any")
    shown = opening_sum(state.records, entry.unsigned())
    if what.signature.meaning is not e.Meaning.ACCEPTED:
        raise MALFORMED("a plan is signed as accepted: work may go on")
    check_signature(state, entry, what.signature, shown, what.document, what.plan)


def _earlier(state: State, what: e.SignedPlan) -> None:
    """See that a plan knew of every repair bonded and released on its panel. Raises Refused."""
    if state.rules < 2:
        return
    _named_in_plan(state, what, state.panels.get(panel_key(what.panel, what.serial), []))


def earlier_however_spelled(state: State, what: e.SignedPlan) -> None:
    """The same of every repair on a panel whose numbers are typed almost alike. Looked at before an entry is
    made; entries of before it was looked at stay what they are.

    Raises:
        Refused: R237, a repair that the plan did not know of.
    """
    _named_in_plan(state, what, jobs_of_panel(state, panel_key(what.panel, what.serial)))


def _named_in_plan(state: State, what: e.SignedPlan, jobs: Sequence[str]) -> None:
    there = [j for j in jobs if j != what.job]
    bonded = [j for j in there if any(x.operation for x in state.jobs[j].opened.steps)]
    missing = [j for j in bonded if state.jobs[j].closed == "released" and j not in what.earlier]
    if missing:
        spelled = {f"{o.panel} serial {o.serial}" for o in (state.jobs[j].opened for j in missing)}
        raise NOT_IN_PLAN(f"{', '.join(sorted(spelled))}: {', '.join(missing)}")


def _revised(state: State, entry: e.Entry, what: e.JobRevised) -> None:
    job = open_job_of(state, what.job)
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
    _signed_plan(state, entry, what)


def _look_at_steps(what: e.SignedPlan) -> None:
    seen: set[str] = set()
    for step in what.steps:
        if step.key in seen or any(n not in seen for n in step.needs):
            raise MALFORMED(f"step {step.key} stands twice, or before what it needs")
        if (step.hold is None) != (step.hold_by is None):
            raise MALFORMED(f"step {step.key}: a hold and who comes go together")
        if not set(step.pieces) <= set(what.pieces) or len(set(step.pieces)) != len(step.pieces):
            raise MALFORMED(f"step {step.key} names a piece twice, or one that the plan does not have")
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


def open_step(state: State, entry: e.Entry, job_name: str, key: str) -> tuple[Job, e.CardStep, Attempt]:
    """A step that may be written in: READY, nothing signed. Raises Refused."""
    job = open_job_of(state, job_name)
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
        require_answer(step.blanks[r.blank], r, entry.at)
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


def _time_then(state: State, entry: e.Entry, blank: e.CardBlank, r: e.Reading) -> None:
    """A time in a blank: not after the moment it is told of; long before it is entered, it says why. Raises
    Refused."""
    if r.at is None or blank.ahead:
        return
    if r.at > entry.at:
        raise NOT_AN_ANSWER(f"{blank.what!r}: {r.at} is after {entry.at}, of which it is told")
    if seconds_between(r.at, max(state.latest, entry.entered)) > LATE_AFTER and not entry.late.strip():
        raise LATE(f"{blank.what!r}: it was at {r.at}, entered at {entry.entered}")


def _named(state: State, entry: e.Entry, job: Job, blank: e.CardBlank, r: e.Reading) -> None:
    named_in(state, job, blank, r, (entry.at, max(state.latest, entry.entered)))


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
    job = open_job_of(state, what.job)
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
    if s.meaning is e.Meaning.DID and not what.why.strip():
        missing = not_entered(job, what.step)
        if missing:
            raise NOT_ENTERED(f"step {what.step}: {', '.join(missing)}")
    if s.meaning is e.Meaning.REJECTED and not what.why.strip():
        raise NOT_FILLED("what was rejected, and why")
    check_signature(state, entry, s, content(state, job, what.step), job.opened.document, job.opened.plan)


def _did(state: State, entry: e.Entry, job: Job, step: e.CardStep) -> None:
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
        require_usable(state, state.lots[issue.lot], entry.at, out=gone + seconds_between(at, entry.at))
        if (
            state.rules >= 2
        ):  # signed late it must still be usable: a time that is typed makes nothing younger
            late = max(state.latest, entry.entered)
            require_usable(state, state.lots[issue.lot], late, out=gone + seconds_between(at, late))
    if state.rules >= 2 and step.id in LAID:
        laid_while_usable(state, job, step, (entry.at, max(state.latest, entry.entered)))
    last = max((f.at for f in attempt.filled.values()), default="")
    if entry.at < last:
        raise BACKWARDS(f"step {step.key}: something in it was read at {last}")


def _checked(state: State, entry: e.Entry, job: Job, step: e.CardStep) -> None:
    if job.now(step.key).did is None:
        raise BLOCKED(f"step {step.key}: not done yet")
    _not_before_done(state, entry, job.now(step.key))
    second(job, entry)


def _not_before_done(state: State, entry: e.Entry, attempt: Attempt) -> None:
    if state.rules >= 2 and entry.at < attempt.done_at:
        raise BACKWARDS(f"it was done at {attempt.done_at}")


def second(job: Job, entry: e.Entry) -> None:
    """The person is none of those who worked on this job or let a deviation of it stand. Raises Refused."""
    if entry.by in job.workers:
        raise OWN_WORK(f"{entry.by} worked on job {job.opened.job}")
    if entry.by in job.deciders:
        raise OWN_WORK(f"{entry.by} decided a deviation of job {job.opened.job}")


def _hold(state: State, entry: e.Entry, job: Job, step: e.CardStep) -> None:
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
    second(job, entry)
    if (
        step.id == VERDICT_STEP
        and isinstance(entry.what, e.StepSigned)
        and entry.what.signature.meaning is e.Meaning.ACCEPTED
        and "v" not in covered(job, step.key)
        and verdict_met(attempt) is not Met.WITHIN
    ):
        raise NO_VERDICT(f"step {step.key}: {attempt.verdict.verdict.outcome if attempt.verdict else 'none'}")


RULES: dict[type, Callable[[State, e.Entry, Any], None]] = {
    e.JobOpened: _opened,
    e.JobRevised: _revised,
    e.Readings: _readings,
    e.FileKept: _file,
    e.VerdictKept: _verdict,
    e.StepSigned: _signed,
}
