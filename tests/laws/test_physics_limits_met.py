"""Physics asked at the last value it takes and just beyond it."""

from __future__ import annotations

import pytest

from panelmend.errors import RangeError
from panelmend.physics.steam import CRITICAL, LOWEST, cell_temperature, sealed_cell_pressure

SEALED_AT, AIR = 296.0, 101325.0  # K, Pa


@pytest.mark.parametrize("saturated", [True, False])
@pytest.mark.parametrize(("end", "outward"), [(LOWEST, -1.0), (CRITICAL, 1.0)])
def test_a_pressure_a_closed_cell_has_at_the_ends_of_what_is_known_of_water(
    end: float, outward: float, saturated: bool
) -> None:
    """Half a pascal beyond, and one more, are refused; the end itself and half a pascal inside are told."""
    there = sealed_cell_pressure(end, SEALED_AT, AIR, saturated=saturated)
    for by in (0.0, 0.5, 1.5):
        found = cell_temperature(there - outward * by, SEALED_AT, AIR, saturated=saturated)
        assert found == pytest.approx(end, abs=0.01)
    for by in (0.5, 1.5):
        with pytest.raises(RangeError, match="at no temperature"):
            cell_temperature(there + outward * by, SEALED_AT, AIR, saturated=saturated)
