"""What the cut takes out of a panel besides skin and core is told, and asked where the document is silent."""

from __future__ import annotations

from card_plans import changed, planned, said, steps


def test_what_was_cut_away_is_asked_before_bonding_and_before_the_panel_goes_back() -> None:
    """Also where the insert that was torn out is in the document no more."""
    for kind in ("gear_door", "cowling", "insert", "one skin"):
        plan = planned(kind)
        (hole,), (last,) = steps(plan, "B14"), steps(plan, "E9")
        (asked,) = [b for b in hole.blanks if b.what == "Cut away besides skin and core"]
        assert asked.said == "0; else stop, planner"
        assert "stop, planner, before anything is bonded" in said(plan, hole)
        assert hole.hold is not None
        assert hole.number < min(s.number for s in plan.card.steps if s.operation)
        assert any(b.what.startswith("Inserts, holes, fittings") for b in last.blanks)


def test_an_insert_in_a_hole_through_both_skins_stops_the_plan() -> None:
    at = '[[panel.insert]]\nid = "I1"\nat = "42, -58 mm"\ndiameter = "10 mm"\nmetal = "none"\n[damage]\n'
    told = [f for f in changed("cowling", ("[damage]\n", at)).findings if f.code == "J590"]
    assert [f.place for f in told] == ["panel.insert, I1"]
