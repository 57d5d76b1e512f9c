"""Failure modes of a sandwich: stresses at which each starts.

Sources: Hoff and Mautner, J. Aeronautical Sciences 12 (1945) 285 (wrinkling on a thick core); Sullins,
Smith, Spier, Manual for structural stability analysis of sandwich plates and shells, NASA CR-1457 (1969)
(honeycomb wrinkling, dimpling, crimping).
"""

from __future__ import annotations

from enum import StrEnum
from typing import assert_never

from panelmend.physics.structure_inputs import finite, positive


class Wrinkling(StrEnum):
    """Which wrinkling formula; "design" ones carry the reduction for waviness found in tests."""

    SOLID_DESIGN = "thick core, design: 0.5 (Ef Ec Gc)^(1/3)"
    SOLID_THEORY = "thick core, theory: 0.9086 (Ef Ec Gc)^(1/3)"
    HONEYCOMB_DESIGN = "honeycomb, design: 0.33 Ef sqrt(Ec tf/(Ef tc))"
    HONEYCOMB_THEORY = "honeycomb, theory: 0.82 Ef sqrt(Ec tf/(Ef tc))"


def wrinkling_stress(form: Wrinkling, Ef: float, Ec: float, Gc: float, tf: float, tc: float) -> float:
    """Face stress at wrinkling [Pa].

    Args:
        form: which formula.
        Ef: face modulus along the compression [Pa].
        Ec: core modulus through the thickness [Pa].
        Gc: core shear modulus in the plane of the wave [Pa]; only the thick-core forms use it.
        tf: face thickness [m]; only the honeycomb forms use it.
        tc: core thickness [m]; only the honeycomb forms use it.

    Raises:
        InputError: a value that is not positive.
    """
    for value, name, unit in (
        (Ef, "face modulus", "Pa"),
        (Ec, "core modulus Ez", "Pa"),
        (Gc, "core shear modulus", "Pa"),
        (tf, "face thickness", "m"),
        (tc, "core thickness", "m"),
    ):
        positive(value, name, unit)
    if form is Wrinkling.SOLID_DESIGN:
        return float(0.5 * (Ef * Ec * Gc) ** (1.0 / 3.0))
    if form is Wrinkling.SOLID_THEORY:
        return float(0.9086 * (Ef * Ec * Gc) ** (1.0 / 3.0))
    if form is Wrinkling.HONEYCOMB_DESIGN:
        factor = 0.33
    elif form is Wrinkling.HONEYCOMB_THEORY:
        factor = 0.82
    else:
        assert_never(form)
    return float(factor * Ef * (Ec * tf / (Ef * tc)) ** 0.5)


def dimpling_stress(Ef: float, nu: float, tf: float, cell: float) -> float:
    """Face stress at which the face buckles into the cells [Pa]: 2 Ef/(1 - nu^2) (tf/s)^2 (NASA CR-1457).

    Args:
        Ef: face modulus [Pa]; for an orthotropic face sqrt(Ex Ey) is usual.
        nu: Poisson's ratio [1]; for an orthotropic face sqrt(nuxy nuyx); 0 leaves the term out.
        tf: face thickness [m].
        cell: cell size across flats [m].

    Raises:
        InputError: values not positive, |nu| of 1 or more.
    """
    positive(Ef, "face modulus", "Pa")
    positive(tf, "face thickness", "m")
    positive(cell, "cell size", "m")
    positive(1.0 - finite(nu, "Poisson's ratio", "1") ** 2, "1 - nu^2", "1")
    return 2.0 * Ef / (1.0 - nu * nu) * (tf / cell) ** 2


def crimping_load(Gc: float, d: float, tc: float) -> float:
    """Running load at shear crimping [N/m]: G d^2/tc (NASA CR-1457).

    Args:
        Gc: core shear modulus in the plane of the load [Pa].
        d: distance between the faces' middles [m].
        tc: core thickness [m].

    Raises:
        InputError: a value that is not positive.
    """
    return positive(Gc, "core shear modulus", "Pa") * positive(d, "d", "m") ** 2 / positive(tc, "tc", "m")


def bending_crush(M: float, D: float, d: float) -> float:
    """Flatwise compression of the core [Pa] that bending itself makes: M^2/(D d).

    Each face carries M/d and is curved by M/D; their pull presses on the core (equilibrium of a curved
    face; Zenkert, An Introduction to Sandwich Construction, from memory).

    Args:
        M: running moment [N].
        D: bending stiffness [N m].
        d: distance between the faces' middles [m].

    Raises:
        InputError: D or d not positive.
    """
    return finite(M, "M", "N") ** 2 / (positive(D, "D", "N m") * positive(d, "d", "m"))
