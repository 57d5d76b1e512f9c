"""Which plies go down in a bonding operation."""

from __future__ import annotations

from panelmend.job.bag.part import BagOperation
from panelmend.job.plies.part import Ply
from panelmend.job.work import Work


def laid_in(work: Work, bag: BagOperation) -> list[Ply]:
    """The plies that go down in an operation, in the order they are laid."""
    parts = set(bag.lays)
    plies: list[Ply] = []
    if "cap" in parts:
        plies += sorted(work.core.cap, key=lambda p: p.lay_order)
    apart = any("fill" in op.lays for op in work.bag.operations)
    for side in work.plies.sides:
        if bag.cure.side is not None and side.side != bag.cure.side:
            continue
        for ply in sorted(side.plies, key=lambda p: p.lay_order):
            part = "fill" if ply.role == "fill" else "plies"
            if part in parts or (part == "fill" and not apart and "plies" in parts):
                plies.append(ply)
    return plies
