"""What is found of the engineering authority's answers: awaited, or standing with reference, name and day."""

from __future__ import annotations

from panelmend.document.wording import shown
from panelmend.errors import Finding, Severity, finding_code
from panelmend.job.case import Case

L220 = finding_code(
    "L220",
    Severity.CONFIRM,
    "A value waits for the engineering authority's answer",
    "get the answer in writing; type its reference, who gave it and when under [[answer]]",
)
L221 = finding_code(
    "L221",
    Severity.CAUTION,
    "A value stands on the engineering authority's answer and not on the data",
    "see that the reference covers this panel, this damage and this value, and that its conditions hold",
)
L222 = finding_code(
    "L222",
    Severity.CONFIRM,
    "An answer beyond the data was given by somebody who works on this repair",
    "nobody who plans, does or inspects the work answers for it: name who owns the data",
)


def check_answers(case: Case) -> tuple[Finding, ...]:
    """One finding for each answer."""
    found = []
    people = case.document.people
    workers = {
        " ".join(w.split()).casefold() for w in (people.technician, people.planner, people.inspector) if w
    }
    for i, answer in enumerate(case.document.answer):
        place = f"answer[{i + 1}]"
        words = f"{answer.of} = {shown(answer.value)} in place of {answer.was}"
        if not answer.stands:
            lacks = [
                name
                for name, there in (
                    ("reference", answer.reference.strip()),
                    ("by", answer.by.strip()),
                    ("on", answer.on is not None),
                )
                if not there
            ]
            found.append(L220(f"{words}: no {', no '.join(lacks)}", place=place))
            continue
        said = f"{words}: {answer.reference}, {answer.by}, {answer.on}"
        found.append(L221(said + (f"; {answer.conditions}" if answer.conditions else ""), place=place))
        if " ".join(answer.by.split()).casefold() in workers:
            found.append(L222(f"{answer.of}: {answer.by}, {answer.reference}", place=place))
    return tuple(found)
