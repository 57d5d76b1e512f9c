"""Straight fins: limits, a balance, a pin worked by a series, the heat solver as a second way.

The steel pin has the data of S. P. Sukhatme, A Textbook on Heat Transfer, example 2.13(b); the temperature
of its tip is worked out here by the power series of cosh. Printed answers stand in
tests/published/test_fin.py.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from panelmend.errors import InputError
from panelmend.physics.fin import fin_conductance, fin_parameter
from panelmend.physics.heat import INSULATED, FaceCover, Grid, HeatLayer, HeatModel, run


def fin_at(film: float, conductivity: float, thickness: float, height: float, above: float) -> float:
    """Share of the foot's rise left `above` it [m]: cosh(m (H - x)) / cosh(m H)."""
    m = fin_parameter(film, conductivity, thickness)
    return math.cosh(m * (height - above)) / math.cosh(m * height)


def test_tip_of_a_steel_pin() -> None:
    # D 3 mm, L 30 mm, k 15, h 10: (m L)^2 = 0.8; cosh = 1 + .8/2 + .8^2/24 + .8^3/720 + ... = 1.427388
    assert 0.03 * fin_parameter(10.0, 15.0, 1.5e-3) == pytest.approx(math.sqrt(0.8), rel=1e-12)
    assert fin_at(10.0, 15.0, 1.5e-3, 0.03, 0.03) == pytest.approx(1 / 1.427388, abs=1e-6)


def test_limits_of_a_fin() -> None:
    h, k, t = 12.0, 120.0, 2e-3
    low = fin_conductance(h, k, t, 1e-4)
    assert low == pytest.approx(2 * h * 1e-4, rel=1e-5), "a very low web is all as warm as its foot"
    assert fin_conductance(h, k, t, 5.0) == pytest.approx(fin_conductance(h, k, t, None), rel=1e-9)
    assert fin_conductance(h, k, t, 0.0) == 0.0
    assert fin_conductance(0.0, k, t, 0.1) == 0.0
    rising = [fin_conductance(h, k, t, x) for x in (0.01, 0.03, 0.1, 0.3)]
    assert rising == sorted(rising)
    # What leaves at the foot is what the faces give off: 2 h times the mean rise times the height
    height = 0.08
    x = (np.arange(4000) + 0.5) / 4000 * height
    mean = float(np.mean([fin_at(h, k, t, height, float(a)) for a in x]))
    assert fin_conductance(h, k, t, height) == pytest.approx(2 * h * mean * height, rel=1e-6)


def test_the_heat_solver_finds_the_same() -> None:
    """The web as a plate in the plane, its foot held 100 K above the air: rise at the tip within 0.05 K."""
    h, k, t, height, n = 15.0, 150.0, 2e-3, 0.10, 100
    grid = Grid(tuple(np.linspace(0.0, height, n + 1)), (0.0, 0.01))
    air = FaceCover(293.15, film=h)
    covers = (air, FaceCover(393.15, film=1e9), INSULATED)
    web = HeatLayer("web", t, k, 0.0, k, 2.4e6)
    model = HeatModel(grid, (web,), 293.15, covers, edges=(1, 2, 2, 2))
    found = run(model, step=5.0, sample=600.0, longest=6000.0)
    rise = found.temperature[0, 0, :] - 293.15
    tip = height - 0.5 * height / n
    for at, value in ((0.5 * height / n, rise[0]), (tip, rise[-1])):
        assert value == pytest.approx(100.0 * fin_at(h, k, t, height, at), abs=0.05)
    drawn = 100.0 * fin_conductance(h, k, t, height)
    assert 2 * h * rise.sum() * height / n == pytest.approx(drawn, rel=1e-3)


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ((-1.0, 100.0, 1e-3, 0.1), "negative"),
        ((10.0, 0.0, 1e-3, 0.1), "conductivity"),
        ((10.0, 100.0, -1e-3, 0.1), "thickness"),
        ((10.0, 100.0, 1e-3, -0.1), "height"),
        ((float("nan"), 100.0, 1e-3, 0.1), "film"),
    ],
)
def test_senseless_fins_are_refused(values: tuple[float, float, float, float], words: str) -> None:
    with pytest.raises(InputError, match=words):
        fin_conductance(*values)
