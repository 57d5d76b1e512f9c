"""Readings of a survey by hand: a turned grid, ratios over a sound place, what was not cleared, yes or no."""

from __future__ import annotations

import math
from types import SimpleNamespace

import numpy as np
import pytest

from examples_here import case_from, text
from panelmend.document.survey import SurveyPass, TapGrid
from panelmend.job.survey.checks import _cleared
from panelmend.job.survey.cleared import NotCleared
from panelmend.job.survey.readings import pass_places, reading_ratios
from panelmend.survey.table import propose_table, read_table


@pytest.mark.parametrize(
    ("turn", "column", "row"),
    [
        ("0 deg", (30.0, 0.0), (0.0, 20.0)),
        ("90 deg", (0.0, 30.0), (-20.0, 0.0)),  # columns run up, rows to the left of them
        ("-90 deg", (0.0, -30.0), (20.0, 0.0)),
        ("30 deg", (30.0 * math.sqrt(0.75), 15.0), (-10.0, 20.0 * math.sqrt(0.75))),
    ],
)
def test_a_grid_turns_counter_clockwise_about_its_first_tap(
    turn: str, column: tuple[float, float], row: tuple[float, float]
) -> None:
    """Columns 30 mm apart and rows 20 mm from (100, 50) mm: taps by row and column, and in letters."""
    grid = TapGrid.model_validate(
        {"origin": "100, 50 mm", "spacing": "30 mm", "row_spacing": "20 mm", "turn": turn}
    )
    away = np.array([(0.0, 0.0), column, row]) / 1e3 + (0.1, 0.05)
    listed = SurveyPass(kind="tap", side="outside", grid=grid, readings=((1, 1, 1), (1, 2, 0), (2, 1, 1)))
    lettered = SurveyPass(kind="tap", side="outside", grid=grid, rows=("ds", "d."))
    for made in (listed, lettered):
        places, heard = pass_places(made)
        assert np.array(places) == pytest.approx(away, abs=1e-12)
        assert heard == [1.0, 0.0, 1.0]


def test_ratios_are_over_the_middle_one_of_the_sound_readings() -> None:
    """Sound 1.0, 1.1, 2.0 ms: 1.30 ms is 1.18 of 1.1, damaged; of the highest it were 0.65, and sound."""
    made = reading_ratios(np.array([1.30, 1.20, 0.94]), (2.0, 1.0, 1.1), None)
    assert made.value == pytest.approx([1.30 / 1.1, 1.20 / 1.1, 0.94 / 1.1])
    assert made.high.tolist() == [True, False, False]
    assert made.low.tolist() == [False, False, True]
    assert made.reference == pytest.approx([2.0 / 1.1, 1.0 / 1.1, 1.0])
    assert made.unsteady
    assert reading_ratios(np.array([1.3]), (), None).value == pytest.approx([1.3]), (
        "nothing to hold it against"
    )


@pytest.mark.parametrize("far", [False, True])
def test_what_is_not_cleared_is_told_of_either_skin(far: bool) -> None:
    case = case_from(text("cowling"))
    found = SimpleNamespace(refused=(((0.1, 0.2), NotCleared.NOT_AGAIN),), cleared=((0.3, 0.4),))
    skins = {"survey": None, "far_survey": found} if far else {"survey": found, "far_survey": None}
    held = SimpleNamespace(**(vars(case) | {"view": case.view} | skins))
    told = _cleared(held)  # type: ignore[arg-type]
    assert [f.code for f in told] == ["S116", "S117"]
    assert NotCleared.NOT_AGAIN.value in told[0].words


@pytest.mark.parametrize(
    ("column", "cells", "dull"),
    [
        ("sound", ("yes", "no", "1", "0"), [0.0, 1.0, 0.0, 1.0]),
        ("dull", ("yes", "no", "1", "0"), [1.0, 0.0, 1.0, 0.0]),
        ("ok", ("y", "n", "true", "false"), [0.0, 1.0, 0.0, 1.0]),
        ("damaged", ("y", "n", "true", "false"), [1.0, 0.0, 1.0, 0.0]),
    ],
)
def test_yes_is_what_the_column_asks(column: str, cells: tuple[str, ...], dull: list[float]) -> None:
    rows = "\n".join(f"{10 * i},20,{c}" for i, c in enumerate(cells))
    made = read_table(propose_table(f"x mm,y mm,{column}\n{rows}\n"))
    assert [v for *_, v in made.rows] == dull
    assert not made.faults
