"""A cap cured in its opening is laid past it: its rim stays off the skin, and goes before plies lie over it.

Common practice, no source; the document's own field says that a cap is laid beyond the opening, then
trimmed.
"""

from __future__ import annotations

import pytest

from card_plans import DOOR, planned, said, steps
from examples_here import case_from
from panelmend.job.card.order import Place
from panelmend.plan.make import make_plan
from panelmend.render.bench import bench_data
from panelmend.render.workings import Workings

IN_PLACE = ("gear_door", "cowling", "access_door_no_fit")


@pytest.mark.parametrize("kind", IN_PLACE)
def test_the_rim_of_a_cap_lies_on_tape_and_is_off_before_plies_go_over_it(kind: str) -> None:
    plan = planned(kind)
    assert plan.work is not None
    (bag,) = (b for b in plan.work.bag.operations if "cap" in b.lays)
    after = next(b for b in plan.work.bag.operations if b.number > bag.number and b.side == bag.side)
    order = [s.place for s in plan.card.steps]
    k = bag.number
    at = [order.index(Place(i, k)) for i in ("O2", "O4", "O5", "O8", "O27", "O28")]
    assert at == sorted(at)
    assert at[-1] < order.index(Place("O1", after.number))
    (tape,), (cut,) = steps(plan, "O4", k), steps(plan, "O28", k)
    margin = max(float(p.margin) for p in plan.work.core.cap)
    assert margin in [float(f) for w in tape.words for f in w if not isinstance(f, str)]
    assert {"dust", "film", "blade"} <= {c.hazard for c in cut.cautions}
    for brushed in (s for s in steps(plan, "O14", k) if "brush" in s.title):
        assert "up to the tape that keeps the rim off, none on it" in said(plan, brushed)
        assert "largest ply" not in said(plan, brushed)
    laid, off = tape.blanks[0], cut.blanks[0]
    assert (laid.unit, off.unit) == ("pieces", "pieces")


def test_a_cap_is_brushed_under_as_far_as_its_opening_not_out_to_its_rim() -> None:
    """100 g/m2 on 144 cm2; 2.7 g stood there, for the whole cap of 274 cm2."""
    (brushed,) = (s for s in steps(planned("gear_door"), "O14", 1) if "brush" in s.title)
    assert "1.4 g in all" in said(planned("gear_door"), brushed)


@pytest.mark.parametrize("kind", ["root_fairing", "flap_rib_bay"])
def test_no_rim_where_a_cap_comes_trimmed_from_a_plate_or_none_is_laid(kind: str) -> None:
    plan = planned(kind)
    assert plan.work is not None
    assert not [s for s in plan.card.steps if s.place.id == "O28"]


def test_a_cap_of_the_opening_s_own_size_has_no_rim() -> None:
    assert DOOR.count('value = { margin = "25 mm", plies') == 1
    plan = make_plan(
        case_from(DOOR.replace('value = { margin = "25 mm", plies', 'value = { margin = "0 mm", plies'))
    )
    assert plan.work is not None
    assert not [s for s in plan.card.steps if s.place.id == "O28" or s.place == Place("O4", 1)]


def test_the_kit_holds_tape_for_the_rim_too() -> None:
    plan = planned("gear_door")
    assert plan.work is not None
    (line,) = (x for x in plan.work.kit.lines if x.purpose == "PTFE tape")
    (side,) = plan.work.plies.sides
    assert float(line.amount) == pytest.approx(
        side.tape_outer.perimeter + plan.work.core.cap[0].outline.perimeter
    )


@pytest.mark.parametrize("kind", IN_PLACE)
def test_the_bench_page_calls_no_overlap_what_is_cut_off(kind: str) -> None:
    plan = planned(kind)
    data = bench_data(plan, Workings(plan.ledger, plan.case.view, plan.findings))
    assert data is not None
    rows = [r for side in data["layups"] for r in side["rows"] if r["role"] == "cap"]
    assert rows
    assert {r["overlap"] for r in rows} == {"trimmed"}


def test_the_heat_is_tried_with_the_plug_in_its_opening() -> None:
    """A bag over an open hole is drawn into it, and what it reads is not the heat of the repair."""
    for kind, k in (("gear_door", 1), ("access_door_no_fit", 1), ("root_fairing", 2)):
        plan = planned(kind)
        assert plan.work is not None
        (survey,) = steps(plan, "D6", k)
        assert any("dry in the opening" in str(part) for words in survey.words for part in words)
        order = [s.place for s in plan.card.steps]
        before = [Place("D2"), *([Place("D10")] if kind == "root_fairing" else [])]
        assert all(order.index(p) < order.index(Place("D6", k)) for p in before)
    (plies,) = steps(planned("gear_door"), "D6", 2)
    assert not any("dry in the opening" in str(part) for words in plies.words for part in words)


def test_the_support_is_there_before_plies_are_laid_over_a_hole_and_what_bears_on_them_is_asked() -> None:
    plan = planned("cowling")
    (out,) = steps(plan, "O10", 1)
    words = said(plan, out)
    assert "Support and release film go onto the outside now" in words
    assert "nothing supports the plies over the hole" in words
    assert {"Support in place, film on it", "Hole filled with, place in the data"} <= {
        b.what for b in out.blanks
    }
    assert [f.code for f in plan.findings].count("B330") == 1
    for k in (2, 3):
        (later,) = steps(plan, "O10", k)
        assert "Support" not in said(plan, later)


def test_a_hole_is_filled_before_its_heat_is_tried_and_its_two_bags_are_drawn_together() -> None:
    """The survey drew full vacuum over an empty hole; the outer bag by itself: 370 N on wet plies."""
    plan = planned("cowling")
    assert plan.work is not None
    (survey,), (leak,) = steps(plan, "D6", 1), steps(plan, "O20", 1)
    words = said(plan, survey)
    assert words.index("fill the opening dry, level with the skin") < words.index("Draw vacuum")
    assert "Opening filled level with the skin, before vacuum" in {b.what for b in survey.blanks}
    assert "Draw and test both bags together" in words
    assert "Neither bag by itself: draw this one and that on the outside together" in said(plan, leak)
    assert "Let air into both bags together" in said(plan, steps(plan, "O23", 1)[0])
    assert "Let air into both" not in said(plan, steps(plan, "O23", 2)[0])
    first = plan.work.bag.operations[0]
    assert first.behind is not None
    assert first.behind.alone is not None
    assert first.behind.push is not None
    area = float(first.behind.push) / (5 * 3386.389)
    assert float(first.behind.alone) == pytest.approx(98500.0 * area), "drawn empty: all of the bay's air"
    for k in (2, 3):  # the plug lies dry in it, then the plug is in
        (later,) = steps(plan, "D6", k)
        assert "fill the opening" not in said(plan, later)
    assert "by itself" not in words + said(plan, leak).replace("Neither bag by itself", "")


def test_thermocouples_of_a_second_blanket_that_no_prediction_places_are_counted() -> None:
    """The card asked for some on the far side and counted three in and three out."""
    plan = planned("gear_door")  # planned without its prediction
    (out,), (opened,) = steps(plan, "O10", 1), steps(plan, "O25", 1)
    counted = {b.what: b.said for b in (*out.blanks, *opened.blanks)}
    for what in ("Thermocouples at their places", "Thermocouples out"):
        assert counted[what] == "3, and those of HB-21 on the opposite side"
    assert "Thermocouples of HB-21: how many, numbers, places" in counted
    assert "two thermocouples or more under it on that side" in said(plan, out)
    assert "under HB-21 too: a thermocouple at each" in said(plan, steps(plan, "D6", 1)[0])
    (one,) = steps(plan, "O10", 2)
    assert {b.what: b.said for b in one.blanks}["Thermocouples at their places"] == "3"
    assert not any(b.what.startswith("Thermocouples of") for b in one.blanks)


def test_the_words_of_a_step_are_those_of_what_is_there() -> None:
    """Pot life of a prepreg, film over a far skin that sound core covers, the panel where a plate lies."""
    for kind, told in (("gear_door", "within the pot life"), ("flap_rib_bay", "before the cure begins")):
        plan = planned(kind)
        assert all(f"test again {told}." in said(plan, s) for s in steps(plan, "O20"))
    for kind, film in (("gear_door", "the far skin"), ("part of the core", "the floor of the core")):
        plan = planned(kind)
        assert any(f"Lay clean film over {film} and the opening" in said(plan, s) for s in plan.card.steps)
        (chamfer,) = steps(plan, "B12")
        assert "Chamfer, how deep" in {b.what for b in chamfer.blanks}
    plan = planned("root_fairing")
    for k, thing in ((1, "Plate"), (2, "Panel")):
        (out,) = steps(plan, "O10", k)
        assert f"{thing} above the dew point by" in {b.what for b in out.blanks}
