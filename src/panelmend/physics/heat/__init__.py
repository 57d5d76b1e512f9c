"""Heat through a layered panel over time: plane grid, a few cells through the thickness, compiled sweeps."""

from panelmend.physics.heat.grid import Grid, lines
from panelmend.physics.heat.model import (
    INSULATED,
    FaceCover,
    Follow,
    Heater,
    HeatLayer,
    HeatModel,
    HeatPlace,
    HeatResin,
    HeatSegment,
    Watch,
    Water,
    held,
)
from panelmend.physics.heat.result import Energy, HeatResult, LegTimes, Progress, WatchedRegion
from panelmend.physics.heat.solve import run

__all__ = [
    "INSULATED",
    "Energy",
    "FaceCover",
    "Follow",
    "Grid",
    "HeatLayer",
    "HeatModel",
    "HeatPlace",
    "HeatResin",
    "HeatResult",
    "HeatSegment",
    "Heater",
    "LegTimes",
    "Progress",
    "Watch",
    "WatchedRegion",
    "Water",
    "held",
    "lines",
    "run",
]
