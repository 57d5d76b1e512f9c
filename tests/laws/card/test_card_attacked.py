"""Cards of documents that were written from nothing, and what was wrong on them."""

from __future__ import annotations

import math
import re

import pytest

from card_plans import changed, door, own, planned, said, steps
from examples_here import case_from
from panelmend.plan.make import make_plan
from panelmend.render.bench import bench_data
from panelmend.render.pieces import templates_of
from panelmend.render.workings import Workings


def test_a_cut_out_worked_from_the_inside_is_turned_as_it_is_seen_there() -> None:
    """The drawing had it at 30 degrees, the words beside it at -30: 60 degrees apart."""
    plan = planned("insert")
    assert plan.work is not None
    assert math.degrees(float(plan.work.cutout.opening.angle)) == pytest.approx(-30.0)
    marked = said(plan, steps(plan, "B4")[0])
    assert "length turned 30.0°" in marked
    bench = bench_data(plan, Workings(plan.ledger, plan.case.view, plan.findings))
    assert bench is not None
    (turned,) = [row for row in bench["opening"] if row[0] == "Turned"]
    assert turned[1][0]["text"] == "30.0°"
    outside = make_plan(case_from(own("insert").replace('seen_from = "inside"', 'seen_from = "outside"')))
    assert "length turned -30.0°" in said(outside, steps(outside, "B4")[0]).replace("−", "-")


def test_an_operation_without_bag_or_heat_asks_for_neither() -> None:
    """Vacuum off, a log judged, a bag opened and a leak limit stood in an operation that has none of them."""
    plan = planned("insert")
    words = ("vacuum", "bag", "blanket", "leak", "log", "thermocouple")
    for step in (s for s in plan.card.steps if s.operation == 1 and s.id != "O3"):  # O3: a vacuum cleaner
        told = " ".join([step.title, said(plan, step), *(b.what for b in step.blanks)]).lower()
        for word in words:
            assert not re.search(rf"\b{word}\b", told), (step.id, word, told)
    rest = steps(plan, "O21", 1)[-1]
    coolest = next(b for b in rest.blanks if b.what.startswith("Coolest"))
    assert coolest.low is not None
    assert float(coolest.low) == pytest.approx((65 - 32) / 1.8 + 273.15)
    bench = bench_data(plan, Workings(plan.ledger, plan.case.view, plan.findings))
    assert bench is not None
    core, plies = bench["cures"]
    assert core["vacuum"] == [["no bag; what presses: look it up"]]
    assert core["top"] == ["not heated"]
    assert len(plies["vacuum"]) == 3
    assert [m["title"] for m in bench["maps"]] == ["Bag in plan: Plies"]


def test_the_room_between_blanket_and_tape_is_measured_and_drawn() -> None:
    for kind, least in (("gear_door", 0.05), ("insert", 0.0508)):
        plan = planned(kind)
        assert plan.work is not None
        for bag in (b for b in plan.work.bag.operations if b.bagged):
            built = steps(plan, "O19", bag.number)[0]
            tape = next(b for b in built.blanks if b.what.startswith("Tape beyond the blanket"))
            assert tape.low is not None
            assert float(tape.low) == pytest.approx(least)
            blanket = next(x.outline for x in bag.layers if x.use == "heat blanket")
            assert blanket is not None
            x0, _, x1, _ = blanket.turned(-bag.frame.direction).bounds
            s0, _, s1, _ = bag.seal_line.turned(-bag.frame.direction).bounds
            assert x0 - s0 == pytest.approx(least)
            assert s1 - x1 == pytest.approx(least)


def test_adhesive_that_is_ordered_beside_the_plug_is_said_to_be_in_no_batch() -> None:
    assert "batch does not include" in said(planned("insert"), steps(planned("insert"), "O14", 1)[0])
    without = changed("gear_door")
    assert "batch does not include" not in said(without, steps(without, "O14", 1)[0])


def test_trimmed_corners_are_drawn_templated_and_said() -> None:
    """A rectangle with corners of half an inch: plies trimmed at 45 degrees by at most an inch."""
    plan = planned("flap_rib_bay")
    assert plan.work is not None
    titles = {t.id: t.title for t in templates_of(plan)}
    laid = " ".join(said(plan, s) for s in steps(plan, "O18"))
    for ply in plan.work.plies.plies:
        if ply.role not in ("repair", "sanding"):
            continue
        assert 0.0 < float(ply.trim) <= 0.0254 + 1e-9
        segments = list(ply.outline.segments())
        assert len(segments) == 8
        short = min(s.length for s in segments)
        assert short == pytest.approx(float(ply.trim))
        assert titles[ply.id] == f"{ply.role.capitalize()} ply, corners trimmed"
        assert f"{ply.id}, {ply.role}" in laid
    assert laid.count("corners trimmed at 45°") == 3
    assert "trimmed" not in " ".join(
        said(planned("gear_door"), s) for s in steps(planned("gear_door"), "O18")
    )


def test_a_film_adhesive_follows_the_corners_of_its_plies_and_says_so() -> None:
    plan = planned("flap_rib_bay")
    bench = bench_data(plan, Workings(plan.ledger, plan.case.view, plan.findings))
    assert bench is not None
    rows = {row["role"]: row for row in bench["layups"][0]["rows"]}
    assert rows["film adhesive"]["trim"] == "as its plies"
    assert rows["repair"]["trim"] not in ("none", "as its plies")


def test_several_batches_are_told_what_they_serve() -> None:
    """One cup of 85 g was to keep 118 g for the cloth."""
    plan = door(('pot_mass = "300 g"', 'pot_mass = "100 g"'))
    mixed = said(plan, steps(plan, "O11", 2)[0])
    assert "which batch is for what" in mixed
    assert "only because less cannot be weighed" not in mixed
    assert "2 cups together" in said(plan, steps(plan, "O14", 2)[0])
    one = planned("gear_door")
    assert "which batch" not in said(one, steps(one, "O11", 2)[0])
    assert "Leave in the cup what" in said(one, steps(one, "O14", 2)[0])


def test_a_coupon_says_what_it_is_made_of() -> None:
    """Of prepreg it was "from this batch", where nothing is mixed; its cloth is in no layout."""
    kind = '{ kind = "laminate", number = 2 }, place = "x 1" }\n'
    given = ("[data.surface]\n", f"[data.inspection]\ncoupon = {{ value = {kind}\n[data.surface]\n")
    prepreg = changed("flap_rib_bay", given)
    (made,) = steps(prepreg, "O12")
    assert "batch" not in made.title
    assert "same rolls and lots" in said(prepreg, made)
    assert "in no cut layout" in said(prepreg, made)
    dent = planned("dent")
    assert "in no cut layout" in said(dent, steps(dent, "O12")[0])
    door = planned("gear_door")
    assert "in no cut layout" not in said(door, steps(door, "O12")[0])


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        (
            'tape_distance = { value = "50 mm"',
            'tape_distance = { value = "89.9 mm"',
            ("the tape reaches ", " past the edge of the panel"),
        ),
        ('at = "1120, 400 mm"', 'at = "820.0, 400 mm"', ("the tape crosses insert latch 1",)),
    ],
)
def test_a_bag_that_seals_nowhere_as_drawn_is_settled_before_anything_is_mixed(
    old: str, new: str, says: tuple[str, ...]
) -> None:
    """It stood among the findings alone: who followed the steps had the resin mixed when it came up."""
    for plan, there in ((planned("gear_door"), False), (door((old, new)), True)):
        for code in ("D4", "D7", "O19"):
            words = said(plan, steps(plan, code, 2)[0])
            assert ("NO SEAL AS DRAWN" in words) == there, code
            assert all(w in words for w in says) == there
