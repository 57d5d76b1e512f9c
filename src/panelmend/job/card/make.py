"""Putting the card together: all steps in working order."""

from __future__ import annotations

from panelmend.derive import Ledger
from panelmend.job.card import before, drying, finish, laying, removal
from panelmend.job.card.part import CardPart, Step
from panelmend.job.card.writing import numbered, step
from panelmend.job.case import Case
from panelmend.job.ground import Ground
from panelmend.job.limits.part import LimitsPart
from panelmend.job.work import Work


def make(case: Case, ledger: Ledger, sizes: LimitsPart, work: Work | None) -> CardPart:
    """The job card; without work to do it holds the comparison with the data and the record entry."""
    ground = Ground(case, ledger)
    steps: list[Step] = [*before.read_data(case, ground, sizes)]
    if work is None:
        steps += [
            step(
                "finish",
                "No structural repair",
                "By the approved data this damage needs no structural repair. Restore the surface as the data asks.",
            ),
            finish.record(case),
        ]
        return CardPart(numbered(steps))
    steps += before.gather(case, ground)
    steps += before.mark(case, ground, work)
    steps += removal.cut(case, ground, work)
    steps += drying.dry(case, work)
    steps += removal.prepare(case, ground, work)
    steps += removal.cut_cloth(case, ground, work)
    for bag in work.bag.operations:
        steps += laying.operation(case, ground, work, bag)
    steps += finish.finish(case, work)
    return CardPart(numbered(steps))
