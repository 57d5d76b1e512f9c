"""A stack of plies: A, B, D, hygrothermal loads, effective moduli.

z runs from the mid-plane; the first ply listed lies at z = -h/2. Jones, Mechanics of Composite Materials,
2nd ed., ch. 4; Kaw, Mechanics of Composite Materials, 2nd ed., ch. 4.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from panelmend.errors import InputError
from panelmend.physics.laminate.lamina import Lamina, turned_expansion, turned_stiffness
from panelmend.physics.structure_inputs import Array, angle, positive


@dataclass(frozen=True)
class LaminatePly:
    """One ply: ``lamina``, ``theta`` of its 1 axis from x [rad], ``thickness`` [m]."""

    lamina: Lamina
    theta: float
    thickness: float

    def __post_init__(self) -> None:
        angle(self.theta, f"{self.lamina.name}: ply angle")
        positive(self.thickness, f"{self.lamina.name}: ply thickness", "m")


@dataclass(frozen=True, eq=False)
class Laminate:
    """Stiffness of a stack.

    ``plies``; ``z`` [m] the n + 1 ply faces from the mid-plane; ``Qbar`` [Pa] shape (n, 3, 3); ``A`` [N/m],
    ``B`` [N], ``D`` [N m], each (3, 3); ``compliance`` the inverse of [[A, B], [B, D]], shape (6, 6).
    """

    plies: tuple[LaminatePly, ...]
    z: Array
    Qbar: Array
    A: Array
    B: Array
    D: Array
    compliance: Array

    @property
    def h(self) -> float:
        """Thickness [m]."""
        return float(self.z[-1] - self.z[0])


def laminate(plies: Sequence[LaminatePly]) -> Laminate:
    """Classical lamination of ``plies`` listed from z = -h/2 up.

    Raises:
        InputError: no plies.
    """
    if not plies:
        raise InputError("a laminate without plies", expected="at least one ply")
    t = np.array([p.thickness for p in plies])
    z = np.concatenate([[0.0], np.cumsum(t)]) - t.sum() / 2.0
    q = np.stack([turned_stiffness(p.lamina, p.theta) for p in plies])
    a = np.einsum("k,kij->ij", z[1:] - z[:-1], q)
    b = np.einsum("k,kij->ij", (z[1:] ** 2 - z[:-1] ** 2) / 2.0, q)
    d = np.einsum("k,kij->ij", (z[1:] ** 3 - z[:-1] ** 3) / 3.0, q)
    return Laminate(tuple(plies), z, q, a, b, d, _inverse(a, b, d))


def _inverse(a: Array, b: Array, d: Array) -> Array:
    """Inverse of [[A, B], [B, D]] by blocks, so that thin laminates do not lose digits."""
    ai = np.linalg.inv(a)
    dstar = np.linalg.inv(d - b @ ai @ b)
    upper = -ai @ b @ dstar
    return np.block([[ai + ai @ b @ dstar @ b @ ai, upper], [upper.T, dstar]])


def hygrothermal_loads(
    lam: Laminate, dT: float | Array = 0.0, dm: float | Array = 0.0
) -> tuple[Array, Array]:
    """Running loads and moments that would hold free expansion back.

    Args:
        lam: the laminate.
        dT: temperature change [K], one number or shape (n,).
        dm: moisture taken up [1], mass fraction, one number or shape (n,).

    Returns:
        N [N/m] shape (3,) and M [N] shape (3,) (Kaw section 4.5).
    """
    free = free_strains(lam, dT, dm)
    push = np.einsum("kij,kj->ki", lam.Qbar, free)
    z = lam.z
    n = np.einsum("k,ki->i", z[1:] - z[:-1], push)
    m = np.einsum("k,ki->i", (z[1:] ** 2 - z[:-1] ** 2) / 2.0, push)
    return n, m


def free_strains(lam: Laminate, dT: float | Array = 0.0, dm: float | Array = 0.0) -> Array:
    """Strain [1], shape (n, 3), that each ply alone would take up in laminate axes for dT [K] and dm [1].

    Raises:
        InputError: a temperature change or moisture that is not finite.
    """
    n = len(lam.plies)
    hot, wet = (np.broadcast_to(np.asarray(v, dtype=float), (n,)) for v in (dT, dm))
    if not (np.isfinite(hot).all() and np.isfinite(wet).all()):
        raise InputError("temperature change and moisture must be finite", read=f"{dT!r}, {dm!r}")
    pairs = [turned_expansion(p.lamina, p.theta) for p in lam.plies]
    return np.stack([a * t + b * m for (a, b), t, m in zip(pairs, hot, wet, strict=True)])


@dataclass(frozen=True)
class Moduli:
    """Engineering constants of a laminate: ``Ex Ey Gxy`` [Pa], ``nuxy nuyx`` [1]."""

    Ex: float
    Ey: float
    Gxy: float
    nuxy: float
    nuyx: float


def effective_moduli(lam: Laminate, *, flat: bool = False) -> Moduli:
    """In-plane engineering constants over the full thickness.

    ``flat`` holds the laminate flat (inverse of A alone), as a face of a sandwich is; otherwise it may
    bend (inverse of the whole ABD). The two agree for a symmetric stack. Kaw section 4.4.
    """
    c = np.linalg.inv(lam.A) if flat else lam.compliance[:3, :3]
    return _moduli(np.asarray(c * lam.h))


def _moduli(c: Array) -> Moduli:
    return Moduli(
        float(1 / c[0, 0]),
        float(1 / c[1, 1]),
        float(1 / c[2, 2]),
        float(-c[0, 1] / c[0, 0]),
        float(-c[0, 1] / c[1, 1]),
    )


def invariants(lamina: Lamina) -> tuple[float, float, float, float, float]:
    """Stiffness invariants U1 to U5 [Pa] (Tsai and Pagano; Jones 2nd ed. section 2.7)."""
    q = lamina.Q()
    q11, q22, q12, q66 = q[0, 0], q[1, 1], q[0, 1], q[2, 2]
    return (
        float((3 * q11 + 3 * q22 + 2 * q12 + 4 * q66) / 8),
        float((q11 - q22) / 2),
        float((q11 + q22 - 2 * q12 - 4 * q66) / 8),
        float((q11 + q22 + 6 * q12 - 4 * q66) / 8),
        float((q11 + q22 - 2 * q12 + 4 * q66) / 8),
    )
