"""The codes of the limits stage from both sides."""

from __future__ import annotations

import pytest

from finding_cases import FindingCase, finding_cases
from finding_probe import probe

CASES = [c for c in finding_cases() if c.code[0] == "L"]


@pytest.mark.parametrize("case", CASES, ids=[c.name for c in CASES])
def test_a_code_is_silent_just_inside_its_limit_and_fires_just_outside(case: FindingCase) -> None:
    probe(case)
