"""What rounding nu21 to .02 does to the stiffness of NASA RP-1351's lamina (A. T. Nettles, 1994, from
memory).

The report rounds nu12 E2/E1 = .01951; panelmend always uses exact reciprocity. So the printed nu21 is put
into the same formulas here, by hand, and the reduced stiffness with exact reciprocity is our own number.
"""

from __future__ import annotations

from math import radians

import numpy as np
import pytest

from panelmend.physics.laminate import Lamina
from panelmend.physics.laminate.lamina import strain_turn
from panelmend.units import PSI

E1, E2, G12, NU12 = 20.010e6, 1.301e6, 1.001e6, 0.3
PLY = Lamina(E1 * PSI, E2 * PSI, G12 * PSI, NU12)


def test_reduced_stiffness_with_exact_reciprocity() -> None:
    assert PLY.Q()[0, 0] / PSI == pytest.approx(20_127_779, abs=1.0)


def test_printed_values_follow_from_the_printed_nu21() -> None:
    """With nu21 = .02 the report's 20 130 785 and its 45 degree terms come out to the printed pound."""
    d = 1 - NU12 * 0.02
    q = np.array([[E1 / d, NU12 * E2 / d, 0], [NU12 * E2 / d, E2 / d, 0], [0, 0, G12]])
    turn = strain_turn(radians(45))
    bar = turn.T @ q @ turn
    assert q[0, 0] == pytest.approx(20_130_785, abs=1.0)
    printed = [6_557_237, 4_555_238, 4_705_483]
    assert [bar[0, 0], bar[0, 1], bar[0, 2]] == pytest.approx(printed, rel=2e-4)
    assert bar[2, 2] == pytest.approx(5_163_582, rel=2e-4)
