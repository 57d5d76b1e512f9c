"""Strains and stresses of each ply under running loads, moments, temperature and moisture."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from panelmend.errors import InputError
from panelmend.physics.laminate.lamina import strain_turn, stress_turn
from panelmend.physics.laminate.stack import Laminate, free_strains, hygrothermal_loads
from panelmend.physics.structure_inputs import Array

PLY_PLACES = ("bottom", "middle", "top")


@dataclass(frozen=True, eq=False)
class PlyField:
    """Ply stresses and strains, each shape (n plies, 3 places, 3 components).

    Places are the ply's bottom (lower z), middle and top. ``strain`` [1] is the whole strain in laminate
    axes; ``stress`` [Pa] in laminate axes; ``local_stress`` [Pa] and ``local_strain`` [1] in material axes,
    the latter without free expansion (what the strength limits are measured on).
    """

    strain: Array
    stress: Array
    local_strain: Array
    local_stress: Array


@dataclass(frozen=True, eq=False)
class Response:
    """Mid-plane strain ``eps0`` [1] (3,), curvature ``kappa`` [1/m] (3,) and the ``plies``."""

    eps0: Array
    kappa: Array
    plies: PlyField


def response(
    lam: Laminate,
    N: ArrayLike = (0.0, 0.0, 0.0),
    M: ArrayLike = (0.0, 0.0, 0.0),
    dT: float | Array = 0.0,
    dm: float | Array = 0.0,
) -> Response:
    """Answer of a laminate to loads.

    Args:
        lam: the laminate.
        N: running loads x, y, xy [N/m].
        M: running moments [N].
        dT: temperature change from the stress-free state [K], one number or one a ply.
        dm: moisture taken up [1], one number or one a ply.

    Returns:
        Mid-plane strains, curvatures and ply stresses (Kaw 2nd ed. section 4.3 and 4.5).

    Raises:
        InputError: loads that are not three finite numbers.
    """
    n, m = _three(N, "N"), _three(M, "M")
    nt, mt = hygrothermal_loads(lam, dT, dm)
    state = lam.compliance @ np.concatenate([n + nt, m + mt])
    return strained(lam, state[:3], state[3:], dT, dm)


def strained(
    lam: Laminate, eps0: Array, kappa: Array, dT: float | Array = 0.0, dm: float | Array = 0.0
) -> Response:
    """As :func:`response`, from a known mid-plane strain [1] and curvature [1/m]."""
    z = np.stack([lam.z[:-1], (lam.z[:-1] + lam.z[1:]) / 2.0, lam.z[1:]], axis=1)
    strain = eps0 + z[..., None] * kappa
    held = strain - free_strains(lam, dT, dm)[:, None, :]
    stress = np.einsum("kij,kpj->kpi", lam.Qbar, held)
    turn_e = np.stack([strain_turn(p.theta) for p in lam.plies])
    turn_s = np.stack([stress_turn(p.theta) for p in lam.plies])
    local_strain = np.einsum("kij,kpj->kpi", turn_e, held)
    local_stress = np.einsum("kij,kpj->kpi", turn_s, stress)
    return Response(eps0, kappa, PlyField(strain, stress, local_strain, local_stress))


def _three(values: ArrayLike, name: str) -> Array:
    array = np.asarray(values, dtype=float)
    if array.shape != (3,) or not np.isfinite(array).all():
        raise InputError(f"{name} must be three finite numbers (x, y, xy)", read=repr(values)[:60])
    return array
