"""Every finding code from both sides: a document just inside its limit and one just outside."""

from __future__ import annotations

from pathlib import Path

import pytest

from finding_cases import FindingCase, finding_cases
from finding_parts import PARTS
from finding_probe import probe
from panelmend.app.pages import load_all
from panelmend.errors import all_codes
from staged import staged

CASES = finding_cases()
OTHERS = [c for c in CASES if c.code[0] != "L"]  # those of the limits stand in their own file
STAGES = "SLCPKDNQBHTJ"
TESTS = Path(__file__).parents[2]


@pytest.mark.parametrize("case", OTHERS, ids=[c.name for c in OTHERS])
def test_a_code_is_silent_just_inside_its_limit_and_fires_just_outside(case: FindingCase) -> None:
    probe(case)


def named_elsewhere(code: str) -> bool:
    """Whether a test of its own names a code of the 130s and up: newer rules came with their limits tried."""
    own = [p for p in TESTS.rglob("test_*.py") if f'"{code}"' in p.read_text("utf8")]
    return int(code[1:]) >= 130 and bool(own)


def test_every_code_of_the_plan_has_its_two_cases() -> None:
    """Documents for what documents can make, and parts that were built for what they can't."""
    load_all()
    codes = {c.code for c in all_codes() if c.code[0] in STAGES}
    documents = {c.code for c in CASES}
    rest = {c for c in codes - documents - set(PARTS) if not named_elsewhere(c)}
    assert rest == set(), "give these a case in tests/finding_documents or tests/finding_parts.py"
    assert documents & set(PARTS) == set()
    assert (documents | set(PARTS)) - codes == set()


def test_the_stages_one_by_one_find_what_the_whole_plan_finds() -> None:
    """The stages run here are those of a plan."""
    for case in CASES[:: len(CASES) // 8]:
        if case.code[0] in "SLCPKD":
            made = staged(case.document(within=False))
            apart = {f for f in made.findings("D") if f.code[0] in "SLCPKD"}
            assert apart == {f for f in made.findings("J") if f.code[0] in "SLCPKD"}


def test_a_piece_that_no_longer_stands_in_the_example_fails() -> None:
    gone = FindingCase(
        "L101", "x", "gear_door", "repair.toml", (), (("no such piece", ""),), (("serial", "s"),), "", ""
    )
    with pytest.raises(AssertionError, match="stands 0 times"):
        gone.document(within=True)
