"""How hot the paste round a plug gets by its own heat of cure, and the bond line over it: a strip across it.

A wall of paste a few millimetres wide stands through the core like a fin. No cell of the panel's grid is so
narrow, and what it makes leaves through its two ends alone, for core holds heat back. So it is followed in a
strip of its own, from the face of the bag to that of the panel, with the blankets that lie there. Beyond the
faces the strip has the air under which it would keep, without the paste's heat, the temperatures that the
panel has along the opening, the hottest of them at each time: what the paste makes comes on top, and the
controller, whose thermocouples stand outside, does not see it.
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
SPLICE, OVER_IT = "splice", "splice bond"  # regions: the paste, and the bond line at its ends
EDGE_REACH = 0.015  # m from the opening's edge: places whose temperature the strip ends at
LINES_BESIDE = (
    0.0005,
    0.0015,
    0.003,
    0.006,
    0.011,
    0.018,
    0.03,
    0.05,
    0.08,
)  # m from the paste: lines in the core
PASTE_CELLS = 8  # through the depth of the paste
FACE_FILM = 10.0  # W/(m2 K) of a face, still air and radiation at the least; more would cool it
SKINS = ("near skin", "far skin")
RUNS_AWAY = 600.0  # K: said where it cannot be followed any more
OVER = ("blanket", "under blanket", "bleeder")  # from outside to the panel
BEHIND = ("blanket behind",)


def with_splice(problem: HeatProblem, values: Mapping[str, float], result: HeatResult) -> HeatResult:
    """A run with the hottest place of the paste round the plug, and of the bond line over it, as regions.

    Args:
        problem: the cure.
        values: of the unknowns of this case.
        result: its run.

    Returns:
        the same with two regions more [K], or as it was where no plug is set.
    """
    paste = problem.splice
    if paste is None:
        return result
    (near, at), (far, _) = (
        _hottest_along_edge(problem, result, n) for n in (("bond", "near skin"), ("floor", "far skin"))
    )
    try:
        hottest, bond, degree = _strip(problem, paste, values, result, near, far)
    except SolverError:
        hottest = bond = np.maximum(near, RUNS_AWAY)
        degree = np.ones(len(near))
    made = {
        name: WatchedRegion(
            np.array([at[0]]),
            np.array([at[1]]),
            np.array([paste.opening.area]),
            kelvin[:, None],
            degree[:, None],
            result.times,
        )
        for name, kelvin in ((SPLICE, hottest), (OVER_IT, bond))
    }
    return replace(result, regions={**result.regions, **made})


def paste_width(paste: Splice, values: Mapping[str, float]) -> float:
    """How wide the paste stands [m]: its gap, and what of the cells cut open on both sides it fills."""
    return paste.gap + values["splice cells"] * paste.cell


def _hottest_along_edge(
    problem: HeatProblem, result: HeatResult, names: tuple[str, ...]
) -> tuple[Array, tuple[float, float]]:
    """The hottest place along the opening's edge at each sample, shape (samples,) [K], and where it is
    hottest of all [m]; the nearest place where the grid has none so near."""
    assert problem.splice is not None
    edge = in_frame(problem.splice.opening, problem.frame)
    x0, y0, x1, y1 = edge.bounds
    best: list[tuple[tuple[float, float], Array]] = []
    nearest: tuple[float, tuple[tuple[float, float], Array]] | None = None
    for name in names:
        region = result.regions.get(name)
        if region is None:
            continue
        away = np.maximum.reduce([x0 - region.x, region.x - x1, y0 - region.y, region.y - y1])
        for n in np.flatnonzero(away < max(4.0 * EDGE_REACH, float(away.min()) + 1e-9)):
            at = (float(region.x[n]), float(region.y[n]))
            off, row = abs(distance_to_point(edge, at)), region.temperature[:, n]
            if off <= EDGE_REACH:
                best.append((at, row))
            if nearest is None or off < nearest[0]:
                nearest = (off, (at, row))
    assert nearest is not None, "both skins are watched in every run"
    best = best or [nearest[1]]
    tops = np.array([row.max() for _, row in best])
    first = int(np.flatnonzero(tops >= tops.max() - 1e-3)[0])
    return np.max([row for _, row in best], axis=0), best[first][0]


def _strip(
    problem: HeatProblem, paste: Splice, v: Mapping[str, float], result: HeatResult, near: Array, far: Array
) -> tuple[Array, Array, Array]:
    """Hottest of the paste and of the bond line at its ends [K], and its degree of cure where it is hottest
    [1], at the samples of a run, shape (samples,)."""
    core = problem.core
    assert core is not None
    half = 0.5 * paste_width(paste, v)
    right = [0.0, 0.5 * half, half, *(half + b for b in LINES_BESIDE)]
    grid = Grid(tuple([-x for x in reversed(right[1:])] + right), (0.0, 0.01))
    wall = (np.abs(grid.cx) < half)[None, :]
    plug = (grid.cx < half)[None, :]  # the plug's side, and what lies over the paste
    k = v.get("core", 1.0)
    heat = paste.heat * paste.depth * v.get("cure heat", 1.0)
    rest = core.thickness - paste.depth
    over = [_lain(problem, name, v) for name in OVER if any(s.layer == name for s in problem.sheets)]
    behind = [_lain(problem, name, v) for name in BEHIND if any(s.layer == name for s in problem.sheets)]
    layers = [
        *over,
        _near(problem, plug),
        HeatLayer(
            "core",
            paste.depth,
            np.where(wall, paste.k, k * core.k_across),
            np.where(wall, paste.k, k * core.k_across),
            np.where(wall, paste.k, k * core.k_through),
            np.where(wall, paste.stored, core.heat),
            cells=PASTE_CELLS,
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
    layers += [HeatLayer("far skin", thick, plane, plane, through, stored), *behind]
    start = float(near[0])
    half_core = 0.5 * core.thickness * core.heat
    flows = (near - far) / (
        core.thickness / (k * core.k_through) + sum(_resists(problem, n) for n in ("near skin", "far skin"))
    )
    covers = []
    for row, lain, skin, bag, resists, flow in (
        (near, over, "near skin", "bag", problem.insulation_over, flows),
        (far, behind, "far skin", "bag behind", problem.insulation_behind, -flows),
    ):
        film = 1.0 / (1.0 / FACE_FILM + resists + _resists(problem, bag) / v.get("bag stack", 1.0))
        between = sum(_thick(x) / _through(x) for x in lain)
        own_thick, _, _, own = _sum(problem, skin)
        mass = own_thick * own + half_core
        outside = mass + sum(_thick(x) * _stored(x) for x in lain)
        rate = np.gradient(row, result.times) if len(row) > 1 else np.zeros(len(row))
        air = row + between * (mass * rate + flow) + (outside * rate + flow) / film
        covers.append(
            FaceCover(start, film=film, history=tuple(zip(result.times.tolist(), air.tolist(), strict=True)))
        )
    everywhere = np.ones(grid.shape, dtype=bool)
    model = HeatModel(
        grid,
        tuple(layers),
        start,
        tuple(covers),
        top=0,
        bottom=1,
        watches=(
            *(Watch(str(n), "core", wall, n) for n in range(PASTE_CELLS)),
            Watch("near skin", "near skin", everywhere),
            Watch("far skin", "far skin", everywhere),
        ),
    )
    step = result.step
    made = run(model, longest=float(result.times[-1]), step=step, sample=max(60.0, step))
    rows = np.concatenate([made.regions[str(n)].temperature for n in range(PASTE_CELLS)], axis=1)
    cured = np.concatenate([made.regions[str(n)].degree for n in range(PASTE_CELLS)], axis=1)
    at = int(rows.max(axis=0).argmax())
    bond = made.regions["near skin"].hottest
    if rest <= 5e-4:
        bond = np.maximum(bond, made.regions["far skin"].hottest)
    return (
        np.interp(result.times, made.times, rows.max(axis=1)),
        np.interp(result.times, made.times, bond),
        np.interp(result.times, made.times, cured[:, at]),
    )


def _lain(problem: HeatProblem, layer: str, v: Mapping[str, float]) -> HeatLayer:
    """A layer of the bag over the opening, its conductance as in the case."""
    thick, plane, through, heat = _sum(problem, layer)
    stack = 1.0 if layer.startswith("blanket") else v.get("bag stack", 1.0)
    return HeatLayer(layer, thick, plane, plane, through * stack, heat)


def _resists(problem: HeatProblem, layer: str) -> float:
    """Resistance of a layer over or beside the opening [m2 K/W]."""
    thick, _, through, _ = _sum(problem, layer)
    return thick / through


def _thick(layer: HeatLayer) -> float:
    return float(np.max(layer.thickness))


def _through(layer: HeatLayer) -> float:
    return float(np.max(layer.k_z))


def _stored(layer: HeatLayer) -> float:
    return float(np.max(layer.heat))


def _sum(problem: HeatProblem, layer: str) -> tuple[float, float, float, float]:
    """Thickness [m], conductivities in the plane and through [W/(m K)] and heat [J/(m3 K)] of a skin beside
    the opening, or over it for what is laid there."""
    at = problem.splice.opening.centroid if problem.splice is not None else (0.0, 0.0)
    own: list[Sheet] = [
        s
        for s in problem.sheets
        if s.layer == layer
        and (layer in SKINS or s.outline is None or s.outline.contains(at))
        and (layer in SKINS or s.without is None or not s.without.contains(at))
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
