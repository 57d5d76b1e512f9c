"""One finding code in its two documents."""

from __future__ import annotations

from finding_cases import FindingCase
from panelmend.app.pages import load_all
from panelmend.errors import Finding, all_codes
from staged import staged


def found(case: FindingCase, *, within: bool) -> list[Finding]:
    """Findings of the case's code, at its place, in one of its two documents."""
    made = staged(case.document(within=within)).findings(case.code[0])
    return [f for f in made if f.code == case.code and f.place.startswith(case.place)]


def probe(case: FindingCase) -> None:
    """Silent just inside; just outside raised with its severity and its words."""
    load_all()
    assert case.document(within=True) != case.document(within=False)
    assert found(case, within=True) == []
    fired = found(case, within=False)
    assert fired
    severity = next(c.severity for c in all_codes() if c.code == case.code)
    for finding in fired:
        assert finding.severity is severity
        assert case.said in finding.words
