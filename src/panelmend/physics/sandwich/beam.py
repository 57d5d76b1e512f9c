"""Sandwich beams of coupon tests: three- and four-point bending.

ASTM D7250/D7250M (stiffness from two tests) and C393/C393M (core shear and facing stress), from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from panelmend.errors import InputError
from panelmend.physics.structure_inputs import not_negative, positive


@dataclass(frozen=True)
class BeamSection:
    """A sandwich beam with equal isotropic faces: face modulus ``E`` [Pa], face ``tf`` [m], core ``tc`` [m],
    core shear modulus ``G`` [Pa] along the beam, width ``b`` [m].
    """

    E: float
    tf: float
    tc: float
    G: float
    b: float

    def __post_init__(self) -> None:
        for key, unit in (("E", "Pa"), ("tf", "m"), ("tc", "m"), ("G", "Pa"), ("b", "m")):
            positive(getattr(self, key), key, unit)

    @property
    def d(self) -> float:
        """Between the faces' middles [m]."""
        return self.tc + self.tf

    @property
    def D(self) -> float:
        """Bending stiffness [N m2], E b (h^3 - tc^3)/12."""
        h = self.tc + 2 * self.tf
        return self.E * self.b * (h**3 - self.tc**3) / 12.0

    @property
    def U(self) -> float:
        """Shear stiffness [N], G b d^2/tc."""
        return self.G * self.b * self.d**2 / self.tc


@dataclass(frozen=True)
class BeamAnswer:
    """Mid-span deflection by ``bending`` and ``shear`` [m]; core ``shear_stress``, ``face_stress`` [Pa]."""

    bending: float
    shear: float
    shear_stress: float
    face_stress: float

    @property
    def deflection(self) -> float:
        """Both together [m]."""
        return self.bending + self.shear


def bend_beam(section: BeamSection, P: float, span: float, load_span: float = 0.0) -> BeamAnswer:
    """A simply supported beam under P split over two load points (one when ``load_span`` is 0).

    Args:
        section: the beam.
        P: whole load [N].
        span: between supports [m].
        load_span: between load points [m].

    Returns:
        Deflection P a (3 L^2 - 4 a^2)/(48 D) + P a/(2 U), a = (L - S)/2; core shear P/(2 b d); face stress
        P a/(2 b d tf).

    Raises:
        InputError: span not positive, or load span not inside it.
    """
    arm = _arm(span, load_span)
    w = P * arm * (3 * span**2 - 4 * arm**2) / (48 * section.D)
    return BeamAnswer(
        w,
        P * arm / (2 * section.U),
        P / (2 * section.b * section.d),
        P * arm / (2 * section.b * section.d * section.tf),
    )


def _arm(span: float, load_span: float) -> float:
    positive(span, "span", "m")
    if not_negative(load_span, "load span", "m") >= span:
        raise InputError(
            "load span not inside the span", read=f"{load_span:g} m", expected=f"below {span:g} m"
        )
    return (span - load_span) / 2.0


@dataclass(frozen=True)
class BeamTest:
    """A measured beam: load ``P`` [N], ``span`` and ``load_span`` [m], mid-span ``deflection`` [m]."""

    P: float
    span: float
    load_span: float
    deflection: float


def stiffness_from_tests(one: BeamTest, two: BeamTest) -> tuple[float, float]:
    """Bending stiffness D [N m2] and shear stiffness U [N] of a beam from two tests (the way of ASTM D7250).

    Raises:
        InputError: tests of the same proportions (nothing to separate), or data that ask for a negative
            stiffness.
    """
    rows, right = [], []
    for test in (one, two):
        positive(test.P, "load", "N")
        positive(test.deflection, "deflection", "m")
        arm = _arm(test.span, test.load_span)
        rows.append([arm * (3 * test.span**2 - 4 * arm**2) / 48.0, arm / 2.0])
        right.append(test.deflection / test.P)
    matrix = np.array(rows)
    scaled = matrix / matrix.max(axis=0)
    if abs(np.linalg.det(scaled)) < 1e-3:
        raise InputError(
            "both tests bend and shear in the same proportion",
            expected="two spans or load spans that differ",
            todo="repeat one test on a longer or shorter span",
        )
    bending, shear = np.linalg.solve(matrix, np.array(right))
    if bending <= 0 or shear <= 0:
        raise InputError(
            "the two tests contradict each other",
            read=f"1/D = {bending:.3g}, 1/U = {shear:.3g}",
            expected="both positive",
            todo="check units, spans and machine compliance",
        )
    return float(1 / bending), float(1 / shear)
