"""Further digits of the laminate of Kaw's example 4.2, computed here by hand: published are four."""

from __future__ import annotations

from math import radians

import numpy as np
import pytest

from panelmend.physics.laminate import (
    Lamina,
    LaminatePly,
    Strengths,
    laminate,
    max_stress,
    response,
    tsai_hill,
    tsai_wu,
)
from panelmend.physics.laminate.lamina import stress_turn

GRAPHITE = Lamina(181e9, 10.3e9, 7.17e9, 0.28, name="graphite/epoxy")
STRONG = Strengths(Xt=1500e6, Xc=1500e6, Yt=40e6, Yc=246e6, S=68e6)


def test_three_plies_to_seven_digits() -> None:
    lam = laminate([LaminatePly(GRAPHITE, radians(a), 5e-3) for a in (0, 30, -45)])
    q = GRAPHITE.Q()
    assert [q[0, 0], q[0, 1], q[1, 1]] == pytest.approx([181.811139e9, 2.896924e9, 10.346159e9], rel=1e-6)
    a = [lam.A[0, 0], lam.A[0, 1], lam.A[1, 1], lam.A[0, 2], lam.A[1, 2], lam.A[2, 2]]
    assert a == pytest.approx(
        [1.739241e9, 3.883864e8, 4.532535e8, 5.663373e7, -1.140636e8, 4.524825e8], rel=1e-6
    )
    b = [lam.B[0, 0], lam.B[0, 2], lam.D[0, 0], lam.D[2, 2]]
    assert b == pytest.approx([-3.128834e6, -1.071656e6, 3.343203e4, 7.662780e3], rel=1e-6)
    answer = response(lam, N=(1000.0, 1000.0, 0.0))
    assert answer.eps0 == pytest.approx([3.122948e-7, 3.491705e-6, -7.598445e-7], rel=1e-6)
    assert answer.plies.local_stress[1][0] == pytest.approx([99729.57, 43481.65, 18903.03], rel=1e-6)


def test_a_lamina_at_sixty_degrees_fails() -> None:
    stress = stress_turn(radians(60)) @ np.array([2.0, -3.0, 4.0]) * 1e6
    found = [max_stress(stress, STRONG), tsai_hill(stress, STRONG, signed=False), tsai_wu(stress, STRONG)]
    assert found == pytest.approx([16.3263, 10.9376, 22.3887], rel=1e-5)
