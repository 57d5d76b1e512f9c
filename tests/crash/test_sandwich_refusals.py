"""Bad sandwich and hole input is refused with words."""

from __future__ import annotations

import math

import numpy as np
import pytest

from hole_oracle import hole_factor, patched_stress, stress_beside_hole
from panelmend.errors import InputError
from panelmend.physics.laminate import Lamina, LaminatePly, laminate
from panelmend.physics.sandwich import (
    Sandwich,
    SandwichCore,
    Wrinkling,
    check_section,
    dimpling_stress,
    honeycomb,
    wrinkling_stress,
)

FACE = laminate([LaminatePly(Lamina(60e9, 60e9, 4e9, 0.05), 0.0, 0.6e-3)])
CORE = SandwichCore(44e6, 22e6)


def test_core_values() -> None:
    with pytest.raises(InputError, match="GW"):
        SandwichCore(44e6, -22e6)
    with pytest.raises(InputError, match="cell"):
        SandwichCore(44e6, 22e6, cell=0.0)


def test_core_thickness_and_ribbon() -> None:
    with pytest.raises(InputError, match="core thickness"):
        Sandwich(FACE, CORE, 0.0, FACE)
    with pytest.raises(InputError, match="radians"):
        Sandwich(FACE, CORE, 15e-3, FACE, ribbon=90.0)


def test_loads_without_direction() -> None:
    with pytest.raises(InputError, match="N must be 3"):
        check_section(Sandwich(FACE, CORE, 15e-3, FACE), np.array([1e4]), np.zeros(3), np.zeros(2))


def test_modes() -> None:
    with pytest.raises(InputError, match="Ez"):
        wrinkling_stress(Wrinkling.SOLID_DESIGN, 60e9, 0.0, 44e6, 1e-3, 1e-2)
    with pytest.raises(InputError, match="nu"):
        dimpling_stress(60e9, 1.0, 1e-3, 3e-3)
    with pytest.raises(InputError, match="nu"):
        dimpling_stress(60e9, -1.0, 1e-3, 3e-3)
    assert dimpling_stress(60e9, -0.5, 1e-3, 3e-3) == dimpling_stress(60e9, 0.5, 1e-3, 3e-3)
    with pytest.raises(InputError, match="thin-wall"):
        honeycomb(70e9, 0.33, 2700, 1e-3, 3e-3)
    with pytest.raises(InputError, match="Poisson"):
        honeycomb(70e9, 0.7, 2700, 1e-5, 3e-3)


def test_holes() -> None:
    with pytest.raises(InputError, match="positive definiteness"):
        hole_factor(10e9, 70e9, 4e9, 0.5)
    with pytest.raises(InputError, match="inside the hole"):
        stress_beside_hole(3.0, np.array([0.5]))
    with pytest.raises(InputError, match="negative"):
        patched_stress(-0.5, 1.0, 1.0)
    with pytest.raises(InputError, match="finite"):
        patched_stress(math.nan, 1.0, 1.0)
