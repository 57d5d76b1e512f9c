"""A plate on a mesh of curved eight-node cells that follow the edge of a hole.

The grid of :mod:`panelmend.physics.plate.solve` averages the cells that an edge cuts, which blurs a peak
that stands on the edge itself. Here the edge is a line of the mesh. Same theory and unknowns; serendipity
quadratic cells, 2 x 2 points for every strain (Zienkiewicz, Taylor and Too, Int. J. Numerical Methods in
Engineering 3 (1971) 275, from memory), where strains are also most accurate.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import splu

from panelmend.errors import InputError, SolverError
from panelmend.physics.plate.grid import PlateSection
from panelmend.physics.plate.loads import DOFS, PlateLoads
from panelmend.physics.structure_inputs import Array

Index = NDArray[np.int64]
NODES = ((-1, -1), (1, -1), (1, 1), (-1, 1), (0, -1), (1, 0), (0, 1), (-1, 0))  # corners, then mid-sides
_G = 1.0 / np.sqrt(3.0)
POINTS = ((-_G, -_G), (_G, -_G), (_G, _G), (-_G, _G))


def shapes(xi: Array, eta: Array) -> tuple[Array, Array]:
    """Shape functions of the eight nodes (..., 8) [1] and their derivatives by xi and eta [1], (..., 2, 8)
    [1]."""
    n, by = np.zeros((*np.shape(xi), 8)), np.zeros((*np.shape(xi), 2, 8))
    for a, (sx, sy) in enumerate(NODES):
        x, y = 1 + sx * xi, 1 + sy * eta
        if a < 4:
            n[..., a] = x * y * (sx * xi + sy * eta - 1) / 4
            by[..., 0, a] = sx * y * (2 * sx * xi + sy * eta) / 4
            by[..., 1, a] = sy * x * (sx * xi + 2 * sy * eta) / 4
        elif sx == 0:
            n[..., a] = (1 - xi * xi) * y / 2
            by[..., 0, a], by[..., 1, a] = -xi * y, sy * (1 - xi * xi) / 2
        else:
            n[..., a] = (1 - eta * eta) * x / 2
            by[..., 0, a], by[..., 1, a] = sx * (1 - eta * eta) / 2, -eta * x
    return n, by


_N, _BY = shapes(*np.array(POINTS).T)  # at the points, (4, 8) and (4, 2, 8)


@dataclass(frozen=True, eq=False)
class FittedMesh:
    """``points`` (n, 2) [m]; ``cells`` (m, 8) node numbers, corners counter-clockwise, then mid-sides from
    the first corner on; ``zone`` (m,) the section of each cell; ``sides``: for each edge of the plate the
    node triples (end, middle, end) along it.

    Raises:
        InputError: a cell that is turned inside out.
    """

    points: Array
    cells: Index
    zone: Index
    sides: dict[str, Index]

    def __post_init__(self) -> None:
        if (self.areas <= 0.0).any():
            raise InputError("a mesh with a cell turned inside out", todo="use fewer or smaller cells")

    @cached_property
    def _derivatives(self) -> tuple[Array, Array]:
        """Derivatives by x and y of the shape functions at the points, (m, 4, 2, 8), and areas (m, 4)."""
        own = self.points[self.cells]
        jacobian = np.einsum("pka,mac->mpkc", _BY, own, optimize=True)
        det = jacobian[..., 0, 0] * jacobian[..., 1, 1] - jacobian[..., 0, 1] * jacobian[..., 1, 0]
        inverse = np.empty_like(jacobian)
        inverse[..., 0, 0], inverse[..., 1, 1] = jacobian[..., 1, 1], jacobian[..., 0, 0]
        inverse[..., 0, 1], inverse[..., 1, 0] = -jacobian[..., 0, 1], -jacobian[..., 1, 0]
        safe = np.where(det > 0.0, det, 1.0)
        return (inverse / safe[..., None, None]) @ _BY, det

    @property
    def areas(self) -> Array:
        """Area that each point stands for [m2], (m, 4)."""
        return self._derivatives[1]

    @property
    def places(self) -> Array:
        """Where the points lie [m], (m, 4, 2)."""
        return np.asarray(np.einsum("pa,mac->mpc", _N, self.points[self.cells], optimize=True))

    def locate(self, at: Array) -> tuple[Index, Array]:
        """The cell of each place [m], (k, 2), and the weights of its points there [1], (k, 4).

        The cell is that of the nearest point: a place beside the mesh reads what lies next to it.
        """
        own, to = self.places.reshape(-1, 2) @ [1, 1j], at @ [1, 1j]
        parts = np.array_split(to, max(1, len(at) // 256))
        cell = np.concatenate([abs(p[:, None] - own).argmin(axis=1) for p in parts]) // 4
        corners, local = self.points[self.cells[cell]], np.zeros((len(at), 2))
        for _ in range(5):
            n, by = shapes(*local.T)
            miss = at - np.einsum("ka,kac->kc", n, corners)
            slope = np.einsum("kda,kac->kcd", by, corners)
            slope = slope + 1e-12 * abs(slope).max() * np.eye(2)
            local = np.clip(local + np.linalg.solve(slope, miss[..., None])[..., 0], -1.0, 1.0)
        weights = [(1 + 3 * px * local[:, 0]) * (1 + 3 * py * local[:, 1]) / 4 for px, py in POINTS]
        return cell, np.stack(weights, 1)

    def rows(self) -> Array:
        """Strains eps, gamma [1], kappa [1/m] at the points on the 40 unknowns of a cell, (m, 4, 8, 40)."""
        d = self._derivatives[0]
        made = np.zeros((*d.shape[:2], 8, 8, 5))
        for k, (one, two) in enumerate(((0, 1), (3, 4))):
            made[:, :, 3 * k, :, one] = d[:, :, 0]
            made[:, :, 3 * k + 1, :, two] = d[:, :, 1]
            made[:, :, 3 * k + 2, :, one] = d[:, :, 1]
            made[:, :, 3 * k + 2, :, two] = d[:, :, 0]
        for k in (0, 1):
            made[:, :, 6 + k, :, 2] = d[:, :, k]
            made[:, :, 6 + k, :, 3 + k] = _N
        return made.reshape(*d.shape[:2], 8, 40)


@dataclass(frozen=True, eq=False)
class FittedAnswer:
    """``u`` (n, 5) at nodes; ``eps`` [1] and ``kappa`` [1/m] (m, 4, 3) at the points of every cell."""

    u: Array
    eps: Array
    kappa: Array


def solve_fitted(
    mesh: FittedMesh, sections: Sequence[PlateSection], cases: Sequence[PlateLoads]
) -> tuple[FittedAnswer, ...]:
    """Solve a plate for cases with the same supports, one factorisation for all.

    Args:
        mesh: the mesh.
        sections: stiffness of each zone.
        cases: supports of the edges (zero where held), edge loads in balance, even pressure. Fasteners
            and point loads are not read; in-plane motions of the whole plate are pinned at two corners.

    Returns:
        Unknowns and strains.

    Raises:
        SolverError: the matrix could not be factored.
    """
    if not cases:
        return ()
    size = 5 * len(mesh.points)
    rows = mesh.rows()
    m = len(mesh.cells)
    whole = np.zeros((len(sections), 8, 8))
    for k, s in enumerate(sections):
        whole[k, :6, :6], whole[k, 6:, 6:] = s.abd, s.S
    stiff = whole[mesh.zone][:, None] @ rows * mesh.areas[..., None, None]
    block = rows.reshape(m, 32, 40).swapaxes(1, 2) @ stiff.reshape(m, 32, 40)
    dofs = (5 * mesh.cells[:, :, None] + np.arange(5)).reshape(m, 40)
    i, j = np.broadcast_to(dofs[:, :, None], block.shape), np.broadcast_to(dofs[:, None, :], block.shape)
    full = coo_matrix((block.ravel(), (i.ravel(), j.ravel())), shape=(size, size)).tocsc()
    free = np.nonzero(~_held(mesh, cases[0]))[0]
    factor = _factor(full[free][:, free])
    found = []
    for case in cases:
        u = np.zeros(size)
        u[free] = factor.solve(_loads(mesh, case)[free])
        if not np.isfinite(u).all():
            raise SolverError("the plate's answer is not finite; is every part held?")
        strain = np.einsum("mpsd,md->mps", rows[:, :, :6], u[dofs], optimize=True)
        found.append(FittedAnswer(u.reshape(-1, 5), strain[..., :3], strain[..., 3:]))
    return tuple(found)


def _factor(matrix: Any) -> Any:
    try:
        return splu(
            matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True}
        )
    except RuntimeError as error:
        raise SolverError(f"the plate's matrix cannot be factored ({error}); is every part held?") from error


def _held(mesh: FittedMesh, case: PlateLoads) -> NDArray[np.bool_]:
    held = np.zeros((len(mesh.points), 5), np.bool_)
    for side, support in case.edges.items():
        for k, name in enumerate(DOFS):
            if getattr(support, name) is not None:
                held[mesh.sides[side].ravel(), k] = True
    if not held[:, :2].any():
        # balanced loads: two corners along the bottom take nothing
        bottom = mesh.sides["bottom"].ravel()
        ends = bottom[[int(mesh.points[bottom, 0].argmin()), int(mesh.points[bottom, 0].argmax())]]
        held[ends[0], :2] = True
        held[ends[1], 1] = True
    return held.ravel()


def _loads(mesh: FittedMesh, case: PlateLoads) -> Array:
    f = np.zeros((len(mesh.points), 5))
    pressure = float(np.asarray(case.pressure))
    np.add.at(f[:, 2], mesh.cells, pressure * mesh.areas @ _N)
    for side, load in case.edge_loads.items():
        ends = mesh.sides[side]
        length = np.linalg.norm(mesh.points[ends[:, 2]] - mesh.points[ends[:, 0]], axis=1)
        share = length[:, None] * np.array([1.0, 4.0, 1.0]) / 6.0
        each = np.array([load.fx, load.fy, load.fz, load.mx, load.my])
        np.add.at(f, ends, share[..., None] * each)
    return f.ravel()


def along_edge(field: Array, cells: Index, *, outward: bool, each: int = 4) -> Array:
    """A field of the points, carried to an edge that closes on itself, (len(cells) each, ...).

    Args:
        field: at the points, in any unit [1], (m, 4, ...).
        cells: those along the edge, in order round it; their second direction runs along it.
        outward: whether the edge is their first side (True) or the one across from it.
        each: places in every cell, evenly from its first end.

    Returns:
        Straight on across the cells, by cubics through four neighbours along them [the field's unit].
    """
    near, far = ((0, 3), (1, 2)) if outward else ((1, 2), (0, 3))
    own = field[cells]
    step = (1.0 - _G) / (2.0 * _G)
    values = own[:, near] + step * (own[:, near] - own[:, far])
    flat = values.reshape(-1, *values.shape[2:])
    count = len(flat)
    lies = np.array([(1.0 - _G) / 2.0, (1.0 + _G) / 2.0])
    found = np.empty((len(cells), each, *values.shape[2:]))
    first = 2 * np.arange(len(cells))
    for k in range(each):
        at = k / each
        start = -2 if at < lies[0] else -1 if at < lies[1] else 0
        where = [lies[(start + n) % 2] + (start + n) // 2 for n in range(4)]
        total: Array = np.zeros_like(found[:, 0])
        for n, x in enumerate(where):
            others = [o for o in where if o != x]
            weight = np.prod([(at - o) / (x - o) for o in others])
            total = total + weight * flat[(first + start + n) % count]
        found[:, k] = total
    return found.reshape(-1, *values.shape[2:])
