"""Identities and limits of classical lamination, and an independent library on random laminates."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelmend.physics.laminate import (
    Criterion,
    Lamina,
    LaminatePly,
    StrainLimits,
    Strengths,
    effective_moduli,
    first_ply_failure,
    hygrothermal_loads,
    laminate,
    max_stress,
    reserve_factors,
    response,
    tsai_hill,
    tsai_wu,
    turned_stiffness,
)

STRONG = Strengths(1500e6, 1200e6, 50e6, 200e6, 80e6)
UD = Lamina(140e9, 9e9, 5e9, 0.3, alpha1=-0.3e-6, alpha2=28e-6, beta2=0.4, strengths=STRONG)
METAL = Lamina(70e9, 70e9, 70e9 / 2.6, 0.3, alpha1=23e-6, alpha2=23e-6)
fast = settings(derandomize=True, database=None, deadline=None, max_examples=40)
angles = st.lists(st.floats(-math.pi, math.pi), min_size=1, max_size=8)
three = st.tuples(*[st.floats(-1e3, 1e3)] * 3)
local = st.tuples(st.floats(-2e9, 2e9), st.floats(-2e8, 2e8), st.floats(-1e8, 1e8)).filter(
    lambda s: max(map(abs, s)) > 1e3
)


def stack(turns, lamina=UD, t=0.2e-3):
    return laminate([LaminatePly(lamina, a, t) for a in turns])


@fast
@given(st.floats(-math.pi, math.pi))
def test_rotation_invariants(theta: float) -> None:
    """Q11 + Q22 + 2 Q12 and Q66 - Q12 do not change as a ply turns."""
    q, bar = UD.Q(), turned_stiffness(UD, theta)
    assert bar[0, 0] + bar[1, 1] + 2 * bar[0, 1] == pytest.approx(q[0, 0] + q[1, 1] + 2 * q[0, 1], rel=1e-12)
    assert bar[2, 2] - bar[0, 1] == pytest.approx(q[2, 2] - q[0, 1], rel=1e-9)
    assert np.linalg.eigvalsh(bar).min() > 0


@fast
@given(angles, three, three, st.floats(-200, 200))
def test_ply_stresses_carry_exactly_the_load(turns, n, m, dT) -> None:
    """The ply stresses integrated through the thickness give back N and M, temperature or not."""
    lam = stack(turns)
    m = np.array(m) * 1e-4
    s = response(lam, n, m, dT=dT).plies.stress
    t = np.diff(lam.z)[:, None]
    mid = (lam.z[1:] + lam.z[:-1])[:, None] / 2
    got_n = (t * s[:, 1]).sum(0)
    got_m = (t * (s[:, 0] * lam.z[:-1, None] + 4 * s[:, 1] * mid + s[:, 2] * lam.z[1:, None]) / 6).sum(0)
    scale = np.abs(s).max() * lam.h + 1e-9
    assert got_n == pytest.approx(np.array(n), abs=1e-8 * scale)
    assert got_m == pytest.approx(m, abs=1e-8 * scale * lam.h)


@fast
@given(angles)
def test_mirrored_stack_has_no_coupling(turns) -> None:
    lam = stack(turns + turns[::-1])
    assert np.abs(lam.B).max() <= 1e-9 * np.abs(lam.A).max() * lam.h
    free, flat = effective_moduli(lam), effective_moduli(lam, flat=True)
    assert free.Ex == pytest.approx(flat.Ex, rel=1e-9)


@fast
@given(angles, st.floats(-math.pi, math.pi))
def test_turning_the_whole_stack_turns_its_stiffness(turns, by) -> None:
    """A of a stack turned by an angle equals the tensor turned: the trace invariant stays."""
    turns = [t / 2 for t in turns]
    by = by / 2
    a, b = stack(turns).A, stack([t + by for t in turns]).A
    assert a[0, 0] + a[1, 1] + 2 * a[0, 1] == pytest.approx(b[0, 0] + b[1, 1] + 2 * b[0, 1], rel=1e-10)
    assert a[2, 2] - a[0, 1] == pytest.approx(b[2, 2] - b[0, 1], rel=1e-8, abs=1e-6 * a[0, 0])


def test_isotropic_plies_are_one_plate() -> None:
    lam = laminate([LaminatePly(METAL, a, 1e-3) for a in (0.3, 1.0, -0.7)])
    bend = 70e9 * 0.003**3 / 12 / (1 - 0.09)
    assert lam.D[0, 0] == pytest.approx(bend, rel=1e-12)
    warm = response(lam, dT=100.0)
    assert warm.eps0[:2] == pytest.approx([23e-4, 23e-4], rel=1e-9)
    assert np.abs(warm.plies.stress).max() < 1.0


def test_swelling_acts_like_heat() -> None:
    hot = Lamina(140e9, 9e9, 5e9, 0.3, alpha1=0.0, alpha2=0.4)
    one = hygrothermal_loads(stack([0, 0.5], hot), dT=0.01)
    two = hygrothermal_loads(stack([0, 0.5], Lamina(140e9, 9e9, 5e9, 0.3, beta2=0.4)), dm=0.01)
    assert one[0] == pytest.approx(two[0])
    assert one[1] == pytest.approx(two[1])


@fast
@given(local)
def test_reserve_lies_on_the_failure_surface(stress) -> None:
    """At R times the stress each criterion has nothing left; twice the stress halves R."""
    s = np.array(stress)
    for rule in (max_stress, tsai_hill, tsai_wu):
        r = float(rule(s, STRONG))
        assert 0 < r < math.inf
        assert float(rule(s * r, STRONG)) == pytest.approx(1.0, rel=1e-9)
        assert float(rule(2 * s, STRONG)) == pytest.approx(r / 2, rel=1e-9)


@fast
@given(local, st.tuples(st.floats(-2e8, 2e8), st.floats(-2e7, 2e7), st.floats(-2e7, 2e7)))
def test_reserve_beside_a_fixed_stress(stress, fixed) -> None:
    """fixed + R load stands just on the surface, for every criterion."""
    s, f = np.array(stress), np.array(fixed)
    for rule in (max_stress, tsai_hill, tsai_wu):
        r = float(rule(s, STRONG, f))
        assert 0 < r < math.inf
        assert float(rule(f + r * s, STRONG)) == pytest.approx(1.0, rel=1e-6)
        assert float(rule(f + 0.99 * r * s, STRONG)) > 1.0 - 1e-9


def test_fixed_stress_that_alone_breaks_the_ply_leaves_nothing() -> None:
    f, s = np.array([0.0, 60e6, 0.0]), np.array([1e6, 0.0, 0.0])
    assert [float(rule(s, STRONG, f)) for rule in (max_stress, tsai_hill, tsai_wu)] == [0.0, 0.0, 0.0]


def test_cure_stress_lowers_the_first_ply_load() -> None:
    lam = stack([0, math.pi / 2, math.pi / 2, 0])
    load, cure = response(lam, (1e3, 0, 0)), response(lam, dT=-150.0)
    plain = first_ply_failure(lam, load, Criterion.TSAI_WU)
    cured = first_ply_failure(lam, load, Criterion.TSAI_WU, cure)
    assert cured.reserve < plain.reserve
    assert cured.ply == plain.ply == 1


def test_max_strain_agrees_with_max_stress_where_poisson_does_nothing() -> None:
    """With nu12 = 0 the two criteria are one when the limits are strength over modulus."""
    limits = StrainLimits(1500e6 / 140e9, 1200e6 / 140e9, 50e6 / 9e9, 200e6 / 9e9, 80e6 / 5e9)
    ply = Lamina(140e9, 9e9, 5e9, 0.0, strengths=STRONG, limits=limits)
    lam = stack([0.2, -0.9, 1.1], ply)
    load = response(lam, (1e4, -2e4, 5e3), (1.0, 0.0, 0.5))
    one = reserve_factors(lam, load, Criterion.MAX_STRESS)
    assert one == pytest.approx(reserve_factors(lam, load, Criterion.MAX_STRAIN), rel=1e-9)


@fast
@given(st.lists(st.floats(-90, 90), min_size=1, max_size=7))
def test_against_an_independent_library(turns) -> None:
    """A, B, D of an MIT-licensed general lamination library on random stacks."""
    other = pytest.importorskip("composipy.core.property")
    material = pytest.importorskip("composipy.core.material")
    theirs = other.LaminateProperty(turns, material.OrthotropicMaterial(140e9, 9e9, 0.3, 5e9, 0.2e-3))
    ours = stack([math.radians(a) for a in turns])
    size = np.abs(ours.A).max()
    assert pytest.approx(np.asarray(theirs.A), abs=1e-9 * size) == ours.A
    assert pytest.approx(np.asarray(theirs.B), abs=1e-9 * size * ours.h) == ours.B
    assert pytest.approx(np.asarray(theirs.D), abs=1e-9 * size * ours.h**2) == ours.D
