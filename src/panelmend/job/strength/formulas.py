"""The numbers of the strength stage."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from panelmend.derive import Source, formula
from panelmend.job.strength.loads import Resultants
from panelmend.job.strength.sections import neutral, turned_section
from panelmend.job.strength.solved import solved
from panelmend.job.strength.stacks import BondThing, Section, Stack
from panelmend.physics.joint import Bond, Capacity, Ends, capacity
from panelmend.physics.laminate import (
    Criterion,
    FirstPly,
    Laminate,
    LaminatePly,
    first_ply_failure,
    laminate,
    strained,
)
from panelmend.physics.sandwich import ModeCheck, check_section, state
from panelmend.physics.structure_inputs import NotComputed
from panelmend.units.fundamental import GRAVITY

KAW = Source("Kaw, Mechanics of Composite Materials, 2nd ed.", "ch. 4 (classical lamination)")
PLANTEMA = Source("sandwich theory", "D = sum of faces' A z^2 + 2 B z + D about the middle of the core")
BALANCE = Source("mass balance")
TIP_SHARES_LOAD = 1e5  # N/m
_RATIO = Source("ratio of the two figures")


@lru_cache(maxsize=1024)
def turned_laminate(stack: Stack, direction: float) -> Laminate:
    """A stack as a laminate whose x lies along a direction [rad]."""
    made = stack.laminate()
    return laminate([LaminatePly(p.lamina, p.theta - direction, p.thickness) for p in made.plies])


@formula("E t = 1 / (A^-1)_11, the laminate turned by the direction", source=KAW, kind="running load")
def membrane_along(stack: Stack, direction: float) -> float:
    """Membrane stiffness of a face along a direction, held flat by the core.

    stack: the laminate [stack]
    direction: from 0 degrees [rad]
    return: E t [N/m]
    """
    return float(1.0 / np.linalg.inv(turned_laminate(stack, direction).A)[0, 0])


@formula("D = 1 / (ABD^-1)_44, the section turned by the direction", source=PLANTEMA, kind="moment")
def bending_along(section: Section, direction: float) -> float:
    """Bending stiffness of the sandwich along a direction.

    section: the sandwich [section]
    direction: from 0 degrees [rad]
    return: D [N m]
    """
    turned = Section(
        Stack(section.inner.name, tuple((s, a - direction, t) for s, a, t in section.inner.plies)),
        Stack(section.outer.name, tuple((s, a - direction, t) for s, a, t in section.outer.plies)),
        section.core,
        section.thickness,
        section.ribbon - direction,
    )
    a, b, d = turned.sandwich().stiffness()
    whole = np.linalg.inv(np.block([[a, b], [b, d]]))
    return float(1.0 / whole[3, 3])


@formula("z with N through it and no bending, along the direction", source=PLANTEMA, kind="length")
def neutral_height(section: Section, direction: float) -> float:
    """Height of the neutral plane over the middle of the core, to the outside.

    section: the sandwich [section]
    direction: from 0 degrees [rad]
    return: height [m]
    """
    return neutral(turned_section(section, direction))[1]


@formula("E A, no bending, free across", source=PLANTEMA, kind="running load")
def stretch_along(section: Section, direction: float) -> float:
    """Membrane stiffness of the whole sandwich along a direction.

    section: the sandwich [section]
    direction: from 0 degrees [rad]
    return: E A [N/m]
    """
    return neutral(turned_section(section, direction))[0]


@formula("repair / parent", source=_RATIO, kind="ratio")
def stiffness_ratio(repair: float, parent: float) -> float:
    """Stiffness of the repair over that of the sound panel.

    repair: stiffness of the repair [SI]
    parent: stiffness of the sound panel [SI]
    return: ratio [1]
    """
    return repair / parent


@formula("P = E t x strain", source=Source("Hooke's law of the face"), kind="running load")
def load_at_strain(stiffness: float, strain: float) -> float:
    """Running load of a face at a strain.

    stiffness: E t of the face [N/m]
    strain: strain along the direction [1]
    return: running load [N/m]
    """
    return stiffness * strain


@formula(
    "P = |N_face along the direction|, N_face = A (eps0 + z kappa) + B kappa of the face",
    source=PLANTEMA,
    kind="running load",
)
def face_load(section: Section, loads: Resultants, direction: float, upper: float) -> float:
    """Running load of one face of a sandwich along a direction, from pull and bending together.

    section: the sandwich [section]
    loads: running loads and moments there [N/m, N]
    direction: from 0 degrees [rad]
    upper: 1 for the outside face, 0 for the inside one [1]
    return: running load, tension or compression alike [N/m]
    """
    made = section.sandwich()
    n, m, _ = loads.arrays()
    eps0, kappa = state(made, n, m)
    face, z = (made.upper, made.z_upper) if upper else (made.lower, made.z_lower)
    run = face.A @ (eps0 + z * kappa) + face.B @ kappa
    c, s = math.cos(direction), math.sin(direction)
    return abs(float(run[0] * c * c + run[1] * s * s + 2.0 * run[2] * s * c))


@formula("m = A w (1 + r)", source=BALANCE, kind="mass")
def ply_mass(area: float, areal_mass: float, resin: float) -> float:
    """Mass of a cured ply.

    area: area [m2]
    areal_mass: of the dry cloth [kg/m2]
    resin: mass of resin on the mass of cloth [1]
    return: mass [kg]
    """
    return area * areal_mass * (1.0 + resin)


@formula("m + m'", source=BALANCE, kind="mass")
def mass_with(before: float, more: float) -> float:
    """A mass with another one.

    before: mass so far [kg]
    more: what is added, below zero for what is taken away [kg]
    return: mass [kg]
    """
    return before + more


@formula("- m", source=BALANCE, kind="mass")
def taken_away(mass: float) -> float:
    """Mass that is cut out.

    mass: the mass [kg]
    return: the same, below zero [kg]
    """
    return -mass


@formula("M = m g x distance to the hinge line", source=Source("statics"), kind="moment")
def hinge_moment(mass: float, distance: float) -> float:
    """Moment of the added mass about the hinge line.

    mass: mass added [kg]
    distance: of its middle from the hinge line [m]
    return: moment [N m]
    """
    return mass * GRAVITY * distance


def distance_to_line(
    point: tuple[float, float], line: tuple[tuple[float, float], tuple[float, float]]
) -> float:
    """Distance [m] of a point from a line through two points [m]."""
    (x0, y0), (x1, y1) = line
    length = math.hypot(x1 - x0, y1 - y0)
    return abs((x1 - x0) * (point[1] - y0) - (y1 - y0) * (point[0] - x0)) / length


def load_held(bond: Bond, ends: Ends) -> float | NotComputed:
    """The multiple [1] of its ends that a bond holds.

    Without heat it is that of a common load over the load: strips that are alike are solved once.
    """
    if ends.dT or not ends.total:
        return _held(bond, ends)
    start, end = (
        None if t is None else round(t / ends.total, 12) * TIP_SHARES_LOAD
        for t in (ends.T1_start, ends.T1_end)
    )
    found = _held(bond, Ends(start, end, TIP_SHARES_LOAD))
    return found if isinstance(found, NotComputed) else found * TIP_SHARES_LOAD / ends.total


@lru_cache(maxsize=4096)
def _held(bond: Bond, ends: Ends) -> float | NotComputed:
    return solved(_factor_held, bond, ends)


def _factor_held(bond: Bond, ends: Ends) -> float | NotComputed:
    found = capacity(bond, ends)
    return found.factor if isinstance(found, Capacity) else found


@formula(
    "least multiple of the load at which the adhesive's shear strain reaches its limit",
    source=Source("Hart-Smith, NASA CR-112235, generalised to steps (docs/method/joint.md)"),
    kind="ratio",
)
def bond_reserve(bond: BondThing, load: float) -> float:
    """Reserve of a bond on a running load.

    bond: the steps and the adhesive [bond]
    load: running load of the whole skin [N/m]
    return: reserve factor [1]
    """
    least = math.inf
    for ends in bond.ends(load):
        found = load_held(bond.bond, ends)
        assert not isinstance(found, NotComputed), "a bond without strength is not derived"
        least = min(least, found)
    return least


@formula("allowable / applied of the mode", source=Source("docs/method/sandwich.md"), kind="ratio")
def mode_reserve(section: Section, loads: Resultants, number: int) -> float:
    """Reserve of one failure mode of a sandwich.

    section: the sandwich [section]
    loads: running loads, moments and shear there [N/m, N]
    number: place of the mode in the list of modes [1]
    return: reserve factor [1]
    """
    n, m, q = loads.arrays()
    found = check_section(section.sandwich(), n, m, q, loads.pressure)[number]
    assert isinstance(found, ModeCheck), "a mode that is not checked is not derived"
    return float(found.reserve)


@formula("load at which the first ply fails (maximum stress), held flat", source=KAW, kind="running load")
def first_ply_sense(stack: Stack, direction: float, sense: float) -> float:
    """Running load of a skin at its first ply failure, one way.

    stack: the skin [stack]
    direction: of the load [rad]
    sense: 1 in tension, -1 in compression [1]
    return: running load, 0 or above [N/m]
    """
    made = turned_laminate(stack, direction)
    answer = strained(made, np.linalg.inv(made.A) @ np.array([sense, 0.0, 0.0]), np.zeros(3))
    found = first_ply_failure(made, answer, Criterion.MAX_STRESS)
    return found.reserve if isinstance(found, FirstPly) else math.inf


@formula(
    "load at which the first ply of the sound skin fails (maximum stress), the greater sense",
    source=KAW,
    kind="running load",
)
def first_ply_load(stack: Stack, direction: float) -> float:
    """Running load of a sound skin at its first ply failure, tension or compression, whichever is more.

    A bond loaded by it must outlast the skin in either sense.

    stack: the skin [stack]
    direction: of the load [rad]
    return: running load [N/m]
    """
    return max(float(first_ply_sense(stack=stack, direction=direction, sense=s)) for s in (1.0, -1.0))
