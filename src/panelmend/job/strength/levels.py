"""The plate solved on finer and finer grids, and what a figure is worth that was read from it.

A cell between two zones holds their average, so peaks beside a zone's edge come closer as the first power of
the cell's size. The error of the finest value is estimated on that ground; a peak that does not settle
(re-entrant corners, jumps of stiffness) is said to be not resolved, with its two finest values.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelmend.job.case import Case as Document
from panelmend.job.strength.as_laid import AsLaid
from panelmend.job.strength.fields import Fields
from panelmend.job.strength.loads import Load
from panelmend.job.strength.plates import PanelPlate, PlateState
from panelmend.physics.plate import PlateAnswer, PlateGrid, PlateLoads
from panelmend.physics.structure_inputs import NotComputed

Array = NDArray[np.float64]
REPAIR_CELLS = (20, 40)  # cells along the repair's box, each grid with cells half as large
REPAIR_CELLS_ONCE_MORE = 56  # one grid more where a figure of the repaired panel has not settled
SETTLED_ERROR = 0.02  # a figure is shown as resolved where its estimated error is no larger
SOUND_PANEL_CELLS = 32  # cells along the repair's box for the sound panel, whose fields are smooth


@dataclass(frozen=True, eq=False)
class Level:
    """One grid with its answers, one a load; ``size`` says how large its cells are beside the others';
    ``open`` is empty where the hole was not solved."""

    panel: PanelPlate
    size: float
    sound: tuple[Fields, ...]
    repaired: tuple[Fields, ...]
    state: PlateState
    open: tuple[Fields, ...]


@dataclass(frozen=True)
class Settled:
    """A figure read from the two finest grids: ``value`` is the finest one's, ``before`` the other's.

    ``error`` is the estimated share by which the value is off [1].
    """

    value: float
    before: float
    error: float

    @property
    def resolved(self) -> bool:
        """Whether the error is small enough to show the value as it is."""
        return self.error <= SETTLED_ERROR


def settled_value(before: float, value: float, coarse: float, fine: float) -> Settled:
    """The value of two grids with cells of size ``coarse`` and ``fine``, its error by first order [the
    field's unit; m]."""
    if not (np.isfinite(before) and np.isfinite(value)):
        return Settled(value, before, np.inf)
    rest = abs(value - before) * fine / (coarse - fine)
    return Settled(value, before, rest / abs(value) if value else (np.inf if rest else 0.0))


def solve_levels(
    document: Document,
    lay: AsLaid,
    loads: tuple[Load, ...],
    enough: Callable[[Level, Level], bool],
    *,
    hole: bool = True,
) -> tuple[Level, ...] | NotComputed:
    """Levels of the panel under every load; a third, of the repaired panel, unless ``enough`` has settled.

    ``hole``: whether the panel with the hole left open is solved on these grids too.
    """
    clamped = document.document.data.strength.clamped
    plain = PanelPlate(lay, SOUND_PANEL_CELLS)
    state = plain.state("sound")
    if isinstance(state, NotComputed):
        return NotComputed(f"plate model: {state.reason}")
    smooth = [_fields(a) for a in plain.solve(state, cases_of(plain, loads, clamped))]
    made: list[Level] = []
    for fine in (*REPAIR_CELLS, REPAIR_CELLS_ONCE_MORE):
        if len(made) == len(REPAIR_CELLS) and enough(made[-2], made[-1]):
            break
        level = _level(lay, loads, fine, smooth, clamped, hole=hole and len(made) < len(REPAIR_CELLS))
        if isinstance(level, NotComputed):
            return NotComputed(f"plate model: {level.reason}")
        made.append(level)
    return tuple(made)


def _level(
    lay: AsLaid, loads: tuple[Load, ...], fine: int, smooth: list[Fields], clamped: bool, *, hole: bool
) -> Level | NotComputed:
    panel = PanelPlate(lay, fine)
    cases = cases_of(panel, loads, clamped)
    names, found = ("repaired", "open") if hole else ("repaired",), dict[str, tuple[Fields, ...]]()
    states = dict[str, PlateState]()
    for name in names:
        state = panel.state(name)
        if isinstance(state, NotComputed):
            return state
        states[name] = state
        found[name] = tuple(_fields(a) for a in panel.solve(state, cases))
    sound = tuple(resampled(a, panel.grid) for a in smooth)
    return Level(panel, 1.0 / fine, sound, found["repaired"], states["repaired"], found.get("open", ()))


def cases_of(panel: PanelPlate, loads: tuple[Load, ...], clamped: bool) -> list[PlateLoads]:
    """The plate's cases of the loads."""
    return [panel.case(n.nx, n.ny, n.nxy, n.pressure, clamped) for n in loads]


def _fields(a: PlateAnswer) -> Fields:
    return Fields(a.grid, a.eps, a.kappa, a.N, a.M, a.Q)


def resampled(a: Fields, grid: PlateGrid) -> Fields:
    """Fields at the cell centres of another grid of the same panel, bilinear between centres."""
    rows, columns = (_resampling(old, new) for old, new in ((a.grid.y, grid.y), (a.grid.x, grid.x)))

    def moved(field: Array) -> Array:
        return np.asarray(np.einsum("jb,bik,ai->jak", rows, field, columns, optimize=True))

    return Fields(grid, *(moved(v) for v in (a.eps, a.kappa, a.N, a.M, a.Q)))


def _resampling(old: Array, new: Array) -> Array:
    """Weights of old cell centres at new ones, (new, old); the first and last pair reach beyond."""
    have, want = (old[1:] + old[:-1]) / 2, (new[1:] + new[:-1]) / 2
    i = np.clip(np.searchsorted(have, want) - 1, 0, have.size - 2)
    part = (want - have[i]) / (have[i + 1] - have[i])
    weights = np.zeros((want.size, have.size))
    at = np.arange(want.size)
    weights[at, i] = 1.0 - part
    weights[at, i + 1] += part
    return weights
