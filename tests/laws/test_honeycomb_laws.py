"""What the moduli and the density of a hexagonal core must keep to: ratios that follow from its geometry.

S. Kelsey, R. A. Gellatly, B. W. Clark, Aircraft Engineering 30 (1958) 294 (bounds of the shear modulus
along the ribbon); relative density of hexagons with one wall in three doubled.
"""

from __future__ import annotations

import math

import pytest

from panelmend.physics.sandwich import honeycomb

FOIL = {"E": 70e9, "nu": 0.33, "rho": 2700.0, "foil": 0.018e-3, "cell": 3.175e-3}


def test_ribbon_over_cross_modulus() -> None:
    """GL/GW between 1.5 and 1.667."""
    got = honeycomb(**FOIL)
    assert got.GL_low / got.GW == pytest.approx(1.5)
    assert got.GL_high / got.GW == pytest.approx(1.6667, rel=1e-4)


def test_density_with_doubled_walls() -> None:
    """Single walls 2/sqrt(3) t/l; doubling one wall in three adds a third."""
    got = honeycomb(**FOIL)
    wall = FOIL["cell"] / math.sqrt(3)
    single = 2 / math.sqrt(3) * FOIL["foil"] / wall
    assert got.density / FOIL["rho"] == pytest.approx(single * 4 / 3, rel=1e-12)
    assert got.Ez / FOIL["E"] == pytest.approx(got.density / FOIL["rho"], rel=1e-12)
