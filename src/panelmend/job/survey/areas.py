"""Damaged areas: the line for any shape, what each line holds, and the ground beside it that nobody read."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from panelmend.job.survey.anyshape import DullCore, rounds
from panelmend.job.survey.coverage import ROOT2
from panelmend.job.survey.readings import Array
from panelmend.shapes import Outline, polygon, to_polygon, united

OPEN_SPACING_RATIO = 2.6  # coverage spacing over closest spacing above which ground beside the damage is open
GAP_SPACING_RATIO = 1.3  # such ground is named where it is wider than this, over closest spacing
MOST_GAPS = 12
BROAD = 0.38  # share of the ground round a reading that is dull: a single row of dull readings has 0.29
SIMPLIFIED_WITHIN = 0.02  # of the tap spacing: traced lines are simplified so far, and widened by as much


@dataclass(frozen=True)
class FoundArea:
    """One damaged area: its ``outer`` line, the 50 % lines inside it, its dull readings, what runs off.

    ``least`` is the least width of its dull ground [m]; ``slim`` that it is nowhere broad: it may be a crack.
    """

    outer: Outline
    middle: tuple[Outline, ...]
    dull: int
    runs_off: bool
    least: float
    slim: bool


def ground_near(
    core: DullCore | None, at: Array, k: float, closest: float
) -> tuple[float, tuple[tuple[float, float], ...], bool]:
    """Coverage spacing near the damage [m] of places ``at`` [m], middles of its gaps, whether none is
    open."""
    if core is None:
        return closest, (), True
    if not len(core.at):
        return core.ground.usual, (), True
    reach, gap, bounded = core.reach(k)
    spacing = max(float(gap.max()), closest)
    shut = bool(bounded.all()) and spacing <= OPEN_SPACING_RATIO * closest
    if shut:
        return spacing, (), True
    g = core.ground
    far, who = cKDTree(core.at).query(g.nodes)
    here = (far <= reach[who]) & (g.far * ROOT2 > GAP_SPACING_RATIO * closest)
    return spacing, _farthest(g.nodes[here], at, GAP_SPACING_RATIO * closest / ROOT2), False


def _farthest(nodes: Array, at: Array, least: float) -> tuple[tuple[float, float], ...]:
    """Places that fill the gaps, widest first: each the farthest from all readings and those before."""
    if not len(nodes):
        return ()
    far, found = np.asarray(cKDTree(at).query(nodes)[0]), list[tuple[float, float]]()
    while len(found) < MOST_GAPS:
        i = int(np.argmax(np.round(far, 9)))
        if far[i] <= least:
            break
        found.append((float(nodes[i, 0]), float(nodes[i, 1])))
        far = np.minimum(far, np.hypot(*(nodes - nodes[i]).T))
    return tuple(found)


def any_shape(core: DullCore | None, k: float, spacing: float, panel: Outline | None) -> list[Outline]:
    """Lines [m] round every dull reading that makes an area, within the panel; ``k`` [1] its width."""
    from shapely import Polygon

    if core is None or not len(core.at):
        return []
    edge = None if panel is None else Polygon(to_polygon(panel))
    slack, made = SIMPLIFIED_WITHIN * spacing, []
    for shape in rounds(core.at, core.reach(k)[0]):
        wide = Polygon(shape.exterior).buffer(slack, quad_segs=2).simplify(slack)
        left = wide if edge is None else wide.intersection(edge)
        for part in getattr(left, "geoms", [left]):
            if part.geom_type == "Polygon" and part.area > (0.2 * spacing) ** 2:
                made.append(polygon(list(part.exterior.coords)[:-1]))
    return [r.outer for r in united(made)] if made else []


def areas_in(
    lines: list[Outline],
    middles: list[Outline],
    core: DullCore,
    at: Array,
    spacing: float,
    panel: Outline | None,
) -> tuple[FoundArea, ...]:
    """The areas inside outer ``lines`` [m] with what is known of each; ``at`` (n, 2) places read [m]."""
    found = []
    edge = _Edge(at, spacing, panel)
    dull = np.vstack([core.at, core.lone])
    share = np.concatenate([core.share, np.zeros(len(core.lone))])
    for outer in lines:
        here = np.array([outer.contains(p) for p in points(dull)], bool)
        if not here.any():
            continue
        within = tuple(o for o in middles if area_holds(outer, o))
        slim = float(share[here].max()) < BROAD
        found.append(
            FoundArea(outer, within, int(here.sum()), edge.left_by(outer), _width(dull[here]) + spacing, slim)
        )
    return tuple(sorted(found, key=lambda f: (-round(f.outer.area, 12), f.outer.bounds)))


def area_holds(outer: Outline, inner: Outline) -> bool:
    """Whether one area holds another: the middle of it, or its first corner."""
    return outer.contains(inner.centroid) or outer.contains((inner.vertices[0].x, inner.vertices[0].y))


def _width(at: Array) -> float:
    """Least width of places [m], across the narrower way."""
    from shapely import MultiPoint

    box = MultiPoint(at).minimum_rotated_rectangle
    if box.geom_type != "Polygon":
        return 0.0
    c = np.array(box.exterior.coords)
    return float(min(np.hypot(*(c[1] - c[0])), np.hypot(*(c[2] - c[1]))))


class _Edge:
    """Whether a line comes to where no reading is: past the readings, and not past the panel's edge."""

    def __init__(self, at: Array, spacing: float, panel: Outline | None) -> None:
        from shapely import MultiPoint, Polygon

        self.reach = 1.05 * spacing
        self.read = MultiPoint(at).convex_hull.buffer(self.reach)
        self.panel = None if panel is None else Polygon(to_polygon(panel))

    def left_by(self, outer: Outline) -> bool:
        from shapely import Polygon

        past = Polygon(to_polygon(outer)).difference(self.read)
        if self.panel is not None:
            past = past.intersection(self.panel)
        return bool(past.area > (0.05 * self.reach) ** 2)


def points(rows: Array) -> tuple[tuple[float, float], ...]:
    """Rows (n, 2) [m] as points [m]."""
    return tuple((float(x), float(y)) for x, y in rows)
