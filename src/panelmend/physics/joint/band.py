"""Stiffness along a bond gathered into a narrow band and solved, where need be in longer digits."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import lapack, solve_banded

from panelmend.errors import SolverError
from panelmend.physics.structure_inputs import Array

REFINED = 20  # times that the rest of a badly conditioned answer is solved for at most
Entries = tuple[Array, Array, Array]


def solved_band(parts: list[Entries], force: Array, held: list[int], places: Array) -> Array:
    """Displacements under a force, some held; numbered along the bond, the matrix is a narrow band.

    Args:
        parts: entries of the stiffness with their rows and columns, SI.
        force: what acts on each unknown [N or N m].
        held: unknowns that stay zero.
        places: where each unknown lies along the bond [m].

    Returns:
        each unknown, shape (unknowns,) [m, or 1 for a slope]; in longer digits where the entries are.

    Raises:
        SolverError: it does not settle.
    """
    rows, cols, data = (np.concatenate([p[i] for p in parts]) for i in range(3))
    free = np.ones(force.size, np.bool_)
    free[held] = False
    order: NDArray[np.int64] = np.argsort(places, kind="stable")
    order = order[free[order]]
    number = np.full(force.size, -1, np.int64)
    number[order] = np.arange(order.size)
    i, j = number[rows], number[cols]
    known = (i >= 0) & (j >= 0)
    i, j, data = i[known], j[known], data[known]
    width = int((j - i).max())
    flat = (width + i - j) * order.size + j
    rough = data.astype(float)
    full = np.bincount(flat, rough, (2 * width + 1) * order.size)
    band: Array = np.asarray(full, float).reshape(2 * width + 1, order.size)
    w = np.zeros(force.size)
    if data.dtype == float:
        w[order] = solve_banded((width, width), band, force[order], check_finite=False)
    else:
        w = w.astype(data.dtype)
        w[order] = _solved_in_longer_digits(width, band, i, j, data, force[order])
    return w


def _solved_in_longer_digits(
    width: int, band: Array, i: NDArray[np.int64], j: NDArray[np.int64], data: Array, force: Array
) -> Array:
    """The answer of a badly conditioned band, its rest taken in the entries' own longer digits.

    Raises:
        SolverError: it does not settle.
    """
    wide = np.zeros((3 * width + 1, force.size))
    wide[width:] = band
    factor, swaps, failed = lapack.dgbtrf(wide, width, width)
    found, last = np.zeros(force.size, data.dtype), np.inf
    for _ in range(REFINED):
        rest = force.astype(data.dtype)
        np.subtract.at(rest, i, data * found[j])
        more, _ = lapack.dgbtrs(factor, width, width, rest.astype(float), swaps)
        found = found + more
        change = float(abs(more).max()) / max(float(abs(found).max()), 1e-300)
        if failed or not np.isfinite(change):
            break
        if change < 1e-12 or (change < 1e-6 and change > 0.5 * last):
            return np.asarray(found)
        last = change
    raise SolverError("a feather edge too fine for the arithmetic of this machine")
