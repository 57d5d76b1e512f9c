"""What the repair itself carries over what the sound panel carries, with or without load cases.

First and last ply failure of each repaired skin, per direction and sense, in the weakest of its zones; local
buckling of the faces, crimping, core shear and crushing, per direction. A ratio below 1 says that the repair
is weaker than what it replaces, whatever the loads are.
"""

from __future__ import annotations

import math
from dataclasses import replace

from panelmend.derive import Figure, Ledger
from panelmend.derive.figure import Origin
from panelmend.document.panel import Side
from panelmend.job.strength import formulas as f
from panelmend.job.strength import limits as lim
from panelmend.job.strength.as_laid import DIRECTIONS, LAID, AsLaid
from panelmend.job.strength.offset import offset_load
from panelmend.job.strength.part import Ability, OwnRow, Sense
from panelmend.job.strength.stacks import CONDITIONS, Section, Stack, hot_and_wet
from panelmend.physics.structure_inputs import NotComputed

SIGN = {Sense.TENSION: 1.0, Sense.COMPRESSION: -1.0}
MIDDLE = "over the cut-out"


def own_rows(ledger: Ledger, lay: AsLaid) -> tuple[OwnRow, ...]:
    """Every ratio, or the reason why there is none."""
    rows: list[OwnRow] = []
    for condition in CONDITIONS:
        here = replace(lay, condition=condition)
        for layup in here.plies.sides:
            rows += _plies(ledger, here, layup.side)
        rows += _sandwich(ledger, here)
        rows += _splice(ledger, here)
        rows += _offset(ledger, here)
    return tuple(rows)


def zones_of_skin(lay: AsLaid, side: Side) -> list[tuple[str, Stack | NotComputed]]:
    """Stacks of a repaired skin: over the cut-out, and beyond it under each step or band of a scarf."""
    carrying = lay.carrying(side)
    rows = lay.with_patch(side, lay.left(side), carrying)
    found = [(MIDDLE, lay.stack(MIDDLE, rows) if rows else NotComputed("nothing is laid over the cut-out"))]
    over = [p for p in carrying if p.role != "fill"]
    for end in sorted({round(float(p.margin), 9) for p in over}):
        here = [p for p in over if float(p.margin) >= end - 1e-9]
        name = f"under {', '.join(p.id for p in here)}"
        found.append((name, lay.stack(name, lay.with_patch(side, lay.base(side, here), here))))
    return found


def thing_of(ledger: Ledger, thing: Stack | Section) -> Figure:
    """A stack or section as a figure, one for each that is laid alike."""
    key = f"strength.{'zone' if isinstance(thing, Section) else 'skin'}.{thing.digest()[:12]}"
    return ledger[key] if key in ledger else ledger.add(Figure(key, thing, "", Origin.COMPUTED, LAID))


def _plies(ledger: Ledger, lay: AsLaid, side: Side) -> list[OwnRow]:
    sound = lay.stack("sound skin", lay.skin(side))
    rows = []
    for what, by in ((Ability.FIRST_PLY, f.first_ply_sense), (Ability.LAST_PLY, lim.last_ply_sense)):
        for name, angle in DIRECTIONS:
            for sense, sign in SIGN.items():
                row = OwnRow(what, side, name, lay.condition, sense, "", None, None, None, "")
                if isinstance(sound, NotComputed):
                    rows.append(replace(row, reason=sound.reason))
                    continue
                reason, tried = "", list[tuple[float, str, Stack]]()
                for zone, stack in zones_of_skin(lay, side):
                    if isinstance(stack, NotComputed):
                        reason = f"{zone}: {stack.reason}"
                        break
                    tried.append((float(by(stack=stack, direction=angle, sense=sign)), zone, stack))
                before = float(by(stack=sound, direction=angle, sense=sign))
                if reason or not all(map(math.isfinite, (before, *(t[0] for t in tried)))):
                    rows.append(replace(row, reason=reason or "strengths of a cloth are missing"))
                    continue
                _, zone, stack = min(tried, key=lambda t: t[0])
                key = f"strength.own.{what}.{side}.{name}.{sense}.{lay.condition}"
                at = ledger.typed(f"strength.direction.{name}", angle, "angle", source=LAID)
                way = ledger.typed(f"strength.sense.{sense}", sign, source=LAID)
                one, two = thing_of(ledger, sound), thing_of(ledger, stack)
                was = ledger.derive(f"{key}.sound", by, stack=one, direction=at, sense=way)
                now = ledger.derive(f"{key}.repair", by, stack=two, direction=at, sense=way)
                ratio = ledger.derive(f"{key}.ratio", f.stiffness_ratio, repair=now, parent=was)
                rows.append(replace(row, where=zone, sound=was, repair=now, ratio=ratio))
    return rows


def _sandwich(ledger: Ledger, lay: AsLaid) -> list[OwnRow]:
    parent, repair = lay.parent(), lay.middle()
    rows = []
    for what, by, sense, faced, along in (
        (Ability.WRINKLING, lim.wrinkling_load, Sense.COMPRESSION, True, True),
        (Ability.DIMPLING, lim.dimpling_load, Sense.COMPRESSION, True, True),
        (Ability.CRIMPING, lim.crimping_along, Sense.COMPRESSION, False, True),
        (Ability.CORE_SHEAR, lim.core_shear_along, Sense.EITHER, False, True),
        (Ability.CRUSHING, lim.crushing, Sense.COMPRESSION, False, False),
    ):
        sides: tuple[Side | None, ...] = ("outside", "inside") if faced else (None,)
        for side in sides:
            if _unchanged(what, side, parent, repair):
                continue
            for name, angle in DIRECTIONS if along else (("", 0.0),):
                row = OwnRow(what, side, name, lay.condition, sense, MIDDLE, None, None, None, "")
                for part in (parent, repair):
                    if isinstance(part, NotComputed):
                        row = replace(row, reason=part.reason)
                        break
                    lacks = lim.lacks(what, part)
                    if lacks:
                        row = replace(row, reason=lacks)
                        break
                else:
                    assert isinstance(parent, Section)
                    assert isinstance(repair, Section)
                    key = f"strength.own.{what}.{side or 'panel'}.{name}.{lay.condition}"
                    given: dict[str, Figure] = {}
                    if along:
                        given["direction"] = ledger.typed(
                            f"strength.direction.{name}", angle, "angle", source=LAID
                        )
                    if faced:
                        given["upper"] = ledger.typed(
                            f"strength.face.{side}", float(side == "outside"), source=LAID
                        )
                    was = ledger.derive(f"{key}.sound", by, section=thing_of(ledger, parent), **given)
                    now = ledger.derive(f"{key}.repair", by, section=thing_of(ledger, repair), **given)
                    ratio = ledger.derive(f"{key}.ratio", f.stiffness_ratio, repair=now, parent=was)
                    row = replace(row, sound=was, repair=now, ratio=ratio)
                rows.append(row)
    return rows


def _unchanged(
    what: Ability, side: Side | None, parent: Section | NotComputed, repair: Section | NotComputed
) -> bool:
    """Whether the repair changes nothing that this ability rests on: then there is nothing to compare."""
    if isinstance(parent, NotComputed) or isinstance(repair, NotComputed):
        return False
    same_core = (parent.core, parent.ribbon) == (repair.core, repair.ribbon)
    if what is Ability.CRUSHING:
        return same_core
    if side is None:
        return (
            same_core
            and parent.inner.plies == repair.inner.plies
            and parent.outer.plies == repair.outer.plies
        )
    one, two = ((s.outer if side == "outside" else s.inner) for s in (parent, repair))
    return same_core and one.plies == two.plies


def _splice(ledger: Ledger, lay: AsLaid) -> list[OwnRow]:
    """The splice adhesive over the sound core, each along the direction in which the core is strongest."""
    plug, parent = lay.core.plug, lay.parent()
    if plug is None:
        return []
    rows = []
    glue = lay.case.catalogue.adhesive(lay.core.adhesive) if lay.core.adhesive else None
    for name, angle in DIRECTIONS:
        row = OwnRow(
            Ability.SPLICE, None, name, lay.condition, Sense.EITHER, "edge of the plug", None, None, None, ""
        )
        if isinstance(parent, NotComputed):
            rows.append(replace(row, reason=parent.reason))
            continue
        factor = None if glue is None else glue.hot_wet_factor
        hot = (factor.value if factor is not None else None) if hot_and_wet(lay.condition) else 1.0
        reason = lim.lacks(Ability.CORE_SHEAR, parent)
        if glue is None:
            reason = "no splice adhesive is named (data.core.adhesive)"
        elif glue.shear_strength is None or hot is None:
            lacking = "shear_strength" if glue.shear_strength is None else "hot_wet_factor"
            reason = f"adhesive {glue.id} has no {lacking}"
        if reason:
            rows.append(replace(row, reason=reason))
            continue
        assert glue is not None
        assert glue.shear_strength is not None
        assert hot is not None
        key = f"strength.own.{Ability.SPLICE}.{name}.{lay.condition}"
        at = ledger.typed(f"strength.direction.{name}", angle, "angle", source=LAID)
        strength = ledger.add(
            Figure(f"{key}.strength", hot * glue.shear_strength.value, "stiffness", Origin.TABLE, LAID)
        )
        deep = ledger.typed("strength.core_thickness", parent.thickness, "length", source=LAID)
        was = ledger.derive(
            f"{key}.sound", lim.core_shear_along, section=thing_of(ledger, parent), direction=at
        )
        now = ledger.derive(f"{key}.repair", lim.splice_shear, strength=strength, thickness=deep)
        ratio = ledger.derive(f"{key}.ratio", f.stiffness_ratio, repair=now, parent=was)
        rows.append(replace(row, sound=was, repair=now, ratio=ratio))
    return rows


def _offset(ledger: Ledger, lay: AsLaid) -> list[OwnRow]:
    """The whole panel loaded in the sound panel's neutral plane, which the patch shifts."""
    parent = lay.parent()
    scarf = lay.plies.scheme == "scarf"
    beyond = "just beyond the bottom of the cut" if scarf else "patch over the whole skin"
    if scarf and any(lay.beyond_scarf(s.side) for s in lay.plies.sides):
        beyond = "past the rim of the scarf"
    patched = ((MIDDLE, lay.middle()), (beyond, lay.patched()))
    rows = []
    for name, angle in DIRECTIONS:
        for sense, sign in SIGN.items():
            row = OwnRow(Ability.OFFSET, None, name, lay.condition, sense, "", None, None, None, "")
            reason, tried = "", list[tuple[float, str, Section]]()
            for where, section in patched:
                if isinstance(parent, NotComputed) or isinstance(section, NotComputed):
                    reason = (parent if isinstance(parent, NotComputed) else section).reason  # type: ignore[union-attr]
                    break
                value = float(offset_load(section=section, parent=parent, direction=angle, sense=sign))
                tried.append((value, where, section))
            if not reason and not all(math.isfinite(t[0]) for t in tried):
                reason = "strengths of a cloth are missing"
            if reason:
                rows.append(replace(row, reason=reason))
                continue
            assert isinstance(parent, Section)
            _, where, section = min(tried, key=lambda t: t[0])
            key = f"strength.own.{Ability.OFFSET}.{name}.{sense}.{lay.condition}"
            at = ledger.typed(f"strength.direction.{name}", angle, "angle", source=LAID)
            way = ledger.typed(f"strength.sense.{sense}", sign, source=LAID)
            one, two = thing_of(ledger, parent), thing_of(ledger, section)
            was = ledger.derive(f"{key}.sound", offset_load, section=one, parent=one, direction=at, sense=way)
            now = ledger.derive(
                f"{key}.repair", offset_load, section=two, parent=one, direction=at, sense=way
            )
            ratio = ledger.derive(f"{key}.ratio", f.stiffness_ratio, repair=now, parent=was)
            rows.append(replace(row, where=where, sound=was, repair=now, ratio=ratio))
    return rows
