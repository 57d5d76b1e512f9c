"""A hot square, two slabs, a bare wall and a drying front: series, roots and closed forms evaluated here.

H. S. Carslaw and J. C. Jaeger, Conduction of Heat in Solids (2nd ed.): section 10.5, square source; 11.2,
one-phase change of state. M. N. Ozisik, Heat Conduction, composite media (orthogonal expansion; the series
is summed here). Printed answers stand in tests/published/test_heat_books.py.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.special import erf

from daily_sine import wall_answer
from panelmend.physics import steam
from panelmend.physics.heat import (
    INSULATED,
    Grid,
    Heater,
    HeatLayer,
    HeatModel,
    HeatPlace,
    HeatResult,
    Water,
    held,
    run,
)

C0 = 273.15
ONE = Grid((0.0, 0.01), (0.0, 0.01))


def _last(model: HeatModel, *, step: float, longest: float) -> HeatResult:
    return run(model, step=step, sample=longest, longest=longest)


def test_hot_square_on_a_half_space() -> None:
    """Middle of a square of half side a: q/k 2/sqrt(pi) times integral of erf(a/(2 u))^2 du to sqrt(D t).

    Steady it would be 4 q a ln(1 + sqrt 2)/(pi k) = 1.1222 q a/k. A quarter is solved; cells of a/16.
    """
    a, q, k, diffusivity, time = 0.02, 20e3, 1.0, 5e-7, 400.0
    depth = (
        2.0 / math.sqrt(math.pi) * quad(lambda u: erf(a / (2 * u)) ** 2, 0, math.sqrt(diffusivity * time))[0]
    )
    steady = quad(lambda u: erf(a / (2 * u)) ** 2, 0, np.inf, limit=200)[0] * 2.0 / math.sqrt(math.pi)
    assert steady == pytest.approx(1.1222 * a, rel=1e-4)
    inner = np.linspace(0.0, 1.5 * a, 25)
    outer = 1.5 * a + np.cumsum(a / 16 * 1.25 ** np.arange(1, 14))
    lines = tuple(float(v) for v in np.r_[inner, outer])
    grid = Grid(lines, lines)
    steps = np.diff(np.r_[np.linspace(0.0, a, 17), a + np.cumsum(a / 16 * 1.25 ** np.arange(1, 15))])
    face = HeatLayer("face", 1e-7, k, k, k, k / diffusivity)
    deep = tuple(HeatLayer(f"d{i}", float(h), k, k, k, k / diffusivity) for i, h in enumerate(steps))
    model = HeatModel(
        grid,
        (face, *deep),
        C0,
        (INSULATED,),
        heaters=(Heater("square", "face", q * grid.rectangle(0.0, a, 0.0, a)),),
        probes=(HeatPlace("middle", "face", 0.0, 0.0),),
    )
    found = float(_last(model, step=4.0, longest=time).probes["middle"][-1]) - C0
    assert found == pytest.approx(q / k * depth, rel=0.005)


def _two_slabs(time: float, resistance: float) -> tuple[float, float]:
    """Rise left at the insulated face and just behind the joint of two slabs, the far face held; start 1."""
    k1, c1, l1 = 0.5, 1.5e6, 0.004
    k2, c2, l2 = 5.0, 2.0e6, 0.010

    def root(beta: float) -> float:
        m1, m2 = beta * math.sqrt(c1 / k1), beta * math.sqrt(c2 / k2)
        s1 = math.sin(m1 * l1)
        return (math.cos(m1 * l1) - resistance * k1 * m1 * s1) * math.cos(m2 * l2) - (
            k1 * m1 / (k2 * m2)
        ) * s1 * math.sin(m2 * l2)

    tries = np.linspace(1e-5, 12.0, 60001)
    values = [root(float(b)) for b in tries]
    betas = [
        brentq(root, tries[i], tries[i + 1], xtol=1e-14)
        for i in range(len(tries) - 1)
        if values[i] * values[i + 1] < 0.0
    ]
    at_face = behind = 0.0
    for beta in betas:
        m1, m2 = beta * math.sqrt(c1 / k1), beta * math.sqrt(c2 / k2)
        a, b = m1 * l1, m2 * l2
        second = k1 * m1 * math.sin(a) / (k2 * m2 * math.cos(b))
        top = c1 * math.sin(a) / m1 + c2 * second * (1.0 - math.cos(b)) / m2
        bottom = c1 * (0.5 * l1 + math.sin(2 * a) / (4 * m1)) + c2 * second**2 * (
            0.5 * l2 - math.sin(2 * b) / (4 * m2)
        )
        share = top / bottom * math.exp(-(beta**2) * time)
        at_face += share
        behind += share * second * math.sin(b)
    return at_face, behind


@pytest.mark.parametrize("resistance", [0.0, 2e-3, 2e-2])
def test_two_slabs_with_a_joint_between(resistance: float) -> None:
    """Exact series against the solver: 0.2 % of the first difference, at the face and behind the joint."""
    time, hot = 40.0, 100.0
    layers = (
        HeatLayer("first", 0.004, 0.0, 0.0, 0.5, 1.5e6, cells=40, contact=resistance),
        HeatLayer("second", 0.010, 0.0, 0.0, 5.0, 2.0e6, cells=100),
    )
    probes = (HeatPlace("face", "first", 0, 0, cell=0), HeatPlace("behind", "second", 0, 0, cell=0))
    model = HeatModel(ONE, layers, C0 + hot, (INSULATED, held(C0)), bottom=1, probes=probes)
    result = _last(model, step=0.1, longest=time)
    face, behind = _two_slabs(time, resistance)
    assert float(result.probes["face"][-1]) - C0 == pytest.approx(hot * face, abs=0.2)
    assert float(result.probes["behind"][-1]) - C0 == pytest.approx(hot * behind, abs=0.2)


def test_roots_of_the_change_of_state() -> None:
    """lambda exp(lambda^2) erf(lambda) = Ste / sqrt(pi): Ste 1 gives 0.6201 (tabled, from memory)."""
    assert _front(1.0) == pytest.approx(0.6201, abs=5e-5)


def _front(stefan: float) -> float:
    return float(brentq(lambda v: v * math.exp(v * v) * math.erf(v) - stefan / math.sqrt(math.pi), 1e-6, 3.0))


@pytest.mark.parametrize("stefan", [0.2, 1.0])
def test_drying_front_runs_as_a_change_of_state(stefan: float) -> None:
    """Wet core at boiling, its face held hotter: the dry depth is 2 lambda sqrt(D t), to 1 % and a cell."""
    k, heat, boiling, hotter, cells, depth = 0.1, 1e5, 340.0, 30.0, 200, 0.02
    mass = heat * hotter / (stefan * steam.latent_heat(boiling))
    core = HeatLayer(
        "core", depth, 0.0, 0.0, k, heat, cells=cells, water=Water(mass, sealed=False, boiling=boiling)
    )
    model = HeatModel(ONE, (core,), boiling, (held(boiling + hotter), INSULATED), bottom=1)
    time = 60.0
    result = _last(model, step=0.02, longest=time)
    dry = depth * (1.0 - result.water_left / (mass * depth * 1e-4))
    exact = 2.0 * _front(stefan) * math.sqrt(k / heat * time)
    assert dry == pytest.approx(exact, rel=0.01, abs=depth / cells)
    assert abs(result.energy.unbalanced) < 1e-3


def test_loss_of_a_bare_wall() -> None:
    """Brick 4 in (0.7) and plaster 1.5 in (0.48) between 20 and -10 C."""
    wall = (
        HeatLayer("brick", 0.1016, 0.0, 0.0, 0.7, 1e3, cells=4),
        HeatLayer("plaster", 0.0381, 0.0, 0.0, 0.48, 1e3, cells=2),
    )
    inside, outside = C0 + 20.0, C0 - 10.0
    model = HeatModel(ONE, wall, inside, (held(outside), held(inside)), top=0, bottom=1)
    end = _last(model, step=20.0, longest=20000.0).temperature[:, 0, 0]
    bare = (inside - end[-1]) * 0.48 / (0.5 * 0.0381 / 2)
    assert bare == pytest.approx(30.0 / (0.1016 / 0.7 + 0.0381 / 0.48), rel=1e-3)


def test_lag_of_four_layers_driven_by_a_daily_sine() -> None:
    """10.22 h by a transfer chain of our own."""
    _, lag = wall_answer()
    assert lag == pytest.approx(10.2243, rel=5e-3)
