"""What people do on jobs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any, NotRequired, TypedDict, Unpack

from panelmend.records import events as e
from panelmend.records import secrets as s
from panelmend.records.book.acting import NOW, Acting, Shown, When, Who, job_of
from panelmend.records.book.pictures import half_written
from panelmend.records.canonical import moment, sha256, tidy_text
from panelmend.records.doing.reported import reported
from panelmend.records.doing.standing import content, decision_content, opening_content, release_content
from panelmend.records.refusals import MALFORMED, NO_SUCH
from panelmend.records.rules.doing import LARGEST_FILE, earlier_however_spelled
from panelmend.records.rules.ending import release_fields, said_fields
from panelmend.records.state import State
from panelmend.records.store.log import Taken

DECIDED_AS = {  # what the signature under a decision means
    e.Decision.STANDS: e.Meaning.ACCEPTED,
    e.Decision.AGAIN: e.Meaning.REJECTED,
    e.Decision.STOP: e.Meaning.REJECTED,
}


class PlannedWork(TypedDict):
    """What a planner signs that a job is worked by."""

    job: str
    """Number of the repair."""
    document: bytes
    """The repair document."""
    plan: str
    """The plan's digest."""
    pages: Mapping[str, bytes]
    """Printed files and plan.json by name."""
    panel: str
    """The panel's part number or name."""
    serial: str
    """Its serial number."""
    standing: str
    """The plan's standing."""
    steps: Sequence[e.CardStep]
    """From ``doing/sheet.py``."""
    clocks: NotRequired[Sequence[e.CardClock]]
    """From there too."""
    outline: NotRequired[Sequence[e.Vertex]]
    """Of the largest ply, in micrometres as seen from the outside."""
    earlier: NotRequired[Sequence[str]]
    """Numbers of the earlier repairs that the document names."""
    kit: NotRequired[Sequence[e.Need]]
    """What the plan takes from the stores."""
    pieces: NotRequired[Sequence[str]]
    """Names on the labels of what is cut."""


class Jobs(Acting):
    """Jobs: begin, write, sign, deviate, release."""

    def open_job(self, who: Who, *, follows: str | None = None, **plan: Unpack[PlannedWork]) -> Taken:
        """Begin a job from a plan that may be worked from; the planner signs it.

        Args:
            who: a planner.
            follows: a stopped job whose work this one goes on with.
            plan: fields of :class:`PlannedWork`.
        """
        return self._plan_signed(who, plan, {"kind": "job opened", "follows": follows})

    def revise_job(self, who: Who, *, why: str, **plan: Unpack[PlannedWork]) -> Taken:
        """Go on with a job by a new revision of its plan; fields as for :meth:`open_job`, and why.

        What was done stands where the new card asks and prints the same; the first step is done again.
        """
        return self._plan_signed(who, plan, {"kind": "job revised", "why": tidy_text(why)})

    def _plan_signed(self, who: Who, plan: PlannedWork, more: Mapping[str, Any]) -> Taken:
        document, pages = plan["document"], plan["pages"]
        papers = {sha256(document): document, **{sha256(p): p for p in pages.values()}}
        fields: dict[str, Any] = {
            **plan,
            **more,
            "document": sha256(document),
            "pages": {n: sha256(p) for n, p in sorted(pages.items())},
            "panel": tidy_text(plan["panel"]),
            "serial": tidy_text(plan["serial"]),
            "steps": [x.model_dump(mode="json") for x in plan["steps"]],
            "clocks": [x.model_dump(mode="json") for x in plan.get("clocks", ())],
            "outline": tuple(plan.get("outline", ())),
            "earlier": tuple(plan.get("earlier", ())),
            "kit": [x.model_dump(mode="json") for x in plan.get("kit", ())],
            "pieces": tuple(plan.get("pieces", ())),
        }
        ticket = s.new_ticket()

        def build(state: State) -> e.Event:
            blank = self._blank_signature(fields).model_dump(mode="json")
            held = e.event_of({**fields, "signature": blank})
            if isinstance(held, e.SignedPlan):
                earlier_however_spelled(state, held)
            shown = opening_content(state.records, held.model_dump(mode="json"))
            signature = self._signature(
                state, who, e.Meaning.ACCEPTED, shown, fields["document"], plan["plan"], ticket
            )
            return e.event_of({**fields, "signature": signature.model_dump(mode="json")})

        return self.act(who, build, papers=papers)

    def read(self, who: Who, job: str, step: str, readings: Sequence[e.Reading], when: When = NOW) -> Taken:
        """Fill in blanks of a step."""
        return self._now(
            who, e.Readings, when, job=job, step=step, readings=[r.model_dump() for r in readings]
        )

    def keep_file(
        self, who: Who, job: str, step: str, name: str, data: bytes, what: str, when: When = NOW
    ) -> Taken:
        """Keep a photograph or another file with a step; a picture that was cut off is refused."""
        if len(data) > LARGEST_FILE or half_written(data):
            raise MALFORMED(f"{name}: cut off, or more than {LARGEST_FILE} bytes")
        fields: dict[str, Any] = {
            "job": job,
            "step": step,
            "name": name,
            "digest": sha256(data),
            "size": len(data),
            "what": tidy_text(what),
        }
        return self._now(who, e.FileKept, when, {sha256(data): data}, **fields)

    def keep_verdict(
        self,
        who: Who,
        job: str,
        step: str,
        cure: str,
        outcome: e.Judged,
        log: bytes,
        report: bytes,
        when: When = NOW,
    ) -> Taken:
        """Keep the verdict on a cure with the step that opens its bag; ``report`` is the cure report of that
        log, which must say the same."""
        papers = {sha256(log): log, sha256(report): report}
        fields: dict[str, Any] = {
            "job": job,
            "step": step,
            "cure": cure,
            "outcome": outcome,
            "log": sha256(log),
            "report": sha256(report),
            "measured": reported(report).measured,
        }
        return self._now(who, e.VerdictKept, when, papers, **fields)

    def show(self, job: str, step: str) -> Shown:
        """What a signature at a step would cover now."""
        state = self.state
        held = job_of(state, job)
        if step not in held.steps:
            raise NO_SUCH(f"step {step} of job {job}")
        return Shown(content(state, held, step), s.new_ticket())

    def sign(
        self,
        who: Who,
        job: str,
        step: str,
        meaning: e.Meaning,
        shown: Shown,
        why: str = "",
        when: When = NOW,
        strokes: str = "",
    ) -> Taken:
        """Sign at a step what was shown; ``strokes`` the name as it was written by hand, where it was."""
        fields: dict[str, Any] = {"step": step, "why": tidy_text(why), "strokes": strokes}
        return self._signed(who, e.StepSigned, job, meaning, shown, when, **fields)

    def _signed(
        self,
        who: Who,
        kind: type,
        job: str,
        meaning: e.Meaning,
        shown: Shown,
        when: When = NOW,
        papers: Mapping[str, bytes] | None = None,
        **fields: Any,
    ) -> Taken:
        """Enter what a person signs in a job as it was shown."""

        def build(state: State) -> e.Event:
            held = job_of(state, job)
            signature = self._signature(
                state, who, meaning, shown.content, held.opened.document, held.opened.plan, shown.ticket
            )
            made: e.Event = e.made(kind, job=job, signature=signature.model_dump(mode="json"), **fields)
            return made

        return self.act(who, build, when, papers)

    def transcribe(
        self,
        who: Who,
        job: str,
        step: str,
        scan: bytes,
        readings: Sequence[e.Reading],
        *,
        did: str,
        did_at: datetime,
        accepted: str | None = None,
        accepted_at: datetime | None = None,
        why: str,
    ) -> Taken:
        """Type a step from signed paper; it counts when a second person has checked it against the scan."""
        fields: dict[str, Any] = {
            "job": job,
            "step": step,
            "scan": sha256(scan),
            "readings": [r.model_dump() for r in readings],
            "did": did,
            "did_at": moment(did_at),
            "accepted": accepted,
            "accepted_at": moment(accepted_at) if accepted_at else None,
            "why": tidy_text(why),
        }
        return self._now(who, e.Transcribed, papers={sha256(scan): scan}, **fields)

    def check_paper(self, who: Who, job: str, step: str, entry: int, shown: Shown) -> Taken:
        """Sign that a typed paper, by its entry, is what stands on the scan; ``shown`` from :meth:`show`."""
        return self._signed(who, e.PaperChecked, job, e.Meaning.CHECKED, shown, step=step, transcript=entry)

    def raise_deviation(
        self,
        who: Who,
        job: str,
        step: str,
        deviation: str,
        covers: Sequence[str],
        words: str,
        when: When = NOW,
    ) -> Taken:
        """Raise a deviation at a step."""
        fields: dict[str, Any] = {
            "job": job,
            "step": step,
            "deviation": deviation,
            "covers": tuple(covers),
            "words": tidy_text(words),
        }
        return self._now(who, e.DeviationRaised, when, **fields)

    def show_deviation(self, job: str, deviation: str) -> Shown:
        """What an engineer's signature on a deviation would cover now."""
        state = self.state
        held = job_of(state, job)
        if deviation not in held.deviations:
            raise NO_SUCH(f"deviation {deviation} of job {job}")
        return Shown(decision_content(state, held, deviation), s.new_ticket())

    def decide(
        self,
        who: Who,
        job: str,
        deviation: str,
        decision: e.Decision,
        shown: Shown,
        *,
        ground: str,
        words: str,
        again_from: str | None = None,
        paper: bytes | None = None,
        strokes: str = "",
    ) -> Taken:
        """Decide a deviation: it may stand by its place in approved data, work is done again, or the job
        stops."""
        meaning = DECIDED_AS[decision]
        papers = {sha256(paper): paper} if paper is not None else {}
        fields: dict[str, Any] = {
            "deviation": deviation,
            "decision": decision,
            "ground": tidy_text(ground),
            "words": tidy_text(words),
            "again_from": again_from,
            "paper": next(iter(papers), None),
            "strokes": strokes,
        }
        return self._signed(who, e.DeviationDecided, job, meaning, shown, papers=papers, **fields)

    def show_release(self, job: str) -> Shown:
        """What the release entry would cover now, by the log alone."""
        state = self.log.anew()
        return Shown(release_content(state, job_of(state, job)), s.new_ticket())

    def release(
        self,
        who: Who,
        job: str,
        shown: Shown,
        *,
        description: str,
        completed: str,
        certificate_number: str,
        certificate_kind: str,
        strokes: str = "",
    ) -> Taken:
        """Make the release entry; who performed the work is taken from the log, which alone is believed."""
        said_fields(description, certificate_number, certificate_kind)
        self.log.anew()

        def build(state: State) -> e.Event:
            held = job_of(state, job)
            names = sorted({state.people[w].name for w in held.workers})
            fields: dict[str, Any] = {
                "job": job,
                "description": tidy_text(description),
                "completed": completed.strip(),
                "performed_by": names,
                "certificate_number": tidy_text(certificate_number),
                "certificate_kind": tidy_text(certificate_kind),
                "strokes": strokes,
            }
            blank = self._blank_signature({"document": held.opened.document, "plan": held.opened.plan})
            draft: e.Released = e.made(e.Released, **fields, signature=blank.model_dump(mode="json"))
            covered = sha256(shown.content + sha256(release_fields(draft)))
            signature = self._signature(
                state, who, e.Meaning.ACCEPTED, covered, held.opened.document, held.opened.plan, shown.ticket
            )
            made: e.Event = e.made(e.Released, **fields, signature=signature.model_dump(mode="json"))
            return made

        return self.act(who, build)

    def stop_job(self, who: Who, job: str, why: str) -> Taken:
        """Stop a job for good; a new one may follow it."""
        return self._now(who, e.JobStopped, job=job, why=tidy_text(why))
