"""The drying step's two charts: what lifts a skin over water, and what is left in the skins over time."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from panelmend.job.case import Case
from panelmend.job.drying.part import DryingPart
from panelmend.physics import moisture, steam
from panelmend.render.drawing import ACCENT, HAIR, THIN, Cross, Item, Run, Text
from panelmend.render.strokes import Ink
from panelmend.render.views.sheet import View, free_view
from panelmend.units import show, to_unit, unit_for
from panelmend.units.kinds import KINDS

POINTS = 80
LINE = 3.4e-3  # [m on paper] least distance of two names beside each other
PENS = (ACCENT, Ink(0.35, "accent", (1.6, 1.0)), Ink(0.35, "ink"), Ink(0.35, "ink", (1.6, 1.0)))


@dataclass(frozen=True)
class _Chart:
    """A frame on paper: values of both axes in SI, sizes in metres over a thousand."""

    wide: float
    high: float
    x: tuple[float, float]
    y: tuple[float, float]

    def at(self, x: float, y: float) -> tuple[float, float]:
        """A point on paper."""
        return (
            self.wide * (x - self.x[0]) / (self.x[1] - self.x[0]),
            self.high * (y - self.y[0]) / (self.y[1] - self.y[0]),
        )

    def frame(self, xs: Sequence[tuple[float, str]], ys: Sequence[tuple[float, str]]) -> list[Item]:
        """Both axes with their ticks."""
        items: list[Item] = [
            Run(((0.0, 0.0), (self.wide, 0.0)), THIN),
            Run(((0.0, 0.0), (0.0, self.high)), THIN),
        ]
        for value, words in xs:
            x, _ = self.at(value, self.y[0])
            items.append(Run(((x, 0.0), (x, -1.0e-3)), HAIR))
            items.append(Text((x, 0.0), words, size=2.2, colour="grey", level="top", shift=(0, -1.6)))
        for value, words in ys:
            _, y = self.at(self.x[0], value)
            items.append(Run(((0.0, y), (self.wide, y)), Ink(0.1, "light")))
            items.append(Text((0.0, y), words, size=2.2, colour="grey", anchor="right", shift=(-1.2, 0)))
        return items

    def line(self, function: Callable[[float], float], ink: Ink) -> Run:
        """A curve over the whole width, with more points where it begins."""
        xs = (self.x[0] + (self.x[1] - self.x[0]) * (i / POINTS) ** 2 for i in range(POINTS + 1))
        return Run(tuple(self.at(x, function(x)) for x in xs), ink)

    def names(self, rows: Sequence[tuple[float, str]]) -> list[Item]:
        """Words at the right end of curves, pushed apart where they would touch."""
        items: list[Item] = []
        last = -math.inf
        for value, words in sorted(rows):
            y = max(self.at(self.x[1], value)[1], last + LINE)
            last = y
            items.append(Text((self.wide, y), words, size=2.3, anchor="left", shift=(1.5, 0)))
        return items


def steam_view(case: Case, part: DryingPart, width: float, height: float = 34.0) -> View | None:
    """What lifts a skin over a closed wet cell, by temperature; None where it is not known."""
    if not part.heatings:
        return None
    view, at = case.view, part.heatings[0]
    pressure = float(at.cell) - float(at.lift)
    warm = case.document.bay.air_temperature
    assert warm is not None, "pressures without the air they were closed in"
    hottest = max(float(h.temperature) for h in part.heatings)

    def cell(kelvin: float) -> float:
        return steam.sealed_cell_pressure(kelvin, warm, pressure, saturated=warm >= steam.LOWEST)

    first, last = max(warm, steam.LOWEST), hottest + 8.0
    top = 1.08 * cell(last)
    chart = _Chart((width - 62.0) * 1e-3, height * 1e-3, (first, last), (0.0, top))
    items = chart.frame(
        [(t, show(t, "temperature", view)) for t in _ticks(first, last, "temperature", view, 6)],
        [(p, show(p, "pressure", view, decimals=0)) for p in _ticks(0.0, top, "pressure", view, 5)],
    )
    items += [chart.line(cell, PENS[1]), chart.line(lambda t: max(0.0, cell(t) - pressure), PENS[0])]
    rows = [
        (cell(last), "where a bag bridges, deepest vacuum"),
        (cell(last) - pressure, "where it lies on the skin"),
    ]
    for bond in part.bonds:
        if bond.strength is not None and float(bond.strength) < top:
            strength = float(bond.strength)
            items.append(
                Run((chart.at(first, strength), chart.at(last, strength)), Ink(0.25, "warn", (1.6, 1.0)))
            )
            rows.append((strength, f"strength of the bond, {bond.where}"))
    items += chart.names(rows)
    for h in part.heatings:
        for value in (float(h.lift), float(h.lift_deepest)):
            items.append(Cross(chart.at(float(h.temperature), max(0.0, value)), size=2.0))
    above = [b for b in part.bonds if b.strength is not None and float(b.strength) >= top]
    words = "crosses: drying, cures and their maximum temperatures"
    if above:
        least = min(above, key=lambda b: float(b.strength or 0.0))
        holds = show(float(least.strength or 0.0), "pressure", view)
        words += f"; the bonds known hold {holds} or more, above the picture"
    return free_view("drying steam", "What lifts a skin over a closed wet cell", words, items)


def skins_view(case: Case, part: DryingPart, width: float, height: float = 34.0) -> View | None:
    """What is left in each skin over the drying time; None where it is not predicted or no time is known."""
    ways = [(s, w) for s in part.skins for w in s.ways if w.air == part.gas and w.faces in part.faces]
    times = [float(w.time) for _, w in ways if w.time is not None]
    if part.duration is not None:
        last = min(1.25 * max([float(part.duration), *times]), 3.0 * float(part.duration))
    elif times:
        last = 1.25 * max(times)
    else:
        return None
    if not ways:
        return None
    chart = _Chart((width - 62.0) * 1e-3, height * 1e-3, (0.0, last), (0.0, 1.0))
    items = chart.frame(
        [(t, _clock(t)) for t in _hours(last)], [(0.25 * i, show(0.25 * i, "share")) for i in range(1, 5)]
    )
    rows = []
    for pen, (skin, way) in zip(PENS * len(ways), ways, strict=False):

        def left(time: float, skin=skin, way=way) -> float:  # type: ignore[no-untyped-def]
            return moisture.content_after(
                time,
                float(skin.thickness),
                float(skin.slowest),
                open_faces=way.faces,
                outside=float(way.outside),
            )

        items.append(chart.line(left, pen))
        rows.append((left(last), f"{skin.side}, {'one face' if way.faces == 1 else 'both faces'}"))
    if part.content is not None:
        c = float(part.content)
        items.append(Run((chart.at(0.0, c), chart.at(last, c)), Ink(0.25, "warn", (1.6, 1.0))))
        rows.append((c, "asked"))
    if part.duration is not None:
        d = float(part.duration)
        items.append(Run((chart.at(d, 0.0), chart.at(d, 1.0)), Ink(0.25, "warn", (1.6, 1.0))))
        words = show(d, "time", case.view)
        items.append(Text(chart.at(d, 1.0), words, size=2.3, colour="warn", level="base", shift=(0, 0.8)))
    items += chart.names(rows)
    gas = "in the bay's air" if part.gas == "bay" else "under the bag, its gas taken as dry"
    return free_view(
        "drying skins", "What is left in the skins", f"share of saturation, saturated at first, {gas}", items
    )


def _ticks(low: float, high: float, kind: str, view: str, most: int) -> list[float]:
    """Round values of the reader's unit between two SI values."""
    unit = unit_for(kind, view)
    scale, offset = KINDS[kind].units[unit]
    a, b = to_unit(low, kind, unit), to_unit(high, kind, unit)
    rough = (b - a) / most
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(power * m for m in (1.0, 2.0, 5.0, 10.0) if power * m >= rough - 1e-12)
    first = math.ceil(a / step + 1e-9)
    return [k * step * scale + offset for k in range(first, math.floor(b / step) + 1)]


def _hours(last: float) -> list[float]:
    """Full hours or days up to a time [s], no more than eight."""
    step = next(
        s
        for s in (
            900.0,
            1800.0,
            3600.0,
            7200.0,
            14400.0,
            28800.0,
            86400.0 * 10.0 ** math.ceil(math.log10(max(1.0, last / 691200.0))),
        )
        if last / s <= 8.0
    )
    return [step * i for i in range(int(last // step) + 1)]


def _clock(time: float) -> str:
    if time and time < 7200.0 and time % 3600.0:
        return f"{time / 60.0:.0f} min"
    return f"{time / 3600.0:.0f} h" if time < 8 * 86400.0 else f"{time / 86400.0:.0f} days"
