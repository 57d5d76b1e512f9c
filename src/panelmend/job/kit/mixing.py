"""Mixes: how much, in what shares, in how many pots."""

from __future__ import annotations

from panelmend.derive import Figure
from panelmend.job.bag.part import BagPart
from panelmend.job.core.part import CorePart
from panelmend.job.ground import Ground
from panelmend.job.kit import formulas as f
from panelmend.job.kit.part import Mix, WetSheet
from panelmend.job.nest.part import ClothNest, NestPart
from panelmend.materials import Adhesive, Resin

ALLOWANCE = 0.1  # what stays in cups, on rollers and spatulas
WET_MARGIN = 0.0254  # [m]


def wet_sheets(ground: Ground, nest: NestPart) -> tuple[WetSheet, ...]:
    """The sheets to wet out, one for each cloth, operation and strip it is cut from."""
    if ground.case.document.data.resin.system is None:
        return ()
    return tuple(_sheet(ground, item) for item in nest.cloths if _wets(ground, item))


def _wets(ground: Ground, item: ClothNest) -> bool:
    found = ground.case.catalogue.get(item.problem.cloth)
    return (
        not isinstance(found, Adhesive) and not getattr(found, "prepreg", False) and bool(item.nest.layouts)
    )


def _sheet(ground: Ground, item: ClothNest) -> WetSheet:
    case, ledger, name = ground.case, ground.ledger, item.problem.name
    key, data = f"kit.sheet.{name}", case.document.data.resin
    cloth = case.catalogue.cloth(item.problem.cloth)
    margin = ground.given_or("kit.wet_margin", data.wet_margin, WET_MARGIN, "length")
    areal = ground.table(f"materials.{cloth.id}.areal_mass", cloth.areal_mass, "areal mass", of=cloth)
    ratio = ground.given_or("kit.resin_to_cloth", data.resin_to_cloth, 1.0, "ratio", source=f.AC_RESIN)
    allowance = ground.given_or("kit.allowance", data.allowance, ALLOWANCE, "ratio")
    masses, first = [], None
    for layout in item.nest.layouts:
        strip = f"{key}.{layout.strip.id}"
        used = ledger[f"nest.{name}.{layout.strip.id}.used"]
        across = ledger[f"nest.{name}.{layout.strip.id}.width"]
        roll = ledger.typed(f"{strip}.roll_width", layout.strip.width, "length", source=f.STORES)
        length = ledger.derive(f"{strip}.length", f.sheet_length, nest=used, margin=margin)
        width = ledger.derive(f"{strip}.width", f.sheet_width, nest=across, margin=margin, roll=roll)
        masses.append(
            ledger.derive(f"{strip}.cloth", f.cloth_mass, areal_mass=areal, length=length, width=width)
        )
        first = first or (length, width)
    assert first is not None, "a nest without layouts is no sheet"
    mass = _sum(ground, f"{key}.cloth", masses)
    resin = ledger.derive(f"{key}.resin", f.resin_for, cloth=mass, ratio=ratio, allowance=allowance)
    return WetSheet(cloth.id, item.problem.operation, first[0], first[1], resin)


def _sum(ground: Ground, key: str, figures: list[Figure]) -> Figure:
    total = figures[0]
    for i, figure in enumerate(figures[1:], 2):
        total = ground.ledger.derive(f"{key}.sum_{i}", f.sum_of, one=total, other=figure)
    return total


def mixes(ground: Ground, core: CorePart, bags: BagPart, sheets: tuple[WetSheet, ...]) -> tuple[Mix, ...]:
    """Every mix in the order of the operations."""
    made: list[Mix] = []
    system = ground.case.document.data.resin.system
    for bag in bags.operations:
        if core.action != "none" and core.adhesive and {"core", "potting"} & set(bag.lays):
            made.append(_paste(ground, core, bag.name))
        mine = [s for s in sheets if s.operation == bag.name]
        if mine and system is not None:
            key = f"kit.resin.{bag.name}"
            total = _sum(ground, key, [s.resin for s in mine])
            resin = ground.case.catalogue.resin(system.value)
            made.append(_two_part(ground, key, resin, bag.name, "laminating resin", total, None))
    return tuple(made)


def _paste(ground: Ground, core: CorePart, operation: str) -> Mix:
    ledger, key = ground.ledger, f"kit.adhesive.{operation}"
    paste = ground.case.catalogue.adhesive(core.adhesive)
    none = ledger.typed("kit.nothing", 0.0, "volume", source=f.STORES)
    density = (
        ground.table(f"materials.{paste.id}.density", paste.density, "density", of=paste)
        if paste.density is not None
        else ledger.default(f"materials.{paste.id}.density", 1200.0, "density")
    )
    allowance = ground.given_or(
        "kit.allowance", ground.case.document.data.resin.allowance, ALLOWANCE, "ratio"
    )
    mass = ledger.derive(
        f"{key}.mass",
        f.adhesive_for,
        splice=core.splice_volume or none,
        floor=core.floor_volume or none,
        density=density,
        allowance=allowance,
    )
    purpose = "potting" if core.action == "pot" else "plug adhesive"
    filler = None
    if paste.filler is not None and paste.filler.value > 0:
        filler = ground.table(f"materials.{paste.id}.filler", paste.filler, "ratio", of=paste)
        mass = ledger.derive(f"{key}.mixed", f.without_filler, mass=mass, filler=filler)
    return _two_part(ground, key, paste, operation, purpose, mass, filler)


def _two_part(
    ground: Ground,
    key: str,
    material: Resin | Adhesive,
    operation: str,
    purpose: str,
    total: Figure,
    filler: Figure | None,
) -> Mix:
    """Split a total into resin and hardener, and into pots no larger than the material allows."""
    ledger, ident = ground.ledger, f"materials.{material.id}"

    def part(name: str, usual: float) -> Figure:
        value = getattr(material, name)
        if value is None:
            return ledger.default(f"{ident}.{name}", usual, "ratio")
        return ground.table(f"{ident}.{name}", value, "ratio", of=material)

    shares = {"resin_parts": part("resin_parts", 100.0), "hardener_parts": part("hardener_parts", 100.0)}
    resin = ledger.derive(f"{key}.resin", f.resin_share, total=total, **shares)
    hardener = ledger.derive(f"{key}.hardener", f.hardener_share, total=total, **shares)
    added = ledger.derive(f"{key}.filler", f.filler_share, mixed=total, filler=filler) if filler else None
    if material.pot_mass is not None:
        most = ground.table(f"{ident}.pot_mass", material.pot_mass, "mass", of=material)
    else:
        most = ledger.default(f"{ident}.pot_mass", 0.2, "mass")
    count = ledger.derive(f"{key}.pots", f.pot_count, total=total, pot=most)
    one = ledger.derive(f"{key}.pot.resin", f.in_each_pot, mass=resin, pots=count)
    two = ledger.derive(f"{key}.pot.hardener", f.in_each_pot, mass=hardener, pots=count)
    three = ledger.derive(f"{key}.pot.filler", f.in_each_pot, mass=added, pots=count) if added else None
    low = high = None
    tolerance = getattr(material, "ratio_tolerance", None)
    if tolerance is not None:
        band = ground.table(f"{ident}.ratio_tolerance", tolerance, "ratio", of=material)
        low = ledger.derive(f"{key}.hardener_low", f.least_hardener, hardener=two, tolerance=band)
        high = ledger.derive(f"{key}.hardener_high", f.most_hardener, hardener=two, tolerance=band)
    life = None
    if material.pot_life is not None:
        life = ground.table(f"{ident}.pot_life", material.pot_life, "time", of=material)
    pots = ((one, two, three),) * int(float(count))
    return Mix(
        f"{operation}: {purpose}",
        material.id,
        operation,
        purpose,
        total,
        resin,
        hardener,
        added,
        low,
        high,
        life,
        pots,
    )
