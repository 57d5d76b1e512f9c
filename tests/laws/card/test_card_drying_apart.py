"""Drying with a blanket that no cure has: laid out and proved on the card, and in the kit."""

from __future__ import annotations

import re

import pytest

from card_plans import planned, said, steps
from examples_here import case_from, text
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan

CURE = re.compile(r"^ceiling = .*?^\]\n", re.MULTILINE | re.DOTALL)
CHOSEN = re.compile(r"^\[\[choice\.heat\]\]\n.*?(?=^\[|\Z)", re.MULTILINE | re.DOTALL)
ROOM = """heated_by = "room temperature"
segment = [
  { kind = "dwell", to = "21 C", low = "18 C", high = "30 C", least = "8 h" },
]
"""


def _door(moisture: str, *, oven: bool = False) -> Plan:
    """The gear door with every cure at room temperature, or in an oven."""
    of = text("gear_door").replace('moisture = "found"\nwet_area = "40 cm2"', f'moisture = "{moisture}"')
    if oven:
        of = CHOSEN.sub("", of.replace("ceiling = ", 'heated_by = "oven"\nceiling = '))
    else:
        of = CHOSEN.sub("", CURE.sub(ROOM, of))
    return make_plan(case_from(of))


def _kit(plan: Plan) -> dict[str, str]:
    assert plan.work is not None
    return {line.name: line.purpose for line in plan.work.kit.lines}


@pytest.mark.parametrize(
    ("moisture", "heats"), [("found", True), ("not checked", True), ("none found", False)]
)
def test_a_repair_without_a_heated_cure_lays_out_what_dries_it(moisture: str, heats: bool) -> None:
    plan = _door(moisture)
    laid, dried = steps(plan, "D5"), steps(plan, "C4")
    assert bool(laid) is bool(dried) is heats
    kit = _kit(plan)
    for name in ("heat blanket for drying", "heat controller", "leads for blanket and thermocouples"):
        assert (name in kit) is heats
    assert ("over-temperature cut-out, independent of the controller" in kit) is heats
    assert ("Heat-proof gloves" in kit) is heats
    if not heats:
        return
    assert laid[0].title.startswith("Lay out the blanket for drying, controllers")
    assert laid[0].number < steps(plan, "C3")[0].number
    assert "not named: no drying" in said(plan, laid[0])
    assert "each cure" not in said(plan, laid[0]) + said(plan, steps(plan, "C3")[0]), "none is heated"
    assert {"electricity", "heat"} <= {c.hazard for c in laid[0].cautions}
    whats = {b.what for b in laid[0].blanks}
    assert {"Drying blanket, its number", "Circuit for drying, what it carries for hours"} <= whats
    assert "Current drawn" not in whats
    assert not [w for w in whats if w.startswith("Cut-out trips")], "no cure to set it for"


@pytest.mark.parametrize(("moisture", "heats"), [("found", True), ("none found", False)])
def test_an_oven_does_not_dry(moisture: str, heats: bool) -> None:
    """Only the oven was laid out and proved, and no blanket was in the kit."""
    plan = _door(moisture, oven=True)
    (laid,) = steps(plan, "D5")
    assert ("the blanket for drying, oven" in laid.title) is heats
    assert ("not named: no drying" in said(plan, laid)) is heats
    assert ("electricity" in {c.hazard for c in laid.cautions}) is heats
    assert ("heat blanket for drying" in _kit(plan)) is heats
    assert [("each heated cure" in said(plan, s)) for s in steps(plan, "C3")] == [True] * heats
    assert any(b.what.startswith("Cut-out trips") for b in laid.blanks)


def test_a_blanket_of_the_cures_dries_too() -> None:
    door = planned("gear_door")
    assert door.work is not None
    assert door.work.drying.wet
    assert "heat blanket for drying" not in _kit(door)
    assert "not named: no drying" not in said(door, steps(door, "D5")[0])
