"""One person in two of the roles of a repair, which are two so that a second one looks."""

from __future__ import annotations

from collections.abc import Iterator

from panelmend.document.model import Document
from panelmend.document.people import same_person
from panelmend.errors import Finding, caution_code, confirm_code

J587 = confirm_code(
    "J587",
    "The engineer of this repair also does the work",
    "name another engineer, or somebody else to do the work: nobody who does the work releases a value, a "
    "limit or a deviation for it",
)
J588 = caution_code(
    "J588",
    "The engineer of this repair also inspects it",
    "check that the shop's procedures let one person release the values of a repair and also accept it; "
    "otherwise name somebody else for one of them",
)


def check_roles(document: Document) -> Iterator[Finding]:
    """One finding for each role that the engineer has beside their own."""
    people = document.people
    for code, role, name in ((J587, "technician", people.technician), (J588, "inspector", people.inspector)):
        if people.engineer and same_person(people.engineer, name):
            yield code(f'engineer "{people.engineer}", {role} "{name}"', place="people.engineer")
