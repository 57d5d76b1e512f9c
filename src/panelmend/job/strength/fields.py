"""Fields of a solved plate at the middles of its cells."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelmend.physics.plate import Grid

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Fields:
    """Fields at cell centres of a grid: strains, curvatures, running loads, moments, transverse shear."""

    grid: Grid
    eps: Array
    kappa: Array
    N: Array
    M: Array
    Q: Array

    def strain_at(self, z: float) -> Array:
        """Strain [1], (ny, nx, 3), at a height z [m]."""
        return np.asarray(self.eps + z * self.kappa)
