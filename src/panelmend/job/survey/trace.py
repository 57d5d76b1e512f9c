"""From the field to lines: the 50 % line and the outer line, area by area, as exact outlines."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import contourpy
import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree
from scipy.stats import norm

from panelmend.errors import RangeError
from panelmend.job.survey.calibration import level_at
from panelmend.job.survey.field import (
    HALO,
    MOST,
    TILE,
    Kernel,
    Merged,
    Posterior,
    best_kernel,
    laplace,
    merged,
    spacing_of,
)
from panelmend.job.survey.readings import Array, Readings
from panelmend.shapes import Outline, polygon, united

FINE = 4.0  # nodes of the traced grid to a tap spacing
REACH = 3.0  # how far from a dull reading lines are looked for, over tap spacing
BEYOND = 1.5  # how far past the readings a line may run, over tap spacing
FLAT = 0.02  # traced lines are simplified within this, over tap spacing; the line is widened by as much


@dataclass(frozen=True)
class Nodes:
    """The field on a square grid: ``x``, ``y`` axes [m]; ``mean``, ``sd`` (ny, nx) [logit]."""

    x: Array
    y: Array
    mean: Array
    sd: Array

    def probability(self) -> Array:
        """Probability of damage (ny, nx) [1]: that f is above 0."""
        return np.asarray(norm.cdf(self.mean / self.sd))


@dataclass(frozen=True)
class Found:
    """One damaged area: its ``outer`` line, the 50 % lines inside it, and what runs off the survey."""

    outer: Outline
    middle: tuple[Outline, ...]
    dull: int
    runs_off: bool


@dataclass(frozen=True)
class Traced:
    """What a survey says: areas (largest first), doubtful single places, and the field itself."""

    areas: tuple[Found, ...]
    doubtful: tuple[tuple[float, float], ...]
    contradictory: tuple[tuple[float, float], ...]
    spacing: float
    kernel: Kernel
    nodes: Nodes
    confidence: float
    level: float
    posterior: Posterior


def trace(readings: Readings, confidence: float = 0.95, level: float | None = None) -> Traced:
    """Find the damaged areas.

    Args:
        readings: taps and measures of one skin.
        confidence: that the outer line contains the damage [1]; 0.8, 0.9, 0.95 or 0.99.
        level: how far below 0 the outer line follows the mean [logit]; None for the calibrated value.

    Returns:
        Areas with their lines; no area where nothing is dull.

    Raises:
        RangeError: fewer than three places were read, or nothing but dull readings.
    """
    m = merged(readings)
    if len(m.at) < 3:
        raise RangeError(f"a survey needs readings at three places at least; read {len(m.at)}")
    dull = _dull_places(m)
    if len(dull) == len(m.at):
        raise RangeError(
            f"all {len(dull)} places read as damaged: nothing says where the damage ends; tap further out"
        )
    spacing = spacing_of(m.at)
    z = level_at(confidence) if level is None else level
    sample = _near(m, dull, spacing)
    kernel = best_kernel(sample, spacing) if len(dull) else Kernel(2.5 * spacing, 3.0)
    nodes, posterior = _nodes(m, dull, spacing, kernel)
    areas, doubtful = _areas(m, dull, nodes, spacing, z)
    both = m.at[(m.dull > 0) & (m.dull < m.count)]
    return Traced(areas, doubtful, _points(both), spacing, kernel, nodes, confidence, z, posterior)


def probability_lines(traced: Traced, probability: float) -> tuple[Outline, ...]:
    """Outlines inside which damage is likelier than ``probability`` [1]."""
    n = traced.nodes
    return tuple(_lines(n, n.mean - norm.ppf(probability) * n.sd, traced.spacing))


def _points(rows: Array) -> tuple[tuple[float, float], ...]:
    return tuple((float(x), float(y)) for x, y in rows)


def _dull_places(m: Merged) -> Array:
    return m.at[(m.dull > 0) | ((m.weight > 0) & (m.score > 0))]


def _some(m: Merged, keep: NDArray[Any]) -> Merged:
    return Merged(m.at[keep], m.dull[keep], m.count[keep], m.score[keep], m.weight[keep])


def _near(m: Merged, dull: Array, spacing: float) -> Merged:
    """At most MOST/2 readings round the densest dull place, for choosing the kernel."""
    if len(m.at) <= MOST // 2 or not len(dull):
        return m
    tree = cKDTree(dull)
    crowd = tree.query_ball_point(dull, 4.0 * spacing, return_length=True)
    centre = dull[int(np.argmax(np.asarray(crowd)))]
    order = np.argsort(((m.at - centre) ** 2).sum(1), kind="stable")[: MOST // 2]
    return _some(m, np.sort(order))


def _nodes(m: Merged, dull: Array, spacing: float, kernel: Kernel) -> tuple[Nodes, Posterior]:
    """The field where damage may be; elsewhere the mean is that of a sound place."""
    step = spacing / FINE
    seeds = dull if len(dull) else m.at[:1]
    low, high = seeds.min(0) - (REACH + 1) * spacing, seeds.max(0) + (REACH + 1) * spacing
    while np.prod((high - low) / step) > 1_000_000:
        step *= 1.25
    x = np.arange(low[0], high[0] + step, step)
    y = np.arange(low[1], high[1] + step, step)
    gx, gy = np.meshgrid(x, y)
    places = np.column_stack([gx.ravel(), gy.ravel()])
    wanted = _within(seeds, places, REACH * spacing) & _within(m.at, places, BEYOND * spacing)
    mean, sd = np.full(len(places), -30.0), np.full(len(places), 1.0)
    if len(m.at) <= MOST:
        posterior = laplace(m, kernel)
        mean[wanted], sd[wanted] = posterior.latent(places[wanted])
    else:
        posterior = laplace(_near(m, seeds, spacing), kernel)
        _in_tiles(m, places, wanted, spacing, kernel, mean, sd)
    return Nodes(x, y, mean.reshape(gx.shape), sd.reshape(gx.shape)), posterior


def _within(known: Array, places: Array, reach: float) -> NDArray[np.bool_]:
    far = np.asarray(cKDTree(known).query(places, distance_upper_bound=reach)[0])
    return np.asarray(far < np.inf, dtype=bool)


def _in_tiles(
    m: Merged,
    places: Array,
    wanted: NDArray[np.bool_],
    spacing: float,
    kernel: Kernel,
    mean: Array,
    sd: Array,
) -> None:
    size, halo = TILE * spacing, HALO * spacing
    low = places.min(0)
    tile = np.floor((places - low) / size).astype(int)
    for key in np.unique(tile[wanted], axis=0):
        start = low + key * size
        near = ((m.at > start - halo) & (m.at < start + size + halo)).all(1)
        here = wanted & (tile == key).all(1)
        order = np.flatnonzero(near)
        if len(order) > 2 * MOST:  # far denser than its own median spacing: the nearest do
            d = ((m.at[order] - start - 0.5 * size) ** 2).sum(1)
            order = np.sort(order[np.argsort(d, kind="stable")[: 2 * MOST]])
        mean[here], sd[here] = laplace(_some(m, order), kernel).latent(places[here])


def _areas(
    m: Merged, dull: Array, nodes: Nodes, spacing: float, z: float
) -> tuple[tuple[Found, ...], tuple[tuple[float, float], ...]]:
    outers = _lines(nodes, nodes.mean + z, spacing)
    middles = _lines(nodes, nodes.mean, spacing)
    found, lone = [], []
    edge = _Edge(m.at, spacing)
    for outer in outers:
        inside = [p for p in _points(dull) if outer.contains(p)]
        within = tuple(o for o in middles if outer.contains(o.centroid) or outer.contains(_first(o)))
        if not inside:
            continue
        if not within:
            lone += inside
            continue
        found.append(Found(outer, within, len(inside), edge.left_by(outer)))
    taken = [p for p in _points(dull) if not any(f.outer.contains(p) for f in found)]
    lone = sorted(set(lone) | set(taken))
    return tuple(sorted(found, key=lambda f: (-round(f.outer.area, 12), f.outer.bounds))), tuple(lone)


def _first(o: Outline) -> tuple[float, float]:
    return (o.vertices[0].x, o.vertices[0].y)


class _Edge:
    """Whether a line comes to where no reading is."""

    def __init__(self, at: Array, spacing: float) -> None:
        self.tree, self.reach = cKDTree(at), 1.05 * spacing

    def left_by(self, outer: Outline) -> bool:
        corners = np.array([(v.x, v.y) for v in outer.vertices])
        return bool((np.asarray(self.tree.query(corners)[0]) > self.reach).any())


def _lines(nodes: Nodes, height: Array, spacing: float) -> list[Outline]:
    """Closed lines of height 0 as outlines, holes filled, widened by what simplifying may take away."""
    from shapely import Polygon

    padded = np.full((height.shape[0] + 2, height.shape[1] + 2), -30.0)
    padded[1:-1, 1:-1] = np.clip(height, -30.0, 30.0)
    step = nodes.x[1] - nodes.x[0]
    x = np.concatenate([[nodes.x[0] - step], nodes.x, [nodes.x[-1] + step]])
    y = np.concatenate([[nodes.y[0] - step], nodes.y, [nodes.y[-1] + step]])
    made: list[Outline] = []
    slack = FLAT * spacing
    for line in contourpy.contour_generator(x, y, padded).lines(0.0):
        if len(line) < 4:
            continue
        shape = Polygon(line).buffer(0.0)
        for part in getattr(shape, "geoms", [shape]):
            if part.area < (0.2 * spacing) ** 2:
                continue
            wide = part.buffer(slack, quad_segs=2).simplify(slack)
            for piece in getattr(wide, "geoms", [wide]):
                made.append(polygon(list(piece.exterior.coords)[:-1]))
    return [r.outer for r in united(made)] if made else []


def merge_near(outlines: list[Outline], distance: float) -> list[list[int]]:
    """Which outlines count as one: those nearer than ``distance`` [m], in chains; lists of their numbers."""
    from panelmend.shapes import clearance

    groups = [[i] for i in range(len(outlines))]
    for i in range(len(outlines)):
        for j in range(i):
            gi = next(g for g in groups if i in g)
            gj = next(g for g in groups if j in g)
            if gi is not gj and clearance(outlines[i], outlines[j]).distance < distance:
                gj += gi
                groups.remove(gi)
    return [sorted(g) for g in groups]
