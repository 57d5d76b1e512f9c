"""A single lap by the closed form of O. Volkersen, Luftfahrtforschung 15 (1938) 41, evaluated by
`joint_oracle`.

The example (E 70 GPa, t 2, G 800 MPa, ta .1, L 30, b 25 mm, 6 kN) is a university lecture's whose name was
not kept, so its three digits do not count as published.
"""

from __future__ import annotations

import pytest

from joint_oracle import volkersen
from panelmend.physics.joint import (
    AdhesiveLayer,
    Bond,
    BondStep,
    lap,
    shear_decay,
    solve_bond,
)

LAYER = AdhesiveLayer(800e6, 0.1e-3)
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
    answer = solve_bond(Bond((BondStep(30e-3, K, K),), LAYER), lap(P))
    assert answer.tau[0] == pytest.approx(volkersen(LAYER, K, K, 30e-3, P).shear[0], rel=1e-8)
