"""From readings to lines: the 50 % line and the outer line, area by area, as exact outlines.

The outer line is for a damage of any shape (a calibrated number of coverage spacings past every dull
reading), or, where an engineer answers for it, for a compact one (a level of the field's mean).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any, Literal, assert_never

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree
from scipy.special import ndtr, ndtri

from panelmend.errors import RangeError
from panelmend.job.survey.anyshape import DullCore, Inside, dull_core
from panelmend.job.survey.areas import (
    SIMPLIFIED_WITHIN,
    FoundArea,
    any_shape,
    area_holds,
    areas_in,
    ground_near,
    points,
)
from panelmend.job.survey.calibration import level_at, reach_at
from panelmend.job.survey.coverage import closest_spacing, readings_by_place
from panelmend.job.survey.field import (
    HALO,
    MOST_READINGS,
    TILE,
    Kernel,
    Merged,
    Posterior,
    best_kernel,
    laplace,
    merged,
)
from panelmend.job.survey.readings import Array, SkinReadings
from panelmend.shapes import Outline, polygon, to_polygon, united
from panelmend.units import show

GRID_NODES = 4.0  # nodes of the traced grid to a tap spacing
TRACED_REACH = 3.0  # how far from a dull reading lines are looked for, over tap spacing
BEYOND = 1.5  # how far past the readings a line may run, over tap spacing
DOUBTED_SHARE = 0.05  # share of readings in doubt up to which the line was calibrated
PROVED = 0.95  # of a family and layout 59 damages prove 95 % (0.95^59 < 0.05), 299 would prove 99 %
GRID = 1.2  # coverage spacing over closest spacing up to which a survey counts as a square grid
CALIBRATED_SPACINGS = (0.007, 0.051)  # [m] closest spacings of the simulated surveys
PANEL_ROUNDING = 1e-6  # [m]
Line = Literal["any shape", "compact"]


@dataclass(frozen=True)
class Nodes:
    """The field on a square grid: ``x``, ``y`` axes [m]; ``mean``, ``sd`` (ny, nx) [logit]."""

    x: Array
    y: Array
    mean: Array
    sd: Array

    def probability(self) -> Array:
        """Probability of damage (ny, nx) [1]: that f is above 0."""
        return np.asarray(ndtr(self.mean / self.sd))


class Withheld(StrEnum):
    """Why the outer line carries no per cent."""

    RUNS_OFF = "it comes to where nothing was read"
    OPEN = "ground nobody tapped lies beside the damage"
    LONE = "single damaged readings are open"
    NOISY = "more than one reading in twenty was contradicted or stands alone"
    SLIM = "the damage is nowhere broad: it may be a crack, which runs on between the readings"
    SPACING = "the readings stand closer or wider than the line was calibrated for"
    FEW = "more damages would have to be simulated to prove so high a per cent"
    NO_GRID = "the compact line was calibrated on a square grid only"

    def words(self, view: str = "mm") -> str:
        """The reason, its lengths in the reader's units."""
        return (
            f"{self.value} ({_span(*CALIBRATED_SPACINGS, view)})" if self is Withheld.SPACING else self.value
        )


def _span(low: float, high: float, view: str) -> str:
    a, b = (show(v, "length", view, decimals=0 if view == "mm" else 2) for v in (low, high))
    return f"{a.rsplit(' ', 1)[0]} to {b}"


@dataclass(frozen=True)
class TracedSurvey:
    """What a survey says: areas (largest first), doubtful single places, and the field itself.

    ``spacing`` is the coverage spacing near the damage [m], ``gaps`` the middles of untapped ground there,
    ``places`` (n, 2) all that were read [m].
    """

    areas: tuple[FoundArea, ...]
    doubtful: tuple[tuple[float, float], ...]
    contradictory: tuple[tuple[float, float], ...]
    spacing: float
    kernel: Kernel
    nodes: Nodes
    confidence: float
    level: float
    posterior: Posterior
    gaps: tuple[tuple[float, float], ...] = ()
    withheld: tuple[Withheld, ...] = ()
    line: Line = "any shape"
    core: DullCore | None = None
    panel: Outline | None = None
    places: Array | None = None


def trace(
    readings: SkinReadings,
    confidence: float = 0.95,
    *,
    line: Line = "any shape",
    panel: Outline | None = None,
) -> TracedSurvey:
    """Find the damaged areas.

    Args:
        readings: taps and measures of one skin.
        confidence: that the outer line contains the damage [1]; 0.8, 0.9, 0.95 or 0.99.
        line: for a damage of any shape, or for a compact one.
        panel: its edge, past which there is no ground; None where it is not known.

    Returns:
        Areas with their lines; no area where nothing is dull.

    Raises:
        RangeError: fewer than three places were read, or nothing but dull readings.
    """
    m, spots = merged(readings), readings_by_place(readings)
    if len(m.at) < 3:
        raise RangeError(f"a survey needs readings at three places at least; read {len(m.at)}")
    dull = spots.at[spots.bad]
    if len(dull) == len(m.at):
        raise RangeError(
            f"all {len(dull)} places read as damaged: nothing says where the damage ends; tap further out"
        )
    closest, z = closest_spacing(spots.at), level_at(confidence)
    core = dull_core(spots, _inside(panel))
    spacing, gaps, shut = ground_near(core, spots.at, reach_at(confidence), closest)
    scale = min(spacing, 2.0 * closest)
    kernel = best_kernel(_near(m, dull, scale), scale) if len(dull) else Kernel(2.5 * scale, 3.0)
    nodes, posterior = _nodes(m, dull, scale, kernel)
    middles = _lines(nodes, nodes.mean, scale)
    match line:
        case "any shape":
            lines = any_shape(core, reach_at(confidence), spacing, panel)
        case "compact":
            lines = [
                o for o in _lines(nodes, nodes.mean + z, scale) if any(area_holds(o, x) for x in middles)
            ]
        case _:
            assert_never(line)
    areas = areas_in(lines, middles, core, spots.at, spacing, panel) if core is not None else ()
    doubtful = [p for p in points(dull) if not any(a.outer.contains(p) for a in areas)]
    both = spots.at[(spots.dull > 0) & (spots.sound > 0)]
    made = TracedSurvey(
        areas, tuple(sorted(doubtful)), points(both), spacing, kernel, nodes, confidence, z, posterior, gaps
    )
    made = replace(made, line=line, core=core, panel=panel, places=spots.at)
    return replace(made, withheld=_withheld(made, line, closest, shut, len(spots.at)))


def _inside(panel: Outline | None) -> Inside | None:
    if panel is None:
        return None
    from shapely import Polygon, contains_xy, prepare

    shape = Polygon(to_polygon(panel)).buffer(PANEL_ROUNDING)
    prepare(shape)
    return lambda p: np.asarray(contains_xy(shape, p[:, 0], p[:, 1]), dtype=bool)


def _withheld(made: TracedSurvey, line: Line, closest: float, shut: bool, count: int) -> tuple[Withheld, ...]:
    doubts = len(made.doubtful) + len(made.contradictory)
    asked = {
        Withheld.RUNS_OFF: any(a.runs_off for a in made.areas),
        Withheld.OPEN: not shut,
        Withheld.LONE: bool(made.doubtful),
        Withheld.NOISY: doubts > max(2.0, DOUBTED_SHARE * count),
        Withheld.SLIM: any(a.slim for a in made.areas),
        Withheld.SPACING: not CALIBRATED_SPACINGS[0] <= closest <= CALIBRATED_SPACINGS[1],
        Withheld.FEW: line == "any shape" and made.confidence > PROVED,
        Withheld.NO_GRID: line == "compact" and made.spacing > GRID * closest,
    }
    return tuple(w for w, yes in asked.items() if yes)


def probability_lines(traced: TracedSurvey, probability: float) -> tuple[Outline, ...]:
    """Outlines inside which damage is likelier than ``probability`` [1]."""
    n = traced.nodes
    return tuple(_lines(n, n.mean - ndtri(probability) * n.sd, traced.spacing))


def _some(m: Merged, keep: NDArray[Any]) -> Merged:
    return Merged(m.at[keep], m.dull[keep], m.count[keep], m.score[keep], m.weight[keep])


def _near(m: Merged, dull: Array, spacing: float) -> Merged:
    """At most MOST/2 readings round the densest dull place, for choosing the kernel."""
    if len(m.at) <= MOST_READINGS // 2 or not len(dull):
        return m
    tree = cKDTree(dull)
    crowd = tree.query_ball_point(dull, 4.0 * spacing, return_length=True)
    centre = dull[int(np.argmax(np.asarray(crowd)))]
    order = np.argsort(((m.at - centre) ** 2).sum(1), kind="stable")[: MOST_READINGS // 2]
    return _some(m, np.sort(order))


def _nodes(m: Merged, dull: Array, spacing: float, kernel: Kernel) -> tuple[Nodes, Posterior]:
    """The field where damage may be; elsewhere the mean is that of a sound place."""
    step = spacing / GRID_NODES
    seeds = dull if len(dull) else m.at[:1]
    low, high = seeds.min(0) - (TRACED_REACH + 1) * spacing, seeds.max(0) + (TRACED_REACH + 1) * spacing
    while np.prod((high - low) / step) > 1_000_000:
        step *= 1.25
    x = np.arange(low[0], high[0] + step, step)
    y = np.arange(low[1], high[1] + step, step)
    gx, gy = np.meshgrid(x, y)
    places = np.column_stack([gx.ravel(), gy.ravel()])
    wanted = _near_known(seeds, places, TRACED_REACH * spacing) & _near_known(m.at, places, BEYOND * spacing)
    mean, sd = np.full(len(places), -30.0), np.full(len(places), 1.0)
    if len(m.at) <= MOST_READINGS:
        posterior = laplace(m, kernel)
        mean[wanted], sd[wanted] = posterior.latent(places[wanted])
    else:
        posterior = laplace(_near(m, seeds, spacing), kernel)
        _in_tiles(m, places, wanted, spacing, kernel, mean, sd)
    return Nodes(x, y, mean.reshape(gx.shape), sd.reshape(gx.shape)), posterior


def _near_known(known: Array, places: Array, reach: float) -> NDArray[np.bool_]:
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
        if len(order) > 2 * MOST_READINGS:  # far denser than its own median spacing: the nearest do
            d = ((m.at[order] - start - 0.5 * size) ** 2).sum(1)
            order = np.sort(order[np.argsort(d, kind="stable")[: 2 * MOST_READINGS]])
        mean[here], sd[here] = laplace(_some(m, order), kernel).latent(places[here])


def _lines(nodes: Nodes, height: Array, spacing: float) -> list[Outline]:
    """Closed lines of height 0 as outlines, holes filled, widened by what simplifying may take away."""
    import contourpy  # late: only a survey draws contours
    from shapely import Polygon

    padded = np.full((height.shape[0] + 2, height.shape[1] + 2), -30.0)
    padded[1:-1, 1:-1] = np.clip(height, -30.0, 30.0)
    step = nodes.x[1] - nodes.x[0]
    x = np.concatenate([[nodes.x[0] - step], nodes.x, [nodes.x[-1] + step]])
    y = np.concatenate([[nodes.y[0] - step], nodes.y, [nodes.y[-1] + step]])
    made: list[Outline] = []
    slack = SIMPLIFIED_WITHIN * spacing
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
