"""Peel of a strap on a skin that cannot bend, by beam elements of its own: the other opinion on the tip.

Running loads are per width [N/m].
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import splu

from panelmend.errors import InputError
from panelmend.physics.joint import (
    BeamStep,
    BondAnswer,
)
from panelmend.physics.structure_inputs import Array, NotComputed

Index = NDArray[np.integer]


@dataclass(frozen=True, eq=False)
class PeelAnswer:
    """``x`` [m] and ``peel`` [Pa], both (n,), tension positive; the largest ``peak`` [Pa] and ``at`` [m]."""

    x: Array
    peel: Array
    peak: float
    at: float


def peel_along(
    answer: BondAnswer,
    strap: Sequence[BeamStep],
    *,
    slope_held_at_start: bool = False,
    slope_held_at_end: bool = False,
) -> PeelAnswer | NotComputed:
    """Peel stress along a bond whose shear is known; adherend 2 cannot bend (a skin held by its core).

    Args:
        answer: the solved bond; its adhesive needs ``E``.
        strap: adherend 1, one entry a step.
        slope_held_at_start: adherend 1 goes on straight beyond the start (symmetry, or over the core of a
            filled hole) instead of ending freely.
        slope_held_at_end: the same at the end.

    Returns:
        Peel along the bond, or NotComputed when the adhesive's E is not known.

    Raises:
        InputError: a number of entries that is not the number of steps.
    """
    adhesive = answer.bond.adhesive
    if adhesive.E is None:
        return NotComputed(f"{adhesive.name} has no modulus across the layer, so there is no peel")
    if len(strap) != len(answer.bond.steps):
        raise InputError("beam steps", read=str(len(strap)), expected=f"{len(answer.bond.steps)}, one a step")
    h, T = np.diff(answer.x), answer.T1
    counts = np.diff(np.array(answer.first))
    n = len(answer.x)
    spring = adhesive.E / adhesive.t
    D = np.repeat([b.D for b in strap], counts)
    e = np.repeat([b.thickness / 2 for b in strap], counts)
    dof = np.arange(n - 1)[:, None] * 2 + np.arange(4)[None, :]
    blocks = bending_blocks(h) * D[:, None, None] + foundation_blocks(h) * spring
    load = np.zeros(2 * n)
    np.add.at(load, dof, moment_loads(h, e * T[:-1], e * T[1:]))
    load[1] += e[0] * T[0]
    load[2 * n - 1] -= e[-1] * T[-1]
    i, j, v = _entries(blocks, dof, dof)
    matrix = coo_matrix((v, (i, j)), shape=(2 * n, 2 * n)).tocsc()
    held = [1] * slope_held_at_start + [2 * n - 1] * slope_held_at_end
    keep = np.setdiff1d(np.arange(2 * n), held)
    w = np.zeros(2 * n)
    w[keep] = splu(matrix[keep][:, keep]).solve(load[keep])
    peel = spring * w[0::2]
    k = int(np.argmax(peel))
    return PeelAnswer(answer.x, peel, float(peel[k]), float(answer.x[k]))


def _entries(blocks: Array, rows: Index, cols: Index) -> tuple[Index, Index, Array]:
    i = np.broadcast_to(rows[:, :, None], blocks.shape)
    j = np.broadcast_to(cols[:, None, :], blocks.shape)
    return i.ravel(), j.ravel(), blocks.ravel()


def bending_blocks(h: Array) -> Array:
    """Cubic beam bending matrices over D, shape (cells, 4, 4)."""
    one = np.ones_like(h)
    rows = [
        [12 * one, 6 * h, -12 * one, 6 * h],
        [6 * h, 4 * h * h, -6 * h, 2 * h * h],
        [-12 * one, -6 * h, 12 * one, -6 * h],
        [6 * h, 2 * h * h, -6 * h, 4 * h * h],
    ]
    return np.asarray(np.array(rows).transpose(2, 0, 1) / (h**3)[:, None, None])


def foundation_blocks(h: Array) -> Array:
    """Consistent matrices of a unit elastic foundation, shape (cells, 4, 4)."""
    one = np.ones_like(h)
    rows = [
        [156 * one, 22 * h, 54 * one, -13 * h],
        [22 * h, 4 * h * h, 13 * h, -3 * h * h],
        [54 * one, 13 * h, 156 * one, -22 * h],
        [-13 * h, -3 * h * h, -22 * h, 4 * h * h],
    ]
    return np.asarray(np.array(rows).transpose(2, 0, 1) * (h / 420.0)[:, None, None])


def moment_loads(h: Array, start: Array, end: Array) -> Array:
    """Load vectors of a moment that runs linearly from start to end against the curvature, (cells, 4).

    integral of m(x) N''(x) with cubic N, exact.
    """
    mean, tilt = (start + end) / 2, (end - start) / 2
    zero = np.zeros_like(h)
    constant = np.stack([zero, -mean, zero, mean], axis=1)
    # linear part: N'' = (6, 3 h, -6, 3 h) s / h^2 beside (0, -1, 0, 1)/h, s from -1 to 1
    slope = np.stack([2 * tilt / h, tilt, -2 * tilt / h, tilt], axis=1)
    return np.asarray(constant + slope)
