"""A strength that is left out: what rests on it is not computed and said so, never an endless load."""

from __future__ import annotations

import pytest

from examples_here import case_from, text
from panelmend.plan.make import make_plan
from panelmend.plan.strength_study import study_strength


@pytest.mark.parametrize("gone", ['xc = "380 MPa", '])
def test_a_skin_without_a_strength_gives_no_load_to_its_bond(gone: str) -> None:
    sound = text("gear_door")
    assert gone in sound
    made = study_strength(make_plan(case_from(sound.replace(gone, "", 1))))
    assert all(float(row.load) < 1e9 for row in made.part.bonds if row.load is not None)
    assert any("a strength of its cloth is not given" in row.reason for row in made.part.bonds)
