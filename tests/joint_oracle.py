"""Closed forms and rules of bonded joints that no stage uses: the other opinion that the tests compare with.

Laps and scarfs in closed form, the overlap that a load needs, and bonds of a given shape. Running loads are
per width [N/m]. x runs from the middle of the overlap.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelmend.errors import InputError
from panelmend.physics.joint import (
    AdhesiveLayer,
    Bond,
    BondAnswer,
    BondStep,
    Ends,
    capacity,
    shear_decay,
)
from panelmend.physics.structure_inputs import Array, NotComputed, finite, positive

Index = NDArray[np.integer]


@dataclass(frozen=True, eq=False)
class LapStress:
    """Stress along an overlap: ``x`` [m] from its middle, ``shear`` and ``peel`` [Pa], the same shape."""

    x: Array
    shear: Array
    peel: Array


def volkersen(
    adhesive: AdhesiveLayer, K1: float, K2: float, overlap: float, P: float, points: int = 201
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
    adhesive: AdhesiveLayer, t: float, E: float, nu: float, overlap: float, T: float, points: int = 201
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


def double_lap_long(adhesive: AdhesiveLayer, K_inner: float, K_outer: float) -> float | NotComputed:
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


def peel_at_tip(adhesive: AdhesiveLayer, tau: float, D: float, t: float) -> float | NotComputed:
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


def design_overlap(
    adhesive: AdhesiveLayer, K1: float, K2: float, P: float, faces: int
) -> float | NotComputed:
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


def least_overlap(
    bond_of: Callable[[float], Bond], ends: Ends, longest: float, *, reserve: float = 1.0
) -> float | NotComputed:
    """Shortest overlap [m] that carries ``ends`` with a reserve factor.

    Args:
        bond_of: the bond with an overlap of a length [m].
        ends: the load.
        longest: no longer than this [m].
        reserve: wanted factor on the load [1].

    Returns:
        The length to 1e-4 of itself, or NotComputed when even ``longest`` does not carry it or data lack.

    Raises:
        InputError: longest or reserve not positive.
    """
    positive(longest, "longest overlap", "m")
    positive(reserve, "reserve", "1")
    finite(ends.total, "load", "N/m")
    best = capacity(bond_of(longest), ends)
    if isinstance(best, NotComputed):
        return best
    if best.factor < reserve:
        return NotComputed(
            f"even {longest * 1e3:.1f} mm carry only {best.factor:.3g} of the load: "
            "more overlap does not help; thicken the adherend's steps or lower the load"
        )
    low, high = 0.0, longest
    while high - low > 1e-4 * high:
        # lengths are halved down first, then bisected
        middle = high / 2 if low == 0.0 and high > longest * 1e-6 else (low + high) / 2
        got = capacity(bond_of(middle), ends)
        if isinstance(got, NotComputed):
            return got
        if got.factor >= reserve:
            high = middle
        else:
            low = middle
        if high <= longest * 1e-6:
            break
    return high


def flows_everywhere(answer: BondAnswer) -> bool:
    """Whether no part of the bond is left elastic: it will creep."""
    flow = answer.bond.adhesive.g_flow
    return math.isfinite(flow) and bool((np.abs(answer.gamma) >= flow).all())


def equal_steps(
    count: int, length: float, K1: float, K2: float, *, alpha1: float = 0.0, alpha2: float = 0.0
) -> tuple[BondStep, ...]:
    """Steps of a stepped joint: adherend 1 loses one ``count``-th of K1 a step, adherend 2 gains likewise.

    Args:
        count: how many steps.
        length: of each [m].
        K1: E t of adherend 1 where it is whole [N/m].
        K2: of adherend 2 where it is whole [N/m].
        alpha1: expansion of 1 [1/K].
        alpha2: expansion of 2 [1/K].

    Raises:
        InputError: count below 1.
    """
    if count < 1:
        raise InputError("a stepped joint without steps", read=str(count), expected="1 or more")
    made: Sequence[BondStep] = [
        BondStep(length, K1 * (count - k) / count, K2 * (k + 1) / count, None, None, alpha1, alpha2)
        for k in range(count)
    ]
    return tuple(made)


def scarf(
    length: float, K1: float, K2: float, *, tip: float = 1e-3, alpha1: float = 0.0, alpha2: float = 0.0
) -> tuple[BondStep, ...]:
    """A straight scarf: K1 falls to ``tip`` of itself while K2 rises from ``tip`` of itself.

    Args:
        length: of the scarf [m].
        K1: E t of adherend 1 where it is whole [N/m].
        K2: of adherend 2 where it is whole [N/m].
        tip: thickness left at the feather edge over the whole thickness [1].
        alpha1: expansion of 1 [1/K].
        alpha2: expansion of 2 [1/K].

    Raises:
        InputError: tip not between 0 and 1.
    """
    if not 0.0 < tip < 1.0:
        raise InputError("scarf tip", read=f"{tip:g}", expected="a fraction above 0 and below 1")
    return (BondStep(length, K1, K2 * tip, K1 * tip, K2, alpha1, alpha2),)
