"""Ply failure criteria as reserve factors, exact also when a part of the stress does not grow with the load.

A reserve factor R answers: fixed + R * load just fails. ``fixed`` is what stays, such as cure stresses.
Sources: Jones, Mechanics of Composite Materials 2nd ed. section 2.9; Tsai and Wu, J. Composite Materials
5 (1971) 58; Kaw 2nd ed. section 2.8. Every array's last axis holds components 1, 2, 12.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from itertools import product
from typing import assert_never

import numpy as np

from panelmend.physics.laminate.lamina import StrainLimits, Strengths
from panelmend.physics.laminate.response import PLY_PLACES, Response
from panelmend.physics.laminate.stack import Laminate
from panelmend.physics.structure_inputs import Array, NotComputed


class Criterion(StrEnum):
    """Which failure criterion."""

    MAX_STRESS = "maximum stress"
    MAX_STRAIN = "maximum strain"
    TSAI_HILL = "Tsai-Hill"
    TSAI_WU = "Tsai-Wu"


def max_stress(load: Array, s: Strengths, fixed: Array | None = None) -> Array | NotComputed:
    """Reserve factor [1], shape (...), of local stress ``load`` [Pa] (..., 3) by maximum stress."""
    if s.missing():
        return _lacking("maximum stress", s.missing())
    tension = np.array([s.Xt, s.Yt, s.S], dtype=float)
    pressure = np.array([s.Xc, s.Yc, s.S], dtype=float)
    return np.asarray(_by_component(load, tension, pressure, fixed).min(axis=-1))


def max_strain(load: Array, e: StrainLimits, fixed: Array | None = None) -> Array | NotComputed:
    """Reserve factor [1], shape (...), of local strain ``load`` [1] (..., 3) by maximum strain."""
    if e.missing():
        return _lacking("maximum strain", e.missing())
    tension = np.array([e.e1t, e.e2t, e.g12], dtype=float)
    pressure = np.array([e.e1c, e.e2c, e.g12], dtype=float)
    return np.asarray(_by_component(load, tension, pressure, fixed).min(axis=-1))


def tsai_hill(
    load: Array, s: Strengths, fixed: Array | None = None, *, signed: bool = True
) -> Array | NotComputed:
    """Reserve factor [1], shape (...), of local stress [Pa] (..., 3) by Tsai-Hill.

    s1^2/X^2 - s1 s2/X^2 + s2^2/Y^2 + t12^2/S^2 = 1. ``signed`` takes X and Y for the sign of each stress
    at failure; otherwise the tension strengths always (the original form, Kaw section 2.8).
    """
    if s.missing():
        return _lacking("Tsai-Hill", s.missing())
    base = np.zeros_like(load) if fixed is None else np.broadcast_to(fixed, load.shape)
    best = np.full(load.shape[:-1], np.inf)
    sides = product((1.0, -1.0), repeat=2) if signed else [(1.0, 1.0)]
    for side1, side2 in sides:
        x = s.Xt if side1 > 0 else s.Xc
        y = s.Yt if side2 > 0 else s.Yc
        assert x is not None
        assert y is not None
        assert s.S is not None
        form = np.array([[x**-2, -0.5 * x**-2, 0.0], [-0.5 * x**-2, y**-2, 0.0], [0.0, 0.0, s.S**-2]])
        for root in _roots(base, load, form, np.zeros(3)):
            if signed:
                at = base + np.where(np.isfinite(root), root, 0.0)[..., None] * load
                slack = 1e-12 * (np.abs(at).max(axis=-1) + 1e-300)
                fits = (side1 * at[..., 0] >= -slack) & (side2 * at[..., 1] >= -slack)
                root = np.where(fits, root, np.inf)
            best = np.minimum(best, root)
    inside = _hill_index(base, s, signed) < 1.0
    return np.where(inside, best, 0.0)


def tsai_wu(
    load: Array, s: Strengths, fixed: Array | None = None, *, interaction: float = -0.5
) -> Array | NotComputed:
    """Reserve factor [1], shape (...), of local stress [Pa] (..., 3) by Tsai-Wu.

    F12 = ``interaction`` * sqrt(F11 F22); -1/2 is the usual choice (Mises-Hencky form).
    """
    if s.missing():
        return _lacking("Tsai-Wu", s.missing())
    if not -1.0 < interaction < 1.0:
        return NotComputed(f"Tsai-Wu interaction {interaction:g} leaves the failure surface open")
    xt, xc, yt, yc, t = (float(v) for v in (s.Xt, s.Xc, s.Yt, s.Yc, s.S) if v is not None)
    f11, f22, f66 = 1 / (xt * xc), 1 / (yt * yc), 1 / t**2
    f12 = interaction * np.sqrt(f11 * f22)
    form = np.array([[f11, f12, 0.0], [f12, f22, 0.0], [0.0, 0.0, f66]])
    linear = np.array([1 / xt - 1 / xc, 1 / yt - 1 / yc, 0.0])
    base = np.zeros_like(load) if fixed is None else np.broadcast_to(fixed, load.shape)
    index = np.einsum("...i,ij,...j->...", base, form, base) + base @ linear
    roots = np.minimum(*_roots(base, load, form, linear))
    return np.where(index < 1.0, roots, 0.0)


def _hill_index(stress: Array, s: Strengths, signed: bool) -> Array:
    xt, xc, yt, yc, t = (float(v) for v in (s.Xt, s.Xc, s.Yt, s.Yc, s.S) if v is not None)
    x = np.where((stress[..., 0] >= 0) | (not signed), xt, xc)
    y = np.where((stress[..., 1] >= 0) | (not signed), yt, yc)
    s1, s2, s12 = stress[..., 0], stress[..., 1], stress[..., 2]
    return np.asarray((s1**2 - s1 * s2) / x**2 + s2**2 / y**2 + s12**2 / t**2)


def _by_component(load: Array, tension: Array, pressure: Array, fixed: Array | None) -> Array:
    base = np.zeros_like(load) if fixed is None else np.broadcast_to(fixed, load.shape)
    limit = np.where(load > 0, tension, pressure)
    room = np.where(load > 0, limit - base, limit + base)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        reserve = np.where(load == 0.0, np.inf, np.maximum(room, 0.0) / np.abs(load))
    broken = (base >= tension) | (base <= -pressure)
    return np.where(broken, 0.0, reserve)


def _roots(base: Array, load: Array, form: Array, linear: Array) -> tuple[Array, Array]:
    """Positive roots R of q(base + R load) = 1; infinity where there is none."""
    a = np.einsum("...i,ij,...j->...", load, form, load)
    b = 2.0 * np.einsum("...i,ij,...j->...", base, form, load) + load @ linear
    c = np.einsum("...i,ij,...j->...", base, form, base) + base @ linear - 1.0
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        root = np.sqrt(np.maximum(b * b - 4 * a * c, 0.0))
        # the two forms of a root that do not cancel
        q = -0.5 * (b + np.where(b >= 0, root, -root))
        pair = (q / a, c / q)
    none = (b * b - 4 * a * c < 0) | (np.abs(load).max(axis=-1) == 0.0)
    first, second = (
        np.where(none | ~np.isfinite(r) | (r <= 0.0), np.inf, np.where(np.isfinite(r), r, 1.0)) for r in pair
    )
    return first, second


def _lacking(what: str, names: tuple[str, ...]) -> NotComputed:
    return NotComputed(f"{what} needs {', '.join(names)}, which the material data do not give")


@dataclass(frozen=True)
class FirstPly:
    """The first ply to fail: ``reserve`` factor [1], ``ply`` number from 0, ``place`` in it, criterion."""

    reserve: float
    ply: int
    place: str
    criterion: Criterion


def reserve_factors(
    lam: Laminate, load: Response, criterion: Criterion, fixed: Response | None = None
) -> Array | NotComputed:
    """Reserve factor [1], shape (n plies, 3 places), of a laminate's plies.

    Args:
        lam: the laminate.
        load: its answer to the load that grows.
        criterion: which criterion.
        fixed: its answer to what does not grow (cure or service temperature, moisture), if any.

    Returns:
        The factors, or NotComputed naming the ply whose data are missing.
    """
    rows = []
    for k, ply in enumerate(lam.plies):
        stress = load.plies.local_stress[k]
        held = None if fixed is None else fixed.plies.local_stress[k]
        if criterion is Criterion.MAX_STRAIN:
            strain = load.plies.local_strain[k]
            held = None if fixed is None else fixed.plies.local_strain[k]
            row = max_strain(strain, ply.lamina.limits, held)
        elif criterion is Criterion.MAX_STRESS:
            row = max_stress(stress, ply.lamina.strengths, held)
        elif criterion is Criterion.TSAI_HILL:
            row = tsai_hill(stress, ply.lamina.strengths, held)
        elif criterion is Criterion.TSAI_WU:
            row = tsai_wu(stress, ply.lamina.strengths, held)
        else:
            assert_never(criterion)
        if isinstance(row, NotComputed):
            return NotComputed(f"ply {k + 1} ({ply.lamina.name}): {row.reason}")
        rows.append(row)
    return np.stack(rows)


def first_ply_failure(
    lam: Laminate, load: Response, criterion: Criterion, fixed: Response | None = None
) -> FirstPly | NotComputed:
    """Where and at which multiple of ``load`` the first ply fails; arguments as :func:`reserve_factors`."""
    factors = reserve_factors(lam, load, criterion, fixed)
    if isinstance(factors, NotComputed):
        return factors
    ply, place = np.unravel_index(int(np.argmin(factors)), factors.shape)
    if not np.isfinite(factors[ply, place]):
        return NotComputed("the load puts no stress on any ply")
    return FirstPly(float(factors[ply, place]), int(ply), PLY_PLACES[int(place)], criterion)
