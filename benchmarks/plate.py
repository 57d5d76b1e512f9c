"""What a plate costs, and how it grows, beside scikit-fem's biquadratic plate on the same problem.

    scripts/bench plate [--sizes 50 100 200]

A simply supported 0.5 m square sandwich with a one-sided patch on its grid lines, pressure; 50, 100, 200
cells a side are 13 005, 51 005, 202 005 unknowns. The reference runs on the mesh with the same number of
unknowns, once with the same factorisation options as ours and once (up to 60 000 unknowns) with scipy's
defaults. Biquadratic elements need fewer unknowns for a smooth deflection, so small reference meshes are
listed too. Deflections are compared with the extrapolated limit of two finer runs. Wall clock; memory is the
growth of a fresh process's peak.
"""

from __future__ import annotations

import argparse
import resource
import sys
import time
from multiprocessing import get_context
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

import plate_q2
from panelmend.physics.laminate import Lamina, LaminatePly, laminate
from panelmend.physics.plate import PlateLoads, PlateSection, Support, even_grid, solve_plate, zones
from panelmend.physics.plate.element import element_matrices
from panelmend.physics.plate.solve import stiffness_matrix
from panelmend.physics.sandwich import Sandwich, SandwichCore

SIZE = 0.5
SYMMETRIC = {"permc_spec": "MMD_AT_PLUS_A", "diag_pivot_thresh": 0.0, "options": {"SymmetricMode": True}}


def sections() -> tuple[PlateSection, PlateSection]:
    """The panel, and the panel with three more plies on one side (so that B is there)."""
    weave = Lamina(60e9, 60e9, 4e9, 0.05)
    made = []
    for extra in (0, 3):
        faces = [laminate([LaminatePly(weave, 0.0, 0.2e-3)] * n) for n in (3, 3 + extra)]
        # the added plies lie outside: the core stays where it was
        s = Sandwich(faces[0], SandwichCore(44e6, 22e6), 15e-3, faces[1])
        made.append(PlateSection(*s.stiffness(), s.shear_stiffness()))
    return made[0], made[1]


def patch(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """1 in the middle fifth."""
    return ((np.abs(x - SIZE / 2) < SIZE / 10) & (np.abs(y - SIZE / 2) < SIZE / 10)).astype(int)


def edges() -> dict[str, Support]:
    """Simply supported, displacement along the edges held."""
    held = {k: Support(v=0.0, w=0.0, py=0.0) for k in ("left", "right")}
    return held | {k: Support(u=0.0, w=0.0, px=0.0) for k in ("bottom", "top")}


def ours(cells: int) -> dict[str, float]:
    """Panelmend's plate."""
    base = peak()
    grid = even_grid(SIZE, SIZE, cells, cells)
    t = [time.perf_counter()]
    zone = zones(grid, sections(), patch)
    t.append(time.perf_counter())
    element_matrices(grid, zone)
    t.append(time.perf_counter())
    stiffness_matrix(grid, zone)
    t.append(time.perf_counter())
    answer = solve_plate(grid, zone, PlateLoads(edges(), pressure=1.0))
    t.append(time.perf_counter())
    n = cells // 2
    middle = answer.w[n, n] if cells % 2 == 0 else answer.w[n : n + 2, n : n + 2].mean()
    return {
        "unknowns": 5 * grid.nodes,
        "zones": t[1] - t[0],
        "assembly": t[3] - t[2],
        "whole": t[4] - t[3] + t[1] - t[0],
        "memory": peak() - base,
        "w": float(middle),
    }


def theirs_default(cells: int) -> dict[str, float]:
    """scikit-fem with scipy's default factorisation."""
    return theirs(cells, {})


def theirs(cells: int, options: dict[str, object] | None = None) -> dict[str, float]:
    """scikit-fem on half as many cells a side: the same number of unknowns."""
    base = peak()
    half = max(2, cells // 2)
    x = np.linspace(0.0, SIZE, half + 1)
    one, two = sections()

    def pick(a: np.ndarray, b: np.ndarray):
        return lambda xx, yy: np.where(patch(xx, yy) == 1, b[..., None, None], a[..., None, None])

    times = {}

    def solver(matrix, load):
        from scipy.sparse.linalg import splu

        start = time.perf_counter()
        answer = splu(matrix.tocsc(), **(SYMMETRIC if options is None else options)).solve(load)
        times["solve"] = time.perf_counter() - start
        return answer

    start = time.perf_counter()
    w, size = plate_q2.simply_supported(x, x, pick(one.abd, two.abd), pick(one.S, two.S), solver=solver)
    whole = time.perf_counter() - start
    return {
        "unknowns": size,
        "zones": 0.0,
        "assembly": whole - times["solve"],
        "whole": whole,
        "memory": peak() - base,
        "w": w,
    }


def peak() -> float:
    """Peak memory of this process [MB]."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def apart(work, cells: int) -> dict[str, float]:
    """Run one case in a fresh process, after a small warm-up, so that memory counts from the start."""
    with get_context("spawn").Pool(1) as pool:
        pool.apply(work, (10,))
        return pool.apply(work, (cells,))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--sizes", type=int, nargs="+", default=[50, 100, 200], help="cells a side")
    args = parser.parse_args()
    coarse, close = (apart(ours, n)["w"] for n in (150, 300))
    fine = close + (close - coarse) / 3.0  # second order
    print(f"{'':14}{'unknowns':>9}{'zones':>8}{'assembly':>10}{'whole s':>9}{'memory MB':>11}{'w error':>10}")
    for cells in (10, 20):
        show(f"scikit-fem {cells}", apart(theirs, cells), fine)
    for cells in args.sizes:
        rows = [("panelmend", ours), ("scikit-fem", theirs)]
        if cells <= 105:
            rows.append(("  default LU", theirs_default))
        for name, work in rows:
            show(name, apart(work, cells), fine)


def show(name: str, r: dict[str, float], fine: float) -> None:
    """One line."""
    print(
        f"{name:14}{r['unknowns']:9.0f}{r['zones']:8.3f}{r['assembly']:10.3f}{r['whole']:9.3f}"
        f"{r['memory']:11.0f}{abs(r['w'] / fine - 1):10.1e}"
    )


if __name__ == "__main__":
    main()
