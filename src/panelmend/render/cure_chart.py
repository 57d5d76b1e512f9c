"""The chart of a cure: temperatures over time with bands and gaps, vacuum below."""

from __future__ import annotations

import math
from collections.abc import Iterator

from panelmend.plan.judge.report import ChartTrace, CureReport
from panelmend.render.axes import round_step
from panelmend.render.drawing import HAIR, THIN, Drawing, DrawnShape, Item, Run, Text
from panelmend.render.strokes import Flat, Ink
from panelmend.render.views.sheet import bar
from panelmend.units import show, to_unit, unit_for

TEMPERATURES = ("thermocouple", "air", "set point")
PENS = ("ink", "accent", "warn", "grey")
MINUTES = (1, 2, 5, 10, 15, 30, 60, 120, 240)  # between the marks of time
DASHES: tuple[tuple[float, ...], ...] = ((), (2.4, 0.9), (0.9, 0.9))


def report_chart(
    report: CureReport, view: str, width: float = 165.0, height: float = 78.0
) -> tuple[Flat, ...]:
    """The chart as flat strokes [mm]: traces keep their gaps."""
    shown = [t for t in report.traces if t.role in TEMPERATURES and t.pieces]
    values = [v for t in shown for p in t.pieces for v in p.values]
    values += [b.low for b in report.bands] + [b.high for b in report.bands if b.high is not None]
    values += [report.ceiling] if report.ceiling is not None else []
    unit = unit_for("temperature", view)
    low, high = (to_unit(f(values), "temperature", unit) for f in (min, max))
    step = round_step((high - low) / 6)
    bottom, top = step * math.floor(low / step), step * math.ceil(high / step)
    frame = _Frame(report.length, bottom, top, unit, width - 22.0, height)
    items = frame.axes(step)
    for band in report.bands:
        ceiling = band.high if band.high is not None else band.low
        (x0, y0), (x1, y1) = frame.at(band.start, band.low), frame.at(band.end, ceiling)
        if x1 > x0 and y1 > y0:
            items.insert(0, DrawnShape((bar(x0, y0, x1, y1),), None, "tint"))
    if report.ceiling is not None:
        y = frame.at(0.0, report.ceiling)[1]
        items.append(Run(((0.0, y), (frame.width, y)), Ink(0.3, "warn", (1.8, 1.0))))
    for i, trace in enumerate(shown):
        items += _trace(frame, trace, i)
    items += _vacuum(report, frame, view)
    return Drawing(tuple(items), 1.0).flat()


class _Frame:
    """From seconds and kelvin to the paper, written as metres over a thousand."""

    def __init__(
        self, length: float, bottom: float, top: float, unit: str, width: float, height: float
    ) -> None:
        self.length, self.bottom, self.top, self.unit = max(length, 1.0), bottom, top, unit
        self.width, self.height = width * 1e-3, height * 1e-3

    def at(self, time: float, kelvin: float) -> tuple[float, float]:
        """A place on the paper."""
        shown = to_unit(kelvin, "temperature", self.unit)
        return (
            self.width * time / self.length,
            self.height * (shown - self.bottom) / (self.top - self.bottom),
        )

    def axes(self, step: float) -> list[Item]:
        """Lines and numbers of both axes."""
        items: list[Item] = []
        count = round((self.top - self.bottom) / step)
        for i in range(count + 1):
            y = self.height * i / count
            items.append(Run(((0.0, y), (self.width, y)), HAIR if i else THIN))
            words = f"{self.bottom + i * step:g}" + (f" {self.unit}" if i == count else "")
            items.append(Text((-1.2e-3, y), words, size=2.3, anchor="right", colour="grey"))
        every = next((m for m in MINUTES if m >= self.length / 60.0 / 8), round_step(self.length / 60.0 / 8))
        for k in range(int(self.length / 60.0 / every) + 1):
            x = self.width * k * every * 60.0 / self.length
            items.append(Run(((x, 0.0), (x, -1.0e-3)), THIN))
            minutes = f"{k * every:g}{'' if k else ' min'}"
            items.append(Text((x, 0.0), minutes, size=2.3, colour="grey", level="top", shift=(0, -1.6)))
        return items


def _trace(frame: _Frame, trace: ChartTrace, number: int) -> Iterator[Item]:
    set_point = trace.role == "set point"
    pen = Ink(0.2, "light") if set_point else Ink(0.32, PENS[number % 4], DASHES[number // 4 % 3])
    for piece in trace.pieces:
        points = tuple(frame.at(t, v) for t, v in zip(piece.times, piece.values, strict=True))
        if len(points) > 1:
            yield Run(points, pen)
    last = trace.pieces[-1]
    at = frame.at(last.times[-1], last.values[-1])
    beside = (frame.width + 1.5e-3, frame.height - 3.6e-3 * number)
    yield Text(beside, trace.name, size=2.3, anchor="left", colour=pen.colour)
    yield Run((at, (min(at[0] + 0.6e-3, frame.width), at[1])), pen)


def _vacuum(report: CureReport, frame: _Frame, view: str) -> list[Item]:
    """The vacuum under the temperatures, on the same time."""
    shown = [t for t in report.traces if t.role == "vacuum" and t.pieces]
    if not shown:
        return []
    most = max(v for t in shown for p in t.pieces for v in p.values)
    most = max(most, report.vacuum_least or 0.0, 1.0)
    base, high = -0.034, 0.022

    def at(time: float, pascal: float) -> tuple[float, float]:
        return (frame.width * time / frame.length, base + high * max(pascal, 0.0) / most)

    items: list[Item] = [
        Run(((0.0, base), (frame.width, base)), THIN),
        Text(
            (-1.2e-3, base + high),
            show(most, "vacuum", view, decimals=1),
            size=2.3,
            anchor="right",
            colour="grey",
        ),
        Text((-1.2e-3, base), "0", size=2.3, anchor="right", colour="grey"),
    ]
    if report.vacuum_least is not None:
        y = at(0.0, report.vacuum_least)[1]
        items.append(Run(((0.0, y), (frame.width, y)), Ink(0.3, "warn", (1.8, 1.0))))
    for trace in shown:
        for piece in trace.pieces:
            points = tuple(at(t, v) for t, v in zip(piece.times, piece.values, strict=True))
            if len(points) > 1:
                items.append(Run(points, Ink(0.32, "accent")))
        beside = (frame.width + 1.5e-3, base + 0.5 * high)
        items.append(Text(beside, trace.name, size=2.3, anchor="left", colour="accent"))
    return items
