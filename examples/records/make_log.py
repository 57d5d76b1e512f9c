"""Make the log of the first cure of the whole repair: SYNTHETIC, straight lines and a lag, no heat model.

It belongs to the operation "Core and cap" of ../gear_door/repair.toml: set point and rate are those of its
plan, the dwell is a few minutes longer than asked. Run it again and the same bytes come out.
"""

from __future__ import annotations

import csv
import math
import random
import sys
from datetime import datetime, timedelta
from pathlib import Path

AIR, POINT, RATE = 18.0, 64.0, 0.53  # C, C, C/min: as planned
DWELL, FALL, LAST = 128.0, 1.5, 45.0  # min from where the set point arrives, C/min, C
MINUTES = 240
SPOTS = {  # share of the set point's rise, lag [min]; T3 and B2 are the slowest, which the controllers follow
    "T1": (1.045, 1.0),
    "T2": (1.03, 2.0),
    "T3": (1.0, 4.0),
    "B1": (1.02, 2.0),
    "B2": (1.0, 3.5),
    "B3": (1.01, 2.5),
}
NOISE = 0.12  # C


def set_point(minute: float) -> float:
    """The set point [C] at a minute of the log."""
    arrives = (POINT - AIR) / RATE
    if minute < arrives + DWELL:
        return min(AIR + RATE * minute, POINT)
    return max(POINT - FALL * (minute - arrives - DWELL), LAST)


def main(target: Path) -> None:
    """Write the log."""
    noise = random.Random(20261124)
    shown = dict.fromkeys(SPOTS, AIR)
    start = datetime(2026, 11, 24, 15, 25)
    with target.open("w", encoding="utf8", newline="") as file:
        rows = csv.writer(file)
        rows.writerow(["SYNTHETIC LOG for demonstration, made of straight lines and a lag"])
        rows.writerow(["Time", *(f"{name} (°C)" for name in SPOTS), "Set point (°C)", "Vacuum (inHg)"])
        for minute in range(MINUTES):
            point = set_point(minute)
            for name, (share, lag) in SPOTS.items():
                wanted = AIR + share * (point - AIR)
                shown[name] += (1.0 - math.exp(-1.0 / lag)) * (wanted - shown[name])
            cells = [f"{t + noise.gauss(0.0, NOISE):.1f}" for t in shown.values()]
            when = start + timedelta(minutes=minute)
            vacuum = f"{24.6 + noise.gauss(0.0, 0.05):.1f}"
            rows.writerow([when.strftime("%Y-%m-%d %H:%M:%S"), *cells, f"{point:.1f}", vacuum])
        for minute, vacuum in ((MINUTES, "0.1"), (MINUTES + 1, "0.0")):  # let go: shows how the gauge counts
            cells = [f"{t - 0.1 * (minute - MINUTES):.1f}" for t in shown.values()]
            when = start + timedelta(minutes=minute)
            rows.writerow([when.strftime("%Y-%m-%d %H:%M:%S"), *cells, f"{LAST:.1f}", vacuum])


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).with_name("cure-core-and-cap.csv"))
