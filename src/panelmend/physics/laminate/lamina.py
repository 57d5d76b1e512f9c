"""One ply material: elastic constants, expansion, strengths, and its stiffness turned by an angle.

Plane stress, engineering shear strain. Jones, Mechanics of Composite Materials, 2nd ed., ch. 2.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

import numpy as np

from panelmend.errors import InputError
from panelmend.physics.structure_inputs import Array, angle, finite, positive


@dataclass(frozen=True)
class Strengths:
    """Strengths of a lamina [Pa], all as positive numbers; None where nobody measured them.

    ``Xt Xc`` along 1 in tension and compression, ``Yt Yc`` along 2, ``S`` in-plane shear.
    """

    Xt: float | None = None
    Xc: float | None = None
    Yt: float | None = None
    Yc: float | None = None
    S: float | None = None

    def __post_init__(self) -> None:
        _all_positive(self, "strength", "Pa")

    def missing(self) -> tuple[str, ...]:
        """Names of the strengths that are not known."""
        return tuple(f.name for f in fields(self) if getattr(self, f.name) is None)


@dataclass(frozen=True)
class StrainLimits:
    """Failure strains of a lamina [1], all positive; ``e1t e1c e2t e2c`` and engineering shear ``g12``."""

    e1t: float | None = None
    e1c: float | None = None
    e2t: float | None = None
    e2c: float | None = None
    g12: float | None = None

    def __post_init__(self) -> None:
        _all_positive(self, "strain limit", "strain")

    def missing(self) -> tuple[str, ...]:
        """Names of the limits that are not known."""
        return tuple(f.name for f in fields(self) if getattr(self, f.name) is None)


def _all_positive(record: Strengths | StrainLimits, what: str, unit: str) -> None:
    for field in fields(record):
        value = getattr(record, field.name)
        if value is not None:
            positive(value, f"{what} {field.name}", unit)


@dataclass(frozen=True)
class Lamina:
    """An orthotropic ply material in plane stress.

    ``E1 E2 G12`` [Pa], ``nu12`` [1], expansion ``alpha1 alpha2`` [1/K], swelling ``beta1 beta2`` [1 per
    kg water/kg]; ``strengths`` and ``limits`` may be incomplete.

    Raises:
        InputError: a modulus that is not positive, or nu12^2 >= E1/E2 (the ply would give back energy).
    """

    E1: float
    E2: float
    G12: float
    nu12: float
    alpha1: float = 0.0
    alpha2: float = 0.0
    beta1: float = 0.0
    beta2: float = 0.0
    strengths: Strengths = Strengths()
    limits: StrainLimits = StrainLimits()
    name: str = "lamina"

    def __post_init__(self) -> None:
        for key in ("E1", "E2", "G12"):
            positive(getattr(self, key), f"{self.name}: {key}", "Pa")
        for key in ("nu12", "alpha1", "alpha2", "beta1", "beta2"):
            finite(getattr(self, key), f"{self.name}: {key}", "1")
        if self.nu12**2 >= self.E1 / self.E2:
            raise InputError(
                f"{self.name}: nu12 breaks positive definiteness",
                read=f"nu12 = {self.nu12:g} with E1/E2 = {self.E1 / self.E2:g}",
                expected=f"|nu12| below {math.sqrt(self.E1 / self.E2):.4g}",
                todo="check whether nu12 and nu21, or E1 and E2, were exchanged",
            )

    @property
    def nu21(self) -> float:
        """Minor Poisson's ratio [1] by reciprocity, nu12 E2/E1."""
        return self.nu12 * self.E2 / self.E1

    def Q(self) -> Array:
        """Reduced stiffness [Pa], shape (3, 3), in material axes 1, 2, 12 (Jones 2nd ed. section 2.5)."""
        d = 1.0 - self.nu12 * self.nu21
        q12 = self.nu12 * self.E2 / d
        return np.array([[self.E1 / d, q12, 0.0], [q12, self.E2 / d, 0.0], [0.0, 0.0, self.G12]])


def stress_turn(theta: float) -> Array:
    """Matrix [1], shape (3, 3), that takes stresses x, y, xy to material axes of a ply at theta [rad].

    Its transposed inverse takes engineering strains.
    """
    c, s = math.cos(theta), math.sin(theta)
    return np.array([[c * c, s * s, 2 * c * s], [s * s, c * c, -2 * c * s], [-c * s, c * s, c * c - s * s]])


def strain_turn(theta: float) -> Array:
    """Matrix [1], shape (3, 3), that takes engineering strains x, y, xy to material axes at theta [rad]."""
    c, s = math.cos(theta), math.sin(theta)
    return np.array([[c * c, s * s, c * s], [s * s, c * c, -c * s], [-2 * c * s, 2 * c * s, c * c - s * s]])


def turned_stiffness(lamina: Lamina, theta: float) -> Array:
    """Reduced stiffness [Pa], shape (3, 3), in laminate axes of a ply whose 1 axis stands at theta [rad]."""
    turn = strain_turn(angle(theta, "ply angle"))
    return np.asarray(turn.T @ lamina.Q() @ turn)


def turned_expansion(lamina: Lamina, theta: float) -> tuple[Array, Array]:
    """Thermal expansion [1/K] and swelling [1], each shape (3,), in laminate axes of a ply at theta [rad]."""
    back = np.linalg.inv(strain_turn(angle(theta, "ply angle")))
    hot = back @ np.array([lamina.alpha1, lamina.alpha2, 0.0])
    wet = back @ np.array([lamina.beta1, lamina.beta2, 0.0])
    return hot, wet
