"""What the bag stage stacks."""

from __future__ import annotations

import math
from dataclasses import dataclass

from panelmend.derive import Figure
from panelmend.document.approved import Cure
from panelmend.document.panel import Side
from panelmend.shapes import Outline, rectangle


@dataclass(frozen=True)
class Frame:
    """Where the rectangles of a bag are centred [m] and the direction of their length [rad]."""

    centre: tuple[float, float]
    direction: float

    def rectangle(self, length: float, width: float) -> Outline:
        """A rectangle of these sizes [m] in the frame."""
        if length >= width:
            return rectangle(self.centre, length, width, self.direction)
        return rectangle(self.centre, width, length, self.direction + 0.5 * math.pi)


@dataclass(frozen=True)
class BagLayer:
    """One layer of the bag, in the order it goes down.

    ``use`` names it in the trade's words; ``material`` is the material id ("" where none is named);
    ``outline`` in standard axes (None for tape and probes); ``length`` and ``width`` the piece to cut;
    ``margin`` what it reaches beyond the layer it is sized by; ``pieces`` how many.
    """

    order: int
    use: str
    material: str
    outline: Outline | None
    length: Figure | None
    width: Figure | None
    margin: Figure | None
    pieces: int
    note: str


@dataclass(frozen=True)
class Sensor:
    """A thermocouple position of the bag plan in standard axes."""

    id: str
    at: tuple[float, float]


@dataclass(frozen=True)
class Vacuum:
    """The least vacuum in other words.

    ``difference`` presses on the bag; ``absolute`` is left under it and ``boiling`` where water boils there
    (None where the air at the bay is not known, or gives no such vacuum); above ``highest`` it cannot exist
    in the standard atmosphere (None where it can anywhere people work).
    """

    difference: Figure
    absolute: Figure | None
    boiling: Figure | None
    highest: Figure | None


@dataclass(frozen=True)
class Leak:
    """The flow of the largest leak that still passes, through the ``gas`` room under the bag.

    Both are None where the thickness of the ``breather`` (material id) is not known.
    """

    breather: str
    gas: Figure | None
    flow: Figure | None


@dataclass(frozen=True)
class BagOperation:
    """One cure operation's bag.

    ``patch`` is what lies under it, ``sensor_line`` where thermocouples go, ``seal_line`` the middle of the
    sealing tape, all in standard axes. ``blanket`` is the id of the blanket ("" where none will do),
    ``needed_length`` by ``needed_width`` the heated size that is wanted. ``force`` presses on the bag.
    ``frame`` is that of the rectangles.
    """

    name: str
    number: int
    side: Side
    cure: Cure
    lays: tuple[str, ...]
    patch: Outline
    sensor_line: Outline
    seal_line: Outline
    layers: tuple[BagLayer, ...]
    sensors: tuple[Sensor, ...]
    blanket: str
    needed_length: Figure
    needed_width: Figure
    blanket_length: Figure
    blanket_width: Figure
    least_vacuum: Figure
    available_vacuum: Figure | None
    leak_drop: Figure
    leak_time: Figure
    force: Figure
    pressure_aid: str
    heated_from: Side
    frame: Frame
    vacuum: Vacuum
    leak: Leak


@dataclass(frozen=True)
class BagPart:
    """The bags of all cure operations in order."""

    operations: tuple[BagOperation, ...]
