"""Oracle of the tests: stress at an open hole in an orthotropic plate, and inside a patch over an ellipse."""

from __future__ import annotations

import math

import numpy as np

from panelmend.errors import InputError
from panelmend.physics.structure_inputs import Array, finite, positive


def hole_factor(Ex: float, Ey: float, Gxy: float, nuxy: float) -> float:
    """Stress concentration [1] at the side of a circular hole in a wide plate pulled along x.

    Kt = 1 + sqrt(2 (sqrt(Ex/Ey) - nuxy) + Ex/Gxy) (Lekhnitskii, Anisotropic Plates, 1968).

    Args:
        Ex: modulus along the load [Pa].
        Ey: across [Pa].
        Gxy: in-plane shear modulus [Pa].
        nuxy: Poisson's ratio [1] of contraction along y under load along x.

    Raises:
        InputError: constants no material can have.
    """
    return 1.0 + _n(Ex, Ey, Gxy, nuxy)


def _n(Ex: float, Ey: float, Gxy: float, nuxy: float) -> float:
    for value, name in ((Ex, "Ex"), (Ey, "Ey"), (Gxy, "Gxy")):
        positive(value, name, "Pa")
    square = 2.0 * (math.sqrt(Ex / Ey) - finite(nuxy, "nuxy", "1")) + Ex / Gxy
    if nuxy**2 >= Ex / Ey:
        raise InputError("nuxy breaks positive definiteness", read=f"{nuxy:g}", expected="nuxy^2 < Ex/Ey")
    return math.sqrt(square)


def ellipse_factor(Ex: float, Ey: float, Gxy: float, nuxy: float, across: float, along: float) -> float:
    """Stress concentration [1] at the end of an elliptical hole, 1 + n (across/along), load along x.

    For an isotropic plate 1 + 2 across/along (Inglis 1913).

    Args:
        Ex: modulus along the load [Pa].
        Ey: across [Pa].
        Gxy: shear modulus [Pa].
        nuxy: Poisson's ratio [1].
        across: half axis across the load [m].
        along: half axis along the load [m].

    Raises:
        InputError: constants no material can have, an axis that is not positive.
    """
    ratio = positive(across, "half axis across", "m") / positive(along, "half axis along", "m")
    return 1.0 + _n(Ex, Ey, Gxy, nuxy) * ratio


def stress_beside_hole(factor: float, r: Array) -> Array:
    """Stress ratio [1] along the axis through a circular hole's side, at r = x/a [1] of 1 and more.

    Konish and Whitney, J. Composite Materials 9 (1975) 157: isotropic form plus the term in (Kt - 3); a
    close approximation for orthotropic plates, exact for isotropic ones.

    Args:
        factor: Kt of the hole [1].
        r: distance from the hole's centre over its radius [1], any shape.

    Raises:
        InputError: an r below 1 (inside the hole).
    """
    ratio = np.asarray(r, dtype=float)
    if not np.isfinite(ratio).all() or (ratio < 1.0).any():
        raise InputError("points inside the hole", read=f"least r = {np.min(ratio):g}", expected="1 or more")
    q = 1.0 / ratio
    return np.asarray(0.5 * (2 + q**2 + 3 * q**4 - (factor - 3.0) * (5 * q**6 - 7 * q**8)))


def notched_ratio(factor: float, radius: float, d0: float) -> float:
    """Notched over plain strength [1] by the stress at a distance d0 from the hole (point stress criterion).

    Whitney and Nuismer, J. Composite Materials 8 (1974) 253.

    Args:
        factor: Kt of the hole [1].
        radius: hole radius [m].
        d0: characteristic distance of the laminate [m], measured, not computed.

    Raises:
        InputError: radius or distance not positive.
    """
    r = 1.0 + positive(d0, "characteristic distance", "m") / positive(radius, "hole radius", "m")
    return float(1.0 / stress_beside_hole(factor, np.array(r)))


def patched_stress(ratio: float, across: float, along: float) -> float:
    """Stress in the plate under a bonded patch over the far stress [1], for an elliptical patch.

    Rose's inclusion analogy: the patched area acts as an elliptical inclusion of stiffness 1 + S; isotropic
    plate and patch with the same Poisson's ratio of 1/3, tension along x, rigid bond
    (Rose, Int. J. Fracture 18 (1982) 135; Baker, Rose, Jones, Advances in the Bonded Composite Repair of
    Metallic Aircraft Structure, 2002, ch. 7). Limits: 1/(1 + S) for a very wide patch, 1 for a long strip.

    Args:
        ratio: S = patch E t over plate E t [1], zero or more.
        across: half axis across the load [m].
        along: half axis along the load [m].

    Raises:
        InputError: ratio negative or an axis not positive.
    """
    s = finite(ratio, "stiffness ratio", "1")
    if s < 0.0:
        raise InputError("a patch cannot have a negative stiffness", read=f"S = {s:g}")
    aspect = positive(across, "half axis across", "m") / positive(along, "half axis along", "m")
    strain = np.linalg.solve(_inclusion(s, aspect), np.array([1.0, -1.0 / 3.0]))
    # plate stress under the patch from its strain, plane stress, E = 1
    nu = 1.0 / 3.0
    return float((strain[0] + nu * strain[1]) / (1 - nu * nu))


def _inclusion(s: float, aspect: float) -> Array:
    """Eshelby's tensor of an elliptic cylinder in plane stress (nu = 1/3), as I + s S acting on strain.

    Uniform eigenstrain of an ellipse with half axes a along x and b along y; aspect = b/a.
    """
    nu = 1.0 / 3.0
    # plane stress follows from the plane strain tensor with nu replaced by nu/(1 + nu)
    v = nu / (1.0 + nu)
    a, b = 1.0, aspect
    k = 1.0 / (2.0 * (1.0 - v))
    sum2 = (a + b) ** 2
    s11 = k * ((b * b + 2 * a * b) / sum2 + (1 - 2 * v) * b / (a + b))
    s22 = k * ((a * a + 2 * a * b) / sum2 + (1 - 2 * v) * a / (a + b))
    s12 = k * (b * b / sum2 - (1 - 2 * v) * b / (a + b))
    s21 = k * (a * a / sum2 - (1 - 2 * v) * a / (a + b))
    return np.eye(2) + s * np.array([[s11, s12], [s21, s22]])
