"""The bond of each skin: from the edge of the cut-out out over every ply's end, or along the scarf."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from panelmend.document.panel import Side
from panelmend.job.strength.formulas import turned
from panelmend.job.strength.lay import CARRIES, Lay
from panelmend.job.strength.stacks import Stack
from panelmend.materials import Adhesive as Given
from panelmend.physics.joint import Adhesive, Bond, Capacity, Ends, Step, capacity, scarf, solve_bond
from panelmend.physics.structure_inputs import NotComputed


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


def bond_of(
    lay: Lay, side: Side, direction: float, stretch: float = 1.0
) -> tuple[Bond, tuple[str, ...]] | NotComputed:
    """The bond in one direction, steps named by the ply that ends them. ``stretch`` lengthens the steps."""
    adhesive = adhesive_of(lay)
    if isinstance(adhesive, NotComputed):
        return adhesive
    skin = lay.stack("skin", lay.skin(side))
    if isinstance(skin, NotComputed):
        return skin
    over = [p for p in lay.carrying(side) if p.role in CARRIES and p.role != "fill"]
    if lay.plies.scheme == "scarf":
        return _scarf(lay, side, direction, adhesive, skin, stretch)
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
    return Bond(tuple(steps), adhesive), tuple(names)


def _scarf(
    lay: Lay, side: Side, direction: float, adhesive: Adhesive, skin: Stack, stretch: float
) -> tuple[Bond, tuple[str, ...]] | NotComputed:
    layup = lay.side(side)
    if layup is None or layup.taper is None:
        return NotComputed("the scarf has no length")
    patch = lay.stack("patch", lay.patch(lay.carrying(side)))
    if isinstance(patch, NotComputed):
        return patch
    steps = scarf(stretch * float(layup.taper), along(patch, direction), along(skin, direction))
    return Bond(steps, adhesive), ("scarf",)


def reserve_of(bond: Bond, names: tuple[str, ...], load: float) -> BondResult | NotComputed:
    """Reserve of a bond on a running load [N/m], and its peaks under that load."""
    ends = Ends(load, 0.0, load)
    found = capacity(bond, ends)
    if isinstance(found, NotComputed):
        return found
    assert isinstance(found, Capacity)
    answer = solve_bond(Bond(bond.steps, bond.adhesive.elastic(), bond.faces), ends)
    peaks = tuple((name, abs(p.tau)) for name, p in zip(names, answer.peaks, strict=True))
    worst = max(peaks, key=lambda p: p[1])[0]
    return BondResult(found.factor, peaks, answer.lightly_stressed(), worst)
