"""Thermal mismatch: what cooling from the cure leaves in the bond between repair and parent."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from panelmend.job.strength.as_laid import AsLaid, Rows
from panelmend.job.strength.stacks import constants
from panelmend.materials.model import Structural
from panelmend.physics.laminate import Lamina, LaminatePly, hygrothermal_loads, laminate
from panelmend.physics.structure_inputs import Array, NotComputed
from panelmend.units.fundamental import ROOM_TEMPERATURE


def expansion(lay: AsLaid, rows: Rows, direction: float) -> float | NotComputed:
    """Free expansion [1/K] of a stack held flat along a direction [rad]."""
    plies: list[tuple[Structural, float, float, str, float, float]] = []
    for ident, warp, thickness in rows:
        cloth = lay.case.catalogue.cloth(ident)
        values = constants(cloth, lay.condition)
        if isinstance(values, NotComputed):
            return values
        hot = cloth.thermal
        if hot is None or hot.expansion_1 is None or hot.expansion_2 is None:
            return NotComputed(f"cloth {ident} has no thermal expansion (expansion_1, expansion_2)")
        plies.append((values, hot.expansion_1, hot.expansion_2, ident, warp, thickness))
    c, s = math.cos(direction), math.sin(direction)
    return float(_free(tuple(plies)) @ np.array([c * c, s * s, c * s]))


@lru_cache(maxsize=1024)
def _free(plies: tuple[tuple[Structural, float, float, str, float, float], ...]) -> Array:
    """Free expansion of a stack held flat [1/K], (3,), x along 0 degrees."""
    made = [
        LaminatePly(Lamina(v.e1, v.e2, v.g12, v.nu12, one, two, name=name), warp, thickness)
        for v, one, two, name, warp, thickness in plies
    ]
    stack = laminate(made)
    return np.asarray(np.linalg.solve(stack.A, hygrothermal_loads(stack, 1.0)[0]))


def cooling(lay: AsLaid) -> float | NotComputed:
    """Temperature from the stress-free state to the room [K], 0 or below.

    The bond is taken as free of stress at its hottest dwell. Hot and wet keeps the cooling to the room, which
    is the larger one.
    """
    dwells = [
        s.to
        for cure in lay.case.document.data.cure
        if "plies" in cure.lays
        for s in cure.segment
        if s.kind == "dwell"
    ]
    if not dwells:
        return NotComputed("no cure of the plies gives a dwell temperature")
    return min(0.0, ROOM_TEMPERATURE - max(dwells))
