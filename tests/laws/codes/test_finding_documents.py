"""Every finding code from both sides: a document just inside its limit and one just outside."""

from __future__ import annotations

import re
from collections.abc import Iterable

import pytest

import judge_lost  # noqa: F401  # its cases stand in the table too
from finding_cases import FindingCase, finding_cases
from finding_parts import PARTS
from finding_probe import found, probe
from finding_shelves import ShelfCase
from judge_cases import JUDGED
from panelmend.app.pages import import_registering
from panelmend.errors import all_codes
from staged import staged
from strange_units import INCHES, METRIC

CASES = finding_cases()
OTHERS = [c for c in CASES if c.code[0] != "L"]  # those of the limits stand in their own file


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


def lacking(codes: set[str], tried: Iterable[str]) -> set[str]:
    """Codes of any letter that no row of the tables tries from both sides."""
    return codes - set(tried)


def test_every_code_of_every_letter_has_its_two_cases() -> None:
    """Documents and jobs on shelves for what these can make, built parts or logs for what they can't."""
    import_registering()
    codes = {c.code for c in all_codes()}
    tables = [{c.code for c in CASES}, set(PARTS), set(JUDGED)]
    assert lacking(codes, set[str]().union(*tables)) == set(), (
        "give these a case in tests/finding_documents, tests/finding_parts.py or tests/judge_cases.py"
    )
    assert sum(map(len, tables)) == len(codes), "a code stands in one table, and is a code"
    assert {c[0] for c in codes} == set("SLCPKDNQBHTJVX")


def test_titles_and_actions_name_no_unit_of_one_reader() -> None:
    """They stand as they are for both; a number with a unit goes into the words, in the reader's."""
    import_registering()
    measured = [(c.code, s) for c in all_codes() for s in (c.title, c.todo) if one_readers(s)]
    assert measured == []


def one_readers(said: str) -> bool:
    """Whether it gives a measure in units that one of the two readers does not use."""
    return bool(METRIC.search(said) or INCHES.search(said))


def test_a_title_with_a_unit_is_seen() -> None:
    assert one_readers("The data's heating rate is above the published 10 F/min")
    assert one_readers("leave 5 mm")
    assert not one_readers("use 95 %, 2 min, or turn it to 90 degrees")


def test_a_code_without_a_row_and_a_row_with_one_side_are_seen() -> None:
    assert lacking({"X101", "L101", "Z999"}, ["X101", "L101"]) == {"Z999"}
    for case in CASES:
        assert case.inside or case.outside or isinstance(case, ShelfCase), case.name
        assert case.document(within=True) != case.document(within=False), case.name


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
