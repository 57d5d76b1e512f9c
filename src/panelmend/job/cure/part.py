"""What the cure stage knows of each operation: recipe, electricity, and the prediction where there is one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from panelmend.derive import Figure, Ledger
from panelmend.job.bag.part import BagOperation
from panelmend.job.cure.prediction import DIGEST_LETTERS as DIGEST_LETTERS
from panelmend.job.cure.prediction import OWN_HEAT as OWN_HEAT
from panelmend.job.cure.prediction import UNPREDICTED as UNPREDICTED
from panelmend.job.cure.prediction import CureState as CureState
from panelmend.job.cure.prediction import DriedCases as DriedCases
from panelmend.job.cure.prediction import Outlook as Outlook
from panelmend.job.cure.prediction import PlannedSensor as PlannedSensor
from panelmend.job.cure.prediction import Prediction as Prediction
from panelmend.job.cure.prediction import SensorRole as SensorRole
from panelmend.job.cure.prediction import held_key as held_key
from panelmend.job.cure.problem import HeatProblem, Point
from panelmend.shapes import Outline


@dataclass(frozen=True)
class MissingConstant:
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
    """A blanket on a circuit: power and current at the bay's supply, what the circuit may carry for hours.

    Power, current and share are None where the supply is not given, ``allowed`` where no circuit is;
    ``holds`` is then False, for nothing was checked. ``allowed`` is the strongest circuit's where none will
    do. ``rated`` is the power at the rated voltage, ``density`` the power on the heated area at the supply
    (at the rated voltage where the supply is not given), ``share`` the power at the supply over ``rated``.
    """

    blanket: str
    circuit: str  # "" where none will do
    power: Figure | None
    current: Figure | None
    allowed: Figure | None
    holds: bool
    rated: Figure
    density: Figure
    share: Figure | None

    @property
    def checked(self) -> bool:
        """Whether supply and circuits are given, so that ``holds`` says something."""
        return self.current is not None and self.allowed is not None


@dataclass(frozen=True)
class CureOperation:
    """One operation. ``problem`` is None where constants are ``missing``; ``prediction`` None where it was
    not made yet or cannot be. ``wet`` is the same with water left in the core (None where none was found),
    ``wetted`` what is predicted of that."""

    number: int
    name: str
    blankets: tuple[Circuited, ...]
    set_point: Figure
    rate: Figure | None
    problem: HeatProblem | None
    missing: tuple[MissingConstant, ...]
    prediction: Prediction | None
    sensors: tuple[Placed, ...]
    wet: HeatProblem | None = None
    wetted: Prediction | None = None

    @property
    def never(self) -> bool:
        """Whether its heat is none that is predicted: an oven's, a plate's, a room's."""
        return self.problem is None and not self.missing

    @property
    def unplanned_behind(self) -> str:
        """The second blanket where no thermocouple is planned that it follows; "" for none."""
        told = self.prediction.sensors if self.prediction is not None else ()
        if len(self.blankets) < 2 or any(s.role == "behind" for s in told):
            return ""
        return self.blankets[1].blanket


@dataclass(frozen=True)
class CurePart:
    """The cure operations in order, and the heat of drying before them (None: not dried, or not known)."""

    operations: tuple[CureOperation, ...]
    drying: HeatProblem | None = None
    dried: Prediction | None = None

    @property
    def heats(self) -> tuple[tuple[HeatProblem, Prediction | None], ...]:
        """Every problem of heat with its prediction where there is one: drying, the cures, the cures with
        water left in the core."""
        made = [(o.problem, o.prediction) for o in self.operations if o.problem is not None]
        wet = [(o.wet, o.wetted) for o in self.operations if o.wet is not None]
        return (*(((self.drying, self.dried),) if self.drying is not None else ()), *made, *wet)


def on_tape(ledger: Ledger, bag: BagOperation, sensors: Sequence[PlannedSensor | Placed]) -> list[str]:
    """The thermocouples that stand on the PTFE tape just outside the last ply, by their names."""
    key = f"plies.{bag.heated_from}.tape_outer"
    if not {"plies", "fill"} & set(bag.lays) or key not in ledger:
        return []
    tape = ledger[key].value
    assert isinstance(tape, Outline), "the tape has an outline"
    return [s.id for s in sensors if s.face == "repair side" and tape.contains(s.at)]
