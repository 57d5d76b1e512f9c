"""Glass transition of a resin as it cures (DiBenedetto)."""

from __future__ import annotations

from panelmend.errors import InputError


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
    if not 0.0 <= degree <= 1.0:
        raise InputError("a degree of cure lies between 0 and 1", read=f"{degree:g}")
    if not 0.0 < uncured < cured:
        raise InputError(
            "the cured glass transition must lie above the uncured one, both in kelvin",
            read=f"{uncured:g} K, {cured:g} K",
        )
    if not 0.0 < shape <= 1.0:
        raise InputError("lambda lies between 0 and 1", read=f"{shape:g}")
    return uncured + (cured - uncured) * shape * degree / (1.0 - (1.0 - shape) * degree)
