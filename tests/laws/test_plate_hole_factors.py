"""Stress at the edge of open holes in a wide sheet pulled one way: formulas and a fit, evaluated by
ourselves.

Round and elliptic in a fabric: S. G. Lekhnitskii, Anisotropic Plates, 1968 (formula from memory). Square
and oblong with rounded corners: the curve fit of W. D. Pilkey, Peterson's Stress Concentration Factors, for
the chart of the rectangular hole; coefficients read on a public page that reprints them (amesweb.info,
"Rectangular hole with round corners in an infinite plate"; its 38.662 is 38.622 by the fit's other form,
from memory, which gives 3.00 for the round hole). The fit itself is good to some per cent.
"""

from __future__ import annotations

import math

import pytest

from hole_oracle import ellipse_factor, hole_factor
from hole_plates import WIDE, edge_stress, peak, rounded, sheet
from panelmend.job.strength.opened import EDGE_CELLS, FURTHER, worst_mesh
from panelmend.shapes.makers import ellipse

METAL = sheet(70e9, 70e9, 70e9 / 2.6, 0.3)
ROUND = 0.05


def factor(along: float, across: float, radius: float, fine: int = 5) -> float:
    return peak(edge_stress(rounded(along, across, radius), METAL, fine)[1])


def test_round_hole_in_a_fabric() -> None:
    """Lekhnitskii, moduli 60, 60 and 4 GPa, Poisson's ratio .05: 5.11096."""
    fabric = sheet(60e9, 60e9, 4e9, 0.05)
    got = peak(edge_stress(rounded(ROUND, ROUND, ROUND), fabric, 12)[1])
    assert hole_factor(60e9, 60e9, 4e9, 0.05) == pytest.approx(5.11096, rel=1e-6)
    assert got == pytest.approx(5.11096, rel=1e-2)


@pytest.mark.parametrize(
    ("along", "radius", "fitted"),
    [
        # square, corner radius a fifth, two fifths and three fifths of half its side
        (0.050, 0.010, 3.790),
        (0.050, 0.020, 3.127),
        (0.050, 0.030, 2.891),
        # half as long along the pull as across it: corners two and three fifths, then half-round ends
        (0.025, 0.010, 4.114),
        (0.025, 0.015, 3.751),
        (0.025, 0.025, 3.841),
    ],
)
def test_rounded_corners(along: float, radius: float, fitted: float) -> None:
    """Peterson's chart by its fit, r/b .2 to 1, b/a 1 and .5."""
    assert factor(along, 0.05, radius) == pytest.approx(fitted, rel=2e-2)


@pytest.mark.parametrize("long", [2.0, 3.0])
def test_an_ellipse_in_a_fabric_is_no_surer_than_it_is(long: float) -> None:
    """Lekhnitskii: 1 + n times the ratio of the axes. From 3 and 5 cells, 2:1: 2.6 % off, 1.1 said."""
    fabric = sheet(60e9, 60e9, 4e9, 0.05)
    exact = ellipse_factor(60e9, 60e9, 4e9, 0.05, long, 1.0)
    hole = ellipse((WIDE / 2, WIDE / 2), 0.1, 0.1 / long, math.pi / 2)
    meshes = (*EDGE_CELLS, *FURTHER)
    got = [peak(edge_stress(hole, fabric, fine)[1]) for fine in meshes]
    for k in range(len(EDGE_CELLS), len(meshes)):
        before = [(1.0 / meshes[j], got[j]) for j in (k - 2, k - 1)]
        said = worst_mesh(before, 1.0 / meshes[k], got[k])
        assert abs(got[k] / exact - 1.0) <= said.error
    assert got[-1] == pytest.approx(exact, rel=1e-2)
