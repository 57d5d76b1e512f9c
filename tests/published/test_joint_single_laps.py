"""Single laps: O. Volkersen, Luftfahrtforschung 15 (1938) 41; M. Goland, E. Reissner, J. Applied Mechanics
11 (1944) A17.

The Volkersen case is a university lecture example (E 70 GPa, t 2, G 800 MPa, ta .1, L 30, b 25 mm, 6 kN),
printed to three digits. The Goland-Reissner values were checked by an independent boundary-value solution.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from joint_oracle import bending_factor, goland_reissner, volkersen
from panelmend.physics.joint import (
    Adhesive,
    Bond,
    Step,
    lap,
    shear_decay,
    solve_bond,
)

LAYER = Adhesive(800e6, 0.1e-3)
K = 70e9 * 2e-3
P = 6e3 / 25e-3


def test_volkersen_lecture_example() -> None:
    """rho = lambda L 10.14, mean 8.0, peak 40.6 MPa, limit overlap 5/lambda 14.8 mm."""
    lam = shear_decay(LAYER, K, K)
    got = volkersen(LAYER, K, K, 30e-3, P)
    assert lam * 30e-3 == pytest.approx(10.14, abs=0.005)
    assert pytest.approx(8.0e6) == P / 30e-3
    assert got.shear.max() == pytest.approx(40.6e6, rel=2e-3)
    assert 5 / lam == pytest.approx(14.8e-3, abs=0.05e-3)


def test_general_solution_gives_volkersen() -> None:
    answer = solve_bond(Bond((Step(30e-3, K, K),), LAYER), lap(P))
    assert answer.tau[0] == pytest.approx(volkersen(LAYER, K, K, 30e-3, P).shear[0], rel=1e-8)


def test_goland_reissner_ends() -> None:
    """T 200 N/mm, 2c 12.5, t 1.6, E 70 GPa, nu .33, Ea 2700, Ga 1000, ta .2: 48.395894, 62.023426 MPa."""
    got = goland_reissner(Adhesive(1e9, 0.2e-3, E=2.7e9), 1.6e-3, 70e9, 0.33, 12.5e-3, 200e3)
    for end in (0, -1):
        assert got.shear[end] == pytest.approx(48.395894e6, rel=1e-8)
        assert got.peel[end] == pytest.approx(62.023426e6, rel=1e-8)


def test_bending_factor_limits() -> None:
    """k is 1 for no load and falls to 1/(1 + 2 sqrt 2) = .26 for long overlaps under high load."""
    assert bending_factor(1.6e-3, 70e9, 0.33, 12.5e-3, 1e-6) == pytest.approx(1.0, abs=1e-4)
    assert bending_factor(1.6e-3, 70e9, 0.33, 1.0, 1e6) == pytest.approx(0.26, abs=0.002)


def test_shear_carries_the_load() -> None:
    got = goland_reissner(Adhesive(1e9, 0.2e-3, E=2.7e9), 1.6e-3, 70e9, 0.33, 12.5e-3, 200e3, points=4001)
    assert np.trapezoid(got.shear, got.x) == pytest.approx(200e3, rel=1e-5)
    # the peel adds up to the edge shear k'T t/(2c) ... times 2: (Goland and Reissner's V0)
    k = bending_factor(1.6e-3, 70e9, 0.33, 12.5e-3, 200e3)
    v0 = k * 200e3 * math.sqrt(3 * (1 - 0.33**2) * 200e3 / (70e9 * 1.6e-3))
    assert np.trapezoid(got.peel, got.x) == pytest.approx(v0, rel=1e-3)
