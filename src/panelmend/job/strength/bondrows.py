"""Rows of the bond table: each repaired skin, direction and condition."""

from __future__ import annotations

import math
from dataclasses import replace

from panelmend.derive import Figure
from panelmend.derive.figure import Origin
from panelmend.document.panel import Side
from panelmend.job.basis import Basis
from panelmend.job.strength import formulas as f
from panelmend.job.strength.as_laid import LAID, PLATE, AsLaid
from panelmend.job.strength.bonds import bond_of, reserve_of
from panelmend.job.strength.drawn import STRIPS, draw_factor, drawn_load
from panelmend.job.strength.faceloads import Sampled, largest
from panelmend.job.strength.levels import Level
from panelmend.job.strength.part import BondRow, TipRow
from panelmend.job.strength.stacks import CONDITIONS, BondThing
from panelmend.job.strength.tips import tip_reserve
from panelmend.physics.structure_inputs import NotComputed

NO_LOAD = "no load in this direction"
NOTHING = 1.0  # N/m: less is noise of the plate model
Samples = tuple[Sampled, ...] | NotComputed | None


def bond_rows(
    basis: Basis, lay: AsLaid, samples: Samples, levels: tuple[Level, ...], suction: float = 0.0
) -> tuple[tuple[BondRow, ...], tuple[TipRow, ...]]:
    """Every bond with its reserve, or the reason why it has none, and their tips.

    ``samples``: None without load cases; ``levels``: grids of the plate, none where it was not solved;
    ``suction``: the greatest on the outside skin [Pa], which every tip there is given.
    """
    rows, tips = list[BondRow](), list[TipRow]()
    for layup in lay.plies.sides:
        for condition in CONDITIONS:
            here = replace(lay, condition=condition)
            for name, angle in STRIPS:
                row, made = _row(basis, here, layup.side, angle, name, samples, levels)
                rows.append(row)
                if made is not None and row.reserve is not None:
                    pulled = suction if layup.side == "outside" else 0.0
                    tips.append(tip_reserve(basis, here, layup.side, row, made, pulled))
    return tuple(rows), tuple(tips)


def _row(
    basis: Basis,
    lay: AsLaid,
    side: Side,
    angle: float,
    name: str,
    samples: Samples,
    levels: tuple[Level, ...],
) -> tuple[BondRow, BondThing | None]:
    def without(reason: str, words: str = "") -> tuple[BondRow, None]:
        return BondRow(side, name, lay.condition, None, words, None, (), 0.0, reason), None

    made = bond_of(lay, side, angle)
    if isinstance(made, NotComputed):
        return without(made.reason)
    found = _load(basis, lay, side, angle, name, samples)
    if isinstance(found, NotComputed):
        return without(found.reason)
    load, words = found
    factor = None
    if samples is None:
        drawn = (
            NotComputed("no plate")
            if not levels
            else draw_factor(replace(lay, condition="room"), levels, side, angle)
        )
        if isinstance(drawn, NotComputed):
            return without(f"load that the patch draws: {drawn.reason}", words)
        key = f"strength.draw.{side}.{name}"
        factor = basis.ledger.add(Figure(key, round(drawn, 4), "ratio", Origin.COMPUTED, PLATE))
        load = basis.ledger.derive(f"strength.load.{side}.{name}.drawn", drawn_load, load=load, factor=factor)
    if float(load) < NOTHING:
        return without(NO_LOAD, words)
    result = reserve_of(made, float(load))
    if isinstance(result, NotComputed):
        return without(result.reason, words)
    ledger, key = basis.ledger, f"strength.bond.{side}.{name}.{lay.condition}"
    thing = ledger.add(Figure(f"{key}.steps", made, "", Origin.COMPUTED, LAID))
    reserve = ledger.derive(f"{key}.reserve", f.bond_reserve, bond=thing, load=load)
    row = BondRow(side, name, lay.condition, load, words, reserve, result.peaks, result.lightly, "", factor)
    return row, made


def _load(
    basis: Basis, lay: AsLaid, side: Side, angle: float, name: str, samples: Samples
) -> tuple[Figure, str] | NotComputed:
    """What the bond must carry and on what ground: typed cases, allowable strain, or the skin's strength."""
    ledger, key = basis.ledger, f"strength.load.{side}.{name}"
    room = replace(lay, condition="room")
    own = room.stack(f"sound skin, {side}", room.skin(side))
    if isinstance(own, NotComputed):
        return own
    at = ledger.typed(f"strength.direction.{name}", angle, "angle", source=LAID)

    thing = ledger.add(Figure(f"{key}.whole_stack", own, "", Origin.COMPUTED, LAID))
    strain = lay.case.document.data.strength.allowable_strain
    if samples is not None:
        section = room.parent()
        if isinstance(section, NotComputed):
            return section
        found = largest(samples, section, side, angle)
        if isinstance(found, NotComputed):
            return found
        case, there = found
        panel = ledger.add(Figure("strength.sound_panel", section, "", Origin.COMPUTED, LAID))
        loads = ledger.add(Figure(f"{key}.resultants", there, "", Origin.COMPUTED, PLATE))
        upper = ledger.typed(f"strength.face.{side}", float(side == "outside"), source=LAID)
        face = ledger.derive(
            f"{key}.face", f.face_load, section=panel, loads=loads, direction=at, upper=upper
        )
        words = f"case {case!r}"
    elif strain is not None:
        allowed = basis.given("strength.allowable_strain", strain, "strain")
        whole = ledger.derive(f"{key}.whole", f.membrane_along, stack=thing, direction=at)
        face = ledger.derive(f"{key}.face", f.load_at_strain, stiffness=whole, strain=allowed)
        words = "allowable strain of the sound panel"
    else:
        if not math.isfinite(f.first_ply_load(stack=own, direction=angle)):
            return NotComputed("what the sound skin carries: a strength of its cloth is not given")
        face = ledger.derive(f"{key}.face", f.first_ply_load, stack=thing, direction=at)
        words = (
            "first ply failure of the sound skin, the greater of tension and compression, room temperature"
        )
    return face, words
