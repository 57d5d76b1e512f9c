"""Closed forms, order of the integrator, limits, and the same answer by two ways."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

import cure_shift_oracle as shift
from panelmend.errors import InputError, RangeError
from panelmend.physics import cure_chemistry as cc

SETTINGS = settings(derandomize=True, database=None, deadline=None, max_examples=40)
KAMAL = cc.autocatalytic(2e4, 6.5e4, 3e5, 6.2e4, 0.8, 1.6)


@SETTINGS
@given(st.floats(340.0, 460.0), st.floats(0.5, 2.5), st.floats(60.0, 2e4))
def test_n_order_closed_form(t: float, order: float, seconds: float) -> None:
    law = cc.n_order(2e5, 6.5e4, order)
    k = law(0.0, t)
    if abs(order - 1.0) < 1e-6:
        exact = 1.0 - math.exp(-k * seconds)
    else:
        base = 1.0 + (order - 1.0) * k * seconds
        exact = 1.0 if base <= 0.0 else 1.0 - base ** (1.0 / (1.0 - order))
    assert cc.integrate(law, (0.0, seconds), (t, t)).degree[-1] == pytest.approx(exact, abs=3e-6)


@SETTINGS
@given(st.floats(340.0, 460.0), st.floats(1e2, 1e5), st.floats(10.0, 5e3))
def test_autocatalytic_closed_form(t: float, first: float, seconds: float) -> None:
    """m = n = 1: (k1 + k2 a)(1 - a) gives a = k1 (1 - g)/(k1 + k2 g) with g = exp(-(k1 + k2) t)."""
    law = cc.autocatalytic(first, 6.5e4, 3e5, 6.2e4, 1.0, 1.0)
    k1 = first * math.exp(-6.5e4 / (8.314462618 * t))
    k2 = 3e5 * math.exp(-6.2e4 / (8.314462618 * t))
    g = math.exp(-(k1 + k2) * seconds)
    exact = k1 * (1.0 - g) / (k1 + k2 * g)
    assert cc.integrate(law, (0.0, seconds), (t, t)).degree[-1] == pytest.approx(exact, abs=3e-6)


def test_autocatalytic_rate_is_greatest_half_way() -> None:
    """With k1 0 and m = n the rate a^m (1 - a)^n is greatest at m/(m + n), and none at the start."""
    law = cc.autocatalytic(0.0, 6.5e4, 3e5, 6.2e4, 0.8, 1.6)
    assert law(0.0, 400.0) == 0.0
    rates = [law(i / 3000, 400.0) for i in range(3001)]
    assert rates.index(max(rates)) / 3000 == pytest.approx(0.8 / 2.4, abs=4e-4)


def test_cut_off_halves_the_rate_at_its_limit() -> None:
    """Chern and Poehlein's factor is 1/2 where the degree of cure is its limit at that temperature."""
    cut = cc.CutOff(40.0, -1.0, 0.0045)
    slowed = cc.autocatalytic(2e4, 6.5e4, 3e5, 6.2e4, 0.8, 1.6, cut_off=cut)
    for t in (370.0, 394.0, 420.0):
        limit = -1.0 + 0.0045 * t
        assert slowed(limit, t) == pytest.approx(0.5 * KAMAL(limit, t))
        assert slowed(limit - 0.3, t) == pytest.approx(KAMAL(limit - 0.3, t), rel=1e-4)


def test_against_scipy_on_a_ramp_and_hold() -> None:
    times, temps = (0.0, 3000.0, 9000.0, 11000.0), (295.0, 394.0, 394.0, 320.0)

    def f(t: float, y: list[float]) -> list[float]:
        i = 0 if t < 3000.0 else 1 if t < 9000.0 else 2
        s = (t - times[i]) / (times[i + 1] - times[i])
        return [KAMAL(y[0], temps[i] + s * (temps[i + 1] - temps[i]))]

    y = 0.0
    for a, b in itertools.pairwise(times):
        y = solve_ivp(f, (a, b - 1e-9), [y], rtol=1e-10, atol=1e-12).y[0, -1]
    made = cc.integrate(KAMAL, times, temps)
    assert made.degree[-1] == pytest.approx(y, abs=1e-6)
    assert made.error < 1e-5


@SETTINGS
@given(st.lists(st.floats(290.0, 460.0), min_size=3, max_size=8))
def test_cure_never_falls_and_never_passes_one(temps: list[float]) -> None:
    degree = cc.integrate(KAMAL, [600.0 * i for i in range(len(temps))], temps).degree
    assert all(a <= b <= 1.0 for a, b in itertools.pairwise(degree))


def test_cut_off_holds_cure_near_its_limit_and_without_it_more_is_reached() -> None:
    cut = cc.autocatalytic(2e4, 6.5e4, 3e5, 6.2e4, 0.8, 1.6, cut_off=cc.CutOff(40.0, -1.0, 0.0045))
    day = (0.0, 86400.0)
    held = cc.integrate(cut, day, (394.0, 394.0)).degree[-1]
    free = cc.integrate(KAMAL, day, (394.0, 394.0)).degree[-1]
    assert -1.0 + 0.0045 * 394.0 < held < 0.95 < free


def test_reference_cure_gives_back_its_own_point() -> None:
    for order in (1.0, 1.7):
        law = cc.from_reference(5400.0, 394.0, 0.95, 7e4, order)
        assert cc.integrate(law, (0.0, 5400.0), (394.0, 394.0)).degree[-1] == pytest.approx(0.95, abs=1e-7)


def test_shift_and_law_agree() -> None:
    law = cc.from_reference(5400.0, 394.0, 0.95, 7e4)
    longer = shift.equivalent_time(5400.0, 394.0, 380.0, 7e4)
    assert cc.integrate(law, (0.0, longer), (380.0, 380.0)).degree[-1] == pytest.approx(0.95, abs=1e-6)


def test_history_at_the_reference_is_its_own_time() -> None:
    same = shift.equivalent_of_history((0.0, 100.0, 5400.0), (394.0,) * 3, 394.0, 7e4)
    assert same.time == pytest.approx(5400.0)
    assert same.trusted == pytest.approx(5400.0)
    ramp = shift.equivalent_of_history((0.0, 3000.0), (295.0, 394.0), 394.0, 7e4)
    assert 0.0 < ramp.trusted < ramp.time < 3000.0


def test_heat_beyond_the_data_earns_nothing() -> None:
    at_limit = shift.equivalent_of_history((0.0, 60.0), (394.0 + shift.LONGEST_SHIFT,) * 2, 394.0, 7e4)
    far = shift.equivalent_of_history((0.0, 60.0), (480.0, 480.0), 394.0, 7e4)
    assert far.time == pytest.approx(at_limit.time)


@SETTINGS
@given(st.floats(0.0, 1.0), st.floats(0.2, 1.0))
def test_glass_transition_lies_between_its_ends(degree: float, shape: float) -> None:
    t = cc.glass_transition(degree, 260.0, 480.0, shape)
    assert 260.0 <= t <= 480.0 + 1e-9


def test_long_shifts_and_glass_are_refused() -> None:
    with pytest.raises(RangeError, match="22 K"):
        shift.equivalent_time(3600.0, 450.0, 394.0, 7e4)
    assert shift.equivalent_time(3600.0, 450.0, 394.0, 7e4, measured=(390.0, 450.0)) > 3600.0
    with pytest.raises(RangeError, match="glass"):
        shift.equivalent_time(3600.0, 394.0, 380.0, 7e4, glass_transition=385.0)


def test_refusals() -> None:
    with pytest.raises(InputError, match="kJ/mol"):
        cc.n_order(1e5, 65.0, 1.0)
    with pytest.raises(InputError, match="positive"):
        cc.n_order(-1.0, 6.5e4, 1.0)
    with pytest.raises(InputError, match="kelvin"):
        cc.integrate(KAMAL, (0.0, 60.0), (121.0, 121.0))
    with pytest.raises(InputError, match="rise"):
        cc.integrate(KAMAL, (0.0, 60.0, 60.0), (390.0, 390.0, 390.0))
    with pytest.raises(InputError, match="hotter"):
        shift.activation_energy(4.0, 423.0, 16.0, 473.0)
    with pytest.raises(InputError):
        cc.glass_transition(0.5, 480.0, 260.0, 0.5)
    for degree in (-0.1, 0.0, 1.0, 1.1):
        with pytest.raises(InputError, match="between 0 and 1"):
            cc.from_reference(5400.0, 394.0, degree, 6.5e4)
    for degree in (1e-6, 1.0 - 1e-6):
        law = cc.from_reference(5400.0, 394.0, degree, 6.5e4)
        assert cc.integrate(law, (0.0, 5400.0), (394.0, 394.0)).degree[-1] == pytest.approx(degree, rel=1e-5)
