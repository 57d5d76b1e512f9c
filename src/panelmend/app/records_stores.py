"""What a plan takes from the stores, which lots it draws, and the stores as the next document names them."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from panelmend.app.records_words import local, why_not_usable
from panelmend.document.written import toml_string
from panelmend.errors import InputError
from panelmend.plan.plan import Plan
from panelmend.records import events as e
from panelmend.records.book import Book, Who, job_of
from panelmend.records.canonical import amount_text, seconds_between, tidy_text, typed_amount
from panelmend.records.doing.bench import beside_plan
from panelmend.records.rules.bench import life_of
from panelmend.records.rules.stock import SCALE, drawn_for
from panelmend.records.state import HeldLot, Job, State
from panelmend.render.labels import read_label_code
from panelmend.units import read

_UNITS = {"length": "m", "area": "m2", "mass": "kg", "fine mass": "kg", "volume": "m3", "": "pieces"}
_NINTH, _NOISE, _MICRO = Decimal("1e-8"), Decimal("1e-12"), Decimal("1e-6")


def kit_of(plan: Plan) -> tuple[e.Need, ...]:
    """What a plan takes from the stores: cloth, resin, adhesive, core, bagging and what is used up."""
    if plan.work is None:
        return ()
    rolls = {r.id: r.width for r in plan.case.document.stores.roll}
    rolls |= {rest.id: rest.width for r in plan.case.document.stores.roll for rest in r.remnant}
    plug = plan.work.core.plug
    thick = None if plug is None else amount_text(Decimal(repr(float(plug.thickness))).quantize(_MICRO))
    made = []
    for line in plan.work.kit.lines:
        if line.amount is None or line.group in ("tools", "instruments", "equipment", "protection"):
            continue
        material, unit = tidy_text(line.material or line.name), _UNITS.get(line.amount.kind)
        picks = [(p.store, p.amount) for p in line.picks] or [("", line.amount)]
        for store, amount in picks if unit is not None else ():
            wide = rolls.get(store)
            made.append(
                e.Need(
                    material=material,
                    store=tidy_text(store),
                    amount=_decimal(float(amount)),
                    unit=unit,  # type: ignore[arg-type]
                    width=_decimal(wide) if wide is not None else None,
                    thickness=thick if plug is not None and line.material == plug.material else None,
                )
            )
    return tuple(made)


def pieces_of(plan: Plan) -> tuple[str, ...]:
    """The names on the labels of a plan's pieces, one for each that is cut."""
    from panelmend.render.pieces import templates_of

    made = []
    for t in templates_of(plan) if plan.work is not None else ():
        made += [t.id] if t.quantity == 1 else [f"{t.id}.{n}" for n in range(1, t.quantity + 1)]
    return tuple(tidy_text(x) for x in made)


def _decimal(value: float) -> str:
    """An amount rounded up to its last digit: never less than what is taken, but the noise of a sum is
    nothing taken."""
    return amount_text(Decimal(repr(value)).quantize(_NOISE).quantize(_NINTH, rounding="ROUND_CEILING"))


@dataclass(frozen=True)
class LotDraw:
    """What to draw from one lot for a job, in the lot's unit; without a lot, what is missing."""

    material: str
    lot: str
    amount: Decimal
    unit: str
    words: str = ""


def first_lots(state: State, material: str, unit: str, job: str) -> list[HeldLot]:
    """Lots of a material that may be drawn now: opened first, then first to expire."""
    found = [
        x
        for x in state.lots.values()
        if x.received.material == material
        and SCALE.get(x.received.unit, ("",))[0] == unit
        and x.free_for(job) > 0
        and _may_be_used(state, x)
    ]
    return sorted(found, key=lambda x: (not x.opened, x.expires, x.received.lot))


def _may_be_used(state: State, lot: HeldLot) -> bool:
    return not why_not_usable(state, lot)


def draws(state: State, job: Job) -> list[LotDraw]:
    """What the kit of a job still draws: from the lots its plan was nested on, and of all else opened first,
    then first to expire. What was drawn for the job counts, but not for work that is done again."""
    name, taken = job.opened.job, dict[str, Decimal]()
    made: list[LotDraw] = []
    for need in job.opened.kit:
        rest = Decimal(need.amount)
        named = state.lots.get(need.store)
        if named is not None and _may_be_used(state, named):
            lots = [named]
        else:
            lots = first_lots(state, need.material, need.unit, name)
        drawn = [
            x
            for number, x in state.lots.items()
            if x.received.material == need.material and drawn_for(state, name, number)
        ]
        for lot in [*drawn, *(x for x in lots if x not in drawn)]:
            if rest <= 0 or (named is not None and lot is not named):
                continue
            scale = SCALE.get(lot.received.unit, ("", Decimal(0)))
            if scale[0] != need.unit:
                continue
            number = lot.received.lot
            drawn_already = drawn_for(state, name, number)
            had = drawn_already + lot.free_for(name) - taken.get(number, Decimal(0))
            here = min(rest, had * scale[1])
            if here <= 0:
                continue
            amount = (here / scale[1]).quantize(_NINTH, rounding="ROUND_CEILING")
            rest -= here
            before = max(Decimal(0), drawn_already - taken.get(number, Decimal(0)))
            taken[number] = taken.get(number, Decimal(0)) + amount
            if amount > before:
                why = f"{'opened' if lot.opened else 'sealed'}, last day {lot.expires}"
                made.append(LotDraw(need.material, number, amount - before, lot.received.unit, why))
        if rest > 0:
            made.append(LotDraw(need.material, "", rest, need.unit, "not there"))
    return made


MOST_YEARS_AHEAD = 20
"""Years from now: a last day further off than that is looked at again (common practice, no source)."""


def received_words(state: State, lot: str) -> list[str]:
    """What the storekeeper is told of a lot that just came in: that it may not be used, that its last day is
    too far off to be believed."""
    held = state.lots[lot]
    why = why_not_usable(state, held)
    return [*([f"LOT {lot} MAY NOT BE USED: {why}."] if why else []), *far_words(state, held.expires)]


def far_words(state: State, last: str) -> list[str]:
    """What to say of a last day (ISO 8601) that lies further off than anybody believes."""
    far = int(last[:4]) - state.day(state.now).year
    return [f"{last} is {far} years from now: LOOK AT THE YEAR AGAIN."] if far > MOST_YEARS_AHEAD else []


def kit_words(state: State, name: str) -> list[str]:
    """What the kit of a job still draws, a line each, and what is kept for it."""
    job = job_of(state, name)
    lines = [
        f"  {x.material}: {amount_text(x.amount)} {x.unit} of lot {x.lot} ({x.words})"
        if x.lot
        else f"  {x.material}: {amount_text(x.amount)} {x.unit} NOT THERE"
        for x in draws(state, job)
    ]
    kept = [
        f"  kept for it: {amount_text(x.reserved[name])} {x.received.unit} of lot {number}"
        for number, x in sorted(state.lots.items())
        if x.reserved.get(name)
    ]
    head = f"Kit of job {name}: {'to draw' if lines else 'nothing more to draw'}"
    if not job.opened.kit:
        head = f"Kit of job {name}: its plan names nothing from the stores"
    return [head, *lines, *kept]


def reserve_kit(book: Book, who: Who, name: str) -> list[str]:
    """Keep what the kit of a job still draws, each lot by an entry of its own; what stands then."""
    state = book.state
    wanted: dict[str, Decimal] = {}
    for x in draws(state, job_of(state, name)):
        if x.lot:
            wanted[x.lot] = wanted.get(x.lot, Decimal(0)) + x.amount
    for lot, amount in wanted.items():
        if state.lots[lot].reserved.get(name) != amount:
            book.reserve(who, lot, name, amount_text(amount))
    return kit_words(book.state, name)


def other_choice(state: State, job: str, lot: str) -> str:
    """What to say where a lot is drawn that the plan takes nothing of, or that does not come first; ""
    where it does."""
    chosen = state.lots.get(lot)
    if chosen is None or job not in state.jobs:
        return ""
    material = chosen.received.material
    if beside_plan(state.jobs[job], material):
        return (
            f"Lot {lot} is {material}: THE PLAN of job {job} TAKES NONE OF IT. Look again before it is used; "
            "what was a slip comes back by `lot return`."
        )
    needs = [n.store for n in state.jobs[job].opened.kit if n.material == material]
    nested = [x for x in dict.fromkeys(needs) if x in state.lots]
    if nested:
        return "" if lot in nested else f"The plan was nested on lot {', '.join(nested)}, not on {lot}."
    unit = SCALE.get(chosen.received.unit, ("",))[0]
    first = first_lots(state, chosen.received.material, unit, job)
    if not first or first[0] is chosen:
        return ""
    r = first[0]
    return (
        f"Lot {r.received.lot} would come first: {'opened' if r.opened else 'sealed'}, last day {r.expires}."
    )


def label_typed(code: str) -> tuple[str, str, str]:
    """Repair, piece and plan digest of a label's code, scanned or typed. Raises ReadingError."""
    found = read_label_code(code)
    return found.repair, found.piece, found.digest


def stores_toml(state: State) -> list[str]:
    """Lots that may be used now as the next document names them: rolls with their remnants, then all else."""
    lines = ["# The stores by the records. What holds nothing, or may not be used, is left out."]
    good = {n: x for n, x in state.lots.items() if x.left > 0 and _may_be_used(state, x)}
    rolls = {
        n: x for n, x in good.items() if x.width is not None and SCALE.get(x.received.unit, ("",))[0] == "m"
    }
    order = sorted(good, key=lambda n: (good[n].received.material, not good[n].opened, good[n].expires, n))
    remnants = {n: whole for n in rolls if (whole := _whole_roll(state, n)) in rolls and whole != n}
    remnants = {n: whole for n, whole in remnants.items() if _ages_alike(rolls[n], rolls[whole])}
    for n in order:
        x = good[n]
        if n in remnants:
            continue
        if n in rolls:
            lines += [
                "[[stores.roll]]",
                *_lot_toml(state, n, x),
                f'width = "{x.width} m"',
                f'length = "{_m(x)} m"',
            ]
            for child in sorted(c for c in remnants if remnants[c] == n):
                piece = rolls[child]
                lines += [
                    "[[stores.roll.remnant]]",
                    f'id = "{child}"',
                    f'length = "{_m(piece)} m"',
                    f'width = "{piece.width} m"',
                ]
            continue
        field = {"kg": "mass", "m3": "volume", "m2": "area", "pieces": "count"}.get(
            SCALE.get(x.received.unit, ("",))[0]
        )
        if field is None:
            length = SCALE.get(x.received.unit, ("",))[0] == "m"
            why = "without a width no roll" if length else "a unit that no document counts in"
            lines.append(f"# lot {n}: {amount_text(x.left)} {x.received.unit}, {why}")
            continue
        if field == "count" and x.left < 1:
            continue
        amount = str(int(x.left)) if field == "count" else f'"{amount_text(x.left)} {x.received.unit}"'
        thick = [f'thickness = "{x.received.thickness} m"'] if x.received.thickness is not None else []
        lines += ["[[stores.lot]]", *_lot_toml(state, n, x), f"{field} = {amount}", *thick]
    return lines


def _whole_roll(state: State, name: str) -> str:
    """The lot as received that a remnant, or a remnant of one, came off."""
    while parent := state.lots[name].parent:
        name = parent
    return name


def _ages_alike(rest: HeldLot, roll: HeldLot) -> bool:
    """Whether what a document says of a roll's age holds for its remnant too: out-time is each one's own."""
    alike = rest.expires == roll.expires and bool(rest.opened) == bool(roll.opened)
    return alike and rest.received.out_life is None


def _m(lot: HeldLot) -> str:
    return amount_text(lot.left * SCALE[lot.received.unit][1])


def _lot_toml(state: State, name: str, lot: HeldLot) -> list[str]:
    r = lot.received
    lines = [f'id = "{name}"', f"material = {toml_string(r.material)}", f"lot = {toml_string(r.batch)}"]
    lines.append(f"expires = {lot.expires}")
    if lot.opened:
        lines.append("opened = true")
    if r.out_life is not None:
        lines += [f'out_life = "{r.out_life} s"', f'out_time = "{lot.out_at(state.now)} s"']
    return lines


def mixed_of(job: Job, step: str, parts: tuple[str, ...], life: str) -> tuple[dict[str, str], int]:
    """Amounts by lot from "LOT=AMOUNT", and a life [s] as typed, or the card's.

    Raises:
        InputError: no such parts, or no life where the card has none.
    """
    made = {}
    for text in parts:
        lot, mark, amount = text.rpartition("=")
        if not mark or not lot or lot in made:
            raise InputError("not what went into a batch", read=text[:60], expected='such as "LR-77=100"')
        made[lot] = amount_text(typed_amount(amount))
    seconds = int(read(life, "time")) if life else life_of(job, step)
    if seconds is None:
        raise InputError("the card has no pot life here", todo="give it: --life")
    return made, seconds


def batch_words(state: State, name: str) -> list[str]:
    """A batch of resin: when and of what it was mixed, how long it may be used."""
    batch = state.mixed[name]
    parts = ", ".join(
        f"{p.amount} {state.lots[p.lot].received.unit} of lot {p.lot}" for p in batch.mixed.parts
    )
    ran = seconds_between(batch.at, state.now)
    past = " PAST ITS LIFE" if ran > batch.mixed.life else ""
    at = local(state, batch.at)
    return [f"batch {name}, mixed at {at} by {batch.by}: {parts}; life {batch.mixed.life} s{past}"]
