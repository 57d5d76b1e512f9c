"""Moisture against series and closed forms evaluated by ourselves.

J. Crank, The Mathematics of Diffusion, 2nd ed., Oxford 1975: plane sheet, sections 4.3.2 and 4.3.3 (the
digits of G are the series summed, not the book's); C.-H. Shen and G. S. Springer, J. Composite Materials 10
(1976) 2, for the short form.
"""

from __future__ import annotations

import math

import pytest

from panelmend.physics import moisture


def uptake_short_form(tau: float) -> float:
    """The usual one-line fit: Shen and Springer, J. Composite Materials 10 (1976) 2."""
    return 1.0 - math.exp(-7.3 * tau**0.75)


@pytest.mark.parametrize(("tau", "g"), [(0.05, 0.50409), (0.2, 0.88740)])
def test_exact_series(tau: float, g: float) -> None:
    assert moisture.uptake(tau) == pytest.approx(g, abs=6e-6)


def test_half_time() -> None:
    # the other way round of the printed half time
    assert moisture.uptake(0.04919) == pytest.approx(0.5, abs=2e-4)


def test_a_sealed_face_makes_it_four_times_as_long() -> None:
    # a sealed face makes it four times as long
    two, one = (moisture.drying_time(1e-3, 1e-12, 1.0 - moisture.uptake(0.67), open_faces=n) for n in (2, 1))
    assert two == pytest.approx(0.67 * 1e-6 / 1e-12, rel=1e-6)
    assert one == pytest.approx(4.0 * two, rel=1e-9)


def test_short_form_is_up_to_0_0363_off() -> None:
    worst = max(abs(moisture.uptake(i / 2000) - uptake_short_form(i / 2000)) for i in range(1, 4000))
    assert worst == pytest.approx(0.0363, abs=6e-5)


def test_early_time_slope() -> None:
    # Crank eq. 4.20, first term: 4 sqrt(tau/pi)
    assert moisture.uptake(1e-4) == pytest.approx(4.0 * (1e-4 / 3.141592653589793) ** 0.5, rel=1e-9)


def test_time_lag_through_a_sheet() -> None:
    # Crank section 4.3.3: lag l2/6D; with no water behind it only the lag remains
    assert moisture.core_drying_time(0.0, 1.5e-3, 1e-12, 20.0) == pytest.approx(1.5e-3**2 / 6e-12)
