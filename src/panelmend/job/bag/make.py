"""The bag stage: for each cure operation the layers in order, from the patch up."""

from __future__ import annotations

import math
from dataclasses import dataclass

from panelmend.derive import Figure, Ledger, Source
from panelmend.derive.figure import Origin
from panelmend.document.approved import Cure
from panelmend.document.panel import Side
from panelmend.errors import InputError
from panelmend.job import air
from panelmend.job.bag.blanket import choose
from panelmend.job.bag.formulas import (
    TM_BAG,
    beyond_both_ends,
    extent_along,
    force_of_bag,
    gas_under_bag,
    leak_throughput,
    pressing,
    square_to,
)
from panelmend.job.bag.layers import stack
from panelmend.job.bag.part import BagLayer, BagOperation, BagPart, Frame, Leak, Sensor, Vacuum
from panelmend.job.case import Case
from panelmend.job.core.part import CorePart
from panelmend.job.cutout.part import CutoutPart
from panelmend.job.ground import Ground
from panelmend.job.plies.part import PliesPart
from panelmend.job.usual import LEAST_SENSORS
from panelmend.shapes import Outline, offset

LEAST_OF_THE_LAYER = 22.7e3  # [Pa] less air than this is above 11 km, where the standard's lowest layer ends
_LARGEST = Source("the largest piece under this bag")


@dataclass(frozen=True)
class _Under:
    """What lies under one bag: its outline, and the direction its rectangles are laid along."""

    patch: Outline
    key: str
    side: Side
    angle: Figure

    @property
    def direction(self) -> float:
        """Direction of the length [rad]."""
        return float(self.angle)


def make(case: Case, ledger: Ledger, cutout: CutoutPart, plies: PliesPart, core: CorePart) -> BagPart:
    """Bag every cure operation the data orders.

    Raises:
        InputError: an operation is for a skin that is not repaired.
    """
    ground = Ground(case, ledger)
    made = [
        _operation(ground, number, cure, _under(case, cure, cutout, plies, core))
        for number, cure in enumerate(case.document.data.cure, 1)
    ]
    return BagPart(tuple(made))


def _under(case: Case, cure: Cure, cutout: CutoutPart, plies: PliesPart, core: CorePart) -> _Under:
    side: Side = cure.side or cutout.side
    here = [s for s in plies.sides if s.side == side]
    if not here:
        raise InputError(
            f"the operation is on the {side}, where nothing is repaired",
            where=f"{case.name}, data.cure, {cure.name}",
            read=f'side = "{side}"',
            expected="a skin with repair plies",
        )
    layup = here[0]
    outlines = [(layup.cutout, f"plies.{side}.cutout")]
    if "cap" in cure.lays:
        outlines += [(p.outline, f"plies.{p.id}.outline") for p in core.cap]
    if "plies" in cure.lays:
        outlines.append((layup.largest.outline, f"plies.{layup.largest.id}.outline"))
    patch, key = max(outlines, key=lambda pair: pair[0].area)
    return _Under(patch, key, side, cutout.opening.angle)


def _operation(ground: Ground, number: int, cure: Cure, under: _Under) -> BagOperation:
    data, key, ledger = ground.case.document.data.bag, f"bag.{number}", ground.ledger
    inputs = (("outline", under.key),) if under.key in ledger else ()
    patch = ledger.add(Figure(f"{key}.patch", under.patch, "", Origin.COMPUTED, _LARGEST, "", inputs))
    direction = under.angle
    across = ledger.derive(f"{key}.across", square_to, direction=direction)
    adhesive = ground.given_or("bag.adhesive_margin", data.adhesive_margin, 0.00635, "length")
    probes = ground.given_or("bag.sensor_margin", data.sensor_margin, 0.0127, "length")
    over = ground.given_or("bag.blanket_margin", data.blanket_margin, 0.0508, "length")
    line = offset(under.patch, float(adhesive) + float(probes))[0]
    sizes = []
    for name, towards in (("length", direction), ("width", across)):
        size = ledger.derive(f"{key}.patch_{name}", extent_along, outline=patch, direction=towards)
        glued = ledger.derive(f"{key}.adhesive_{name}", beyond_both_ends, size=size, margin=adhesive)
        sensed = ledger.derive(f"{key}.sensor_{name}", beyond_both_ends, size=glued, margin=probes)
        sizes.append(ledger.derive(f"{key}.heated_{name}_needed", beyond_both_ends, size=sensed, margin=over))
    chosen = choose(ground, key, cure.name, sizes[0], sizes[1])
    frame = Frame(_middle(under.patch, under.direction), under.direction)
    layers, seal = stack(ground, key, cure, frame, under.patch, chosen)
    least = air.least_vacuum_of(ground, number, cure)
    force = ledger.derive(
        f"{key}.force",
        force_of_bag,
        pressure=least,
        length=ledger[f"{key}.seal_length"],
        width=ledger[f"{key}.seal_width"],
    )
    drop = ground.given_or("bag.leak_drop", data.leak_drop, 3386.389, "vacuum", source=TM_BAG)
    time = ground.given_or("bag.leak_time", data.leak_time, 60.0, "time", source=TM_BAG)
    count = max(LEAST_SENSORS, cure.thermocouples_least or 0)
    return BagOperation(
        cure.name,
        number,
        under.side,
        cure,
        tuple(cure.lays),
        under.patch,
        line,
        seal,
        layers,
        _spread(line, count),
        chosen.blanket.id if chosen.blanket is not None else "",
        sizes[0],
        sizes[1],
        chosen.length,
        chosen.width,
        least,
        air.deepest_vacuum_of(ground),
        drop,
        time,
        force,
        cure.pressure_aid,
        under.side,
        frame,
        _vacuum(ground, key, least),
        _leak(ground, key, layers, drop, time),
    )


def _vacuum(ground: Ground, key: str, least: Figure) -> Vacuum:
    """What the least vacuum means: as a difference, as what is left under the bag, and where it can exist."""
    ledger, pressure = ground.ledger, air.pressure_of(ground)
    absolute = boiling = highest = None
    if pressure is not None and float(least) <= float(pressure):
        absolute = ledger.derive(f"{key}.absolute", air.left_under_bag, barometer=pressure, vacuum=least)
        boiling = ledger.derive(f"{key}.boiling", air.boiling_at, pressure=absolute)
    if float(least) >= LEAST_OF_THE_LAYER:
        highest = ledger.derive(f"{key}.highest_elevation", air.highest_for, vacuum=least)
    return Vacuum(ledger.derive(f"{key}.difference", pressing, vacuum=least), absolute, boiling, highest)


def _leak(ground: Ground, key: str, layers: tuple[BagLayer, ...], drop: Figure, time: Figure) -> Leak:
    """The flow that the leak test's limits allow, where the breather's thickness is known."""
    ledger = ground.ledger
    ident = next((layer.material for layer in layers if layer.use == "breather"), "")
    breather = ground.case.catalogue.bagging(ident) if ident else None
    if breather is None or breather.thickness is None:
        return Leak(ident, None, None)
    volume = ledger.derive(
        f"{key}.gas",
        gas_under_bag,
        length=ledger[f"{key}.seal_length"],
        width=ledger[f"{key}.seal_width"],
        thickness=ground.table(f"bag.{ident}.thickness", breather.thickness, "length", of=breather),
    )
    flow = ledger.derive(f"{key}.leak_flow", leak_throughput, volume=volume, drop=drop, duration=time)
    return Leak(ident, volume, flow)


def _middle(patch: Outline, direction: float) -> tuple[float, float]:
    """Middle of the box round the patch that lies along ``direction``."""
    turned = patch.turned(-direction)
    x0, y0, x1, y1 = turned.bounds
    x, y = 0.5 * (x0 + x1), 0.5 * (y0 + y1)
    c, s = math.cos(direction), math.sin(direction)
    return (c * x - s * y, s * x + c * y)


def _spread(line: Outline, count: int) -> tuple[Sensor, ...]:
    """Thermocouples at equal distances along their line, the first where it is farthest along 0 degrees."""
    points = []
    for segment in line.segments():
        steps = max(1, math.ceil(segment.length / 0.002))
        points += [segment.at(i / steps) for i in range(steps)]
    start = max(range(len(points)), key=lambda i: (round(points[i][0], 9), -round(points[i][1], 9)))
    points = [*points[start:], *points[:start]]
    walked = [0.0]
    for i in range(1, len(points) + 1):
        a, b = points[i - 1], points[i % len(points)]
        walked.append(walked[-1] + math.hypot(b[0] - a[0], b[1] - a[1]))
    sensors, j = [], 0
    for k in range(count):
        while walked[j] < walked[-1] * k / count - 1e-12:
            j += 1
        sensors.append(Sensor(f"T{k + 1}", points[j % len(points)]))
    return tuple(sensors)
