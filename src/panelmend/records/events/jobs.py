"""Entries about jobs: begun, written, signed, deviated, released."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from panelmend.records.events.card import CardClock, CardStep, Need, Reading, Signature
from panelmend.records.events.fields import (
    Count,
    Decision,
    Digest,
    Frozen,
    Id,
    Judged,
    Moment,
    Said,
    Strokes,
    Vertex,
    Words,
    later,
)


class SignedPlan(Frozen):
    """A plan that its planner signed to be worked by; ``pages`` are the printed files by digest, ``outline``
    that of the largest ply, ``earlier`` the numbers of earlier repairs that the document names, ``kit`` what
    it takes from the stores, ``pieces`` the names on the labels of what is cut."""

    job: Id
    document: Digest
    plan: Digest
    pages: dict[str, Digest]
    panel: Words
    serial: Said
    standing: Literal["READY", "DRAFT", "STOP"]
    steps: Annotated[tuple[CardStep, ...], Field(min_length=1, max_length=2000)]
    clocks: tuple[CardClock, ...] = ()
    signature: Signature
    outline: Annotated[tuple[Vertex, ...], Field(max_length=2000)] = later(())
    earlier: Annotated[tuple[Said, ...], Field(max_length=100)] = later(())
    kit: Annotated[tuple[Need, ...], Field(max_length=500)] = later(())
    pieces: Annotated[tuple[Id, ...], Field(max_length=2000)] = later(())


class JobOpened(SignedPlan):
    """Work begins from a plan."""

    kind: Literal["job opened"] = "job opened"
    follows: Id | None = None


class JobRevised(SignedPlan):
    """A new revision of the plan of a job in work. What is done stands where the card asks the same for it;
    all else is done again, and what was done stays."""

    kind: Literal["job revised"] = "job revised"
    why: Words


class Readings(Frozen):
    kind: Literal["readings"] = "readings"
    job: Id
    step: Id
    readings: Annotated[tuple[Reading, ...], Field(min_length=1, max_length=100)]


class Transcribed(Frozen):
    """A step as it stands on signed paper, where no machine was at the panel: readings, who did it and who
    accepted it and when, with the scan. It counts when a second person has checked it against the scan."""

    kind: Literal["paper transcribed"] = "paper transcribed"
    job: Id
    step: Id
    scan: Digest
    readings: Annotated[tuple[Reading, ...], Field(max_length=100)]
    did: Id
    did_at: Moment
    accepted: Id | None = None
    accepted_at: Moment | None = None
    why: Words


class PaperChecked(Frozen):
    """A second person has compared a typed paper, by its entry, with the scan; it counts from here on."""

    kind: Literal["transcript checked"] = "transcript checked"  # the log's own word stays: old logs hold it
    job: Id
    step: Id
    transcript: Count
    signature: Signature


class FileKept(Frozen):
    kind: Literal["file kept"] = "file kept"
    job: Id
    step: Id
    name: Id
    digest: Digest
    size: Count
    what: Words


class VerdictKept(Frozen):
    """The verdict on a cure, at the step that opens the bag; ``measured`` is one digest of what the log
    holds, however its file is spelled."""

    kind: Literal["verdict kept"] = "verdict kept"
    job: Id
    step: Id
    cure: Words
    outcome: Judged
    log: Digest
    report: Digest
    measured: Annotated[str, StringConstraints(pattern=r"^([0-9a-f]{64})?$")] = later("")


class StepSigned(Frozen):
    kind: Literal["step signed"] = "step signed"
    job: Id
    step: Id
    signature: Signature
    why: Said = ""
    strokes: Strokes = later("")


class DeviationRaised(Frozen):
    """``covers`` names blanks by number ("b3"), clocks ("c0"), the verdict ("v"), the rejection ("r"), or a
    coupon's result by its entry ("k57")."""

    kind: Literal["deviation raised"] = "deviation raised"
    job: Id
    step: Id
    deviation: Id
    covers: tuple[Annotated[str, StringConstraints(pattern=r"^(b\d{1,3}|c\d{1,3}|k\d{1,9}|v|r)$")], ...]
    words: Words


class DeviationDecided(Frozen):
    """``again_from`` is the step from which work is done again; ``ground`` its place in the approved data."""

    kind: Literal["deviation decided"] = "deviation decided"
    job: Id
    deviation: Id
    decision: Decision
    ground: Words
    words: Words
    again_from: Id | None = None
    paper: Digest | None = None
    signature: Signature
    strokes: Strokes = later("")


class Released(Frozen):
    """The release entry with the fields of 14 CFR 43.9(a); an empty one is refused with its name."""

    kind: Literal["released"] = "released"
    job: Id
    description: Said
    completed: Said
    performed_by: tuple[Words, ...]
    certificate_number: Said
    certificate_kind: Said
    signature: Signature
    strokes: Strokes = later("")


class JobStopped(Frozen):
    kind: Literal["job stopped"] = "job stopped"
    job: Id
    why: Words


JobEvent = (
    JobOpened
    | JobRevised
    | Readings
    | Transcribed
    | PaperChecked
    | FileKept
    | VerdictKept
    | StepSigned
    | DeviationRaised
    | DeviationDecided
    | Released
    | JobStopped
)
