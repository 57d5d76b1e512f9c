"""Grids of the panel: fine and even round the repair, growing towards the panel's edges."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from panelmend.physics.plate import PlateGrid

Box = tuple[float, float, float, float]
CELL_GROWTH = 1.25  # of one cell on its neighbour, outside the fine part
FEWEST_CELLS = 20  # cells along a side at least, so that the far field bends as it should


def graded_grid(wide: float, high: float, box: Box, cell: float) -> PlateGrid:
    """A grid over (0, 0) to (wide, high) [m] with even cells of at most ``cell`` [m] over ``box``."""
    x0, y0, x1, y1 = box
    return PlateGrid(_lines(wide, x0, x1, cell), _lines(high, y0, y1, cell))


def _lines(length: float, low: float, high: float, cell: float) -> NDArray[np.float64]:
    low, high = max(0.0, low), min(length, high)
    inner = np.linspace(low, high, max(2, int(np.ceil((high - low) / cell - 1e-9))) + 1)
    step = float(inner[1] - inner[0])
    most = max(step, length / FEWEST_CELLS)
    left = low - _outward(low, step, most)[::-1]
    right = high + _outward(length - high, step, most)
    return np.concatenate([left, inner, right])


def _outward(room: float, step: float, most: float) -> NDArray[np.float64]:
    """Distances from the fine part to each line outside it, the last one at the panel's edge."""
    if room <= 1e-9:
        return np.zeros(0)
    widths = [step]
    while sum(widths) < room:
        widths.append(min(most, widths[-1] * CELL_GROWTH))
    return np.cumsum(widths) * (room / sum(widths))
