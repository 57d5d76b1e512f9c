"""What the bag stage stacks."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from panelmend.derive import Figure
from panelmend.document.panel import Side
from panelmend.document.recipe import Cure, CurePart, PressureAid
from panelmend.job.bag.air_path import Air, AirPath
from panelmend.shapes import Outline, rectangle

Point = tuple[float, float]
Behind = Literal["second blanket", "support", "other skin"]


class HandCode(StrEnum):
    """What is measured of a thing placed by hand. Findings decide on this, never on words."""

    COVER = "blanket covers what it must heat"
    REPAIR = "thermocouple clear of repair and adhesive"
    NEAR = "thermocouple as far out as asked"
    HEATED = "thermocouple under the heated area"


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

    def point(self, x: float, y: float) -> Point:
        """A point of the frame [m] in standard axes."""
        c, s = math.cos(self.direction), math.sin(self.direction)
        return (self.centre[0] + c * x - s * y, self.centre[1] + s * x + c * y)

    def box(self, x: float, y: float, length: float, width: float) -> Outline:
        """A rectangle about a point of the frame [m]."""
        return Frame(self.point(x, y), self.direction).rectangle(length, width)


LayerUse = Literal[
    "peel ply",
    "perforated film",
    "bleeder",
    "parting film",
    "pressure aid",
    "pressure pad",
    "caul sheet",
    "support",
    "plate",
    "heat blanket",
    "breather",
    "lower breather",
    "edge breather",
    "breather collar",
    "glass cloth",
    "vacuum base",
    "sealing tape",
    "bag film",
]


@dataclass(frozen=True)
class BagLayer:
    """One layer of the bag, in the order it goes down.

    ``use`` names it in the trade's words; ``material`` is the material id ("" where none is named);
    ``outline`` in standard axes (None for tape and probes, and for several pieces); ``length`` and ``width``
    the piece to cut; ``margin`` what it reaches beyond the layer it is sized by; ``pieces`` how many. ``air``
    says what air does in it; ``outlines`` are those of all its pieces, ``hole`` what is left out of it;
    ``below``: it lies under what is cured.
    """

    order: int
    use: LayerUse
    material: str
    outline: Outline | None
    length: Figure | None
    width: Figure | None
    margin: Figure | None
    pieces: int
    note: str
    air: Air = "apart"
    outlines: tuple[Outline, ...] = ()
    hole: Outline | None = None
    below: bool = False


@dataclass(frozen=True)
class Sensor:
    """A thermocouple position of the bag plan in standard axes."""

    id: str
    at: tuple[float, float]


@dataclass(frozen=True)
class HandFit:
    """What must hold of something placed by hand: what, how much there is and is asked [m], how heavy.

    ``sensor`` is the thermocouple, "" for the blanket.
    """

    code: HandCode
    what: str
    sensor: str
    clear: Figure
    asked: Figure
    holds: bool


@dataclass(frozen=True)
class ByHand:
    """What of a bag the planner placed by hand.

    ``blanket`` is how far the blanket's middle lies off the middle, along and across (None: not placed);
    ``sensors`` whether the thermocouples are; ``crowded`` two of them that are one, ``metal`` those near or
    over metal, ``nowhere`` those where none can go; ``fits`` what is measured of all of it.
    """

    blanket: tuple[Figure, Figure] | None = None
    sensors: bool = False
    fits: tuple[HandFit, ...] = ()
    nowhere: tuple[str, ...] = ()
    metal: tuple[str, ...] = ()
    crowded: tuple[str, ...] = ()

    @property
    def usable(self) -> bool:
        """Whether it is placed so that a cure can be predicted with it."""
        return not self.nowhere and all(f.holds or f.code is HandCode.NEAR for f in self.fits)

    @property
    def off(self) -> Point:
        """How far the blanket lies off, along and across [m]; nought where it was not placed."""
        return (float(self.blanket[0]), float(self.blanket[1])) if self.blanket is not None else (0.0, 0.0)


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
class OtherBag:
    """What lies on the other side of the panel in the same operation.

    ``kind``: a second blanket on a sound skin, a support over an open hole, or the other skin's own plies.
    ``bagged``: it has a bag of its own, with its own leak test. ``push`` is the force on what closes the hole
    at a ``difference`` between the two vacuums, ``alone`` the most of one side drawn empty with none on
    the other (all three None where no hole is open and none is closed in this operation).
    """

    kind: Behind
    side: Side
    layers: tuple[BagLayer, ...]
    seal_line: Outline
    patch: Outline
    fittings: tuple[Point, ...]
    blanket: str
    support: str
    bagged: bool
    force: Figure
    air: AirPath | None
    difference: Figure | None
    push: Figure | None
    alone: Figure | None
    leak: Leak

    @property
    def drawn_with(self) -> bool:
        """Whether its bag is drawn together with the other: alone it pushes on what closes the hole."""
        return self.bagged and self.alone is not None


@dataclass(frozen=True)
class BagOperation:
    """One cure operation's bag.

    ``lays`` is what is really laid or bonded in it; ``bonds_cap``: the cap that was cured on a plate.
    ``place``, ``heated_by`` and ``bagged`` are those of the cure; without a bag there are no layers.
    ``fittings`` are where the vacuum bases stand, ``air`` is the proof of the way of the air (None without
    a bag), ``behind`` what lies on the other side of the panel, ``plies`` the ids of what is laid, in the
    order it goes down: the numbers of card, templates and labels.

    ``patch`` is what lies under it, ``sensor_line`` where thermocouples go, ``seal_line`` the inner edge of
    the sealing tape, all in standard axes. ``blanket`` is the id of the blanket ("" where none will do),
    ``needed_length`` by ``needed_width`` the heated size that is wanted. ``force`` presses on the bag
    at the most, drawn empty.
    ``frame`` is that of the rectangles, ``hand`` what of it was placed by hand. Without a bag ``pressure`` is
    the least that the data has weights or clamps press with, ``weights`` the mass that does it.
    """

    name: str
    number: int
    side: Side
    cure: Cure
    lays: tuple[CurePart, ...]
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
    pressure_aid: PressureAid | None
    heated_from: Side
    frame: Frame
    vacuum: Vacuum
    leak: Leak
    fittings: tuple[Point, ...] = ()
    air: AirPath | None = None
    behind: OtherBag | None = None
    bonds_cap: bool = False
    plies: tuple[str, ...] = ()
    hand: ByHand = ByHand()
    pressure: Figure | None = None
    weights: Figure | None = None

    @property
    def on_panel(self) -> bool:
        """Whether it is cured on the panel, and not on a plate."""
        return not self.cure.on_plate

    @property
    def bagged(self) -> bool:
        """Whether it is cured under a bag."""
        return self.cure.bagged

    @property
    def all_layers(self) -> tuple[BagLayer, ...]:
        """The layers of both sides."""
        return (*self.layers, *(self.behind.layers if self.behind is not None else ()))


@dataclass(frozen=True)
class BagPart:
    """The bags of all cure operations in order; ``left_out`` names cures that lay nothing in this repair."""

    operations: tuple[BagOperation, ...]
    left_out: tuple[str, ...] = ()
