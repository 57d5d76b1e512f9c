"""The lines of the kit list."""

from __future__ import annotations

from panelmend.derive import Figure
from panelmend.document.bay import Roll
from panelmend.job.bag.part import BagOperation, BagPart
from panelmend.job.basis import Basis
from panelmend.job.core.part import CorePart
from panelmend.job.cure.part import CurePart
from panelmend.job.kit import formulas as f
from panelmend.job.kit.mixing import Portion
from panelmend.job.kit.part import Group, KitLine, Mix, Pick
from panelmend.job.kit.stores import AMOUNT_NONE, Shelf, stock_words
from panelmend.job.nest.part import NestPart
from panelmend.job.openings import rim_of
from panelmend.job.plies.part import PliesPart
from panelmend.materials import Adhesive
from panelmend.units import show

# Layers that come as a thing of their own, and those cut from the stock of another use.
NOT_CUT = ("heat blanket", "pressure aid", "pressure pad", "caul sheet", "vacuum base", "plate", "support")
SAME_STOCK = {"edge breather": "breather", "breather collar": "breather", "lower breather": "breather"}
RESIN_HAZARD = "harms skin and eyes until cured: gloves, sleeves, goggles"
# What a repair always takes: material id, group, purpose, pieces, only for wet lay-up.
ALWAYS: tuple[tuple[str, Group, str, int, bool], ...] = (
    ("lint-free-wipe", "cleaning", "two-cloth wipe", 20, False),
    ("abrasive-150", "cleaning", "bonding surface", 6, False),
    ("dust-bag", "cleaning", "extraction at the tool", 1, False),
    ("masking-tape", "cleaning", "masking", 1, False),
    ("dust-respirator", "protection", "cutting and sanding", 1, False),
    ("eye-protection", "protection", "all work", 1, False),
    ("hearing-protection", "protection", "routing and sanding", 1, False),
    ("disposable-coverall", "protection", "cutting and sanding", 1, False),
    ("nitrile-gloves", "protection", "resin and adhesive", 6, False),
    ("solvent-gloves", "protection", "solvent wipe", 1, False),
    ("cotton-gloves", "protection", "handling cleaned surface and cloth", 2, False),
    ("mixing-cup", "tools", "mixing", 4, True),
    ("mixing-stick", "tools", "mixing", 4, True),
    ("squeegee", "tools", "wetting out", 1, True),
    ("laminating-roller", "tools", "rolling air out", 1, True),
    ("polythene-film", "tools", "wetting out between films", 2, True),
    ("knife-blade", "tools", "cutting cloth and core", 2, False),
    ("marker", "tools", "marking", 1, False),
    ("thermocouple-wire", "tools", "thermocouples", 6, False),
)


def cloths(basis: Basis, nest: NestPart) -> tuple[KitLine, ...]:
    """Cloth and film adhesive, by the length cut from each roll or remnant.

    For wet lay-up that is the length of the sheet that is wetted out, margins included.
    """
    case = basis.case
    found, left = [], dict[str, Figure]()
    for item in nest.cloths:
        material, name = case.catalogue.get(item.problem.cloth), item.problem.name
        picks, amounts, lacks = list[Pick](), list[Figure](), list[Figure]()
        for layout in item.nest.layouts:
            amount = _cut(basis, name, layout.strip.id)
            amounts.append(amount)
            rolls = case.document.stores.roll
            roll = next((r for r in rolls if r.id == layout.strip.id), None)
            owner = roll or next((r for r in rolls for p in r.remnant if p.id == layout.strip.id), None)
            if owner is None:
                lacks.append(amount)
                continue
            if roll is not None:
                amount, lack = _off_roll(basis, left, f"kit.cloth.{name}", roll, amount)
                lacks += [lack] if float(lack) > AMOUNT_NONE else []
            words = stock_words(owner, case.view)
            if roll is None:
                words = f"remnant of {owner.id}" + words.removeprefix("opened").removeprefix("sealed")
            if float(amount) > AMOUNT_NONE:
                picks.append(Pick(layout.strip.id, owner.lot, amount, words, "length"))
        if not amounts:
            continue  # no strip takes any of its pieces: a finding of the nest
        purpose = f"plies, {item.problem.operation}" if item.problem.operation else "plies"
        group: Group = "adhesive" if isinstance(material, Adhesive) else "cloth"
        total = _lengths(basis, f"kit.cloth.{name}.length", amounts)
        short = _lengths(basis, f"kit.cloth.{name}.short", lacks) if lacks else None
        stocked = any(r.material == material.id for r in case.document.stores.roll)
        found.append(
            KitLine(group, material.id, material.name, purpose, total, tuple(picks), short, stocked, "")
        )
    return tuple(found)


def _cut(basis: Basis, name: str, strip: str) -> Figure:
    """Length cut off a strip: the sheet to wet out, or the nest alone."""
    sheet = f"kit.sheet.{name}.{strip}.length"  # only where a sheet is wetted before it is cut
    return basis.ledger[sheet if sheet in basis.ledger else f"nest.{name}.{strip}.used"]


def _off_roll(
    basis: Basis, left: dict[str, Figure], key: str, roll: Roll, amount: Figure
) -> tuple[Figure, Figure]:
    """What a roll gives of an amount once every sheet before has been cut from it, and what it lacks."""
    ledger, i = basis.ledger, basis.case.document.stores.roll.index(roll) + 1
    there = left.get(roll.id) or basis.typed(
        f"stores.{roll.id}.length", roll.length, "length", path=f"stores.roll[{i}].length"
    )
    got = ledger.derive_as("length", f"{key}.from.{roll.id}", f.taken, needed=amount, stock=there)
    lack = ledger.derive_as("length", f"{key}.after.{roll.id}", f.still_needed, needed=amount, taken=got)
    left[roll.id] = ledger.derive_as(
        "length", f"{key}.left_on.{roll.id}", f.still_needed, needed=there, taken=got
    )
    return got, lack


def _lengths(basis: Basis, key: str, figures: list[Figure]) -> Figure:
    """Lengths added up."""
    total = figures[0]
    for i, figure in enumerate(figures[1:], 2):
        total = basis.ledger.derive(f"{key}.sum_{i}", f.length_with, before=total, more=figure)
    return total


def mixed_materials(basis: Basis, shelf: Shelf, mixed: tuple[Mix, ...]) -> tuple[KitLine, ...]:
    """Resin, hardener and filler of every mix."""
    found = []
    for mix in mixed:
        material = basis.case.catalogue.get(mix.material)
        group: Group = "adhesive" if isinstance(material, Adhesive) else "resin"
        key = f"kit.{group}.{mix.operation}.{mix.purpose}"
        two = any(
            lot.material == mix.material and lot.hardener_mass is not None
            for lot in basis.case.document.stores.lot
        )
        if two:
            parts = [("resin", mix.resin, "mass"), ("hardener", mix.hardener, "hardener_mass")]
        else:
            parts = [("resin and hardener", mix.total, "mass")]
        for name, amount, measure in parts:
            label = name.split(" ")[0]
            picks, short = shelf.take(f"{key}.pick.{label}", mix.material, amount, measure)
            found.append(
                KitLine(
                    group,
                    mix.material,
                    f"{material.name}: {name}",
                    mix.id,
                    amount,
                    picks,
                    short if shelf.stocked(mix.material) else None,
                    shelf.stocked(mix.material),
                    RESIN_HAZARD,
                )
            )
        if mix.filler is not None:
            found.append(
                KitLine(
                    group,
                    "",
                    "Filler for the adhesive",
                    mix.id,
                    mix.filler,
                    (),
                    None,
                    False,
                    "dust: respirator",
                )
            )
    return tuple(found)


def unmixed(basis: Basis, shelf: Shelf, portions: tuple[Portion, ...]) -> tuple[KitLine, ...]:
    """Adhesive that is used as it comes: film by area, one-part paste by mass."""
    found = []
    for p in portions:
        if p.two_part:
            continue
        picks, short = shelf.take(f"{p.key}.pick", p.material.id, p.amount, p.amount.kind)
        stocked, words = shelf.stocked(p.material.id), f"{p.operation}: {p.purpose}"
        found.append(
            KitLine(
                "adhesive",
                p.material.id,
                p.material.name,
                words,
                p.amount,
                picks,
                short if stocked else None,
                stocked,
                RESIN_HAZARD,
            )
        )
    return tuple(found)


def core_sheet(basis: Basis, shelf: Shelf, core: CorePart) -> tuple[KitLine, ...]:
    """The core sheet the plug is cut from, in one piece: its box with the ribbon along the sheet."""
    plug, ledger = core.plug, basis.ledger
    if plug is None:
        return ()
    shape = ledger["core.template"]
    length = ledger.derive("kit.core.length", f.along_ribbon, plug=shape, ribbon=plug.ribbon_seen)
    width = ledger.derive("kit.core.width", f.across_ribbon, plug=shape, ribbon=plug.ribbon_seen)
    area = ledger.derive("kit.core.area", f.sheet_area, length=length, width=width)
    thick = float(plug.thickness)
    picks, short = shelf.take("kit.core.pick", plug.material, area, "area", thick=thick, whole=True)
    name = basis.case.catalogue.get(plug.material).name
    stocked = shelf.stocked(plug.material)
    return (
        KitLine("core", plug.material, name, "plug", area, picks, short if stocked else None, stocked, ""),
    )


def bagging(
    basis: Basis, shelf: Shelf, core: CorePart, plies: PliesPart, bags: BagPart
) -> tuple[KitLine, ...]:
    """Bagging of all operations together, by area, and tape by length."""
    ledger = basis.ledger
    totals: dict[tuple[str, str], Figure] = {}
    widest: dict[tuple[str, str], float] = {}
    rounds: list[tuple[str, str]] = [(side.side, f"plies.{side.side}.tape_outer") for side in plies.sides]
    rims = [bag for bag in bags.operations if rim_of(bag, core) is not None]
    rounds += [(f"rim_{bag.number}", f"plies.{core.cap[0].id}.outline") for bag in rims]
    for where, key in rounds:
        if key not in ledger:
            continue
        stocked = basis.case.catalogue.bagging_for("PTFE tape")
        name = ("PTFE tape", stocked[0].id if stocked else "")
        more = ledger.derive(f"kit.tape.{where}", f.round_the, outline=ledger[key])
        before = totals.get(name)
        totals[name] = (
            more
            if before is None
            else ledger.derive(f"kit.tape.with_{where}", f.length_with, before=before, more=more)
        )
    for bag in bags.operations:
        for i, layer in enumerate(bag.all_layers, 1):
            if layer.use in NOT_CUT:
                continue
            name = (SAME_STOCK.get(layer.use, layer.use), layer.material)
            key = f"kit.bagging.{layer.use}.{bag.number}.{i}"
            if layer.width is None and layer.length is not None:
                before = totals.get(name)
                totals[name] = (
                    layer.length
                    if before is None
                    else ledger.derive(key, f.length_with, before=before, more=layer.length)
                )
            elif layer.length is not None and layer.width is not None:
                start = ledger.typed("kit.no_area", 0.0, "area", source=f.STORES)
                pieces = ledger.typed(f"{key}.pieces", layer.pieces, source=f.STORES)
                least = min(float(layer.length), float(layer.width))
                widest[name] = max(widest.get(name, 0.0), least)
                totals[name] = ledger.derive(
                    key,
                    f.area_with,
                    before=totals.get(name, start),
                    length=layer.length,
                    width=layer.width,
                    pieces=pieces,
                )
    return tuple(
        _bagging_line(basis, shelf, use, material, amount, widest.get((use, material), 0.0))
        for (use, material), amount in totals.items()
    )


def _bagging_line(
    basis: Basis, shelf: Shelf, use: str, material: str, amount: Figure, wide: float
) -> KitLine:
    """``wide`` [m]: the least roll width that its largest piece can be cut from."""
    name = basis.case.catalogue.get(material).name if material else use
    stocked = bool(material) and shelf.stocked(material)
    picks: tuple[Pick, ...] = ()
    short: Figure | None = None
    if stocked:
        picks, short = shelf.take(f"kit.bagging.{use}.pick", material, amount, amount.kind, wide=wide)
    return KitLine("bagging", material, name, use, amount, picks, short, stocked, "")


def consumables(basis: Basis, shelf: Shelf, cures: CurePart, sheets: int, cups: int) -> tuple[KitLine, ...]:
    """Solvent, wipes, abrasive, protective equipment and tools (common practice, no source).

    ``sheets`` are wetted, each between two films; ``cups`` are mixed in.
    """
    wet = sheets > 0
    case, ledger = basis.case, basis.ledger
    found = []
    solvent = case.document.data.surface.solvent
    if solvent is not None and solvent.value in case.catalogue:
        material = case.catalogue.get(solvent.value)
        hazard = getattr(material, "hazard", "")
        found.append(
            KitLine(
                "cleaning",
                material.id,
                material.name,
                "solvent wipe",
                None,
                (),
                None,
                shelf.stocked(material.id),
                hazard,
            )
        )
    at_least = {
        # Each blanket's over-temperature cut-out has one of its own, beside those that control and watch.
        # A second blanket that no planned one follows takes two more.
        "thermocouple-wire": max(
            (len(o.sensors) + len(o.blankets) + 2 * bool(o.unplanned_behind) for o in cures.operations),
            default=0,
        ),
        "polythene-film": 2 * sheets,
        "mixing-cup": cups,
        "mixing-stick": cups,
    }
    for ident, group, purpose, count, only_wet in ALWAYS:
        if ident not in case.catalogue or (only_wet and not wet):
            continue
        material = case.catalogue.get(ident)
        count = max(count, at_least.get(ident, 0))
        amount = ledger.typed(f"kit.count.{ident}", count, source=f.USUAL)
        hazard = getattr(material, "hazard", "")
        found.append(
            KitLine(group, ident, material.name, purpose, amount, (), None, shelf.stocked(ident), hazard)
        )
    return tuple(found)


def pressing_lines(bag: BagOperation, view: str) -> list[tuple[str, str]]:
    """What presses where no bag does: its name, and the operation with how much of it."""
    pressed = bag.cure.pressed
    if pressed is None:
        return [("what holds or weighs it down, as the data says", bag.name)]
    if pressed.by == "nothing":
        return []
    parts = f": {pressed.what}" if pressed.what else ""
    if pressed.by == "contact":
        return [(f"what keeps it in place{parts}", f"{bag.name}, {pressed.place}")]
    hard = ""
    if bag.weights is not None:
        hard = f", at least {show(float(bag.weights), 'weight', view, limit='least')} in all"
    elif bag.pressure is not None:
        hard = f", at least {show(float(bag.pressure), 'pressure', view, limit='least')}"
    spread = " with a stiff plate that spreads them" if pressed.by == "clamps" else ""
    return [(f"{pressed.by}{spread}{parts}", f"{bag.name}{hard}, {pressed.place}")]


def equipment(basis: Basis, bags: BagPart) -> tuple[KitLine, ...]:
    """What a cure needs beside its bagging: blankets, controllers, leads, pump, bases, gauges, pads."""
    case, ledger = basis.case, basis.ledger
    rows: dict[tuple[str, str], tuple[str, int]] = {}

    def need(name: str, ident: str, count: int, words: str) -> None:
        """The most that any one operation takes: things are used again, one operation after the other."""
        before = rows.get((name, ident), ("", 0))
        told = words if not before[0] or words in before[0] else f"{before[0]}; {words}"
        rows[(name, ident)] = (told or before[0], max(before[1], count))

    for bag in bags.operations:
        blankets = [b for b in (bag.blanket, bag.behind.blanket if bag.behind is not None else "") if b]
        for ident in blankets:
            need("heat blanket", ident, 1, bag.name)
        if blankets:
            need("heat controller", "", len(blankets), bag.name)
            need("leads for blanket and thermocouples", "", len(blankets), bag.name)
            need("over-temperature cut-out, independent of the controller", "", len(blankets), bag.name)
        if bag.cure.heated_by == "oven":
            port = "hoses and thermocouples" if bag.bagged else "thermocouples"
            need(f"oven with a port for {port}, its survey in date", "", 1, bag.name)
            need("over-temperature cut-out, independent of the controller", "", 1, bag.name)
        if bag.bagged:
            sides = 2 if bag.behind is not None and bag.behind.bagged else 1
            need("vacuum pump", case.document.bay.pump, 1, bag.name)
            need("vacuum base with hose", "", sides, bag.name)
            need("vacuum gauge with its base", "", sides, bag.name)
        else:
            need("release film over what is laid, past where it squeezes out", "", 1, bag.name)
            for name, told in pressing_lines(bag, case.view):
                need(name, "", 1, told)
        coupon = case.document.data.inspection.coupon
        if coupon is not None:
            what = f"plates and release film for witness coupons, {coupon.value.kind}"
            need(what, "", coupon.value.number, f"{bag.name}, for each batch")
        for layer in bag.all_layers:
            if layer.use in ("pressure pad", "pressure aid", "caul sheet", "support", "plate"):
                need(layer.use, layer.material, 1, f"{bag.name}: {layer.note}")
    made = []
    for (name, ident), (words, count) in rows.items():
        key = f"kit.equipment.{name}.{ident}" if ident else f"kit.equipment.{name}"
        amount = ledger.typed(key, count, source=f.USUAL)
        label = f"{name} {ident}".strip()
        made.append(KitLine("equipment", ident, label, words, amount, (), None, True, ""))
    return tuple(made)
