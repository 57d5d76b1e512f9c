"""Two faces on a core: A, B, D and transverse shear stiffness about a chosen reference plane.

The core carries no in-plane load. Transverse shear stiffness is G d^2/tc with d between the faces' middles
(Allen, Analysis and Design of Structural Sandwich Panels, 1969, ch. 2), never 5/6 of G h.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from panelmend.physics.laminate.response import Response, strained
from panelmend.physics.laminate.stack import Laminate, hygrothermal_loads
from panelmend.physics.sandwich.core import SandwichCore
from panelmend.physics.structure_inputs import Array, angle, finite, positive


@dataclass(frozen=True, eq=False)
class Sandwich:
    """A sandwich: ``lower`` face (smaller z), ``core`` of thickness ``tc`` [m] with its ribbon at ``ribbon``
    [rad] from x, ``upper`` face; z = 0 in the middle of the core unless ``shift`` [m] moves the core up.
    """

    lower: Laminate
    core: SandwichCore
    tc: float
    upper: Laminate
    ribbon: float = 0.0
    shift: float = 0.0

    def __post_init__(self) -> None:
        positive(self.tc, "core thickness", "m")
        angle(self.ribbon, "ribbon angle")
        finite(self.shift, "shift", "m")

    @property
    def h(self) -> float:
        """Whole thickness [m]."""
        return self.lower.h + self.tc + self.upper.h

    @property
    def d(self) -> float:
        """Distance between the faces' middles [m]."""
        return self.tc + (self.lower.h + self.upper.h) / 2.0

    @property
    def z_lower(self) -> float:
        """Middle of the lower face [m]."""
        return self.shift - (self.tc + self.lower.h) / 2.0

    @property
    def z_upper(self) -> float:
        """Middle of the upper face [m]."""
        return self.shift + (self.tc + self.upper.h) / 2.0

    def stiffness(self) -> tuple[Array, Array, Array]:
        """A [N/m], B [N], D [N m], each (3, 3), about z = 0."""
        a, b, d = np.zeros((3, 3)), np.zeros((3, 3)), np.zeros((3, 3))
        for face, z in self._faces():
            a = a + face.A
            b = b + face.B + z * face.A
            d = d + face.D + 2 * z * face.B + z * z * face.A
        return a, b, d

    def shear_stiffness(self) -> Array:
        """Transverse shear stiffness [N/m], shape (2, 2) for xz and yz: G d^2/tc, turned by the ribbon."""
        return self.core.shear_moduli(self.ribbon) * (self.d**2 / self.tc)

    def thermal(self, dT_lower: float = 0.0, dT_upper: float = 0.0) -> tuple[Array, Array]:
        """N [N/m] and M [N], each (3,), that would hold the faces' free expansion for dT [K] of each face."""
        n, m = np.zeros(3), np.zeros(3)
        for (face, z), hot in zip(self._faces(), (dT_lower, dT_upper), strict=True):
            fn, fm = hygrothermal_loads(face, hot)
            n = n + fn
            m = m + fm + z * fn
        return n, m

    def face_responses(
        self, eps0: Array, kappa: Array, dT_lower: float = 0.0, dT_upper: float = 0.0
    ) -> tuple[Response, Response]:
        """Ply stresses of the lower and upper face for eps0 [1] and kappa [1/m] at z = 0, dT [K] a face."""
        lower = strained(self.lower, eps0 + self.z_lower * kappa, kappa, dT_lower)
        upper = strained(self.upper, eps0 + self.z_upper * kappa, kappa, dT_upper)
        return lower, upper

    def _faces(self) -> tuple[tuple[Laminate, float], tuple[Laminate, float]]:
        return (self.lower, self.z_lower), (self.upper, self.z_upper)


def state(section: Sandwich, N: Array, M: Array) -> tuple[Array, Array]:
    """Strain eps0 [1] and curvature kappa [1/m], each (3,), under running loads N [N/m] and moments M [N]."""
    a, b, d = section.stiffness()
    both = np.linalg.solve(np.block([[a, b], [b, d]]), np.concatenate([N, M]))
    return both[:3], both[3:]
