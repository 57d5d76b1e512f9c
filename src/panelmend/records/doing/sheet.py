"""The card of a plan as a sheet to fill in: its steps with what they need, blanks with the limits as
printed, clocks."""

from __future__ import annotations

import json
from dataclasses import fields, is_dataclass
from decimal import Decimal

from panelmend.derive import Figure
from panelmend.derive.ledger import words_for
from panelmend.errors import RangeError, UnitError
from panelmend.job.bag.part import BagOperation
from panelmend.job.card import part
from panelmend.job.card.bench import on_plate
from panelmend.job.card.order import Place, must_precede
from panelmend.job.card.writing import RECORD
from panelmend.plan.again.steps import bonding_operations
from panelmend.plan.plan import Plan
from panelmend.records import events as e
from panelmend.records.canonical import amount_text, sha256, tidy_text
from panelmend.units import KINDS, Limit, read, to_unit

RELEASER = "certificate holder"
"""Who makes the release entry, which fills in the blanks of its step by itself."""


PLUG = "PLUG"  # its label


def step_key(place: Place) -> str:
    """A step's key: id, operation, batch."""
    return f"{place.id}/{place.operation}/{place.batch}"


def steps_of(plan: Plan) -> tuple[e.CardStep, ...]:
    """Every step of the card in working order.

    Raises:
        RangeError: a limit of the card cannot be read back as it is printed.
    """
    steps, operations = plan.card.steps, bonding_operations(plan)
    made: list[e.CardStep] = []
    earlier = [
        {j for j, s in enumerate(steps) if j != i and must_precede(s.place, step.place, operations)}
        for i, step in enumerate(steps)
    ]
    for i, step in enumerate(steps):
        before = [j for j in range(i) if j in earlier[i]]
        through = set[int]().union(*(earlier[j] for j in before))  # what another of them asks for already
        direct = [steps[j] for j in before if j not in through]
        if not direct:  # where no rule reaches, the card's own order holds
            direct = list(steps[max(0, i - 1) : i])
        made.append(
            e.made(
                e.CardStep,
                key=step_key(step.place),
                id=step.id,
                operation=step.operation,
                number=step.number,
                title=tidy_text(step.title),
                needs=tuple(step_key(s.place) for s in direct),
                blanks=_blanks(plan, step) if step.hold is None or step.hold.by != RELEASER else (),
                hold=step.hold.code if step.hold else None,
                hold_by=step.hold.by if step.hold else None,
                accepted=tidy_text(step.hold.accepted) if step.hold else "",
                cure=_cure(plan, step),
                printed=_printed_digest(plan, step),
                pieces=_pieces(plan, step),
                pots=sum(b.mark == "mixed" for b in step.blanks),
            )
        )
    return tuple(made)


def _printed_digest(plan: Plan, step: part.Step) -> str:
    """One digest of all that the card prints at a step but its number and its reasons: words, cautions,
    tools, materials, blanks, tables, the drawing's name, the hold."""

    def said(value: object) -> object:
        if isinstance(value, Figure):
            return words_for(value.value, value.kind, plan.case.view) if value.kind else str(value.value)
        if isinstance(value, tuple | list):
            return [said(v) for v in value]
        if is_dataclass(value):
            return [[f.name, said(getattr(value, f.name))] for f in fields(value) if f.name != "number"]
        return value

    return sha256(json.dumps(said(step), ensure_ascii=True))


def _pieces(plan: Plan, step: part.Step) -> tuple[str, ...]:
    """The labels of the pieces that go down in a step: the plug, the plies of an operation."""
    if step.id not in ("O17", "O18"):
        return ()
    return tuple(map(tidy_text, _bag(plan, step.operation).plies)) if step.id == "O18" else (PLUG,)


def _cure(plan: Plan, step: part.Step) -> str:
    """The name of the cure whose log a step judges."""
    if step.id != "O24" or plan.work is None:
        return ""
    return tidy_text(_bag(plan, step.operation).name)


def _bag(plan: Plan, operation: int) -> BagOperation:
    assert plan.work is not None
    return next(b for b in plan.work.bag.operations if b.number == operation)


def _blanks(plan: Plan, step: part.Step) -> tuple[e.CardBlank, ...]:
    return tuple(blank_of(b, plan.case.view) for b in step.blanks)


def blank_of(b: part.Blank, view: str) -> e.CardBlank:
    """A blank of the card as one to fill in.

    A number with limits in figures is judged by them, in the blank's unit and as printed. One whose limit
    stands in words, or in the approved data alone, is judged by the person who writes it. Raises RangeError.
    """
    low, high = _printed(b, b.low, view, "least"), _printed(b, b.high, view, "most")
    aim = words_for(b.aim.value, b.aim.kind, view) if b.aim is not None else ""
    ask = "record"
    if b.entry == "number":
        figures = low is not None or high is not None
        ask = "figures" if figures else "record" if b.said is RECORD and b.aim is None else "person"
    return e.CardBlank(
        what=tidy_text(b.what),
        entry=e.EntryKind(b.entry),
        unit=tidy_text(b.unit),
        low=low,
        high=high,
        said=tidy_text(", ".join(x for x in (aim, b.said) if x)),
        ask=ask,  # type: ignore[arg-type]
        ahead=b.mark in part.AHEAD,
        names=b.mark if b.mark in ("lots", "instruments") else "",
    )


def _printed(b: part.Blank, figure: Figure | None, view: str, side: Limit) -> str | None:
    """A limit as the card prints it, in the blank's unit, as a decimal."""
    if figure is None:
        return None
    words = words_for(figure.value, figure.kind, view, side)
    if not figure.kind:
        return amount_text(Decimal(words))
    unit = unit_of(b.unit, figure.kind)
    try:
        value = read(words, figure.kind)
    except UnitError as error:
        raise RangeError(f"the limit {words!r} of {b.what!r} cannot be read back") from error
    number = to_unit(value, figure.kind, unit)
    return amount_text(Decimal(f"{number:.9g}"))


def unit_of(text: str, kind: str) -> str:
    """The unit of a kind that a blank's unit begins with: "°" is "deg", "inHg in the test" inHg. Raises
    RangeError."""
    units = KINDS[kind].units
    words = text.replace("²", "2").split()
    for n in range(len(words), 0, -1):
        name = " ".join(words[:n])
        if name in units:
            return name
    raise RangeError(f"{text!r} is no unit of {kind}")


def largest_of(plan: Plan) -> tuple[e.Vertex, ...]:
    """The outline of the ply that reaches farthest; nothing for a curved panel, whose outlines are developed,
    and where nothing is laid."""
    if plan.work is None or plan.case.geometry.cylinder is not None:
        return ()
    outlines = [s.largest.outline for s in plan.work.plies.sides if s.plies]
    if not outlines:
        return ()
    largest = max(outlines, key=lambda o: o.area)
    return tuple((round(v.x * 1e6), round(v.y * 1e6), round(v.bulge * 1e6)) for v in largest.vertices)


def clocks_of(plan: Plan) -> tuple[e.CardClock, ...]:
    """The clocks that times on the card are held to: for every batch mixed its pot life, the time by which
    it is laid and that by which vacuum is on; bond within, dry until. Ends are found by their marks."""
    if plan.work is None:
        return ()
    by_key = {step_key(s.place): s for s in plan.card.steps}
    made: list[e.CardClock] = []
    for bag in plan.work.bag.operations:
        made += _batches(plan, bag, by_key)
        made += _surface(plan, bag, by_key)
    return tuple(made)


_End = tuple[part.Step, int]
"""A step and the place of one of its blanks."""


def _ends(step: part.Step | None, mark: part.Mark) -> list[_End]:
    """The blanks of a step with a mark, in their order."""
    return [] if step is None else [(step, i) for i, b in enumerate(step.blanks) if b.mark == mark]


def _batches(plan: Plan, bag: BagOperation, steps: dict[str, part.Step]) -> list[e.CardClock]:
    assert plan.work is not None
    on = _ends(steps.get(step_key(Place("O20", bag.number))), "vacuum on")
    laid = _ends(steps.get(step_key(Place("O18", bag.number))), "last laid")
    made = []
    mixes = [m.id for m in plan.work.kit.mixes if m.operation == bag.name]
    lives = {c.batch: c for c in plan.card.clocks if c.operation == bag.number}
    for n, mix in enumerate(mixes, 1):
        step = steps.get(step_key(Place("O11", bag.number, n)))
        life = lives.get(mix)
        life = life if life is not None and life.known else None  # else the person tells it
        mixed, lay_by, on_by = (_ends(step, m) for m in _TIMES)
        for i, start in enumerate(mixed):  # one or more pots, each with times of its own
            pot = f"{mix}, batch {i + 1}" if len(mixed) > 1 else mix
            for end in on:
                if life is not None:
                    made.append(_clock(f"pot life, {pot}", start, end, most=int(float(life.life))))
                made += [_clock(f"vacuum on by, {pot}", start, end, by) for by in on_by[i : i + 1]]
            for end in laid:
                if life is not None and life.lay is not None:
                    made.append(_clock(f"laid within, {pot}", start, end, most=int(float(life.lay))))
                made += [_clock(f"lay by, {pot}", start, end, by) for by in lay_by[i : i + 1]]
    return made


_TIMES: tuple[part.Mark, part.Mark, part.Mark] = ("mixed", "lay by", "on by")


def _surface(plan: Plan, bag: BagOperation, steps: dict[str, part.Step]) -> list[e.CardClock]:
    """Bond within: from abrading to first contact; dry until: from proving dry to accepting the surface."""
    made = []
    abraded = _ends(steps.get(step_key(Place("O2", bag.number))), "abraded")
    surface = steps.get(step_key(Place("O8", bag.number)))
    accepted, before = _ends(surface, "surface accepted"), _ends(surface, "bond before")
    dry = _ends(steps.get(step_key(Place("C5"))), "dry until")
    within = _bond_within(plan)
    for step in steps.values():
        for contact in _ends(step, "first contact") if step.operation == bag.number else ():
            made += [
                _clock(f"bond before, {bag.name}", accepted[0], contact, by) for by in before if accepted
            ]
            if within is not None:
                made += [_clock(f"bond within, {bag.name}", a, contact, most=within) for a in abraded]
    if not on_plate(bag):
        made += [_clock(f"dry until, {bag.name}", a, a, by) for by in dry for a in accepted]
    return made


def _bond_within(plan: Plan) -> int | None:
    key = "surface.bond_within"
    found = [f for f in plan.ledger if f.key == key]
    return int(float(found[0])) if found else None


def _clock(
    name: str, start: _End, end: _End, until: _End | None = None, most: int | None = None
) -> e.CardClock:
    found: e.CardClock = e.made(
        e.CardClock,
        name=tidy_text(name),
        start=step_key(start[0].place),
        start_blank=start[1],
        end=step_key(end[0].place),
        end_blank=end[1],
        most=most,
        until=step_key(until[0].place) if until else None,
        until_blank=until[1] if until else 0,
    )
    return found
