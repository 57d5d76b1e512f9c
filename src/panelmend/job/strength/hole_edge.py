"""A mesh of the panel that follows the edge of a cut-out: rings round it, lines out to the panel's edges."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelmend.errors import InputError
from panelmend.physics.plate.fitted import FittedMesh
from panelmend.shapes import Outline
from panelmend.shapes.segments import Arc

Array = NDArray[np.float64]
Index = NDArray[np.int64]
CORNER_TURN = math.radians(
    3.0
)  # a corner that turns by more is a corner, where elasticity gives no finite strain
RING_GROWTH = 2.0  # of one ring on the one inside it
FIRST_RING_DEPTH = 0.1  # depth of the cells at the edge over their length
SLOPE = 0.3  # of the cells' length along the edge
CLOSER = (1, 2, 4)  # times as many cells where too few meet the corners of a long panel
EDGE_POINTS = 4000  # points along the edge
OUTSIDE, INSIDE = 0, 1  # zones


@dataclass(frozen=True, eq=False)
class HoleEdgeMesh:
    """A mesh with the cells along the hole's edge, in order round it: outside it, and inside it (none where
    nothing carries there)."""

    mesh: FittedMesh
    outside: Index
    inside: Index

    def edge_places(self, each: int = 4) -> Array:
        """Points on the edge [m], ``each`` to every cell from its first end, shape (n each, 2)."""
        ends = self.mesh.points[self.mesh.cells[self.outside][:, [0, 7, 3]]]
        t = np.arange(each) / each
        shape = np.stack([(1 - t) * (1 - 2 * t), 4 * t * (1 - t), t * (2 * t - 1)])
        return np.asarray(np.einsum("ke,mkc->mec", shape, ends).reshape(-1, 2))


@dataclass(frozen=True, eq=False)
class Edge:
    """Points [m], outward normals, radius of curvature [m] and place [m] along an outline."""

    at: Array
    normal: Array
    radius: Array
    s: Array
    length: float


def edge_of(outline: Outline) -> Edge | None:
    """The edge of a smooth outline, closely sampled; None where it has a corner or bends inwards."""
    if not outline.is_convex:
        return None
    parts = outline.segments()
    at, normal, radius, places, start = [], [], [], [], 0.0
    before = None
    for part in (*parts, parts[0]):
        first = _points_and_normals(part, np.array([0.0]))[1][0]
        if before is not None and math.acos(max(-1.0, min(1.0, float(before @ first)))) > CORNER_TURN:
            return None
        before = _points_and_normals(part, np.array([1.0]))[1][0]
    for part in parts:
        count = max(8, math.ceil(EDGE_POINTS * part.length / outline.perimeter))
        share = np.arange(count) / count
        p, n = _points_and_normals(part, share)
        at.append(p)
        normal.append(n)
        radius.append(np.full(count, part.radius if isinstance(part, Arc) else math.inf))
        places.append(start + share * part.length)
        start += part.length
    one, two, three, four = (np.concatenate(v) for v in (at, normal, radius, places))
    return Edge(one, two, three, four, start)


def _points_and_normals(part: object, share: Array) -> tuple[Array, Array]:
    """Points and outward normals at shares of a segment of a counter-clockwise outline."""
    if isinstance(part, Arc):
        a = part.start_angle + part.sweep * share
        n = np.stack([np.cos(a), np.sin(a)], 1)
        return np.array([part.cx, part.cy]) + part.radius * n, n * math.copysign(1.0, part.sweep)
    x0, y0, x1, y1 = part.x0, part.y0, part.x1, part.y1  # type: ignore[attr-defined]
    line = np.array([x1 - x0, y1 - y0])
    n = np.array([line[1], -line[0]]) / np.hypot(*line)
    return np.array([x0, y0]) + share[:, None] * line, np.broadcast_to(n, (len(share), 2))


def ring_mesh(outline: Outline, wide: float, high: float, fine: int, *, filled: bool) -> HoleEdgeMesh | None:
    """A mesh of the rectangle (0, 0) to (wide, high) [m] round an outline inside it.

    Args:
        outline: the edge of the hole, in the rectangle's axes.
        wide: of the rectangle [m].
        high: of the rectangle [m].
        fine: cells along a quarter turn of the edge.
        filled: whether something carries inside the outline too (zone 1).

    Returns:
        The mesh, or None where it can't be made: a corner, an edge that bends inwards, one that lies at the
        edge of the rectangle.
    """
    edge = edge_of(outline)
    if edge is None:
        return None
    x0, y0, x1, y1 = outline.bounds
    room = min(x0, y0, wide - x1, high - y1)
    if room <= 0.02 * max(x1 - x0, y1 - y0):
        return None
    centre = np.array(outline.centroid)
    for more in CLOSER:
        at, normal, steps = _edge_cells(edge, more * fine)
        try:
            rings = _rings(at, normal, centre, steps, wide, high, room)
            if rings is None:
                return None
            inner = _inwards(at, centre, steps) if filled else []
            middle = centre if filled else None
            return _woven([*inner, *rings], len(inner), middle, wide, high)
        except InputError:
            continue
    return None


def _inwards(at: Array, centre: Array, steps: Array) -> list[Array]:
    """Rings within the edge, the smallest first."""
    found, layer = list[Array](), 1.0
    step = float(steps.mean()) / float(np.hypot(*(at - centre).T).mean())
    while layer > 2.2 * step:
        layer -= step
        step *= RING_GROWTH
        found.append(centre + layer * (at - centre))
    return found[::-1]


def _edge_cells(edge: Edge, fine: int) -> tuple[Array, Array, Array]:
    """Ends and middles of the cells along the edge, (2 n, 2), normals there, and the cells' lengths (n,)."""
    size = np.minimum(edge.radius * (0.5 * math.pi / fine), edge.length / (4.0 * fine))
    gap = np.diff(np.append(edge.s, edge.length))
    for turn in range(2):  # no cell much longer than its neighbour, both ways round, past the start
        for order in (range(len(size)), range(len(size) - 1, -1, -1)):
            last = math.inf
            for k in order:
                last = min(size[k], last + SLOPE * gap[k])
                size[k] = last
        half = len(size) // 2 if turn == 0 else len(size) - len(size) // 2
        size, gap = np.roll(size, half), np.roll(gap, half)
    mass = np.concatenate([[0.0], np.cumsum(gap / size)])
    count = 4 * math.ceil(mass[-1] / 4.0)
    places = np.append(edge.s, edge.length)
    wanted = np.interp(np.arange(2 * count) / (2 * count) * mass[-1], mass, places)
    at = np.stack([_round(edge, wanted, edge.at[:, k]) for k in (0, 1)], 1)
    normal = np.stack([_round(edge, wanted, edge.normal[:, k]) for k in (0, 1)], 1)
    ends = np.append(wanted[::2], edge.length + wanted[0])
    return at, normal / np.hypot(*normal.T)[:, None], np.diff(ends)


def _round(edge: Edge, at: Array, values: Array) -> Array:
    return np.asarray(np.interp(at, np.append(edge.s, edge.length), np.append(values, values[0])))


def _rings(
    at: Array, normal: Array, centre: Array, steps: Array, wide: float, high: float, room: float
) -> list[Array] | None:
    """Rings from the edge outwards, the last one on the rectangle; each (2 n, 2)."""
    size = float(np.hypot(*(at - centre).T).max())
    reach, first = min(0.6 * size, 0.5 * room), FIRST_RING_DEPTH * float(steps.min())
    widths = [first]
    while sum(widths) < reach:
        widths.append(min(widths[-1] * RING_GROWTH, float(steps.max()) * 1.5))
    heights = np.cumsum(widths) * (reach / sum(widths))
    rings = [at, *(at + h * normal for h in heights)]
    last = rings[-1]
    angle = np.unwrap(np.arctan2(*(last - centre).T[::-1]))
    if (np.diff(angle) <= 0.0).any() or angle[-1] - angle[0] >= 2.0 * math.pi:
        return None
    frame = _on_rectangle(angle, centre, wide, high)
    far = np.hypot(*(frame - last).T)
    # as many layers as the longest way asks for
    step, left, count = float(heights[-1] - heights[-2]) if len(heights) > 1 else float(reach), 0.0, 0
    shares = []
    while left < float(far.max()):
        step *= RING_GROWTH
        left += step
        count += 1
        shares.append(left)
    return [*rings, *(last + t / shares[-1] * (frame - last) for t in shares)]


def _on_rectangle(angle: Array, centre: Array, wide: float, high: float) -> Array:
    """Where lines from the centre meet the rectangle; the cells' ends nearest to its corners lie in them."""
    corners = np.array([[0.0, 0.0], [wide, 0.0], [wide, high], [0.0, high]])
    wanted = np.arctan2(*(corners - centre).T[::-1])
    ends, count = angle[::2], len(angle) // 2
    knots: dict[int, float] = {}
    for w in wanted:
        turn = w + 2.0 * math.pi * np.round((ends - w) / (2.0 * math.pi))
        k = int(np.argmin(abs(ends - turn)))
        knots[2 * k] = float(turn[k])
    if len(knots) < 4:
        raise InputError("a hole whose cells miss the corners of the panel")
    index = np.array(sorted(knots))
    target = np.array([knots[k] for k in index])
    index = np.concatenate([[index[-1] - 2 * count], index, [index[0] + 2 * count]])
    target = np.concatenate([[target[-1] - 2 * math.pi], target, [target[0] + 2 * math.pi]])
    # between two corners the cells keep their shares of the angle
    made = np.empty(2 * count)
    long = np.concatenate([angle - 2 * math.pi, angle, angle + 2 * math.pi])
    for a, b, ta, tb in zip(index[:-1], index[1:], target[:-1], target[1:], strict=True):
        some = np.arange(max(a, 0), min(b, 2 * count))
        share = (long[some + 2 * count] - long[a + 2 * count]) / (long[b + 2 * count] - long[a + 2 * count])
        made[some] = ta + share * (tb - ta)
    c, s = np.cos(made), np.sin(made)
    with np.errstate(divide="ignore"):
        x = np.where(c > 0, (wide - centre[0]) / c, np.where(c < 0, -centre[0] / c, np.inf))
        y = np.where(s > 0, (high - centre[1]) / s, np.where(s < 0, -centre[1] / s, np.inf))
    found = centre + np.minimum(x, y)[:, None] * np.stack([c, s], 1)
    for k, w in zip(sorted(knots), (knots[j] for j in sorted(knots)), strict=True):
        found[k] = corners[int(np.argmin(abs(np.exp(1j * w) - np.exp(1j * wanted))))]
    found = np.clip(found, 0.0, [wide, high])
    found[1::2] = 0.5 * (found[::2] + np.roll(found[::2], -1, axis=0))
    return np.asarray(found)


def _woven(rings: list[Array], edge: int, centre: Array | None, wide: float, high: float) -> HoleEdgeMesh:
    """Cells between rings, the one numbered ``edge`` on the edge; middles across are half-way."""
    count = len(rings[0]) // 2
    points: list[Array] = []
    number, first = 0, list[int]()
    across: list[int] = []
    for k, ring in enumerate(rings):
        first.append(number)
        points.append(ring)
        number += 2 * count
        if k + 1 < len(rings):
            across.append(number)
            points.append(0.5 * (ring[::2] + rings[k + 1][::2]))
            number += count
    i = np.arange(count)
    nxt = (i + 1) % count
    cells, zone = list[Array](), list[Array]()
    if centre is not None:
        points.append(np.array([centre]))
        middle = number
        points.append(0.5 * (centre + rings[0][::2]))
        spoke = number + 1
        hub = np.full(count, middle)
        a = first[0]
        # the side at the centre has no length
        cells.append(
            np.stack([hub, a + 2 * i, a + 2 * nxt, hub, spoke + i, a + 2 * i + 1, spoke + nxt, hub], 1)
        )
        zone.append(np.full(count, INSIDE))
    for k in range(len(rings) - 1):
        a, b, m = first[k], first[k + 1], across[k]
        cells.append(
            np.stack(
                [
                    a + 2 * i,
                    b + 2 * i,
                    b + 2 * nxt,
                    a + 2 * nxt,
                    m + i,
                    b + 2 * i + 1,
                    m + nxt,
                    a + 2 * i + 1,
                ],
                1,
            )
        )
        zone.append(np.full(count, OUTSIDE if k >= edge else INSIDE))
    whole = np.concatenate(points)
    last = first[-1]
    triples = np.stack([last + 2 * i, last + 2 * i + 1, last + 2 * nxt], 1)
    sides = {}
    for side, part, value in (("left", 0, 0.0), ("right", 0, wide), ("bottom", 1, 0.0), ("top", 1, high)):
        on = (abs(whole[triples, part] - value) < 1e-9 * max(wide, high)).all(axis=1)
        sides[side] = triples[on]
    made = FittedMesh(
        whole, np.concatenate(cells).astype(np.int64), np.concatenate(zone).astype(np.int64), sides
    )
    start = (edge + (centre is not None)) * count
    inside = np.arange(start - count, start) if centre is not None else np.zeros(0, np.int64)
    return HoleEdgeMesh(made, np.arange(start, start + count), inside)
