"""What entries about jobs come to."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, assert_never

from panelmend.errors import RangeError
from panelmend.records import events as e
from panelmend.records.state.held import Attempt, Deviation, Filled, Job, Kept
from panelmend.records.state.whole import State, number_key, panel_key


def _opened(s: State, n: e.Entry, w: e.JobOpened) -> None:
    steps = {x.key: x for x in w.steps}
    s.numbers.add(number_key("job", w.job))
    job = s.jobs[w.job] = Job(w, n.by, n.number, n.at, {k: [Attempt()] for k in steps}, steps)
    if (
        s.rules >= 2 and w.follows is not None
    ):  # the same repair goes on: nobody becomes a second person by it
        before = s.jobs[w.follows]
        job.workers |= before.workers
        job.deciders |= before.deciders
        job.accepters |= before.accepters
    s.tickets.add(w.signature.ticket)
    s.papers |= {w.document, *w.pages.values()}
    s.touch(f"job {w.job}", n.number)
    if key := panel_key(w.panel, w.serial):
        s.panels.setdefault(key, []).append(w.job)


def _revised(s: State, n: e.Entry, w: e.JobRevised) -> None:
    job = job_touched(s, n, w.job)
    stands = standing_work(job, w.steps, w.clocks)
    attempts: dict[str, list[Attempt]] = {}
    back = {x.key: held for x, held in job.left}
    for step in w.steps:
        held = job.attempts.get(step.key) or back.get(step.key, [])
        attempts[step.key] = held if step.key in stands or not held else _anew(s, job, step.key, held, n.at)
        attempts[step.key] = attempts[step.key] or [Attempt(since=n.at)]
    kept = {x.key for x in w.steps}
    job.left = [(x, held) for x, held in job.left if x.key not in kept]
    job.left += [(x, job.attempts[x.key]) for x in job.opened.steps if x.key not in kept]
    plan = ("document", "plan", "pages", "standing", "steps", "clocks", "signature")
    fields = (*plan, "outline", "earlier", "kit", "pieces")
    job.opened = job.opened.model_copy(update={f: getattr(w, f) for f in fields})
    job.attempts, job.steps = attempts, {x.key: x for x in w.steps}
    job.revisions.append(n.number)
    s.tickets.add(w.signature.ticket)
    s.papers |= {w.document, *w.pages.values()}


def _anew(s: State, job: Job, key: str, held: list[Attempt], at: str) -> list[Attempt]:
    return [*held, Attempt(since=at)] if _begun_on(s, job, key, held) else held


def standing_work(job: Job, steps: tuple[e.CardStep, ...], clocks: tuple[e.CardClock, ...]) -> frozenset[str]:
    """Keys of steps of a new revision whose work stands: what was begun at them, where the card asks and
    prints the same, the clocks that end there too, and the work of every step they need stands as well.

    The first step, at which the revision itself is read and accepted, is always done again.
    """
    first, stands = steps[0].key, {steps[0].key}
    for step in steps[1:]:
        old = job.steps.get(step.key)
        same = old is not None and old.printed and _asked(old) == _asked(step)
        same = same and _ending(job.opened.clocks, step.key) == _ending(clocks, step.key)
        if same and all(n in stands for n in step.needs):
            stands.add(step.key)
    return frozenset(stands - {first})


def _ending(clocks: tuple[e.CardClock, ...], key: str) -> list[e.CardClock]:
    return [c for c in clocks if c.end == key]


def _asked(step: e.CardStep) -> e.CardStep:
    """A step but for its number on the card, which shifts when another comes in."""
    return step.model_copy(update={"number": 0})


def job_touched(s: State, n: e.Entry, name: str) -> Job:
    """A job that an entry concerns."""
    s.touch(f"job {name}", n.number)
    return s.jobs[name]


def _readings(s: State, n: e.Entry, w: e.Readings) -> None:
    job = job_touched(s, n, w.job)
    attempt = job.now(w.step)
    job.workers.add(n.by)
    for r in w.readings:
        if r.blank in attempt.filled:
            attempt.replaced.append(attempt.filled[r.blank])
        attempt.filled[r.blank] = Filled(r, n.by, n.number, n.at)
        if r.instrument is not None:
            s.touch(f"instrument {r.instrument}", n.number)
        kind = {"lots": "lot", "instruments": "instrument"}.get(job.steps[w.step].blanks[r.blank].names, "")
        for name in r.names if kind else ():
            s.touch(f"batch {name}" if kind == "lot" and name in s.mixed else f"{kind} {name}", n.number)


def _transcribed(s: State, n: e.Entry, w: e.Transcribed) -> None:
    job = job_touched(s, n, w.job)
    attempt = job.now(w.step)
    attempt.on_paper = (w, n.by, n.number)
    attempt.replaced += attempt.filled.values()
    attempt.filled = {r.blank: Filled(r, w.did, n.number, w.did_at) for r in w.readings}
    job.workers |= {n.by, w.did}
    s.papers.add(w.scan)
    for person in (w.did, w.accepted):
        if person is not None:
            s.touch(f"person {person}", n.number)


def _paper_checked(s: State, n: e.Entry, w: e.PaperChecked) -> None:
    job = job_touched(s, n, w.job)
    attempt = job.now(w.step)
    assert attempt.on_paper is not None
    told = attempt.on_paper[0]
    attempt.did, attempt.done_at = (told.did, n.number), told.did_at
    if told.accepted is not None and told.accepted_at is not None:
        attempt.accepted, attempt.done_at = (told.accepted, n.number), told.accepted_at
        job.accepters.add(told.accepted)
    s.tickets.add(w.signature.ticket)


def _file(s: State, n: e.Entry, w: e.FileKept) -> None:
    job = job_touched(s, n, w.job)
    job.now(w.step).files.append((w, n.number))
    job.workers.add(n.by)
    s.papers.add(w.digest)


def _verdict(s: State, n: e.Entry, w: e.VerdictKept) -> None:
    job = job_touched(s, n, w.job)
    job.now(w.step).verdicts.append(Kept(w, n.number, n.by))
    s.logs[w.log] = served_as(job, w.step)
    if w.measured:
        s.logs[w.measured] = served_as(job, w.step)
    s.papers.add(w.report)
    job.workers.add(n.by)


def served_as(job: Job, step: str) -> str:
    """What a cure log served: job, step and attempt."""
    return f"{job.opened.job}, {step}, attempt {len(job.attempts[step])}"


def _signed(s: State, n: e.Entry, w: e.StepSigned) -> None:
    job = job_touched(s, n, w.job)
    attempt = job.now(w.step)
    s.tickets.add(w.signature.ticket)
    attempt.signed.append((w, n.by, n.number))
    meaning = w.signature.meaning
    match meaning:
        case e.Meaning.DID:
            attempt.did = (n.by, n.number)
            attempt.done_at = n.at
            job.workers.add(n.by)
        case e.Meaning.CHECKED:
            pass  # a second pair of eyes moves nothing on
        case e.Meaning.ACCEPTED:
            attempt.accepted = (n.by, n.number)
            attempt.done_at = n.at
            job.accepters.add(n.by)
        case e.Meaning.REJECTED:
            attempt.rejected = (n.by, n.number)
        case _:
            assert_never(meaning)


def entries_covered(job: Job, step: str, item: str) -> tuple[int, ...]:
    """Numbers of the entries that something a deviation covers stands on now; 0 for what is not written."""
    attempt, kind, place = job.now(step), item[0], int(item[1:] or 0)
    if kind == "b":
        return (_written(job, step, place),)
    if kind == "c":
        clock = job.opened.clocks[place]
        ends = [(clock.start, clock.start_blank), (clock.end, clock.end_blank)]
        if clock.until is not None:
            ends.append((clock.until, clock.until_blank))
        return tuple(_written(job, s, b) for s, b in ends)
    if kind == "k":
        return (place,)
    if kind == "v":
        return (attempt.verdict.number if attempt.verdict else 0,)
    if kind == "r":
        return (attempt.rejected[1] if attempt.rejected else 0,)
    raise RangeError(f"no deviation covers {item!r}")


def _written(job: Job, step: str, blank: int) -> int:
    held = job.now(step).filled.get(blank)
    return held.number if held is not None else 0


def _raised(s: State, n: e.Entry, w: e.DeviationRaised) -> None:
    job = job_touched(s, n, w.job)
    seen = {x: entries_covered(job, w.step, x) for x in w.covers}
    held = {x: job.opened.clocks[int(x[1:])] for x in w.covers if x[0] == "c" and s.rules >= 3}
    job.deviations[w.deviation] = Deviation(w, n.by, len(job.attempts[w.step]), n.number, seen, clocks=held)


def _decided(s: State, n: e.Entry, w: e.DeviationDecided) -> None:
    job = job_touched(s, n, w.job)
    dev = job.deviations[w.deviation]
    dev.decided, dev.decided_by = w, n.by
    job.deciders.add(n.by)
    s.tickets.add(w.signature.ticket)
    match w.decision:
        case e.Decision.STOP:
            _close(s, job, "stopped")
        case e.Decision.AGAIN:
            for key in job.after(w.again_from) if w.again_from is not None else ():
                if _begun_on(s, job, key, job.attempts[key]):
                    job.attempts[key].append(Attempt(since=n.at))
        case e.Decision.STANDS:
            pass  # what it covers is asked for where it is judged
        case _:
            assert_never(w.decision)


def _begun_on(s: State, job: Job, key: str, held: list[Attempt]) -> bool:
    """Whether anything hangs on the last attempt at a step: since rules 3 also paper that waits for its
    check, and what an engineer let stand before it was begun."""
    last = held[-1]
    if s.rules >= 3 and (
        last.on_paper or any(d.raised.step == key and d.attempt == len(held) for d in job.deviations.values())
    ):
        return True
    begun = last.filled or last.signed or last.files or last.issued or last.verdicts
    return bool(begun or last.mixed or last.labels or last.coupons)


def _released(s: State, n: e.Entry, w: e.Released) -> None:
    job = job_touched(s, n, w.job)
    job.released = (w, n.by, n.number)
    _close(s, job, "released")
    s.tickets.add(w.signature.ticket)


def _stopped(s: State, n: e.Entry, w: e.JobStopped) -> None:
    _close(s, job_touched(s, n, w.job), "stopped")


def _close(s: State, job: Job, how: str) -> None:
    """A job that is closed keeps nothing in the stores from others."""
    job.closed = how
    for name in s.keeping.pop(job.opened.job, ()):
        s.lots[name].reserved.pop(job.opened.job, None)


TAKE: dict[type, Callable[[State, e.Entry, Any], None]] = {
    e.JobOpened: _opened,
    e.JobRevised: _revised,
    e.Readings: _readings,
    e.Transcribed: _transcribed,
    e.PaperChecked: _paper_checked,
    e.FileKept: _file,
    e.VerdictKept: _verdict,
    e.StepSigned: _signed,
    e.DeviationRaised: _raised,
    e.DeviationDecided: _decided,
    e.Released: _released,
    e.JobStopped: _stopped,
}
