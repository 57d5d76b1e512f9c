"""The tests' own clamped circular plate: its constant is the first root of the characteristic equation.

J0(k) I1(k) + I0(k) J1(k) = 0 (A. W. Leissa, Vibration of Plates, NASA SP-160, 1969); lambda^2 = 10.2158.
"""

from __future__ import annotations

import math

import pytest
from scipy.optimize import brentq
from scipy.special import iv, jv

from panelmend.errors import RangeError
from tap_plate import LAMBDA_SQUARED, clamped_disc_frequency, plate_rigidity, radius_heard


def test_lambda_is_the_first_root() -> None:
    root = brentq(lambda k: jv(0, k) * iv(1, k) + iv(0, k) * jv(1, k), 2.0, 4.0)
    assert root**2 == pytest.approx(LAMBDA_SQUARED, abs=5e-5)


def test_a_steel_disc_by_hand() -> None:
    """E 200 GPa, nu 0.3, 1 mm, radius 100 mm, 7,850 kg/m3: D = 18.315 N m, f = 248.3 Hz by hand."""
    d = plate_rigidity(200e9, 1e-3, 0.3)
    assert d == pytest.approx(18.315, abs=1e-3)
    f = clamped_disc_frequency(0.1, d, 7.85)
    assert f == pytest.approx(10.2158 / (2 * math.pi * 0.01) * math.sqrt(18.315 / 7.85), rel=1e-4)
    assert radius_heard(f, d, 7.85) == pytest.approx(0.1, rel=1e-12)


def test_a_quarter_of_the_radius_rings_sixteen_times_as_high() -> None:
    assert clamped_disc_frequency(0.02, 5.0, 2.0) == pytest.approx(
        16.0 * clamped_disc_frequency(0.08, 5.0, 2.0)
    )
    with pytest.raises(RangeError, match="above zero"):
        clamped_disc_frequency(0.0, 5.0, 2.0)
