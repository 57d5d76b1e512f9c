"""Repair plies against those they replace: what hides no missing ply, and what a confirmation settles."""

from __future__ import annotations

import pytest

from examples_here import case_from, text
from panelmend.derive import Ledger
from panelmend.plan.asked import check_asked

PLY = '  { cloth = "demo-glass-8h", warp = "0 deg" },\n'


def _asked(document: str) -> list[str]:
    return [f.words for f in check_asked(case_from(document), Ledger()) if f.code == "J152"]


def test_a_missing_repair_ply_is_asked_about_beside_an_extra_one() -> None:
    whole = text("gear_door")
    start = whole.index("[data.plies.outside]")
    assert "extra = {" in whole[start:]
    at = whole.index(PLY, start)
    assert _asked(whole) == []
    (words,) = _asked(whole[:at] + whole[at + len(PLY) :])
    assert "2 plies for the 3 that are replaced" in words


def _confirmed(document: str, value: str) -> list[str]:
    line = 'figure = "plies.outside.against_skin"\nby = "D. Aune"\non = 2026-11-24\n'
    whole = f'{document}\n[[confirm]]\n{line}value = "{value}"\n'
    return [
        f.code for f in check_asked(case_from(whole), Ledger()) if f.place == "plies.outside.against_skin"
    ]


def test_a_confirmation_settles_the_plies_it_names_and_no_others() -> None:
    """One line once confirmed whatever the plies became afterwards."""
    whole = text("gear_door")
    at = whole.index(PLY, whole.index("[data.plies.outside]"))
    fewer = whole[:at] + whole[at + len(PLY) :]
    said = "demo-glass-8h 45, 0 for demo-glass-8h 0, 45, 0"
    assert f'(value = "{said}")' in _asked(fewer)[0]
    assert _confirmed(fewer, said) == ["J151"]
    assert _confirmed(fewer, "") == ["J152"]
    fewest = fewer[:at] + fewer[at:].replace('  { cloth = "demo-glass-8h", warp = "45 deg" },\n', "", 1)
    assert _confirmed(fewest, said) == ["J152"]


EXTRA = "plies.outside.extra_against_skin"


def _extra(warp: str, value: str = "") -> list[str]:
    """Codes of what is asked about the extra ply of the gear door, whose outer skin lies 0, 45, 0."""
    whole = text("gear_door")
    at = whole.index("extra = {", whole.index("[data.plies.outside]"))
    line = whole[at : whole.index("\n", at)]
    assert 'warp = "45 deg"' in line
    whole = whole.replace(line, line.replace('"45 deg"', f'"{warp} deg"'))
    if value:
        whole += f'\n[[confirm]]\nfigure = "{EXTRA}"\nby = "D. Aune"\non = 2026-11-24\nvalue = "{value}"\n'
    return [f.code for f in check_asked(case_from(whole), Ledger()) if f.place == EXTRA]


@pytest.mark.parametrize(("warp", "asked"), [("0", 0), ("45", 0), ("10", 0), ("180", 0), ("11", 1)])
def test_an_extra_ply_lies_as_a_ply_of_the_skin_does(warp: str, asked: int) -> None:
    assert _extra(warp) == ["J152"] * asked


def test_a_woven_extra_ply_turned_by_a_right_angle_is_asked_about() -> None:
    """Its fill lies along the skin's warp: as stiff, and laid otherwise than the table says."""
    said = "demo-glass-8h 90 for demo-glass-8h 0, 45, 0"
    assert _extra("90") == ["J152"]
    assert _extra("90", said) == ["J151"]
    assert _extra("-45", said) == ["J152"], "a confirmation settles the plies it names and no others"
