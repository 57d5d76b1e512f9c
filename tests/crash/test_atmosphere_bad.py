"""Pressures of nowhere, water off its line."""

from __future__ import annotations

import pytest

from panelmend.errors import RangeError
from panelmend.physics import atmosphere, steam


@pytest.mark.parametrize("t", [200.0, 273.0, 648.0, 1e4])
def test_water_off_its_line(t: float) -> None:
    with pytest.raises(RangeError):
        steam.saturation_pressure(t)


def test_cell_without_air() -> None:
    with pytest.raises(RangeError, match="no air is left"):
        steam.sealed_cell_pressure(400.0, 350.0, 20e3)


def test_elevation_out_of_the_layer() -> None:
    with pytest.raises(RangeError):
        atmosphere.standard_pressure(12000.0)
    with pytest.raises(RangeError):
        atmosphere.standard_elevation(1000.0)
