"""Where a temperature is read: cells and weights of a place in a layer."""

from __future__ import annotations

from typing import Any

import numpy as np

from panelmend.errors import InputError
from panelmend.physics.heat.grid import Array
from panelmend.physics.heat.model import HeatModel, HeatPlace


def weights(model: HeatModel, places: tuple[HeatPlace, ...], present: Any) -> tuple[Any, Array]:
    """Cells (n, 4) and weights (n, 4) [1] that read the temperature at each place.

    Raises:
        InputError: a place off the panel, or where its layer is absent.
    """
    grid = model.grid
    ny, nx = grid.shape
    index = np.zeros((len(places), 4), dtype=np.int64)
    weight = np.zeros((len(places), 4))
    for n, place in enumerate(places):
        if not (grid.x[0] <= place.x <= grid.x[-1] and grid.y[0] <= place.y <= grid.y[-1]):
            raise InputError(f"{place.name} lies off the panel", read=f"{place.x:g}, {place.y:g} m")
        k = model.first_cell(place.layer, place.cell)
        i, a = _cell_and_share(grid.cx, place.x)
        j, b = _cell_and_share(grid.cy, place.y)
        i1, j1 = min(i + 1, nx - 1), min(j + 1, ny - 1)
        corners = ((j, i, (1 - a) * (1 - b)), (j, i1, a * (1 - b)), (j1, i, (1 - a) * b), (j1, i1, a * b))
        kept = [(jj, ii, w if present[k, jj, ii] else 0.0) for jj, ii, w in corners]
        total = sum(w for _, _, w in kept)
        if total <= 0.0:
            raise InputError(f"{place.name}: layer {place.layer} is absent at {place.x:g}, {place.y:g} m")
        for c, (jj, ii, w) in enumerate(kept):
            index[n, c] = (k * ny + jj) * nx + ii
            weight[n, c] = w / total
    return index, weight


def _cell_and_share(centres: Array, at: float) -> tuple[int, float]:
    i = int(np.clip(np.searchsorted(centres, at) - 1, 0, max(len(centres) - 2, 0)))
    if len(centres) == 1:
        return 0, 0.0
    return i, float(np.clip((at - centres[i]) / (centres[i + 1] - centres[i]), 0.0, 1.0))
