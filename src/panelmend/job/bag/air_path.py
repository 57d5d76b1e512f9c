"""Whether air gets from the plies to the vacuum fitting: a proof over the plan of a bag, place by place.

The plan is divided by the outlines of all layers. In each part the layers that lie there are known in their
height. Air passes up through a layer that is open through it, along one that is open in its plane, and from
one layer into the next where they touch. Solid film, pad, blanket and metal pass nothing. A solid layer is
taken larger by the width over which layers must touch beside it, so that a bare line is no way out.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, assert_never

import numpy as np
from shapely import Polygon, boundary, distance, get_parts, intersection, length, polygonize, unary_union
from shapely.geometry import Point as Spot
from shapely.geometry.base import BaseGeometry

from panelmend.derive.memory import remembered
from panelmend.shapes import Outline, to_polygon

Point = tuple[float, float]
Air = Literal["through and along", "through", "none", "apart"]
PASSES: dict[Air, bool] = {"through and along": True, "through": True, "none": False, "apart": False}
ARC_WITHIN = 1e-5  # m: polygons follow arcs so closely
LEAST_CONTACT = 0.025  # m: layers touch over 1 in beside a solid one (common practice); 25 mm is read as 1 in
RIM_ROUNDING = 1e-4  # m: what is left of a bare rim that is just wide enough
GATE = 1e-3  # m: parts that share less of their edge are not joined


@dataclass(frozen=True)
class ProofSheet:
    """One layer as the proof sees it: its name, what air does in it, and where it lies (without its hole)."""

    name: str
    air: Air
    outlines: tuple[Outline, ...]
    hole: Outline | None = None


@dataclass(frozen=True)
class AirPath:
    """What the proof found.

    ``way`` are the layers air passes in the longest of the shortest ways, with a point [m] in each;
    ``blocked`` are places of the patch [m] that air cannot leave, ``under`` the layer that shuts the first.
    """

    open: bool
    way: tuple[tuple[str, Point], ...]
    blocked: tuple[Point, ...]
    under: str


@remembered
def prove_air_path(sheets: Sequence[ProofSheet], patch: Outline, fittings: Sequence[Point]) -> AirPath:
    """Prove that air leaves the patch.

    Args:
        sheets: the layers over the patch, from the lowest up, without bag film and tape.
        patch: what is bonded or cured.
        fittings: where vacuum bases stand [m].

    Returns:
        the way out, or where there is none.
    """
    shapes = [_shape(s) for s in sheets]
    source = _polygon(patch)
    faces = _faces([*shapes, source])
    spots = [face.representative_point() for face in faces]
    there = [[k for k, shape in enumerate(shapes) if shape.contains(at)] for at in spots]
    nodes = {(i, k) for i, layers in enumerate(there) for k in layers if _passes(sheets[k])}
    joined: dict[tuple[int, int], set[tuple[int, int]]] = {n: set() for n in nodes}

    def join(a: tuple[int, int], b: tuple[int, int]) -> None:
        joined[a].add(b)
        joined[b].add(a)

    for i, layers in enumerate(there):
        for low, high in pairwise(layers):
            if (i, low) in nodes and (i, high) in nodes:
                join((i, low), (i, high))
    for i, j in _neighbours(faces):
        for k in set(there[i]) & set(there[j]):
            if sheets[k].air == "through and along":
                join((i, k), (j, k))
    ends = {n for n in nodes if _under_a_fitting(n, there, faces, fittings)}
    reached = _ways_to_ends(joined, ends)
    starts = [i for i, at in enumerate(spots) if source.contains(at)]
    shut = [i for i in starts if not there[i] or (i, there[i][0]) not in reached]
    if not ends or shut or not starts:
        blocked = shut or starts
        under = next((_first_solid(sheets, there[i]) for i in blocked), "")
        return AirPath(False, (), tuple((spots[i].x, spots[i].y) for i in blocked), under)
    far = max(((i, there[i][0]) for i in starts), key=lambda n: (len(_way(reached, n)), n))
    way = tuple((sheets[k].name, (spots[i].x, spots[i].y)) for i, k in _way(reached, far))
    return AirPath(True, way, (), "")


def _passes(sheet: ProofSheet) -> bool:
    return PASSES[sheet.air]


def _polygon(outline: Outline) -> Polygon:
    return Polygon(to_polygon(outline, ARC_WITHIN))


def _shape(sheet: ProofSheet) -> BaseGeometry:
    whole = unary_union([_polygon(o) for o in sheet.outlines])
    if sheet.hole is not None:
        whole = whole.difference(_polygon(sheet.hole))
    match sheet.air:
        case "none":
            return whole.buffer(LEAST_CONTACT - RIM_ROUNDING, join_style="mitre")
        case "apart" | "through" | "through and along":
            return whole
        case _:
            assert_never(sheet.air)


def _faces(shapes: Sequence[BaseGeometry]) -> list[Polygon]:
    """The parts into which the outlines of all shapes divide the plan."""
    lines = unary_union([s.boundary for s in shapes])
    return [face for face in get_parts(polygonize([lines])) if face.area > 1e-10]


def _neighbours(faces: Sequence[Polygon]) -> list[tuple[int, int]]:
    found: list[tuple[int, int]] = []
    parts, edges = np.asarray(faces, dtype=object), boundary(faces)
    for i in range(len(faces) - 1):
        near = i + 1 + np.flatnonzero(distance(parts[i], parts[i + 1 :]) < 1e-9)
        shared = length(intersection(edges[i], edges[near]))
        found += [(i, int(j)) for j in near[shared > GATE]]
    return found


def _under_a_fitting(
    node: tuple[int, int], there: list[list[int]], faces: Sequence[Polygon], fittings: Sequence[Point]
) -> bool:
    """The uppermost layer where a fitting stands."""
    i, k = node
    return k == there[i][-1] and any(faces[i].covers(Spot(at)) for at in fittings)


def _ways_to_ends(
    joined: dict[tuple[int, int], set[tuple[int, int]]], ends: set[tuple[int, int]]
) -> dict[tuple[int, int], tuple[int, int] | None]:
    """Every node that reaches an end, with the next one on its shortest way there."""
    towards: dict[tuple[int, int], tuple[int, int] | None] = dict.fromkeys(sorted(ends))
    queue = deque(sorted(ends))
    while queue:
        here = queue.popleft()
        for other in sorted(joined[here]):
            if other not in towards:
                towards[other] = here
                queue.append(other)
    return towards


def _way(
    towards: dict[tuple[int, int], tuple[int, int] | None], start: tuple[int, int]
) -> list[tuple[int, int]]:
    way: list[tuple[int, int]] = []
    here: tuple[int, int] | None = start
    while here is not None:
        way.append(here)
        here = towards[here]
    return way


def _first_solid(sheets: Sequence[ProofSheet], layers: Sequence[int]) -> str:
    return next((sheets[k].name for k in layers if sheets[k].air == "none"), "")
