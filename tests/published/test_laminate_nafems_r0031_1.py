"""NAFEMS report R0031 (1998), test 1: laminated strip in three-point bending.

0/90/0/90/0/90/0, centre ply .4 mm, others .1 mm; 100/5/3 GPa, nu12 .4; 10 N/mm line load on a span of 30 mm.
"""

from __future__ import annotations

from math import radians

from panelmend.physics.laminate import Lamina, LaminatePly, laminate, response
from printed_values import Seen, Source, printed

NAFEMS = Source("NAFEMS report R0031 (1998), test 1", Seen.MEMORY)


def test_bending_stress() -> None:
    """Beam statics give M = 75 N and lamination 684.25 MPa: .05 % above the reference."""
    ply = Lamina(100e9, 5e9, 3e9, 0.4)
    stack = [LaminatePly(ply, radians(90) * (k % 2), 0.4e-3 if k == 3 else 0.1e-3) for k in range(7)]
    answer = response(laminate(stack), M=(10e3 * 30e-3 / 4, 0.0, 0.0))
    stress = answer.plies.stress[-1, 2, 0] / 1e6
    place = "stress at the bottom of the middle section [MPa]"
    assert stress == printed(683.9, source=NAFEMS, place=place, rel=1e-3)
