"""Suction on the outside skin: what it pulls off the core, and the core apart.

The bond between outside skin and core hands the whole suction on; the core's flatwise stress falls from it to
nothing at the inside skin, since its shear grows evenly through the depth. What bending presses together
(under pressure it is added) is not taken off.
"""

from __future__ import annotations

from dataclasses import replace

from panelmend.derive import Figure, Ledger, Source, formula
from panelmend.derive.figure import Origin
from panelmend.job.strength.as_laid import LAID, AsLaid
from panelmend.job.strength.bonds import bond_adhesive
from panelmend.job.strength.loads import Load
from panelmend.job.strength.part import ModeRow, Region, Rests
from panelmend.job.strength.stacks import CONDITIONS, hot_and_wet
from panelmend.physics.structure_inputs import NotComputed

STATICS = Source("balance of the skin: suction over its area")
APART, OFF = "core pulled apart by suction", "outside skin pulled off its core by suction"


@formula("stress + suction", source=STATICS, kind="stiffness")
def with_suction(stress: float, suction: float) -> float:
    """Stress across a bond with the suction that pulls on the skin outside it.

    stress: without suction [Pa]
    suction: on the outside skin, 0 or above [Pa]
    return: stress [Pa]
    """
    return stress + suction


@formula("strength / suction", source=STATICS, kind="ratio")
def suction_reserve(strength: float, suction: float) -> float:
    """Reserve of a flatwise strength on the suction of a case.

    strength: flatwise, in tension [Pa]
    suction: on the outside skin, above 0 [Pa]
    return: reserve factor [1]
    """
    return strength / suction


def most_suction(loads: tuple[Load, ...]) -> float:
    """The greatest suction of all given cases [Pa]."""
    return max((load.suction for load in loads if load.given), default=0.0)


def suction_rows(
    ledger: Ledger, lay: AsLaid, loads: tuple[Load, ...], missing: list[str]
) -> tuple[ModeRow, ...]:
    """Rows of every given case with suction; what is missing goes to ``missing``."""
    rows: list[ModeRow] = []
    for load in loads:
        if not load.given or not load.suction:
            continue
        pull = ledger.add(
            Figure(f"strength.suction.{load.name}", load.suction, "pressure", Origin.TYPED, LAID)
        )
        for condition in CONDITIONS:
            for where, mode, strength in _strengths(replace(lay, condition=condition)):
                row = ModeRow(load.name, where, mode, "strength / suction", "", condition, None, "")
                if mode == APART:
                    row = replace(row, place="core")
                else:  # the document tells what bonds the repair, never what bonded the panel
                    row = replace(row, place="bond to the core", rests=(Rests.OWN_BOND,))
                if isinstance(strength, NotComputed):
                    missing.append(f"{mode}, {condition}: {strength.reason}")
                    rows.append(replace(row, reason=strength.reason))
                    continue
                key = f"strength.suction.{load.name}.{mode}.{where}.{condition}"
                known = ledger.add(Figure(f"{key}.strength", strength, "stiffness", Origin.TABLE, LAID))
                reserve = ledger.derive(f"{key}.reserve", suction_reserve, strength=known, suction=pull)
                rows.append(replace(row, reserve=reserve))
    return tuple(rows)


def _strengths(lay: AsLaid) -> list[tuple[Region, str, float | NotComputed]]:
    """Where what is pulled, and its strength [Pa] in the lay-up's condition."""
    own = _core_strength(lay, plug=False)
    found: list[tuple[Region, str, float | NotComputed]] = [
        (Region.PANEL, APART, own),
        (Region.SOUND, APART, own),
    ]
    if lay.core.plug is not None:
        found.append((Region.OVER_CUT, APART, _core_strength(lay, plug=True)))
    glue = _bond_strength(lay)
    return [*found, (Region.PANEL, OFF, glue), (Region.SOUND, OFF, glue)]


def _core_strength(lay: AsLaid, *, plug: bool) -> float | NotComputed:
    core = lay.core_constants(plug=plug)
    if isinstance(core, NotComputed):
        return core
    return core.Ft if core.Ft is not None else NotComputed(f"core {core.name} has no tension_strength")


def flatwise(lay: AsLaid, ident: str) -> float | NotComputed:
    """Strength of an adhesive's bond to core in the lay-up's condition [Pa]."""
    field = "flatwise_hot_wet" if hot_and_wet(lay.condition) else "flatwise_strength"
    found = getattr(lay.case.catalogue.adhesive(ident), field)
    return NotComputed(f"{ident} has no {field}") if found is None else float(found.value)


def _bond_strength(lay: AsLaid) -> float | NotComputed:
    glue = bond_adhesive(lay)
    return glue if isinstance(glue, NotComputed) else flatwise(lay, glue.name)
