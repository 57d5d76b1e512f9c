"""What an engineer says in a job, and whether a second person held it against the engineer's paper.

Name and reference are text that whoever writes the job can type. They make an approved value another one only
when somebody else, who is neither the engineer nor who typed it nor who does the work, has held what the job
says now against the paper itself. Like the check of an entry it guards against slips and is no signature.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from panelmend.document.answer_check import CHECKED, job_number
from panelmend.document.people import is_name, maybe_same
from panelmend.document.places import Path
from panelmend.document.shelved import Statement
from panelmend.errors import Finding, confirm_code
from panelmend.shelves.digests import whole_digest
from panelmend.shelves.model import Accept, Keep, ShelfDeviation, ZoneSaid

X582 = confirm_code(
    "X582",
    "No second person has checked the engineer's values against the engineer's paper",
    "somebody who is not the engineer, did not type it and does not do the work checks it against the "
    "paper: panelmend shelf check JOB --by NAME --against PAPER; what the authority answers goes under "
    "[[answer]]",
)
Said = ShelfDeviation | Keep | Accept | ZoneSaid


@dataclass(frozen=True)
class OfJob:
    """Whose statements they are: number of the repair, serial number of the panel, who does the work."""

    number: str
    serial: str
    technician: str

    @classmethod
    def of(cls, raw: dict[str, object]) -> OfJob:
        """From the raw values of a job."""

        def text(table: str, key: str) -> str:
            here = raw.get(table)
            return str(here.get(key) or "") if isinstance(here, dict) else ""

        number = job_number(text("repair", "number"), text("damage", "id"))
        return cls(number, text("panel", "serial"), text("people", "technician"))


def stated(given: Said, at: Path, lines: Iterable[tuple[str, str]], of_job: OfJob) -> Statement:
    """A statement of a job as a second person sees it; ``open`` says why it does not stand yet.

    Args:
        given: what was typed.
        at: where it stands in the job.
        lines: what it says and what it says otherwise than, name and value.
        of_job: the job.
    """
    shown = tuple(lines)
    said = {k: v for k, v in given.model_dump(mode="json").items() if k not in CHECKED}
    digest = whole_digest({"said": said, "shown": shown, "number": of_job.number, "serial": of_job.serial})
    made = Statement(at, shown, given.typed_by, given.by, digest)
    return replace(made, open=_open(given, of_job.technician, digest))


def refused(statement: Statement, checker: str, technician: str) -> str:
    """Why somebody cannot check a statement; "" where they can."""
    if not is_name(statement.typed_by):
        return "nobody is named who typed it (typed_by)"
    if not is_name(technician):
        return "people.technician is not named, who may neither type nor check it"
    if maybe_same(statement.typed_by, technician):
        return f"{statement.typed_by}, who does the work, typed it"
    if not is_name(checker):
        return f"typed by {statement.typed_by}, and checked by nobody"
    for who, what in (
        (statement.typed_by, "typed it"),
        (statement.by, "answers for it"),
        (technician, "does the work"),
    ):
        if maybe_same(checker, who):
            return f"{checker} checked it, and {who} {what}: that may be one person"
    return ""


def _open(given: Said, technician: str, digest: str) -> str:
    why = refused(Statement((), (), given.typed_by, given.by, digest), given.checked_by, technician)
    if why:
        return why
    if given.checked_on is None or given.checked_on < given.on:
        return "it was checked on no day, or before it was given"
    if not given.checked_against.strip():
        return "it was checked against no paper"
    if given.checked_digest != digest:
        return f"it is not what {given.checked_by} checked: it, or what it departs from, was changed since"
    return ""


def unseen_finding(words: str, statement: Statement, place: str) -> Finding:
    """That a statement does not stand yet, and why."""
    return X582(f"{words}: {statement.open}", place=place)
