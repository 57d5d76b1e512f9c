"""The fourth-order two-point scheme for a bond: graded mesh, residual and Jacobian."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csc_matrix

from panelmend.errors import InputError
from panelmend.physics.joint.bond import Bond, Ends, Step, shear_decay
from panelmend.physics.structure_inputs import Array


@dataclass(frozen=True, eq=False)
class Mesh:
    """Nodes ``x``; per cell: width, K1 and K2 at start, middle, end (3, cells), thermal pull per kelvin."""

    x: Array
    h: Array
    K1: Array
    K2: Array
    pull: Array
    first: tuple[int, ...]


def mesh_of(bond: Bond, cells: int) -> Mesh:
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


def _graded(bond: Bond, step: Step, cells: int) -> Array:
    """Fractions 0 to 1, finest at both ends, where the shear dies out over 1/lambda."""
    k1, k2 = step.stiffness(np.array([0.0, 1.0]))
    lam = max(shear_decay(bond.adhesive, float(a), float(b), bond.faces) for a, b in zip(k1, k2, strict=True))
    # sinh grading whose end cells are a small part of 1/lambda
    s = np.linspace(-1.0, 1.0, cells + 1)
    strength = math.asinh(max(1.0, lam * step.length))
    return np.asarray(0.5 * (1.0 + np.tanh(strength / 2 * s) / math.tanh(strength / 2)))


def system(bond: Bond, ends: Ends, mesh: Mesh, y: Array) -> tuple[Array, Any]:
    """Residual (2 n,) and sparse Jacobian of the scheme at node values y = (T1, gamma, T1, gamma, ...)."""
    residual, data, (first, last) = entries(bond, ends, mesh, y)
    return residual, pattern_of(len(mesh.x), first, last).matrix(data)


@dataclass(frozen=True, eq=False)
class Pattern:
    """Where the entries of a Jacobian stand, by columns: ``order`` sorts them, the rest is scipy's CSC."""

    order: NDArray[np.intp]
    indices: NDArray[np.int32]
    starts: NDArray[np.int32]
    rows: NDArray[np.intp]
    columns: NDArray[np.intp]

    def matrix(self, data: Array) -> Any:
        """The matrix with these entries."""
        size = self.starts.size - 1
        made = csc_matrix((data[self.order], self.indices, self.starts), shape=(size, size))
        made.has_canonical_format = True
        return made


def sorted_pattern(rows: NDArray[np.intp], columns: NDArray[np.intp], size: int) -> Pattern:
    """The pattern of entries at ``rows`` and ``columns``, no two at the same place."""
    order = np.lexsort((rows, columns))
    starts = np.concatenate([[0], np.cumsum(np.bincount(columns, minlength=size))])
    return Pattern(order, rows[order].astype(np.int32), starts.astype(np.int32), rows, columns)


@lru_cache(maxsize=64)
def pattern_of(nodes: int, first: int, last: int) -> Pattern:
    """Pattern of :func:`entries`; ``first`` and ``last`` are the columns of the two end conditions."""
    cell = np.arange(nodes - 1)
    rows = np.concatenate([*[1 + 2 * cell] * 4, *[2 + 2 * cell] * 4, [0], [2 * nodes - 1]])
    columns = np.concatenate([*[2 * cell + k for k in range(4)] * 2, [first], [last]])
    return sorted_pattern(rows, columns, 2 * nodes)


def entries(bond: Bond, ends: Ends, mesh: Mesh, y: Array) -> tuple[Array, Array, tuple[int, int]]:
    """Residual (2 n,), entries of the Jacobian in the order of :func:`pattern_of`, and its arguments."""
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
    return residual, np.concatenate([*jT, *jg, [v0], [v1]]), (c0, c1)


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
