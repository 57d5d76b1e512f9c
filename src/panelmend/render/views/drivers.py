"""What moves a prediction most: a bar for each unknown, the strongest on top."""

from __future__ import annotations

from collections.abc import Sequence

from panelmend.job.cure.prediction import Driver
from panelmend.job.cure.problem import Unknown
from panelmend.render.axes import round_step
from panelmend.render.drawing import HAIR, THIN, DrawnShape, Hatch, Item, Run, Text
from panelmend.render.strokes import Ink
from panelmend.render.views.sheet import View, bar, free_view
from panelmend.trade import reworded
from panelmend.units import show, to_unit, unit_for

ROW, THICK = 7.2e-3, 2.7e-3  # [m] on paper: height of an unknown's row and of one bar
NAMES, BARS = 58.0e-3, 88.0e-3  # [m] on paper: room for names and for bars


def sorted_drivers(drivers: Sequence[Driver]) -> tuple[Driver, ...]:
    """The strongest first."""
    return tuple(sorted(drivers, key=lambda d: -d.most))


def _shown(d: Driver) -> tuple[float, float, str]:
    """What is drawn: its two ends against each other, or both against the middle where that is more."""
    straight = max(abs(d.coldest), abs(d.hottest))
    if d.most > straight:
        return d.either[0], d.either[1], ", either way"
    return d.coldest, d.hottest, ""


def drivers_view(drivers: Sequence[Driver], unknowns: Sequence[Unknown], view: str) -> View:
    """Bars about a middle line: what each unknown moves the coldest and the hottest place."""
    words = {u.name: reworded(u.said(view)) for u in unknowns}
    unit = unit_for("temperature difference", view)
    rows = sorted_drivers(drivers)
    most = max([d.most for d in rows] + [0.1])
    step = round_step(to_unit(most, "temperature difference", unit) / 2.0)
    end = 2.0 * step
    half = 0.5 * BARS - 9e-3
    middle = NAMES + 0.5 * BARS
    foot = -ROW * len(rows)
    items: list[Item] = []
    for i in range(-2, 3):
        x = middle + half * i * step / end
        items.append(Run(((x, 0.0), (x, foot)), THIN if i == 0 else HAIR))
        number = f"{i * step:+g}".replace("-", "−") if i else "0"
        number += f" {unit}" if i == 2 else ""
        items.append(Text((x, foot), number, size=2.2, colour="grey", level="top", shift=(0, -1.0)))
    for n, d in enumerate(rows):
        mid = -ROW * (n + 0.5)
        cold, warm, way = _shown(d)
        name = words.get(d.unknown, d.unknown) + way
        items.append(Text((NAMES - 2e-3, mid), name, size=2.5, anchor="right"))
        for value, lift, hot in ((warm, 0.5 * THICK, True), (cold, -0.5 * THICK, False)):
            items += _bar(value, middle, half / end, mid + lift, hot, unit, view)
    bars = "upper bar: hottest place; hatched lower bar: coldest place"
    items.append(Text((middle, 0.0), bars, size=2.2, colour="grey", level="base", shift=(0, 1.2)))
    title = "What moves the bond line most"
    note = (
        "from the low fifth of an unknown's range to the high fifth, on average over the cases; "
        "either way: both outer fifths against the middle one"
    )
    return free_view("drivers", title, note, items)


def _bar(value: float, middle: float, scale: float, y: float, hot: bool, unit: str, view: str) -> list[Item]:
    length = scale * to_unit(value, "temperature difference", unit)
    items: list[Item] = []
    if abs(length) > 1e-5:
        o = bar(
            min(middle, middle + length), y - 0.46 * THICK, max(middle, middle + length), y + 0.46 * THICK
        )
        items.append(DrawnShape((o,), Ink(0.2, "ink"), "warn" if hot else "less"))
        if not hot:
            items.append(Hatch((o,), spacing=1.1, ink=Ink(0.13, "ink")))
    words = show(value, "temperature difference", view, decimals=1)
    words = ("+" + words if value > 0 and not words.startswith("0.0 ") else words).replace("-", "−")
    right, at = value >= 0, (middle + length, y)
    off = 0.8 if right else -0.8
    items.append(Text(at, words, size=2.0, anchor="left" if right else "right", shift=(off, 0)))
    return items
