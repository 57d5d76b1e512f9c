"""The four-node plate element MITC4 on rectangles, for all cells at once.

Dvorkin and Bathe, Engineering Computations 1 (1984) 77. Degrees of freedom u, v, w, px, py a node, with
u(z) = u + z px, v(z) = v + z py; transverse shears w,x + px and w,y + py are tied at the middles of the
edges, which keeps thin plates from locking. On rectangles every strain is a derivative by the unit square
over dx or dy, so all element matrices are one product of coefficients with fixed integrals.
"""

from __future__ import annotations

import numpy as np

from panelmend.physics.plate.grid import PlateGrid, Zones
from panelmend.physics.structure_inputs import Array

CORNERS = ((-1, -1), (1, -1), (1, 1), (-1, 1))  # xi, eta of nodes 0 to 3


def plane_rows(xi: float, eta: float) -> Array:
    """u,xi u,eta v,xi v,eta px,xi px,eta py,xi py,eta [1] at xi, eta [1] as rows on the 20 unknowns, (8,
    20)."""
    rows = np.zeros((8, 20))
    for a, (sx, sy) in enumerate(CORNERS):
        by_xi, by_eta = sx * (1 + sy * eta) / 4, sy * (1 + sx * xi) / 4
        for k, dof in enumerate((0, 1, 3, 4)):
            rows[2 * k, 5 * a + dof] = by_xi
            rows[2 * k + 1, 5 * a + dof] = by_eta
    return rows


def shear_rows(xi: float, eta: float) -> Array:
    """Tied w,xi, px, w,eta, py [1] at xi, eta [1] as rows on the 20 unknowns, shape (4, 20)."""
    rows = np.zeros((4, 20))
    for a, (sx, sy) in enumerate(CORNERS):
        along_x, along_y = (1 + sy * eta) / 4, (1 + sx * xi) / 4
        rows[0, 5 * a + 2] = sx * along_x
        rows[1, 5 * a + 3] = along_x
        rows[2, 5 * a + 2] = sy * along_y
        rows[3, 5 * a + 4] = along_y
    return rows


def _integrals(rows: str) -> Array:
    """Integral over the unit square of row_a^T row_b, shape (n n, 400), by 2 x 2 points (exact)."""
    g = 1 / np.sqrt(3.0)
    make = plane_rows if rows == "plane" else shear_rows
    total: Array = np.zeros(0)
    for xi in (-g, g):
        for eta in (-g, g):
            r = make(xi, eta)
            product = np.einsum("ai,bj->abij", r, r).reshape(r.shape[0] ** 2, 400)
            total = product if total.size == 0 else total + product
    return total


PLANE = _integrals("plane")
SHEAR = _integrals("shear")


def strain_maps(grid: PlateGrid) -> tuple[Array, Array]:
    """Maps from rows to strains: (ny, nx, 6, 8) for eps, kappa and (ny, nx, 2, 4) for the shears [1/m]."""
    ny, nx = grid.shape
    fx = np.broadcast_to(2.0 / np.diff(grid.x)[None, :], (ny, nx))
    fy = np.broadcast_to(2.0 / np.diff(grid.y)[:, None], (ny, nx))
    plane = np.zeros((ny, nx, 6, 8))
    for k in (0, 1):
        plane[..., 3 * k, 4 * k] = fx
        plane[..., 3 * k + 1, 4 * k + 3] = fy
        plane[..., 3 * k + 2, 4 * k + 1] = fy
        plane[..., 3 * k + 2, 4 * k + 2] = fx
    shear = np.zeros((ny, nx, 2, 4))
    shear[..., 0, 0], shear[..., 0, 1] = fx, 1.0
    shear[..., 1, 2], shear[..., 1, 3] = fy, 1.0
    return plane, shear


def element_matrices(grid: PlateGrid, cells: Zones) -> Array:
    """Stiffness of every cell [N/m, N, N m], shape (ny, nx, 20, 20)."""
    ny, nx = grid.shape
    plane, shear = strain_maps(grid)
    area = (np.diff(grid.y)[:, None] * np.diff(grid.x)[None, :] / 4.0)[..., None, None]
    c = plane.swapaxes(-1, -2) @ cells.abd @ plane * area
    s = shear.swapaxes(-1, -2) @ cells.shear @ shear * area
    whole = c.reshape(ny * nx, 64) @ PLANE
    whole += s.reshape(ny * nx, 16) @ SHEAR
    return np.asarray(whole.reshape(ny, nx, 20, 20))


def cell_unknowns(grid: PlateGrid, u: Array) -> Array:
    """The 20 unknowns [m, rad] of every cell from node unknowns (nodes, 5) [m, rad], shape (ny, nx, 20)."""
    ny, nx = grid.shape
    field = u.reshape(ny + 1, nx + 1, 5)
    corners = (field[:-1, :-1], field[:-1, 1:], field[1:, 1:], field[1:, :-1])
    return np.concatenate(corners, axis=-1)
