"""Putting the card together: all steps, arranged in working order."""

from __future__ import annotations

from dataclasses import replace

from panelmend.derive import Ledger
from panelmend.job.basis import Basis
from panelmend.job.card import before, bonding, curing, drying, finish, opening, ready, restored, surface
from panelmend.job.card.bench import Bench, on_plate
from panelmend.job.card.clocks import clocks
from panelmend.job.card.laid import laid_in
from panelmend.job.card.order import Operations, arranged
from panelmend.job.card.part import CardPart, Note, Step
from panelmend.job.card.soft import warned
from panelmend.job.case import Case
from panelmend.job.limits.part import LimitsPart
from panelmend.job.work import Work

TOUCHES = ("O13", "O14", "O17", "O18")
COVER_OFF = "Film that covered the surface off first, whole, counted."


def make(case: Case, ledger: Ledger, sizes: LimitsPart, work: Work | None) -> CardPart:
    """The job card; without work to do it holds the comparison with the data and the record entry."""
    basis = Basis(case, ledger)
    if work is None:
        few = [
            before.read_data(case, basis),
            before.compare(case, sizes),
            finish.surface_only(case),
            finish.record(case),
        ]
        return CardPart(steps_in_order(few, Operations(())))
    bench = Bench(case, basis, work, clocks(basis, work))
    steps = [
        before.read_data(case, basis),
        before.make_safe_step(bench),
        *before.kit(bench),
        *before.look_steps(bench),
        before.compare(case, sizes),
        *before.marking_steps(bench),
        *restored.out(bench),
        *opening.cut(bench),
        *ready.taper(bench),
        *ready.heater_steps(bench),
        *drying.dry(bench),
        *ready.plug(bench),
        *restored.back(bench, "before bonding"),
        *ready.plate(bench),
    ]
    notes: list[Note] = [*drying.notes(bench)]
    cloth, bonded = True, True
    for bag in work.bag.operations:
        steps += ready.for_operation(bench, bag, cloth)
        steps += surface.surface_steps(bench, bag, first=bonded)
        laid = [*bonding.batches(bench, bag), *bonding.lay_steps(bench, bag)]
        steps += [bonding.set_out(bench, bag), *(laid if on_plate(bag) else _uncovered(laid))]
        steps += curing.cure(bench, bag)
        notes += [*bonding.bonding_reasons(bench, bag), *curing.curing_reasons(bench, bag)]
        cloth = cloth and not laid_in(work, bag)
        if on_plate(bag):
            steps += ready.trim_cap(bench)
        else:
            bonded = False
    steps += restored.back(bench, "after the last cure")
    steps += finish.finish_steps(bench)
    return CardPart(steps_in_order(warned(bench, steps), bench.operations), tuple(notes), bench.clocks)


def _uncovered(steps: list[Step]) -> list[Step]:
    """The first step of an operation that touches the panel takes off the film that covered its prepared surface."""
    first = next((i for i, s in enumerate(steps) if s.id in TOUCHES), None)
    if first is None:
        return steps
    off = replace(steps[first], words=((COVER_OFF,), *steps[first].words))
    return [*steps[:first], off, *steps[first + 1 :]]


def steps_in_order(steps: list[Step], operations: Operations) -> tuple[Step, ...]:
    """The steps in working order with their numbers, from 1."""
    order = arranged([s.place for s in steps], operations)
    return tuple(replace(steps[i], number=n) for n, i in enumerate(order, 1))
