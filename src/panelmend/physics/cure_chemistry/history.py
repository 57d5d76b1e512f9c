"""Degree of cure along a temperature history."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from panelmend.errors import InputError, SolverError
from panelmend.physics.cure_chemistry.laws import RateLaw

_LARGEST = 0.05  # change of cure a step may try, so that no step jumps over the whole reaction


@dataclass(frozen=True)
class CureHistory:
    """Degree of cure at each time of a temperature history."""

    times: tuple[float, ...]  # [s]
    degree: tuple[float, ...]  # [-]
    error: float  # estimated error of the last value [-]


def integrate(
    law: RateLaw,
    times: Sequence[float],
    temperatures: Sequence[float],
    *,
    start: float = 0.0,
    tolerance: float = 1e-8,
) -> CureHistory:
    """Degree of cure along a history, temperatures straight between the given times.

    Args:
        law: rate law.
        times: rising [s], at least two.
        temperatures: one for each time [K].
        start: degree of cure at the first time [-].
        tolerance: error allowed in each step [-].

    Returns:
        degree at each given time, with the error summed over the steps [-].

    Raises:
        InputError: times that do not rise, a length that differs, a temperature in Celsius by its looks.
        SolverError: a step that cannot be made small enough.

    Source: fourth-order Runge-Kutta, each step repeated as two halves and the difference kept below the
    tolerance.
    """
    if len(times) != len(temperatures) or len(times) < 2:
        raise InputError(
            "a history needs as many temperatures as times, two at least",
            read=f"{len(times)}, {len(temperatures)}",
        )
    if not 0.0 <= start <= 1.0:
        raise InputError("a degree of cure lies between 0 and 1", read=f"{start:g}")
    for value in temperatures:
        if not 200.0 <= value <= 800.0:
            raise InputError("no cure temperature in kelvin", read=f"{value:g} K", expected="200 to 800 K")
    degree, error = [float(start)], 0.0
    for i in range(len(times) - 1):
        length = times[i + 1] - times[i]
        if not length > 0.0:
            raise InputError("times must rise", read=f"{times[i]:g} s then {times[i + 1]:g} s")
        value, missed = _cured_over(law, degree[-1], temperatures[i], temperatures[i + 1], length, tolerance)
        degree.append(value)
        error += missed
    return CureHistory(tuple(float(t) for t in times), tuple(degree), error)


def _cured_over(
    law: RateLaw, alpha: float, first: float, last: float, length: float, tolerance: float
) -> tuple[float, float]:
    """Cure across one straight piece of the history, and the error estimated on the way."""
    done, step, error = 0.0, length, 0.0
    slope = (last - first) / length
    while done < length * (1.0 - 1e-12):
        fastest = max(law(alpha, first), law(alpha, last))
        step = min(step, length - done, _LARGEST / max(fastest, 1e-30))
        one = _runge_kutta(law, alpha, first + slope * done, slope, step)
        half = _runge_kutta(law, alpha, first + slope * done, slope, 0.5 * step)
        two = _runge_kutta(law, half, first + slope * (done + 0.5 * step), slope, 0.5 * step)
        missed = abs(two - one) / 15.0
        if missed > tolerance:
            step *= max(0.2, 0.9 * (tolerance / missed) ** 0.2)
            if step < 1e-9 * length:
                raise SolverError(f"cure cannot be followed at degree {alpha:g}: the rate changes too fast")
            continue
        alpha, done, error = min(max(two, alpha), 1.0), done + step, error + missed
        step *= min(4.0, 0.9 * (tolerance / max(missed, 1e-30)) ** 0.2)
    return alpha, error


def _runge_kutta(law: RateLaw, a: float, temperature: float, slope: float, step: float) -> float:
    middle, end = temperature + 0.5 * slope * step, temperature + slope * step
    k1 = law(a, temperature)
    k2 = law(a + 0.5 * step * k1, middle)
    k3 = law(a + 0.5 * step * k2, middle)
    k4 = law(a + step * k3, end)
    return a + step / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4)
