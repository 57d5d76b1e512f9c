"""How a skin over a disbond rings: the clamped circular plate."""

from __future__ import annotations

import math

from panelmend.errors import RangeError

LAMBDA_SQUARED = 10.2158  # first mode, clamped circular plate: Leissa, NASA SP-160, table 2.1


def clamped_disc_frequency(radius: float, rigidity: float, mass: float) -> float:
    """First natural frequency of a clamped circular plate.

    f = lambda^2 / (2 pi a^2) sqrt(D / (rho h))

    Args:
        radius: of the loose skin [m].
        rigidity: bending stiffness D [N m].
        mass: per area, rho h [kg/m2].

    Returns:
        Frequency [Hz].

    Raises:
        RangeError: a value is not above zero.

    Source: Leissa, Vibration of Plates, NASA SP-160 (1969), section 2.1.1.
    """
    _positive(radius=radius, rigidity=rigidity, mass=mass)
    return LAMBDA_SQUARED / (2.0 * math.pi * radius**2) * math.sqrt(rigidity / mass)


def radius_heard(frequency: float, rigidity: float, mass: float) -> float:
    """Radius of the loose skin that rings at a frequency: the formula turned round.

    Args:
        frequency: heard [Hz].
        rigidity: bending stiffness D [N m].
        mass: per area [kg/m2].

    Returns:
        Radius [m], as if the loose skin were round and clamped; a guide, no measurement.

    Raises:
        RangeError: a value is not above zero.
    """
    _positive(frequency=frequency, rigidity=rigidity, mass=mass)
    return math.sqrt(LAMBDA_SQUARED / (2.0 * math.pi * frequency) * math.sqrt(rigidity / mass))


def plate_rigidity(modulus: float, thickness: float, poisson: float) -> float:
    """Bending stiffness of an isotropic plate, E h^3 / (12 (1 - nu^2)).

    Args:
        modulus: E [Pa].
        thickness: h [m].
        poisson: nu [1].

    Returns:
        D [N m].

    Raises:
        RangeError: modulus or thickness not above zero, or Poisson's ratio outside 0 to 0.5.
    """
    _positive(modulus=modulus, thickness=thickness)
    if not 0.0 <= poisson <= 0.5:
        raise RangeError(f"Poisson's ratio {poisson:g} is outside 0 to 0.5")
    return modulus * thickness**3 / (12.0 * (1.0 - poisson**2))


def _positive(**values: float) -> None:
    for name, value in values.items():
        if not (math.isfinite(value) and value > 0.0):
            raise RangeError(f"{name} must be above zero: {value:g}")
