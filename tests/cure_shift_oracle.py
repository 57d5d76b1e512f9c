"""Time and temperature against each other: how long at another temperature does the same cure?

A shift is refused beyond 22 K (40 F) unless times were measured on both sides of it, and wherever the resin
turns to glass on the way: below its glass transition cure goes on by diffusion, which no activation energy
describes. The 22 K limit is common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from panelmend.errors import InputError, RangeError
from panelmend.physics.cure_chemistry.laws import GAS

LONGEST_SHIFT = 22.3  # K, 40 F and rounding


def activation_energy(time1: float, temperature1: float, time2: float, temperature2: float) -> float:
    """Activation energy from the times to the same degree of cure at two temperatures.

    Args:
        time1: at the first temperature [s].
        temperature1: [K].
        time2: at the second [s].
        temperature2: [K].

    Returns:
        [J/mol].

    Raises:
        InputError: temperatures alike, or the hotter cure slower.

    Source: Arrhenius: E = R ln(t1/t2) / (1/T1 - 1/T2).
    """
    _positive(time1, temperature1, time2, temperature2)
    if temperature1 == temperature2:
        raise InputError("two different temperatures are needed", read=f"{temperature1:g} K twice")
    energy = GAS * math.log(time1 / time2) / (1.0 / temperature1 - 1.0 / temperature2)
    if energy <= 0.0:
        raise InputError("the hotter cure must be the faster one", read=f"{time1:g} s, {time2:g} s")
    return energy


def equivalent_time(
    time: float,
    temperature: float,
    other: float,
    energy: float,
    *,
    glass_transition: float | None = None,
    measured: tuple[float, float] | None = None,
) -> float:
    """Time at another temperature for the same degree of cure.

    Args:
        time: of the known cure [s].
        temperature: of the known cure [K].
        other: temperature asked for [K].
        energy: activation energy [J/mol].
        glass_transition: of the resin at the degree of cure reached, where known [K].
        measured: lowest and highest temperature with measured times behind the energy [K].

    Returns:
        [s].

    Raises:
        RangeError: a shift too long without data, or across the glass transition.

    Source: t2 = t1 exp(E/R (1/T2 - 1/T1)).
    """
    _positive(time, temperature, other, energy)
    low, high = measured or (temperature, temperature)
    beyond = max(low - other, other - high, 0.0)
    if beyond > LONGEST_SHIFT:
        raise RangeError(
            f"{other:g} K lies {beyond:.1f} K beyond the measured cures; "
            "a shift over 22 K (40 F) needs measured times"
        )
    if glass_transition is not None and other < glass_transition:
        raise RangeError(
            f"at {other:g} K the resin turns to glass first (glass transition {glass_transition:g} K): "
            "no time makes it the same cure"
        )
    return time * math.exp(energy / GAS * (1.0 / other - 1.0 / temperature))


@dataclass(frozen=True)
class EquivalentCure:
    """A temperature history told as time at one temperature."""

    time: float  # equivalent time at the reference temperature [s]
    trusted: float  # of it, collected within the allowed shift [s]


def equivalent_of_history(
    times: Sequence[float],
    temperatures: Sequence[float],
    reference: float,
    energy: float,
    *,
    measured: tuple[float, float] | None = None,
) -> EquivalentCure:
    """Time at a reference temperature that does as much as a whole history.

    What was collected colder than the allowed shift is in ``time``, not in ``trusted``; hotter than allowed
    it is counted at the hottest allowed temperature, so that heat beyond the data earns nothing more.

    Args:
        times: rising [s].
        temperatures: one for each time [K].
        reference: [K].
        energy: activation energy [J/mol].
        measured: lowest and highest temperature with measured times [K].

    Returns:
        equivalent times [s].

    Raises:
        InputError: times that do not rise, or lengths that differ.

    Source: integral of exp(-E/R (1/T - 1/Tref)) dt, three-point Gauss rule between times.
    """
    if len(times) != len(temperatures) or len(times) < 2:
        raise InputError("a history needs as many temperatures as times, two at least", read=f"{len(times)}")
    _positive(reference, energy, *temperatures)
    low, high = measured or (reference, reference)
    total = trusted = 0.0
    for i in range(len(times) - 1):
        length = times[i + 1] - times[i]
        if not length > 0.0:
            raise InputError("times must rise", read=f"{times[i]:g} s then {times[i + 1]:g} s")
        for place, weight in (
            (0.5 - math.sqrt(0.15), 5 / 18),
            (0.5, 8 / 18),
            (0.5 + math.sqrt(0.15), 5 / 18),
        ):
            t = temperatures[i] + place * (temperatures[i + 1] - temperatures[i])
            t = min(t, high + LONGEST_SHIFT)
            part = weight * length * math.exp(-energy / GAS * (1.0 / t - 1.0 / reference))
            total += part
            trusted += part if t >= low - LONGEST_SHIFT else 0.0
    return EquivalentCure(total, trusted)


def _positive(*values: float) -> None:
    for value in values:
        if not (value > 0.0 and math.isfinite(value)):
            raise InputError("times, temperatures in kelvin and energies must be positive", read=f"{value:g}")
