"""Where each thermocouple goes, by measures a person can take at the bench, and what it should read."""

from __future__ import annotations

import hashlib
import math
from dataclasses import dataclass

from panelmend.derive import Figure, Source, formula
from panelmend.derive.figure import Origin
from panelmend.document.panel import Side
from panelmend.job.bag.part import BagOperation
from panelmend.job.basis import Basis
from panelmend.job.card.part import StepTable, Words
from panelmend.job.cure.part import CureOperation, Placed, PlannedSensor, Prediction, SensorRole
from panelmend.job.work import Work
from panelmend.shapes import Outline, Point, distance_to_point
from panelmend.trade import reworded, trade_word
from panelmend.units import show

_GEOMETRY = Source("plane geometry")
SOLVER = Source("heat through the layers under the bag", "docs/method/cure.md")
EVEN = Source("spread evenly round the repair: common practice, no source")
DIFFERENCE_TOLD = 0.5  # [K] a smaller difference between seen and unseen is not worth a word


def measured_from(at: Point, centre: Point, direction: float, side: Side) -> Point:
    """A place as measured along a direction from a centre, and across it to the left, as seen from a side.

    Args:
        at: the place in standard axes [m].
        centre: what is measured from, in standard axes [m].
        direction: of the measure along, in standard axes [rad].
        side: the side it is seen from.

    Returns:
        ahead and to the left [m]; below zero back and to the right.
    """
    sign = 1.0 if side == "outside" else -1.0  # from the inside everything is turned over
    x, y = at[0] - centre[0], sign * (at[1] - centre[1])
    c, s = math.cos(direction), sign * math.sin(direction)
    return (c * x + s * y, -s * x + c * y)


@dataclass(frozen=True)
class SensorPlace:
    """A thermocouple with what it is measured from: the opening's centre and direction, the patch's edge."""

    id: str
    at: Point
    centre: Point
    direction: float
    side: Side
    patch: Outline

    @property
    def measures(self) -> Point:
        """Ahead of the centre, and to the left [m]."""
        return measured_from(self.at, self.centre, self.direction, self.side)

    @property
    def beyond(self) -> float:
        """How far outside the patch's edge, below zero inside [m]."""
        return -distance_to_point(self.patch, self.at)

    def digest(self) -> str:
        """The same for the same place measured from the same things."""
        text = repr((self.id, self.at, self.centre, self.direction, self.side, self.patch.digest()))
        return hashlib.sha256(text.encode("utf8")).hexdigest()

    def summary(self, view: str = "mm") -> str:
        """The thermocouple in words."""
        return f"thermocouple {self.id}"


@formula("|(P - C) . d|", source=_GEOMETRY, kind="length")
def along(place: SensorPlace) -> float:
    """Distance from the opening's centre along its length.

    place: the thermocouple [place]
    return: distance [m]
    """
    return abs(place.measures[0])


@formula("|(P - C) x d|", source=_GEOMETRY, kind="length")
def across(place: SensorPlace) -> float:
    """Distance from the opening's centre across its length.

    place: the thermocouple [place]
    return: distance [m]
    """
    return abs(place.measures[1])


@formula("least distance from the patch's edge", source=_GEOMETRY, kind="length")
def from_edge(place: SensorPlace) -> float:
    """Distance from the patch's edge.

    place: the thermocouple [place]
    return: distance [m]
    """
    return abs(place.beyond)


def _planned_sensor(prediction: Prediction, place: SensorPlace) -> PlannedSensor:
    return next(s for s in prediction.sensors if s.id == place.id)


@formula("lowest reading in the dwell", source=SOLVER, kind="temperature")
def reads_low(prediction: Prediction, place: SensorPlace) -> float:
    """What a thermocouple reads at its lowest in the longest dwell.

    prediction: the run with likely values [prediction]
    place: the thermocouple [place]
    return: temperature [K]
    """
    return _planned_sensor(prediction, place).low


@formula("highest reading in the dwell", source=SOLVER, kind="temperature")
def reads_high(prediction: Prediction, place: SensorPlace) -> float:
    """What a thermocouple reads at its highest in the longest dwell.

    prediction: the run with likely values [prediction]
    place: the thermocouple [place]
    return: temperature [K]
    """
    return _planned_sensor(prediction, place).high


@formula("time at which a thermocouple enters the band", source=SOLVER, kind="time")
def enters(prediction: Prediction, place: SensorPlace) -> float | None:
    """When a thermocouple enters the band; none where it never does.

    prediction: the run with likely values [prediction]
    place: the thermocouple [place]
    return: time from the start of heat [s]
    """
    return _planned_sensor(prediction, place).arrives


@formula(
    "hottest of the bond line in the dwell less the highest reading of all that count",
    source=SOLVER,
    kind="temperature difference",
)
def unseen_hot(prediction: Prediction) -> float:
    """How far the hottest of the bond line lies above every thermocouple that counts.

    prediction: the run with likely values [prediction]
    return: difference [K]
    """
    return min(s.below_hottest for s in prediction.sensors if s.role != "check")


@formula(
    "lowest reading of all that count less the coldest of the bond line in the dwell",
    source=SOLVER,
    kind="temperature difference",
)
def unseen_cold(prediction: Prediction) -> float:
    """How far the coldest of the bond line lies below every thermocouple that counts.

    prediction: the run with likely values [prediction]
    return: difference [K]
    """
    return min(s.above_coldest for s in prediction.sensors if s.role != "check")


def place_table(basis: Basis, work: Work, bag: BagOperation, cure: CureOperation) -> StepTable:
    """Where each thermocouple goes, measured from the opening's centre."""
    ledger, rows, view = basis.ledger, list[tuple[Words, ...]](), basis.case.view
    told: dict[str, str] = {}
    for sensor, spot in _spots(basis, work, bag, cure):
        key, thing = spot.key, spot.value
        assert isinstance(thing, SensorPlace), "a thermocouple is kept as a place"
        u, v = thing.measures
        rows.append(
            (
                (f"{thing.id}: {_once(told, thing.id, reworded(sensor.note))}",),
                (ledger.derive(f"{key}.along", along, place=spot), _way(u, " ahead", " back", view)),
                (ledger.derive(f"{key}.across", across, place=spot), _way(v, " left", " right", view)),
                (
                    ledger.derive(f"{key}.from_edge", from_edge, place=spot),
                    _way(thing.beyond, " outside", " inside", view),
                ),
                (trade_word(sensor.face),),
            )
        )
    title = (
        "Where the thermocouples go: along the opening's length from its centre and across it, as seen from the "
        "working side"
    )
    heads = ("No., why there", "Along", "Across", "From the patch's edge", "Face")
    return StepTable(title, heads, tuple(rows))


def _once(told: dict[str, str], name: str, words: str) -> str:
    """The words at the first that they are said of, later which one it is like."""
    first = told.setdefault(words, name)
    return words if first == name else f"as {first}"


def _way(value: float, over: str, under: str, view: str) -> str:
    """Which way a measure goes; nothing where it is none."""
    if show(abs(value), "length", view) == show(0.0, "length", view):
        return ""
    return over if value > 0.0 else under


JOBS: dict[SensorRole, str] = {
    "coldest": "counts",
    "hottest": "counts",
    "between": "counts",
    "check": "watches the opposite side, never counts",
    "behind": "the second blanket follows it",
}


def reading_tables(basis: Basis, work: Work, bag: BagOperation, cure: CureOperation) -> list[StepTable]:
    """What each thermocouple should read by the prediction; nothing where there is none."""
    if cure.prediction is None:
        return []
    ledger, whole, rows = basis.ledger, basis.ledger[f"cure.{cure.number}.prediction"], []
    told: dict[str, str] = {}
    for sensor, spot in _spots(basis, work, bag, cure):
        planned = next(s for s in cure.prediction.sensors if s.id == sensor.id)
        low, high = (
            ledger.derive(f"{spot.key}.{name}", by, prediction=whole, place=spot)
            for name, by in (("reads_low", reads_low), ("reads_high", reads_high))
        )
        when: Words = ("not in this cure",)
        if planned.arrives is not None:
            when = (ledger.derive(f"{spot.key}.enters", enters, prediction=whole, place=spot),)
        job = JOBS[planned.role]
        rows.append(((f"{sensor.id}: {_once(told, sensor.id, job)}",), (low, " to ", high), when))
    title = "What each thermocouple should read, by the prediction"
    return [StepTable(title, ("No.", "In the dwell", "Enters the band after"), tuple(rows))]


def unseen_lines(basis: Basis, cure: CureOperation) -> list[Words]:
    """What no thermocouple shows: how far the bond line is hotter or colder than all of them."""
    if cure.prediction is None:
        return []
    key, lines = f"cure.{cure.number}", list[Words]()
    whole = basis.ledger[f"{key}.prediction"]
    hot, cold = (
        basis.ledger.derive(f"{key}.{name}", by, prediction=whole)
        for name, by in (("unseen_hot", unseen_hot), ("unseen_cold", unseen_cold))
    )
    if float(hot) > DIFFERENCE_TOLD:
        lines.append(
            (
                "No thermocouple sees the hottest of the bond line: in the dwell it gets ",
                hot,
                " hotter than all of them.",
            )
        )
    if float(cold) > DIFFERENCE_TOLD:
        lines.append(
            (
                "No thermocouple sees the coldest of the bond line: in the dwell it is up to ",
                cold,
                " colder than all of them.",
            )
        )
    return lines


def _spots(basis: Basis, work: Work, bag: BagOperation, cure: CureOperation) -> list[tuple[Placed, Figure]]:
    """The thermocouples of an operation, each with its place as a figure."""
    opening, made = work.cutout.opening, []
    known = f"cure.{cure.number}.prediction"
    for sensor in cure.sensors:
        spot = SensorPlace(sensor.id, sensor.at, opening.centre, float(opening.angle), bag.side, bag.patch)
        inputs = ((("prediction", known),) if cure.prediction is not None else ()) + (
            ("direction", opening.angle.key),
        )
        source = SOLVER if cure.prediction is not None else EVEN
        figure = Figure(f"cure.{cure.number}.{sensor.id}", spot, "", Origin.COMPUTED, source, "", inputs)
        made.append((sensor, basis.ledger.add(figure)))
    return made
