"""Who takes heat on that nobody predicted, or a cure that breaks a limit in some of the cases tried."""

from __future__ import annotations

from panelmend.document import Document
from panelmend.document.model import Confirmation
from panelmend.document.people import is_name, maybe_same, same_person, says_something
from panelmend.job.cure.part import Prediction, held_key


def taken_on(document: Document, key: str) -> Confirmation | None:
    """Who took on the heat of this key, and on what ground: the engineer who is named under people. A bare
    name takes nothing on, nor does who runs the cure or inspects it."""
    return next((c for c in _named(document, key) if not _refused(document, c)), None)


def accepted_heat(document: Document, number: int, made: Prediction) -> Confirmation | None:
    """Who accepted a cure that breaks a limit in some of the cases tried, by exactly these numbers."""
    if made.likelihood is None:
        return None
    return taken_on(document, held_key(number, made))


def not_counted(document: Document, key: str) -> str:
    """Why confirmations of this key count for nothing, to be added to a finding; "" where there is none."""
    why = [_refused(document, c) for c in _named(document, key)]
    return "".join(f"; NOT COUNTED: {w}" for w in why if w)


def by_whom(taken: Confirmation) -> str:
    """Who took it on and when: nobody has seen a signature, the name was typed."""
    return f"{taken.by}, engineer, as typed, {taken.on}"


def asked_of(document: Document) -> str:
    """Who may take it on, in words for what is to be done."""
    engineer = document.people.engineer
    return f"{engineer}, the engineer," if is_name(engineer) else "an engineer (name one under people)"


def refuse(document: Document, by: str, reason: str) -> str:
    """Why a name and a reason would take nothing on; "" where they would."""
    people = document.people
    if not is_name(by):
        return "nobody is named"
    if maybe_same(by, people.technician):
        return f"{by} may be the technician, who runs the cure"
    if maybe_same(by, people.inspector):
        return f"{by} may be the inspector, who accepts the repair"
    if not is_name(people.engineer):
        return f"no engineer is named under people, so nothing shows that {by} is one"
    if not same_person(by, people.engineer):
        return f"{by} is not the engineer named under people ({people.engineer})"
    return "" if says_something(reason) else f"{by} gives no reason"


def _named(document: Document, key: str) -> list[Confirmation]:
    return [c for c in document.confirm if c.figure == key and not c.sheet]


def _refused(document: Document, confirmed: Confirmation) -> str:
    return refuse(document, confirmed.by, confirmed.reason)
