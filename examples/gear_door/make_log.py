"""Make the demonstration's cure log: SYNTHETIC, from the heat model with invented properties and noise.

It belongs to the operation "Repair plies" of repair.toml: the same panel, blanket and thermocouples as in
its plan, but a bay that is not quite as assumed, five minutes more dwell, and six kelvin more cooling. Run
it again and the same bytes come out.
"""

from __future__ import annotations

import csv
import sys
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np

from panelmend.app import service
from panelmend.predict.cases import solve
from panelmend.predict.sensors import choose

DOCUMENT = Path(__file__).with_name("repair.toml")
TRUTH = {  # what nobody could measure beforehand, as it "was"
    "draught over": 3.5,
    "draught behind": 1.8,
    "air": 0.6,
    "core": 1.08,
    "bag stack": 0.92,
    "bled aside": 0.35,
    "cure heat": 0.97,
    "blanket along": 0.002,
    "blanket rim": 0.13,
    "emissivity": 0.88,
}


def main(target: Path) -> None:
    """Write the log."""
    work = service.plan(DOCUMENT).work
    assert work is not None, "the demo lays plies"
    problem = work.cure.operations[1].problem
    assert problem is not None, "the demo has every constant"
    spots = [s for s in choose(problem) if s.count]
    longer = tuple(
        replace(g, dwell=g.dwell + 300.0) if g is problem.dwell else replace(g, target=g.target - 6.0)
        for g in problem.legs
    )
    _, result = solve(replace(problem, legs=longer), spots, TRUTH, maps=False)
    rows_at = np.arange(0.0, result.times[-1], 60.0)
    noise = np.random.default_rng(20261125)
    start = datetime(2026, 11, 25, 8, 40)
    temps = [np.interp(rows_at, result.times, result.probes[s.id]) - 273.15 for s in spots]
    points = np.interp(rows_at, result.times, next(iter(result.target.values()))) - 273.15
    with target.open("w", encoding="utf8", newline="") as file:
        rows = csv.writer(file)
        rows.writerow(["SYNTHETIC LOG for demonstration, made from a heat model with invented properties"])
        names = (f"{s.id} (°C)" for s in spots)
        rows.writerow(["Time", *names, "Set point (°C)", "Vacuum (inHg)"])
        for i, seconds in enumerate(rows_at):
            when = start + timedelta(seconds=float(seconds))
            read = [row[i] + noise.normal(0.0, 0.12) for row in temps]
            vacuum = 24.6 + noise.normal(0.0, 0.05)
            clock = when.strftime("%Y-%m-%d %H:%M:%S")
            rows.writerow([clock, *(f"{t:.1f}" for t in (*read, points[i])), f"{vacuum:.1f}"])
        for minute, vacuum in ((1, 0.1), (2, 0.0)):  # let go and open: shows how the gauge counts
            when = start + timedelta(seconds=float(rows_at[-1]) + 60.0 * minute)
            read = [row[-1] - 1.4 * minute for row in temps]
            clock = when.strftime("%Y-%m-%d %H:%M:%S")
            rows.writerow([clock, *(f"{t:.1f}" for t in (*read, points[-1])), f"{vacuum:.1f}"])


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).with_name("cure-repair-plies.csv"))
