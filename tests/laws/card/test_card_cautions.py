"""Cautions that were missing at their hazard, or stood where there was none."""

from __future__ import annotations

import pytest

from card_plans import KINDS, changed, in_the_air, planned, said, steps
from panelmend.job.card.part import Step
from panelmend.plan.plan import Plan


def _hazards(step: Step) -> set[str]:
    return {c.hazard for c in step.cautions}


def test_drilling_drain_holes_makes_dust_sparks_and_dust_of_carbon() -> None:
    (glass,) = steps(planned("gear_door"), "C1")
    assert _hazards(glass) == {"blade", "dust", "fire"}
    carbon = changed("cowling", ('moisture = "none found"', 'moisture = "found"\nwet_area = "20 cm2"'))
    assert _hazards(steps(carbon, "C1")[0]) == {"blade", "dust", "fire", "electricity"}
    (looked,) = steps(planned("nobody looked"), "C1")
    assert not looked.cautions, "nothing is drilled"


def _pressed(by: str) -> Plan:
    held = "" if not by else f'pressed = {{ by = "{by}", place = "fig 5" }}\n'
    return in_the_air(held)


@pytest.mark.parametrize(
    ("by", "falls"), [("weights", True), ("clamps", True), ("", True), ("contact", False), ("nothing", False)]
)
def test_weights_are_lifted_on_and_off(by: str, falls: bool) -> None:
    """The caution stood where they go on; where they come off, hot from the oven, it spoke of splinters."""
    plan = _pressed(by)
    on, off = steps(plan, "O21", 1)[0], steps(plan, "O25", 1)[0]
    assert ("lifting" in _hazards(on)) is falls
    assert ("lifting" in _hazards(off)) is falls


def test_no_weights_come_off_a_bag() -> None:
    for step in steps(planned("gear_door"), "O25"):
        assert "lifting" not in _hazards(step)


@pytest.mark.parametrize("kind", KINDS)
def test_filler_is_a_powder_where_it_is_stirred_in(kind: str) -> None:
    plan = planned(kind)
    assert plan.work is not None
    filled = {(m.operation, m.purpose) for m in plan.work.kit.mixes if m.filler is not None}
    for step in steps(plan, "O11"):
        own_one = any(step.title == f"{op}: weigh and mix {purpose}" for op, purpose in filled)
        assert ("dust" in _hazards(step)) is own_one


def test_a_router_is_loud() -> None:
    plan = planned("cowling")
    for ident in ("B7", "B9", "B11"):
        (cut,) = steps(plan, ident)
        assert any("hearing protection" in t for t in cut.tools)
    assert not any("hearing" in t for s in plan.card.steps for t in s.tools if s.id == "B10")


@pytest.mark.parametrize("kind", ["gear_door", "cowling", "root_fairing", "room temperature"])
def test_nothing_is_sanded_while_solvent_is_wet(kind: str) -> None:
    plan = planned(kind)
    for n, step in enumerate(steps(plan, "O1")):
        words = said(plan, step)
        sanded = "sand flush" in words or "is sanded level" in words
        assert sanded is (n > 0)
        assert ("No sanding before the solvent is gone" in words) is sanded
        if sanded:
            assert words.index("Degrease") < words.index("No sanding before")
            assert words.index("No sanding before") < max(
                words.find("sand flush"), words.find("is sanded level")
            )
        assert any("solvent gone" in b.what for b in step.blanks)


@pytest.mark.parametrize("kind", KINDS)
def test_waiting_for_its_own_heat_warns_of_that_and_of_no_other(kind: str) -> None:
    """Gloves for a hot blanket were asked for before any was on; that the resin heats itself was not said."""
    plan = planned(kind)
    waits = [s for s in steps(plan, "O21") if "own heat" in s.title]
    for step in waits:
        assert _hazards(step) == {"exotherm"}
        mixing = {c.words for m in steps(plan, "O11", step.operation) for c in m.cautions}
        assert step.cautions[0].words in mixing, "the batch that is printed there"
        assert step.cautions[0].short
    if kind == "gear_door":
        assert len(waits) == 2
