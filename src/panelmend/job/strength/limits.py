"""What a skin or a sandwich carries at most, each mode alone: the two sides of the ratios without loads."""

from __future__ import annotations

import math

import numpy as np

from panelmend.derive import Source, formula
from panelmend.job.strength.formulas import turned_laminate
from panelmend.job.strength.part import Ability
from panelmend.job.strength.stacks import Section, Stack
from panelmend.physics.laminate import Laminate, effective_moduli
from panelmend.physics.laminate.lamina import strain_turn
from panelmend.physics.sandwich import Sandwich, Wrinkling, crimping_load, dimpling_stress, wrinkling_stress
from panelmend.physics.structure_inputs import Array

MODES = Source("docs/method/sandwich.md")


def flat_plies(made: Laminate) -> tuple[Array, Array, Array] | None:
    """Of every ply held flat: A [N/m] (n, 3, 3), own stress by the laminate's strain [Pa] (n, 3, 3), and
    strengths [Pa] in tension and compression (n, 2, 3). None where a strength is missing.
    """
    limits = []
    for ply in made.plies:
        s = ply.lamina.strengths
        if s.missing():
            return None
        limits.append([[s.Xt, s.Yt, s.S], [s.Xc, s.Yc, s.S]])
    stiff = np.diff(made.z)[:, None, None] * made.Qbar
    stress = np.stack([p.lamina.Q() @ strain_turn(p.theta) for p in made.plies])
    return stiff, stress, np.array(limits, dtype=float)


def _reserves(stress: Array, limits: Array) -> Array:
    """Least reserve of each ply by maximum stress, (n,)."""
    allowed = np.where(stress > 0.0, limits[:, 0], limits[:, 1])
    with np.errstate(divide="ignore"):
        return np.asarray((allowed / np.abs(stress)).min(axis=1))


@formula(
    "most over the steps of: first ply failure of what is left, the failed ply taken away",
    source=Source("Kaw, Mechanics of Composite Materials, 2nd ed.", "ch. 5 (complete discount), from memory"),
    kind="running load",
)
def last_ply_sense(stack: Stack, direction: float, sense: float) -> float:
    """Running load at the last ply failure of a skin held flat, each failed ply taken away altogether.

    stack: the skin [stack]
    direction: of the load [rad]
    sense: 1 in tension, -1 in compression [1]
    return: running load, 0 or above [N/m]
    """
    made = turned_laminate(stack, direction)
    known = flat_plies(made)
    if known is None:
        return math.inf
    stiff, stress, limits = known
    left, most = list(range(len(made.plies))), 0.0
    while left:
        strain = np.linalg.solve(stiff[left].sum(axis=0), np.array([sense, 0.0, 0.0]))
        reserves = _reserves(stress[left] @ strain, limits[left])
        weakest = int(reserves.argmin())
        most = max(most, float(reserves[weakest]))
        del left[weakest]
    return most


def _face(section: Section, upper: float) -> tuple[Sandwich, Laminate]:
    made = section.sandwich()
    return made, (made.upper if upper else made.lower)


@formula("0.33 Ef sqrt(Ec tf/(Ef tc)) tf, Ef along the direction", source=MODES, kind="running load")
def wrinkling_load(section: Section, direction: float, upper: float) -> float:
    """Running compression of a face at which it wrinkles, honeycomb, with the reduction for waviness.

    section: the sandwich [section]
    direction: of the compression [rad]
    upper: 1 for the outside face, 0 for the inside one [1]
    return: running load [N/m]
    """
    made, face = _face(section, upper)
    assert made.core.Ez is not None, "asked for by lacks"
    g = float(made.core.shear_moduli(section.ribbon - direction)[0, 0])
    along = modulus_along(face, direction)
    form = Wrinkling.HONEYCOMB_DESIGN
    return face.h * wrinkling_stress(form, along, made.core.Ez, g, face.h, made.tc)


@formula("2 Ef/(1 - nu^2) (tf/s)^2 tf", source=MODES, kind="running load")
def dimpling_load(section: Section, direction: float, upper: float) -> float:
    """Running compression of a face at which it dimples into the cells.

    section: the sandwich [section]
    direction: of the compression; the rule takes sqrt(Ex Ey), the same every way [rad]
    upper: 1 for the outside face, 0 for the inside one [1]
    return: running load [N/m]
    """
    made, face = _face(section, upper)
    assert made.core.cell is not None, "asked for by lacks"
    m = effective_moduli(face, flat=True)
    nu = math.sqrt(max(0.0, m.nuxy * m.nuyx))
    return face.h * dimpling_stress(math.sqrt(m.Ex * m.Ey), nu, face.h, made.core.cell)


@formula("G d^2/tc", source=MODES, kind="running load")
def crimping_along(section: Section, direction: float) -> float:
    """Running compression of the sandwich at which the core crimps.

    section: the sandwich [section]
    direction: of the compression [rad]
    return: running load [N/m]
    """
    made = section.sandwich()
    g = float(made.core.shear_moduli(section.ribbon - direction)[0, 0])
    return crimping_load(g, made.d, made.tc)


@formula("d / sqrt((c/FL)^2 + (s/FW)^2)", source=MODES, kind="running load")
def core_shear_along(section: Section, direction: float) -> float:
    """Transverse running shear at which the core fails.

    section: the sandwich [section]
    direction: of the shear [rad]
    return: running load [N/m]
    """
    made, turn = section.sandwich(), section.ribbon - direction
    assert made.core.FL is not None, "asked for by lacks"
    assert made.core.FW is not None, "asked for by lacks"
    return made.d / math.hypot(math.cos(turn) / made.core.FL, math.sin(turn) / made.core.FW)


@formula("Fc", source=MODES, kind="stiffness")
def crushing(section: Section) -> float:
    """Flatwise pressure at which the core crushes.

    section: the sandwich [section]
    return: pressure [Pa]
    """
    core = section.sandwich().core
    assert core.Fc is not None, "asked for by lacks"
    return core.Fc


@formula("tau tc", source=Source("shear flow through the core's depth"), kind="running load")
def splice_shear(strength: float, thickness: float) -> float:
    """Transverse running shear that the adhesive round the plug carries.

    strength: shear strength of the adhesive [Pa]
    thickness: of the core [m]
    return: running load [N/m]
    """
    return strength * thickness


NOTHING_OF_THE_CORE = (  # that it may lack: its shear moduli are always typed
    Ability.FIRST_PLY,
    Ability.LAST_PLY,
    Ability.CRIMPING,
    Ability.SPLICE,
    Ability.OFFSET,
)


def lacks(what: Ability, section: Section) -> str:
    """Which property of the core a limit lacks, in words; "" for none."""
    core = section.core
    needed = {
        Ability.WRINKLING: (core.Ez, "modulus through the thickness (e_through)"),
        Ability.DIMPLING: (core.cell, "cell size"),
        Ability.CORE_SHEAR: (None if None in (core.FL, core.FW) else 1.0, "shear strength"),
        Ability.CRUSHING: (core.Fc, "flatwise strength (crush_strength)"),
        **dict.fromkeys(NOTHING_OF_THE_CORE, (1.0, "")),
    }
    value, words = needed[what]
    return "" if value is not None else f"core {core.name} has no {words}"


def modulus_along(face: Laminate, direction: float) -> float:
    """Modulus [Pa] of a face held flat, along a direction [rad]."""
    c, s = math.cos(direction), math.sin(direction)
    v = np.array([c * c, s * s, s * c])
    return float(1.0 / (v @ np.linalg.inv(face.A) @ v) / face.h)
