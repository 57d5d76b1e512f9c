"""The bag stage: for each cure operation the layers in order, from the patch up."""

from __future__ import annotations

from typing import assert_never

from panelmend.derive import Figure, Ledger, Source
from panelmend.derive.figure import Origin
from panelmend.document.approved import Cure, CurePart
from panelmend.document.panel import Side
from panelmend.errors import InputError
from panelmend.job import air
from panelmend.job.bag.blanket import choose_blanket
from panelmend.job.bag.build import Build, Built
from panelmend.job.bag.by_hand import moved_blanket, placed_by_hand, placed_sensors
from panelmend.job.bag.formulas import beyond_both_ends, extent_along, mass_that_presses, pressing, square_to
from panelmend.job.bag.layers import stack
from panelmend.job.bag.measures import BaggedRepair, Under, force_on, leak_flow, middle_of, proof_of
from panelmend.job.bag.other_side import other_bag
from panelmend.job.bag.part import BagOperation, BagPart, Frame, Vacuum
from panelmend.job.bag.sensors import sensors_of
from panelmend.job.basis import Basis
from panelmend.job.case import Case
from panelmend.job.clearances import no_place_for_sensors
from panelmend.job.core.part import CorePart
from panelmend.job.cutout.part import CutoutPart
from panelmend.job.operations import operations_of
from panelmend.job.plies.part import PliesPart
from panelmend.shapes import offset

LEAST_OF_THE_LAYER = 22.7e3  # [Pa] less air than this is above 11 km, where the standard's lowest layer ends
_LARGEST = Source("the largest piece under this bag")


def make(case: Case, ledger: Ledger, cutout: CutoutPart, plies: PliesPart, core: CorePart) -> BagPart:
    """Bag every cure operation the data orders and this repair needs.

    Raises:
        InputError: an operation is for a skin that is not repaired.
    """
    basis, repair = Basis(case, ledger), BaggedRepair(case, cutout, plies, core)
    made: list[BagOperation] = []
    closed: set[Side] = set()
    needed = operations_of(case.document, core)
    for one in needed:
        under = _under(repair, one.cure, one.lays)
        made.append(_operation(basis, one.number, one.cure, under, repair, closed))
        if "plies" in one.lays and not one.cure.on_plate:
            closed |= {s.side for s in plies.sides if one.cure.side in (None, s.side)}
    there = {one.cure.name for one in needed}
    left_out = tuple(c.name for c in case.document.data.cure if c.name not in there)
    return BagPart(tuple(made), left_out)


def _under(repair: BaggedRepair, cure: Cure, lays: tuple[CurePart, ...]) -> Under:
    case, core = repair.case, repair.core
    side: Side = cure.side or repair.cutout.side
    here = [s for s in repair.plies.sides if s.side == side]
    if not here:
        raise InputError(
            f"the operation is on the {side}, where nothing is repaired",
            where=f"{case.name}, data.cure, {cure.name}",
            read=f'side = "{side}"',
            expected="a skin with repair plies",
        )
    layup = here[0]
    bonds = "cap" in lays and not cure.on_plate and core.cap_cured_on == "plate"
    match cure.cured_on:
        case "plate":
            outlines = []
        case "panel":
            outlines = [(layup.cutout, f"plies.{side}.cutout")]
        case _:
            assert_never(cure.cured_on)
    if "cap" in lays and not bonds:
        outlines += [(p.outline, f"plies.{p.id}.outline") for p in core.cap]
    if "plies" in lays:
        largest = layup.largest_ply
        outlines.append((largest.outline, f"plies.{largest.id}.outline"))
    patch, key = max(outlines, key=lambda pair: pair[0].area)
    return Under(lays, bonds, patch, key, side, repair.cutout.opening.angle, layup.cutout)


def _operation(
    basis: Basis, number: int, cure: Cure, under: Under, repair: BaggedRepair, closed: set[Side]
) -> BagOperation:
    data, key, ledger = basis.case.document.data.bag, f"bag.{number}", basis.ledger
    inputs = (("outline", under.key),) if under.key in ledger else ()
    patch = ledger.add(Figure(f"{key}.patch", under.patch, "", Origin.COMPUTED, _LARGEST, "", inputs))
    direction = under.angle
    across = ledger.derive(f"{key}.across", square_to, direction=direction)
    adhesive = basis.usual("bag.adhesive_margin", data.adhesive_margin)
    probes = basis.usual("bag.sensor_margin", data.sensor_margin)
    over = basis.usual("bag.blanket_margin", data.blanket_margin)
    line = offset(under.patch, float(adhesive) + float(probes))[0]
    sizes = []
    for name, towards in (("length", direction), ("width", across)):
        size = ledger.derive(f"{key}.patch_{name}", extent_along, outline=patch, direction=towards)
        glued = ledger.derive(f"{key}.adhesive_{name}", beyond_both_ends, size=size, margin=adhesive)
        sensed = ledger.derive(f"{key}.sensor_{name}", beyond_both_ends, size=glued, margin=probes)
        needed = f"{key}.heated_{name}_needed"
        sizes.append(
            ledger.derive_limit("least", "length", needed, beyond_both_ends, size=sensed, margin=over)
        )
    heated = cure.heated_by == "blanket"
    chosen = choose_blanket(basis, key, cure.name, sizes[0], sizes[1]) if heated else None
    frame = Frame(middle_of(under.patch, under.direction), under.direction)
    moved = moved_blanket(basis, key, under, cure.name) if chosen is not None else None
    build = Build(key, cure, frame, under.patch, under.opening, chosen, cure.on_plate, moved)
    built = stack(basis, build) if cure.bagged else Built((), under.patch, ())
    least = air.least_vacuum_of(basis, number, cure)
    drop = basis.usual("bag.leak_drop", data.leak_drop)
    time = basis.usual("bag.leak_time", data.leak_time)
    return BagOperation(
        cure.name,
        number,
        under.side,
        cure,
        under.lays,
        under.patch,
        line,
        built.seal,
        built.layers,
        placed_sensors(basis, under, cure.name)
        or sensors_of(cure, line, frame, no_place_for_sensors(basis.case, under.side)),
        chosen.blanket.id if chosen is not None and chosen.blanket is not None else "",
        sizes[0],
        sizes[1],
        chosen.length if chosen is not None else sizes[0],
        chosen.width if chosen is not None else sizes[1],
        least,
        air.deepest_vacuum_of(basis),
        drop,
        time,
        force_on(basis, key, bagged=cure.bagged),
        cure.pressure_aid,
        under.side,
        frame,
        _vacuum(basis, key, least),
        leak_flow(basis, key, built.layers, drop, time),
        built.fittings,
        proof_of(built.layers, under.patch, built.fittings) if cure.bagged else None,
        other_bag(basis, build, under, repair, closed, drop, time),
        under.bonds_cap,
        _in_order(repair, under, cure),
        placed_by_hand(basis, key, under, build, (sizes[0], sizes[1]), built),
        *_pressed(basis, key, cure, patch),
    )


def _pressed(basis: Basis, key: str, cure: Cure, patch: Figure) -> tuple[Figure | None, Figure | None]:
    """Without a bag: the least pressure the data names, and the mass of weights that gives it."""
    pressed = cure.pressed
    if cure.bagged or pressed is None or pressed.least is None:
        return None, None
    manual = basis.case.document.data.manual
    source = Source(f"{manual.number} rev {manual.revision}", pressed.place)
    stands, ledger = basis.case.stands(cure), basis.ledger
    least = ledger.approved(
        f"{key}.pressed", pressed.least, "pressure", source=source, limit="least", stands=stands
    )
    if pressed.by != "weights":
        return least, None
    made = ledger.derive_limit(
        "least", "weight", f"{key}.weights", mass_that_presses, pressure=least, outline=patch
    )
    return least, made


def _in_order(repair: BaggedRepair, under: Under, cure: Cure) -> tuple[str, ...]:
    """Ids of what is laid, in the order it goes down."""
    laid = []
    if "cap" in under.lays and not under.bonds_cap:
        laid += sorted(repair.core.cap, key=lambda p: p.lay_order)
    apart = any("fill" in c.lays for c in repair.case.document.data.cure)
    for side in repair.plies.sides:
        if cure.side is not None and side.side != cure.side:
            continue
        for ply in sorted(side.plies, key=lambda p: p.lay_order):
            part = "fill" if ply.role == "fill" and apart else "plies"
            if part in under.lays:
                laid.append(ply)
    return tuple(p.id for p in laid)


def _vacuum(basis: Basis, key: str, least: Figure) -> Vacuum:
    """What the least vacuum means: as a difference, as what is left under the bag, and where it can exist."""
    ledger, pressure = basis.ledger, air.pressure_of(basis)
    absolute = boiling = highest = None
    if pressure is not None and float(least) <= float(pressure):
        absolute = ledger.derive(f"{key}.absolute", air.left_under_bag, barometer=pressure, vacuum=least)
        boiling = ledger.derive(f"{key}.boiling", air.boiling_at, pressure=absolute)
    if float(least) >= LEAST_OF_THE_LAYER:
        highest = ledger.derive(f"{key}.highest_elevation", air.highest_for, vacuum=least)
    return Vacuum(ledger.derive(f"{key}.difference", pressing, vacuum=least), absolute, boiling, highest)
