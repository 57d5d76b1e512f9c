"""The card of a plan as a sheet to fill in: its steps with what they need, blanks with the limits as
printed, clocks."""

from __future__ import annotations

from decimal import Decimal

from panelmend.derive import Figure
from panelmend.derive.ledger import words_for
from panelmend.errors import RangeError, UnitError
from panelmend.job.bag.part import BagOperation
from panelmend.job.card import part
from panelmend.job.card.bench import on_plate
from panelmend.job.card.order import Operations, Place, must_precede
from panelmend.job.card.writing import RECORD
from panelmend.plan.plan import Plan
from panelmend.records import events as e
from panelmend.records.canonical import amount_text, tidy
from panelmend.units import KINDS, Limit, read, to_unit

RELEASER = "certificate holder"
"""Who makes the release entry, which fills in the blanks of its step by itself."""
_AHEAD = {"O11": (1, 2), "O8": (1,), "C5": (0,)}
"""Times on the card by which something must be done, by step and by their place among its times: lay by
and vacuum on by, bond before, dry until."""


def key_of(place: Place) -> str:
    """A step's key: id, operation, batch."""
    return f"{place.id}/{place.operation}/{place.batch}"


def operations_of(plan: Plan) -> Operations:
    """The bonding operations of a plan, for the working order."""
    if plan.work is None:
        return Operations(())
    bags = plan.work.bag.operations
    return Operations(tuple(b.number for b in bags), frozenset(b.number for b in bags if on_plate(b)))


def steps_of(plan: Plan) -> tuple[e.Step, ...]:
    """Every step of the card in working order.

    Raises:
        RangeError: a limit of the card cannot be read back as it is printed.
    """
    steps, operations = plan.card.steps, operations_of(plan)
    made: list[e.Step] = []
    for i, step in enumerate(steps):
        before = [s for s in steps[:i] if must_precede(s.place, step.place, operations)]
        direct = [
            s
            for s in before
            if not any(must_precede(s.place, o.place, operations) for o in before if o is not s)
        ] or list(steps[max(0, i - 1) : i])  # where no rule reaches, the card's own order holds
        made.append(
            e.made(
                e.Step,
                key=key_of(step.place),
                id=step.id,
                operation=step.operation,
                number=step.number,
                title=tidy(step.title),
                needs=tuple(key_of(s.place) for s in direct),
                blanks=_blanks(plan, step) if step.hold is None or step.hold.by != RELEASER else (),
                hold=step.hold.code if step.hold else None,
                hold_by=step.hold.by if step.hold else None,
                accepted=tidy(step.hold.accepted) if step.hold else "",
                cure=_cure(plan, step),
            )
        )
    return tuple(made)


def _cure(plan: Plan, step: part.Step) -> str:
    """The name of the cure whose log a step judges."""
    if step.id != "O24" or plan.work is None:
        return ""
    return tidy(_bag(plan, step.operation).name)


def _bag(plan: Plan, operation: int) -> BagOperation:
    assert plan.work is not None
    return next(b for b in plan.work.bag.operations if b.number == operation)


def _blanks(plan: Plan, step: part.Step) -> tuple[e.Blank, ...]:
    made: list[e.Blank] = []
    times = 0
    for b in step.blanks:
        ahead = b.entry == "time" and times in _AHEAD.get(step.id, ())
        times += b.entry == "time"
        made.append(blank_of(b, plan.case.view, ahead=ahead))
    return tuple(made)


def blank_of(b: part.Blank, view: str, *, ahead: bool = False) -> e.Blank:
    """A blank of the card as one to fill in.

    A number with limits in figures is judged by them, in the blank's unit and as printed. One whose limit
    stands in words, or in the approved data alone, is judged by the person who writes it. Raises RangeError.
    """
    low, high = _printed(b, b.low, view, "least"), _printed(b, b.high, view, "most")
    aim = words_for(b.aim.value, b.aim.kind, view) if b.aim is not None else ""
    ask = "record"
    if b.entry == "number":
        figures = low is not None or high is not None
        ask = "figures" if figures else "record" if b.said == RECORD and b.aim is None else "person"
    return e.Blank(
        what=tidy(b.what),
        entry=e.EntryKind(b.entry),
        unit=tidy(b.unit),
        low=low,
        high=high,
        said=tidy(", ".join(x for x in (aim, b.said) if x)),
        ask=ask,  # type: ignore[arg-type]
        ahead=ahead,
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


def clocks_of(plan: Plan, steps: tuple[e.Step, ...]) -> tuple[e.Clock, ...]:
    """The clocks that times on the card are held to: pot life of every batch, vacuum on by, lay by, bond
    within, dry until."""
    if plan.work is None:
        return ()
    by_key = {s.key: s for s in steps}
    made: list[e.Clock] = []
    for bag in plan.work.bag.operations:
        made += _batches(plan, bag, by_key)
        made += _surface(plan, bag, by_key)
    return tuple(made)


def _times(step: e.Step | None) -> list[int]:
    """Places of a step's time blanks."""
    return [] if step is None else [i for i, b in enumerate(step.blanks) if b.entry is e.EntryKind.TIME]


def _batches(plan: Plan, bag: BagOperation, steps: dict[str, e.Step]) -> list[e.Clock]:
    assert plan.work is not None
    on = steps.get(key_of(Place("O20", bag.number)))
    laid = steps.get(key_of(Place("O18", bag.number)))
    made = []
    mixes = [m.id for m in plan.work.kit.mixes if m.operation == bag.name]
    lives = {c.batch: c for c in plan.card.clocks if c.operation == bag.number}
    for n, mix in enumerate(mixes, 1):
        mixed = steps.get(key_of(Place("O11", bag.number, n)))
        starts = _times(mixed)
        life = lives.get(mix)
        if mixed is None or not starts:
            continue
        if on is not None and _times(on) and life is not None:
            most = int(float(life.life))
            made.append(_clock(f"pot life, {mix}", mixed, starts[0], on, _times(on)[0], most=most))
        if on is not None and _times(on) and len(starts) > 2:
            made.append(
                _clock(f"vacuum on by, {mix}", mixed, starts[0], on, _times(on)[0], (mixed, starts[2]))
            )
        if laid is not None and _times(laid) and len(starts) > 2:
            last = _times(laid)[-1]
            made.append(_clock(f"lay by, {mix}", mixed, starts[0], laid, last, (mixed, starts[1])))
    return made


def _surface(plan: Plan, bag: BagOperation, steps: dict[str, e.Step]) -> list[e.Clock]:
    """Bond within: from abrading to first contact; dry until: from proving dry to accepting the surface."""
    made = []
    abraded = steps.get(key_of(Place("O2", bag.number)))
    surface = steps.get(key_of(Place("O8", bag.number)))
    dry = steps.get(key_of(Place("C5")))
    within = _bond_within(plan)
    contacts = [
        s for k, s in steps.items() if s.operation == bag.number and s.id in ("O13", "O14") and _times(s)
    ]
    for contact in contacts:
        first = _times(contact)[0]
        if surface is not None and len(_times(surface)) > 1:
            a, b = _times(surface)[:2]
            made.append(_clock(f"bond before, {bag.name}", surface, a, contact, first, (surface, b)))
        if abraded is not None and _times(abraded) and within is not None:
            made.append(
                _clock(f"bond within, {bag.name}", abraded, _times(abraded)[0], contact, first, most=within)
            )
    if dry is not None and surface is not None and _times(dry) and _times(surface) and not on_plate(bag):
        until, accepted = _times(dry)[0], _times(surface)[0]
        made.append(_clock(f"dry until, {bag.name}", surface, accepted, surface, accepted, (dry, until)))
    return made


def _bond_within(plan: Plan) -> int | None:
    key = "surface.bond_within"
    found = [f for f in plan.ledger if f.key == key]
    return int(float(found[0])) if found else None


def _clock(
    name: str,
    start: e.Step,
    start_blank: int,
    end: e.Step,
    end_blank: int,
    until: tuple[e.Step, int] | None = None,
    most: int | None = None,
) -> e.Clock:
    found: e.Clock = e.made(
        e.Clock,
        name=tidy(name),
        start=start.key,
        start_blank=start_blank,
        end=end.key,
        end_blank=end_blank,
        most=most,
        until=until[0].key if until else None,
        until_blank=until[1] if until else 0,
    )
    return found
