"""The load cases of the strength comparison."""

from __future__ import annotations

from collections.abc import Iterator

from panelmend.document.fault import Fault, fault_at
from panelmend.document.model import Document


def _cases(document: Document) -> Iterator[Fault]:
    names = [c.name for c in document.data.strength.case]
    for i, case in enumerate(document.data.strength.case):
        path = ("data", "strength", "case", i)
        if not (case.nx or case.ny or case.nxy or case.pressure):
            yield fault_at(
                path,
                "a load case without a load: it names no direction",
                repr(case.name),
                "nx, ny, nxy or pressure",
            )
        if case.name in names[:i]:
            yield fault_at((*path, "name"), "used twice", repr(case.name), "a name of its own")


CHECKS = ((_cases, ("data.strength",)),)
