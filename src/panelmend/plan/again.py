"""A plan after more damage was found, against the one that was worked by: what stays, what is done again.

Everything that was done is judged by what was made: opening, plug, pieces, what is bonded. A step that was
done stays where it says the same in both plans, made the same, and rests on nothing that is done again.
It decides nothing about the panel: what is cured and no longer fits comes out as the engineer says.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum

from panelmend.derive.ledger import words_of
from panelmend.errors import Finding, InputError, Severity, finding_code
from panelmend.job.card.bench import on_plate
from panelmend.job.card.order import Operations, Place, must_precede
from panelmend.job.card.part import Step, Words
from panelmend.job.plies.part import Ply
from panelmend.plan.plan import Plan
from panelmend.shapes import Outline, overlap
from panelmend.units import show

J227 = finding_code(
    "J227",
    Severity.STOP,
    "What is cut already reaches past the opening of the new plan",
    "stop: the opening must hold all that was cut; pin a larger cut-out (choice.cutout) or ask the engineer",
)
J228 = finding_code(
    "J228",
    Severity.CONFIRM,
    "What is bonded already does not fit the new plan and must come out",
    "have the engineer say how it is taken out; count that as damage before the opening is measured again",
)
FINE = 1e-5  # m: cut by hand, nobody tells less
# Steps that make nothing on the panel: when one is done again, what follows it stays where it says the same.
PAPER = frozenset({"A1", "A2", "A3", "A4", "A5", "A6", "B1", "B2", "B3", "B4", "B5", "B6", "D1", "D5"})
OPENED = frozenset({"B7", "B8", "B9", "B10", "B11", "B12", "B13", "B14", "B15"})
MIXED, WETTED, CUT, LAID, HEATED = "O11", "O15", "O16", "O18", "O22"


def _past(inner: Outline, outer: Outline) -> float:
    """How far one outline reaches past another [m]."""
    return overlap.farthest_outside(inner, outer)[0]


class Fate(Enum):
    """What becomes of something that was done or made."""

    STAYS = "stays"
    AGAIN = "again"
    SMALLER = "cut down"
    SCRAP = "scrapped"
    OUT = "comes out"
    MISFIT = "does not fit"
    NEW = "to do"


@dataclass(frozen=True)
class Made:
    """Something that was made, what becomes of it, and why."""

    what: str
    fate: Fate
    why: str


@dataclass(frozen=True)
class StepFate:
    """A step of the new card: done and standing, to do again, or not done yet."""

    step: Step
    fate: Fate
    why: str = ""


@dataclass(frozen=True)
class Again:
    """The new plan against the old one: what was made, every step of the new card, and what was found."""

    old: Plan
    new: Plan
    made: tuple[Made, ...]
    steps: tuple[StepFate, ...]
    findings: tuple[Finding, ...]

    @property
    def next(self) -> Step | None:
        """The first step of the new card that is to be done."""
        return next((s.step for s in self.steps if s.fate is not Fate.STAYS), None)


def again(old: Plan, new: Plan, done: Iterable[Place]) -> Again:
    """Hold a new plan against the one that was worked by.

    Args:
        old: the plan that was worked by.
        new: the plan with the damage as it is now known.
        done: places of the steps of the old card that were done; a step that is not among them was not.

    Raises:
        InputError: the two are not of one panel, or a place is no step of the old card.
    """
    _of_one_panel(old, new)
    places = frozenset(done)
    strange = places - {s.place for s in old.card.steps}
    if strange:
        raise InputError(
            "the card has no such step", read=", ".join(sorted(p.id for p in strange)), where="done"
        )
    view = new.case.view
    found: list[Finding] = []
    made = [*_opening(old, new, places, found, view), *_plug(old, new, places)]
    made += _bonded(old, new, places, found)
    made += _pieces(old, new, places)
    steps = _steps(old, new, places, made)
    return Again(old, new, tuple(made), steps, tuple(found))


def _of_one_panel(old: Plan, new: Plan) -> None:
    a, b = old.case.document, new.case.document
    unlike = [
        name
        for name, x, y in (
            ("part number", a.panel.part_number, b.panel.part_number),
            ("serial number", a.panel.serial, b.panel.serial),
            ("registration", a.repair.registration, b.repair.registration),
        )
        if x != y
    ]
    if unlike:
        raise InputError(
            "these are not two plans of one panel",
            read=f"another {', another '.join(unlike)}",
            expected="the plan that was worked by, and the one that takes its place",
        )


def _opened(done: frozenset[Place]) -> bool:
    return any(p.id == "B7" for p in done)


def _openings(plan: Plan) -> dict[str, Outline]:
    if plan.work is None:
        return {}
    return {layup.side: layup.cutout for layup in plan.work.plies.sides}


def _opening(old: Plan, new: Plan, done: frozenset[Place], found: list[Finding], view: str) -> list[Made]:
    """The hole in each skin: it may grow, it cannot shrink."""
    if not _opened(done):
        return []
    rows = []
    after = _openings(new)
    for side, was in _openings(old).items():
        what = f"opening in the {side} skin"
        now = after.get(side)
        if now is None:
            rows.append(Made(what, Fate.MISFIT, "the new plan has no opening there"))
            found.append(J227(f"{side}: the new plan has no opening there", place="cutout"))
            continue
        past, short = _past(was, now), _past(now, was)
        if past > FINE:
            words = f"{show(past, 'length', view, limit='least')} past the new one"
            rows.append(Made(what, Fate.MISFIT, f"what is cut reaches {words}"))
            found.append(J227(f"{side}: {words}", place="cutout"))
        elif short > FINE:
            rows.append(
                Made(what, Fate.AGAIN, f"cut on by up to {show(short, 'length', view, limit='least')}")
            )
        else:
            rows.append(Made(what, Fate.STAYS, "the same in both plans"))
    rows += [
        Made(f"opening in the {side} skin", Fate.NEW, "only the new plan has it")
        for side in after
        if side not in _openings(old)
    ]
    deep, was_deep = _deep(new), _deep(old)
    if deep != was_deep:
        rows.append(Made("depth", Fate.AGAIN, f"{was_deep} before, {deep} now"))
    return rows


def _deep(plan: Plan) -> str:
    damage = plan.case.document.damage
    depth = damage.core_depth
    return damage.depth if depth is None else f"{damage.depth}, core {show(depth, 'length', plan.case.view)}"


def _plug(old: Plan, new: Plan, done: frozenset[Place]) -> list[Made]:
    plug = None if old.work is None else old.work.core.plug
    if plug is None or not any(p.id == "D2" for p in done) or _laid_with(old, done, core=True):
        return []
    now = None if new.work is None else new.work.core.plug
    if now is None:
        return [Made("core plug", Fate.SCRAP, "the new plan has no plug")]
    thick = abs(float(plug.thickness) - float(now.thickness)) <= FINE
    if not thick:
        return [Made("core plug", Fate.SCRAP, "the new plug is of another thickness")]
    return [Made("core plug", *_outline_fate(plug.outline, now.outline))]


def _outline_fate(was: Outline, now: Outline) -> tuple[Fate, str]:
    lacks, over = _past(now, was), _past(was, now)
    if lacks > FINE:
        return Fate.SCRAP, "too small for the new plan: cut another"
    if over > FINE:
        return Fate.SMALLER, "larger than the new one: trim it to the new template"
    return Fate.STAYS, "the same in both plans"


def _plies(plan: Plan) -> dict[str, Ply]:
    if plan.work is None:
        return {}
    every = (*plan.work.core.cap, *(p for layup in plan.work.plies.sides for p in layup.plies))
    return {p.id: p for p in every}


def _same_ply(a: Ply, b: Ply | None) -> bool:
    if b is None or a.cloth != b.cloth or abs(float(a.warp) - float(b.warp)) > 1e-6:
        return False
    return max(_past(a.outline, b.outline), _past(b.outline, a.outline)) <= FINE


def _same_pieces(old: Plan, new: Plan) -> bool:
    a, b = _plies(old), _plies(new)
    return a.keys() == b.keys() and all(_same_ply(a[i], b[i]) for i in a) and _same_plug(old, new)


def _names(plan: Plan) -> dict[int, str]:
    return {} if plan.work is None else {b.number: b.name for b in plan.work.bag.operations}


def _laid_with(plan: Plan, done: frozenset[Place], *, core: bool) -> bool:
    """Whether an operation that lays the core was heated."""
    if plan.work is None:
        return False
    heated = {p.operation for p in done if p.id in (LAID, "O17")}
    return any(b.number in heated and ("core" in b.lays) is core for b in plan.work.bag.operations)


def _bonded(old: Plan, new: Plan, done: frozenset[Place], found: list[Finding]) -> list[Made]:
    """What is laid or cured: it stays only where nothing under it or in it changed."""
    if old.work is None:
        return []
    rows = []
    now, same_hole = _plies(new), _same_openings(old, new)
    new_names = set(_names(new).values())
    gone = False
    for bag in old.work.bag.operations:
        if not any(p.operation == bag.number and p.id in (LAID, "O17") for p in done):
            continue
        cured = any(p.operation == bag.number and p.id == HEATED for p in done)
        mine = [p for i, p in _plies(old).items() if i in bag.plies]
        unlike = [p.id for p in mine if not _same_ply(p, now.get(p.id))]
        plug = "core" not in bag.lays or _same_plug(old, new)
        what = f"{bag.name}: {'cured' if cured else 'laid, not cured'}"
        if not gone and same_hole and plug and not unlike and bag.name in new_names:
            rows.append(Made(what, Fate.STAYS, "the same in both plans, and so is all it lies on"))
            continue
        gone = True
        reason = (
            "the opening changes"
            if not same_hole
            else "another plug"
            if not plug
            else (f"other plies: {', '.join(unlike)}" if unlike else "what it lies on comes out")
        )
        rows.append(Made(what, Fate.OUT, reason))
        if cured:
            found.append(J228(f"{bag.name}: {reason}", place=f"cure.{bag.number}"))
    return rows


def _same_openings(old: Plan, new: Plan) -> bool:
    a, b = _openings(old), _openings(new)
    return (
        _deep(old) == _deep(new)
        and a.keys() == b.keys()
        and all(max(_past(a[s], b[s]), _past(b[s], a[s])) <= FINE for s in a)
    )


def _same_plug(old: Plan, new: Plan) -> bool:
    a = None if old.work is None else old.work.core.plug
    b = None if new.work is None else new.work.core.plug
    if a is None or b is None:
        return a is b
    outlines = max(_past(a.outline, b.outline), _past(b.outline, a.outline))
    return outlines <= FINE and abs(float(a.thickness) - float(b.thickness)) <= FINE


def _pieces(old: Plan, new: Plan, done: frozenset[Place]) -> list[Made]:
    """Pieces cut and mixes made for what is not laid yet."""
    if old.work is None:
        return []
    rows, now = [], _plies(new)
    for bag in old.work.bag.operations:
        have = {p.id for p in done if p.operation == bag.number}
        if LAID in have:
            continue
        if MIXED in have:
            rows.append(
                Made(f"{bag.name}: what is mixed", Fate.SCRAP, "its pot life runs; mix anew for the new plan")
            )
        for ply in (p for i, p in _plies(old).items() if i in bag.plies and CUT in have):
            if WETTED in have:
                rows.append(Made(f"piece {ply.id}", Fate.SCRAP, "wetted out: it cannot wait"))
                continue
            other = now.get(ply.id)
            if other is None or other.cloth != ply.cloth or abs(float(other.warp) - float(ply.warp)) > 1e-6:
                rows.append(Made(f"piece {ply.id}", Fate.SCRAP, "the new plan has no such ply"))
            else:
                rows.append(Made(f"piece {ply.id}", *_outline_fate(ply.outline, other.outline)))
    return rows


def _operations(plan: Plan) -> Operations:
    if plan.work is None:
        return Operations(())
    bags = plan.work.bag.operations
    return Operations(tuple(b.number for b in bags), frozenset(b.number for b in bags if on_plate(b)))


def _steps(old: Plan, new: Plan, done: frozenset[Place], made: list[Made]) -> tuple[StepFate, ...]:
    names = {name: number for number, name in _names(old).items()}
    new_names, operations = _names(new), _operations(new)
    was = {s.place: s for s in old.card.steps}
    hole = _same_openings(old, new)
    out = {m.what.partition(":")[0] for m in made if m.fate is Fate.OUT}
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
        why = _why(old, new, before, step, hole, out, new_names)
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


def _why(
    old: Plan, new: Plan, before: Step, step: Step, hole: bool, out: set[str], names: dict[int, str]
) -> str:
    if step.id in ("B1", "A2") and _damage_differs(old, new):
        return "the damage is another one"
    if step.operation and names.get(step.operation) in out:
        return "what was bonded in it comes out"
    if not hole and step.id in (OPENED | {"B4", "C3", "C4", "C5", "D2"}):
        return "the opening changes"
    if step.id in ("D1", "B5", "O4") and not _same_pieces(old, new):
        return "the pieces are others"
    if _said(old, before) != _said(new, step):
        return "it says something else now"
    return ""


def _damage_differs(old: Plan, new: Plan) -> bool:
    a, b = old.case.geometry, new.case.geometry
    return (a.damage, a.far_damage, _deep(old)) != (b.damage, b.far_damage, _deep(new))


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
