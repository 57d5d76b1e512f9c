"""Plans of the gear door with a few things changed, for the tests of drying and bag."""

from __future__ import annotations

from examples_here import case_from, edited, text
from panelmend.job.card.part import Step, StepTable
from panelmend.job.drying.part import DryingPart
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.render.card import card_data
from panelmend.render.card_workings import workings_data

DOOR = text("gear_door")
CONSTANTS = ', moisture_d0 = "6.0 mm2/s", moisture_ea = "40 kJ/mol", moisture_saturation = "1.6 %"'
BOND = ', bond = "demo-film"'


def plan(*changes: tuple[str, str], of: str = DOOR) -> Plan:
    """A plan with pieces of its document replaced."""
    of = edited(of, *changes)
    return make_plan(case_from(of))


def part(made: Plan) -> DryingPart:
    """Its drying part."""
    assert made.work is not None
    return made.work.drying


def value(made: Plan, key: str) -> float:
    """A figure's value."""
    return float(made.ledger[key])


def step(made: Plan, ident: str) -> Step:
    """The first step of its card with an id."""
    return next(s for s in made.card.steps if s.id == ident)


def tables(made: Plan) -> tuple[StepTable, ...]:
    """The tables on water and drying."""
    return next(n.tables for n in made.card.notes if n.place.id == "C4")


def codes(made: Plan) -> set[str]:
    """The codes of its findings."""
    return {x.code for x in made.findings}


def words(lines: tuple[tuple[object, ...], ...]) -> str:
    """The plain words of a step's lines."""
    return " ".join(w for line in lines for w in line if isinstance(w, str))


def card_text(made: Plan) -> str:
    """Everything its card's steps say, and the reasoning that belongs to them."""
    return str(card_data(made)["steps"]) + str(workings_data(made)["notes"])
