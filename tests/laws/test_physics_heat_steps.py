"""Water, resin and faces of the heat solver, one step by hand."""

from __future__ import annotations

import numpy as np
import pytest

from panelmend.errors import InputError
from panelmend.physics.heat import FaceCover, Grid, HeatLayer, HeatModel, run
from panelmend.physics.heat.assemble import faces, full, solid
from panelmend.physics.heat.kernel import LEAST_CURE_RISE, _boil, _cure

LATENT = np.linspace(2.5e6, 2.0e6, 230)  # [J/kg], falling by 2183 a kelvin
STEAM = np.array([np.full(230, 0.5), LATENT])


def boiled(t: float, water: float, sealed: bool, vapour: float = 0.0) -> tuple[float, float, float, float]:
    """Temperature [K], water and vapour [kg] after, and heat taken [J], of a cell of 200 J/K that boils at
    350.5 K: 2.3312e6 J/kg there."""
    T, C = np.full((1, 1, 1), t), np.full((1, 1, 1), 200.0)
    wet, steam = np.array([water]), np.array([vapour])
    taken = _boil(
        T, C, np.zeros(1, np.int64), np.array([1e-3]), wet, steam, STEAM, np.array([273.15, 1.0]),
        np.array([sealed]), 350.5,
    )  # fmt: skip
    return float(T[0, 0, 0]), float(wet[0]), float(steam[0]), float(taken)


def test_an_open_cell_boils_off_what_its_heat_allows() -> None:
    """10 K too hot, 200 J/K: 2000 J boil off 2000 / L, and the cell is back at its boiling temperature."""
    latent = LATENT[77]
    t, water, vapour, taken = boiled(360.5, 0.01, sealed=False)
    assert (t, taken) == (pytest.approx(350.5), pytest.approx(2000.0))
    assert (0.01 - water, vapour) == (pytest.approx(2000.0 / latent), pytest.approx(2000.0 / latent))
    few = 1e-4  # [kg] less than the heat would boil off: all of it goes
    t, water, vapour, taken = boiled(360.5, few, sealed=False)
    assert (water, vapour, taken) == (0.0, few, pytest.approx(few * latent))
    assert t == pytest.approx(360.5 - few * latent / 200.0)
    assert boiled(350.5, 0.01, sealed=False) == (350.5, 0.01, 0.0, 0.0)


def test_a_sealed_cell_keeps_its_vapour_saturated() -> None:
    """0.5 kg/m3 at every temperature in a litre is half a gram: so much evaporates, by its own heat."""
    t, water, vapour, taken = boiled(300.15, 0.01, sealed=True)
    assert vapour == pytest.approx(5e-4)
    assert water == pytest.approx(0.01 - 5e-4)
    fall = 300.15 - t
    assert taken == pytest.approx(200.0 * fall)
    assert fall == pytest.approx(5e-4 * (2.5e6 - (t - 273.15) * 5e5 / 229.0) / 200.0, rel=1e-3)
    assert boiled(300.15, 0.01, sealed=True, vapour=5e-4) == (300.15, 0.01, 5e-4, 0.0)
    assert boiled(300.15, 1e-4, sealed=True)[1:3] == (0.0, pytest.approx(1e-4))


RATE = 0.01  # [1/s] at any temperature


def cured(alpha: float, pace: float, joules: float, heat: float) -> tuple[float, float, float, float]:
    """Degree and rate after 10 s of first-order cure, heat given [J] and the rise of its own layer [K]."""
    degree, rate, totals = np.array([alpha]), np.array([pace]), np.zeros(5)
    T, C, q = np.full((1, 1, 1), 350.0), np.full((1, 1, 1), heat), np.zeros((1, 1, 1))
    none = np.zeros(1, np.int64)
    laws = np.zeros((1, 14))  # first order, without a temperature in it
    laws[0, [0, 1, 6]] = 1.0, RATE, 1.0
    _cure(T, C, T.copy(), 0.5, 10.0, none, none, np.array([joules]), laws, degree, rate, q, totals)
    assert q[0, 0, 0] == pytest.approx(totals[1] / 10.0)
    return float(degree[0]), float(rate[0]), float(totals[1]), float(totals[4])


def test_a_step_of_cure_takes_the_rate_of_its_middle() -> None:
    """a = 0.2: 0.008/s at first, so 0.24 in the middle, 0.0076/s there, 0.276 after 10 s."""
    degree, rate, given, rise = cured(0.2, -1.0, 100.0, 1e9)
    assert (degree, rate) == (pytest.approx(0.276), pytest.approx(0.0076))
    assert given == pytest.approx(7.6)
    assert rise == pytest.approx(7.6e-9)


@pytest.mark.parametrize(("over", "anew"), [(0.999, False), (1.001, True)])
def test_a_lively_resin_is_asked_at_the_beginning_too(over: float, anew: bool) -> None:
    """The rate of the step before, 0.02/s, leads to the middle while it heats its layer by QUIET at most."""
    joules, pace = 100.0, 0.02
    heat = joules * pace * 10.0 / (LEAST_CURE_RISE * over)
    middle = 0.24 if anew else 0.3
    assert cured(0.2, pace, joules, heat)[1] == pytest.approx(RATE * (1.0 - middle))


def test_resin_cures_no_further_than_through() -> None:
    degree, _, given, _ = cured(0.999, 0.5, 100.0, 1e9)
    assert degree <= 1.0
    assert given == pytest.approx(100.0 * (degree - 0.999))
    assert cured(0.9, 0.5, 100.0, 1e9)[1] == 0.0  # past the end there is no rate


def hung() -> HeatModel:
    """2 x 2 cells of three layers; the lowest is there in one column, the uppermost in another."""
    grid = Grid((0.0, 0.1, 0.2), (0.0, 0.1, 0.2))
    one, other = np.array([[1e-3, 0.0], [0.0, 0.0]]), np.array([[0.0, 2e-3], [0.0, 0.0]])
    layers = (
        HeatLayer("top", one, 1.0, 1.0, 0.5, 2e6),
        HeatLayer("skin", 1e-3, 1.0, 1.0, 1.0, 2e6),
        HeatLayer("below", other, 1.0, 1.0, 0.25, 2e6),
    )
    return HeatModel(grid, layers, 330.0, (FaceCover(290.0, film=10.0), FaceCover(280.0, film=5.0)), 0, 1)


def test_a_face_lies_on_the_outermost_layer_that_is_there() -> None:
    model = hung()
    made = faces(model, solid(model))
    assert made.cell.tolist() == [0, 5, 6, 7, 4, 9, 6, 7]
    assert made.cover.tolist() == [0] * 4 + [1] * 4
    half = 0.5e-3
    assert made.size[:, 1] == pytest.approx([half / 0.5, half, half, half, half, 1e-3 / 0.25, half, half])


def test_what_is_lost_is_what_the_panel_cooled_by() -> None:
    """Damped steps at the beginning and whole ones after; each counts its own share of the step."""
    for longest in (10.0, 20.0, 30.0, 300.0):
        found = run(hung(), step=10.0, longest=longest, sample=10.0)
        assert abs(found.energy.unbalanced) < 1e-5
        assert found.energy.stored < 0.0


def test_nothing_is_refused_where_something_must_be_and_taken_where_it_may() -> None:
    with pytest.raises(InputError):
        full(0.0, (1, 2), "heat capacity")
    assert full(0.0, (1, 2), "power", zero=True).tolist() == [[0.0, 0.0]]


def test_the_air_is_that_of_a_standard_day_where_nobody_says_otherwise() -> None:
    """101325 Pa at sea level, U.S. Standard Atmosphere 1976."""
    assert FaceCover(290.0).pressure == 101325.0
