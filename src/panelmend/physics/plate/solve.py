"""Assembly on the grid's nine-point stencil and the sparse solution."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import bsr_matrix, coo_matrix
from scipy.sparse.linalg import splu

from panelmend.errors import InputError, SolverError
from panelmend.physics.plate.element import (
    cell_unknowns,
    element_matrices,
    plane_rows,
    shear_rows,
    strain_maps,
)
from panelmend.physics.plate.grid import PlateGrid, Zones
from panelmend.physics.plate.loads import (
    DOFS,
    PlateLoads,
    PointSupport,
    edge_nodes,
    load_vector,
    node_weights,
)
from panelmend.physics.plate.order import dissect
from panelmend.physics.structure_inputs import Array

Mask = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class PlateAnswer:
    """A solved plate.

    ``u`` (ny + 1, nx + 1, 5): u, v, w [m], px, py [1] at nodes. At cell centres, shape (ny, nx, k): ``eps``
    [1] and ``kappa`` [1/m] (k 3), ``gamma`` [1] (k 2), resultants ``N`` [N/m], ``M`` [N] (k 3), ``Q`` [N/m]
    (k 2). ``reaction`` (ny + 1, nx + 1, 5): what the supports push with [N, N m]; fasteners apart in
    ``fasteners`` (n, 3) [N].
    """

    grid: PlateGrid
    u: Array
    eps: Array
    kappa: Array
    gamma: Array
    N: Array
    M: Array
    Q: Array
    reaction: Array
    fasteners: Array

    @property
    def w(self) -> Array:
        """Deflection [m] at nodes, shape (ny + 1, nx + 1)."""
        return np.asarray(self.u[..., 2])

    def strain_at(self, z: float | Array) -> Array:
        """Strain [1], (ny, nx, 3), at a height z [m], one number or (ny, nx)."""
        return np.asarray(self.eps + np.asarray(z)[..., None] * self.kappa)

    def sample(self, cells: Array, x: float, y: float) -> Array:
        """A cell field's value [its unit], shape of one cell, at a point [m]; see :func:`sample`."""
        return sample(self.grid, cells, x, y)


def sample(grid: PlateGrid, cells: Array, x: float, y: float) -> Array:
    """A cell field's value [its unit], shape of one cell, at a point [m], bilinear between centres (beyond
    the last: extrapolated)."""
    xc, yc = (grid.x[1:] + grid.x[:-1]) / 2, (grid.y[1:] + grid.y[:-1]) / 2
    i = int(np.clip(np.searchsorted(xc, x) - 1, 0, max(xc.size - 2, 0)))
    j = int(np.clip(np.searchsorted(yc, y) - 1, 0, max(yc.size - 2, 0)))
    a, b = (x - xc[i]) / (xc[i + 1] - xc[i]), (y - yc[j]) / (yc[j + 1] - yc[j])
    low = cells[j, i] * (1 - a) + cells[j, i + 1] * a
    return np.asarray(low * (1 - b) + (cells[j + 1, i] * (1 - a) + cells[j + 1, i + 1] * a) * b)


def stiffness_matrix(grid: PlateGrid, cells: Zones) -> Any:
    """Stiffness matrix as 5 x 5 blocks on the nine-point stencil (sparse, BSR)."""
    ny, nx = grid.shape
    ke = element_matrices(grid, cells).reshape(ny, nx, 4, 5, 4, 5)
    blocks = np.zeros((ny + 1, nx + 1, 9, 5, 5))
    corner = ((0, 0), (0, 1), (1, 1), (1, 0))  # row, column of nodes 0 to 3
    for a, (ja, ia) in enumerate(corner):
        for b, (jb, ib) in enumerate(corner):
            place = 3 * (jb - ja + 1) + (ib - ia + 1)
            blocks[ja : ja + ny, ia : ia + nx, place] += ke[:, :, a, :, b, :]
    j, i = np.meshgrid(np.arange(ny + 1), np.arange(nx + 1), indexing="ij")
    dj, di = np.repeat([-1, 0, 1], 3), np.tile([-1, 0, 1], 3)
    jn, im = j[..., None] + dj, i[..., None] + di
    valid = (jn >= 0) & (jn <= ny) & (im >= 0) & (im <= nx)
    columns = (jn * (nx + 1) + im)[valid]
    starts = np.concatenate([[0], np.cumsum(valid.sum(axis=-1).ravel())])
    size = 5 * grid.nodes
    return bsr_matrix((blocks[valid], columns, starts), shape=(size, size))


def solve_plate(grid: PlateGrid, cells: Zones, case: PlateLoads) -> PlateAnswer:
    """Solve a plate for one case.

    Args:
        grid: the grid.
        cells: the stiffness of its cells.
        case: supports and loads.

    Returns:
        Deflection, strains, resultants, reactions.

    Raises:
        InputError: a plate that can move off, or loads without a reaction.
        SolverError: the matrix could not be factored.
    """
    return solve_cases(grid, cells, [case])[0]


def solve_cases(grid: PlateGrid, cells: Zones, cases: Sequence[PlateLoads]) -> tuple[PlateAnswer, ...]:
    """As :func:`solve_plate` for several cases with the same supports: one factorisation for all.

    Raises:
        InputError: also cases that do not hold the same edges and fasteners (prescribed values may differ).
        SolverError: also an answer that is not finite.
    """
    if not cases:
        return ()
    first = cases[0]
    held = _prescribed(grid, first)[0]
    for case in cases[1:]:
        same = tuple(case.fasteners) == tuple(first.fasteners)
        if not same or not np.array_equal(_prescribed(grid, case)[0], held):
            raise InputError("cases with different supports", todo="solve them one by one")
    matrix = stiffness_matrix(grid, cells)
    springs = _springs(grid, first.fasteners, matrix)
    full = (matrix if springs is None else matrix + springs).tocsr()
    pinned = _hold_rigid(grid, held, first)
    order = (5 * dissect(grid.y.size, grid.x.size)[:, None] + np.arange(5)).ravel()
    free = order[~(held | pinned).ravel()[order]]
    factor = _factor(full, free)
    answers = []
    for case in cases:
        load, value = load_vector(grid, case), _prescribed(grid, case)[1].ravel()
        u = value.copy()
        shifted = load.ravel() - full @ value if value.any() else load.ravel()
        u[free] = factor.solve(shifted[free])
        if not np.isfinite(u).all():
            raise SolverError("the plate's answer is not finite; is every part held?")
        reaction = (full @ u - load.ravel()).reshape(grid.nodes, 5)
        _no_stray_reaction(reaction, pinned, load)
        pull = _bolt_forces(grid, case, matrix, u)
        answers.append(_recover(grid, cells, u, np.where(held, reaction, 0.0), pull))
    return tuple(answers)


def _bolt_forces(grid: PlateGrid, case: PlateLoads, matrix: Any, u: Array) -> Array:
    pull = np.zeros((len(case.fasteners), 3))
    for k, bolt in enumerate(case.fasteners):
        nodes, weight = node_weights(grid, bolt.x, bolt.y)
        kxy, kz = _stiff(bolt, matrix)
        pull[k] = -np.array([kxy, kxy, kz]) * (weight @ u.reshape(-1, 5)[nodes, :3])
    return pull


def _factor(matrix: Any, free: NDArray[np.int64]) -> Any:
    small = matrix[free][:, free].tocsc()
    small.eliminate_zeros()
    try:
        # the rows stand in elimination order already; symmetric positive, so no pivoting
        return splu(small, permc_spec="NATURAL", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
    except RuntimeError as error:
        raise SolverError(f"the plate's matrix cannot be factored ({error}); is every part held?") from error


def _prescribed(grid: PlateGrid, case: PlateLoads) -> tuple[Mask, Array]:
    held = np.zeros((grid.nodes, 5), dtype=bool)
    value = np.zeros((grid.nodes, 5))
    for side, support in case.edges.items():
        nodes = edge_nodes(grid, side)
        for k, name in enumerate(DOFS):
            wanted = getattr(support, name)
            if wanted is not None:
                held[nodes, k] = True
                value[nodes, k] = wanted
    return held, value


def _stiff(bolt: PointSupport, matrix: Any) -> tuple[float, float]:
    """In-plane and out-of-plane spring of a fastener [N/m]; rigid ones a million times the plate's own."""
    rows = matrix.diagonal().reshape(-1, 5)
    kxy = 1e6 * float(rows[:, :2].mean()) if bolt.kxy is None else bolt.kxy
    kz = 1e6 * float(rows[:, 2].mean()) if bolt.kz is None else bolt.kz
    return kxy, kz


def _springs(grid: PlateGrid, fasteners: Any, matrix: Any) -> Any:
    if not fasteners:
        return None
    rows, cols, data = [], [], []
    for bolt in fasteners:
        nodes, weight = node_weights(grid, bolt.x, bolt.y)
        kxy, kz = _stiff(bolt, matrix)
        for dof, k in ((0, kxy), (1, kxy), (2, kz)):
            rows.append(np.repeat(5 * nodes + dof, 4))
            cols.append(np.tile(5 * nodes + dof, 4))
            data.append(k * np.outer(weight, weight).ravel())
    size = 5 * grid.nodes
    i, j = np.concatenate(rows), np.concatenate(cols)
    return coo_matrix((np.concatenate(data), (i, j)), shape=(size, size)).tocsr()


def _hold_rigid(grid: PlateGrid, held: Mask, case: PlateLoads) -> Mask:
    """Pins for in-plane rigid motions that nothing holds; refuses a plate that can move out of its plane."""
    pinned = np.zeros_like(held)
    xx, yy = np.meshgrid(grid.x, grid.y)
    x, y = (xx - xx.mean()).ravel(), (yy - yy.mean()).ravel()
    one, nil = np.ones_like(x), np.zeros_like(x)
    flat = np.stack([np.stack([one, nil], 1), np.stack([nil, one], 1), np.stack([-y, x], 1)], 2)
    out = np.stack(
        [np.stack([one, nil, nil], 1), np.stack([x, -one, nil], 1), np.stack([y, nil, -one], 1)], 2
    )
    bolts = [node_weights(grid, b.x, b.y) for b in case.fasteners]
    flat_rows = [flat[held[:, :2]]] + [np.tensordot(w, flat[n], 1) for n, w in bolts]
    out_rows = [out[held[:, 2:]]] + [np.tensordot(w, out[n], 1)[:1] for n, w in bolts]
    if _rank(np.concatenate(out_rows)) < 3:
        raise InputError(
            "the plate can move out of its plane",
            expected="edges or at least three fasteners, not in line, that hold w",
        )
    rank = _rank(np.concatenate(flat_rows))
    if rank < 3:
        ny1, nx1 = grid.y.size, grid.x.size
        middle, end = (ny1 // 2) * nx1 + nx1 // 2, (ny1 // 2) * nx1 + nx1 - 1
        for node, dof in ((middle, 0), (middle, 1), (end, 1)):
            trial = pinned.copy()
            trial[node, dof] = True
            more = _rank(np.concatenate([*flat_rows, flat[(trial & ~held)[:, :2]]]))
            if more > rank:
                pinned, rank = trial, more
    return pinned


def _rank(rows: Array) -> int:
    if rows.size == 0:
        return 0
    scale = np.abs(rows).max(axis=0)
    scale[scale == 0] = 1.0
    gram = (rows / scale).T @ (rows / scale) / len(rows)
    return int((np.linalg.eigvalsh(gram) > 1e-10).sum())


def _no_stray_reaction(reaction: Array, pinned: Mask, load: Array) -> None:
    if pinned.any():
        stray = np.abs(reaction[pinned]).max()
        size = np.abs(load[:, :2]).sum() + np.abs(reaction[:, :2]).max() * 1e-3 + 1e-12
        if np.abs(load[:, :2]).max() > 0 and stray > 1e-6 * size:
            raise InputError(
                "in-plane loads without a reaction",
                read=f"{stray:g} N left over",
                expected="loads in balance, or an edge that holds u and v",
            )


def _recover(grid: PlateGrid, cells: Zones, u: Array, reaction: Array, pull: Array) -> PlateAnswer:
    ny, nx = grid.shape
    own = cell_unknowns(grid, u.reshape(-1, 5))
    plane, shear = strain_maps(grid)
    strain = np.einsum("yxab,bc,yxc->yxa", plane, plane_rows(0.0, 0.0), own, optimize=True)
    gamma = np.einsum("yxab,bc,yxc->yxa", shear, shear_rows(0.0, 0.0), own, optimize=True)
    force = np.einsum("yxab,yxb->yxa", cells.abd, strain)
    q = np.einsum("yxab,yxb->yxa", cells.shear, gamma)
    return PlateAnswer(
        grid,
        u.reshape(ny + 1, nx + 1, 5),
        strain[..., :3],
        strain[..., 3:],
        gamma,
        force[..., :3],
        force[..., 3:],
        q,
        reaction.reshape(ny + 1, nx + 1, 5),
        pull,
    )
