"""Findings that no document makes at will, from both sides: parts of the plan that were built."""

from __future__ import annotations

import pytest

from finding_parts import PARTS, Built
from panelmend.app.pages import import_registering
from panelmend.errors import all_codes

CASES = [(code, case) for code, cases in PARTS.items() for case in cases]


@pytest.mark.parametrize(("code", "case"), CASES, ids=[f"{c} {b.limit}" for c, b in CASES])
def test_a_code_is_silent_just_inside_its_limit_and_fires_just_outside(code: str, case: Built) -> None:
    import_registering()
    assert [f for f in case.by(True) if f.code == code] == []
    fired = [f for f in case.by(False) if f.code == code]
    assert fired
    assert {f.severity for f in fired} == {c.severity for c in all_codes() if c.code == code}
    assert case.why
