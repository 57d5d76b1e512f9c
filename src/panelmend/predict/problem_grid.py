"""A cure problem on a grid: for every layer its thickness, conductivities and heat capacity at each place."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from panelmend.job.cure.problem import LAYERS, CoreSheet, HeatProblem, HeatSource, PlugSheet, Point, Rib
from panelmend.physics.heat import Grid, lines
from panelmend.shapes import Outline, offset
from panelmend.shapes.points import inside_test
from panelmend.units import INCH

Array = NDArray[np.float64]
PANEL_ROUND_BAG = 0.12  # m of panel looked at beyond the bag: several times the reach of heat along a skin
ABSENT_BELOW = 1e-5  # m: a layer thinner than this on a cell is taken as absent there
CORES = ("core", "core below")
OUTSIDE = "outside"  # a layer that stands for the air beyond the panel's edge
POTTING_ACROSS = 7  # cells across a potting, odd so that one lies in its middle
_COARSEST = 5.0  # widest cell outside over the spacing inside


@dataclass(frozen=True, eq=False)
class Stacked:
    """One layer on the grid, shape (ny, nx): thickness [m], conductivities [W/(m K)], heat [J/(m3 K)]."""

    thickness: Array
    k_x: Array
    k_y: Array
    k_z: Array
    heat: Array


@dataclass(frozen=True, eq=False)
class ProblemGrid:
    """Everything of a problem that does not change from case to case, on one grid.

    ``shares`` are of each cell, 0 to 1: "bond", "floor", "panel"; "potting" and "wet" where there is any.
    ``bled`` is the mass of bled resin over the plies it came from and, spread evenly, of all of it in the
    bleeder beside the patch [kg/m2].
    """

    grid: Grid
    layers: dict[str, Stacked]
    shares: dict[str, Array]
    ribs: tuple[tuple[Rib, Array], ...]
    resin: dict[str, Array]  # heat of full cure by layer [J/m2]
    bled: tuple[Array, Array]


@dataclass(frozen=True, eq=False)
class Warm:
    """A blanket where it lies in one case: its layer, and the power of each place over its own [1]."""

    layer: Stacked
    power: Array


def to_frame(at: Point, frame: tuple[Point, float]) -> Point:
    """From standard axes into the frame [m]."""
    (cx, cy), angle = frame
    c, s = math.cos(angle), math.sin(angle)
    x, y = at[0] - cx, at[1] - cy
    return (c * x + s * y, -s * x + c * y)


def from_frame(at: Point, frame: tuple[Point, float]) -> Point:
    """From the frame into standard axes [m]."""
    (cx, cy), angle = frame
    c, s = math.cos(angle), math.sin(angle)
    return (cx + c * at[0] - s * at[1], cy + s * at[0] + c * at[1])


def in_frame(outline: Outline, frame: tuple[Point, float]) -> Outline:
    """An outline in the frame."""
    (cx, cy), angle = frame
    return outline.moved(-cx, -cy).turned(-angle)


@lru_cache(maxsize=12)
def layout(problem: HeatProblem, spacing: float) -> ProblemGrid:
    """The problem on a grid of a spacing [m] under the bag, wider outside."""
    made = _Shares(problem, _grid(problem, spacing))
    layers = {
        name: _core(problem, made, name) if name in CORES else _layer(problem, made, name) for name in LAYERS
    }
    for rib in problem.ribs:
        _add_rib(layers["structure near" if rib.near else "structure far"], rib, made.of(rib.outline))
    outside = 1.0 - made.of(problem.panel)
    _clip_to_panel(layers, outside)
    layers = {n: x for n, x in layers.items() if float(x.thickness.max()) > 0.0}
    beyond = _filler(outside, layers)
    if float(beyond.thickness.max()) > 0.0:
        layers[OUTSIDE] = beyond
    shares = {"bond": made.of(problem.bond), "floor": made.of(problem.floor), "panel": 1.0 - outside}
    none = np.zeros(made.grid.shape)
    potting = potting_of(problem)
    if potting is not None:
        shares["potting"] = made.of(potting)
    if problem.wet is not None:
        shares["wet"] = made.of(problem.wet.lies) * (1.0 - made.of(problem.wet.without))
    resin = {c.layer: sum((heat * made.of(o) for heat, o in c.parts), none) for c in problem.curing}
    ribs = tuple((r, made.of(r.outline)) for r in problem.ribs)
    return ProblemGrid(made.grid, layers, shares, ribs, resin, _bled(problem, made, layers))


def potting_of(problem: HeatProblem) -> Outline | None:
    """Where cells are filled with a compound that cures in this operation; None for nowhere."""
    return next((c.parts[0][1] for c in problem.curing if c.layer == "core"), None)


def _bled(problem: HeatProblem, shares: _Shares, layers: dict[str, Stacked]) -> tuple[Array, Array]:
    """Bled resin over its plies, and all of it beside the patch [kg/m2]; the mass is the same in both."""
    none = np.zeros(shares.grid.shape)
    if problem.bled is None or "bleeder" not in layers:
        return none, none
    there = layers["bleeder"].thickness > 0.0
    over = np.where(there, sum((m * shares.of(o) for m, o in problem.bled.parts), none), 0.0)
    mass = float((over * shares.grid.area).sum())
    over = over * (problem.bled.mass / mass) if mass > 0.0 else over  # what a grid loses at edges
    free = np.where(there, np.clip(shares.of(problem.bled.bleeder) - shares.of(problem.bond), 0.0, 1.0), 0.0)
    room = float((free * shares.grid.area).sum())
    return over, free * (problem.bled.mass / room) if room > 0.0 else over


def warm(
    problem: HeatProblem,
    on: ProblemGrid,
    source: HeatSource,
    layer: str,
    off: Point = (0.0, 0.0),
    rim: float = 0.0,
    uneven: Point = (0.0, 0.0),
) -> Warm:
    """A blanket off its place.

    Args:
        problem: the cure.
        on: its layout.
        source: the blanket.
        layer: of the blanket, "blanket" or "blanket behind".
        off: how far it lies off, along and across the frame [m].
        rim: share of power missing along its rim of 1 in [1].
        uneven: share of power more at its far end than in its middle, along and across [1].

    Returns:
        its layer, and its power over that of its plate.
    """
    grid = on.grid

    def share(outline: Outline) -> Array:
        placed = in_frame(outline, problem.frame).moved(*off)
        box = _box(placed)
        return (
            grid.rectangle(box[0], box[2], box[1], box[3])
            if box is not None
            else grid.share(inside_test(placed), 5)
        )

    heated = share(source.heated)
    inner = share(_inner(source.heated))
    x0, y0, x1, y1 = in_frame(source.heated, problem.frame).moved(*off).bounds
    along = np.clip((grid.cx - 0.5 * (x0 + x1)) / (0.5 * (x1 - x0)), -1.0, 1.0)
    across = np.clip((grid.cy - 0.5 * (y0 + y1)) / (0.5 * (y1 - y0)), -1.0, 1.0)
    tilt = 1.0 + uneven[0] * along[None, :] + uneven[1] * across[:, None]
    power = np.maximum(heated - rim * (heated - inner), 0.0) * np.maximum(tilt, 0.0)
    own = next(s for s in problem.sheets if s.layer == layer)
    part = share(own.outline) if own.outline is not None else np.ones(grid.shape)
    inside = part * own.thickness
    if layer == "blanket behind":
        inside = np.where(on.shares["panel"] > 0.5, inside, 0.0)
    made = _stacked(
        inside, inside * own.k_plane, inside * own.k_plane, inside / own.k_through, inside * own.heat
    )
    return Warm(made, np.where(made.thickness > 0.0, power, 0.0))


def _box(outline: Outline) -> tuple[float, float, float, float] | None:
    """The bounds of an outline that is an upright rectangle; None for any other."""
    x0, y0, x1, y1 = outline.bounds
    whole = (x1 - x0) * (y1 - y0)
    return (x0, y0, x1, y1) if abs(outline.area - whole) < 1e-9 * max(whole, 1e-12) else None


class _Shares:
    """Shares of outlines on a grid, each worked out once."""

    def __init__(self, problem: HeatProblem, grid: Grid) -> None:
        self.problem, self.grid = problem, grid
        self.known: dict[str, Array] = {}

    def of(self, outline: Outline | None) -> Array:
        """Share of each cell inside; 0 for no outline."""
        if outline is None:
            return np.zeros(self.grid.shape)
        key = outline.digest()
        if key not in self.known:
            placed = in_frame(outline, self.problem.frame)
            box = _box(placed)
            self.known[key] = (
                self.grid.rectangle(box[0], box[2], box[1], box[3])
                if box is not None
                else self.grid.share(inside_test(placed), 5)
            )
        return self.known[key]


def _inner(heated: Outline) -> Outline:
    """The heated area without its rim of 1 in."""
    made = offset(heated, -INCH)
    return max(made, key=lambda o: o.area) if made else heated


def _grid(problem: HeatProblem, spacing: float) -> Grid:
    def box(outline: Outline) -> tuple[float, float, float, float]:
        return in_frame(outline, problem.frame).bounds

    sources = [problem.source, *([problem.source_behind] if problem.source_behind else [])]
    middle = [box(problem.bond), *(box(s.heated) for s in sources)]
    wide = [box(problem.seal_line), *middle]
    edge = box(problem.panel)
    axes, hole = [], potting_of(problem)
    for low, high in ((0, 2), (1, 3)):
        first = max(min(b[low] for b in wide) - PANEL_ROUND_BAG, edge[low])
        last = min(max(b[high] for b in wide) + PANEL_ROUND_BAG, edge[high])
        inner = [v for b in middle for v in (b[low], b[high])]
        reach = min(inner), max(inner)
        marks = inner + [v for r in problem.ribs for v in (box(r.outline)[low], box(r.outline)[high])]
        kept = _spaced(
            [m for m in marks if first < m < last and reach[0] - 1e-9 <= m <= reach[1] + 1e-9], spacing
        )
        kept = kept or [0.5 * (first + last)]
        if hole is not None:
            fine = [m for m in _finer(box(hole)[low], box(hole)[high], spacing) if first < m < last]
            kept = sorted([m for m in kept if not fine[0] - spacing / 8 < m < fine[-1] + spacing / 8] + fine)
        axes.append(lines(kept, first, last, spacing, largest=_COARSEST * spacing))
    return Grid(axes[0], axes[1])


def _finer(low: float, high: float, spacing: float) -> list[float]:
    """Lines across a potting, close enough that the middle of a small one stands apart from its edge."""
    cells = max(POTTING_ACROSS, math.ceil((high - low) / (0.5 * spacing)))
    return [low + (high - low) * n / cells for n in range(cells + 1)]


def _spaced(marks: list[float], spacing: float) -> list[float]:
    """Marks that are not closer to each other than a third of the spacing; the outermost stay."""
    made: list[float] = []
    for mark in sorted(set(marks)):
        if not made or mark - made[-1] > spacing / 3.0:
            made.append(mark)
    if made and marks and max(marks) - made[-1] > 1e-9:
        made[-1] = max(marks)
    return made


def _layer(problem: HeatProblem, shares: _Shares, name: str) -> Stacked:
    """Sheets of one layer added up: thicknesses, resistances in series, conductances in the plane, heat."""
    thick, resistance, plane, heat = (np.zeros(shares.grid.shape) for _ in range(4))
    for sheet in problem.sheets:
        if sheet.layer != name:
            continue
        part = np.ones(shares.grid.shape) if sheet.outline is None else shares.of(sheet.outline)
        if sheet.without is not None:
            part = part * (1.0 - shares.of(sheet.without))
        thick = thick + part * sheet.thickness
        resistance = resistance + part * sheet.thickness / sheet.k_through
        plane = plane + part * sheet.thickness * sheet.k_plane
        heat = heat + part * sheet.thickness * sheet.heat
    return _stacked(thick, plane, plane, resistance, heat)


def _stacked(thick: Array, along_x: Array, along_y: Array, resistance: Array, heat: Array) -> Stacked:
    there = thick > ABSENT_BELOW
    safe = np.where(there, thick, 1.0)
    return Stacked(
        np.where(there, thick, 0.0),
        np.where(there, along_x / safe, 0.1),
        np.where(there, along_y / safe, 0.1),
        np.where(there, safe / np.where(there, resistance, 1.0), 0.1),
        np.where(there, heat / safe, 1e6),
    )


def _core(problem: HeatProblem, shares: _Shares, name: str) -> Stacked:
    """Core with its ribbon turned into the frame; the cross term of a slanted ribbon is left out (small).
    Where filled cells end within it, it is two layers: down to where they end, and what is left below."""
    core = problem.core
    deep = core.plug.depth if core is not None and core.plug is not None else None
    if core is None or (name != "core" and deep is None):
        zero = np.zeros(shares.grid.shape)
        return _stacked(zero, zero, zero, zero, zero)
    there = np.ones(shares.grid.shape)
    for solid in core.solid:
        there = there * (1.0 - shares.of(solid))
    if core.band is not None:
        there = there * shares.of(core.band)
    kx, ky = _conductivity_in_frame(core, problem.frame[1])
    kz, heat, plug = core.k_through, core.heat, core.plug if name == "core" else None
    whole = core.thickness if deep is None else deep
    thick = there * (whole if name == "core" else core.thickness - whole)
    if plug is None:
        return _stacked(thick, thick * kx, thick * ky, thick / kz, thick * heat)
    own = shares.of(plug.outline)
    px, py = _conductivity_in_frame(plug, problem.frame[1])
    # a cell that both share conducts by their shares, side by side
    x, y, z, c = (a + own * (b - a) for a, b in ((kx, px), (ky, py), (kz, plug.k_through), (heat, plug.heat)))
    return _stacked(thick, thick * x, thick * y, thick / z, thick * c)


def _conductivity_in_frame(core: CoreSheet | PlugSheet, frame: float) -> Point:
    """Conductivities along the axes of the frame [W/(m K)]."""
    angle = core.ribbon - frame
    c2, s2 = math.cos(angle) ** 2, math.sin(angle) ** 2
    return core.k_ribbon * c2 + core.k_across * s2, core.k_ribbon * s2 + core.k_across * c2


def _add_rib(layer: Stacked, rib: Rib, share: Array) -> None:
    """A flange, doubler or fitting where it stands (written into the layer's arrays)."""
    there = share * rib.thickness > ABSENT_BELOW
    layer.thickness[there] = (share * rib.thickness)[there]
    for conductivity in (layer.k_x, layer.k_y, layer.k_z):
        conductivity[there] = rib.conductivity
    layer.heat[there] = rib.heat


def _clip_to_panel(layers: dict[str, Stacked], outside: Array) -> None:
    """Beyond the panel's edge only what lies on the bag side goes on."""
    for name in (
        "patch",
        "bond line",
        "near skin",
        *CORES,
        "floor",
        "far skin",
        "structure near",
        "structure far",
    ):
        layers[name].thickness[outside > 0.5] = 0.0


def _filler(outside: Array, layers: dict[str, Stacked]) -> Stacked:
    """Nothing worth mentioning where every layer is absent, so that every place has something."""
    beyond = np.all([x.thickness <= 0.0 for x in layers.values()], axis=0)
    zero = np.zeros_like(outside)
    return Stacked(
        np.where(beyond, 1e-4, 0.0), zero, zero, np.full_like(outside, 0.03), np.full_like(outside, 1e3)
    )
