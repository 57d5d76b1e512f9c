"""The bond of each skin: over the cut-out, then out over every ply's end, or along the scarf.

Where the cut leaves plies of the skin, they run on under the patch: the strip begins in the middle of the
cut-out and the whole load of the skin goes through patch and left plies together, because the patch's tip
lies on a skin that carries all of it. Where the skin is cut through, the patch carries all of it at the
edge of the cut-out, and the strip begins there.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from panelmend.document.panel import Side
from panelmend.job.plies.part import Ply
from panelmend.job.strength.as_laid import AsLaid, Rows
from panelmend.job.strength.formulas import load_held
from panelmend.job.strength.mismatch import cooling, expansion
from panelmend.job.strength.stacks import BondThing, Stack, hot_and_wet
from panelmend.materials import Adhesive as Given
from panelmend.physics.joint import AdhesiveLayer, BeamStep, Bond, BondStep, PlugSpring, solve_bond
from panelmend.physics.structure_inputs import NotComputed

OVER_THE_CUT = "over the cut"
ACROSS = (
    6.0  # modulus across a thin layer on G, held sideways, Poisson's ratio .4: common practice, no source
)
SHORT_WAVE = 4.0  # spring of a core under a short wave of its skin, over modulus on depth
TIP = 1e-3  # of its thickness, left at a feather edge (from memory)


@dataclass(frozen=True)
class BondResult:
    """Reserve on the load, shear peaks step by step [Pa], and the length that carries next to nothing [m]."""

    reserve: float
    peaks: tuple[tuple[str, float], ...]
    lightly: float
    weakest: str


def bond_adhesive(lay: AsLaid) -> AdhesiveLayer | NotComputed:
    """The adhesive between plies and skin: the film if there is one, else the plug's paste stands in.

    A wet lay-up is bonded by its own resin; where its shear values are not given, the paste adhesive of the
    document stands in for it and the assumption is listed.
    """
    data = lay.case.document.data
    ident = data.plies.film_adhesive.value if data.plies.film_adhesive else lay.core.adhesive
    if not ident:
        return NotComputed(
            "no adhesive with shear values is named (data.plies.film_adhesive or data.core.adhesive)"
        )
    given: Given = lay.case.catalogue.adhesive(ident)
    missing = [n for n in ("shear_modulus", "thickness", "shear_strength") if getattr(given, n) is None]
    if missing:
        return NotComputed(f"adhesive {ident} has no {', '.join(missing)}")
    factor = 1.0
    if hot_and_wet(lay.condition):
        if given.hot_wet_factor is None:
            return NotComputed(f"adhesive {ident} has no hot_wet_factor")
        factor = given.hot_wet_factor.value
    assert given.shear_modulus is not None
    assert given.thickness is not None
    assert given.shear_strength is not None
    plastic = given.plastic_strain.value if given.plastic_strain is not None else 0.0
    return AdhesiveLayer(
        factor * given.shear_modulus.value,
        given.thickness.value,
        factor * given.shear_strength.value,
        plastic,
        factor * _modulus_across(given),
        factor * given.peel_strength.value if given.peel_strength is not None else None,
        ident,
    )


def _modulus_across(given: Given) -> float:
    """Modulus across the layer [Pa], room: of the data, else a multiple of the shear modulus."""
    assert given.shear_modulus is not None, "asked for by adhesive_of"
    return ACROSS * given.shear_modulus.value if given.peel_modulus is None else given.peel_modulus.value


def stands_in(lay: AsLaid) -> bool:
    """Whether the plug's paste stands in for the resin of a wet lay-up, whose own values nobody gave."""
    return lay.case.document.data.plies.film_adhesive is None


def across_taken(lay: AsLaid) -> bool:
    """Whether the adhesive's modulus across the layer is taken from its shear modulus."""
    glue = bond_adhesive(lay)
    return not isinstance(glue, NotComputed) and lay.case.catalogue.adhesive(glue.name).peel_modulus is None


def axial_stiffness(stack: Stack, direction: float) -> float:
    """E t [N/m] of a stack along a direction [rad]."""
    c, s = math.cos(direction), math.sin(direction)
    pulled = np.array([c * c, s * s, c * s])
    return even(1.0 / float(pulled @ np.linalg.solve(stack.laminate().A, pulled)))


def even(value: float) -> float:
    """A stiffness [N/m] to twelve digits [N/m]: strips that mirror each other are then solved once."""
    return float(f"{float(value):.12g}")


def bond_of(lay: AsLaid, side: Side, direction: float, stretch: float = 1.0) -> BondThing | NotComputed:
    """The bond in one direction, steps named by the ply that ends them.

    Args:
        lay: the lay-up.
        side: which skin.
        direction: of the strip [rad].
        stretch: lengthens the steps beyond the cut-out [1].
    """
    adhesive = bond_adhesive(lay)
    if isinstance(adhesive, NotComputed):
        return adhesive
    skin, rows = lay.stack("skin", lay.skin(side)), lay.left(side)
    left = lay.stack("left plies", rows) if rows else None
    if isinstance(skin, NotComputed):
        return skin
    if isinstance(left, NotComputed):
        return left
    made = {"scarf": _scarf, "stepped": _stepped, "external": _stepped}[lay.plies.scheme]
    steps = made(lay, side, direction, skin, left, stretch)
    if isinstance(steps, NotComputed):
        return steps
    parts, names, straps, skins = steps
    if left is not None:
        whole = lay.stack("patch", lay.patch(lay.carrying(side)))
        if isinstance(whole, NotComputed):
            return whole
        inner = BondStep(
            half_opening(lay, side, direction),
            axial_stiffness(whole, direction),
            axial_stiffness(left, direction),
            alpha1=expansion_of(lay, lay.patch(lay.carrying(side)), direction),
            alpha2=expansion_of(lay, rows, direction),
        )
        parts, names = (inner, *parts), (OVER_THE_CUT, *names)
        under = replace(_beam(left, direction), below=skin.thickness - left.thickness)
        straps, skins = (straps[0].start(), *straps), (under, *skins)
    return BondThing(
        Bond(parts, adhesive),
        names,
        left is not None,
        cooled(lay, side, direction),
        straps,
        skins,
        _core_spring(lay, plug=False),
        () if left is not None else _plugs(lay, side, direction),
        lay.scarf_run(side) is not None,
    )


def mismatch_lacks(lay: AsLaid, side: Side, direction: float = 0.0) -> str:
    """Why thermal mismatch along ``direction`` [rad] is not in the bond of a side; "" where it is."""
    for found in (cooling(lay), *_expansions(lay, side, direction)):
        if isinstance(found, NotComputed):
            return found.reason
    return ""


def _expansions(lay: AsLaid, side: Side, direction: float) -> tuple[float | NotComputed, float | NotComputed]:
    """Expansion of the whole patch and of the whole skin [1/K]."""
    patch = lay.patch(lay.carrying(side))
    return expansion(lay, patch, direction), expansion(lay, lay.skin(side), direction)


def expansion_of(lay: AsLaid, rows: Rows, direction: float) -> float:
    """Expansion of a stack [1/K] along a direction [rad], 0 where it is not known or nothing is cooled."""
    if not cooling(lay):
        return 0.0
    found = expansion(lay, rows, direction)
    return 0.0 if isinstance(found, NotComputed) else even(found)


def cooled(lay: AsLaid, side: Side, direction: float) -> float:
    """By how much the bond along a direction [rad] is colder than free of stress [K]: 0 or below; 0 if
    unknown."""
    found = cooling(lay)
    if isinstance(found, NotComputed) or mismatch_lacks(lay, side, direction):
        return 0.0
    return found


def _beam(stack: Stack, direction: float) -> BeamStep:
    """Bending of a stack along a direction, as a wide strip about its own neutral line."""
    made, (c, s) = stack.laminate(), (math.cos(direction), math.sin(direction))
    strained = np.array([c * c, s * s, 2.0 * c * s])
    a, b, d = (float(strained @ m @ strained) for m in (made.A, made.B, made.D))
    return BeamStep(even(d - b * b / a), made.h)


def _plugs(lay: AsLaid, side: Side, direction: float) -> tuple[PlugSpring, ...]:
    """The plug under the patch at its softest and at its stiffest: both are tried, the worse is taken."""
    stiff = _core_spring(lay, plug=True)
    if stiff is None:
        return ()
    half = half_opening(lay, side, direction)
    return PlugSpring(stiff / SHORT_WAVE, half), PlugSpring(stiff, half)


def _core_spring(lay: AsLaid, *, plug: bool) -> float | None:
    """Spring of the core (or the plug) under the skin [N/m3]; the stiffest it can be: pulled hardest.

    A core without stiffness in its plane, the other skin at rest: E/c for a long wave of the skin, 4 E/c for
    a short one, since the shear it spreads holds the skin back too (derived in docs/method/joint.md).
    """
    core = lay.core_constants(plug=plug)
    if isinstance(core, NotComputed) or core.Ez is None:
        return None
    return SHORT_WAVE * core.Ez / lay.case.geometry.core_thickness


def half_opening(lay: AsLaid, side: Side, direction: float) -> float:
    """Half the cut-out's extent [m] along a direction [rad]."""
    layup = lay.side(side)
    assert layup is not None, "a bond of a skin that is repaired"
    return even(0.5 * layup.cutout.extent(direction))


Parts = tuple[tuple[BondStep, ...], tuple[str, ...], tuple[BeamStep, ...], tuple[BeamStep, ...]]


def _stepped(
    lay: AsLaid, side: Side, direction: float, skin: Stack, left: Stack | None, stretch: float
) -> Parts | NotComputed:
    """One step for each ply's end; the patch of that step over the whole skin."""
    over = [p for p in lay.carrying(side) if p.role != "fill"]
    return _over_the_skin(lay, side, direction, skin, over, 0.0, stretch)


def _over_the_skin(
    lay: AsLaid, side: Side, direction: float, skin: Stack, over: list[Ply], start: float, stretch: float
) -> Parts | NotComputed:
    """Steps of plies that lie on the face of the whole skin, from ``start`` [m] beyond the cut outwards."""
    ends = sorted({round(float(p.margin), 9) for p in over})
    steps, names, straps, before = list[BondStep](), list[str](), list[BeamStep](), start
    for end in ends:
        here = [p for p in over if float(p.margin) >= end - 1e-9]
        patch = lay.stack("patch", lay.patch(here))
        if isinstance(patch, NotComputed):
            return patch
        steps.append(
            BondStep(
                stretch * (end - before),
                axial_stiffness(patch, direction),
                axial_stiffness(skin, direction),
                alpha1=expansion_of(lay, lay.patch(here), direction),
                alpha2=expansion_of(lay, lay.skin(side), direction),
            )
        )
        names.append(", ".join(p.id for p in over if abs(float(p.margin) - end) < 1e-9))
        straps.append(_beam(patch, direction))
        before = end
    return tuple(steps), tuple(names), tuple(straps), (_beam(skin, direction),) * len(steps)


def _scarf(
    lay: AsLaid, side: Side, direction: float, skin: Stack, left: Stack | None, stretch: float
) -> Parts | NotComputed:
    """The patch runs out to its feather edge while the cut plies grow from theirs.

    Plies that reach past the rim of the scarf lie on the face of the whole skin there, in steps of their own.
    """
    run = lay.scarf_run(side)
    if run is None:
        return NotComputed("the scarf has no length")
    past = lay.beyond_scarf(side)
    beyond = _over_the_skin(lay, side, direction, skin, past, run, stretch)
    patch = lay.stack("patch", lay.patch(lay.carrying(side)))
    cap = lay.stack("plies past the scarf", lay.patch(past)) if past else None
    for part in (beyond, patch, cap):
        if isinstance(part, NotComputed):
            return part
    assert isinstance(beyond, tuple)
    assert isinstance(patch, Stack)
    one, two = axial_stiffness(patch, direction), axial_stiffness(skin, direction)
    least = two * TIP if left is None else axial_stiffness(left, direction)
    last = axial_stiffness(cap, direction) if isinstance(cap, Stack) else one * TIP
    hot, base = (
        expansion_of(lay, lay.patch(lay.carrying(side)), direction),
        expansion_of(lay, lay.skin(side), direction),
    )
    step = BondStep(stretch * run, one, least, last, two, hot, base)
    thick = cap.thickness if isinstance(cap, Stack) else TIP * patch.thickness
    depth = skin.thickness - (left.thickness if left is not None else 0.0)
    strap, whole = _beam(patch, direction), _beam(skin, direction)
    start = max(whole.thickness - depth, TIP * whole.thickness)
    return (
        (step, *beyond[0]),
        ("scarf", *beyond[1]),
        (tapered(strap, strap.thickness, thick, -depth, 0.0), *beyond[2]),
        (tapered(whole, start, whole.thickness, depth, 0.0), *beyond[3]),
    )


def tapered(beam: BeamStep, start: float, end: float, below: float, below_end: float) -> BeamStep:
    """A beam whose thickness [m] runs from ``start`` to ``end``, of the modulus that ``beam`` bends with."""
    first, last = (beam.D * (t / beam.thickness) ** 3 for t in (start, end))
    return BeamStep(first, start, below, last, end, below_end)


def least_held(thing: BondThing, load: float) -> float | NotComputed:
    """Reserve of a bond [1] on a running load of the whole skin [N/m], the worse sense where heat stays."""
    reserve = math.inf
    for ends in thing.ends(load):
        found = load_held(thing.bond, ends)
        if isinstance(found, NotComputed):
            return found
        reserve = min(reserve, found)
    return reserve


def reserve_of(thing: BondThing, load: float) -> BondResult | NotComputed:
    """Reserve of a bond on a running load of the whole skin [N/m], and its elastic peaks under that load."""
    bond, reserve = thing.bond, least_held(thing, load)
    if isinstance(reserve, NotComputed):
        return reserve
    elastic = Bond(bond.steps, bond.adhesive.elastic(), bond.faces)
    tau, lightly = np.zeros(len(bond.steps)), math.inf
    for ends in thing.ends(load):
        answer = solve_bond(elastic, ends)
        tau = np.maximum(tau, [abs(p.tau) for p in answer.peaks])
        lightly = min(lightly, answer.lightly_stressed())
    peaks = tuple((name, float(t)) for name, t in zip(thing.names, tau, strict=True))
    worst = max(peaks, key=lambda p: p[1])[0]
    return BondResult(reserve, peaks, lightly, worst)
