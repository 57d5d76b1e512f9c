"""All of a core's conductivity at once, against which the parts that a stage asks for are held.

Swann and Pittman (NASA TN D-714), double walls along the ribbon: walls conduct as 8/3 : 3/2 : 1, air and
radiation from wall to wall beside them. Constants from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

from panelmend.physics.core_conductivity import radiation_factor, radiation_in_plane
from panelmend.physics.film import BOLTZMANN, air_conductivity


@dataclass(frozen=True)
class WholeCore:
    """Through the core, along the ribbon and across it; of the first the share of each part [W/(m K)]."""

    through: float
    ribbon: float
    across: float
    walls: float
    air: float
    radiation: float


def whole_core(
    *, wall: float, wall_share: float, emissivity: float, thickness: float, cell: float, temperature: float
) -> WholeCore:
    """Of walls that conduct ``wall`` [W/(m K)] and take ``wall_share`` of the area [-]; lengths [m], [K]."""
    walls = wall * wall_share
    air = air_conductivity(temperature) * (1.0 - wall_share)
    beams = radiation_factor(thickness / cell, emissivity) * 4.0 * BOLTZMANN * temperature**3 * thickness
    beside = air + radiation_in_plane(cell, emissivity, temperature) * (1.0 - wall_share)
    through = walls + air + beams
    return WholeCore(through, walls * 9.0 / 16.0 + beside, walls * 3.0 / 8.0 + beside, walls, air, beams)
