"""The bond of each skin: over the cut-out, then out over every ply's end, or along the scarf.

Where the cut leaves plies of the skin, they run on under the patch: the strip begins in the middle of the
cut-out and the whole load of the skin goes through patch and left plies together, because the patch's tip
lies on a skin that carries all of it. Where the skin is cut through, the patch carries all of it at the
edge of the cut-out, and the strip begins there.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from panelmend.document.panel import Side
from panelmend.job.strength.formulas import turned
from panelmend.job.strength.lay import Lay
from panelmend.job.strength.stacks import BondThing, Stack
from panelmend.materials import Adhesive as Given
from panelmend.physics.joint import Adhesive, Bond, Capacity, Step, capacity, scarf, solve_bond
from panelmend.physics.structure_inputs import NotComputed

OVER_THE_CUT = "over the cut"
TIP = 1e-3  # of its thickness, left at a feather edge: as in physics.joint.scarf


@dataclass(frozen=True)
class BondResult:
    """Reserve on the load, shear peaks step by step [Pa], and the length that carries next to nothing [m]."""

    reserve: float
    peaks: tuple[tuple[str, float], ...]
    lightly: float
    weakest: str


def adhesive_of(lay: Lay) -> Adhesive | NotComputed:
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
    if lay.condition != "room":
        if given.hot_wet_factor is None:
            return NotComputed(f"adhesive {ident} has no hot_wet_factor")
        factor = given.hot_wet_factor.value
    assert given.shear_modulus is not None
    assert given.thickness is not None
    assert given.shear_strength is not None
    plastic = given.plastic_strain.value if given.plastic_strain is not None else 0.0
    return Adhesive(
        factor * given.shear_modulus.value,
        given.thickness.value,
        factor * given.shear_strength.value,
        plastic,
        name=ident,
    )


def along(stack: Stack, direction: float) -> float:
    """E t of a stack along a direction [N/m]."""
    return float(1.0 / np.linalg.inv(turned(stack, direction).A)[0, 0])


def bond_of(lay: Lay, side: Side, direction: float, stretch: float = 1.0) -> BondThing | NotComputed:
    """The bond in one direction, steps named by the ply that ends them.

    Args:
        lay: the lay-up.
        side: which skin.
        direction: of the strip [rad].
        stretch: lengthens the steps beyond the cut-out [1].
    """
    adhesive = adhesive_of(lay)
    if isinstance(adhesive, NotComputed):
        return adhesive
    skin, rows = lay.stack("skin", lay.skin(side)), lay.left(side)
    left = lay.stack("left plies", rows) if rows else None
    if isinstance(skin, NotComputed):
        return skin
    if isinstance(left, NotComputed):
        return left
    made = _scarf if lay.plies.scheme == "scarf" else _stepped
    steps = made(lay, side, direction, skin, left, stretch)
    if isinstance(steps, NotComputed):
        return steps
    parts, names = steps
    if left is None:
        return BondThing(Bond(parts, adhesive), names, False)
    whole = lay.stack("patch", lay.patch(lay.carrying(side)))
    if isinstance(whole, NotComputed):
        return whole
    inner = Step(half_opening(lay, side, direction), along(whole, direction), along(left, direction))
    return BondThing(Bond((inner, *parts), adhesive), (OVER_THE_CUT, *names), True)


def half_opening(lay: Lay, side: Side, direction: float) -> float:
    """Half the cut-out's extent along a direction [m]."""
    layup = lay.side(side)
    assert layup is not None, "a bond of a skin that is repaired"
    return 0.5 * layup.cutout.extent(direction)


Parts = tuple[tuple[Step, ...], tuple[str, ...]]


def _stepped(
    lay: Lay, side: Side, direction: float, skin: Stack, left: Stack | None, stretch: float
) -> Parts | NotComputed:
    """One step for each ply's end; the patch of that step over the whole skin."""
    over = [p for p in lay.carrying(side) if p.role != "fill"]
    ends = sorted({round(float(p.margin), 9) for p in over})
    steps, names, before = [], [], 0.0
    for end in ends:
        here = [p for p in over if float(p.margin) >= end - 1e-9]
        patch = lay.stack("patch", lay.patch(here))
        if isinstance(patch, NotComputed):
            return patch
        steps.append(Step(stretch * (end - before), along(patch, direction), along(skin, direction)))
        names.append(", ".join(p.id for p in over if abs(float(p.margin) - end) < 1e-9))
        before = end
    return tuple(steps), tuple(names)


def _scarf(
    lay: Lay, side: Side, direction: float, skin: Stack, left: Stack | None, stretch: float
) -> Parts | NotComputed:
    """The patch runs out to its feather edge while the cut plies grow from theirs."""
    layup = lay.side(side)
    if layup is None or layup.taper is None:
        return NotComputed("the scarf has no length")
    patch = lay.stack("patch", lay.patch(lay.carrying(side)))
    if isinstance(patch, NotComputed):
        return patch
    length, one, two = stretch * float(layup.taper), along(patch, direction), along(skin, direction)
    if left is None:
        return scarf(length, one, two), ("scarf",)
    return (Step(length, one, along(left, direction), one * TIP, two),), ("scarf",)


def reserve_of(thing: BondThing, load: float) -> BondResult | NotComputed:
    """Reserve of a bond on a running load of the whole skin [N/m], and its elastic peaks under that load."""
    ends, bond = thing.ends(load), thing.bond
    found = capacity(bond, ends)
    if isinstance(found, NotComputed):
        return found
    assert isinstance(found, Capacity)
    answer = solve_bond(Bond(bond.steps, bond.adhesive.elastic(), bond.faces), ends)
    peaks = tuple((name, abs(p.tau)) for name, p in zip(thing.names, answer.peaks, strict=True))
    worst = max(peaks, key=lambda p: p[1])[0]
    return BondResult(found.factor, peaks, answer.lightly_stressed(), worst)
