"""Every finding code from both sides: a document just inside its limit and one just outside."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from finding_cases import FindingCase, finding_cases
from finding_parts import PARTS
from finding_probe import found, probe
from panelmend.app.pages import import_registering
from panelmend.errors import all_codes
from staged import staged

CASES = finding_cases()
OTHERS = [c for c in CASES if c.code[0] != "L"]  # those of the limits stand in their own file
STAGES = "SLCPKDNQBHTJ"
TESTS = Path(__file__).parents[2]
# A closed list: tried in tests of their own, not yet in the table.
ELSEWHERE = {
    "laws/card/test_card_fifth.py": "B140 B141",
    "laws/test_compare.py": "J350",
    "laws/test_left_open.py": "J468",
    "laws/test_heat_caul.py": "H135",
}


@pytest.mark.parametrize("case", OTHERS, ids=[c.name for c in OTHERS])
def test_a_code_is_silent_just_inside_its_limit_and_fires_just_outside(case: FindingCase) -> None:
    probe(case)


@pytest.mark.parametrize(
    "case", [c for c in CASES if c.code in ("P123", "P125", "K108")], ids=lambda c: c.name
)
def test_a_value_past_its_limit_is_printed_past_it(case: FindingCase) -> None:
    """Both rounded to the nearest, "0.05 %, at most 0.05 %" asked for an explanation."""
    for finding in found(case, within=False):
        has, most = re.findall(r"(\d+(?:\.\d+)?)(?:°| %)", finding.words)[:2]
        assert float(has) > float(most), finding.words


def test_every_code_of_the_plan_has_its_two_cases() -> None:
    """Documents for what documents can make, and parts that were built for what they can't."""
    import_registering()
    codes = {c.code for c in all_codes() if c.code[0] in STAGES}
    documents = {c.code for c in CASES}
    elsewhere = {c: file for file, some in ELSEWHERE.items() for c in some.split()}
    unnamed = {c for c, file in elsewhere.items() if f'"{c}"' not in (TESTS / file).read_text("utf8")}
    assert unnamed == set(), "their own tests no longer name these"
    rest = codes - documents - set(PARTS) - set(elsewhere)
    assert rest == set(), "give these a case in tests/finding_documents or tests/finding_parts.py"
    assert set(elsewhere) & (documents | set(PARTS)) == set()
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
