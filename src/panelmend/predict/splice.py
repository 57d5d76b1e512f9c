"""How hot the paste round a plug gets by its own heat of cure: a strip across it, beside the whole panel.

A wall of paste a few millimetres wide stands through the core like a fin. No cell of the panel's grid is so
narrow, and what it makes leaves through its two ends alone, for core holds heat back. So it is followed in a
strip of its own: core on both sides, the skins it ends at, and beyond them the temperatures that the panel
has along the opening, the hottest of them at each time.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from panelmend.errors import SolverError
from panelmend.job.cure.problem import HeatProblem, Sheet, Splice
from panelmend.physics.heat import (
    FaceCover,
    Grid,
    HeatLayer,
    HeatModel,
    HeatResin,
    HeatResult,
    Watch,
    WatchedRegion,
    run,
)
from panelmend.predict.problem_grid import in_frame
from panelmend.shapes import distance_to_point

Array = NDArray[np.float64]
SPLICE = "splice"  # its region
REACH = 0.015  # m from the opening's edge: places whose temperature the strip ends at
BESIDE = (0.0005, 0.0015, 0.003, 0.006, 0.011, 0.018)  # m from the paste: lines in the core
CELLS = 8  # through the depth of the paste
FAR_FILM = 10.0  # W/(m2 K) of the far face, still air and radiation; more would cool it
LEAST, MOST = 5.0, 1000.0  # W/(m2 K) between the near skin and the blanket
RUNS_AWAY = 600.0  # K: said where it cannot be followed any more
UNDER = ("bleeder", "under blanket")


def with_splice(problem: HeatProblem, values: Mapping[str, float], result: HeatResult) -> HeatResult:
    """A run with the hottest place of the paste round the plug as a region of its own.

    Args:
        problem: the cure.
        values: of the unknowns of this case.
        result: its run.

    Returns:
        the same with one region more [K], or as it was where no plug is set.
    """
    paste = problem.splice
    if paste is None:
        return result
    near, far = _along(problem, result, ("bond", "near skin")), _along(problem, result, ("floor", "far skin"))
    try:
        hottest, degree = _strip(problem, paste, values, result, near, far)
    except SolverError:
        hottest, degree = np.maximum(near, RUNS_AWAY), np.ones(len(near))
    x, y = in_frame(paste.opening, problem.frame).centroid
    region = WatchedRegion(
        np.array([x]),
        np.array([y]),
        np.array([paste.opening.area]),
        hottest[:, None],
        degree[:, None],
        result.times,
    )
    return replace(result, regions={**result.regions, SPLICE: region})


def width_of(paste: Splice, values: Mapping[str, float]) -> float:
    """How wide the paste stands [m]: its gap, and what of the cells cut open on both sides it fills."""
    return paste.gap + values["splice cells"] * paste.cell


def _along(problem: HeatProblem, result: HeatResult, names: tuple[str, ...]) -> Array:
    """The hottest place along the opening's edge at each sample, shape (samples,) [K]; the nearest where
    the grid has none so near."""
    assert problem.splice is not None
    edge = in_frame(problem.splice.opening, problem.frame)
    x0, y0, x1, y1 = edge.bounds
    best: list[Array] = []
    nearest: tuple[float, Array] | None = None
    for name in names:
        region = result.regions.get(name)
        if region is None:
            continue
        away = np.maximum.reduce([x0 - region.x, region.x - x1, y0 - region.y, region.y - y1])
        for n in np.flatnonzero(away < max(4.0 * REACH, float(away.min()) + 1e-9)):
            off = abs(distance_to_point(edge, (float(region.x[n]), float(region.y[n]))))
            if off <= REACH:
                best.append(region.temperature[:, n])
            if nearest is None or off < nearest[0]:
                nearest = (off, region.temperature[:, n])
    assert nearest is not None, "both skins are watched in every run"
    return np.max(best, axis=0) if best else nearest[1]


def _strip(
    problem: HeatProblem,
    paste: Splice,
    v: Mapping[str, float],
    result: HeatResult,
    near: Array,
    far: Array,
) -> tuple[Array, Array]:
    """Hottest of the paste [K] and its degree of cure there [1] at the samples of a run, shape (samples,)."""
    core = problem.core
    assert core is not None
    half = 0.5 * width_of(paste, v)
    right = [0.0, 0.5 * half, half, *(half + b for b in BESIDE)]
    grid = Grid(tuple([-x for x in reversed(right[1:])] + right), (0.0, 0.01))
    wall = (np.abs(grid.cx) < half)[None, :]
    plug = (grid.cx < half)[None, :]  # the plug's side, and what lies over the paste
    k = v.get("core", 1.0)
    heat = paste.heat * paste.depth * v.get("cure heat", 1.0)
    rest = core.thickness - paste.depth
    layers = [
        _near(problem, plug),
        HeatLayer(
            "core",
            paste.depth,
            np.where(wall, paste.k, k * core.k_across),
            np.where(wall, paste.k, k * core.k_across),
            np.where(wall, paste.k, k * core.k_through),
            np.where(wall, paste.stored, core.heat),
            cells=CELLS,
            resin=HeatResin(paste.law.faster(v.get("cure rate", 1.0)), np.where(wall, heat, 0.0)),
        ),
    ]
    if rest > 5e-4:
        layers.append(
            HeatLayer(
                "rest", rest, k * core.k_across, k * core.k_across, k * core.k_through, core.heat, cells=3
            )
        )
    thick, plane, through, stored = _sum(problem, "far skin")
    layers.append(HeatLayer("far skin", thick, plane, plane, through, stored))
    start = float(near[0])
    covers = tuple(
        FaceCover(start, film=film, history=tuple(zip(result.times.tolist(), row.tolist(), strict=True)))
        for film, row in ((_film(problem, v), near), (FAR_FILM, far))
    )
    model = HeatModel(
        grid,
        tuple(layers),
        start,
        covers,
        top=0,
        bottom=1,
        watches=tuple(Watch(str(n), "core", wall, n) for n in range(CELLS)),
    )
    step = result.step
    made = run(model, longest=float(result.times[-1]), step=step, sample=max(60.0, step))
    rows = np.concatenate([made.regions[str(n)].temperature for n in range(CELLS)], axis=1)
    cured = np.concatenate([made.regions[str(n)].degree for n in range(CELLS)], axis=1)
    at = int(rows.max(axis=0).argmax())
    return (
        np.interp(result.times, made.times, rows.max(axis=1)),
        np.interp(result.times, made.times, cured[:, at]),
    )


def _film(problem: HeatProblem, v: Mapping[str, float]) -> float:
    """Conductance between the near skin and the blanket over the opening [W/(m2 K)]."""
    at = problem.splice.opening.centroid if problem.splice is not None else (0.0, 0.0)
    over = sum(
        s.thickness / s.k_through
        for s in problem.sheets
        if s.layer in UNDER and (s.outline is None or s.outline.contains(at))
    )
    return min(max(v.get("bag stack", 1.0) / over, LEAST), MOST) if over > 0.0 else MOST


def _sum(problem: HeatProblem, layer: str) -> tuple[float, float, float, float]:
    """Thickness [m], conductivities in the plane and through [W/(m K)] and heat [J/(m3 K)] of a layer beside
    the opening, or over it for what is laid there."""
    at = problem.splice.opening.centroid if problem.splice is not None else (0.0, 0.0)
    own: list[Sheet] = [
        s
        for s in problem.sheets
        if s.layer == layer and (layer != "patch" or s.outline is None or s.outline.contains(at))
    ]
    thick = sum(s.thickness for s in own)
    if thick <= 0.0:
        return 0.0, 0.1, 0.1, 1e6
    plane = sum(s.thickness * s.k_plane for s in own) / thick
    through = thick / sum(s.thickness / s.k_through for s in own)
    return thick, plane, through, sum(s.thickness * s.heat for s in own) / thick


def _near(problem: HeatProblem, plug: NDArray[np.bool_]) -> HeatLayer:
    """What lies on the near face: what is laid over plug and paste, the skin beside it."""
    over, beside = _sum(problem, "patch"), _sum(problem, "near skin")
    thick, plane, through, heat = (np.where(plug, a, b) for a, b in zip(over, beside, strict=True))
    return HeatLayer("near skin", thick, plane, plane, through, heat)
