"""Maps of the panel, repaired over sound, and where a ratio is largest in and round the repair."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from panelmend.derive import Figure, Ledger
from panelmend.derive.figure import Origin
from panelmend.job.strength.as_laid import PLATE
from panelmend.job.strength.levels import Level, Settled, settled_value
from panelmend.job.strength.opened import OpenHole, settled_hole
from panelmend.job.strength.part import Compared, HotSpot, Maps
from panelmend.job.strength.plates import NEXT_TO_NOTHING, nearest_edge
from panelmend.shapes import Outline

Array = NDArray[np.float64]
LITTLE_SHEAR = 0.02  # of the running loads: core shear below this is a by-product of unequal skins


def load_ratios(level: Level, number: int) -> dict[Compared, Array]:
    """Ratios [1] of the repaired and the open panel to the sound one under one load, by cell (ny, nx)."""
    panel, sound, repaired = level.panel, level.sound[number], level.repaired[number]
    found = {Compared.STRAIN: _ratio(panel.strain(repaired), panel.strain(sound))}
    was, now = (np.hypot(a.Q[..., 0], a.Q[..., 1]) for a in (sound, repaired))
    found[Compared.SHEAR] = np.full(was.shape, np.nan)
    if was.max() > LITTLE_SHEAR * abs(sound.N).max():
        found[Compared.SHEAR] = _ratio(now, was)
    if level.open:
        found[Compared.HOLE] = _ratio(panel.strain(level.open[number], open_hole=True), panel.strain(sound))
    return found


def maps_of(name: str, level: Level, number: int, hole: Array | None) -> Maps:
    """Maps of one load on a grid; ``hole``: strain [1] of the open panel there, of its own mesh."""
    fields = load_ratios(level, number)
    panel = level.panel
    if hole is not None:
        fields[Compared.HOLE] = _ratio(hole, panel.strain(level.sound[number]))
    shown = (np.round(fields[what], 4) for what in Compared)
    return Maps(name, panel.grid.x + panel.x0, panel.grid.y + panel.y0, *shown)


def settled_peaks(
    levels: tuple[Level, ...], number: int, opened: tuple[OpenHole, ...] = ()
) -> dict[Compared, tuple[Settled, tuple[float, float]]]:
    """Each field's largest ratio in and round the repair from its two finest grids, with its place [m].

    ``opened``: meshes of the open panel, where they follow the hole's edge.
    """
    found = {}
    for what in Compared:
        own = [(lv, peak) for lv in levels if (peak := _peak_and_place(lv, number, what)) is not None]
        if len(own) >= 2:
            (coarse, (before, _)), (fine, (value, at)) = own[-2:]
            found[what] = (settled_value(before, value, coarse.size, fine.size), at)
    hole = settled_hole(opened, number, levels[-1].sound[number]) if opened else None
    if hole is not None:
        found[Compared.HOLE] = hole
    return found


def hot_spots(
    ledger: Ledger,
    maps: Maps,
    levels: tuple[Level, ...],
    number: int,
    outlines: list[tuple[str, Outline]],
    opened: tuple[OpenHole, ...],
) -> list[HotSpot]:
    """The hot spots of one load as figures."""
    found, view = [], levels[0].panel.lay.case.view
    thing = ledger.add(Figure(f"strength.maps.{maps.case}", maps, "", Origin.COMPUTED, PLATE))
    for what, (value, at) in settled_peaks(levels, number, opened).items():
        figure = ledger.add(
            Figure(
                f"strength.{maps.case}.{what}",
                round(value.value, 4),
                "ratio",
                Origin.COMPUTED,
                PLATE,
                "",
                (("maps", thing.key),),
                () if value.resolved else (f"NOT RESOLVED: {value.before:.3g} on the grid before",),
            )
        )
        found.append(
            HotSpot(
                maps.case,
                what,
                figure,
                at,
                nearest_edge(outlines, at, view),
                round(value.before, 4),
                round(value.error, 4),
                value.resolved,
            )
        )
    return found


def _peak_and_place(level: Level, number: int, what: Compared) -> tuple[float, tuple[float, float]] | None:
    field = load_ratios(level, number).get(what)
    if field is None:
        return None
    field = np.where(level.panel.near(*level.panel.centres()), field, np.nan)
    if not np.isfinite(field).any():
        return None
    j, i = np.unravel_index(int(np.nanargmax(field)), field.shape)
    x, y = level.panel.centres()
    return float(field[j, i]), (float(x[j, i]), float(y[j, i]))


def _ratio(top: Array, bottom: Array) -> Array:
    least = NEXT_TO_NOTHING * float(np.nanmax(bottom))
    if least <= 0.0:
        return np.full(top.shape, np.nan)
    return np.where(bottom > least, top / np.maximum(bottom, least), np.nan)
