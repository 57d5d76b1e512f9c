"""Series against its own profile, one face against two, monotone and bounded."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelmend.errors import InputError, RangeError
from panelmend.physics import moisture

SETTINGS = settings(derandomize=True, database=None, deadline=None, max_examples=60)


@SETTINGS
@given(st.floats(1e-6, 3.0), st.floats(1.001, 3.0))
def test_uptake_rises_and_stays_below_one(tau: float, more: float) -> None:
    first, second = moisture.uptake(tau), moisture.uptake(tau * more)
    assert 0.0 <= first < second <= 1.0 or second == pytest.approx(1.0, abs=1e-12)


def profile(place: float, tau: float) -> float:
    """Share of the moisture left at a depth over the thickness (Crank, equation 4.16)."""
    odd = range(1, 800, 2)
    terms = (math.sin(m * math.pi * place) / m * math.exp(-((m * math.pi) ** 2) * tau) for m in odd)
    return 4.0 / math.pi * sum(terms)


@pytest.mark.parametrize("tau", [0.001, 0.02, 0.1, 0.5])
def test_uptake_is_the_integral_of_the_profile(tau: float) -> None:
    n = 4000
    mean = sum(profile((i + 0.5) / n, tau) for i in range(n)) / n
    assert 1.0 - mean == pytest.approx(moisture.uptake(tau), abs=2e-5)


def test_short_and_long_series_meet() -> None:
    assert moisture.uptake(0.02 - 1e-12) == pytest.approx(moisture.uptake(0.02 + 1e-12), abs=1e-9)


@SETTINGS
@given(st.floats(0.02, 0.98), st.floats(1e-4, 5e-3), st.floats(1e-13, 1e-10))
def test_one_face_takes_four_times_two(left: float, h: float, d: float) -> None:
    two = moisture.drying_time(h, d, left, open_faces=2)
    one = moisture.drying_time(h, d, left, open_faces=1)
    assert one == pytest.approx(4.0 * two, rel=1e-9)
    assert moisture.uptake(d * two / h**2) == pytest.approx(1.0 - left, abs=1e-9)


def test_arrhenius_slope() -> None:
    d1, d2 = (moisture.diffusivity(t, 1e-5, 4.5e4) for t in (340.0, 360.0))
    assert math.log(d2 / d1) == pytest.approx(4.5e4 / 8.314462618 * (1 / 340 - 1 / 360))


def test_water_behind_a_skin_takes_weeks() -> None:
    # 0.5 kg/m2 behind 1 mm at 1e-12 m2/s and 20 kg/m3: far beyond any shift
    assert moisture.core_drying_time(0.5, 1e-3, 1e-12, 20.0) > 200 * 86400


def test_refusals() -> None:
    with pytest.raises(InputError):
        moisture.drying_time(1e-3, 1e-12, 0.0, open_faces=2)
    with pytest.raises(InputError):
        moisture.drying_time(1e-3, -1e-12, 0.1, open_faces=2)
    with pytest.raises(InputError):
        moisture.drying_time(1e-3, 1e-12, 0.1, open_faces=3)
    with pytest.raises(InputError):
        moisture.uptake(-1.0)
    with pytest.raises(InputError, match="when cold"):
        moisture.diffusivity(350.0, 1e-5, -4e4)
    with pytest.raises(RangeError):
        moisture.core_drying_time(0.5, 1e-3, 1e-12, 20.0, 20.0)
