"""The workings as a reader sees them: names apart, notes of the card's steps, one measure each."""

from __future__ import annotations

import re
from itertools import combinations

import pytest

from card_plans import KINDS, planned
from panelmend.job.cure.part import Placed
from panelmend.render.card_workings import workings_data
from panelmend.render.strokes import Box, Label
from panelmend.render.views import layup_plan
from panelmend.render.views.heat_places import PlacingAxes, places_view, words_for_place
from panelmend.render.workings import workings_of
from panelmend.shapes import circle

WORN = [k for k in KINDS if k not in ("hinge", "lightning", "limits of all", "water break")]  # same plies


@pytest.mark.parametrize("kind", WORN)
def test_names_of_plies_stand_apart_and_on_the_drawing(kind: str) -> None:
    plan = planned(kind)
    if plan.work is None:
        pytest.skip("nothing is laid")
    for side in plan.work.plies.sides:
        view = layup_plan(plan.case, plan.work, side, (180.0, 105.0))
        idents = {p.id for p in side.plies}
        named = [f for f in view.flats if isinstance(f, Label) and set(f.words.split(", ")) <= idents]
        assert {i for f in named for i in f.words.split(", ")} == idents
        for one, other in combinations(named, 2):
            assert not _meet(one.box(), other.box()), f"{one.words} covers {other.words}"
        x0, y0, x1, y1 = view.window
        for label in named:
            a, b, c, d = label.box()
            assert (x0 <= a, y0 <= b, c <= x1, d <= y1) == (True,) * 4, f"{label.words} is cut off"
        assert x1 - x0 <= 180.0, "as wide as the page lets it"


def _meet(a: Box, b: Box) -> bool:
    return min(a[2], b[2]) > max(a[0], b[0]) and min(a[3], b[3]) > max(a[1], b[1])


@pytest.mark.parametrize("kind", KINDS)
def test_each_note_belongs_to_a_step_of_the_card_and_says_something(kind: str) -> None:
    plan = planned(kind)
    for note in workings_data(plan)["notes"]:
        assert note["step"].isdigit(), f"{note['title']}: {note['step']} is no step of this card"
        assert note["words"] or note["tables"] or note["pictures"], f"{note['title']} says nothing"


@pytest.mark.parametrize("kind", ["root_fairing", "gear_door"])
def test_the_drawing_of_thermocouples_has_the_measures_of_its_table(kind: str) -> None:
    """In inches as a rule is marked, in millimetres as they are: the bench holds one against the other."""
    case = planned(kind).case
    axes = PlacingAxes("outside", (0.0, 0.0), 0.0, circle((0.0, 0.0), 0.24), circle((0.0, 0.0), 0.1))
    at = [(0.1897, 0.0), (-0.0942, 0.1497), (-0.0924, -0.1505)]
    sensors = [Placed(f"T{i}", p, "repair side", "") for i, p in enumerate(at)]
    drawn = places_view(case, axes, None, sensors, (170.0, 90.0))
    unit = f" {case.view}"
    said = {f.words.removeprefix("−") for f in drawn.flats if isinstance(f, Label) and f.words.endswith(unit)}
    rows = [w for p in at for w in words_for_place(axes, p, case.view)[:2]]
    table = {w[: w.index(unit)] + unit for w in rows}
    assert said == table


def test_what_a_sum_is_made_of_adds_up_as_it_is_printed() -> None:
    """Plies of 0.25 mm stood as 0.3 mm beside 0.8 mm, and a ramp of 0.55 C/min as 0.6."""
    plan = planned("gear_door")
    shown = workings_of(plan)
    plies = [shown.value(plan.ledger[f"panel.outside.ply_{i}.thickness"]) for i in (1, 2, 3)]
    assert plies == ["0.25 mm"] * 3
    assert shown.value(plan.ledger["cutout.skin_depth.outside"]) == "0.75 mm"
    assert shown.value(plan.ledger["cure.2.rate"]) == "0.55 C/min"
    assert shown.value(plan.ledger["core.splice_gap"]) == "1.5 mm"


def test_a_thermocouple_is_placed_by_fractions_on_a_page_in_inches() -> None:
    flap = planned("flap_rib_bay")
    shown = workings_of(flap)
    places = [f for f in flap.ledger if re.fullmatch(r"cure\.1\.[TC]\d\.(along|across|from_edge)", f.key)]
    said = [shown.part(f)["text"] for f in places]
    assert said
    assert all("." not in words for words in said), said
