"""Plates against a series of ours and a benchmark figure without a publication.

The sandwich is that of NAFEMS report R0031, test 3, with its shear stiffness raised: .0781694 in by the
exact series, evaluated by ourselves. A plate on its four corners has .0255 at nu .3, the usual benchmark
figure, from memory, its publication not kept (S. Timoshenko and S. Woinowsky-Krieger give .0249 at nu .25
by their approximation).
"""

from __future__ import annotations

import numpy as np
import pytest

from panelmend.physics.plate import (
    PlateLoads,
    PlateSection,
    PointSupport,
    even_grid,
    simple,
    solve_plate,
    zones,
)
from panelmend.units import INCH, PSI


def isotropic(nu: float = 0.3, h: float = 0.01) -> PlateSection:
    e = 70e9
    q = e / (1 - nu * nu) * np.array([[1, nu, 0], [nu, 1, 0], [0, 0, (1 - nu) / 2]])
    s = 5 / 6 * e / 2 / (1 + nu) * h * np.eye(2)
    return PlateSection(q * h, np.zeros((3, 3)), q * h**3 / 12, s)


def test_plate_on_four_corner_fasteners() -> None:
    thin = isotropic(h=0.002)
    bolts = [PointSupport(x, y) for x in (0.0, 1.0) for y in (0.0, 1.0)]
    grid = even_grid(1.0, 1.0, 32, 32)
    answer = solve_plate(grid, zones(grid, [thin]), PlateLoads(fasteners=bolts, pressure=1.0))
    assert answer.w[16, 16] * thin.D[0, 0] == pytest.approx(0.0255, rel=5e-3)
    assert answer.fasteners[:, 2] == pytest.approx([-0.25] * 4, rel=1e-7)


def test_no_locking_near_the_kirchhoff_limit() -> None:
    """Shear stiffness x 1e5, faces without bending of their own: .0781694 in (exact series)."""
    ratio = 1 - 0.3**2 * 4e6 / 10e6
    q = np.array([[10e6, 0.3 * 4e6, 0], [0.3 * 4e6, 4e6, 0], [0, 0, 1.875e6 * ratio]]) * PSI / ratio
    tf, tc = 0.028 * INCH, 0.75 * INCH
    d = tf + tc
    shear = np.diag([3e4, 1.2e4]) * PSI * d**2 / tc * 1e5
    section = PlateSection(2 * q * tf, np.zeros((3, 3)), q * tf * d**2 / 2, shear)
    grid = even_grid(10 * INCH, 10 * INCH, 60, 60)
    sides = {s: simple(s) for s in ("left", "right", "bottom", "top")}
    answer = solve_plate(grid, zones(grid, [section]), PlateLoads(sides, pressure=100 * PSI))
    assert answer.w.max() / INCH == pytest.approx(0.0781694, rel=2e-4)
