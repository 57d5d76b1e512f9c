"""The working order: what must come before what, in every example and in plans of every kind."""

from __future__ import annotations

import random

import pytest

from card_plans import KINDS, operations, places, planned, steps
from order_breaches import breaches
from panelmend.job.card.order import (
    AGAIN,
    BETWEEN,
    IDS,
    RULES,
    Operations,
    Place,
    arranged,
    must_precede,
)
from panelmend.job.card.order import _all_after as reach

EVERY = [(a, b) for rule in RULES for a, b in rule.pairs]


def _all(count: int, plates: frozenset[int]) -> list[Place]:
    """Every step there may be."""
    made = [Place(i) for i in IDS if i not in AGAIN]
    return made + [Place(i, k) for k in range(1, count + 1) for i in IDS if i in AGAIN]


def test_every_rule_names_its_source_and_known_steps() -> None:
    for rule in (*RULES, *BETWEEN):
        assert len(rule.source) > 10, rule.edges
        assert any(w in rule.source for w in ("AC ", "TM ", "NAV ", "CP", "AD")), rule.source
        assert len(rule.pairs) == rule.edges.count("<"), f"an edge of {rule.edges!r} cannot be read"
    for a, b in EVERY:
        assert a in IDS
        assert b in IDS
    assert len(set(EVERY)) > 100


def test_every_step_but_the_first_needs_something_and_leads_somewhere() -> None:
    assert set(IDS) - {b for _, b in EVERY} == {"A1"}
    assert set(IDS) - {a for a, _ in EVERY} == {"E10"}


@pytest.mark.parametrize("kind", KINDS)
def test_every_plan_satisfies_the_order(kind: str) -> None:
    plan = planned(kind)
    assert breaches(places(plan), operations(plan)) == []
    assert [s.number for s in plan.card.steps] == list(range(1, len(plan.card.steps) + 1))


@pytest.mark.parametrize("kind", KINDS)
def test_any_shuffle_is_brought_back_into_order(kind: str) -> None:
    plan = planned(kind)
    mixed = places(plan)
    random.Random(7).shuffle(mixed)
    assert breaches(mixed, operations(plan))
    again = [mixed[i] for i in arranged(mixed, operations(plan))]
    assert breaches(again, operations(plan)) == []
    assert sorted(again) == sorted(places(plan))


@pytest.mark.parametrize("pair", EVERY, ids=lambda p: f"{p[0]}<{p[1]}")
def test_each_edge_is_seen_when_it_is_broken(pair: tuple[str, str]) -> None:
    one = Operations((1,))
    a, b = (Place(i, 1 if i in AGAIN else 0) for i in pair)
    if "D9" in pair:
        one = Operations((1,), frozenset({1}))
    assert breaches([b, a], one), pair
    assert breaches([a, b], one) == []


def test_a_step_that_does_not_apply_passes_its_needs_on() -> None:
    # no second wipe, no water-break check: the tape still comes before the accepted surface
    assert must_precede(Place("O4", 1), Place("O8", 1), Operations((1,)))
    assert must_precede(Place("A6"), Place("E10"), Operations((1,)))
    assert not must_precede(Place("O8", 1), Place("O4", 1), Operations((1,)))


def test_one_operation_is_inspected_before_the_next_is_prepared() -> None:
    two = Operations((1, 2))
    assert must_precede(Place("O27", 1), Place("O1", 2), two)
    assert not must_precede(Place("O27", 2), Place("O1", 1), two)
    assert not must_precede(Place("O27", 1), Place("D4", 2), two), "its bag may be cut earlier"


def test_a_cap_on_a_plate_is_cured_before_it_is_trimmed_and_bonded() -> None:
    ops = Operations((1, 2, 3), frozenset({1}))
    assert must_precede(Place("D9"), Place("O11", 1), ops)
    assert must_precede(Place("O27", 1), Place("D10"), ops)
    assert must_precede(Place("D10"), Place("O1", 2), ops)
    assert not must_precede(Place("D10"), Place("O11", 1), ops)
    plan = planned("cap on a plate")
    order = [(s.id, s.operation) for s in plan.card.steps]
    assert order.index(("O24", 1)) < order.index(("D10", 0)) < order.index(("O1", 2))
    assert ("O1", 1) not in order, "nothing is prepared on the panel for a cap on a plate"


def test_a_batch_is_laid_before_the_next_is_mixed() -> None:
    one = Operations((1,))
    assert must_precede(Place("O17", 1, 1), Place("O11", 1, 2), one)
    assert not must_precede(Place("O11", 1, 2), Place("O14", 1, 1), one)
    mixed = [s for s in planned("gear_door").card.steps if s.operation == 1 and s.id in ("O11", "O14", "O17")]
    assert [(s.id, s.place.batch) for s in mixed] == [
        ("O11", 1),
        ("O14", 1),
        ("O17", 1),
        ("O11", 2),
        ("O14", 2),
    ]


def test_the_order_has_no_circle_for_any_number_of_operations() -> None:
    for count in (0, 1, 2, 5):
        for plates in (frozenset[int](), frozenset({1}) if count else frozenset[int]()):
            ops = Operations(tuple(range(1, count + 1)), plates)
            assert all(node not in after for node, after in reach(ops).items())
            every = _all(count, plates)
            assert len(arranged(every, ops)) == len(every)


@pytest.mark.parametrize("kind", KINDS)
def test_never_between(kind: str) -> None:
    """What must not stand between two steps from the accepted surface to the opened bag."""
    plan = planned(kind)
    for k in operations(plan).numbers:
        order = [s.id for s in plan.card.steps if s.operation == k]
        if "O5" in order:
            between = order[order.index("O5") : order.index("O19") if "O19" in order else None]
            assert not {"O1", "O2", "O3", "B9", "B12", "C2", "D2", "D10"} & set(between)
        if "O11" in order and "O20" in order:
            inside = order[order.index("O11") : order.index("O20")]
            assert not {"D3", "D4", "D6", "D7", "D8"} & set(inside), "made after the resin is mixed"
        assert order.index("O24") + 1 == order.index("O25"), "the log is judged, then the bag is opened"


@pytest.mark.parametrize("kind", KINDS)
def test_the_cut_out_skin_is_kept_until_the_final_inspection(kind: str) -> None:
    plan = planned(kind)
    assert steps(plan, "B8")
    assert "Keep it until the final inspection" in str(steps(plan, "B8")[0].words)
    assert "may go after this" in str(steps(plan, "E9")[0].words)
