"""A map of a ratio of the repaired to the sound panel, round the repair."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from panelmend.job.strength.part import Compared, HotSpot, Maps
from panelmend.render.drawing import ACCENT, Cross, DrawnShape, Item, Text
from panelmend.render.heat_colours import even_colours
from panelmend.render.placing import halo
from panelmend.render.strokes import Anchor, Flat, Ink, Label
from panelmend.render.views.sheet import View, bar, make_view
from panelmend.shapes import Outline

# Upper ends of the classes of the ratio; pale to dark in even steps, so that grey prints tell them apart.
TOPS = (0.80, 0.95, 1.05, 1.20, math.inf)
CLASSES = tuple(zip(TOPS, even_colours(len(TOPS)), strict=True))
BLANK = ""
MORE = 0.3  # of the repair's size, shown round it: more than hot spots are looked for in
LEGEND = "The darker, the larger; blank is not compared"
KEY = tuple(
    (colour, f"up to {top:.2f}" if math.isfinite(top) else f"above {TOPS[-2]:.2f}") for top, colour in CLASSES
)


def ratio_view(
    maps: Maps,
    what: Compared,
    spots: tuple[HotSpot, ...],
    outlines: tuple[tuple[str, Outline], ...],
    size: tuple[float, float],
) -> View | None:
    """The map of one ratio; None where nothing is compared."""
    field = maps.of(what)
    if not np.isfinite(field).any():
        return None
    boxes = [o.bounds for _, o in outlines]
    x0, y0 = min(b[0] for b in boxes), min(b[1] for b in boxes)
    x1, y1 = max(b[2] for b in boxes), max(b[3] for b in boxes)
    more = MORE * max(x1 - x0, y1 - y0)
    x0, y0, x1, y1 = x0 - more, y0 - more, x1 + more, y1 + more
    items: list[Item] = list(_cells(maps, field, (x0, y0, x1, y1)))
    for name, outline in outlines:
        pen = ACCENT if name.startswith("cut-out") else Ink(0.22, "ink")
        items.append(DrawnShape((outline,), pen))
    for spot in spots:
        if spot.case == maps.case and spot.what is what:
            items.append(Cross(spot.at, size=4.0, ink=Ink(0.4, "ink"), ring=True))
            left = spot.at[0] < x1 - 0.25 * (x1 - x0)  # room for the words on its right
            said, off = f"{float(spot.value):.2f}", (2.6 if left else -2.6, 2.2)
            anchor: Anchor = "left" if left else "right"
            items.append(Text(spot.at, said, size=2.8, bold=True, anchor=anchor, shift=off))
    title = f"{what.capitalize()} ratio, {maps.case}"
    made = make_view(
        f"ratio {maps.case} {what}",
        title,
        "seen from the outside",
        items,
        [bar(x0, y0, x1, y1)],
        size,
        margin=2,
    )
    return replace(made, flats=tuple(x for flat in made.flats for x in _on_paper(flat)))


def _on_paper(flat: Flat) -> tuple[Flat, ...]:
    """A number of a hot spot on a patch of paper: it lies over classes pale and dark at once."""
    return (halo(flat), flat) if isinstance(flat, Label) and flat.bold else (flat,)


def _cells(maps: Maps, field: NDArray[np.float64], box: tuple[float, float, float, float]) -> Iterator[Item]:
    """Runs of cells of one class as one bar each."""
    x0, y0, x1, y1 = box
    columns = [i for i in range(len(maps.x) - 1) if maps.x[i + 1] > x0 and maps.x[i] < x1]
    for j in range(len(maps.y) - 1):
        if maps.y[j + 1] <= y0 or maps.y[j] >= y1:
            continue
        low, high = max(maps.y[j], y0), min(maps.y[j + 1], y1)
        start = 0
        while start < len(columns):
            colour = ratio_colour(field[j, columns[start]])
            end = start
            while end + 1 < len(columns) and ratio_colour(field[j, columns[end + 1]]) == colour:
                end += 1
            left, right = max(maps.x[columns[start]], x0), min(maps.x[columns[end] + 1], x1)
            if colour != BLANK and right > left and high > low:
                yield DrawnShape((bar(float(left), float(low), float(right), float(high)),), None, colour)
            start = end + 1


def ratio_colour(value: float) -> str:
    """Colour of a ratio's class; none where nothing was compared."""
    if math.isnan(value):
        return BLANK
    return next(colour for top, colour in CLASSES if value <= top)
