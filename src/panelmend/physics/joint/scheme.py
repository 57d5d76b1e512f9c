"""The fourth-order two-point scheme for a bond: graded mesh, residual and Jacobian."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import solve_banded

from panelmend.errors import InputError
from panelmend.physics.joint.bond import Bond, BondStep, Ends, shear_decay
from panelmend.physics.structure_inputs import Array

Numbers = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Mesh:
    """Nodes ``x``; per cell: width, K1 and K2 at start, middle, end (3, cells), thermal pull per kelvin."""

    x: Array
    h: Array
    K1: Array
    K2: Array
    pull: Array
    first: tuple[int, ...]


@dataclass(frozen=True, eq=False)
class Jacobian:
    """Derivatives of the residual, by (T1, gamma) at a cell's start and end: ``T`` and ``g`` (4, cells), and
    column and value of the first and the last row. Everything lies in a narrow band.
    """

    T: Array
    g: Array
    start: tuple[int, float]
    end: tuple[int, float]

    def solve(self, right: Array) -> Array:
        """x, shape (2 n,) [N/m and 1 in turn], of J x = ``right`` (2 n,) [as the residual].

        Raises:
            numpy.linalg.LinAlgError: J is singular.
        """
        size = right.size
        band = np.zeros((5, size))
        for k in range(4):
            band[3 - k, k : size - 3 + k : 2] = self.T[k]
            band[4 - k, k : size - 3 + k : 2] = self.g[k]
        (c0, v0), (c1, v1) = self.start, self.end
        band[2 - c0, c0] = v0
        band[size + 1 - c1, c1] = v1
        return np.asarray(solve_banded((2, 2), band, right, check_finite=False))

    def bordered(self, right: Array, by_load: Array, node: int, last: float) -> tuple[Array, float]:
        """x [N/m and 1 in turn] and f [1] of J x + f ``by_load`` = ``right``, the strain of x at a node
        ``last`` [1].

        The load's multiple stands at every node, the same at all, so that the band stays narrow and nothing
        is singular where the whole bond flows.

        Raises:
            numpy.linalg.LinAlgError: the whole is singular.
        """
        n = right.size // 2
        flat_band, b = np.zeros(7 * 3 * n), np.zeros(3 * n)
        (c0, v0), (c1, v1) = self.start, self.end
        row, flat = _bordered_places(n, node, c0, c1)
        one = np.ones(n - 1)
        ends = np.array([v0, by_load[0], 1.0, v1, by_load[-1]])
        loads = (by_load[1:-1:2], by_load[2:-1:2])
        flat_band[flat] = np.concatenate([self.T.ravel(), self.g.ravel(), *loads, -one, one, ends])
        band = flat_band.reshape(7, 3 * n)
        b[row], b[row + 1] = right[1:-1:2], right[2:-1:2]
        b[0], b[1 + 3 * node], b[-1] = right[0], last, right[-1]
        found = np.asarray(solve_banded((3, 3), band, b, check_finite=False)).reshape(n, 3)
        return found[:, :2].ravel(), float(found[0, 2])


@lru_cache(maxsize=256)
def _bordered_places(n: int, node: int, first: int, last: int) -> tuple[Numbers, Numbers]:
    """The first row of every cell, and where the bordered band's values stand in it, one after another."""
    cell = np.arange(n - 1)
    row = 1 + 3 * cell + (cell >= node)
    rows = [row + k for k in (0, 1) for _ in range(4)] + [row, row + 1, row + 2, row + 2]
    columns = [3 * cell + q for _ in (0, 1) for q in (0, 1, 3, 4)] + [3 * cell + q for q in (2, 2, 2, 5)]
    rows.append(np.array([0, 0, 1 + 3 * node, 3 * n - 1, 3 * n - 1]))
    columns.append(np.array([first, 2, 3 * node + 1, 3 * n - 5 + last - (2 * n - 4), 3 * n - 1]))
    at, column = np.concatenate(rows), np.concatenate(columns)
    return row, (3 + at - column) * 3 * n + column


@lru_cache(maxsize=64)
def mesh_of(bond: Bond, cells: int) -> Mesh:
    """The graded mesh of a bond; nobody writes in it."""
    xs, hs, k1s, k2s, pulls, first = [np.zeros(1)], [], [], [], [], [0]
    start = 0.0
    for step in bond.steps:
        at = _graded(bond, step, cells)
        mid = (at[1:] + at[:-1]) / 2
        where = np.stack([at[:-1], mid, at[1:]])
        k1, k2 = step.stiffness(where)
        xs.append(start + at[1:] * step.length)
        hs.append(np.diff(at) * step.length)
        k1s.append(k1)
        k2s.append(k2)
        pulls.append(np.full(len(mid), step.alpha2 - step.alpha1))
        start += step.length
        first.append(first[-1] + len(mid))
    return Mesh(
        np.concatenate(xs),
        np.concatenate(hs),
        np.concatenate(k1s, axis=1),
        np.concatenate(k2s, axis=1),
        np.concatenate(pulls),
        tuple(first),
    )


def _graded(bond: Bond, step: BondStep, cells: int) -> Array:
    """Fractions 0 to 1, finest at both ends, where the shear dies out over 1/lambda."""
    k1, k2 = step.stiffness(np.array([0.0, 1.0]))
    lam = max(shear_decay(bond.adhesive, float(a), float(b), bond.faces) for a, b in zip(k1, k2, strict=True))
    # sinh grading whose end cells are a small part of 1/lambda
    s = np.linspace(-1.0, 1.0, cells + 1)
    strength = math.asinh(max(1.0, lam * step.length))
    return np.asarray(0.5 * (1.0 + np.tanh(strength / 2 * s) / math.tanh(strength / 2)))


def system(bond: Bond, ends: Ends, mesh: Mesh, y: Array) -> tuple[Array, Jacobian]:
    """Residual (2 n,) and Jacobian at node values y = (T1 [N/m], gamma [1], T1, gamma, ...)."""
    n, m = len(mesh.x), float(bond.faces)
    T, g = y[0::2], y[1::2]
    h, eta = mesh.h, bond.adhesive.t

    def slip(T1: Array, at: int) -> Array:
        """gamma' at start (0), middle (1) or end (2) of every cell."""
        other = (ends.total - T1) / mesh.K2[at]
        return np.asarray((other - T1 / mesh.K1[at] + mesh.pull * ends.dT) / eta)

    soft = -(1 / mesh.K1 + 1 / mesh.K2) / eta  # d gamma'/d T1
    tau, slope = bond.adhesive.shear(g)
    fT0, fT1, sT0, sT1 = -m * tau[:-1], -m * tau[1:], -m * slope[:-1], -m * slope[1:]
    fg0, fg1 = slip(T[:-1], 0), slip(T[1:], 2)
    Tm = (T[:-1] + T[1:]) / 2 + h / 8 * (fT0 - fT1)
    gm = (g[:-1] + g[1:]) / 2 + h / 8 * (fg0 - fg1)
    taum, slopem = bond.adhesive.shear(gm)
    fTm, sTm, fgm = -m * taum, -m * slopem, slip(Tm, 1)
    rT = T[1:] - T[:-1] - h / 6 * (fT0 + 4 * fTm + fT1)
    rg = g[1:] - g[:-1] - h / 6 * (fg0 + 4 * fgm + fg1)
    # derivatives by T0, g0, T1, g1
    half = 0.5 * np.ones_like(h)
    dgm = (h / 8 * soft[0], half, -h / 8 * soft[2], half)
    dTm = (half, h / 8 * sT0, half, -h / 8 * sT1)
    one = np.ones_like(h)
    own_T = (-one, -h / 6 * sT0, one, -h / 6 * sT1)
    own_g = (-h / 6 * soft[0], -one, -h / 6 * soft[2], one)
    jT = [own_T[k] - 4 * h / 6 * sTm * dgm[k] for k in range(4)]
    jg = [own_g[k] - 4 * h / 6 * soft[1] * dTm[k] for k in range(4)]
    residual = np.zeros(2 * n)
    residual[1:-1:2], residual[2:-1:2] = rT, rg
    (r0, c0, v0), (r1, c1, v1) = _end_rows(ends, T, g, n)
    residual[0], residual[-1] = r0, r1
    return residual, Jacobian(np.array(jT), np.array(jg), (c0, v0), (c1, v1))


def _end_rows(
    ends: Ends, T: Array, g: Array, n: int
) -> tuple[tuple[float, int, float], tuple[float, int, float]]:
    if ends.T1_start is None and ends.T1_end is None:
        raise InputError("symmetry at both ends of a bond", expected="a load at one end at least")
    start = (float(g[0]), 1, 1.0) if ends.T1_start is None else (float(T[0] - ends.T1_start), 0, 1.0)
    end = (
        (float(g[-1]), 2 * n - 1, 1.0)
        if ends.T1_end is None
        else (float(T[-1] - ends.T1_end), 2 * n - 2, 1.0)
    )
    return start, end
