"""Every step of the new card: stands as done, to do again, or new; and the steps that were done, as typed."""

from __future__ import annotations

from panelmend.derive.ledger import words_of
from panelmend.errors import InputError
from panelmend.job.bag.part import BagLayer
from panelmend.job.card.bench import on_plate
from panelmend.job.card.cloth import nests_drawn
from panelmend.job.card.order import Operations, Place, must_precede
from panelmend.job.card.part import Step, Words
from panelmend.plan.again.part import Fate, Made, StepFate
from panelmend.plan.again.same import depth_of, same_openings, same_pieces, step_names
from panelmend.plan.plan import Plan

# Steps that make nothing on the panel: when one is done again, what follows it stays where it says the same.
PAPER = frozenset({"A1", "A2", "A3", "A4", "A5", "A6", "B1", "B2", "B3", "B4", "B5", "B6", "D1", "D5"})
OPENED = frozenset({"B7", "B8", "B9", "B10", "B11", "B12", "B13", "B14", "B15", "B16"})


def bonding_operations(plan: Plan) -> Operations:
    """The bonding operations of a plan, for the working order."""
    if plan.work is None:
        return Operations(())
    bags = plan.work.bag.operations
    return Operations(tuple(b.number for b in bags), frozenset(b.number for b in bags if on_plate(b)))


def steps_after(old: Plan, new: Plan, done: frozenset[Place], made: list[Made]) -> tuple[StepFate, ...]:
    """What becomes of each step of the new card: it stands as done, is to do again, or is new.

    Args:
        old: the earlier plan.
        new: the later one.
        done: steps of the earlier card that were done.
        made: what becomes of what was made by it.
    """
    names = {name: number for number, name in step_names(old).items()}
    new_names, operations = step_names(new), bonding_operations(new)
    was = {s.place: s for s in old.card.steps}
    hole = same_openings(old, new)
    out = {m.operation for m in made if m.operation and m.fate in (Fate.OUT, Fate.MISFIT)}
    rows: list[StepFate] = []
    lost: list[Place] = []
    for step in new.card.steps:
        number = names.get(new_names.get(step.operation, ""), step.operation)
        place = Place(step.id, number if step.operation else 0, step.place.batch)
        before = was.get(place)
        if before is None or place not in done:
            rows.append(StepFate(step, Fate.NEW))
            lost += [] if step.id in PAPER else [step.place]
            continue
        why = _why(old, new, before, step, hole, number in out)
        if not why and any(must_precede(p, step.place, operations) for p in lost):
            first = next(p for p in lost if must_precede(p, step.place, operations))
            by = next(s for s in new.card.steps if s.place == first)
            why = f"it follows step {by.number}, which is to do"
        if why:
            rows.append(StepFate(step, Fate.AGAIN, why))
            lost += [] if step.id in PAPER else [step.place]
        else:
            rows.append(StepFate(step, Fate.STAYS))
    return tuple(rows)


def _why(old: Plan, new: Plan, before: Step, step: Step, hole: bool, out: bool) -> str:
    if step.id in ("B1", "A2") and _damage_differs(old, new):
        return "the damage is another one"
    if step.operation and out:
        return "what was bonded in it comes out or does not fit"
    if not hole and step.id in (OPENED | {"B4", "C3", "C4", "C5", "D2"}):
        return "the opening changes"
    if step.id in ("D1", "B5", "O4") and not same_pieces(old, new):
        return "the pieces are others"
    if _said(old, before) != _said(new, step):
        return "it says something else now"
    if _drawn(old, before) != _drawn(new, step):
        return "its drawing is another one"
    return ""


def _damage_differs(old: Plan, new: Plan) -> bool:
    a, b = old.case.geometry, new.case.geometry
    return (a.damage, a.far_damage, depth_of(old)) != (b.damage, b.far_damage, depth_of(new))


def _said(plan: Plan, step: Step) -> tuple[object, ...]:
    """All that a step says, in the reader's words and numbers."""
    view = plan.case.view

    def text(words: Words) -> str:
        return "".join(w if isinstance(w, str) else words_of(w, view) for w in words)

    def limits(figure: object) -> str:
        return "" if figure is None else words_of(figure, view)  # type: ignore[arg-type]

    blanks = [(b.what, limits(b.low), limits(b.high), b.unit, b.said, limits(b.aim)) for b in step.blanks]
    tables = [(t.title, t.heads, [[text(w) for w in row] for row in t.rows]) for t in step.tables]
    return (step.title, [text(w) for w in step.words], blanks, tables, step.materials)


def _drawn(plan: Plan, step: Step) -> object:
    """All that a step's drawing shows, as geometry; None for a step without one."""
    work = plan.work
    kind = step.drawing.partition(" ")[0]
    if work is None or not kind:
        return None
    if kind == "bag":
        bag = next(b for b in work.bag.operations if b.number == step.operation)
        behind = bag.behind
        own = (bag.patch, bag.seal_line, bag.sensor_line, bag.sensors, bag.fittings, _stacked(bag.layers))
        return (
            *own,
            *(() if behind is None else (behind.seal_line, behind.fittings, _stacked(behind.layers))),
        )
    if kind == "nests":
        return [item.nest.layouts for item in nests_drawn(work, step.drawing)]
    return [(s.side, s.cutout, s.largest.outline) for s in work.plies.sides]


def _stacked(layers: tuple[BagLayer, ...]) -> list[object]:
    return [(x.order, x.use, x.outline, x.outlines, x.hole, x.pieces, x.note, x.below) for x in layers]


def done_steps(plan: Plan, text: str) -> frozenset[Place]:
    """Steps that were done, as people write them down: numbers of the card, "1-42, 45".

    Args:
        plan: the plan whose card they were done by.
        text: numbers and ranges, parted by commas, spaces or lines; what follows # is not read.

    Raises:
        InputError: something that is no number of the card.
    """
    by = {s.number: s.place for s in plan.card.steps}
    found: set[Place] = set()
    rows = [row.partition("#")[0] for row in text.splitlines()]
    for word in " ".join(rows).replace(",", " ").split():
        first, _, last = word.partition("-")
        if not (
            first.isascii() and first.isdecimal() and (not last or (last.isascii() and last.isdecimal()))
        ):
            raise InputError("not a number of a step", read=word[:40], expected="numbers such as 1-42, 45")
        ends = int(first), int(last or first)
        if ends[0] > ends[1] or ends[0] not in by or ends[1] not in by:
            raise InputError("the card has no such step", read=word[:40], expected=f"1 to {max(by)}")
        found |= {by[n] for n in range(ends[0], ends[1] + 1) if n in by}
    return frozenset(found)
