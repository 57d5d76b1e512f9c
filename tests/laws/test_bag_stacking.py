"""Laws of the bag: what would bond the blanket, leak, or burn is found before it is laid."""

from __future__ import annotations

import re

import pytest

from examples_here import case_from, text
from panelmend.errors import Finding, InputError
from panelmend.job.bag import checks
from panelmend.job.bend import outline_on, point_on
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.shapes import distance_to_point, least_overlap


def planned(name: str, *pairs: tuple[str, str]) -> Plan:
    made = text(name)
    for old, new in pairs:
        assert old in made, old
        made = made.replace(old, new)
    return make_plan(case_from(made))


def found(plan: Plan, code: str) -> list[Finding]:
    return [f for f in plan.findings if f.code == code]


@pytest.mark.parametrize(
    ("margin", "short"), [("60 mm", 0.0), ("25 mm", 0.0), ("20 mm", 5.0), ("10 mm", 15.0)]
)
def test_film_smaller_than_the_patch_stops_and_says_by_how_much(margin: str, short: float) -> None:
    # over so little film a caul sheet is refused before
    caul = 'caul_sheet = { material = "demo-caul-sheet", margin = "25 mm" }\n'
    plan = planned(
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
        planned("gear_door", ('film_inset = { value = "25 mm"', 'film_inset = { value = "300 mm"'))


def test_breather_under_the_sealing_tape_is_found() -> None:
    assert not found(planned("gear_door"), "B011")
    close = planned("gear_door", ('tape_distance = { value = "50 mm"', 'tape_distance = { value = "20 mm"'))
    assert len(found(close, "B011")) == 2


def test_half_a_leak_limit_stops() -> None:
    drop = 'leak_drop = { value = "1 inHg", place = "51-30-02 para 4" }\n'
    time = 'leak_time = { value = "1 min", place = "51-30-02 para 4" }\n'
    assert not found(planned("gear_door"), "B012")
    assert not found(planned("gear_door", (drop, ""), (time, "")), "B012"), (
        "the default pair is of one source"
    )
    for gone in (drop, time):
        plan = planned("gear_door", (gone, ""))
        assert len(found(plan, "B012")) == 1
        assert plan.is_draft


@pytest.mark.parametrize(("limit", "operations"), [("90 C", 0), ("70 C", 1), ("60 C", 2)])
def test_a_blanket_that_may_not_reach_the_recipe_stops(limit: str, operations: int) -> None:
    plan = planned("gear_door", ('limit = "200 C" }', f'limit = "{limit}" }}'))
    assert len(found(plan, "B013")) == operations


def test_fasteners_are_where_they_come_through_on_the_far_side() -> None:
    """On the inside of the curved panel a fastener stands nearer the middle than on the outside."""
    inner = planned("cowling")
    assert inner.work is not None
    bag = inner.work.bag.operations[0]
    assert bag.side == "inside"
    low = bag.seal_line.bounds[1]
    told = set()
    for y in range(round(low * 1e3) - 20, round(low * 1e3) + 21, 4):
        plan = planned(
            "cowling",
            ('at = "-120, -410 mm"', f'at = "0, {y} mm"'),
            ('"20 mm"\n\n[[panel.str', '"0 mm"\n\n[[panel.str'),
        )
        assert plan.work is not None
        now, spot = plan.work.bag.operations[0], plan.case.geometry.spots[0]
        through = point_on(plan.case, spot.at, "outside", "inside")
        crosses = abs(distance_to_point(now.seal_line, through)) - spot.diameter / 2 < checks.TAPE_WIDTH / 2
        named = any(f.words.startswith(f"{now.name}:") for f in found(plan, "B004"))
        assert named == crosses, y
        told.add(
            (
                crosses,
                abs(distance_to_point(now.seal_line, spot.at)) - spot.diameter / 2 < checks.TAPE_WIDTH / 2,
            )
        )
    assert any(a != b for a, b in told), "places where the two skins differ were tried"


def test_room_to_the_edge_is_measured_on_the_bag_s_own_side() -> None:
    plan = planned(
        "cowling",
        ('length = "610 mm", width = "610 mm"', 'length = "860 mm", width = "860 mm"'),
        ('length = "406 mm", width = "406 mm"', 'length = "855 mm", width = "855 mm"'),
    )
    assert plan.work is not None
    said = {f.words.split(":")[0]: f.words for f in found(plan, "B003")}
    g = plan.case.geometry
    for bag in plan.work.bag.operations:
        room = least_overlap(bag.seal_line, outline_on(plan.case, g.outline, "outside", bag.side))[0]
        short = checks.TAPE_WIDTH / 2 - room
        assert (bag.name in said) == (short > 0)
        if short > 0:
            (told,) = re.findall(r"([\d.]+) mm too far out", said[bag.name])
            assert float(told) == pytest.approx(1e3 * short, abs=0.06)


@pytest.mark.parametrize("name", ["gear_door", "cowling"])
def test_the_bag_lies_along_the_cut_out_by_its_own_figure(name: str) -> None:
    plan = planned(name)
    words = plan.ledger.explain("bag.1.patch_length")
    assert "common practice" not in words.split("direction =")[-1].split("bag.")[0]
    assert "bag.1.direction" not in plan.ledger
