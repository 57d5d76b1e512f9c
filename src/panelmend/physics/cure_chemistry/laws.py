"""Rate laws of cure with their constants; each knows how to pack them for the heat solver."""

from __future__ import annotations

import math
from dataclasses import dataclass

from panelmend.errors import InputError
from panelmend.physics.cure_chemistry.rate import AUTOCATALYTIC, CONSTANTS_LENGTH, N_ORDER, TWO_STAGE, rate
from panelmend.units.fundamental import GAS


@dataclass(frozen=True)
class CutOff:
    """Diffusion control: the rate fades as cure nears a limit that rises with temperature.

    The rate is divided by 1 + exp(C (alpha - alpha_c0 - alpha_cT T)) (Chern and Poehlein 1987).
    """

    sharpness: float  # C [-]
    limit: float  # alpha_c0 [-]
    slope: float  # alpha_cT [1/K]


@dataclass(frozen=True)
class RateLaw:
    """A law of cure. Make one with :func:`n_order`, :func:`autocatalytic`, :func:`two_stage`."""

    name: str
    packed: tuple[float, ...]

    def faster(self, factor: float) -> RateLaw:
        """The same law with every rate times a factor [1]; a cut-off stays where it is."""
        if factor == 1.0:
            return self
        p = list(self.packed)
        for n in (1, 3, 8):
            p[n] *= factor
        return RateLaw(f"{self.name}, times {factor:g}", tuple(p))

    def __call__(self, alpha: float, temperature: float) -> float:
        """Rate [1/s] at a degree of cure [-] and temperature [K]."""
        return rate(self.packed, alpha, temperature)


def n_order(prefactor: float, energy: float, order: float, *, cut_off: CutOff | None = None) -> RateLaw:
    """A exp(-E/RT) (1 - alpha)^n.

    Args:
        prefactor: A [1/s].
        energy: E [J/mol].
        order: n [-].
        cut_off: diffusion control, if any.

    Raises:
        InputError: a constant of the wrong sign or size.

    Source: Kamal 1974 with k2 = 0.
    """
    _check(prefactor=prefactor)
    _energy(energy)
    _order(order)
    return _law(f"n-th order, n = {order:g}", N_ORDER, {1: prefactor, 2: energy / GAS, 6: order}, cut_off)


def autocatalytic(
    prefactor1: float,
    energy1: float,
    prefactor2: float,
    energy2: float,
    m: float,
    n: float,
    *,
    cut_off: CutOff | None = None,
) -> RateLaw:
    """(k1 + k2 alpha^m) (1 - alpha)^n with k = A exp(-E/RT).

    Args:
        prefactor1: A1 [1/s], 0 for none (then cure must start above 0).
        energy1: E1 [J/mol].
        prefactor2: A2 [1/s].
        energy2: E2 [J/mol].
        m: [-].
        n: [-].
        cut_off: diffusion control, if any.

    Raises:
        InputError: a constant of the wrong sign or size.

    Source: Kamal, Polym. Eng. Sci. 14 (1974) 231.
    """
    if prefactor1 < 0.0 or not math.isfinite(prefactor1):
        raise InputError(
            "a rate constant cannot be negative", read=f"A1 = {prefactor1:g} 1/s", expected="zero or more"
        )
    _check(A2=prefactor2)
    _energy(energy1)
    _energy(energy2)
    _order(m)
    _order(n)
    values = {1: prefactor1, 2: energy1 / GAS, 3: prefactor2, 4: energy2 / GAS, 5: m, 6: n}
    return _law(f"autocatalytic, m = {m:g}, n = {n:g}", AUTOCATALYTIC, values, cut_off)


def two_stage(
    prefactors: tuple[float, float, float],
    energies: tuple[float, float, float],
    limit: float,
    switch: float,
    *,
    cut_off: CutOff | None = None,
) -> RateLaw:
    """(k1 + k2 alpha)(1 - alpha)(B - alpha) to a switch, then k3 (1 - alpha). A2 is often negative.

    Args:
        prefactors: A1, A2, A3 [1/s].
        energies: E1, E2, E3 [J/mol].
        limit: B [-].
        switch: degree of cure where the second stage begins [-].
        cut_off: diffusion control, if any.

    Raises:
        InputError: a constant of the wrong sign or size.

    Source: Lee, Loos and Springer, J. Composite Materials 16 (1982) 510.
    """
    _check(A1=prefactors[0], A3=prefactors[2])
    if not math.isfinite(prefactors[1]):
        raise InputError("A2 must be a number", read=f"{prefactors[1]}")
    for energy in energies:
        _energy(energy)
    if not 0.0 < switch < limit <= 1.0:
        raise InputError(
            "the switch must lie below the limit B, both between 0 and 1",
            read=f"switch {switch:g}, B {limit:g}",
            expected=f"B above {switch:g}, at most 1",
        )
    (a1, a2, a3), (e1, e2, e3) = prefactors, (e / GAS for e in energies)
    values = {1: a1, 2: e1, 3: a2, 4: e2, 7: limit, 8: a3, 9: e3, 10: switch}
    return _law("two-stage", TWO_STAGE, values, cut_off)


def from_reference(
    time: float, temperature: float, degree: float, energy: float, order: float = 1.0
) -> RateLaw:
    """The law that reaches a stated degree of cure in a stated time at one temperature.

    A fallback for a resin whose constants nobody gives: one published cure and an activation energy. It is
    only as good as those two, and away from the reference temperature only within a short shift.

    Args:
        time: of the reference cure [s].
        temperature: of the reference cure [K].
        degree: reached then, below 1 [-].
        energy: activation energy [J/mol].
        order: of the reaction taken [-].

    Raises:
        InputError: a value that makes no cure.

    Source: n-th order law solved for its prefactor.
    """
    _check(time=time, temperature=temperature)
    _energy(energy)
    _order(order)
    if not 0.0 < degree < 1.0:
        raise InputError(
            "the degree of cure reached must lie between 0 and 1",
            read=f"{degree:g}",
            expected="such as 0.95: by its law a resin never reaches 1",
        )
    if order == 1.0:
        k = -math.log(1.0 - degree) / time
    else:
        k = ((1.0 - degree) ** (1.0 - order) - 1.0) / ((order - 1.0) * time)
    made = n_order(k * math.exp(energy / (GAS * temperature)), energy, order)
    return RateLaw(f"from a reference cure, n = {order:g}", made.packed)


def _law(name: str, kind: float, values: dict[int, float], cut_off: CutOff | None) -> RateLaw:
    p = [0.0] * CONSTANTS_LENGTH
    p[0] = kind
    for place, value in values.items():
        p[place] = value
    if cut_off is not None:
        _check(sharpness=cut_off.sharpness)
        p[11], p[12], p[13] = cut_off.sharpness, cut_off.limit, cut_off.slope
        name += ", with a diffusion cut-off"
    return RateLaw(name, tuple(p))


def _check(**values: float) -> None:
    for name, value in values.items():
        if not (value > 0.0 and math.isfinite(value)):
            raise InputError(
                f"{name} must be a positive number",
                read=f"{value:g}",
                expected="above zero",
                todo="check the sign and the unit",
            )


def _energy(value: float) -> None:
    if not 1e3 <= value <= 1e6:
        raise InputError(
            "no activation energy of a cure",
            read=f"{value:g} J/mol",
            expected="1e3 to 1e6 J/mol, usually 4e4 to 1.2e5",
            todo="check whether it was given in kJ/mol or cal/mol",
        )


def _order(value: float) -> None:
    if not 0.0 <= value <= 10.0:
        raise InputError(
            "an order of reaction lies between 0 and 10", read=f"{value:g}", expected="usually 0.5 to 3"
        )
