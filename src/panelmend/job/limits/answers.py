"""Findings on the engineering authority's answers: awaited, or given with reference, name and day."""

from __future__ import annotations

from panelmend.document.answer_check import answer_digest
from panelmend.document.model import Answer, Document
from panelmend.document.people import is_name, maybe_same, same_person
from panelmend.document.wording import shown
from panelmend.errors import Finding, caution_code, confirm_code
from panelmend.job.case import Case

L220 = confirm_code(
    "L220",
    "A value still needs the engineering authority's written answer",
    "get the answer in writing; type its reference, who gave it and when under [[answer]]",
)
L221 = caution_code(
    "L221",
    "A value comes from the engineering authority's answer, not from the data",
    "check that the reference covers this panel, this damage and this value, and that its conditions are met",
)
L222 = confirm_code(
    "L222",
    "Somebody who works on this repair gave the answer that goes beyond the data",
    "name the person responsible for the data: nobody who plans, does or inspects the work may give this "
    "answer",
)
L390 = confirm_code(
    "L390",
    "No second person has checked the engineering authority's answer against the letter",
    "one person types it and another checks it against the letter; neither of them does the work: name them "
    "as typed_by and checked_by under [[answer]]",
)


X584 = confirm_code(
    "X584",
    "The engineering authority's answer is not the one that a second person saw and signed",
    "somebody who did not type it, did not answer and does not do the work checks it against the letter: "
    "panelmend shelf check DOCUMENT --by NAME --against PAPER",
)


def check_answers(case: Case) -> tuple[Finding, ...]:
    """The findings on each answer: awaited or given; who gave, typed and checked it."""
    found = []
    people = case.document.people
    workers = [w for w in (people.technician, people.planner, people.inspector) if w]
    for i, answer in enumerate(case.document.answer):
        place = f"answer[{i + 1}]"
        words = f"{answer.of} = {shown(answer.value)} instead of {answer.was}"
        if not answer.stands:
            lacks = [
                name
                for name, there in (
                    ("reference", answer.reference.strip()),
                    ("by", is_name(answer.by)),
                    ("on", answer.on is not None),
                )
                if not there
            ]
            found.append(L220(f"{words}: no {', no '.join(lacks)}", place=place))
            continue
        said = f"{words}: {answer.reference}, {answer.by}, {answer.on}"
        if people.engineer and not same_person(answer.by, people.engineer):
            said += f", who is not the engineer named under people ({people.engineer})"
        found.append(L221(said + (f"; {answer.conditions}" if answer.conditions else ""), place=place))
        if any(same_person(answer.by, w) for w in workers):
            found.append(L222(f"{answer.of}: {answer.by}, {answer.reference}", place=place))
        unseen = _unseen(answer, people.technician)
        if unseen:
            found.append(L390(f"{answer.of}, {answer.reference}: {unseen}", place=place))
        elif not is_signed(case.document, answer):
            found.append(X584(f"{words}: {answer.reference}; {answer.checked_by} is typed", place=place))
    return tuple(found)


def is_signed(document: Document, answer: Answer) -> bool:
    """Whether a second person signed the answer in its present form, against a paper and not before it was
    given."""
    on, given = answer.checked_on, answer.on
    if on is None or given is None or on < given or not answer.checked_against.strip():
        return False
    return answer.checked_digest == answer_digest(document, answer)


def _unseen(answer: Answer, technician: str) -> str:
    """Why an answer counts as typed by one person alone; empty where a second one has seen it."""
    typed, checked = answer.typed_by, answer.checked_by
    if not is_name(typed):
        return "nobody is named who typed it"
    if not is_name(checked):
        return f"typed by {typed}, and checked by nobody"
    if same_person(typed, checked):
        return f"{typed} typed it and checked it"
    if maybe_same(answer.by, checked):
        return f"{answer.by} answered, and {checked} checked it: that may be one person"
    if not is_name(technician):
        return "people.technician is not named, who may neither type nor check it"
    for who, did in ((typed, "typed"), (checked, "checked")):
        if same_person(who, technician):
            return f"{who}, who does the work, {did} it"
    return ""
