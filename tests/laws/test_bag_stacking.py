"""Laws of the bag: what would bond the blanket, leak, or burn is found before it is laid."""

from __future__ import annotations

import math
import re

import pytest

from card_plans import changed
from panelmend.errors import Finding, InputError
from panelmend.job.curvature import outline_on, point_on
from panelmend.job.defaults import SEALING_TAPE
from panelmend.plan.plan import Plan
from panelmend.shapes import Outline, distance_to_point, least_overlap


def found(plan: Plan, code: str) -> list[Finding]:
    return [f for f in plan.findings if f.code == code]


@pytest.mark.parametrize(
    ("margin", "short"), [("60 mm", 0.0), ("25 mm", 0.0), ("20 mm", 5.0), ("10 mm", 15.0)]
)
def test_film_smaller_than_the_patch_stops_and_says_by_how_much(margin: str, short: float) -> None:
    # over so little film a caul sheet is refused before
    caul = 'caul_sheet = { material = "demo-caul-sheet", margin = "25 mm" }\n'
    plan = changed(
        "gear_door",
        (caul, ""),
        ('bleeder_margin = { value = "60 mm"', f'bleeder_margin = {{ value = "{margin}"'),
    )
    stops = found(plan, "B010")
    if short == 0.0:
        assert stops == []
        return
    assert plan.is_draft
    assert [f.words.split(": ")[1] for f in stops] == [f"{short:.1f} mm too small"] * 2


def test_an_inset_that_leaves_no_film_is_refused_in_words() -> None:
    with pytest.raises(InputError, match=r"data\.bag\.film_inset.*300"):
        changed("gear_door", ('film_inset = { value = "25 mm"', 'film_inset = { value = "300 mm"'))


def test_breather_under_the_sealing_tape_is_found() -> None:
    assert not found(changed("gear_door"), "B011")
    close = changed("gear_door", ('tape_distance = { value = "50 mm"', 'tape_distance = { value = "20 mm"'))
    assert len(found(close, "B011")) == 2


def test_half_a_leak_limit_stops() -> None:
    drop = 'leak_drop = { value = "1 inHg", place = "51-30-02 para 4" }\n'
    time = 'leak_time = { value = "1 min", place = "51-30-02 para 4" }\n'
    assert not found(changed("gear_door"), "B012")
    assert not found(changed("gear_door", (drop, ""), (time, "")), "B012"), (
        "the default pair is of one source"
    )
    for gone in (drop, time):
        plan = changed("gear_door", (gone, ""))
        assert len(found(plan, "B012")) == 1
        assert plan.is_draft


@pytest.mark.parametrize(("limit", "operations"), [("90 C", 0), ("70 C", 1), ("60 C", 2)])
def test_a_blanket_that_may_not_reach_the_recipe_stops(limit: str, operations: int) -> None:
    plan = changed("gear_door", ('limit = "200 C" }', f'limit = "{limit}" }}'))
    assert len(found(plan, "B013")) == operations


def under_tape(line: Outline, at: tuple[float, float], diameter: float) -> bool:
    """Tape lies from its line half an inch outwards."""
    beyond = -distance_to_point(line, at)  # it counts inwards
    return -diameter / 2 < beyond < 0.0127 + diameter / 2


def test_fasteners_are_where_they_come_through_on_the_far_side() -> None:
    """On the inside of the curved panel a fastener stands nearer the middle than on the outside."""
    inner = changed("cowling")
    assert inner.work is not None
    bag = inner.work.bag.operations[0]
    assert bag.side == "inside"
    low = bag.seal_line.bounds[1]
    told = set()
    for y in range(round(low * 1e3) - 20, round(low * 1e3) + 21, 4):
        plan = changed(
            "cowling",
            ('at = "-120, -410 mm"', f'at = "0, {y} mm"'),
            ('"20 mm"\n\n[[panel.str', '"0 mm"\n\n[[panel.str'),
        )
        assert plan.work is not None
        now, spot = plan.work.bag.operations[0], plan.case.geometry.spots[0]
        through = point_on(plan.case, spot.at, "outside", "inside")
        crosses = under_tape(now.seal_line, through, spot.diameter)
        named = any(f.words.startswith(f"{now.name}:") for f in found(plan, "B004"))
        assert named == crosses, y
        told.add(
            (
                crosses,
                under_tape(now.seal_line, spot.at, spot.diameter),
            )
        )
    assert any(a != b for a, b in told), "places where the two skins differ were tried"


def test_room_to_the_edge_is_measured_on_the_bag_s_own_side() -> None:
    plan = changed(
        "cowling",
        ('length = "610 mm", width = "610 mm"', 'length = "860 mm", width = "860 mm"'),
        ('length = "406 mm", width = "406 mm"', 'length = "855 mm", width = "855 mm"'),
    )
    assert plan.work is not None
    said = {f.words.split(":")[0]: f.words for f in found(plan, "B003")}
    g = plan.case.geometry
    for bag in plan.work.bag.operations:
        room = least_overlap(bag.seal_line, outline_on(plan.case, g.outline, "outside", bag.side))[0]
        short = SEALING_TAPE - room
        assert (bag.name in said) == (short > 0)
        if short > 0:
            (told,) = re.findall(r"([\d.]+) mm too far out", said[bag.name])
            assert float(told) == pytest.approx(1e3 * short, abs=0.1)


@pytest.mark.parametrize("name", ["gear_door", "cowling"])
def test_the_bag_lies_along_the_cut_out_by_its_own_figure(name: str) -> None:
    plan = changed(name)
    words = plan.ledger.explain("bag.1.patch_length")
    assert "common practice" not in words.split("direction =")[-1].split("bag.")[0]
    assert "bag.1.direction" not in plan.ledger


def test_what_presses_is_chosen_by_its_code_and_as_large_as_what_it_covers() -> None:
    """Words for people chose the caul, and one that lies over plies was drawn as large as the opening."""
    words = ('what = "rubber pad the size of the cut-out"', 'what = "metal, not rubber: ask the foreman"')
    for plan in (changed("gear_door"), changed("gear_door", words)):
        assert plan.work is not None
        aid = next(x for x in plan.work.bag.operations[0].layers if x.use == "pressure aid")
        assert aid.material == "demo-rubber"
    nothing = changed("gear_door", ('material = "demo-rubber", covers', "covers"))
    assert nothing.work is not None
    assert next(x for x in nothing.work.bag.operations[0].layers if x.use == "pressure aid").material == ""
    for said, over in ((', covers = "plies"', "patch"), ("", "patch"), (', covers = "cut-out"', "opening")):
        plan = changed("cowling", (', covers = "plies"', said))
        assert plan.work is not None
        bag = plan.work.bag.operations[0]
        assert "plies" in bag.lays
        aid = next(x for x in bag.layers if x.use == "pressure aid")
        assert aid.outline is not None
        whole = aid.outline.area == pytest.approx(bag.patch.area)
        assert whole is (over == "patch")


def test_two_thermocouples_in_one_place_are_one() -> None:
    plan = changed(
        "gear_door",
        ('at = "1120, 400 mm"', 'at = "485.8, 385.2 mm"'),
        ('diameter = "30 mm"', 'diameter = "377.3 mm"'),
    )
    assert plan.work is not None
    at = [s.at for s in plan.work.bag.operations[1].sensors]
    assert len(at) == 3
    assert min(math.dist(a, b) for i, a in enumerate(at) for b in at[:i]) >= 0.0254
