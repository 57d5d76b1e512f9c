"""Putting the card together: all steps, arranged in working order."""

from __future__ import annotations

from dataclasses import replace

from panelmend.derive import Ledger
from panelmend.job.card import before, bonding, curing, drying, finish, opening, ready, surface
from panelmend.job.card.bench import Bench, on_plate
from panelmend.job.card.clocks import clocks
from panelmend.job.card.laid import laid_in
from panelmend.job.card.order import Operations, arranged
from panelmend.job.card.part import CardPart, Note, Step
from panelmend.job.case import Case
from panelmend.job.ground import Ground
from panelmend.job.limits.part import LimitsPart
from panelmend.job.work import Work


def make(case: Case, ledger: Ledger, sizes: LimitsPart, work: Work | None) -> CardPart:
    """The job card; without work to do it holds the comparison with the data and the record entry."""
    ground = Ground(case, ledger)
    if work is None:
        few = [
            before.read_data(case, ground),
            before.compare(case, sizes),
            finish.surface_only(case),
            finish.record(case),
        ]
        return CardPart(in_order(few, Operations(())))
    bench = Bench(case, ground, work, clocks(ground, work))
    steps = [
        before.read_data(case, ground),
        before.safe(bench),
        *before.kit(bench),
        *before.look(bench),
        before.compare(case, sizes),
        *before.mark(bench),
        *opening.cut(bench),
        *ready.taper(bench),
        *ready.heaters(bench),
        *drying.dry(bench),
        *ready.plug(bench),
        *ready.plate(bench),
    ]
    notes: list[Note] = [*drying.notes(bench)]
    cloth, bonded = True, True
    for bag in work.bag.operations:
        steps += ready.for_operation(bench, bag, cloth)
        steps += surface.ready(bench, bag, first=bonded)
        steps += [bonding.set_out(bench, bag), *bonding.batches(bench, bag), *bonding.lay(bench, bag)]
        steps += curing.cure(bench, bag)
        notes += [*bonding.reasons(bench, bag), *curing.reasons(bench, bag)]
        cloth = cloth and not laid_in(work, bag)
        if on_plate(bag):
            steps += ready.trim_cap(bench)
        else:
            bonded = False
    steps += finish.finish(bench)
    return CardPart(in_order(steps, bench.operations), tuple(notes), bench.clocks)


def in_order(steps: list[Step], operations: Operations) -> tuple[Step, ...]:
    """The steps in working order with their numbers, from 1."""
    order = arranged([s.place for s in steps], operations)
    return tuple(replace(steps[i], number=n) for n, i in enumerate(order, 1))
