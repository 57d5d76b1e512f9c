"""Stock from the freezer: warmed up just before it is cut or mixed, because its out-time runs from then on."""

from __future__ import annotations

from panelmend.document.bay import Lot, Roll
from panelmend.job.bag.part import BagOperation
from panelmend.job.card.bench import Bench
from panelmend.job.card.cloth import nests_of
from panelmend.job.card.laid import laid_in
from panelmend.job.card.order import Place
from panelmend.job.card.part import Blank, Step
from panelmend.job.card.writing import clock_blank, number, step
from panelmend.units import show


def warm_up(bench: Bench, bag: BagOperation, *, first: bool) -> list[Step]:
    """Frozen stock of one operation out of its freezer, with what each label lets it add up to."""
    materials = _materials(bench, bag, first=first)
    if not _any_frozen(bench, materials):
        return []
    aging = _aging(bench, materials)
    left = ", ".join(f"{s.id} {_left(bench, s)}" for s, _ in aging)
    return [
        step(
            Place("A5", bag.number),
            f"{bag.name}: warm up frozen stock in its sealed bag",
            "Keep the bag shut until no water settles on it; a full roll may take 8 h (FAA-H-8083-31). Add the time to its "
            "accumulated out-time.",
            *(
                [f"Out-time left when planned, warming, cutting, laying and bagging in it: {left}."]
                if left
                else []
            ),
            blanks=[
                clock_blank("Out of the freezer"),
                clock_blank("Bag opened"),
                *[_limit(bench, stock, path) for stock, path in aging],
                *([] if aging else [number("Accumulated out-time", "h", said="limit: the label")]),
            ],
        )
    ]


def left_in_the_freezer(bench: Bench) -> list[str]:
    """What is said where the kit is drawn: nothing frozen comes out with it."""
    bags = bench.work.bag.operations
    used = {m for bag in bags for m in _materials(bench, bag, first=True)}
    return ["Frozen stock stays in the freezer until its own step."] if _any_frozen(bench, used) else []


def _any_frozen(bench: Bench, materials: set[str]) -> bool:
    """Whether any of them is a prepreg, a film adhesive, or kept with an out-life."""
    stores = bench.case.document.stores
    there: list[Roll | Lot] = [*stores.roll, *stores.lot]
    kept = {stock.material for stock in there if stock.out_life is not None}
    return any(m in kept or _cold(bench, m) for m in materials)


def _materials(bench: Bench, bag: BagOperation, *, first: bool) -> set[str]:
    """What an operation cuts, lays and mixes; what was cut for all operations was warmed up for the first."""
    work = bench.work
    cut = {n.problem.cloth for n in nests_of(bench, bag, first=first)}
    common = {n.problem.cloth for n in work.nest.cloths if n.problem.operation == ""}
    laid = {p.cloth for p in laid_in(work, bag)} - common
    mixed = {m.material for m in work.kit.mixes if m.operation == bag.name}
    core = {work.core.adhesive, work.core.floor_adhesive}
    sets = bool({"core", "potting"} & set(bag.lays)) or bag.bonds_cap
    return cut | laid | mixed | (core if sets else set())


def _cold(bench: Bench, material: str) -> bool:
    """Whether a material is a prepreg or a film adhesive, which are kept in a freezer."""
    work = bench.work
    if any(p.cloth == material and p.role == "film adhesive" for p in work.plies.plies):
        return True
    plies = (*work.plies.plies, *work.core.cap)
    return any(p.cloth == material and bench.case.catalogue.cloth(material).prepreg for p in plies)


def _aging(bench: Bench, materials: set[str]) -> list[tuple[Roll | Lot, str]]:
    """Rolls that the pieces are cut from, and lots, whose time out of the freezer is limited; each with its path."""
    stores = bench.case.document.stores
    strips = {lay.strip.id for n in bench.work.nest.cloths for lay in n.nest.layouts}
    found: list[tuple[Roll | Lot, str]] = [
        (r, f"stores.roll[{i}]")
        for i, r in enumerate(stores.roll, 1)
        if r.material in materials and strips & {r.id, *(rest.id for rest in r.remnant)}
    ]
    found += [(m, f"stores.lot[{i}]") for i, m in enumerate(stores.lot, 1) if m.material in materials]
    return [(stock, path) for stock, path in found if stock.out_life is not None]


def _left(bench: Bench, stock: Roll | Lot) -> str:
    left = (stock.out_life or 0.0) - stock.out_time
    return show(left, "time", bench.case.view, unit="h", decimals=1, limit="most")


def _limit(bench: Bench, stock: Roll | Lot, path: str) -> Blank:
    key = f"stores.{stock.id}.out_life"
    ledger = bench.basis.ledger
    life = (
        ledger[key]
        if key in ledger
        else bench.basis.typed(key, stock.out_life or 0.0, "time", path=f"{path}.out_life", limit="most")
    )
    return number(f"Accumulated out-time, {stock.id}", "h", high=life)
