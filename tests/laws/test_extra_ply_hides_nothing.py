"""An extra ply stands for no repair ply that is missing."""

from __future__ import annotations

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
