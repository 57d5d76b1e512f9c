"""Closed forms for lap joints and scarfs: quick answers, and limits for the general solution.

Running loads are per width [N/m]. x runs from the middle of the overlap.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from panelmend.physics.joint.adhesive import Adhesive
from panelmend.physics.structure_inputs import Array, NotComputed, finite, positive
from panelmend.units import INCH


@dataclass(frozen=True, eq=False)
class LapStress:
    """Stress along an overlap: ``x`` [m] from its middle, ``shear`` and ``peel`` [Pa], the same shape."""

    x: Array
    shear: Array
    peel: Array


def shear_decay(adhesive: Adhesive, K1: float, K2: float, faces: int = 1) -> float:
    """lambda [1/m], the rate at which the shear peak dies out: sqrt(G/t (1/K1 + 1/K2) faces).

    Args:
        adhesive: the layer.
        K1: E t of one adherend [N/m].
        K2: E t of the other [N/m].
        faces: bonded faces between the two (2: K1 holds both outer straps of a double lap).

    Raises:
        InputError: a stiffness that is not positive.
    """
    both = 1.0 / positive(K1, "K1", "N/m") + 1.0 / positive(K2, "K2", "N/m")
    return math.sqrt(adhesive.G / adhesive.t * both * faces)


def volkersen(
    adhesive: Adhesive, K1: float, K2: float, overlap: float, P: float, points: int = 201
) -> LapStress:
    """Elastic shear of a single lap whose adherends only stretch.

    Volkersen, Luftfahrtforschung 15 (1938) 41.

    Args:
        adhesive: the layer.
        K1: E t of the adherend loaded at x = -overlap/2 [N/m].
        K2: E t of the one loaded at +overlap/2 [N/m].
        overlap: its length [m].
        P: running load [N/m].
        points: how many.

    Returns:
        Shear; peel is zero in this theory.

    Raises:
        InputError: values not positive.
    """
    lam = shear_decay(adhesive, K1, K2)
    c = positive(overlap, "overlap", "m") / 2.0
    x = np.linspace(-c, c, points)
    # cosh(lx)/sinh(lc) written so that long overlaps do not overflow
    decay = np.exp(lam * (x - c)), np.exp(-lam * (x + c))
    even = (decay[0] + decay[1]) / (1.0 - math.exp(-2 * lam * c))
    odd = (decay[0] - decay[1]) / (1.0 + math.exp(-2 * lam * c))
    # the softer side peaks where its partner's load is still whole
    skew = (K1 - K2) / (K1 + K2)
    shear = finite(P, "P", "N/m") * lam / 2.0 * (even + skew * odd)
    return LapStress(x, shear, np.zeros_like(x))


def bending_factor(t: float, E: float, nu: float, overlap: float, T: float) -> float:
    """Goland and Reissner's k [1]: edge moment over T t/2, long free ends.

    Args:
        t: adherend thickness [m].
        E: its modulus [Pa].
        nu: its Poisson's ratio [1].
        overlap: length [m].
        T: running load [N/m], tension.

    Raises:
        InputError: values not positive.
    """
    positive(t, "adherend thickness", "m")
    positive(E, "adherend modulus", "Pa")
    positive(T, "T", "N/m")
    c = positive(overlap, "overlap", "m") / 2.0
    u2c = math.sqrt(3 * (1 - nu * nu) / 2) * c / t * math.sqrt(T / (t * E))
    return 1.0 / (1.0 + 2.0 * math.sqrt(2.0) * math.tanh(u2c))


def goland_reissner(
    adhesive: Adhesive, t: float, E: float, nu: float, overlap: float, T: float, points: int = 201
) -> LapStress | NotComputed:
    """Elastic shear and peel of a single lap of equal adherends, bending included.

    Goland and Reissner, J. Applied Mechanics 11 (1944) A17, second approximation (flexible layer). The sign
    of the peel terms is the one that satisfies equilibrium; some reprints differ.

    Args:
        adhesive: the layer; needs ``E``.
        t: adherend thickness [m].
        E: its modulus [Pa].
        nu: its Poisson's ratio [1].
        overlap: length [m].
        T: running load [N/m], tension.
        points: how many.

    Returns:
        Shear and peel along the overlap, or NotComputed when the adhesive's E is not known.

    Raises:
        InputError: values not positive.
    """
    if adhesive.E is None:
        return NotComputed(f"{adhesive.name} has no modulus across the layer, so there is no peel")
    k = bending_factor(t, E, nu, overlap, T)
    c = overlap / 2.0
    x = np.linspace(-c, c, points)
    beta = math.sqrt(8 * adhesive.G * t / (E * adhesive.t))
    ends = (np.exp(beta * (x - c) / t) + np.exp(-beta * (x + c) / t)) / (1 - math.exp(-2 * beta * c / t))
    shear = T / (8 * c) * (beta * c / t * (1 + 3 * k) * ends + 3 * (1 - k))
    lam = (6 * adhesive.E * t / (E * adhesive.t)) ** 0.25 * c / t
    kp = k * c / t * math.sqrt(3 * (1 - nu * nu) * T / (t * E))
    # all hyperbolic terms divided by exp(lam) or exp(2 lam) against overflow
    ch, sh = (1 + math.exp(-2 * lam)) / 2, (1 - math.exp(-2 * lam)) / 2
    cos, sin = math.cos(lam), math.sin(lam)
    r1, r2 = ch * sin + sh * cos, -sh * cos + ch * sin
    small = math.exp(-2 * lam)
    delta = 0.5 * (math.sin(2 * lam) * small + (1 - small * small) / 2)
    grow, fall = np.exp(lam * (x / c - 1)), np.exp(-lam * (x / c + 1))
    even = (grow + fall) / 2 * np.cos(lam * x / c)
    odd = (grow - fall) / 2 * np.sin(lam * x / c)
    first = (-r2 * lam**2 * k / 2 + lam * kp * ch * cos) * even
    second = (r1 * lam**2 * k / 2 + lam * kp * sh * sin) * odd
    return LapStress(x, shear, T * t / (c * c) / delta * (first + second))


def double_lap_long(adhesive: Adhesive, K_inner: float, K_outer: float) -> float | NotComputed:
    """Running load [N/m] at which the adhesive of a long double lap breaks, elastic-plastic.

    The lesser of both ends: sqrt(4 t tau_p (g_e/2 + g_p) K_i (1 + K_i/(2 K_o))) and the same from the outer
    side (Hart-Smith, Adhesive-bonded double-lap joints, NASA CR-112235, 1973).

    Args:
        adhesive: the layer; needs ``tau_p``.
        K_inner: E t of the middle adherend [N/m].
        K_outer: E t of ONE outer adherend [N/m].

    Raises:
        InputError: a stiffness that is not positive.
    """
    if adhesive.tau_p is None:
        return NotComputed(f"{adhesive.name} has no shear strength")
    inner, outer = positive(K_inner, "K_inner", "N/m"), 2.0 * positive(K_outer, "K_outer", "N/m")
    energy = adhesive.t * adhesive.tau_p * (adhesive.g_flow / 2 + adhesive.gp)
    soft = min(inner * (1 + inner / outer), outer * (1 + outer / inner))
    return math.sqrt(4.0 * energy * soft)


def peel_at_tip(adhesive: Adhesive, tau: float, D: float, t: float) -> float | NotComputed:
    """Peel stress [Pa] at the tip of a strap under a shear stress there.

    tau (3 Ec t (1-nu^2)/(Eo ta))^1/4 (Hart-Smith, NASA CR-112235), written
    with the strap's bending stiffness D = Eo t^3/(12 (1-nu^2)).

    Args:
        adhesive: the layer; needs ``E``.
        tau: shear stress at the tip [Pa].
        D: bending stiffness of the strap at its tip [N m].
        t: its thickness there [m].

    Raises:
        InputError: D or t not positive.
    """
    if adhesive.E is None:
        return NotComputed(f"{adhesive.name} has no modulus across the layer, so there is no peel")
    stiff = adhesive.E / adhesive.t
    return float(abs(tau) * positive(t, "t", "m") * (stiff / (4.0 * positive(D, "D", "N m"))) ** 0.25)


def scarf_stress(ratio: float, stress: float) -> tuple[float, float]:
    """Shear and peel [Pa] on a plain scarf of equal adherends cut 1 in ``ratio`` [1] under ``stress`` [Pa].

    sigma sin cos and sigma sin^2 of the scarf angle: equilibrium alone.

    Raises:
        InputError: ratio not positive.
    """
    theta = math.atan(1.0 / positive(ratio, "scarf ratio", "1"))
    return stress * math.sin(theta) * math.cos(theta), stress * math.sin(theta) ** 2


@dataclass(frozen=True)
class OverlapRule:
    """Starting lengths [m] for an adherend of a thickness: ``double`` 30 t, ``single`` 80 t, ``scarf`` 50 t;
    overlap ends tapered to ``tip`` 0.020 in at 1 in 10 (MIL-HDBK-17-3F vol. 3 ch. 12).
    """

    double: float
    single: float
    scarf: float
    tip: float


def overlap_rule(t: float) -> OverlapRule:
    """The handbook's starting lengths for an adherend ``t`` [m] thick.

    Raises:
        InputError: t not positive.
    """
    positive(t, "adherend thickness", "m")
    return OverlapRule(30 * t, 80 * t, 50 * t, 0.020 * INCH)


def design_overlap(adhesive: Adhesive, K1: float, K2: float, P: float, faces: int) -> float | NotComputed:
    """Overlap [m] with a lightly stressed middle: P/(faces tau_p) of flow plus 6/lambda of elastic trough.

    At 6/lambda the middle is stressed to a tenth of tau_p, so it does not creep (Hart-Smith's design rule,
    from memory; MIL-HDBK-17-3F section 6.2 follows it).

    Args:
        adhesive: the layer; needs ``tau_p``.
        K1: E t of one adherend, both straps of a double lap together [N/m].
        K2: E t of the other [N/m].
        P: running load [N/m].
        faces: bonded faces [1].

    Raises:
        InputError: a stiffness that is not positive.
    """
    if adhesive.tau_p is None:
        return NotComputed(f"{adhesive.name} has no shear strength")
    return abs(finite(P, "P", "N/m")) / (faces * adhesive.tau_p) + 6.0 / shear_decay(adhesive, K1, K2, faces)
