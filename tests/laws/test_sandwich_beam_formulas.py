"""Sandwich beams by the formulas of ASTM D7250/D7250M and C393/C393M, from memory, evaluated here.

The three-point example is our own (E 60 GPa, tf .6, tc 15, G 44 MPa, b 75, L 150 mm, P 2000 N): .427824 +
1.400843 mm by an independent script.
"""

from __future__ import annotations

import pytest

from panelmend.physics.sandwich import BeamSection, bend_beam

BEAM = BeamSection(E=60e9, tf=0.6e-3, tc=15e-3, G=44e6, b=75e-3)


def test_three_point_deflection() -> None:
    got = bend_beam(BEAM, 2000.0, 0.15)
    assert got.bending == pytest.approx(0.427824e-3, rel=2e-6)
    assert got.shear == pytest.approx(1.400843e-3, rel=1e-6)


def test_d7250_quarter_span() -> None:
    """Load span L/2: 11 P L^3/(768 D) + P L/(8 U)."""
    got = bend_beam(BEAM, 2000.0, 0.4, 0.2)
    assert got.bending == pytest.approx(11 * 2000 * 0.4**3 / (768 * BEAM.D), rel=1e-12)
    assert got.shear == pytest.approx(2000 * 0.4 / (8 * BEAM.U), rel=1e-12)


def test_d7250_third_span() -> None:
    """Load span L/3: 23 P L^3/(1296 D) + P L/(6 U)."""
    got = bend_beam(BEAM, 2000.0, 0.3, 0.1)
    assert got.bending == pytest.approx(23 * 2000 * 0.3**3 / (1296 * BEAM.D), rel=1e-12)
    assert got.shear == pytest.approx(2000 * 0.3 / (6 * BEAM.U), rel=1e-12)


def test_c393_stresses() -> None:
    """Core shear P/((d + c) b), facing stress P S/(2 t (d + c) b); d, c: sandwich and core thickness."""
    got = bend_beam(BEAM, 2000.0, 0.15)
    both = (15e-3 + 1.2e-3) + 15e-3
    assert got.shear_stress == pytest.approx(2000 / (both * 75e-3), rel=1e-12)
    assert got.face_stress == pytest.approx(2000 * 0.15 / (2 * 0.6e-3 * both * 75e-3), rel=1e-12)
