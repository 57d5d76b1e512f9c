"""What is left out of a document changes nothing in silence: it is asked, open, or said on the card."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from examples_here import FOLDER, case_from, text
from panelmend.plan.make import make_plan

SCRIPTS = Path(__file__).parents[2] / "scripts"
GEAR = FOLDER / "gear_door"


def _steps(document: str) -> str:
    return repr(make_plan(case_from(document)).card.steps)


def _without(line: str) -> str:
    whole = text("gear_door")
    assert whole.count(line) >= 1, line
    return whole.replace(line, "", 1)


def test_a_band_of_which_one_end_is_typed_is_still_on_the_card() -> None:
    assert "every thermocouple between " in _steps(text("gear_door"))
    whole = text("gear_door").replace(', low = "60 C"', "")
    assert '", every thermocouple ", "below "' in _steps(whole).replace("'", '"')


def test_how_paint_comes_off_is_no_order_where_the_data_gives_none() -> None:
    line = next(x for x in text("gear_door").splitlines() if x.startswith("coating_removal"))
    said = "not in the document. By hand abrasion is usual (common practice, no source)"
    assert said not in _steps(text("gear_door"))
    assert said in _steps(_without(line + "\n"))


def test_repeat_inspections_are_said_where_there_is_a_category_without_any() -> None:
    line = next(x for x in text("gear_door").splitlines() if x.startswith("inspect = "))
    said = "Repeat inspections: not in the document."
    assert said not in _steps(text("gear_door"))
    assert said in _steps(_without(line + "\n"))


@pytest.fixture(scope="module")
def script() -> object:
    sys.path.insert(0, str(SCRIPTS))
    try:
        import left_silent
    finally:
        sys.path.remove(str(SCRIPTS))
    return left_silent


SILENT_ONCE = (  # changed the plan and were not told, or only by the heat being of another set-up
    "resolution = ", "coating_beyond = ", "methods = ", "coupon = ", "seal = ",
    "power = ", "inspect = ", "extra = ", "sanding = ", "pressure_aid = ", "ceiling = ", "control = ",
    "release_below = ", "edge_band = ", "caul_sheet = ",
)  # fmt: skip


@pytest.mark.parametrize("start", SILENT_ONCE)
def test_what_once_changed_in_silence_is_told(start: str, script: object) -> None:
    line = next(x for x in text("gear_door").splitlines() if x.startswith(start))
    what, words = script.held(_whole(script), _without(line + "\n"), GEAR)  # type: ignore[attr-defined]
    assert what == "told", words
    assert start.split(" ")[0] in words


def test_that_nobody_compared_figures_is_no_telling(script: object) -> None:
    whole = _whole(script)
    assert script.told(whole, whole) == []  # type: ignore[attr-defined]
    assert script.held(whole, text("gear_door"), GEAR) == ("same", "")  # type: ignore[attr-defined]
    assert "J350" in script.NO_TELLING  # type: ignore[attr-defined]


_KEPT: dict[str, object] = {}


def _whole(script: object) -> object:
    if "gear" not in _KEPT:
        _KEPT["gear"] = script.planned(text("gear_door"), GEAR)  # type: ignore[attr-defined]
    return _KEPT["gear"]
