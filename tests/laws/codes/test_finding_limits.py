"""The codes of the limits stage from both sides."""

from __future__ import annotations

import pytest

from finding_cases import FindingCase, finding_cases
from finding_probe import found, probe

CASES = [c for c in finding_cases() if c.code[0] == "L"]


@pytest.mark.parametrize("case", CASES, ids=[c.name for c in CASES])
def test_a_code_is_silent_just_inside_its_limit_and_fires_just_outside(case: FindingCase) -> None:
    probe(case)


def test_the_reason_for_no_repair_is_the_allowable_size_of_each_skin_and_nothing_else() -> None:
    """Other reasons that hold were told as if they made a repair needless."""
    (case,) = [c for c in CASES if c.limit == "allowable size in both skins"]
    (finding,) = found(case, within=False)
    assert finding.words.count("needs no structural repair") == len(finding.words.split("; ")) == 2
