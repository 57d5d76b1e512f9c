"""Glass transition of a resin as it cures (DiBenedetto)."""

from __future__ import annotations

from panelmend.errors import InputError, RangeError


def glass_transition(degree: float, uncured: float, cured: float, shape: float) -> float:
    """Glass transition temperature at a degree of cure.

    Args:
        degree: of cure, 0 to 1 [-].
        uncured: glass transition of the uncured resin [K].
        cured: of the fully cured resin [K].
        shape: lambda, between 0 and 1 [-].

    Returns:
        [K].

    Raises:
        InputError: a constant that makes no resin.

    Source: DiBenedetto, J. Polym. Sci. B 25 (1987) 1949, in the form of Pascault and Williams 1990:
    (Tg - Tg0)/(Tg1 - Tg0) = lambda a / (1 - (1 - lambda) a).
    """
    _check(degree, uncured, cured, shape)
    return uncured + (cured - uncured) * shape * degree / (1.0 - (1.0 - shape) * degree)


def degree_for(transition: float, uncured: float, cured: float, shape: float) -> float:
    """Degree of cure at which the glass transition has risen to a temperature (where cure stalls).

    Args:
        transition: [K].
        uncured: glass transition of the uncured resin [K].
        cured: of the fully cured resin [K].
        shape: lambda [-].

    Returns:
        [-].

    Raises:
        RangeError: a temperature outside uncured to cured.

    Source: DiBenedetto's form inverted.
    """
    _check(0.0, uncured, cured, shape)
    if not uncured <= transition <= cured:
        raise RangeError(
            f"the glass transition runs from {uncured:g} to {cured:g} K and never is {transition:g} K"
        )
    y = (transition - uncured) / (cured - uncured)
    return y / (shape + (1.0 - shape) * y)


def _check(degree: float, uncured: float, cured: float, shape: float) -> None:
    if not 0.0 <= degree <= 1.0:
        raise InputError("a degree of cure lies between 0 and 1", read=f"{degree:g}")
    if not 0.0 < uncured < cured:
        raise InputError(
            "the cured glass transition must lie above the uncured one, both in kelvin",
            read=f"{uncured:g} K, {cured:g} K",
        )
    if not 0.0 < shape <= 1.0:
        raise InputError("lambda lies between 0 and 1", read=f"{shape:g}")
