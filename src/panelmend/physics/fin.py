"""A straight rectangular fin: the web of a rib that stands on a skin and gives heat to the air on both sides.

Source: any general text of heat transfer, fin of uniform section with an adiabatic tip; for instance
F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, chapter 3, table 3.4, case B.
"""

from __future__ import annotations

import math

from panelmend.errors import InputError


def fin_parameter(film: float, conductivity: float, thickness: float) -> float:
    """How fast a fin cools along its height: m = sqrt(2 h / (k t)).

    Args:
        film: heat given to the air on each side, radiation included [W/(m2 K)].
        conductivity: along the height [W/(m K)].
        thickness: of the web [m].

    Returns:
        [1/m].

    Raises:
        InputError: a negative film, no conductivity or thickness.

    Source: thin fin (film x thickness / conductivity much below 1), both faces in the same air.
    """
    if not (math.isfinite(film) and film >= 0.0):
        raise InputError("the film coefficient of a fin cannot be negative", read=f"{film:g} W/(m2 K)")
    for name, value, unit in (("conductivity", conductivity, "W/(m K)"), ("thickness", thickness, "m")):
        if not (math.isfinite(value) and value > 0.0):
            raise InputError(f"the {name} of a fin must be positive", read=f"{value:g} {unit}")
    return math.sqrt(2.0 * film / (conductivity * thickness))


def fin_conductance(film: float, conductivity: float, thickness: float, height: float | None) -> float:
    """Heat a fin draws at its foot, for each metre of its length and kelvin above the air.

    sqrt(2 h k t) tanh(m H), with m of :func:`fin_parameter`. The tip gives no heat; for a bare tip lengthen
    the height by half the thickness.

    Args:
        film: heat given to the air on each side, radiation included [W/(m2 K)].
        conductivity: along the height [W/(m K)].
        thickness: of the web [m].
        height: of the web [m]; None for one so high that its tip does not matter.

    Returns:
        [W/(m K)].

    Raises:
        InputError: a negative film or height, no conductivity or thickness.

    Source: as the module.
    """
    m = fin_parameter(film, conductivity, thickness)
    endless = math.sqrt(2.0 * film * conductivity * thickness)
    if height is None:
        return endless
    if not (math.isfinite(height) and height >= 0.0):
        raise InputError("the height of a fin cannot be negative", read=f"{height:g} m")
    return endless * math.tanh(m * height)
