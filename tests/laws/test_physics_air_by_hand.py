"""Small laws of air, water and glass transition worked out by hand, with values of which no two agree."""

from __future__ import annotations

import pytest

from panelmend.physics.cure_chemistry.glass import degree_for
from panelmend.physics.film import nusselt_level
from panelmend.physics.wet_core import vapour_conductivity


@pytest.mark.parametrize(
    ("rayleigh", "up", "by_hand"), [(1e4, True, 5.4), (1e4, False, 2.7), (1e9, True, 150.0)]
)
def test_a_level_plate(rayleigh: float, up: bool, by_hand: float) -> None:
    """The fourth root of 1e4 is 10, the third of 1e9 is 1000."""
    assert nusselt_level(rayleigh, hot_side_up=up) == pytest.approx(by_hand, rel=1e-12)


def test_the_degree_at_which_cure_stalls() -> None:
    """253 K + 200 K x 0.5 x 0.6 / (1 - 0.5 x 0.6) is 338.714 K."""
    assert degree_for(253.0 + 60.0 / 0.7, 253.0, 453.0, 0.5) == pytest.approx(0.6, rel=1e-12)


def test_vapour_carries_heat_the_better_the_less_air_holds_it_back() -> None:
    """Diffusivity falls as the whole pressure, the drive by still air as its share: 1 over air is left."""
    assert vapour_conductivity(320.0, 4e4) == pytest.approx(2.5 * vapour_conductivity(320.0, 1e5), rel=1e-12)
