"""Load that a stiff patch draws to itself: the plate's field just outside it, every way round.

Without load cases a pull along a direction and a shear that pulls along it are put together from the unit
loads (the plate is linear). The largest running load of the bare skin just outside the patch along that
direction is compared with that of the sound panel; the bond is given the larger load.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from panelmend.derive import Source, formula
from panelmend.document.panel import Side
from panelmend.job.strength.as_laid import AsLaid
from panelmend.job.strength.fields import Fields
from panelmend.job.strength.levels import Level
from panelmend.job.strength.modes import regions_of
from panelmend.job.strength.part import Region
from panelmend.job.strength.stacks import Section
from panelmend.physics.structure_inputs import NotComputed

Array = NDArray[np.float64]
STRIPS = tuple(
    (f"{a}°".replace("-", "−"), math.radians(a)) for a in (0, 15, 30, 45, 60, 75, 90, -75, -60, -45, -30, -15)
)


@formula("P x draw", source=Source("docs/method/strength.md", "loads"), kind="running load")
def drawn_load(load: float, factor: float) -> float:
    """Load of a bond with what its patch draws from round about.

    load: running load of the skin without the patch [N/m]
    factor: what the plate model finds just outside the patch over that [1]
    return: running load [N/m]
    """
    return load * factor


def face_runs(
    section: Section, fields: Fields, side: Side, direction: float, where: NDArray[np.bool_]
) -> Array:
    """Running load of a bare skin along a direction [rad], (cells,) [N/m] in some cells, from pull and
    bending together."""
    made = section.sandwich()
    face, z = (made.upper, made.z_upper) if side == "outside" else (made.lower, made.z_lower)
    run = (fields.eps[where] + z * fields.kappa[where]) @ face.A.T + fields.kappa[where] @ face.B.T
    c, s = math.cos(direction), math.sin(direction)
    return np.asarray(run @ np.array([c * c, s * s, 2.0 * s * c]))


@lru_cache(maxsize=4)
def bare_panel_cells(level: Level) -> NDArray[np.bool_]:
    """Cells (ny, nx) [yes or no] just outside the patch that hold nothing but the sound panel."""
    held = [
        k for k, zone in enumerate(level.state.zones) if _is_sound(level.panel.lay, zone.inner, zone.outer)
    ]
    whole = level.state.cells.share[..., held].sum(axis=-1) > 1.0 - 1e-9
    found: NDArray[np.bool_] = regions_of(level.panel)[Region.JUST_OUTSIDE] & whole
    return found


def _is_sound(lay: AsLaid, inner: tuple[object, ...], outer: tuple[object, ...]) -> bool:
    return inner == tuple(lay.skin("inside")) and outer == tuple(lay.skin("outside"))


def draw_factor(lay: AsLaid, levels: tuple[Level, ...], side: Side, direction: float) -> float | NotComputed:
    """How much more than its share the skin carries along ``direction`` [rad] just outside the patch [1].

    The first three loads are the unit ones along 0 and 90 degrees and in shear. The larger of the two finest
    grids is taken.
    """
    section = lay.parent()
    if isinstance(section, NotComputed):
        return section
    found = [
        _factor(section, level, side, direction) for level in levels[-2:] if bare_panel_cells(level).any()
    ]
    if not found:
        return NotComputed("no cell of the sound panel lies just outside the patch")
    return max(found)


def _factor(section: Section, level: Level, side: Side, direction: float) -> float:
    where = bare_panel_cells(level)
    runs = [face_runs(section, f, side, direction, where) for f in level.repaired[:3]]
    plain = [face_runs(section, f, side, direction, where) for f in level.sound[:3]]
    c, s = math.cos(direction), math.sin(direction)
    worst = 1.0
    for ways in ((c * c, s * s, s * c), (c * c - s * s, s * s - c * c, 2.0 * s * c)):
        now = sum(w * r for w, r in zip(ways, runs, strict=True))
        was = sum(w * r for w, r in zip(ways, plain, strict=True))
        worst = max(worst, float(np.abs(now).max() / np.abs(was).max()))
    return worst
