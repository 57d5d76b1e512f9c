"""What looks taken over from another job, or typed into the field beside its own."""

from __future__ import annotations

from collections.abc import Iterator

from panelmend.document.model import Document
from panelmend.errors import Finding, caution_code, confirm_code

J585 = caution_code(
    "J585",
    "A confirmation of this job is dated long before the work",
    "check that it was given for this repair and not carried over from another one; have it given again, or "
    "put what applies to many repairs on a practice sheet",
)
J586 = confirm_code(
    "J586",
    "The same number is typed in two fields that never share one",
    "read each number from its own place: the serial number off the data plate, the registration off the "
    "aircraft, the number of the repair off the work order; correct the field that is wrong",
)
LONG = 30  # days; common practice, no source


def check_copied(document: Document) -> Iterator[Finding]:
    """One finding for old confirmations, one for each two fields with one number."""
    day = document.repair.work_date
    old = [c for c in document.confirm if not c.sheet and (day - c.on).days > LONG]
    if old:
        said = "; ".join(f"{c.figure}, {c.by}, {c.on}, {(day - c.on).days} days before" for c in old)
        yield J585(said, place="confirm")
    named = (
        ("panel.serial", document.panel.serial),
        ("panel.part_number", document.panel.part_number),
        ("repair.registration", document.repair.registration),
        ("repair.number", document.repair.number),
    )
    for i, (field, number) in enumerate(named):
        for other, also in named[i + 1 :]:
            if _bare(number) and _bare(number) == _bare(also):
                yield J586(f'"{number}" under {field} and {other}', place=field)


def _bare(number: str) -> str:
    """Letters and digits alone: blanks, marks and capitals are no other number."""
    return "".join(c for c in number.casefold() if c.isalnum())
