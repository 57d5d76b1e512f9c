"""Failure modes of the sandwich: the worst of each over every region of the panel, not at one point.

Core shear under pressure vanishes in the middle and is largest near the panel's edges; a mode is therefore
looked for cell by cell in the plug, round its edge, under the patch, just outside it and in the rest.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from panelmend.derive import Figure, Ledger
from panelmend.derive.figure import Origin
from panelmend.document.ply_kinds import CARRIES
from panelmend.job.strength import formulas as f
from panelmend.job.strength.as_laid import LAID, PLATE, AsLaid
from panelmend.job.strength.fields import Fields
from panelmend.job.strength.levels import Level, settled_value
from panelmend.job.strength.loads import Load, Resultants
from panelmend.job.strength.part import ModeRow, Region
from panelmend.job.strength.plates import PanelPlate, PlateState
from panelmend.job.strength.stacks import CONDITIONS, Section
from panelmend.physics.sandwich import ModeCheck, check_section
from panelmend.physics.sandwich.field import MODES, mode_fields
from panelmend.physics.structure_inputs import NotComputed
from panelmend.shapes import Outline

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
UNLOADED = "not loaded in this case"
RESERVE_WITHOUT_LOAD = 1e4  # a reserve beyond this is no load


def mode_rows(
    ledger: Ledger, lay: AsLaid, levels: tuple[Level, ...], loads: tuple[Load, ...], missing: list[str]
) -> tuple[ModeRow, ...]:
    """Rows of every given load, condition, region and mode; what is missing goes to ``missing``."""
    rows: list[ModeRow] = []
    for number, load in enumerate(loads):
        if not load.given:
            continue
        for condition in CONDITIONS:
            here = replace(lay, condition=condition)
            for repaired in (False, True):
                rows += _rows(ledger, here, levels, number, load, missing, repaired=repaired)
    return tuple(rows)


@lru_cache(maxsize=8)
def regions_of(panel: PanelPlate) -> dict[Region, Mask]:
    """Which cells belong to each region of the repaired panel; together they are all of it."""
    lay = panel.lay
    x, y = panel.centres()
    size = float(min(np.diff(panel.grid.x).min(), np.diff(panel.grid.y).min()))
    patch, cut, ring = (np.zeros(x.shape, np.bool_) for _ in range(3))
    for layup in lay.plies.sides:
        for p in layup.plies:
            if p.role in CARRIES:
                patch |= panel.inside(p.outline, x - panel.x0, y - panel.y0)
        cut |= panel.inside(layup.cutout, x - panel.x0, y - panel.y0)
    plug = lay.core.plug if lay.core.action == "replace" else None
    if plug is not None:
        near = _cells_near_edge(panel, plug.opening, max(1.5 * size, float(plug.gap)))
        ring = near
        cut |= panel.inside(plug.opening, x - panel.x0, y - panel.y0)
    band = np.zeros(x.shape, np.bool_)
    for layup in lay.plies.sides:
        band |= _cells_near_edge(
            panel, layup.largest.outline, max(2.0 * size, lay.case.geometry.core_thickness)
        )
    outside = band & ~patch & ~cut & ~ring
    return {
        Region.OVER_CUT: cut & ~ring,
        Region.SPLICE: ring,
        Region.UNDER_PATCH: patch & ~cut & ~ring,
        Region.JUST_OUTSIDE: outside,
        Region.PANEL: ~(cut | ring | patch | outside),
    }


def _cells_near_edge(panel: PanelPlate, outline: Outline, far: float) -> Mask:
    """Cells whose middle lies within a distance [m] of an outline's edge."""
    x, y = panel.centres()
    x0, y0, x1, y1 = outline.bounds
    found = np.zeros(x.shape, np.bool_)
    near = (x > x0 - far) & (x < x1 + far) & (y > y0 - far) & (y < y1 + far)
    for j, i in zip(*np.nonzero(near), strict=True):
        found[j, i] = outline.reach(float(x[j, i]), float(y[j, i]))[0] <= far
    return found


@dataclass(frozen=True, eq=False)
class Searched:
    """Least reserve of each mode in each cell, (9, ny, nx), and the section it was found in."""

    fields: Fields
    least: Array
    which: NDArray[np.int64]
    sections: tuple[Section, ...]


def search_reserves(
    lay: AsLaid, state: PlateState, fields: Fields, pressure: float
) -> Searched | NotComputed:
    """Reserves [1] of every cell over every zone it holds a part of, under its loads and ``pressure``
    [Pa]."""
    least = np.full((MODES, *fields.grid.shape), np.inf)
    which = np.zeros(least.shape, np.int64)
    sections: list[Section] = []
    for k, zone in enumerate(state.zones):
        section = zone.sandwich(lay)
        if isinstance(section, NotComputed):
            return section
        sections.append(section)
        held = state.cells.share[..., k] > 0.0
        got = np.full(least.shape, np.inf)
        got[:, held] = mode_fields(
            section.sandwich(), fields.N[held], fields.M[held], fields.Q[held], pressure
        )
        # the first zone stands for cells where nothing acts
        worse = got < least
        which = np.where(worse | (held & ~np.isfinite(least)), k, which)
        least = np.where(worse, got, least)
    return Searched(fields, least, which, tuple(sections))


def worst_everywhere(lay: AsLaid, level: Level, number: int, load: Load) -> Array:
    """Least reserve [1] of each mode in the repaired panel, shape (9,), to judge if a grid is fine enough."""
    found = search_reserves(lay, level.state, level.repaired[number], load.pressure)
    return np.full(MODES, np.inf) if isinstance(found, NotComputed) else found.least.min(axis=(1, 2))


def _rows(
    ledger: Ledger,
    lay: AsLaid,
    levels: tuple[Level, ...],
    number: int,
    load: Load,
    missing: list[str],
    *,
    repaired: bool,
) -> Iterator[ModeRow]:
    two, found, masks = levels[-2:], list[Searched](), list[dict[Region, Mask]]()
    for level in two:
        state = level.state if repaired else level.panel.state("sound")
        assert not isinstance(state, NotComputed), "the panel was solved"
        fields = level.repaired[number] if repaired else level.sound[number]
        got = search_reserves(lay, state, fields, load.pressure)
        if isinstance(got, NotComputed):
            who = "repaired panel" if repaired else "sound panel"
            missing.append(f"sandwich modes, {who}, {lay.condition}: {got.reason}")
            return
        found.append(got)
        whole = {Region.SOUND: np.ones(level.panel.grid.shape, np.bool_)}
        masks.append(regions_of(level.panel) if repaired else whole)
    for region, mask in masks[-1].items():
        if not mask.any():
            continue
        for mode in range(MODES):
            inside = np.where(mask, found[-1].least[mode], np.inf)
            at = np.unravel_index(int(np.argmin(inside)), inside.shape)
            other = masks[0][region]
            before = float(found[0].least[mode][other].min()) if other.any() else math.nan
            row = _row(ledger, lay, found[-1], (int(at[0]), int(at[1])), load, region, mode)
            if row.reserve is None:
                if row.reason and row.reason != UNLOADED:
                    missing.append(f"{row.mode}, {row.place}, {lay.condition}: {row.reason}")
                yield row
                continue
            x, y = two[-1].panel.centres()
            known = settled_value(before, float(row.reserve), two[0].size, two[-1].size)
            yield replace(
                row,
                at=(round(float(x[at]), 6), round(float(y[at]), 6)),
                before=before if math.isfinite(before) else None,
                error=known.error if math.isfinite(known.error) else None,
                resolved=known.resolved,
            )


def _row(
    ledger: Ledger, lay: AsLaid, found: Searched, at: tuple[int, int], load: Load, region: Region, mode: int
) -> ModeRow:
    """One mode at one cell, computed again by the formula that everybody can repeat."""
    n, m, q = (nine_digits(field[at]) for field in (found.fields.N, found.fields.M, found.fields.Q))
    there = Resultants(n, m, q, load.pressure)  # type: ignore[arg-type]
    section = found.sections[int(found.which[(mode, *at)])]
    check = check_section(section.sandwich(), *there.arrays(), there.pressure)[mode]
    if not isinstance(check, ModeCheck):
        return ModeRow(load.name, region, check.mode, "", check.place, lay.condition, None, check.reason)
    blank = ModeRow(load.name, region, check.mode, check.form, check.place, lay.condition, None, UNLOADED)
    if not math.isfinite(check.reserve) or check.reserve > RESERVE_WITHOUT_LOAD:
        return blank
    key = f"strength.modes.{load.name}.{region}.{lay.condition}"
    name = f"strength.zone.{section.digest()[:12]}"
    if name in ledger:
        what = ledger[name]
    else:
        what = ledger.add(Figure(name, section, "", Origin.COMPUTED, LAID))
    loads = ledger.add(Figure(f"{key}.{mode}.loads", there, "", Origin.COMPUTED, PLATE))
    count = ledger.typed(f"strength.mode.{mode}", mode, source=LAID)
    reserve = ledger.derive(f"{key}.{mode}", f.mode_reserve, section=what, loads=loads, number=count)
    return replace(blank, reserve=reserve, reason="")


def nine_digits(values: object) -> tuple[float, ...]:
    """To nine digits [their unit]: the last ones of a sparse solution are noise."""
    return tuple(float(f"{float(v):.9g}") for v in np.asarray(values).ravel())
