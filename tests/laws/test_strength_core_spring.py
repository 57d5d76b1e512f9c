"""The core's spring under a skin: a bound of the honeycomb core solved wave by wave, and the bond's load."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad

from examples_here import names, text
from panelmend.job.strength.bonds import bond_of
from panelmend.job.strength.formulas import first_ply_load, first_ply_sense
from panelmend.job.strength.stacks import BondThing, Stack
from panelmend.physics.sandwich import SandwichCore
from strength_made import lay_of


def spring(q: float, E: float, G: float, c: float) -> float:
    """Of a core that carries nothing in its plane, the other skin at rest [N/m3]."""
    return E / c + q**2 * c / 4.0 / (1.0 / G + q**2 * c**2 / (12.0 * E))


def pull_by_waves(D: float, E: float, G: float, c: float) -> float:
    """Largest flatwise stress under a moment of 1 N on an endless skin, all waves put together [Pa]."""
    scale = (4.0 * D * c / (4.0 * E)) ** 0.25

    def at(x: float) -> float:
        def wave(q: float) -> float:
            k = spring(q, E, G, c)
            return k * q / (D * q**4 + k)

        return float(quad(wave, 0.0, 200.0 / scale, weight="sin", wvar=x, limit=400)[0]) / math.pi

    return max(abs(at(scale * s)) for s in np.linspace(0.2, 2.0, 37))


def pull_on_springs(D: float, k: float) -> float:
    """The same on even springs: w = M exp(-bx) sin(bx) / (4 D b^2), b^4 = k / 4D (Hetenyi)."""
    b = (k / (4.0 * D)) ** 0.25
    return float(k * math.exp(-math.pi / 4) * math.sin(math.pi / 4) / (4.0 * D * b**2))


def test_the_core_by_waves_is_that_by_slices() -> None:
    """The closed spring against the core's equations solved through its depth, slice by slice."""
    E, G, c, q = 138e6, 40e6, 0.02, 400.0
    n = 4000
    z = (np.arange(n) + 0.5) * c / n
    # t through the depth is one figure; flatwise stress falls by t'; w from the still skin up
    # unknown t: t c / G = integral of w' ; w(z) = integral of s / E ; s(z) = top - i q t (z - c)
    w_of_top = z / E
    w_of_t = np.cumsum(-1j * q * (z - c)) * (c / n) / E
    top_w, t_w = c / E, w_of_t[-1]
    a = np.array([[top_w, t_w], [1j * q * w_of_top.mean() * c, 1j * q * w_of_t.mean() * c - c / G]])
    top, _ = np.linalg.solve(a, np.array([1.0, 0.0]))
    assert top.real == pytest.approx(spring(q, E, G, c), rel=1e-3)


@pytest.mark.parametrize("name", names())
def test_the_pull_is_no_less_than_that_of_the_core_by_waves(name: str) -> None:
    """Springs over half the depth fall short of it by up to 30 %."""
    lay = lay_of(text(name))
    core = lay.core_constants(plug=False)
    assert isinstance(core, SandwichCore)
    assert core.Ez is not None
    c = lay.case.geometry.core_thickness
    for side in lay.plies.sides:
        for angle in (0.0, math.pi / 4, math.pi / 2):
            bond = bond_of(lay, side.side, angle)
            assert isinstance(bond, BondThing)
            assert bond.core is not None
            true = pull_by_waves(bond.skins[-1].D, core.Ez, max(core.GL, core.GW), c)
            assert true <= 1.001 * pull_on_springs(bond.skins[-1].D, bond.core)


def test_springs_of_a_core_lie_between_one_and_four_times_modulus_over_depth() -> None:
    E, G, c = 138e6, 40e6, 0.02
    assert spring(1e-3, E, G, c) == pytest.approx(E / c, rel=1e-6)
    assert spring(1e7, E, G, c) == pytest.approx(4.0 * E / c, rel=1e-6)


def test_a_bond_must_outlast_the_skin_in_tension_and_in_compression() -> None:
    lay = lay_of(text("gear_door"))
    skin = lay.stack("skin", lay.skin("outside"))
    assert isinstance(skin, Stack)
    senses = [float(first_ply_sense(stack=skin, direction=0.0, sense=s)) for s in (1.0, -1.0)]
    assert senses[0] != pytest.approx(senses[1], rel=1e-3) or len(set(senses)) == 1
    assert float(first_ply_load(stack=skin, direction=0.0)) == max(senses)
