"""A tap test is for skins under 0.080 in (2.032 mm), FAA AC 43.13-1B para 5-105: just under and just over."""

from __future__ import annotations

import pytest

from examples_here import FOLDER, case_from
from panelmend.plan.make import make_plan

DOCUMENT = (FOLDER / "gear_door" / "surveyed.toml").read_text("utf8")


@pytest.mark.parametrize(("ply", "found"), [("0.67 mm", False), ("0.68 mm", True)])
def test_tap_test_is_for_thin_skins(ply: str, found: bool) -> None:
    """Three plies: 2.01 mm is under 0.080 in, 2.04 mm is not."""
    old = 'cured_thickness = "0.25 mm"'
    assert old in DOCUMENT
    plan = make_plan(case_from(DOCUMENT.replace(old, f'cured_thickness = "{ply}"')))
    assert ("S109" in {f.code for f in plan.findings}) is found
