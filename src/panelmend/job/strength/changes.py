"""What one ply more, longer steps, a turned ply or a denser core would change."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from panelmend.document.panel import Side
from panelmend.job.strength.as_laid import AsLaid
from panelmend.job.strength.bonds import bond_of, least_held
from panelmend.job.strength.drawn import STRIPS
from panelmend.job.strength.flush import flush_bond
from panelmend.job.strength.formulas import bending_along
from panelmend.job.strength.part import BondRow, Change
from panelmend.job.strength.stacks import BondThing, Section
from panelmend.physics.structure_inputs import NotComputed

STEP_FACTOR = 1.25
GROUND = "least reserve of the bonds, room, under the loads of the table of bonds"
LET_IN = "steps let in flush, each ply on a step of the skin"
Make = Callable[[AsLaid, Side, float, float], BondThing | NotComputed]
Loaded = tuple[tuple[Side, float, float], ...]


def bond_changes(lay: AsLaid, bonds: tuple[BondRow, ...]) -> tuple[Change, ...]:
    """Changes of the least bond reserve and of the bending stiffness; empty where they cannot be computed."""
    loaded = loaded_of(bonds)
    rows = [float(b.reserve) for b in bonds if b.condition == "room" and b.reserve is not None]
    base = min(rows, default=None)
    made: list[Change] = []
    tolerance = float(lay.plies.angle_tolerance)
    if base is not None:
        worse_way = f"every ply off by its tolerance, {math.degrees(tolerance):g}°, each the worse way"
        for what, others, stretch in (
            ("one repair ply more", (replace(lay, twice=True),), 1.0),
            (f"steps {STEP_FACTOR - 1:.0%} longer", (lay,), STEP_FACTOR),
            (worse_way, (replace(lay, off=tolerance), replace(lay, off=-tolerance)), 1.0),
        ):
            found = [r for r in (least_reserve(other, loaded, stretch) for other in others) if r is not None]
            if found:
                made.append(Change(what, base, min(found), GROUND))
        let_in = least_reserve(lay, loaded, make=flush_bond)
        if let_in is not None:
            made.append(Change(LET_IN, base, let_in, f"{GROUND}; shear alone, no peel"))
    denser = denser_core(lay)
    if denser:
        before, after = shear_of(lay), shear_of(replace(lay, core_id=denser))
        if before is not None and after is not None:
            made.append(
                Change(
                    f"core one grade denser ({denser})",
                    1.0,
                    after / before,
                    "core shear stiffness of the plug",
                )
            )
    return tuple(made)


def loaded_of(bonds: tuple[BondRow, ...]) -> Loaded:
    """Side, direction [rad] and load [N/m] of the rows at room temperature that carry one."""
    angles = dict(STRIPS)
    return tuple(
        (b.side, angles[b.direction], float(b.load))
        for b in bonds
        if b.condition == "room" and b.load is not None and b.reserve is not None
    )


def least_reserve(lay: AsLaid, loaded: Loaded, stretch: float = 1.0, make: Make = bond_of) -> float | None:
    """Least reserve [1] of the bonds, ``stretch`` [1] times as long, room, under the loads of the bond
    table; None without data.

    The loads stay those of the repair as planned, what the patch draws among them. ``make``: how the bond of
    a side is made.
    """
    found = []
    for side, angle, load in loaded:
        made = make(replace(lay, off_along=angle), side, angle, stretch)
        if isinstance(made, NotComputed):
            return None
        result = least_held(made, load)
        if isinstance(result, NotComputed):
            return None
        found.append(result)
    return min(found, default=None)


def denser_core(lay: AsLaid) -> str:
    """The next denser core of the same kind that the tables or the document hold, "" for none."""
    plug = lay.core.plug
    if plug is None:
        return ""
    own = lay.case.catalogue.core(plug.material)
    from panelmend.materials import Core

    better = [
        c
        for c in (lay.case.catalogue.get(i) for i in lay.case.catalogue.ids())
        if isinstance(c, Core)
        and c.fibre == own.fibre
        and c.density.value > own.density.value
        and c.g_ribbon is not None
    ]
    return min(better, key=lambda c: c.density.value).id if better else ""


def shear_of(lay: AsLaid) -> float | None:
    """Shear stiffness of the plug along 0 degrees [N/m]; None without data."""
    made = lay.middle()
    if not isinstance(made, Section):
        return None
    bending_along(section=made, direction=0.0)  # refuses a section that cannot stand
    return float(made.sandwich().shear_stiffness()[0, 0])
