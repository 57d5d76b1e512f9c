"""What the damages of one job share: rolls and lots, one layout of dry pieces, one kit list."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

from panelmend.job.kit.part import KitLine
from panelmend.job.nest.one_cloth import make_cloth
from panelmend.job.nest.part import ClothNest, NestProblem
from panelmend.plan.plan import Plan
from panelmend.shapes import Outline

SERVES = ("instruments", "equipment")  # what serves one damage after the other


@dataclass(frozen=True)
class Draw:
    """One roll or lot that several damages draw from: how much in all and how much there is, SI.

    ``measure``: which of a lot's amounts; its resin and its hardener run out each by itself.
    """

    store: str
    material: str
    kind: str
    taken: tuple[tuple[str, float], ...]
    there: float
    measure: str

    @property
    def words(self) -> str:
        """The lot, and its hardener where that is meant."""
        return f"{self.store}, hardener" if self.measure == "hardener_mass" else self.store

    @property
    def total(self) -> float:
        """What all of them take, in the unit of its kind [m], [m2], [m3] or [kg]."""
        return sum(amount for _, amount in self.taken)

    @property
    def short(self) -> bool:
        """Whether there is less than all of them take; the last digits of a sum are no shortage."""
        return self.total > self.there * (1.0 + 1e-9)


@dataclass(frozen=True)
class Cut:
    """The dry pieces of several damages cut at once from one layout, where that may be done.

    ``alone`` and ``together`` [m] of roll: cut one by one, and from the layout. ``shapes`` are the true
    outlines of the pieces in piece axes [m], by damage and piece.
    """

    cloth: str
    operation: str
    names: tuple[str, ...]
    alone: float
    made: ClothNest
    shapes: tuple[tuple[str, Outline], ...]

    @property
    def together(self) -> float:
        """What the layout takes from rolls [m]."""
        return self.made.nest.roll_length

    @property
    def title(self) -> str:
        """Cloth and operation."""
        return f"{self.cloth} for {self.operation}" if self.operation else self.cloth


@dataclass(frozen=True)
class Apart:
    """Cloth that each damage cuts for itself, and why."""

    cloth: str
    operation: str
    why: str


@dataclass(frozen=True)
class Needed:
    """One line of the kit list of the whole job: what each damage takes, and all of them, SI.

    ``kind`` is "" for what is counted. What ``serves`` one damage after the other is needed as often as the
    one that needs most of it; all else is summed. ``picks`` say from where.
    """

    group: str
    material: str
    name: str
    purposes: tuple[str, ...]
    kind: str
    by: tuple[tuple[str, float | None], ...]
    total: float | None
    picks: tuple[str, ...]
    short: bool

    @property
    def serves(self) -> bool:
        """Whether it is used and not used up."""
        return self.group in SERVES


def damage_name(plan: Plan) -> str:
    """Short name of the damage a plan is for."""
    return plan.case.document.damage.id


def draws_of(plans: Sequence[Plan]) -> tuple[Draw, ...]:
    """Lots and rolls that more than one damage draws from."""
    stores = plans[0].case.document.stores
    taken: dict[tuple[str, str, str], dict[str, float]] = defaultdict(lambda: defaultdict(float))
    for plan in plans:
        if plan.work is None:
            continue
        for line in plan.work.kit.lines:
            for pick in line.picks:
                taken[pick.store, pick.measure, pick.amount.kind][damage_name(plan)] += float(pick.amount)
    found = []
    for (store, measure, kind), by in taken.items():
        if len(by) < 2:
            continue
        roll = next((r for r in stores.roll if r.id == store), None)
        lot = next((x for x in stores.lot if x.id == store), None)
        there: float | None = None
        material = ""
        if roll is not None:
            material = roll.material
            there = {"length": roll.length, "area": roll.length * roll.width}[measure]
        elif lot is not None:
            material = lot.material
            there = {
                "mass": lot.mass,
                "hardener_mass": lot.hardener_mass,
                "area": lot.area,
                "volume": lot.volume,
            }[measure]
        if there is not None:
            found.append(Draw(store, material, kind, tuple(by.items()), there, measure))
    return tuple(found)


def cuts_of(plans: Sequence[Plan]) -> tuple[tuple[Cut, ...], tuple[Apart, ...]]:
    """Layouts of the dry pieces of several damages, and the cloth that each of them cuts for itself.

    A sheet that is wetted out before it is cut is each damage's own, for its resin gels while the other is
    laid. A remnant is cut once, whatever is laid out on it.
    """
    groups: dict[tuple[str, str], list[tuple[Plan, ClothNest]]] = defaultdict(list)
    for plan in plans:
        for item in () if plan.work is None else plan.work.nest.cloths:
            groups[item.problem.cloth, item.problem.operation].append((plan, item))
    apart = {key: why for key, rows in groups.items() if (why := _why_apart(rows))}
    gone = {
        layout.strip.id
        for key in apart
        for _, item in groups[key]
        for layout in item.nest.layouts
        if layout.strip.remnant
    }
    cuts, alone = [], [Apart(*key, why) for key, why in apart.items() if len(groups[key]) > 1]
    for key, rows in groups.items():
        if key in apart:
            continue
        made = _laid_out(key, rows, gone)
        if made.nest.unplaced or made.nest.roll_length > sum(i.nest.roll_length for _, i in rows):
            alone.append(Apart(*key, "no layout of all of them takes less"))
            gone |= _remnants(*(item for _, item in rows))
            continue
        gone |= _remnants(made)
        shapes = tuple(
            (f"{damage_name(p)}.{piece}", shape) for p, i in rows for piece, shape in _shapes(p, i)
        )
        length = sum(item.nest.roll_length for _, item in rows)
        cuts.append(Cut(*key, tuple(damage_name(p) for p, _ in rows), length, made, shapes))
    return tuple(cuts), tuple(alone)


def _why_apart(rows: Sequence[tuple[Plan, ClothNest]]) -> str:
    if len(rows) < 2:
        return "only one damage takes it"
    for plan, item in rows:
        kit = plan.work.kit if plan.work is not None else None
        if kit is not None and item.problem.operation and kit.wet_out != "cut then wet":
            return "the sheet is wetted out before it is cut: its resin gels while another damage is laid"
    return ""


def _laid_out(key: tuple[str, str], rows: Sequence[tuple[Plan, ClothNest]], gone: set[str]) -> ClothNest:
    pieces = tuple(
        replace(piece, id=f"{damage_name(plan)}.{piece.id}")
        for plan, item in rows
        for piece in item.problem.pieces
    )
    strips = {s.id: s for _, item in rows for s in item.problem.strips if not (s.remnant and s.id in gone)}
    return make_cloth(NestProblem(key[0], pieces, tuple(strips.values()), key[1]))


def _remnants(*items: ClothNest) -> set[str]:
    return {n.strip.id for item in items for n in item.nest.layouts if n.strip.remnant}


def _shapes(plan: Plan, item: ClothNest) -> list[tuple[str, Outline]]:
    assert plan.work is not None, "a nest without work"
    every = {p.id: p.template for p in (*plan.work.plies.plies, *plan.work.core.cap)}
    return [(piece.id, every[piece.id]) for piece in item.problem.pieces]


def shared_kit(plans: Sequence[Plan], draws: Sequence[Draw]) -> tuple[Needed, ...]:
    """One kit list for the whole job: what is used up is summed, what is only used is needed once."""
    rows: dict[tuple[str, str, str, str], list[tuple[str, KitLine]]] = defaultdict(list)
    for plan in plans:
        for line in () if plan.work is None else plan.work.kit.lines:
            kind = "" if line.amount is None else line.amount.kind
            rows[line.group, line.material, line.name, kind].append((damage_name(plan), line))
    over = {(d.store, d.measure) for d in draws if d.short}
    found = []
    for (group, material, name, kind), lines in rows.items():
        by: dict[str, float | None] = {}
        for damage, line in lines:
            own = None if line.amount is None else float(line.amount)
            before = by.get(damage)
            by[damage] = own if before is None else before + (own or 0.0)
        amounts = [v for v in by.values() if v is not None]
        total = None if not amounts else max(amounts) if group in SERVES else sum(amounts)
        picks = tuple(dict.fromkeys(f"{p.store} (lot {p.lot})" for _, x in lines for p in x.picks))
        short = any(
            x.short is not None or any((p.store, p.measure) in over for p in x.picks) for _, x in lines
        )
        purposes = tuple(dict.fromkeys(x.purpose for _, x in lines if x.purpose))
        found.append(Needed(group, material, name, purposes, kind, tuple(by.items()), total, picks, short))
    return tuple(found)
