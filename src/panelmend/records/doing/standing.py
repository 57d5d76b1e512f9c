"""Where each step stands: READY, BLOCKED (by what), HOLD (who must come), COMPLETE."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from panelmend.records import events as e
from panelmend.records.canonical import canonical, of_entries, sha256
from panelmend.records.doing.judged import covered
from panelmend.records.state import Job, State


class At(StrEnum):
    """Where a step stands."""

    READY = "READY"
    BLOCKED = "BLOCKED"
    HOLD = "HOLD"
    COMPLETE = "COMPLETE"


@dataclass(frozen=True)
class StepStanding:
    """Where a step stands, and by what or whom it waits."""

    at: At
    words: str = ""


def complete(job: Job, key: str) -> bool:
    """Whether a step is done, and accepted where the card has a hold."""
    step, attempt = job.steps[key], job.now(key)
    if attempt.rejected is not None or attempt.did is None:
        return False
    if step.hold_by == "certificate holder":
        return job.released is not None
    return step.hold is None or attempt.accepted is not None


def open_deviations(job: Job, key: str) -> list[str]:
    """Deviations not decided that bear on a step: raised at it or at a step before it."""
    return [
        d.raised.deviation
        for d in job.deviations.values()
        if d.decided is None and key in job.after(d.raised.step)
    ]


def standing(job: Job, key: str) -> StepStanding:
    """Where a step stands now."""
    step, attempt = job.steps[key], job.now(key)
    if job.closed and not complete(job, key):
        return StepStanding(At.BLOCKED, f"the job is {job.closed}")
    waiting = open_deviations(job, key)
    if waiting:
        return StepStanding(At.BLOCKED, f"deviation {', '.join(waiting)}: the engineer decides")
    if attempt.rejected is not None:
        return StepStanding(At.BLOCKED, f"rejected by {attempt.rejected[0]}: raise a deviation")
    if complete(job, key):
        return StepStanding(At.COMPLETE)
    opening = job.opened.steps[0]
    if job.revisions and key != opening.key and not complete(job, opening.key):
        return StepStanding(At.BLOCKED, f"step {opening.number} ({opening.id}): the plan was revised")
    first = [n for n in step.needs if not complete(job, n)]
    if first:
        names = [f"step {job.steps[n].number} ({job.steps[n].id})" for n in first]
        return StepStanding(At.BLOCKED, ", ".join(names))
    if attempt.did is not None:
        return StepStanding(
            At.HOLD, f"{step.hold}: the {step.hold_by} comes, who did none of this job's work"
        )
    return StepStanding(At.READY)


def content(state: State, job: Job, key: str) -> str:
    """Digest of everything a signature at a step covers: the step, all that was written, verdict, files,
    lots, deviations, and what was signed there before."""
    attempt = job.now(key)
    told = attempt.on_paper
    coupons = [[x.made.coupon, x.number, [n for _, _, n in x.results]] for x in attempt.coupons]
    return sha256(
        of_entries(
            {
                **({"transcript": [told[0].model_dump(mode="json"), told[1], told[2]]} if told else {}),
                **({"mixed": [[m.batch, n] for m, n in attempt.mixed]} if attempt.mixed else {}),
                **({"labels": [[x.piece, n] for x, n in attempt.labels]} if attempt.labels else {}),
                **({"coupons": coupons} if coupons else {}),
                "records": state.records,
                "job": job.opened.job,
                "document": job.opened.document,
                "plan": job.opened.plan,
                "pages": job.opened.pages,
                "step": job.steps[key].model_dump(mode="json"),
                "attempt": len(job.attempts[key]),
                "filled": {
                    str(i): [f.reading.model_dump(mode="json"), f.by, f.number, f.at]
                    for i, f in attempt.filled.items()
                },
                "replaced": [f.number for f in attempt.replaced],
                "files": [[w.name, w.digest, n] for w, n in attempt.files],
                "lots": [[w.lot, w.amount, at] for w, at, _ in attempt.issued],
                "verdicts": [[k.verdict.model_dump(mode="json"), k.number] for k in attempt.verdicts],
                "deviations": [
                    [d.number, d.decided.model_dump(mode="json") if d.decided else None]
                    for d in job.deviations.values()
                    if d.raised.step == key
                ],
                "signed": [n for _, _, n in attempt.signed],
                "covered": sorted(covered(job, key)),
            }
        )
    )


def opening_content(records: str, opened: dict[str, object]) -> str:
    """Digest of what the planner signs when a job begins: everything but the signature itself."""
    held = {k: v for k, v in opened.items() if k != "signature"}
    return opening_sum(records, canonical(held))


def opening_sum(records: str, opened: str) -> str:
    """The same of the canonical text of a beginning without its signature."""
    return sha256(f'{{"opened":{opened},"records":{canonical(records)}}}')


def decision_content(state: State, job: Job, deviation: str) -> str:
    """Digest of what the engineer signs: the deviation and the step as it stands."""
    d = job.deviations[deviation]
    raised = d.raised.model_dump(mode="json")
    return sha256(
        of_entries({"raised": raised, "number": d.number, "step": content(state, job, d.raised.step)})
    )


def release_content(state: State, job: Job) -> str:
    """Digest of the whole job as it is released: every step as it counts, every deviation."""
    held = {s.key: content(state, job, s.key) for s in job.opened.steps}
    devs = [
        [d.number, d.decided.model_dump(mode="json") if d.decided else None] for d in job.deviations.values()
    ]
    whole: dict[str, object] = {"steps": held, "deviations": devs, "attempts": _counts(job)}
    if job.revisions:
        whole["revisions"] = job.revisions
        whole["left"] = [[x.key, len(held)] for x, held in job.left]
    return sha256(of_entries(whole))


def _counts(job: Job) -> dict[str, int]:
    return {k: len(v) for k, v in job.attempts.items()}


def statements() -> dict[e.Meaning, str]:
    """What each meaning says, in the card's own sentences."""
    from panelmend.job.card.holds import SIGNED

    return {e.Meaning(m): words for m, words in SIGNED}
