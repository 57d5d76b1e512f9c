"""Blanket and thermocouples of a cure moved on the drawing: what is written, and the fields it is shown in.

A place is written in the document's own axes on the panel's outer face, as every place is. The first
thermocouple that is moved writes down where all of that cure lie: from then on they are placed by hand.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from panelmend.document.model import HeatChoice
from panelmend.document.places import Path as Field
from panelmend.errors import InputError
from panelmend.job.bag.part import BagOperation, Point
from panelmend.job.case import Case
from panelmend.job.curvature import point_on
from panelmend.plan.plan import Plan
from panelmend.units import KINDS

LEAST_STEP = {"mm": 1, "in": 3}  # decimals of a length that is written by a move
REPAIR_SIDE = "repair side"
PLACED_IN = {"blanket": "blanket_centre", "thermocouple": "thermocouples"}  # field of each


def moved_by_hand(plan: Plan, operation: int, sensor: str, by: Point) -> dict[Field, Any]:
    """What a move of a blanket, or of a thermocouple where one is named, writes.

    Args:
        plan: the plan as it is.
        operation: number of the cure.
        sensor: the thermocouple; "" for the blanket.
        by: the move in standard axes [m].

    Raises:
        InputError: there is no such thing on the panel.
    """
    bag = _bag(plan, operation)
    if sensor:
        places = sensors_now(plan, bag)
        if sensor not in places:
            raise InputError(f"{bag.name} has no thermocouple {sensor} on the repair side")
        places[sensor] = _plus(places[sensor], by)
        return _put(plan, bag, "thermocouples", [_typed(plan.case, bag, p) for p in places.values()])
    if not bag.blanket:
        raise InputError(f"{bag.name} has no blanket that could be moved")
    at = _plus(bag.frame.point(*bag.hand.off), by)
    return _put(plan, bag, "blanket_centre", _typed(plan.case, bag, at))


def placed_as_planned(plan: Plan, operation: int, what: str) -> dict[Field, Any]:
    """What takes a placing by hand out again: the blanket in the middle, the thermocouples as planned."""
    bag = _bag(plan, operation)
    choice = plan.case.document.choice.heat_for(bag.name)
    if choice is None:
        return {}
    index = plan.case.document.choice.heat.index(choice)
    return {("choice", "heat", index, PLACED_IN[what]): None}


def sensors_now(plan: Plan, bag: BagOperation) -> dict[str, Point]:
    """Where the thermocouples of the repair side lie now, numbered in their order [m]."""
    assert plan.work is not None, "a bag without work to do"
    cure = next(c for c in plan.work.cure.operations if c.number == bag.number)
    there = [s.at for s in cure.sensors if s.face == REPAIR_SIDE]
    return {f"T{n}": at for n, at in enumerate(there, 1)}


def hand_places(plan: Plan, index: int, heat: HeatChoice) -> Iterator[tuple[Field, str]]:
    """The fields of places by hand that can be typed, with the name each has: "" for the blanket."""
    bags = plan.work.bag.operations if plan.work is not None else ()
    bag = next((b for b in bags if b.name == heat.cure and b.on_panel), None)
    if bag is None:
        return
    if bag.blanket:
        yield ("choice", "heat", index, "blanket_centre"), ""
    for n in range(len(heat.thermocouples)):
        yield ("choice", "heat", index, "thermocouples", n), f"T{n + 1}"


def _bag(plan: Plan, operation: int) -> BagOperation:
    bags = plan.work.bag.operations if plan.work is not None else ()
    bag = next((b for b in bags if b.number == operation and b.on_panel), None)
    if bag is None:
        raise InputError(f"no cure {operation} is done on the panel")
    return bag


def _put(plan: Plan, bag: BagOperation, field: str, value: Any) -> dict[Field, Any]:
    """The value into the choice of this cure, or into a choice of its own where it has none."""
    heat = plan.case.document.choice.heat
    choice = plan.case.document.choice.heat_for(bag.name)
    if choice is None:
        return {("choice", "heat", len(heat)): {"cure": bag.name, field: value}}
    return {("choice", "heat", heat.index(choice), field): value}


def _typed(case: Case, bag: BagOperation, at: Point) -> str:
    """A place on the face that is worked on, as it is typed [m]."""
    x, y = point_on(case, at, bag.side, "outside")
    y = y if case.document.panel.seen_from == "outside" else -y
    return point_words(case, (x, y))


def point_words(case: Case, at: Point) -> str:
    """A place as the document writes it, in the units it is printed in."""
    scale, places = KINDS["length"].units[case.view][0], LEAST_STEP[case.view]
    return f"{at[0] / scale:.{places}f}, {at[1] / scale:.{places}f} {case.view}"


def _plus(a: Point, b: Point) -> Point:
    return (a[0] + b[0], a[1] + b[1])
