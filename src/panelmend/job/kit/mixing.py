"""Mixes: how much, in what shares, in how many pots."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import assert_never, cast

from panelmend.derive import Figure
from panelmend.derive.figure import PRACTICE, Origin
from panelmend.job.bag.part import BagOperation, BagPart
from panelmend.job.basis import Basis
from panelmend.job.core.part import CorePart
from panelmend.job.cure.part import CurePart
from panelmend.job.defaults import PASTE_DENSITY, POT_MASS
from panelmend.job.kit import formulas as f
from panelmend.job.kit import shares, weighing
from panelmend.job.kit.part import CAP, Mix, WetOut, WetSheet
from panelmend.job.nest.part import ClothNest, Layout, NestPart
from panelmend.job.openings import cap_alone
from panelmend.job.plies.part import PliesPart
from panelmend.materials import Adhesive, Resin, Sourced
from panelmend.units import KINDS

READINGS = 3  # readable values wanted in the window of the hardener
LAMINATING = "laminating resin"


@dataclass(frozen=True)
class Portion:
    """Adhesive for one use: its mass as applied, or its area where a film is cut to the plug."""

    key: str
    operation: str
    purpose: str
    material: Adhesive
    amount: Figure

    @property
    def two_part(self) -> bool:
        """Whether it is mixed; film and one-part paste are used as they come.

        Raises:
            AssertionError: a form of adhesive that nobody knows.
        """
        match self.material.form:
            case "paste":
                return self.material.resin_parts is not None
            case "film":
                return False
            case _:
                assert_never(self.material.form)


def wet_sheets(basis: Basis, nest: NestPart) -> tuple[WetSheet, ...]:
    """The sheets to wet out, one for each cloth, operation and strip it is cut from."""
    if basis.case.document.data.resin.system is None:
        return ()
    return tuple(sheet for item in nest.cloths if _wets(basis, item) for sheet in _sheets(basis, item))


def _wets(basis: Basis, item: ClothNest) -> bool:
    found = basis.case.catalogue.get(item.problem.cloth)
    return not isinstance(found, Adhesive) and not getattr(found, "prepreg", False)


def _sheets(basis: Basis, item: ClothNest) -> list[WetSheet]:
    case, ledger, name = basis.case, basis.ledger, item.problem.name
    data = case.document.data.resin
    cloth = case.catalogue.cloth(item.problem.cloth)
    margin = None if way_of(basis) == "cut then wet" else basis.usual("kit.wet_margin", data.wet_margin)
    areal = basis.table(f"materials.{cloth.id}.areal_mass", cloth.areal_mass, "areal mass", of=cloth)
    ratio = basis.usual("kit.resin_to_cloth", data.resin_to_cloth)
    allowance = basis.usual("kit.allowance", data.allowance)
    way = way_of(basis)
    made = []
    for layout in item.nest.layouts:
        strip, key = layout.strip, f"kit.sheet.{name}.{layout.strip.id}"
        used, across = ledger[f"nest.{name}.{strip.id}.used"], ledger[f"nest.{name}.{strip.id}.width"]
        match way:
            case "cut then wet":
                mass = _mass_of_pieces(basis, f"{key}.pieces", layout, areal)
                length, width = used, across
            case "wet then cut":
                assert margin is not None
                roll = ledger.typed(f"{key}.roll_width", strip.width, "length", source=f.STORES)
                width = ledger.derive(f"{key}.width", f.sheet_width, nest=across, margin=margin, roll=roll)
                if strip.length is None:
                    length = ledger.derive(f"{key}.length", f.sheet_length, nest=used, margin=margin)
                else:
                    asked = ledger.derive(f"{key}.length_asked", f.sheet_length, nest=used, margin=margin)
                    there = ledger.typed(f"{key}.strip_length", strip.length, "length", source=f.STORES)
                    length = ledger.derive(f"{key}.length", f.no_longer_than, length=asked, strip=there)
                mass = ledger.derive(
                    f"{key}.cloth", f.cloth_mass, areal_mass=areal, length=length, width=width
                )
            case _:
                assert_never(way)
        resin = ledger.derive(f"{key}.resin", f.resin_for, cloth=mass, ratio=ratio, allowance=allowance)
        on = ledger.derive(f"{key}.resin_on", f.resin_on, cloth=mass, ratio=ratio)
        content = ledger.derive("kit.resin_content", f.resin_content, ratio=ratio)
        made.append(
            WetSheet(way, cloth.id, item.problem.operation, strip.id, length, width, on, resin, mass, content)
        )
    return made


def way_of(basis: Basis) -> WetOut:
    """How cloth is wetted out, the same in every operation."""
    way = cast(WetOut, basis.usual("kit.wet_out", basis.case.document.data.resin.wet_out).value)
    match way:
        case "cut then wet" | "wet then cut":
            return way
        case _:
            assert_never(way)


def _mass_of_pieces(basis: Basis, key: str, layout: Layout, areal: Figure) -> Figure:
    """Mass of the pieces that are cut from one strip."""
    ledger, total = basis.ledger, None
    for n, placed in enumerate(layout.placements, 1):
        area = ledger[f"plies.{placed.piece}.area"]
        one = ledger.derive(f"{key}.{n}", f.piece_mass, areal_mass=areal, area=area)
        total = one if total is None else ledger.derive(f"{key}.sum_{n}", f.sum_of, one=total, other=one)
    assert total is not None, "a strip that nothing is cut from"
    return total


def mixes(
    basis: Basis,
    bags: BagPart,
    sheets: tuple[WetSheet, ...],
    portions: tuple[Portion, ...],
    plies: PliesPart,
    core: CorePart,
) -> tuple[Mix, ...]:
    """Every mix in the order of the operations."""
    made: list[Mix] = []
    system = basis.case.document.data.resin.system
    for bag in bags.operations:
        made += [_paste(basis, p) for p in portions if p.two_part and p.operation == bag.name]
        mine = [s for s in sheets if s.operation == bag.name]
        if mine and system is not None:
            key = f"kit.resin.{bag.name}"
            brushed = shares.brush_coat(basis, key, bag, plies, core)
            takes, total = shares.of_resin(basis, key, mine, brushed)
            resin = basis.case.catalogue.resin(system.value)
            ratio = (resin.resin_parts, resin.hardener_parts)
            mix = _two_part(basis, key, resin, ratio, bag.name, LAMINATING, total, None)
            made.append(replace(mix, shares=takes))
    return tuple(made)


def with_excess(basis: Basis, made: tuple[Mix, ...], cures: CurePart) -> tuple[Mix, ...]:
    """The mixes, those of laminating resin with what bleeds and what is laid on no ply."""
    bled = {o.name: o.problem.bled for o in cures.operations if o.problem is not None}
    found = []
    for mix in made:
        own = bled.get(mix.operation)
        if own is None or mix.purpose != LAMINATING:
            found.append(mix)
            continue
        key, inputs = f"kit.resin.{mix.operation}", (("ratio", "kit.resin_to_cloth"),)
        on, out = (
            basis.ledger.add(Figure(f"{key}.{name}", mass, "mass", Origin.COMPUTED, f.PLIES, "", inputs))
            for name, mass in (("laid", own.laid), ("bled", own.mass))
        )
        laid, used = on, [s for s in mix.shares if s.code in ("brush", "coupons")]
        for share in used:
            laid = basis.ledger.derive(f"{key}.with_{share.code}", f.sum_of, one=laid, other=share.amount)
        left = basis.ledger.derive(f"{key}.left", f.laid_on_no_ply, total=mix.total, laid=laid)
        found.append(replace(mix, bled=out, left=left))
    return tuple(found)


def core_adhesives(basis: Basis, core: CorePart, bags: BagPart) -> tuple[Portion, ...]:
    """Adhesive of plug or potting, used once, in the first operation that lays it."""
    if core.action == "none":
        return ()
    bag = next((b for b in bags.operations if {"core", "potting"} & set(b.lays)), None)
    if bag is None:
        return ()
    purpose = {"pot": "potting", "replace": "plug adhesive"}[core.action]
    key, floor = f"kit.adhesive.{bag.name}", f"kit.floor.{bag.name}"
    catalogue, found = basis.case.catalogue, []
    same = core.floor_adhesive in ("", core.adhesive)
    if core.adhesive:
        paste = catalogue.adhesive(core.adhesive)
        volumes = (_with_cap(basis, key, core, bag), core.floor_volume if same else None)
        mass = _mass(basis, f"{key}.mass", paste, *volumes)
        found.append(Portion(key, bag.name, purpose, paste, mass))
    if core.floor_adhesive and not same:
        other = catalogue.adhesive(core.floor_adhesive)
        match other.form:
            case "film":
                amount = _film(basis, f"{floor}.area")
            case "paste":
                amount = _mass(basis, f"{floor}.mass", other, core.floor_volume, None)
            case _:
                assert_never(other.form)
        found.append(Portion(floor, bag.name, "floor adhesive", other, amount))
    return (*found, *_cap_alone(basis, core, bags))


def _cap_alone(basis: Basis, core: CorePart, bags: BagPart) -> list[Portion]:
    """Adhesive under a cap that is bonded by itself; none where it is no paste of two parts (J485)."""
    bag = next((b for b in bags.operations if cap_alone(b, bags.operations, core)), None)
    if bag is None or not core.adhesive or core.cap_volume is None:
        return []
    paste, key = basis.case.catalogue.adhesive(core.adhesive), f"kit.cap.{bag.name}"
    mass = _mass(basis, f"{key}.mass", paste, core.cap_volume, None)
    made = Portion(key, bag.name, CAP, paste, mass)
    return [made] if made.two_part else []


def _with_cap(basis: Basis, key: str, core: CorePart, bag: BagOperation) -> Figure | None:
    """Adhesive round the plug, and on it where a cap that was cured before is bonded with it."""
    if core.splice_volume is None or core.cap_volume is None or not bag.bonds_cap:
        return core.splice_volume
    return basis.ledger.derive(
        f"{key}.splice_and_cap", f.volume_with, before=core.splice_volume, more=core.cap_volume
    )


def _film(basis: Basis, key: str) -> Figure:
    """Film under the plug: the rectangle it is cut from."""
    ledger = basis.ledger
    plug, ribbon = ledger["core.template"], ledger["core.ribbon_seen"]
    length = ledger.derive(f"{key}.length", f.along_ribbon, plug=plug, ribbon=ribbon)
    width = ledger.derive(f"{key}.width", f.across_ribbon, plug=plug, ribbon=ribbon)
    return ledger.derive(key, f.sheet_area, length=length, width=width)


def _mass(basis: Basis, key: str, paste: Adhesive, one: Figure | None, other: Figure | None) -> Figure:
    ledger = basis.ledger
    density = (
        basis.table(f"materials.{paste.id}.density", paste.density, "density", of=paste)
        if paste.density is not None
        else ledger.default(f"materials.{paste.id}.density", PASTE_DENSITY, "density", source=PRACTICE)
    )
    allowance, volumes = shares.allowance_of(basis), [v for v in (one, other) if v is not None]
    if len(volumes) == 1:
        return ledger.derive(key, f.adhesive_of, volume=volumes[0], density=density, allowance=allowance)
    splice, floor = volumes
    return ledger.derive(
        key, f.adhesive_for, splice=splice, floor=floor, density=density, allowance=allowance
    )


def _paste(basis: Basis, portion: Portion) -> Mix:
    ledger, key, paste, mass = basis.ledger, portion.key, portion.material, portion.amount
    takes, mass = shares.of_adhesive(basis, key, mass)
    filler = None
    if paste.filler is not None and paste.filler.value > 0:
        filler = basis.table(f"materials.{paste.id}.filler", paste.filler, "ratio", of=paste)
        mass = ledger.derive(f"{key}.mixed", f.without_filler, mass=mass, filler=filler)
    assert paste.resin_parts is not None
    assert paste.hardener_parts is not None
    ratio = (paste.resin_parts, paste.hardener_parts)
    mix = _two_part(basis, key, paste, ratio, portion.operation, portion.purpose, mass, filler)
    return replace(mix, shares=takes)


def _two_part(
    basis: Basis,
    key: str,
    material: Resin | Adhesive,
    ratio: tuple[Sourced[float], Sourced[float]],
    operation: str,
    purpose: str,
    total: Figure,
    filler: Figure | None,
) -> Mix:
    """Split a total into resin and hardener, and into pots no larger than the material allows."""
    ledger, ident = basis.ledger, f"materials.{material.id}"

    names = ("resin_parts", "hardener_parts")
    parts = {
        name: basis.table(f"{ident}.{name}", value, "ratio", of=material)
        for name, value in zip(names, ratio, strict=True)
    }
    need, step, error, balance = total, *_balance(basis)
    fine = "fine mass" if float(step) < 5e-5 else "mass"
    tolerance = _tolerance(basis, material)
    most = (
        basis.table(f"{ident}.pot_mass", material.pot_mass, "mass", of=material, limit="most")
        if material.pot_mass is not None
        else ledger.default(f"{ident}.pot_mass", POT_MASS, "mass", limit="most", source=PRACTICE)
    )
    weighed = {"tolerance": tolerance, "step": step, "uncertainty": error}
    readings = ledger.table("kit.readings", READINGS, source=f.USUAL)
    least = ledger.derive_as(
        fine, f"{key}.least_batch", weighing.least_batch, **parts, **weighed, readings=readings
    )
    count = ledger.derive(f"{key}.pots", weighing.pot_count, total=need, pot=most)
    batch = ledger.derive_as(
        fine, f"{key}.batch", weighing.batch_for, need=need, pots=count, least=least, step=step
    )
    resin = ledger.derive_as(fine, f"{key}.resin", f.resin_share, total=batch, **parts)
    hardener = ledger.derive_as(fine, f"{key}.hardener", f.hardener_share, total=batch, **parts)
    added = (
        ledger.derive_as(fine, f"{key}.filler", f.filler_share, mixed=batch, filler=filler)
        if filler
        else None
    )
    one = ledger.derive_as(fine, f"{key}.pot.resin", weighing.in_each_pot, mass=resin, pots=count)
    two = ledger.derive_as(fine, f"{key}.pot.hardener", weighing.in_each_pot, mass=hardener, pots=count)
    three = (
        ledger.derive_as(fine, f"{key}.pot.filler", weighing.in_each_pot, mass=added, pots=count)
        if added
        else None
    )
    places = ledger.table(f"{key}.places", KINDS[fine].metric[1], source=f.USUAL)
    printed = ledger.derive_as(fine, f"{key}.pot.resin_printed", weighing.as_printed, mass=one, places=places)
    window = {"resin": printed, **parts, **weighed}
    low = ledger.derive_limit("least", fine, f"{key}.hardener_low", weighing.least_hardener, **window)
    high = ledger.derive_limit("most", fine, f"{key}.hardener_high", weighing.most_hardener, **window)
    life = None
    if material.pot_life is not None:
        life = basis.table(f"{ident}.pot_life", material.pot_life, "time", of=material, limit="most")
    pots = ((one, two, three),) * int(float(count))
    return Mix(
        f"{operation}: {purpose}",
        material.id,
        operation,
        purpose,
        batch,
        resin,
        hardener,
        added,
        low,
        high,
        life,
        pots,
        need,
        ledger.derive_as(fine, f"{key}.surplus", weighing.surplus_of, batch=batch, need=need),
        least,
        most,
        step,
        error,
        tolerance,
        balance,
    )


def _balance(basis: Basis) -> tuple[Figure, Figure, str]:
    """Step and uncertainty of the finest balance in calibration, and its id; else a usual step."""
    case, typed = basis.case, basis.typed
    day, instruments = case.document.repair.work_date, case.document.bay.instrument
    good = [i for i in instruments if i.kind == "balance" and i.calibrated_until >= day]
    stepped = [i for i in good if i.step is not None]
    if not stepped:
        step = basis.default("kit.balance_step")
        return step, step, good[0].id if good else ""
    best = min(stepped, key=lambda i: i.step or 0.0)
    path = f"bay.instrument[{instruments.index(best) + 1}]"
    assert best.step is not None
    step = typed("kit.balance_step", best.step, "fine mass", path=f"{path}.step")
    if best.uncertainty is None:
        return step, step, best.id
    error = typed("kit.balance_uncertainty", best.uncertainty, "fine mass", path=f"{path}.uncertainty")
    return step, error, best.id


def _tolerance(basis: Basis, material: Resin | Adhesive) -> Figure:
    """Permitted relative deviation of hardener over resin; a usual one where the material gives none.

    A sheet that means the hardener's share of the whole mix permits more: the narrower reading is safe.
    """
    given, key = material.ratio_tolerance, f"materials.{material.id}.ratio_tolerance"
    if given is not None:
        return basis.table(key, given, "ratio", of=material, limit="most")
    return basis.default("kit.ratio_tolerance")
