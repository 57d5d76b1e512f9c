"""A whole cure by the compiled sweep, beside a plain implicit scipy solution of the same problem.

The problem: a sandwich panel under a blanket of constant power for 3.2 h, 10 s steps, films on both sides. No
radiation and no control, so that the matrix stays the same and the reference, in the same run, needs one
factorisation only: its best case. Times are of the processor.

    scripts/bench heat [--cells 74,92] [--hours 3.2]
"""

from __future__ import annotations

import argparse
import resource
import time

import numpy as np
import scipy.sparse as sp
from scipy.sparse.linalg import splu

from panelmend.physics.heat import FaceCover, Grid, Heater, HeatLayer, HeatModel, HeatPlace, run
from panelmend.physics.heat.assemble import solid

AIR = 293.15
STEP = 10.0
TOP, BOTTOM = 12.0, 8.0  # W/(m2 K)


def model(cells: int) -> HeatModel:
    """A panel of ``cells`` by ``cells`` in the plane, five cells through."""
    x = tuple(np.linspace(-0.35, 0.35, cells + 1))
    grid = Grid(x, x)
    cx, cy = np.meshgrid(grid.cx, grid.cy)
    power = np.where((abs(cx) < 0.15) & (abs(cy) < 0.15), 2500.0, 0.0)
    layers = (
        HeatLayer("blanket", 2e-3, 0.2, 0.2, 0.2, 2e6),
        HeatLayer("skin", 1.5e-3, 5.0, 5.0, 0.6, 1.55e6),
        HeatLayer("core", 20e-3, 0.05, 0.05, 0.07, 6.0e4, cells=2),
        HeatLayer("back", 1.5e-3, 5.0, 5.0, 0.6, 1.55e6),
    )
    covers = (FaceCover(AIR, film=TOP), FaceCover(AIR, film=BOTTOM))
    heaters = (Heater("blanket", "blanket", power),)
    probes = (HeatPlace("middle", "skin", 0.0, 0.0), HeatPlace("edge", "skin", 0.2, 0.0))
    return HeatModel(grid, layers, AIR, covers, top=0, bottom=1, heaters=heaters, probes=probes)


def reference(m: HeatModel, hours: float) -> tuple[float, float, np.ndarray]:
    """Crank-Nicolson with one sparse LU: time to factor, time to march, final temperatures (nz, ny, nx)."""
    made = solid(m)
    nz, ny, nx = made.present.shape
    number = np.arange(nz * ny * nx).reshape(nz, ny, nx)
    size = number.size
    rows, cols, values = [], [], []
    for g, axis in ((made.g_x, 2), (made.g_y, 1), (made.g_z, 0)):
        a = np.take(number, range(number.shape[axis] - 1), axis).ravel()
        b = np.take(number, range(1, number.shape[axis]), axis).ravel()
        k = np.take(g, range(number.shape[axis] - 1), axis).ravel()
        rows += [a, b, a, b]
        cols += [b, a, a, b]
        values += [-k, -k, k, k]
    area = m.grid.area
    loss = np.zeros((nz, ny, nx))
    half = [0.5 * made.thickness[k] / made.k_z[k] for k in (0, -1)]
    loss[0] += area / (1.0 / TOP + half[0])
    loss[-1] += area / (1.0 / BOTTOM + half[1])
    rows.append(number.ravel())
    cols.append(number.ravel())
    values.append(loss.ravel())
    matrix = sp.csr_matrix(
        (np.concatenate(values), (np.concatenate(rows), np.concatenate(cols))), (size, size)
    )
    heat = np.zeros((nz, ny, nx))
    heat[0] = np.asarray(m.heaters[0].power) * area
    source = (heat + loss * AIR).ravel()
    capacity = sp.diags(made.capacity.ravel() / STEP)
    start = time.process_time()
    # the matrix is symmetric: its best set-up, not the default
    lu = splu((capacity + 0.5 * matrix).tocsc(), permc_spec="MMD_AT_PLUS_A", options={"SymmetricMode": True})
    factored = time.process_time() - start
    other = (capacity - 0.5 * matrix).tocsr()
    t = np.full(size, AIR)
    start = time.process_time()
    for _ in range(round(3600.0 * hours / STEP)):
        t = lu.solve(other @ t + source)
    return factored, time.process_time() - start, t.reshape(nz, ny, nx)


def main() -> None:
    """Measure and print a table."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--cells", default="47,58")
    parser.add_argument("--hours", type=float, default=3.2)
    chosen = parser.parse_args()
    begun = time.process_time()
    run(model(10), longest=60.0)
    print(f"first call (compiled code from its cache, or compiled): {time.process_time() - begun:.2f} s")
    heads = ("cells", "ours s", "scipy LU s", "march s", "most apart K", "peak MB")
    print("".join(f"{h:>13}" for h in heads))
    for n in (int(v) for v in chosen.cells.split(",")):
        m = model(n)
        start = time.process_time()
        result = run(m, longest=3600.0 * chosen.hours, step=STEP)
        ours = time.process_time() - start
        factored, marched, other = reference(m, chosen.hours)
        worst = float(abs(result.temperature - other).max())
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        print(f"{result.cells:13d}{ours:13.2f}{factored:13.2f}{marched:13.2f}{worst:13.3f}{memory:13.0f}")


if __name__ == "__main__":
    main()
