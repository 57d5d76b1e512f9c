"""Fields of a solved plate at the middles of its cells."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelmend.physics.plate import PlateGrid

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Fields:
    """Fields at cell centres of a grid: strains, curvatures, running loads, moments, transverse shear."""

    grid: PlateGrid
    eps: Array
    kappa: Array
    N: Array
    M: Array
    Q: Array

    def strain_at(self, z: float) -> Array:
        """Strain [1], (ny, nx, 3), at a height z [m]."""
        return np.asarray(self.eps + z * self.kappa)

    def at(self, x: Array, y: Array) -> tuple[Array, Array]:
        """Strains [1] and curvatures [1/m] at places [m], (n, 3) each, bilinear between cell centres."""
        (j, b), (i, a) = _beside(self.grid.y, y), _beside(self.grid.x, x)
        a, b = a[:, None], b[:, None]

        def read(f: Array) -> Array:
            low = f[j, i] * (1 - a) + f[j, i + 1] * a
            return np.asarray(low * (1 - b) + (f[j + 1, i] * (1 - a) + f[j + 1, i + 1] * a) * b)

        return read(self.eps), read(self.kappa)


def _beside(lines: Array, at: Array) -> tuple[NDArray[np.int64], Array]:
    """The cell centre before each place, and the share of the way to the next one."""
    have = (lines[1:] + lines[:-1]) / 2
    k = np.clip(np.searchsorted(have, at) - 1, 0, have.size - 2)
    return k, (at - have[k]) / (have[k + 1] - have[k])
