"""Values of an entry that were changed since a job was packed, accepted by its engineer one by one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from panelmend.document.fault import Fault, fault_at
from panelmend.document.people import same_person
from panelmend.document.shelved import Statement
from panelmend.document.wording import shown, value_at
from panelmend.errors import Finding, caution_code
from panelmend.shelves.deviate import path_from_message
from panelmend.shelves.entry import ShelfEntry
from panelmend.shelves.model import Accept
from panelmend.shelves.names import tidy_name
from panelmend.shelves.referenced import OfJob, stated, unseen_finding

X583 = caution_code(
    "X583",
    "Values of a shelf entry changed after the job was packed, and the engineer accepts them",
    "check that the reference covers every value that is listed",
)


@dataclass
class Accepted:
    """What a second person is shown of it, what is found, what is wrong, and of what stands shelf, entry and
    path of each value."""

    statements: list[Statement] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    values: set[tuple[str, str, str]] = field(default_factory=set)


def accepted(
    given: Sequence[Accept], entries: Sequence[ShelfEntry], engineer: str, of_job: OfJob
) -> Accepted:
    """Look at every entry that a job's engineer accepts as it is now."""
    made = Accepted()
    for i, accept in enumerate(given):
        entry = next((e for e in entries if tidy_name(e.head.name) == tidy_name(accept.entry)), None)
        if entry is None:
            at, words = ("accept", i, "entry"), "the job uses no such entry"
            made.faults.append(fault_at(at, words, shown(accept.entry), "the name of an entry that it uses"))
            continue
        listed = [f"{v} = {_now(entry, v)}" for v in accept.values]
        lines = [
            ("entry", f"{entry.words} [{entry.checked_digest[:12]}]"),
            *(("accepted", x) for x in listed),
        ]
        lines.append(("reference", f"{accept.reference}, {accept.by}, {accept.on}"))
        statement = stated(accept, ("accept", i), lines, of_job)
        if not (engineer and same_person(accept.by, engineer)):
            why = f"{accept.by} is not the engineer named under people, or does the work or accepts it"
            statement = replace(statement, open=why)
        made.statements.append(statement)
        words = f"{entry.words}: {'; '.join(listed)}; {accept.by}, {accept.on}, reference {accept.reference}"
        place = f"accept[{i + 1}]"
        if statement.open:
            made.findings.append(unseen_finding(words, statement, place))
        else:
            made.findings.append(X583(words, place=place))
            made.values |= {(entry.head.shelf, entry.head.name, v) for v in accept.values}
    return made


def _now(entry: ShelfEntry, path: str) -> str:
    parts = path_from_message(path)
    value = value_at(entry.raw, parts) if parts is not None else None
    return "nothing" if value is None else shown(value)
