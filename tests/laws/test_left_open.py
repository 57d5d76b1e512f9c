"""What is left out of a document changes nothing in silence: it is asked, open, or said on the card."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import pytest

from examples_here import FOLDER, case_from, text
from panelmend.errors import DocumentError
from panelmend.plan.left_open import check_left_open
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
    whole = text("gear_door").replace(', low = "60 C"', "").replace('set_point = "64 C"\n', "")
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
    assert script.told(whole, whole, GEAR) == []  # type: ignore[attr-defined]
    assert script.held(whole, text("gear_door"), GEAR) == ("same", "")  # type: ignore[attr-defined]
    assert "J350" in script.NO_TELLING  # type: ignore[attr-defined]


def test_heat_that_is_not_predicted_any_more_is_no_telling(script: object) -> None:
    """Whatever is left out, the kept heat is of another set-up then: that says nothing of the line."""
    whole, unheated = _whole(script), make_plan(case_from(text("gear_door")))
    codes = {f.code for f in unheated.findings}
    assert "H602" in codes
    assert "H602" not in {f.code for f in whole.findings}  # type: ignore[attr-defined]
    assert script.told(whole, unheated, GEAR) == []  # type: ignore[attr-defined]


_KEPT: dict[str, object] = {}


def _whole(script: object) -> object:
    if "gear" not in _KEPT:
        _KEPT["gear"] = script.planned(text("gear_door"), GEAR)  # type: ignore[attr-defined]
    return _KEPT["gear"]


# By example: what was told by nothing when every line was left out in turn, and what it is named as now.
SILENT_IN = (
    ("access_door_no_fit", ', corner_radius = "40', "corner_radius"),
    ("access_door_no_fit", "temperature = ", "temperature"),
    ("access_door_no_fit", ', rate = "', "rate"),
    ("access_door_no_fit", "humidity = ", "humidity"),
    ("access_door_no_fit", "hardener_mass = ", "L-77: mass of hardener left"),
    ("access_door_no_fit", "warp_mark = ", "warp_mark"),
    ("access_door_no_fit", "filler = ", "filler"),
    ("access_door_no_fit", 'pot_life = "45', "pot_life"),
    ("access_door_no_fit", "flatwise_strength = ", "flatwise_strength"),
    ("access_door_no_fit", "flatwise_hot_wet = ", "flatwise_hot_wet"),
    ("flap_rib_bay", "film_adhesive = ", "film_adhesive"),
    ("flap_rib_bay", "fastener_distance = ", "fastener_distance"),
    ("flap_rib_bay", ', keep_out = "', "[keep_out]"),
    ("flap_rib_bay", ', limit = "', "highest temperature it may reach [limit]"),
    ("cowling", "both_sides = ", "both_sides"),
    ("cowling", '  { id = "LOG-2"', "a logger"),
    ("gear_door", "height = ", "[height]"),
    ("gear_door", 'thickness = "20', "C-09: thickness"),
    ("gear_door", ', at_270 = "', "[at_270]"),
    ("gear_door", ', type = "T"', "TC-T: type of a thermocouple"),
    ("gear_door", ', tolerance = "special"', "TC-T: tolerance"),
    ("gear_door", "kinetics = ", "kinetics"),
)


def told_of(document: str) -> str:
    """What the plan says that nobody typed."""
    case = case_from(document)
    return " | ".join(f"{f.code} {f.words}" for f in check_left_open(case))


@pytest.mark.parametrize(("example", "start", "name"), SILENT_IN)
def test_a_line_that_is_left_out_is_named(example: str, start: str, name: str) -> None:
    """Taken out wherever it stands; with it nothing of the kind is named more often."""
    whole = text(example)
    if start.startswith(", "):
        less = re.sub(re.escape(start) + r'[^",}]*"?(?=[,\s}])', "", whole)
    else:
        less = re.sub(rf"(?m)^{re.escape(start)}.*\n", "", whole)
    assert less != whole, start
    assert told_of(less).count(name) > told_of(whole).count(name)


def test_an_operation_without_its_side_is_refused_where_the_other_has_one() -> None:
    less = re.sub(r'(?m)^side = "inside".*\n', "", text("cowling"))
    assert less != text("cowling")
    with pytest.raises(DocumentError, match=r"laid in two operations.*\n?.*without a side"):
        case_from(less)


def test_what_the_planner_pinned_is_not_said_to_be_left_open() -> None:
    whole = text("gear_door")
    assert (
        "J468 the cut-out itself, pinned [cutout]; Repair plies: second blanket, on the opposite side"
        in told_of(whole)
    )
    assert "Core and cap" not in told_of(whole).split("J468")[1].split("|")[0], "all four are chosen there"
    assert "J469 demo-film: cure constants [kinetics]" in told_of(whole)
    found = {f.code: f.words for f in check_left_open(case_from(whole))}
    assert {"J468", "J469"} <= set(found)
    assert found["J469"] == "demo-film: cure constants [kinetics]", "of the others every constant is typed"


def test_an_insert_and_an_earlier_repair_are_told_until_they_are_typed() -> None:
    whole = text("gear_door")
    assert "J392 not typed: repairs already in the panel [earlier_repair]" in told_of(whole)
    insert = '[[panel.insert]]\nid = "latch 1"\nat = "1120, 400 mm"\ndiameter = "30 mm"\nkeep_out = "25 mm"\n'
    assert insert in whole
    assert "J392 not typed: inserts [insert]; repairs already" in told_of(whole.replace(insert, ""))
    shape = '{ centre = "1100, 700 mm", diameter = "50 mm" }'
    row = f'[[panel.earlier_repair]]\nid = "R1"\nshape.circle = {shape}\n\n'
    typed = whole.replace("[[panel.insert]]", f"{row}[[panel.insert]]", 1)
    assert "earlier_repair" not in told_of(typed)
