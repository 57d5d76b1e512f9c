"""A bag in the air of the room: nobody stands by it at night; its step says what is done when it fails."""

from __future__ import annotations

import pytest

from card_plans import in_the_air, planned, said, steps
from panelmend.plan.left_open import check_left_open
from panelmend.plan.plan import Plan


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


def _end(plan: Plan, operation: int) -> str:
    return said(plan, steps(plan, "O23", operation)[0])


def _left(plan: Plan, operation: int) -> tuple[str, set[str]]:
    (left,) = [s for s in steps(plan, "O21", operation) if "room temperature" in s.title]
    return said(plan, left), {b.what for b in left.blanks}


def test_the_vacuum_of_a_cold_cure_is_written_down_and_its_cycle_is_printed() -> None:
    """ "Vacuum all through" was judged without a reading, and neither cycle nor place stood on the step."""
    plan = planned("room temperature")
    words, whats = _left(plan, 2)
    assert "Cure cycle: 51-30-04 fig 2, cure B." in words
    assert "Hold at 21 C, no cooler than 18 C, no warmer than 30 C, for at least 8 h." in words
    assert {"Least vacuum seen", "Vacuum logged, or read by whom, how often"} <= whats
    (left,) = [s for s in steps(plan, "O21", 2) if "room temperature" in s.title]
    (least,) = [b for b in left.blanks if b.what == "Least vacuum seen"]
    assert plan.work is not None
    assert least.low is plan.work.bag.operations[1].least_vacuum
    assert _end(plan, 2) == "Vacuum stays on until 8 h in the band are over."
    words, whats = _left(in_the_air(), 1)
    assert "Vacuum" not in words
    assert not [w for w in whats if "acuum" in w], "no bag, no vacuum"
    assert _end(in_the_air(), 1).startswith(
        "Nothing that holds or weighs it down comes off before 8 h in the band"
    )


@pytest.mark.parametrize("twice", [False, True])
def test_a_cold_cure_of_two_holds_ends_with_both(twice: bool) -> None:
    more = ' { kind = "dwell", to = "24 C", low = "20 C", high = "30 C", least = "2 h" },\n' if twice else ""
    plan = in_the_air(bagged=True, more=more)
    assert _end(plan, 1).startswith(
        "Vacuum stays on until "
        + ("every hold of the cycle is over" if twice else "8 h in the band are over")
    )
    assert ("for at least 2 h" in _left(plan, 1)[0]) is twice
