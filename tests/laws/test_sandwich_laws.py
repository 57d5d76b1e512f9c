"""Limits and identities of sandwich sections and their checks."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hole_oracle import patched_stress
from panelmend.physics.laminate import Lamina, LaminatePly, Strengths, laminate
from panelmend.physics.sandwich import (
    ModeCheck,
    ModeNotChecked,
    Sandwich,
    SandwichCore,
    Wrinkling,
    check_section,
    crimping_load,
    state,
    wrinkling_stress,
)

fast = settings(derandomize=True, database=None, deadline=None, max_examples=30)
WEAVE = Lamina(60e9, 60e9, 4e9, 0.05, strengths=Strengths(7e8, 5.5e8, 7e8, 5.5e8, 9e7), name="weave")
METAL = Lamina(70e9, 70e9, 70e9 / 2.6, 0.3)
CORE = SandwichCore(44e6, 22e6, Ez=138e6, FL=1.2e6, FW=0.7e6, Fc=1.9e6, cell=3.2e-3, name="honeycomb")


def skin(n=3, theta=0.0):
    return laminate([LaminatePly(WEAVE, theta, 0.2e-3)] * n)


def panel(**changes):
    base = {"lower": skin(), "core": CORE, "tc": 15e-3, "upper": skin()}
    return Sandwich(**{**base, **changes})


def test_equal_faces_do_not_couple() -> None:
    a, b, d = panel().stiffness()
    assert np.abs(b).max() <= 1e-12 * np.abs(a).max() * 15e-3
    assert d[0, 0] == pytest.approx(2 * skin().A[0, 0] * (7.8e-3) ** 2 + 2 * skin().D[0, 0])


def test_isotropic_faces_give_the_beam_formula() -> None:
    """With nu = 0 the section's D is E (h^3 - tc^3)/12 of the beam."""
    plain = Lamina(70e9, 70e9, 35e9, 0.0)
    face = laminate([LaminatePly(plain, 0.0, 0.6e-3)])
    _, _, d = Sandwich(face, CORE, 15e-3, face).stiffness()
    assert d[0, 0] == pytest.approx(70e9 * (16.2e-3**3 - 15e-3**3) / 12.0, rel=1e-12)


@fast
@given(st.floats(-5e-3, 5e-3))
def test_shifted_reference_plane_is_the_same_panel(shift: float) -> None:
    """Moving z = 0 changes A, B, D by the parallel-axis rule, so the reduced bending stiffness stays."""
    plain, moved = panel(upper=skin(5)), panel(upper=skin(5), shift=shift)
    for section in (plain, moved):
        a, b, d = section.stiffness()
        section_bending = d - b @ np.linalg.solve(a, b)
        assert section_bending == pytest.approx(
            plain.stiffness()[2] - plain.stiffness()[1] @ np.linalg.solve(a, plain.stiffness()[1]), rel=1e-9
        )


@fast
@given(st.floats(-math.pi, math.pi))
def test_turned_ribbon_keeps_the_shear_invariants(angle: float) -> None:
    s = panel(ribbon=angle).shear_stiffness()
    t = panel().shear_stiffness()
    assert np.trace(s) == pytest.approx(np.trace(t))
    assert np.linalg.det(s) == pytest.approx(np.linalg.det(t))


def test_quarter_turn_swaps_ribbon() -> None:
    s = panel(ribbon=math.pi / 2).shear_stiffness()
    assert s[0, 0] / s[1, 1] == pytest.approx(0.5)


def test_even_warming_bends_a_lopsided_panel_only() -> None:
    hot = Lamina(60e9, 60e9, 4e9, 0.05, alpha1=3e-6, alpha2=3e-6)
    face = laminate([LaminatePly(hot, 0.0, 0.6e-3)])
    even = Sandwich(face, CORE, 15e-3, face)
    n, m = even.thermal(100.0, 100.0)
    eps, kappa = state(even, n, m)
    assert eps[:2] == pytest.approx([3e-4, 3e-4])
    assert np.abs(kappa).max() < 1e-12
    n, m = even.thermal(0.0, 100.0)
    eps, kappa = state(even, n, m)
    assert eps[0] == pytest.approx(1.5e-4)
    assert kappa[0] == pytest.approx(3e-4 / 15.6e-3, rel=2e-3)


@fast
@given(st.floats(0.2, 5.0))
def test_reserves_scale_with_load(k: float) -> None:
    n, m, q = np.array([-2e4, 5e3, 3e3]), np.array([100.0, 20.0, 5.0]), np.array([2e3, 1e3])
    one, two = (check_section(panel(), f * n, f * m, f * q) for f in (1.0, k))
    for a, b in zip(one, two, strict=True):
        assert a.reserve == pytest.approx(k * b.reserve, rel=1e-9)


def test_bending_puts_one_face_in_compression() -> None:
    got = {
        (c.mode, c.place): c
        for c in check_section(panel(), np.zeros(3), np.array([100.0, 0, 0]), np.zeros(2))
    }
    # positive M stretches positive z
    assert got["wrinkling", "lower face"].applied > 1e5 * got["wrinkling", "upper face"].applied
    assert got["wrinkling", "lower face"].applied == pytest.approx(100 / 15.6e-3 / 0.6e-3, rel=2e-2)
    assert got["core shear", "core"].reserve == math.inf


def test_turning_panel_and_load_together_changes_nothing() -> None:
    """A quarter turn of plies, ribbon and load leaves every reserve."""
    n, m, q = np.array([-2e4, 5e3, 0.0]), np.array([100.0, 20.0, 0.0]), np.array([2e3, 1e3])
    turned = panel(lower=skin(theta=math.pi / 2), upper=skin(theta=math.pi / 2), ribbon=math.pi / 2)
    one = check_section(panel(), n, m, q)
    two = check_section(turned, n[[1, 0, 2]], m[[1, 0, 2]], np.array([q[1], q[0]]))
    assert [c.reserve for c in one] == pytest.approx([c.reserve for c in two], rel=1e-9)


def test_missing_data_are_not_checked() -> None:
    bare = SandwichCore(44e6, 22e6, name="plain core")
    weak = laminate([LaminatePly(METAL, 0.0, 0.6e-3)])
    got = check_section(panel(core=bare, lower=weak), np.array([-1e4, 0, 0]), np.zeros(3), np.ones(2))
    missing = {(c.mode, c.place) for c in got if isinstance(c, ModeNotChecked)}
    assert ("face strength", "lower face") in missing
    assert ("core shear", "core") in missing
    assert ("flatwise", "core") in missing
    assert ("wrinkling", "upper face") in missing
    assert any(isinstance(c, ModeCheck) and c.mode == "crimping" for c in got)


@fast
@given(st.floats(0.0, 20.0), st.floats(0.05, 20.0))
def test_a_patch_never_helps_more_than_the_wide_strip(s: float, aspect: float) -> None:
    got = patched_stress(s, aspect, 1.0)
    # transverse restraint can take a very wide patch a little below the strip value
    assert 0.95 / (1 + s) <= got <= 1 + 1e-12
    assert patched_stress(0.0, aspect, 1.0) == pytest.approx(1.0)


def test_design_forms() -> None:
    """Design over theory: .5/.9086 for thick cores, .33/.82 for honeycomb; numbers computed here."""
    args = (60e9, 138e6, 44e6, 0.6e-3, 15e-3)
    assert wrinkling_stress(Wrinkling.SOLID_DESIGN, *args) == pytest.approx(357.106e6, rel=1e-5)
    theory = wrinkling_stress(Wrinkling.HONEYCOMB_THEORY, *args)
    assert theory == pytest.approx(0.82 * 60e9 * np.sqrt(138e6 * 0.6 / (60e9 * 15)), rel=1e-12)
    assert wrinkling_stress(Wrinkling.HONEYCOMB_DESIGN, *args) / theory == pytest.approx(0.33 / 0.82)


def test_crimping() -> None:
    """G d^2/tc by hand: 44 MPa, d 15.6, tc 15 mm."""
    assert crimping_load(44e6, 15.6e-3, 15e-3) == pytest.approx(713_856.0, rel=1e-6)
