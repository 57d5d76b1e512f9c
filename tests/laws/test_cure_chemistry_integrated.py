"""Cure by numbers of our own: nothing here is printed by anybody.

The rate constants are those of W. I. Lee, A. C. Loos, G. S. Springer, J. Composite Materials 16 (1982) 510;
the degrees of cure are an independent integration of them, with the gas constant rounded to 8.314 J/(mol
K), which moves them by up to 4e-4. The glass transitions are A. T. DiBenedetto's formula (J. Polym. Sci. B
25 (1987) 1949) evaluated by hand. The times to 95 % of a latent epoxy, 16.4, 9.2 and 4.2 min at 150, 170
and 200 C, were read second-hand without their publication, and try a helper of the tests
(`cure_shift_oracle`).
"""

from __future__ import annotations

import pytest

import cure_shift_oracle as shift
from panelmend.physics import cure_chemistry as cc


def kelvin(fahrenheit: float) -> float:
    return (fahrenheit + 459.67) / 1.8


LAW = cc.two_stage((2.101e9 / 60, -2.014e9 / 60, 1.960e5 / 60), (8.07e4, 7.78e4, 5.66e4), 0.47, 0.3)


@pytest.mark.parametrize(
    ("fahrenheit", "minutes", "degree"),
    [(350, 10, 0.5289), (350, 30, 0.8348), (350, 60, 0.9657), (250, 60, 0.3125)],
)
def test_lee_loos_springer(fahrenheit: float, minutes: float, degree: float) -> None:
    t = kelvin(fahrenheit)
    assert cc.integrate(LAW, (0.0, 60.0 * minutes), (t, t)).degree[-1] == pytest.approx(degree, abs=4e-4)


def test_order_one_and_a_half_closed_form() -> None:
    # n = 1.5, k = 1e-3 1/s, 1,000 s: 1 - (1 + 0.5 k t)^-2 = 0.5555556
    energy, t = 6e4, 400.0
    law = cc.n_order(1e-3 * 2.718281828459045 ** (energy / 8.314462618 / t), energy, 1.5)
    assert cc.integrate(law, (0.0, 1000.0), (t, t)).degree[-1] == pytest.approx(0.5555556, abs=2e-7)


def test_latent_epoxy_times() -> None:
    energy = shift.activation_energy(16.4, 423.15, 4.2, 473.15)
    assert energy == pytest.approx(45.35e3, abs=5.0)
    middle = shift.equivalent_time(16.4, 423.15, 443.15, energy)
    assert middle == pytest.approx(9.17, abs=0.005)
    assert middle == pytest.approx(9.2, rel=0.01)  # measured


@pytest.mark.parametrize(("degree", "celsius"), [(0.5, 105.62), (0.8, 187.62), (0.9, 217.96)])
def test_dibenedetto(degree: float, celsius: float) -> None:
    t = cc.glass_transition(degree, -7.0 + 273.15, 250.0 + 273.15, 0.78)
    assert t - 273.15 == pytest.approx(celsius, abs=0.006)
