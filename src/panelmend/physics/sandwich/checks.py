"""All sandwich modes of one section under one set of running loads, each with its reserve factor."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from panelmend.errors import InputError
from panelmend.physics.laminate.failure import Criterion, first_ply_failure
from panelmend.physics.laminate.lamina import stress_turn
from panelmend.physics.laminate.stack import Laminate, effective_moduli
from panelmend.physics.sandwich.modes import (
    Wrinkling,
    bending_crush,
    crimping_load,
    dimpling_stress,
    wrinkling_stress,
)
from panelmend.physics.sandwich.section import Sandwich, state
from panelmend.physics.structure_inputs import Array, NotComputed


@dataclass(frozen=True)
class ModeCheck:
    """One mode: ``mode`` name, ``place``, ``applied`` and ``allowable`` in the same unit (``unit``), the
    ``reserve`` factor [1] (infinite when nothing acts) and the ``form`` of the formula used.
    """

    mode: str
    place: str
    applied: float
    allowable: float
    unit: str
    reserve: float
    form: str


@dataclass(frozen=True)
class ModeNotChecked:
    """A mode that could not be checked, and why."""

    mode: str
    place: str
    reason: str


def check_section(
    section: Sandwich,
    N: Array,
    M: Array,
    Q: Array,
    pressure: float = 0.0,
    *,
    wrinkling: Wrinkling = Wrinkling.HONEYCOMB_DESIGN,
    criterion: Criterion = Criterion.TSAI_WU,
) -> tuple[ModeCheck | ModeNotChecked, ...]:
    """Every mode of a sandwich under running loads.

    Args:
        section: the sandwich.
        N: running loads x, y, xy [N/m], shape (3,).
        M: running moments [N], shape (3,).
        Q: transverse shear running loads [N/m], shape (2,).
        pressure: flatwise pressure on the core [Pa], compression positive.
        wrinkling: which wrinkling form.
        criterion: which ply failure criterion.

    Returns:
        One entry a mode and face, in a fixed order.

    Raises:
        InputError: loads of the wrong shape or not finite.
    """
    for array, size, name in ((N, 3, "N"), (M, 3, "M"), (Q, 2, "Q")):
        if np.shape(array) != (size,) or not np.isfinite(array).all():
            raise InputError(f"{name} must be {size} finite numbers", read=repr(array)[:60])
    eps0, kappa = state(section, np.asarray(N, float), np.asarray(M, float))
    found: list[ModeCheck | ModeNotChecked] = []
    faces = (("lower face", section.lower, section.z_lower), ("upper face", section.upper, section.z_upper))
    for (place, face, z), answer in zip(faces, section.face_responses(eps0, kappa), strict=True):
        first = first_ply_failure(face, answer, criterion)
        if isinstance(first, NotComputed):
            found.append(ModeNotChecked("face strength", place, first.reason))
        else:
            words = f"{criterion}, ply {first.ply + 1}"
            found.append(ModeCheck("face strength", place, 1 / first.reserve, 1.0, "1", first.reserve, words))
        run = face.A @ (eps0 + z * kappa) + face.B @ kappa
        found += _face_stability(section, place, face, run, wrinkling)
    found.append(_crimping(section, np.asarray(N, float)))
    found.append(_core_shear(section, np.asarray(Q, float)))
    found.append(_flatwise(section, np.asarray(M, float), pressure))
    return tuple(found)


def _compression(run: Array) -> tuple[float, float]:
    """Largest compression [same unit, positive] of a plane running load and its direction [rad]."""
    mean, half = (run[0] + run[1]) / 2, (run[0] - run[1]) / 2
    radius = math.hypot(half, run[2])
    least = mean - radius
    theta = 0.5 * math.atan2(run[2], half) + math.pi / 2
    return max(0.0, -float(least)), theta


def _turned_modulus(face: Laminate, theta: float) -> float:
    """Modulus [Pa] of a face held flat, along theta [rad]."""
    c = np.linalg.inv(face.A) * face.h
    t = stress_turn(theta)
    return float(1.0 / (np.linalg.inv(t).T @ c @ np.linalg.inv(t))[0, 0])


def _check(mode: str, place: str, applied: float, allowable: float, unit: str, form: str) -> ModeCheck:
    reserve = math.inf if applied == 0.0 else allowable / applied
    return ModeCheck(mode, place, applied, allowable, unit, reserve, form)


def _face_stability(
    section: Sandwich, place: str, face: Laminate, run: Array, form: Wrinkling
) -> list[ModeCheck | ModeNotChecked]:
    push, theta = _compression(run)
    stress, along = push / face.h, _turned_modulus(face, theta)
    core = section.core
    found: list[ModeCheck | ModeNotChecked] = []
    if core.Ez is None:
        found.append(ModeNotChecked("wrinkling", place, f"{core.name} has no Ez"))
    else:
        turned = core.shear_moduli(section.ribbon - theta)
        limit = wrinkling_stress(form, along, core.Ez, float(turned[0, 0]), face.h, section.tc)
        found.append(_check("wrinkling", place, stress, limit, "Pa", str(form)))
    if core.cell is None:
        found.append(
            ModeNotChecked("dimpling", place, f"{core.name} has no cell size (none needed for foam)")
        )
    else:
        m = effective_moduli(face, flat=True)
        nu = math.sqrt(max(0.0, m.nuxy * m.nuyx))
        limit = dimpling_stress(math.sqrt(m.Ex * m.Ey), nu, face.h, core.cell)
        found.append(_check("dimpling", place, stress, limit, "Pa", "2 Ef/(1 - nu^2) (t/s)^2"))
    return found


def _crimping(section: Sandwich, N: Array) -> ModeCheck:
    push, theta = _compression(N)
    g = float(section.core.shear_moduli(section.ribbon - theta)[0, 0])
    return _check("crimping", "section", push, crimping_load(g, section.d, section.tc), "N/m", "G d^2/tc")


def _core_shear(section: Sandwich, Q: Array) -> ModeCheck | ModeNotChecked:
    core = section.core
    if core.FL is None or core.FW is None:
        return ModeNotChecked("core shear", "core", f"{core.name} lacks shear strength FL or FW")
    c, s = math.cos(section.ribbon), math.sin(section.ribbon)
    along, across = (Q[0] * c + Q[1] * s) / section.d, (-Q[0] * s + Q[1] * c) / section.d
    used = math.hypot(along / core.FL, across / core.FW)
    return _check("core shear", "core", used, 1.0, "1", "(tL/FL)^2 + (tW/FW)^2 = 1/R^2, t = Q/d")


def _flatwise(section: Sandwich, M: Array, pressure: float) -> ModeCheck | ModeNotChecked:
    core = section.core
    if core.Fc is None:
        return ModeNotChecked("flatwise", "core", f"{core.name} has no flatwise compression strength")
    d = section.stiffness()[2]
    own = bending_crush(float(M[0]), float(d[0, 0]), section.d)
    own += bending_crush(float(M[1]), float(d[1, 1]), section.d)
    applied = max(0.0, pressure) + own
    # the bending part grows with the square of the load: the reserve solves p R + own R^2 = Fc
    p = max(0.0, pressure)
    if applied == 0.0:
        reserve = math.inf
    else:
        reserve = 2.0 * core.Fc / (p + math.sqrt(p * p + 4.0 * own * core.Fc))
    form = "pressure + M^2/(D d); p R + c R^2 = Fc"
    return ModeCheck("flatwise", "core", applied, core.Fc, "Pa", reserve, form)
