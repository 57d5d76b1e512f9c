"""One person in two of the roles of a repair, which are two so that a second one looks."""

from __future__ import annotations

from collections.abc import Iterator

from panelmend.document.model import Document
from panelmend.document.people import same_person
from panelmend.errors import Finding, Severity, finding_code

J587 = finding_code(
    "J587",
    Severity.CONFIRM,
    "The engineer of this repair also does its work",
    "name another engineer, or somebody else who does the work: who does it releases no value, no limit and "
    "no departure of it",
)
J588 = finding_code(
    "J588",
    Severity.CAUTION,
    "The engineer of this repair also inspects it",
    "see that the procedures of the shop let one person release values of a repair and accept it; else name "
    "another for one of them",
)


def check_roles(document: Document) -> Iterator[Finding]:
    """One finding for each role that the engineer has beside their own."""
    people = document.people
    for code, role, name in ((J587, "technician", people.technician), (J588, "inspector", people.inspector)):
        if people.engineer and same_person(people.engineer, name):
            yield code(f'engineer "{people.engineer}", {role} "{name}"', place="people.engineer")
