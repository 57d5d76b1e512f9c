"""Accuracy against time on a round patch: our plate, scikit-fem on the same grid, and on a mesh that fits.

    scripts/bench plate_round

The panel of `scripts/bench plate` with a round one-sided patch of radius 0.11 m, simply supported, under
pressure. Three set-ups in one run: our four-node element on an even grid whose cut cells hold the average of
their zones; scikit-fem's biquadratic element (2 x 2 points) on an even grid, the zone asked at each point;
and the same element, quadratic sides too, on a mesh laid round the patch, the best that a general library
offers. All factorised with the same options. Figures: deflection in the middle, strain of the patched face in
the middle of the patch and 10 mm outside its edge. Errors are shares of the finest fitted mesh's figures;
seconds are processor seconds of one thread, all of the work from the mesh to the figures.
"""

from __future__ import annotations

import os

os.environ["OMP_NUM_THREADS"] = os.environ["OPENBLAS_NUM_THREADS"] = "1"

import sys
import time
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from plate import SIZE, SYMMETRIC, edges, sections
from skfem import Basis, ElementQuad2, ElementVector, MeshQuad, MeshQuad2, condense

import plate_q2
from panelmend.physics.plate import PlateLoads, even_grid, sample, solve_cases, zones

RADIUS = 0.11
MIDDLE = (SIZE / 2, SIZE / 2)
PLACES = (MIDDLE, (SIZE / 2 + RADIUS + 0.010, SIZE / 2))
FACE = 15e-3 / 2 + 0.3e-3  # m, middle of the sound outer face
SHOWN = ("w", "strain, patch", "strain, outside")


def patch(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """1 in the patch."""
    return (np.hypot(x - MIDDLE[0], y - MIDDLE[1]) < RADIUS).astype(int)


def ours(cells: int) -> tuple[int, list[float]]:
    """Unknowns and figures of our plate."""
    grid = even_grid(SIZE, SIZE, cells, cells)
    (answer,) = solve_cases(
        grid, zones(grid, sections(), patch, samples=4), [PlateLoads(edges(), pressure=1.0)]
    )
    field = answer.strain_at(FACE)
    at = int(np.searchsorted(grid.x, MIDDLE[0] - 1e-9))
    strains = [float(sample(grid, field, *p)[0]) for p in PLACES]
    return 5 * grid.nodes, [float(answer.w[at, at]), *strains]


def on_grid(cells: int) -> tuple[int, list[float]]:
    """scikit-fem's biquadratic plate on an even grid."""
    x = np.linspace(0.0, SIZE, cells + 1)
    mesh = MeshQuad.init_tensor(x, x)
    return _solved(mesh, mesh)


def fitted(cells: int) -> tuple[int, list[float]]:
    """The same on a mesh laid round the patch; ``cells``: along a quarter of its edge."""
    return _solved(*round_mesh(cells))


def round_mesh(n: int) -> tuple[MeshQuad2, MeshQuad]:
    """A square in the patch, a ring to its edge, one to the panel's edge: sides quadratic, and straight."""
    half, deep = SIZE / 2, 0.55 * RADIUS
    t = np.linspace(-1.0, 1.0, n + 1)
    points: list[np.ndarray] = [np.stack(np.meshgrid(deep * t * 0.9, deep * t * 0.9), -1).reshape(-1, 2)]
    quads = [_quads(n, n, 0)]
    for turn in range(4):
        angle = np.pi / 4 * t
        edge = np.stack([np.full(n + 1, 0.9 * deep), 0.9 * deep * t], -1)
        rim = RADIUS * np.stack([np.cos(angle), np.sin(angle)], -1)
        side = np.stack([np.full(n + 1, half), half * t], -1)
        c, s = np.cos(np.pi / 2 * turn), np.sin(np.pi / 2 * turn)
        for a, b, rows in ((edge, rim, max(1, n // 2)), (rim, side, n)):
            share = np.linspace(0.0, 1.0, rows + 1)[:, None, None]
            block = (a + share * (b - a)).reshape(-1, 2) @ np.array([[c, s], [-s, c]])
            quads.append(_quads(n, rows, sum(len(p) for p in points)))
            points.append(block)
    whole, first, number = np.unique(
        np.round(np.concatenate(points), 12), axis=0, return_index=True, return_inverse=True
    )
    assert len(first) == len(whole)
    corners = np.ascontiguousarray(number.ravel()[np.concatenate(quads)].T)
    mesh = MeshQuad(np.ascontiguousarray(whole.T + half), corners)
    fine = MeshQuad2.from_mesh(mesh)
    # the sides on the rim are brought onto the circle
    offset = fine.doflocs - half
    far = np.hypot(*offset)
    chord = np.abs(far - RADIUS * np.cos(np.pi / (4 * n))) < 1e-9
    doflocs = np.where(chord, half + offset * RADIUS / np.maximum(far, 1e-12), fine.doflocs)
    return MeshQuad2(np.ascontiguousarray(doflocs), np.ascontiguousarray(fine.t)), mesh


def _quads(n: int, rows: int, first: int) -> np.ndarray:
    low = first + np.arange(rows)[:, None] * (n + 1) + np.arange(n)
    return np.stack([low, low + 1, low + n + 2, low + n + 1], -1).reshape(-1, 4)


def _solved(mesh: Any, straight: MeshQuad) -> tuple[int, list[float]]:
    from scipy.sparse.linalg import splu

    g = 0.5 / np.sqrt(3.0)
    points = np.array([[0.5 - g, 0.5 + g, 0.5 - g, 0.5 + g], [0.5 - g, 0.5 - g, 0.5 + g, 0.5 + g]])
    element = ElementVector(ElementQuad2(), 5)
    b = Basis(mesh, element, quadrature=(points, np.full(4, 0.25)))
    one, two = sections()

    def pick(p: np.ndarray, q: np.ndarray) -> Any:
        return lambda x, y: np.where(patch(x, y) == 1, q[..., None, None], p[..., None, None])

    stiff, push = plate_q2.matrices(b, pick(one.abd, two.abd), pick(one.S, two.S))
    lines = np.array([0.0, SIZE])
    matrix, load, full, keep = condense(stiff, push, D=plate_q2._edges(b, lines, lines))
    u = np.array(full, dtype=float)
    u[keep] = splu(matrix.tocsc(), **SYMMETRIC).solve(load)
    found = []
    for x, y in PLACES:
        at = np.array([[x + 1e-7], [y + 2e-7]])
        cell = straight.element_finder()(*at)
        local = b.mapping.invF(at[:, :, None], tind=cell)[:, 0, :]
        d = Basis(mesh, element, elements=cell, quadrature=(local, np.ones(1))).interpolate(u)
        found.append((float(d[2][0, 0]), float((d.grad[0][0] + FACE * d.grad[3][0])[0, 0])))
    return int(b.N), [found[0][0], *(e for _, e in found)]


def main() -> None:
    _, true = fitted(28)
    print(f"{'':22}{'unknowns':>9}{'s':>8}" + "".join(f"{name:>18}" for name in SHOWN))
    for name, work, sizes in (
        ("panelmend, grid", ours, (24, 48, 96, 160)),
        ("scikit-fem, grid", on_grid, (10, 20, 40, 60)),
        ("scikit-fem, fitted", fitted, (2, 4, 8, 14)),
    ):
        work(sizes[0])
        for cells in sizes:
            start = time.process_time()
            unknowns, got = work(cells)
            spent = time.process_time() - start
            errors = "".join(f"{abs(g / t - 1.0):18.1e}" for g, t in zip(got, true, strict=True))
            print(f"{name + ' ' + str(cells):22}{unknowns:9d}{spent:8.3f}{errors}", flush=True)


if __name__ == "__main__":
    main()
