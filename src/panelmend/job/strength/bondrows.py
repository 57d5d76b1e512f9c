"""Rows of the bond table: each repaired skin, direction and condition."""

from __future__ import annotations

from panelmend.derive import Figure
from panelmend.derive.figure import Origin
from panelmend.document.panel import Side
from panelmend.job.ground import Ground
from panelmend.job.strength import formulas as f
from panelmend.job.strength.bonds import bond_of, reserve_of
from panelmend.job.strength.lay import DIRECTIONS, LAID, Lay
from panelmend.job.strength.loads import Load
from panelmend.job.strength.part import BondRow
from panelmend.job.strength.stacks import CONDITIONS, BondThing
from panelmend.physics.structure_inputs import NotComputed


def bond_rows(ground: Ground, lay: Lay, loads: tuple[Load, ...]) -> tuple[BondRow, ...]:
    """Every bond with its reserve, or the reason why it has none."""
    from dataclasses import replace

    rows = []
    for layup in lay.plies.sides:
        for condition in CONDITIONS:
            here = replace(lay, condition=condition)
            for name, angle in DIRECTIONS:
                rows.append(_row(ground, here, layup.side, angle, name, loads))
    return tuple(rows)


def _row(ground: Ground, lay: Lay, side: Side, angle: float, name: str, loads: tuple[Load, ...]) -> BondRow:
    def without(reason: str, words: str = "") -> BondRow:
        return BondRow(side, name, lay.condition, None, words, None, (), 0.0, reason)

    made = bond_of(lay, side, angle)
    if isinstance(made, NotComputed):
        return without(made.reason)
    bond, names = made
    found = _load(ground, lay, side, angle, name, loads)
    if isinstance(found, NotComputed):
        return without(found.reason)
    load, words = found
    if abs(float(load)) < 1e-6:
        return without("no load in this direction", words)
    result = reserve_of(bond, names, abs(float(load)))
    if isinstance(result, NotComputed):
        return without(result.reason, words)
    ledger, key = ground.ledger, f"strength.bond.{side}.{name}.{lay.condition}"
    thing = ledger.add(Figure(f"{key}.steps", BondThing(bond, names), "", Origin.COMPUTED, LAID))
    reserve = ledger.derive(f"{key}.reserve", f.bond_reserve, bond=thing, load=load)
    return BondRow(side, name, lay.condition, load, words, reserve, result.peaks, result.lightly, "")


def _load(
    ground: Ground, lay: Lay, side: Side, angle: float, name: str, loads: tuple[Load, ...]
) -> tuple[Figure, str] | NotComputed:
    """What the bond must carry and on what ground: typed cases, allowable strain, or the skin's strength."""
    from dataclasses import replace

    ledger, key = ground.ledger, f"strength.load.{side}.{name}"
    room = replace(lay, condition="room")
    own = room.stack(f"sound skin, {side}", room.skin(side))
    other_side: Side = "inside" if side == "outside" else "outside"
    far = room.stack(f"sound skin, {other_side}", room.skin(other_side))
    cut = room.stack(f"cut plies, {side}", room.cut(side))
    for part in (own, far, cut):
        if isinstance(part, NotComputed):
            return part
    at = ledger.typed(f"strength.direction.{name}", angle, "angle", source=LAID)

    def stiff(label: str, stack: object) -> Figure:
        thing = ledger.add(Figure(f"{key}.{label}_stack", stack, "", Origin.COMPUTED, LAID))  # type: ignore[arg-type]
        return ledger.derive(f"{key}.{label}", f.membrane_along, stack=thing, direction=at)

    whole, beside, gone = stiff("whole", own), stiff("other_face", far), stiff("cut", cut)
    given = [n for n in loads if n.given and (n.nx or n.ny or n.nxy)]
    strain = lay.case.document.data.strength.allowable_strain
    if given:
        along = max((_along(n, angle) for n in given), key=abs)
        case = max(given, key=lambda n: abs(_along(n, angle))).name
        typed = ground.typed(f"{key}.panel", abs(along), "running load", path="data.strength.case")
        face = ledger.derive(f"{key}.face", f.face_share, load=typed, own=whole, other=beside)
        words = f"case {case!r}"
    elif strain is not None:
        allowed = ground.given("strength.allowable_strain", strain, "strain")
        face = ledger.derive(f"{key}.face", f.load_at_strain, stiffness=whole, strain=allowed)
        words = "allowable strain of the sound panel"
    else:
        thing = ledger[f"{key}.whole_stack"]
        face = ledger.derive(f"{key}.face", f.first_ply_load, stack=thing, direction=at)
        words = "first ply failure of the sound skin, room temperature"
    return ledger.derive(f"{key}.bond", f.cut_share, load=face, cut=gone, whole=whole), words


def _along(load: Load, angle: float) -> float:
    """Running load of a case along a direction [N/m]."""
    import math

    c, s = math.cos(angle), math.sin(angle)
    return load.nx * c * c + load.ny * s * s + 2.0 * load.nxy * s * c
