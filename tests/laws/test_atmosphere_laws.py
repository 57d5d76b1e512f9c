"""There and back again, Dalton, and which way things move."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelmend.physics import atmosphere, steam

SETTINGS = settings(derandomize=True, database=None, deadline=None, max_examples=60)


@SETTINGS
@given(st.floats(-4000.0, 10900.0))
def test_elevation_and_pressure_invert(height: float) -> None:
    p = atmosphere.standard_pressure(height)
    assert atmosphere.standard_elevation(p) == pytest.approx(height, abs=1e-6)


@SETTINGS
@given(st.floats(274.0, 640.0))
def test_saturation_line_inverts(t: float) -> None:
    # IF97 states both equations agree along the line to the last printed digits
    assert steam.saturation_temperature(steam.saturation_pressure(t)) == pytest.approx(t, abs=1e-6)


def test_dry_sealed_air_presses_harder_than_moist_air() -> None:
    moist = steam.sealed_cell_pressure(394.0, 300.0, 101325.0)
    dry = steam.sealed_cell_pressure(394.0, 300.0, 101325.0, saturated=False)
    assert dry - moist == pytest.approx(steam.saturation_pressure(300.0) * 394.0 / 300.0)


def test_pump_that_cannot_reach_zero_lowers_the_reach() -> None:
    assert atmosphere.highest_elevation(70e3, 3e3) < atmosphere.highest_elevation(70e3)
