"""Reserves of a sandwich over a whole field of running loads at once: where each mode is worst.

The same formulas as :func:`panelmend.physics.sandwich.check_section`, in arrays; what is printed is computed
again by that function at the place found here.
"""

from __future__ import annotations

import numpy as np

from panelmend.errors import InputError
from panelmend.physics.laminate.failure import Criterion, max_stress, tsai_wu
from panelmend.physics.laminate.lamina import strain_turn
from panelmend.physics.laminate.stack import Laminate, effective_moduli
from panelmend.physics.sandwich.modes import dimpling_stress
from panelmend.physics.sandwich.section import Sandwich
from panelmend.physics.structure_inputs import Array, NotComputed

MODES = 9  # face strength, wrinkling, dimpling of each face; crimping, core shear, flatwise


def mode_fields(
    section: Sandwich,
    N: Array,
    M: Array,
    Q: Array,
    pressure: float = 0.0,
    *,
    criterion: Criterion = Criterion.TSAI_WU,
) -> Array:
    """Reserve [1] of each mode at each place, shape (9, n), in the order of ``check_section``.

    Args:
        section: the sandwich.
        N: running loads [N/m], shape (n, 3).
        M: running moments [N], shape (n, 3).
        Q: transverse shear [N/m], shape (n, 2).
        pressure: flatwise pressure on the core [Pa], compression positive.
        criterion: maximum stress or Tsai-Wu for the faces.

    Returns:
        Reserves; infinite where nothing acts or a property is missing (``check_section`` says why).
    """
    a, b, d = section.stiffness()
    both = np.linalg.solve(np.block([[a, b], [b, d]]), np.concatenate([N, M], axis=1).T).T
    eps0, kappa = both[:, :3], both[:, 3:]
    found = np.full((MODES, len(N)), np.inf)
    core = section.core
    for k, (face, z) in enumerate(((section.lower, section.z_lower), (section.upper, section.z_upper))):
        found[3 * k] = _face_reserve(face, eps0 + z * kappa, kappa, criterion)
        run = (eps0 + z * kappa) @ face.A.T + kappa @ face.B.T
        push, theta = _compression(run)
        with np.errstate(divide="ignore"):
            along = _moduli(face, theta)
            if core.Ez is not None:
                # honeycomb, design: the form that check_section takes by default
                limit = 0.33 * along * np.sqrt(core.Ez * face.h / (along * section.tc))
                found[3 * k + 1] = limit * face.h / push
            if core.cell is not None:
                m = effective_moduli(face, flat=True)
                nu = float(np.sqrt(max(0.0, m.nuxy * m.nuyx)))
                limit_d = dimpling_stress(float(np.sqrt(m.Ex * m.Ey)), nu, face.h, core.cell)
                found[3 * k + 2] = limit_d * face.h / push
    with np.errstate(divide="ignore"):
        push, theta = _compression(N)
        turn = section.ribbon - theta
        g = core.GL * np.cos(turn) ** 2 + core.GW * np.sin(turn) ** 2
        found[6] = g * section.d**2 / section.tc / push
        if core.FL is not None and core.FW is not None:
            c, s = np.cos(section.ribbon), np.sin(section.ribbon)
            along_q, across_q = Q[:, 0] * c + Q[:, 1] * s, -Q[:, 0] * s + Q[:, 1] * c
            found[7] = section.d / np.hypot(along_q / core.FL, across_q / core.FW)
        if core.Fc is not None:
            own = M[:, 0] ** 2 / (d[0, 0] * section.d) + M[:, 1] ** 2 / (d[1, 1] * section.d)
            p = max(0.0, pressure)
            found[8] = 2.0 * core.Fc / (p + np.sqrt(p * p + 4.0 * own * core.Fc))
    return found


def _face_reserve(face: Laminate, eps0: Array, kappa: Array, criterion: Criterion) -> Array:
    """Least reserve over the plies and their places, shape (n,)."""
    rules = {Criterion.MAX_STRESS: max_stress, Criterion.TSAI_WU: tsai_wu}
    if criterion not in rules:
        raise InputError(
            "this criterion is not worked out over a field of points",
            read=criterion.value,
            expected=" or ".join(c.value for c in rules),
        )
    rule = rules[criterion]
    least = np.full(len(eps0), np.inf)
    for ply, low, high in zip(face.plies, face.z[:-1], face.z[1:], strict=True):
        turn = ply.lamina.Q() @ strain_turn(ply.theta)
        for z in (low, 0.5 * (low + high), high):
            rows = rule((eps0 + z * kappa) @ turn.T, ply.lamina.strengths)
            if isinstance(rows, NotComputed):
                return np.full(len(eps0), np.inf)
            least = np.minimum(least, rows)
    return least


def _compression(run: Array) -> tuple[Array, Array]:
    """Largest compression, positive, and its direction [rad], each (n,)."""
    mean, half = (run[:, 0] + run[:, 1]) / 2, (run[:, 0] - run[:, 1]) / 2
    push = np.maximum(0.0, np.hypot(half, run[:, 2]) - mean)
    return push, 0.5 * np.arctan2(run[:, 2], half) + np.pi / 2


def _moduli(face: Laminate, theta: Array) -> Array:
    """Modulus [Pa] of a face held flat along each direction [rad]."""
    m = np.linalg.inv(face.A) * face.h
    c, s = np.cos(theta), np.sin(theta)
    v = np.stack([c * c, s * s, s * c], axis=-1)
    return np.asarray(1.0 / np.einsum("ni,ij,nj->n", v, m, v))
