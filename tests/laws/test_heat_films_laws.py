"""Films, radiation, core and cure heat: our own digits, usual ranges without a source, and a closed form.

The slab is D. A. Frank-Kamenetskii's, Diffusion and Heat Transfer in Chemical Kinetics (1969), its formula
evaluated here. What was printed stands in tests/published/test_heat_films.py.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from panelmend.errors import SolverError
from panelmend.physics import film
from panelmend.physics.core_conductivity import radiation_in_plane
from panelmend.physics.cure_chemistry import RateLaw
from panelmend.physics.cure_chemistry.laws import n_order
from panelmend.physics.heat import Grid, HeatLayer, HeatModel, HeatPlace, HeatResin, held, run
from whole_core import whole_core


def test_upright_film_to_our_own_digits() -> None:
    assert film.nusselt_upright(1.813e9, 0.690) == pytest.approx(147.119, abs=0.001)


def test_radiation_is_half_or_more_of_the_loss_at_cure_temperature() -> None:
    hot, air = 394.0, 295.0
    convection = film.convection(hot, air, 0.1, "up")
    radiation = film.radiation(hot, air, 0.9)
    assert radiation / (radiation + convection) > 0.5


def test_aramid_and_aluminium_core() -> None:
    # ranges for usual cores, 300 to 400 K: aramid .054 to .099, aluminium 2.6 to 3.2 W/(m K)
    aramid = [
        whole_core(
            wall=0.13, wall_share=0.035, emissivity=0.9, thickness=0.0254, cell=0.0032, temperature=t
        ).through
        for t in (300.0, 400.0)
    ]
    assert aramid[0] == pytest.approx(0.054, rel=0.05)
    assert aramid[1] == pytest.approx(0.099, rel=0.1)
    metal = whole_core(
        wall=140.0, wall_share=0.02, emissivity=0.1, thickness=0.02, cell=0.0064, temperature=350.0
    )
    assert 2.6 < metal.through < 3.2
    beside = metal.air + radiation_in_plane(0.0064, 0.1, 350.0) * (1.0 - 0.02)
    walls = (metal.walls, metal.ribbon - beside, metal.across - beside)
    assert [w / walls[2] for w in walls] == pytest.approx([8 / 3, 3 / 2, 1.0])


STEEP = 600.0  # E/RT: steep enough that exp(-E/RT) is an exponential of the rise, within theta / 600


def slab(delta: float) -> HeatModel:
    """Slab of half width 1 m with heat of a zeroth-order reaction and faces at 300 K; delta as published."""
    face, k, pace = 300.0, 1.0, 1e-9
    packed = list(n_order(1.0, 1e5, 0.0).packed)
    packed[1], packed[2] = pace * math.exp(STEEP), STEEP * face
    heat = delta * k * (face / STEEP) * 2.0 / pace  # J/m2, so that the rate at the faces gives delta
    layer = HeatLayer(
        "slab", 2.0, 0.0, 0.0, k, 1.0, cells=60, resin=HeatResin(RateLaw("steep", tuple(packed)), heat)
    )
    probes = (HeatPlace("a", "slab", 0.5, 0.5, 29), HeatPlace("b", "slab", 0.5, 0.5, 30))
    return HeatModel(Grid((0.0, 1.0), (0.0, 1.0)), (layer,), face, (held(face),), probes=probes)


@pytest.mark.parametrize("theta", [0.3, 0.6, 0.9])
def test_frank_kamenetskii_below_the_critical_state(theta: float) -> None:
    """delta = 2 exp(-theta) arcosh(exp(theta/2))^2 at the middle; E/RT 600 leaves 0.2 %."""
    delta = 2.0 * math.exp(-theta) * math.acosh(math.exp(theta / 2.0)) ** 2
    result = run(slab(delta), longest=20.0, step=0.01, sample=1.0)
    middle = 0.5 * (result.probes["a"][-1] + result.probes["b"][-1]) - 300.0
    assert middle * STEEP / 300.0 == pytest.approx(theta, rel=0.01)


def test_frank_kamenetskii_critical_value() -> None:
    theta = np.linspace(0.5, 2.0, 150001)
    delta = 2.0 * np.exp(-theta) * np.arccosh(np.exp(theta / 2.0)) ** 2
    assert delta.max() == pytest.approx(0.878458, abs=1e-6)
    assert theta[delta.argmax()] == pytest.approx(1.186842, abs=2e-5)
    below = run(slab(0.84), longest=20.0, step=0.01, sample=1.0)
    assert below.probes["a"][-1] - below.probes["a"][-3] < 1e-3  # settles
    with pytest.raises(SolverError, match="runs away"):
        run(slab(1.2), longest=20.0, step=0.01, sample=1.0)
