"""NAFEMS report R0031 (1998), test 3: simply supported sandwich square under 100 psi.

10 x 10 in, faces .028 in (10e6, 4e6 psi, nu .3, G 1.875e6 psi), core .75 in (Gxz 3e4, Gyz 1.2e4 psi).
Stresses are those of the face's mid-plane.
The shear convention (G d^2/tc, G d, G tc) moves w between .1222 and .1256 and the stresses
by about half a percent.
"""

from __future__ import annotations

import numpy as np

from panelmend.physics.plate import PlateLoads, PlateSection, even_grid, simple, solve_plate, zones
from panelmend.units import INCH, PSI
from printed_values import Seen, Source, printed

NAFEMS = Source("NAFEMS report R0031 (1998), test 3", Seen.MEMORY)

E1, E2, NU, G = 10e6 * PSI, 4e6 * PSI, 0.3, 1.875e6 * PSI
TF, TC = 0.028 * INCH, 0.75 * INCH
D0 = TF + TC
Q = np.array([[E1, NU * E2, 0], [NU * E2, E2, 0], [0, 0, G * (1 - NU**2 * E2 / E1)]]) / (1 - NU**2 * E2 / E1)
HELD = {s: simple(s) for s in ("left", "right", "bottom", "top")}


def solved(cells: int):
    d = Q * (TF * D0**2 / 2 + TF**3 / 6)
    s = np.diag([3e4, 1.2e4]) * PSI * D0**2 / TC
    grid = even_grid(10 * INCH, 10 * INCH, cells, cells)
    section = PlateSection(2 * Q * TF, np.zeros((3, 3)), d, s)
    return solve_plate(grid, zones(grid, [section]), PlateLoads(HELD, pressure=100 * PSI))


def stress(answer, x, y):
    return answer.sample(answer.strain_at(D0 / 2), x * INCH, y * INCH) @ Q / PSI


def test_deflection_and_stress() -> None:
    answer = solved(60)
    assert 0.1221 < answer.w.max() / INCH < 0.1256
    most = answer.w.max() / INCH
    assert most == printed(0.123, source=NAFEMS, place="largest deflection [in]", rel=0.01)
    sx, sy, _ = stress(answer, 5.0, 5.0)
    assert sx == printed(34_449, source=NAFEMS, place="sigma xx in the middle of the face [psi]", rel=6e-3)
    assert sy == printed(13_350, source=NAFEMS, place="sigma yy in the middle of the face [psi]", rel=6e-3)


def test_shear_at_the_quarter_point() -> None:
    shear = -abs(stress(solved(60), 2.5, 2.5)[2])
    assert shear == printed(-5067.5, source=NAFEMS, place="tau xy at the quarter point [psi]", rel=6e-3)
