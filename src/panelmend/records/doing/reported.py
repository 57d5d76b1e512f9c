"""What the papers of an entry say themselves, so that an entry cannot say something else."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from panelmend.records import events as e
from panelmend.records.canonical import sha256
from panelmend.records.refusals import OTHER_REPORT

PLAN = "plan.json"


@dataclass(frozen=True)
class Reported:
    """What a cure report says: its outcome, the log's digest, and one digest of what the log holds, which an
    empty line more or another spelling of the file does not change."""

    outcome: str
    log: str
    measured: str


def reported(report: bytes) -> Reported:
    """Read a cure report. Raises Refused where it is none."""
    held = _read(report, "a cure report")
    try:
        rows = [[c["name"], c["role"], c["least"], c["most"]] for c in held["channels"]]
        measured = [held["started"], held["samples"], held["length"], rows]
        return Reported(
            str(held["verdict"]["outcome"]),
            str(held["digest"]),
            sha256(json.dumps(measured, sort_keys=True, ensure_ascii=True)),
        )
    except (KeyError, TypeError) as error:
        raise OTHER_REPORT(f"no cure report: {error} is missing") from None


def stated_in(report: bytes) -> tuple[str, ...]:
    """What people state that the verdict of a cure report rests on, if it conforms, in words. Raises Refused
    where it is no report."""
    verdict = _read(report, "a cure report").get("verdict")
    if not isinstance(verdict, dict) or verdict.get("outcome") != e.Judged.CONFORMS:
        return ()
    return tuple(str(r["states"]) for r in verdict.get("reasons", ()) if r.get("by") and r.get("states"))


def agrees(event: e.Event, papers: dict[str, bytes]) -> None:
    """See that an entry says what its papers say: a verdict what the report says of that log, the beginning
    of a job what the plan says of itself.

    Raises:
        Refused: it says something else.
    """
    if isinstance(event, e.VerdictKept):
        said = reported(papers[event.report])
        if (said.outcome, said.log, said.measured) != (event.outcome.value, event.log, event.measured):
            raise OTHER_REPORT(
                f"the report is of log {said.log[:12]} and says {said.outcome!r}; the entry says "
                f"{event.outcome.value!r} of log {event.log[:12]}"
            )
    elif isinstance(event, e.SignedPlan) and PLAN in event.pages:
        about = _read(papers[event.pages[PLAN]], "a plan").get("about") or {}
        plan = (about.get("standing"), about.get("plan_digest"), " ".join(str(about.get("repair")).split()))
        if plan != (event.standing, event.plan, event.job):
            raise OTHER_REPORT(f"the plan is of repair {plan[2][:40]}, {plan[0]}, digest {str(plan[1])[:12]}")


def _read(data: bytes, what: str) -> dict[str, Any]:
    try:
        held = json.loads(data)
    except (ValueError, RecursionError):
        held = None
    if not isinstance(held, dict):
        raise OTHER_REPORT(f"not {what}")
    return held
