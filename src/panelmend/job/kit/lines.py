"""The lines of the kit list."""

from __future__ import annotations

from panelmend.derive import Figure
from panelmend.job.bag.part import BagPart
from panelmend.job.core.part import CorePart
from panelmend.job.ground import Ground
from panelmend.job.kit import formulas as f
from panelmend.job.kit.part import Group, KitLine, Mix, Pick
from panelmend.job.kit.stores import Shelf
from panelmend.job.nest.part import NestPart
from panelmend.materials import Adhesive

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


def cloths(ground: Ground, nest: NestPart) -> tuple[KitLine, ...]:
    """Cloth and film adhesive, by the length cut from each roll or remnant."""
    case, ledger = ground.case, ground.ledger
    found, used = [], dict[str, Figure]()
    for item in nest.cloths:
        material = case.catalogue.get(item.problem.cloth)
        picks = []
        short: Figure | None = None
        for layout in item.nest.layouts:
            amount = ledger[f"nest.{item.problem.name}.{layout.strip.id}.used"]
            roll = next((r for r in case.document.stores.roll if r.id == layout.strip.id), None)
            rest = next(
                (r for r in case.document.stores.roll for p in r.remnant if p.id == layout.strip.id), None
            )
            owner = roll or rest
            if owner is None:
                short = amount
                continue
            if roll is not None:
                short = _roll_short(ground, used, roll.id, amount, roll.length)
            state = "remnant" if rest is not None else ("opened" if owner.opened else "sealed")
            by = f", use by {owner.expires}" if owner.expires else ""
            out = f", out-time so far {owner.out_time / 3600:.1f} h" if owner.out_life else ""
            picks.append(Pick(layout.strip.id, owner.lot, amount, state + by + out))
        purpose = f"plies, {item.problem.operation}" if item.problem.operation else "plies"
        group: Group = "adhesive" if isinstance(material, Adhesive) else "cloth"
        total = ledger[f"nest.{item.problem.name}.length"]
        stocked = any(r.material == material.id for r in case.document.stores.roll)
        found.append(
            KitLine(group, material.id, material.name, purpose, total, tuple(picks), short, stocked, "")
        )
    return tuple(found)


def _roll_short(
    ground: Ground, used: dict[str, Figure], roll: str, amount: Figure, stock: float
) -> Figure | None:
    """What a roll lacks once every sheet before has been cut from it."""
    ledger = ground.ledger
    if roll in used:
        key = f"kit.roll.{roll}.{len([k for k in used if k.startswith(roll)])}"
        used[roll] = ledger.derive(key, f.length_with, before=used[roll], more=amount)
    else:
        used[roll] = amount
    if float(used[roll]) <= stock + 1e-9:
        return None
    have = ground.typed(f"stores.{roll}.length", stock, "length", path=f"stores.roll {roll}")
    return ledger.derive_as("length", f"kit.roll.{roll}.short", f.still_needed, needed=used[roll], taken=have)


def mixed_materials(ground: Ground, shelf: Shelf, mixed: tuple[Mix, ...]) -> tuple[KitLine, ...]:
    """Resin, hardener and filler of every mix."""
    found = []
    for mix in mixed:
        material = ground.case.catalogue.get(mix.material)
        group: Group = "adhesive" if isinstance(material, Adhesive) else "resin"
        key = f"kit.{group}.{mix.operation}"
        two = any(
            lot.material == mix.material and lot.hardener_mass is not None
            for lot in ground.case.document.stores.lot
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


def core_sheet(ground: Ground, shelf: Shelf, core: CorePart) -> tuple[KitLine, ...]:
    """The core sheet the plug is cut from: its box with the ribbon along the sheet."""
    plug = core.plug
    if plug is None:
        return ()
    ledger = ground.ledger
    turned = plug.template.turned(-float(plug.ribbon_seen))
    x0, y0, x1, y1 = turned.bounds
    length = ledger.typed("kit.core.length", x1 - x0, "length", source=f.PLUG)
    width = ledger.typed("kit.core.width", y1 - y0, "length", source=f.PLUG)
    area = ledger.derive("kit.core.area", f.sheet_area, length=length, width=width)
    picks, short = shelf.take("kit.core.pick", plug.material, area, "area")
    name = ground.case.catalogue.get(plug.material).name
    stocked = shelf.stocked(plug.material)
    return (
        KitLine("core", plug.material, name, "plug", area, picks, short if stocked else None, stocked, ""),
    )


def bagging(ground: Ground, shelf: Shelf, bags: BagPart) -> tuple[KitLine, ...]:
    """Bagging of all operations together, by area, and tape by length."""
    ledger = ground.ledger
    totals: dict[tuple[str, str], Figure] = {}
    for bag in bags.operations:
        for layer in bag.layers:
            if layer.use in ("heat blanket", "pressure aid"):
                continue
            name = (layer.use, layer.material)
            key = f"kit.bagging.{layer.use}.{bag.number}"
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
                totals[name] = ledger.derive(
                    key,
                    f.area_with,
                    before=totals.get(name, start),
                    length=layer.length,
                    width=layer.width,
                    pieces=pieces,
                )
    return tuple(
        _bagging_line(ground, shelf, use, material, amount) for (use, material), amount in totals.items()
    )


def _bagging_line(ground: Ground, shelf: Shelf, use: str, material: str, amount: Figure) -> KitLine:
    name = ground.case.catalogue.get(material).name if material else use
    stocked = bool(material) and shelf.stocked(material)
    picks: tuple[Pick, ...] = ()
    short: Figure | None = None
    if stocked and amount.kind == "area":
        picks, short = shelf.take(f"kit.bagging.{use}.pick", material, amount, "area")
    return KitLine("bagging", material, name, use, amount, picks, short, stocked, "")


def consumables(ground: Ground, shelf: Shelf, wet: bool) -> tuple[KitLine, ...]:
    """Solvent, wipes, abrasive, protective equipment and tools (common practice, no source)."""
    case, ledger = ground.case, ground.ledger
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
    for ident, group, purpose, count, only_wet in ALWAYS:
        if ident not in case.catalogue or (only_wet and not wet):
            continue
        material = case.catalogue.get(ident)
        amount = ledger.typed(f"kit.count.{ident}", count, source=f.USUAL)
        hazard = getattr(material, "hazard", "")
        found.append(
            KitLine(group, ident, material.name, purpose, amount, (), None, shelf.stocked(ident), hazard)
        )
    return tuple(found)


def instruments(ground: Ground) -> tuple[KitLine, ...]:
    """Instruments of the bay, each with the last day of its calibration."""
    day = ground.case.document.repair.work_date
    found = []
    for item in ground.case.document.bay.instrument:
        left = (item.calibrated_until - day).days
        words = "OUT OF CALIBRATION: leave it" if left < 0 else ""
        purpose = f"calibrated to {item.calibrated_until}"
        found.append(
            KitLine("instruments", item.id, f"{item.kind} {item.id}", purpose, None, (), None, True, words)
        )
    return tuple(found)
