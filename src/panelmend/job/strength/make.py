"""The strength stage: parent against repair."""

from __future__ import annotations

from panelmend.derive import Figure, Ledger
from panelmend.derive.figure import Origin
from panelmend.document.ply_kinds import CARRIES
from panelmend.job.basis import Basis
from panelmend.job.case import Case
from panelmend.job.core.part import CorePart
from panelmend.job.cutout.part import CutoutPart
from panelmend.job.plies.part import PliesPart
from panelmend.job.strength import formulas as f
from panelmend.job.strength.alike import skin_differences
from panelmend.job.strength.as_laid import DIRECTIONS, LAID, AsLaid
from panelmend.job.strength.bondrows import NO_LOAD, bond_rows
from panelmend.job.strength.bonds import mismatch_lacks, stands_in
from panelmend.job.strength.changes import bond_changes, denser_core
from panelmend.job.strength.faceloads import sampled
from panelmend.job.strength.levels import REPAIR_CELLS, Level, settled_value, solve_levels
from panelmend.job.strength.loads import Load, loads_of
from panelmend.job.strength.modes import RESERVE_WITHOUT_LOAD, mode_rows, worst_everywhere
from panelmend.job.strength.opened import mesh_follows, opened_meshes
from panelmend.job.strength.own import own_rows, thing_of
from panelmend.job.strength.part import Compared, HotSpot, Maps, ModeRow, NeutralRow, Ratio, StrengthPart
from panelmend.job.strength.reserves import reserves_of
from panelmend.job.strength.secondary import secondary_rows
from panelmend.job.strength.spots import hot_spots, maps_of, settled_peaks
from panelmend.job.strength.suction import most_suction, suction_rows
from panelmend.job.strength.weight import mass_added, moment_added
from panelmend.physics.structure_inputs import NotComputed


def make(case: Case, ledger: Ledger, cutout: CutoutPart, plies: PliesPart, core: CorePart) -> StrengthPart:
    """Compare the repaired panel with the sound one.

    Returns:
        Ratios, bond and sandwich reserves, maps and changes; what data are missing for stands in
        ``not_checked`` with the reason and is never taken as passed.
    """
    lay = AsLaid(case, cutout, plies, core)
    missing: list[str] = []
    membrane = _membrane(ledger, lay, missing)
    bending = _bending(ledger, lay, missing)
    loads = loads_of(case)
    fitted = mesh_follows(lay)
    levels = solve_levels(
        case, lay, loads, lambda before, now: _grids_agree(lay, loads, before, now), hole=not fitted
    )
    samples = None
    if any(load.given for load in loads):
        samples = levels if isinstance(levels, NotComputed) else sampled(lay, loads, levels[-1])
    solved = () if isinstance(levels, NotComputed) else levels
    bonds, tips = bond_rows(Basis(case, ledger), lay, samples, solved, most_suction(loads))
    missing += [
        f"bond, {b.side} skin, {b.direction}, {b.condition}: {b.reason}"
        for b in bonds
        if b.reason and b.reason != NO_LOAD
    ]
    missing += [f"peel of the patch, {t.condition}: {t.no_peel}" for t in tips if t.no_peel]
    missing += [f"skin pulled off its core, {t.condition}: {t.no_pull}" for t in tips if t.no_pull]
    for layup in plies.sides:
        lacks = mismatch_lacks(lay, layup.side)
        missing += [f"thermal mismatch between repair and parent: {lacks}"] if lacks else []
    own = own_rows(ledger, lay)
    missing += [f"{o.what}, {o.condition}: {o.reason}" for o in own if o.reason]
    outlines = [(f"cut-out, {s.side}", s.cutout) for s in plies.sides]
    outlines += [
        (p.id, p.outline) for s in plies.sides for p in s.plies if p.role in CARRIES and p.role != "fill"
    ]
    maps, spots, modes = list[Maps](), list[HotSpot](), tuple[ModeRow, ...]()
    if isinstance(levels, NotComputed):
        missing.append(levels.reason)
    else:
        opened = opened_meshes(lay, loads, levels[-1].sound) if fitted else ()
        drawn_on = levels[len(REPAIR_CELLS) - 1]
        holes = opened[-1].on(drawn_on.panel) if opened else [None] * len(loads)
        for number, load in enumerate(loads):
            maps.append(maps_of(load.name, drawn_on, number, holes[number]))
            spots += hot_spots(ledger, maps[-1], levels, number, outlines, opened)
        modes = mode_rows(ledger, lay, levels, loads, missing)
        modes += secondary_rows(ledger, lay, levels, loads)
    modes += suction_rows(ledger, lay, loads, missing)
    if core.plug is not None and not denser_core(lay):
        missing.append(
            "core one grade denser: no denser core of this kind with shear moduli in the tables or document"
        )
    mass = mass_added(Basis(case, ledger), lay)
    moment, limit = moment_added(Basis(case, ledger), mass, cutout.opening.centre)
    return StrengthPart(
        tuple(
            (load.words(case.view), load.place or ("typed" if load.given else "unit case: ratios only"))
            for load in loads
        ),
        membrane,
        bending,
        _neutral(ledger, lay),
        bonds,
        tips,
        modes,
        own,
        reserves_of(bonds, tips, modes, own, stands_in(lay)),
        tuple(maps),
        tuple(spots),
        tuple(outlines),
        mass,
        moment,
        limit,
        bond_changes(lay, bonds),
        skin_differences(lay),
        tuple(dict.fromkeys(missing)),
        _assumptions(lay, loads),
        any(load.given for load in loads),
    )


def _grids_agree(lay: AsLaid, loads: tuple[Load, ...], before: Level, now: Level) -> bool:
    """Whether strain ratios and least reserves of the repaired panel have settled on two grids."""
    for number, load in enumerate(loads):
        peak = settled_peaks((before, now), number).get(Compared.STRAIN)
        if peak is not None and not peak[0].resolved:
            return False
        if load.given:
            pairs = zip(
                worst_everywhere(lay, before, number, load),
                worst_everywhere(lay, now, number, load),
                strict=True,
            )
            if not all(
                settled_value(a, b, before.size, now.size).resolved
                for a, b in pairs
                if min(a, b) < RESERVE_WITHOUT_LOAD
            ):
                return False
    return True


def _thing(ledger: Ledger, key: str, value: object) -> Figure:
    return ledger.add(Figure(key, value, "", Origin.COMPUTED, LAID))  # type: ignore[arg-type]


def _membrane(ledger: Ledger, lay: AsLaid, missing: list[str]) -> tuple[Ratio, ...]:
    found = []
    for layup in lay.plies.sides:
        side = layup.side
        rows = lay.with_patch(side, lay.left(side), lay.carrying(side))
        parent, repair = lay.stack(f"sound skin, {side}", lay.skin(side)), lay.stack(f"repair, {side}", rows)
        for part in (parent, repair):
            if isinstance(part, NotComputed):
                missing.append(f"stiffness of the {side} skin: {part.reason}")
        if isinstance(parent, NotComputed) or isinstance(repair, NotComputed):
            continue
        key = f"strength.{side}"
        one, two = _thing(ledger, f"{key}.sound_skin", parent), _thing(ledger, f"{key}.repair_skin", repair)
        for name, angle in DIRECTIONS:
            at = ledger.typed(f"strength.direction.{name}", angle, "angle", source=LAID)
            old = ledger.derive(f"{key}.{name}.sound", f.membrane_along, stack=one, direction=at)
            new = ledger.derive(f"{key}.{name}.repair", f.membrane_along, stack=two, direction=at)
            ratio = ledger.derive(f"{key}.{name}.ratio", f.stiffness_ratio, repair=new, parent=old)
            found.append(Ratio(side, at, old, new, ratio))
    return tuple(found)


def _bending(ledger: Ledger, lay: AsLaid, missing: list[str]) -> tuple[Ratio, ...]:
    parent, repair = lay.parent(), lay.middle()
    for part in (parent, repair):
        if isinstance(part, NotComputed):
            missing.append(f"bending stiffness: {part.reason}")
            return ()
    one, two = (
        _thing(ledger, "strength.sound_panel", parent),
        _thing(ledger, "strength.repaired_panel", repair),
    )
    found = []
    for name, angle in DIRECTIONS:
        at = ledger.typed(f"strength.direction.{name}", angle, "angle", source=LAID)
        old = ledger.derive(f"strength.bending.{name}.sound", f.bending_along, section=one, direction=at)
        new = ledger.derive(f"strength.bending.{name}.repair", f.bending_along, section=two, direction=at)
        ratio = ledger.derive(f"strength.bending.{name}.ratio", f.stiffness_ratio, repair=new, parent=old)
        found.append(Ratio(lay.cutout.side, at, old, new, ratio))
    return tuple(found)


def _neutral(ledger: Ledger, lay: AsLaid) -> tuple[NeutralRow, ...]:
    """E A and neutral plane of the sound and the repaired sandwich; none where data are missing."""
    parts = {"sound": lay.parent(), "repair": lay.middle()}
    things = {n: thing_of(ledger, p) for n, p in parts.items() if not isinstance(p, NotComputed)}
    if len(things) < len(parts):
        return ()
    rows = []
    for name, angle in DIRECTIONS:
        at = ledger.typed(f"strength.direction.{name}", angle, "angle", source=LAID)
        made = [
            ledger.derive(f"strength.{what}.{name}.{n}", by, section=thing, direction=at)
            for what, by in (("stretch", f.stretch_along), ("neutral", f.neutral_height))
            for n, thing in things.items()
        ]
        rows.append(NeutralRow(name, *made))
    return tuple(rows)


def _assumptions(lay: AsLaid, loads: tuple[Load, ...]) -> tuple[str, ...]:
    words = [
        "The sanding ply carries nothing.",
        "The panel is taken as the rectangle round its outline, flat, held at its four edges out of plane.",
        "Strain ratios compare the largest principal strain of the faces' middles; peaks of adhesive stress "
        "come from the bond computation and not from the plate model.",
        "The bond in a direction is a strip; the whole load of the skin goes through patch and left plies, "
        "none goes round the hole. What the stiff patch draws is added from the plate model.",
        "Under a given load case the face's load is the largest at the middle and round the edge of the "
        "cut-out of the sound panel and just outside the patch of the repaired one, pull and bending "
        "together; hot and wet keeps the load of the room.",
    ]
    if lay.case.document.panel.edge_band or lay.case.geometry.solid:
        words.append(
            "The plate model takes the panel as sandwich all over: its solid edge band and solid areas are "
            "left out, so maps near them are not to be relied on."
        )
    if not any(n.given for n in loads):
        words.append(
            "The document gives no load case: unit loads give ratios only, and bonds are compared with the "
            "load at which the first ply of the sound skin fails, the greater of tension and compression."
        )
    if most_suction(loads):
        words.append(
            "Suction pulls on the outside skin alone: the greatest of all cases comes on top of peel and "
            "pull in every strip there. What bending presses together is not taken off."
        )
    if stands_in(lay):
        words.append("A wet lay-up bonds with its own resin; the plug's paste adhesive stands in for it.")
    return tuple(words)
