"""Which plies go down in a bonding operation."""

from __future__ import annotations

from panelmend.job.bag.part import BagOperation
from panelmend.job.plies.part import Ply
from panelmend.job.work import Work


def laid_in(work: Work, bag: BagOperation) -> list[Ply]:
    """The plies that go down in an operation, in the order they are laid: as templates and labels count them."""
    known = {p.id: p for p in (*work.core.cap, *work.plies.plies)}
    return [known[i] for i in bag.plies]
