"""Where the thermocouples of a bag go before a prediction says where it will be hottest and coldest."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterator

from panelmend.derive.memory import remembered
from panelmend.document.approved import Cure
from panelmend.job.bag.part import Frame, Sensor
from panelmend.job.defaults import LEAST_SENSORS
from panelmend.shapes import Outline
from panelmend.units import INCH

SENSORS_APART = INCH  # [m] nearer to each other two thermocouples tell the same (common practice, no source)


def sensors_of(cure: Cure, line: Outline, frame: Frame, avoid: tuple[Outline, ...]) -> tuple[Sensor, ...]:
    """Thermocouples: round the patch on the panel, on a plate first at its middle, none where unheated."""
    if cure.heated_by == "room temperature":
        return ()
    if cure.on_plate:
        more = _spaced_along(line, max(1, (cure.thermocouples_least or 1) - 1))
        others = more if (cure.thermocouples_least or 1) > 1 else ()
        return (Sensor("T1", frame.centre), *(Sensor(f"T{i}", s.at) for i, s in enumerate(others, 2)))
    return _spaced_along(line, max(LEAST_SENSORS, cure.thermocouples_least or 0), avoid)


@remembered
def _spaced_along(line: Outline, count: int, avoid: tuple[Outline, ...] = ()) -> tuple[Sensor, ...]:
    """Thermocouples at equal distances along their line, the first where it is farthest along 0 degrees.

    One that would lie on what ``avoid`` outlines goes to the nearest free place, not beside another;
    where there is none, it is left out: two in one place are one.
    """
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
    sensors: list[Sensor] = []
    room = min(SENSORS_APART, 0.5 * walked[-1] / count)
    for k in range(count):
        along = walked[-1] * k / count
        wanted = bisect_left(walked, along - 1e-12) % len(points)
        place = next(
            (
                j
                for j in nearest_first(wanted, len(points))
                if all(math.dist(points[j], s.at) >= room for s in sensors)
                and not any(o.contains(points[j]) for o in avoid)
            ),
            None,
        )
        if place is not None:
            sensors.append(Sensor(f"T{len(sensors) + 1}", points[place]))
    return tuple(sensors)


def nearest_first(wanted: int, count: int) -> Iterator[int]:
    """Points of a closed line by their steps from one of them, of two as far away the lower number first."""
    for steps in range(count // 2 + 1):
        yield from sorted({(wanted - steps) % count, (wanted + steps) % count})
