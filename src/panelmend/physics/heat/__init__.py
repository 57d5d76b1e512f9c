"""Heat through a layered panel over time: plane grid, a few cells through the thickness, compiled sweeps."""

from panelmend.physics.heat.grid import Grid, lines
from panelmend.physics.heat.model import (
    INSULATED,
    Cover,
    Follow,
    Heater,
    HeatModel,
    Layer,
    Place,
    Resin,
    Segment,
    Watch,
    Water,
    held,
)
from panelmend.physics.heat.result import Energy, HeatResult, LegTimes, Progress, Region
from panelmend.physics.heat.solve import run

__all__ = [
    "INSULATED",
    "Cover",
    "Energy",
    "Follow",
    "Grid",
    "HeatModel",
    "HeatResult",
    "Heater",
    "Layer",
    "LegTimes",
    "Place",
    "Progress",
    "Region",
    "Resin",
    "Segment",
    "Watch",
    "Water",
    "held",
    "lines",
    "run",
]
