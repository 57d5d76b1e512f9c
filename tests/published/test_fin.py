"""Straight fins against worked examples of general texts."""

from __future__ import annotations

import math

import pytest

from panelmend.physics.fin import fin_conductance, fin_parameter
from printed_values import Seen, Source, printed

HOLMAN = Source("J. P. Holman, Heat Transfer, 9th ed.", Seen.MEMORY)
INCROPERA = Source("F. P. Incropera, D. P. DeWitt, Fundamentals of Heat and Mass Transfer", Seen.MEMORY)


def test_aluminium_fin_on_a_wall() -> None:
    # k 200, 3 mm thick, 75 mm high, h 10, 250 K above the air; the bare tip by half the thickness
    drawn = fin_conductance(10.0, 200.0, 3e-3, 75e-3 + 1.5e-3)
    parameter = fin_parameter(10.0, 200.0, 3e-3)
    assert parameter == printed(5.774, source=HOLMAN, place="example 2-8, m [1/m]", within=5e-4)
    assert 250.0 * drawn == printed(359.0, source=HOLMAN, place="example 2-8, heat [W/m]", within=0.5)


@pytest.mark.parametrize(("k", "watts"), [(398.0, 8.3), (180.0, 5.6), (14.0, 1.6)])
def test_endless_rods(k: float, watts: float) -> None:
    # A rod of diameter d has the rim and section of a web d/2 thick and pi d/2 long: 5 mm, h 100, 75 K
    d = 5e-3
    drawn = fin_conductance(100.0, k, d / 2, None) * math.pi * d / 2
    assert 75.0 * drawn == printed(
        watts, source=INCROPERA, place=f"example 3.9, heat with k {k:g} [W]", within=0.05
    )
