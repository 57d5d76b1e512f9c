"""The bond of steps let in flush: each ply on a step of the skin, where the data lay them over it.

The plan lays a stepped patch over the skin. A shop that cuts the skin back ply by ply and lets each repair
ply in reads this as what it changes: shear in the bond alone, no peel. Butted ends of plies carry nothing.
"""

from __future__ import annotations

from itertools import pairwise

from panelmend.document.panel import Side
from panelmend.job.plies.part import Ply
from panelmend.job.strength.as_laid import AsLaid, Rows
from panelmend.job.strength.bonds import (
    OVER_THE_CUT,
    axial_stiffness,
    bond_adhesive,
    cooled,
    expansion_of,
    half_opening,
)
from panelmend.job.strength.stacks import BondThing
from panelmend.physics.joint import Bond, BondStep
from panelmend.physics.structure_inputs import NotComputed


def flush_bond(lay: AsLaid, side: Side, direction: float, stretch: float = 1.0) -> BondThing | NotComputed:
    """The bond of a skin in one direction, its steps let in.

    Args:
        lay: the lay-up.
        side: which skin.
        direction: of the strip [rad].
        stretch: lengthens the steps beyond the cut-out [1].

    Returns:
        The bond, or why there is none: a scarf, plies that are not one for each ply
        cut, smallest lowest.
    """
    adhesive = bond_adhesive(lay)
    if isinstance(adhesive, NotComputed):
        return adhesive
    plies = [p for p in lay.carrying(side) if p.role == "repair"]
    extra = sorted((p for p in lay.carrying(side) if p.role == "extra"), key=lambda p: float(p.margin))
    cut, left = lay.cut(side) if side == "outside" else lay.cut(side)[::-1], lay.left(side)
    ends = [float(p.margin) for p in plies]
    rising = all(a < b - 1e-9 for a, b in pairwise(ends))
    if lay.plies.scheme == "scarf" or len(plies) != len(cut) or not rising:
        return NotComputed("steps are let in where one repair ply stands for each ply cut, smallest lowest")
    found: list[tuple[str, float, list[Ply], Rows]] = []
    if left:
        found.append((OVER_THE_CUT, half_opening(lay, side, direction), [*plies, *extra], left))
    before = 0.0
    for k, ply in enumerate(plies):
        under = _skin(side, left, cut[:k])
        if under:
            found.append((ply.id, stretch * (ends[k] - before), [*plies[k:], *extra], under))
        before = ends[k]
    for k, ply in enumerate(extra):
        end = float(ply.margin)
        if end > before + 1e-9:
            found.append((ply.id, stretch * (end - before), extra[k:], lay.skin(side)))
            before = end
    steps = list[BondStep]()
    for name, length, over, under in found:
        one, two = lay.stack(name, lay.patch(over)), lay.stack("skin", under)
        if isinstance(one, NotComputed) or isinstance(two, NotComputed):
            return one if isinstance(one, NotComputed) else two  # type: ignore[return-value]
        steps.append(
            BondStep(
                length,
                axial_stiffness(one, direction),
                axial_stiffness(two, direction),
                alpha1=expansion_of(lay, lay.patch(over), direction),
                alpha2=expansion_of(lay, under, direction),
            )
        )
    if not steps:
        return NotComputed("one ply let in alone butts on the skin: nothing overlaps")
    names = tuple(f[0] for f in found)
    return BondThing(Bond(tuple(steps), adhesive), names, bool(left), cooled(lay, side, direction))


def _skin(side: Side, left: Rows, kept: Rows) -> Rows:
    """What is left of a skin with the lowest of its cut plies still there, from the inside out."""
    return [*left, *kept] if side == "outside" else [*kept[::-1], *left]
