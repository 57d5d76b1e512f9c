"""Largest stress at the edge of an open round hole, over that far away, in a sheet pulled one way."""

from __future__ import annotations

import pytest

from hole_plates import HELD, WIDE, edge_stress, peak, rounded, sheet
from panelmend.job.strength.hole_edge import ring_mesh
from panelmend.physics.plate import PlateLoads, uniform_edges
from panelmend.physics.plate.fitted import along_edge, solve_fitted
from printed_values import Seen, Source, printed

KIRSCH = Source("G. Kirsch 1898", Seen.MEMORY)
HOWLAND = Source("R. C. J. Howland 1930", Seen.MEMORY)
METAL = sheet(70e9, 70e9, 70e9 / 2.6, 0.3)
ROUND = 0.05


def test_round_hole() -> None:
    got = peak(edge_stress(rounded(ROUND, ROUND, ROUND), METAL, 5)[1])
    assert got == printed(3.0, source=KIRSCH, place="round hole in an endless sheet [1]", rel=5e-3)


@pytest.mark.parametrize(("share", "factor"), [(0.2, 3.14), (0.3, 3.36), (0.5, 4.32)])
def test_a_round_hole_in_a_strip_of_finite_width(share: float, factor: float) -> None:
    high = 0.1 / share
    hole = rounded(ROUND, ROUND, ROUND).moved(1.0 - WIDE / 2, high / 2 - WIDE / 2)
    rings = ring_mesh(hole, 2.0, high, 5, filled=False)
    assert rings is not None
    pulled = PlateLoads(HELD, edge_loads=uniform_edges(1e3, 0.0, 0.0))
    answer = solve_fitted(rings.mesh, [METAL], [pulled])[0]
    runs = along_edge(answer.eps, rings.outside, outward=True) @ METAL.A / 1e3
    assert peak(runs) == printed(
        factor,
        source=HOWLAND,
        place=f"hole over width {share:g}, factor on the stress far away [1]",
        rel=1e-2,
    )
