"""Make the demonstration's cure log: SYNTHETIC, from the heat model with invented properties and noise.

It belongs to the operation "Repair plies" of repair.toml. Run it again and the same bytes come out.
"""

from __future__ import annotations

import csv
import sys
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np

from panelmend.physics.heat import Cover, Follow, Grid, Heater, HeatModel, Layer, Place, Segment, run

AIR = 291.15


def main(target: Path) -> None:
    """Write the log."""
    x = tuple(np.linspace(-0.36, 0.36, 73))
    grid = Grid(x, x)
    cx, cy = np.meshgrid(grid.cx, grid.cy)
    heat = np.where((abs(cx) < 0.254) & (abs(cy) < 0.254), 7750.0, 0.0)
    layers = (
        Layer("blanket", 2e-3, 0.2, 0.2, 0.2, 2e6),
        Layer("patch", 1.1e-3, 0.6, 0.6, 0.3, 1.8e6),
        Layer("skin", 0.75e-3, 0.6, 0.6, 0.3, 1.8e6),
        Layer("core", 0.02, 0.05, 0.05, 0.07, 6e4, cells=2),
        Layer("back", 0.5e-3, 0.6, 0.6, 0.3, 1.8e6),
    )
    sensors = tuple(
        Place(f"T{i + 1}", "skin", *at) for i, at in enumerate([(0.20, 0.0), (-0.09, 0.165), (-0.1, -0.16)])
    )
    recipe = (Segment(355.15, 2.0 / 60.0, dwell=7500.0, band=4.0), Segment(318.0, 2.5 / 60.0))
    heater = Heater("blanket", "blanket", heat, Follow.LAGGING, sensors, recipe)
    covers = (Cover(AIR, film=7.0, emissivity=0.9), Cover(AIR, emissivity=0.9, facing="down"))
    model = HeatModel(grid, layers, AIR, covers, top=0, bottom=1, heaters=(heater,), probes=sensors)
    result = run(model, step=10.0, sample=60.0, longest=6 * 3600.0)
    noise = np.random.default_rng(20261125)
    start = datetime(2026, 11, 25, 8, 40)
    last = max(i for i in range(len(result.times)) if result.probes["T1"][i] > 316.0)
    with target.open("w", encoding="utf8", newline="") as file:
        rows = csv.writer(file)
        rows.writerow(["SYNTHETIC LOG for demonstration, made from a heat model with invented properties"])
        rows.writerow(["Time", "T1 (°C)", "T2 (°C)", "T3 (°C)", "Set point (°C)", "Vacuum (inHg)"])
        for i in range(min(last + 3, len(result.times))):
            when = start + timedelta(seconds=float(result.times[i]))
            temps = [result.probes[s.name][i] - 273.15 + noise.normal(0.0, 0.12) for s in sensors]
            target_now = result.target["blanket"][i] - 273.15
            vacuum = 24.6 + noise.normal(0.0, 0.05)
            rows.writerow(
                [
                    when.strftime("%Y-%m-%d %H:%M:%S"),
                    *(f"{t:.1f}" for t in (*temps, target_now)),
                    f"{vacuum:.1f}",
                ]
            )


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).with_name("cure-repair-plies.csv"))
