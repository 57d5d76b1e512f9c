"""A bag in the air of the room: nobody stands by it at night; its step says what is done when it fails."""

from __future__ import annotations

from card_plans import in_the_air, planned, steps
from panelmend.plan.left_open import check_left_open


def test_a_cold_cure_in_a_bag_says_what_the_data_orders_when_the_pump_stops() -> None:
    """It was asked of a cure with heat alone: a bag that leaks at night stood in no step and no finding."""
    ordered = next(s for s in steps(planned("room temperature"), "O21", 2) if "room temperature" in s.title)
    (table,) = ordered.tables
    assert [row[0][0] for row in table.rows] == ["Pump stops", "Bag leaks"]
    open_ = {
        "Pump stops: what the data says, before it begins",
        "Bag leaks: what the data says, before it begins",
    }
    for bagged in (True, False):
        plan = in_the_air(bagged=bagged)
        (left,) = [s for s in steps(plan, "O21", 1) if "room temperature" in s.title]
        assert {b.what for b in left.blanks if "what the data says" in b.what} == (open_ if bagged else set())
        assert ("data.interruption" in {f.place for f in check_left_open(plan.case)}) == bagged
