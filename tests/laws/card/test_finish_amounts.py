"""How much sealant, primer, paint and conductive layer the work takes, where the data gives a rate."""

from __future__ import annotations

import math
from functools import cache

import pytest

from card_plans import CHANGES, door, planned
from panelmend.job.kit.part import KitLine
from panelmend.plan.left_open import check_left_open
from panelmend.plan.plan import Plan
from panelmend.render.card import card_data

RATES = (
    "[data.finishing]\n",
    '[data.finishing]\nseal_rate = { value = "20 g/m", place = "x 1" }\n'
    'primer_rate = { value = "120 g/m2", place = "x 2" }\n'
    'conductive_overlap = { value = "20 mm", place = "x 3" }\n'
    'conductive_rate = { value = "300 g/m2", place = "x 4" }\n',
)
BARED = 0.025  # m, coating_beyond of the gear door


@cache
def rated() -> Plan:
    """The gear door with a conductive layer and rates, but for the paint's."""
    return door(*CHANGES["lightning"], RATES)


def lines(plan: Plan) -> dict[str, KitLine]:
    assert plan.work is not None
    return {x.name: x for x in plan.work.kit.lines if x.group == "finish"}


def grown(plan: Plan, margin: float) -> float:
    """Area of the largest ply with a margin all round, by Steiner's formula for what is convex [m2]."""
    assert plan.work is not None
    ply = plan.work.plies.sides[0].largest_ply.outline
    return ply.area + ply.perimeter * margin + math.pi * margin**2


def test_the_amounts_are_rate_by_area_or_length() -> None:
    plan, found = rated(), lines(rated())
    assert plan.work is not None
    edge = plan.work.plies.sides[0].largest_ply.outline.perimeter
    wanted = {
        "Sealant": 0.020 * edge,
        "Primer": 0.120 * grown(plan, BARED),
        "Conductive layer": grown(plan, 0.020),
        "Adhesive of the conductive layer": 0.300 * grown(plan, 0.020),
    }
    for name, value in wanted.items():
        amount = found[name].amount
        assert amount is not None, name
        assert float(amount) == pytest.approx(value, rel=2e-3), name
        assert "no rate is given" not in found[name].purpose
        assert "not counted" in found[name].purpose


def test_what_has_no_rate_keeps_its_blank() -> None:
    paint = lines(rated())["Paint"]
    assert paint.amount is None
    assert paint.purpose.endswith(
        "no rate is given: stores fill the amount in, by the data or the maker's sheet"
    )
    rows = {r["name"]: r["amount"] for r in card_data(rated())["kit"]}
    assert rows["Paint"] == ["__________"]
    assert rows["Primer"] != ["__________"]
    assert "Primer and paint" in lines(planned("gear_door"))


def test_what_was_bared_is_counted_and_told_as_uncounted_where_nobody_typed_how_far() -> None:
    plan = planned("gear_door")
    assert "over the plies and what was bared round them, 0.13 m2" in lines(plan)["Primer and paint"].purpose
    plan = planned("cowling")  # types no width
    assert "of the inside, and what was bared round them" in lines(plan)["Primer and paint"].purpose


def test_a_rate_left_out_is_no_order_left_out() -> None:
    said = [f.words for f in check_left_open(planned("gear_door").case) if f.place == "data.finishing"]
    assert len(said) == 1
    assert "[isolate]" in said[0]
    assert "_rate]" not in said[0]
