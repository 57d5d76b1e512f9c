"""What the cure stage knows of each operation: recipe, electricity, and the prediction where there is one."""

from __future__ import annotations

from dataclasses import dataclass

from panelmend.derive import Figure
from panelmend.job.cure.prediction import Prediction
from panelmend.job.cure.problem import HeatProblem, Point


@dataclass(frozen=True)
class Missing:
    """A constant nobody gave: what it is, and what to ask whom for."""

    what: str
    field: str
    ask: str


@dataclass(frozen=True)
class Placed:
    """A thermocouple as card and drawings show it: predicted where there is a prediction, else spread
    evenly."""

    id: str
    at: Point
    face: str
    note: str


@dataclass(frozen=True)
class Circuited:
    """A blanket on a circuit: power and current at the bay's supply, what the circuit may carry for hours."""

    blanket: str
    circuit: str  # "" where none will do
    power: Figure | None
    current: Figure | None
    allowed: Figure | None
    holds: bool


@dataclass(frozen=True)
class CureOperation:
    """One operation. ``problem`` is None where constants are ``missing``; ``prediction`` None where it was
    not
    made yet or cannot be."""

    number: int
    name: str
    blankets: tuple[Circuited, ...]
    set_point: Figure
    rate: Figure | None
    problem: HeatProblem | None
    missing: tuple[Missing, ...]
    prediction: Prediction | None
    sensors: tuple[Placed, ...]
    least_vacuum_absolute: Figure | None
    boiling: Figure | None


@dataclass(frozen=True)
class CurePart:
    """The cure operations in order."""

    operations: tuple[CureOperation, ...]
