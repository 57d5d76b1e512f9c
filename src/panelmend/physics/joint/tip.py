"""Peel in a bond and the pull it puts on the skin-to-core bond beneath: two beams on springs.

The patch lies on the adhesive's springs, the adhesive on the skin, the skin on the core's springs (Winkler).
Shear acts half a thickness off the middle of each and bends both. Beyond the patch's tip the skin runs on
alone. Small deflections. With a rigid skin it is :func:`panelmend.physics.joint.peel_along`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import splu

from panelmend.errors import InputError
from panelmend.physics.joint.bond import BondAnswer
from panelmend.physics.joint.peel import BeamStep, bending_blocks, foundation_blocks, moment_loads
from panelmend.physics.structure_inputs import Array, NotComputed, positive

DECAYS = 8.0  # lengths of the skin on its core beyond the tip
CELLS = 60  # of the skin beyond the tip


@dataclass(frozen=True, eq=False)
class TipAnswer:
    """``x`` and ``peel`` along the bond, ``along`` and ``pull`` along the skin [m, Pa], tension positive.

    ``most_peel`` and ``most_pull`` are the largest by size [Pa], since the load may act either way.
    """

    x: Array
    peel: Array
    along: Array
    pull: Array
    most_peel: float
    most_pull: float


def peel_on_core(
    answer: BondAnswer,
    strap: Sequence[BeamStep],
    skin: BeamStep,
    core: float,
    *,
    symmetric_start: bool,
) -> TipAnswer | NotComputed:
    """Peel along a bond whose shear is known, and the flatwise pull under it.

    Args:
        answer: the solved bond; its adhesive needs ``E``. Adherend 1 is the strap, adherend 2 the skin.
        strap: one entry a step.
        skin: bending of the skin.
        core: spring of the core under the skin, modulus over depth [N/m3].
        symmetric_start: the bond starts at a symmetry plane of strap and skin; else the skin ends there and
            the strap goes on straight over a filled hole.

    Returns:
        The stresses, or NotComputed when the adhesive's E is not known.

    Raises:
        InputError: a number of entries that is not the number of steps; a spring that is not positive.
    """
    adhesive = answer.bond.adhesive
    if adhesive.E is None:
        return NotComputed(f"{adhesive.name} has no modulus across the layer, so there is no peel")
    if len(strap) != len(answer.bond.steps):
        raise InputError("beam steps", read=str(len(strap)), expected=f"{len(answer.bond.steps)}, one a step")
    positive(core, "core spring", "N/m3")
    x, counts = answer.x, np.diff(np.array(answer.first))
    n = len(x)
    reach = DECAYS * (4.0 * skin.D / core) ** 0.25
    # graded from the bond's last cell outwards
    more = x[-1] + reach * (np.expm1(np.linspace(0.0, 5.0, CELLS + 1)[1:]) / np.expm1(5.0))
    along = np.concatenate([x, more])
    h1, h2, m = np.diff(x), np.diff(along), len(along)
    D1, e1 = (np.repeat([getattr(b, k) for b in strap], counts) for k in ("D", "thickness"))
    spring = adhesive.E / adhesive.t
    size = 2 * (n + m)
    one = np.arange(n - 1)[:, None] * 2 + np.arange(4)[None, :]
    two = 2 * n + np.arange(m - 1)[:, None] * 2 + np.arange(4)[None, :]
    under = two[: n - 1]
    glue = foundation_blocks(h1) * spring
    entries = [
        (bending_blocks(h1) * D1[:, None, None] + glue, one, one),
        (-glue, one, under),
        (-glue, under, one),
        (glue, under, under),
        (bending_blocks(h2) * skin.D + foundation_blocks(h2) * core, two, two),
    ]
    rows, cols, data = [], [], []
    for block, i, j in entries:
        rows.append(np.broadcast_to(i[:, :, None], block.shape).ravel())
        cols.append(np.broadcast_to(j[:, None, :], block.shape).ravel())
        data.append(block.ravel())
    matrix = coo_matrix(
        (np.concatenate(data), (np.concatenate(rows), np.concatenate(cols))), shape=(size, size)
    ).tocsc()
    load = np.zeros(size)
    _eccentric(load, one, h1, e1 / 2, answer.T1)
    pulled = np.concatenate([answer.T2, np.full(m - n, answer.T2[-1])])
    # the skin's bonded face is its upper one: the same shear bends it the same way
    _eccentric(load, two, h2, np.full(m - 1, -skin.thickness / 2), pulled)
    held = [1, 2 * n + 1] if symmetric_start else [1]
    keep = np.setdiff1d(np.arange(size), held)
    w = np.zeros(size)
    w[keep] = splu(matrix[keep][:, keep]).solve(load[keep])
    peel = spring * (w[0 : 2 * n : 2] - w[2 * n : 4 * n : 2])
    pull = core * w[2 * n :: 2]
    return TipAnswer(x, peel, along, pull, float(abs(peel).max()), float(abs(pull).max()))


def _eccentric(load: Array, dof: np.ndarray, h: Array, e: Array, T: Array) -> None:
    """Add what the change of an axial load off the middle does to bending; the ends' own moments cancel."""
    np.add.at(load, dof, moment_loads(h, e * T[:-1], e * T[1:]))
    load[dof[0, 1]] += e[0] * T[0]
    load[dof[-1, 3]] -= e[-1] * T[-1]
