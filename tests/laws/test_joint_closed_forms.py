"""The solver against closed forms: the forms are printed, the numbers are computed here from them.

L. J. Hart-Smith, NASA CR-112235 (double laps) and CR-112237 (scarf and stepped laps), 1973; M. Goland,
E. Reissner, J. Applied Mechanics 11 (1944) A17 (values checked by an independent boundary-value solution).

Double lap: tau_p 6000 psi, G 60 000 psi, gp 1.5, eta .005 in, E 8e6 psi, ti .10, to .05 in.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from joint_oracle import (
    bending_factor,
    design_overlap,
    double_lap_long,
    goland_reissner,
    peel_at_tip,
    scarf,
    scarf_stress,
)
from panelmend.physics.joint import (
    AdhesiveLayer,
    BeamStep,
    Bond,
    BondStep,
    capacity,
    lap,
    shear_decay,
    solve_bond,
)
from panelmend.physics.joint.bond import Ends
from panelmend.units import INCH, PSI
from peel_oracle import peel_along

LB_IN = PSI * INCH
LAYER = AdhesiveLayer(60_000 * PSI, 0.005 * INCH, 6000 * PSI, 1.5)
INNER, OUTER = 8e6 * 0.10 * LB_IN, 8e6 * 0.05 * LB_IN


def double(length: float) -> Bond:
    return Bond((BondStep(length * INCH, 2 * OUTER, INNER),), LAYER, faces=2)


def test_long_double_lap() -> None:
    assert double_lap_long(LAYER, INNER, OUTER) / LB_IN == pytest.approx(17_251.087, abs=1e-3)


def test_two_inch_double_lap() -> None:
    """17 249.2 lb/in with .5901 in of flow at each end; 2e-5 for the mesh cell in which flow begins."""
    got = capacity(double(2.0), lap(1e6), cells=320)
    assert got.factor * 1e6 / LB_IN == pytest.approx(17_249.2, rel=2e-5)
    assert got.answer.peaks[0].plastic / INCH / 2 == pytest.approx(0.5901, rel=3e-4)


def test_short_overlap_flows_all_along() -> None:
    """Half an inch carries 2 tau_p L and no more."""
    got = capacity(double(0.5), lap(1e6))
    assert got.factor * 1e6 / LB_IN == pytest.approx(2 * 6000 * 0.5, rel=1e-9)


def test_strength_stops_growing_with_overlap() -> None:
    long = double_lap_long(LAYER, INNER, OUTER)
    assert capacity(double(6.0), lap(1e6), cells=320).factor * 1e6 == pytest.approx(long, rel=3e-5)


def test_lightly_stressed_middle_of_the_design_overlap() -> None:
    """6/lambda of elastic trough leaves a tenth of tau_p in the middle (cosh 3 = 10.07)."""
    load = 0.8 * double_lap_long(LAYER, INNER, OUTER)
    lam = shear_decay(LAYER, 2 * OUTER, INNER, 2)
    # the trough itself carries 2 tanh(3)/lambda of flow length: taken off, the tenth is exact
    length = design_overlap(LAYER, 2 * OUTER, INNER, load, faces=2) - 2 * math.tanh(3.0) / lam
    answer = solve_bond(Bond((BondStep(length, 2 * OUTER, INNER),), LAYER, 2), lap(load))
    assert answer.peaks[0].least / LAYER.tau_p == pytest.approx(1 / math.cosh(3.0), rel=2e-3)


def test_unequal_scarf_of_great_length() -> None:
    """CR-112237: the mean shear over the peak tends to the stiffness ratio of the adherends."""
    weak = AdhesiveLayer(60_000 * PSI, 0.005 * INCH)
    for ratio in (0.8, 0.5):
        steps = scarf(20 * INCH, ratio * INNER, INNER, tip=1e-9)
        answer = solve_bond(Bond(steps, weak), lap(1e6), cells=600)
        mean = 1e6 / (20 * INCH)
        assert mean / answer.tau.max() == pytest.approx(ratio, rel=0.02)


def test_equal_scarf_is_evenly_stressed() -> None:
    """Equal adherends: the same shear all along, whatever the length."""
    answer = solve_bond(Bond(scarf(2 * INCH, INNER, INNER, tip=1e-8), LAYER), lap(1e6))
    assert answer.tau[1:-1].max() / answer.tau[1:-1].min() == pytest.approx(1.0, abs=0.01)


def test_peel_at_a_strap_end() -> None:
    """tau_p (3 Ec (1 - nu^2) to/(Eo eta))^(1/4) against a beam on springs whose tip is in flow."""
    layer = AdhesiveLayer(60_000 * PSI, 0.005 * INCH, 6000 * PSI, 1.5, E=150_000 * PSI)
    t, e, nu = 0.05 * INCH, 8e6 * PSI, 0.3
    d = e * t**3 / 12 / (1 - nu**2)
    hand = 6000 * PSI * (3 * 150e3 * (1 - nu**2) * 0.05 / (8e6 * 0.005)) ** 0.25
    assert peel_at_tip(layer, 6000 * PSI, d, t) == pytest.approx(hand, rel=1e-12)
    # a strap that ends at x = L, its partner rigid in bending: half an inch flows at the tip
    bond = Bond((BondStep(2 * INCH, OUTER, INNER / 2),), layer)
    answer = solve_bond(bond, Ends(0.0, OUTER * 0.0 + 8000 * LB_IN, 8000 * LB_IN))
    peel = peel_along(answer, [BeamStep(d, t)], slope_held_at_end=True)
    assert math.isclose(abs(answer.tau[0]), 6000 * PSI, rel_tol=1e-9)
    assert abs(peel.peel[0]) == pytest.approx(hand, rel=0.02)
    assert shear_decay(layer, OUTER, INNER / 2) > 0


def test_goland_reissner_ends() -> None:
    """T 200 N/mm, 2c 12.5, t 1.6, E 70 GPa, nu .33, Ea 2700, Ga 1000, ta .2: 48.395894, 62.023426 MPa."""
    got = goland_reissner(AdhesiveLayer(1e9, 0.2e-3, E=2.7e9), 1.6e-3, 70e9, 0.33, 12.5e-3, 200e3)
    for end in (0, -1):
        assert got.shear[end] == pytest.approx(48.395894e6, rel=1e-8)
        assert got.peel[end] == pytest.approx(62.023426e6, rel=1e-8)


def test_bending_factor_limits() -> None:
    """k is 1 for no load and falls to 1/(1 + 2 sqrt 2) = .26 for long overlaps under high load."""
    assert bending_factor(1.6e-3, 70e9, 0.33, 12.5e-3, 1e-6) == pytest.approx(1.0, abs=1e-4)
    assert bending_factor(1.6e-3, 70e9, 0.33, 1.0, 1e6) == pytest.approx(0.26, abs=0.002)


def test_shear_carries_the_load() -> None:
    got = goland_reissner(
        AdhesiveLayer(1e9, 0.2e-3, E=2.7e9), 1.6e-3, 70e9, 0.33, 12.5e-3, 200e3, points=4001
    )
    assert np.trapezoid(got.shear, got.x) == pytest.approx(200e3, rel=1e-5)
    # the peel adds up to the edge shear k'T t/(2c) ... times 2: (Goland and Reissner's V0)
    k = bending_factor(1.6e-3, 70e9, 0.33, 12.5e-3, 200e3)
    v0 = k * 200e3 * math.sqrt(3 * (1 - 0.33**2) * 200e3 / (70e9 * 1.6e-3))
    assert np.trapezoid(got.peel, got.x) == pytest.approx(v0, rel=1e-3)


def test_plain_scarf_one_in_twenty() -> None:
    """300 MPa: 14.96259 shear, .74813 MPa peel."""
    tau, peel = scarf_stress(20.0, 300e6)
    assert tau / 1e6 == pytest.approx(14.96259, abs=5e-6)
    assert peel / 1e6 == pytest.approx(0.74813, abs=5e-6)
