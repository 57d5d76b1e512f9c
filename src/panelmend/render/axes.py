"""The axes of a chart over time: from seconds and kelvin to paper, with round steps."""

from __future__ import annotations

import math
from dataclasses import dataclass

from panelmend.render.drawing import HAIR, THIN, Item, Run, Text
from panelmend.shapes import Point
from panelmend.units import to_unit

_MINUTES = (1, 2, 5, 10, 15, 20, 30, 60, 120, 240, 360, 720)


@dataclass(frozen=True)
class Axes:
    """A frame on paper, written as metres over a thousand, its lower left corner at ``base``.

    Time runs from ``start`` to ``end`` [s], temperature from ``bottom`` to ``top`` in ``unit``.
    """

    start: float
    end: float
    bottom: float
    top: float
    unit: str
    width: float  # [m] on paper
    height: float  # [m] on paper
    base: Point = (0.0, 0.0)

    def at(self, time: float, kelvin: float) -> Point:
        """Where a temperature at a time stands."""
        shown = to_unit(kelvin, "temperature", self.unit)
        return (self.x(time), self.base[1] + self.height * (shown - self.bottom) / (self.top - self.bottom))

    def x(self, time: float) -> float:
        """Where a time stands."""
        return self.base[0] + self.width * (time - self.start) / max(self.end - self.start, 1.0)

    def lines(self, step: float) -> list[Item]:
        """Lines and numbers of both axes."""
        x0, y0 = self.base
        items: list[Item] = []
        count = round((self.top - self.bottom) / step)
        for i in range(count + 1):
            y = y0 + self.height * i / count
            items.append(Run(((x0, y), (x0 + self.width, y)), HAIR if i else THIN))
            words = f"{self.bottom + i * step:g}" + (f" {self.unit}" if i == count else "")
            items.append(Text((x0 - 1.2e-3, y), words, size=2.3, anchor="right", colour="grey"))
        for time, name in time_ticks(self.start, self.end):
            x = self.x(time)
            items.append(Run(((x, y0), (x, y0 - 1.0e-3)), THIN))
            items.append(Text((x, y0), name, size=2.3, colour="grey", level="top", shift=(0, -1.6)))
        return items


def round_step(rough: float) -> float:
    """A round step at or above a rough one."""
    scale = 10.0 ** math.floor(math.log10(max(rough, 1e-9)))
    return next(f * scale for f in (1.0, 2.0, 2.5, 5.0, 10.0) if f * scale >= rough - 1e-12)


def time_ticks(start: float, end: float, most: int = 9) -> tuple[tuple[float, str], ...]:
    """Round times between two [s] and their names: in minutes up to two hours, else in hours and minutes."""
    span = max(end - start, 60.0)
    step = next((60.0 * m for m in _MINUTES if span / (60.0 * m) <= most), 60.0 * _MINUTES[-1])
    first = math.ceil(start / step - 1e-9)
    times = [i * step for i in range(first, math.floor(end / step + 1e-9) + 1)]
    return tuple((t, clock(t)) for t in times)


def clock(time: float) -> str:
    """A time [s] as read from a chart: ``45 min``, ``2 h``, ``2 h 30``."""
    minutes = round(time / 60.0)
    if minutes < 60:
        return f"{minutes} min"
    hours, rest = divmod(minutes, 60)
    return f"{hours} h {rest:02d}" if rest else f"{hours} h"
