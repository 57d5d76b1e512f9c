"""The bag stage: for each cure operation the layers in order, from the patch up."""

from __future__ import annotations

import math
from dataclasses import dataclass

from panelmend.derive import Figure, Ledger, Source
from panelmend.derive.figure import Origin
from panelmend.document.approved import Cure
from panelmend.document.panel import Side
from panelmend.errors import InputError
from panelmend.job.bag.blanket import choose
from panelmend.job.bag.formulas import (
    AC_BAG,
    TM_BAG,
    air_pressure_at,
    beyond_both_ends,
    deepest_vacuum,
    extent_along,
    force_of_bag,
    square_to,
)
from panelmend.job.bag.layers import Frame, stack
from panelmend.job.bag.part import BagOperation, BagPart, Sensor
from panelmend.job.case import Case
from panelmend.job.core.part import CorePart
from panelmend.job.cutout.part import CutoutPart
from panelmend.job.ground import Ground
from panelmend.job.plies.part import PliesPart
from panelmend.shapes import Outline, offset

LEAST_SENSORS = 3
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
    least = (
        ledger.approved(
            f"{key}.least_vacuum",
            cure.vacuum,
            "vacuum",
            source=_place(ground, cure),
        )
        if cure.vacuum is not None
        else ground.given_or("bag.least_vacuum", data.least_vacuum, 22 * 3386.389, "vacuum", source=AC_BAG)
    )
    available = _available(ground)
    force = ledger.derive(
        f"{key}.force",
        force_of_bag,
        pressure=least,
        length=ledger[f"{key}.seal_length"],
        width=ledger[f"{key}.seal_width"],
    )
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
        available,
        ground.given_or("bag.leak_drop", data.leak_drop, 3386.389, "vacuum", source=TM_BAG),
        ground.given_or("bag.leak_time", data.leak_time, 60.0, "time", source=TM_BAG),
        force,
        cure.pressure_aid,
        under.side,
        frame.centre,
        frame.direction,
    )


def _place(ground: Ground, cure: Cure) -> Source:
    manual = ground.case.document.data.manual
    return Source(f"{manual.number} rev {manual.revision}", cure.place)


def _middle(patch: Outline, direction: float) -> tuple[float, float]:
    """Middle of the box round the patch that lies along ``direction``."""
    turned = patch.turned(-direction)
    x0, y0, x1, y1 = turned.bounds
    x, y = 0.5 * (x0 + x1), 0.5 * (y0 + y1)
    c, s = math.cos(direction), math.sin(direction)
    return (c * x - s * y, s * x + c * y)


def _available(ground: Ground) -> Figure | None:
    """The deepest gauge vacuum the air at the bay allows, from its barometer or else its elevation."""
    bay, ledger = ground.case.document.bay, ground.ledger
    if "bag.available_vacuum" in ledger:
        return ledger["bag.available_vacuum"]
    if bay.barometer is not None:
        pressure = ground.typed("bay.barometer", bay.barometer, "pressure", path="bay.barometer")
    elif bay.elevation is not None:
        height = ground.typed("bay.elevation", bay.elevation, "length", path="bay.elevation")
        pressure = ledger.derive("bay.air_pressure", air_pressure_at, elevation=height)
    else:
        return None
    return ledger.derive("bag.available_vacuum", deepest_vacuum, barometer=pressure)


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
