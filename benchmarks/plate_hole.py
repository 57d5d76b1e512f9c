"""Accuracy against time at the edge of an open hole, on the mesh that follows it.

    scripts/bench plate_hole

A wide isotropic sheet pulled one way, thirty holes wide: a round hole (Kirsch: 3) and a square one whose
corner radius is a fifth of half its side (Peterson's chart by its fit: 3.79).
"""

from __future__ import annotations

import os

os.environ["OMP_NUM_THREADS"] = os.environ["OPENBLAS_NUM_THREADS"] = "1"

import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from hole_plates import WIDE, edge_stress, peak, rounded, sheet
from panelmend.job.strength.hole_edge import ring_mesh

HOLES = (rounded(0.05, 0.05, 0.05), rounded(0.05, 0.05, 0.01))


def main() -> None:
    metal = sheet(70e9, 70e9, 70e9 / 2.6, 0.3)
    edge_stress(HOLES[0], metal, 3)
    print("cells a quarter turn | unknowns | s | round | corners a fifth")
    for fine in (3, 5, 8, 12):
        sizes, seconds, peaks = list[str](), list[str](), list[str]()
        for hole in HOLES:
            started = time.process_time()
            peaks.append(f"{peak(edge_stress(hole, metal, fine)[1]):.3f}")
            seconds.append(f"{time.process_time() - started:.2f}")
            rings = ring_mesh(hole, WIDE, WIDE, fine, filled=False)
            assert rings is not None
            sizes.append(f"{5 * len(rings.mesh.points):,}")
        print(f"{fine} | {' and '.join(sizes)} | {' and '.join(seconds)} | {' | '.join(peaks)}")


if __name__ == "__main__":
    main()
