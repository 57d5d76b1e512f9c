"""NAFEMS report R0031 (1998), test 1: laminated strip in three-point bending.

0/90/0/90/0/90/0, centre ply .4 mm, others .1 mm; 100/5/3 GPa, nu12 .4; 10 N/mm line load on a span of 30 mm;
reference stress at the bottom of the middle section 683.9 MPa.
"""

from __future__ import annotations

from math import radians

import pytest

from panelmend.physics.laminate import Lamina, LaminatePly, laminate, response


def test_bending_stress() -> None:
    """Beam statics give M = 75 N and lamination 684.25 MPa: .05 % above the reference."""
    ply = Lamina(100e9, 5e9, 3e9, 0.4)
    stack = [LaminatePly(ply, radians(90) * (k % 2), 0.4e-3 if k == 3 else 0.1e-3) for k in range(7)]
    answer = response(laminate(stack), M=(10e3 * 30e-3 / 4, 0.0, 0.0))
    assert answer.plies.stress[-1, 2, 0] == pytest.approx(683.9e6, rel=1e-3)
