"""Sandwich plate on a rectangular grid: MITC4 with coupling, averaged zones, edge and fastener supports."""

from panelmend.physics.plate.grid import PlateGrid, PlateSection, Zones, even_grid, zones
from panelmend.physics.plate.loads import (
    CLAMPED,
    CLAMPED_IN_BENDING,
    FREE,
    EdgeLoad,
    PlateLoads,
    PointSupport,
    Support,
    simple,
    symmetry,
    uniform_edges,
)
from panelmend.physics.plate.solve import PlateAnswer, sample, solve_cases, solve_plate

__all__ = [
    "CLAMPED",
    "CLAMPED_IN_BENDING",
    "FREE",
    "EdgeLoad",
    "PlateAnswer",
    "PlateGrid",
    "PlateLoads",
    "PlateSection",
    "PointSupport",
    "Support",
    "Zones",
    "even_grid",
    "sample",
    "simple",
    "solve_cases",
    "solve_plate",
    "symmetry",
    "uniform_edges",
    "zones",
]
