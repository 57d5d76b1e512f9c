"""Plates with a hole, for the tests of the mesh that follows its edge."""

from __future__ import annotations

import math

import numpy as np

from panelmend.job.strength.hole_edge import INSIDE, ring_mesh
from panelmend.physics.plate import PlateLoads, PlateSection, simple, uniform_edges
from panelmend.physics.plate.fitted import along_edge, solve_fitted
from panelmend.shapes import Outline, Vertex, outline

WIDE = 3.0  # m: thirty times the holes of the tests, next to endless
QUARTER = math.sqrt(2.0) - 1.0
HELD = {s: simple(s) for s in ("left", "right", "bottom", "top")}
Array = np.ndarray


def rounded(along: float, across: float, radius: float) -> Outline:
    """A rectangle 2 along (x) by 2 across (y) [m] in the middle of the plate, its corners rounded."""
    c, a, b, r = WIDE / 2, along, across, radius
    ends = [
        (a - r, -b),
        (a, -b + r),
        (a, b - r),
        (a - r, b),
        (-a + r, b),
        (-a, b - r),
        (-a, -b + r),
        (-a + r, -b),
    ]
    made = [Vertex(c + x, c + y, QUARTER if k % 2 == 0 else 0.0) for k, (x, y) in enumerate(ends)]
    kept = [
        v for v, w in zip(made, made[1:] + made[:1], strict=True) if math.hypot(v.x - w.x, v.y - w.y) > 1e-9
    ]
    return outline(kept)


def sheet(ex: float, ey: float, g: float, nu: float, share: float = 1.0) -> PlateSection:
    """A thin sheet 1 mm thick; ``share`` of its stiffness."""
    q = np.array([[ex, nu * ey, 0.0], [nu * ey, ey, 0.0], [0.0, 0.0, g * (1 - nu * nu * ey / ex)]])
    q = share * q / (1 - nu * nu * ey / ex)
    t = 1e-3
    return PlateSection(q * t, np.zeros((3, 3)), q * t**3 / 12, share * g * t * 5 / 6 * np.eye(2))


def edge_stress(
    hole: Outline, whole: PlateSection, fine: int, within: PlateSection | None = None, *, inside: bool = False
) -> tuple[Array, Array]:
    """Places on the edge [m] and running loads (n, 3) there over the pull of 1 along x, far away."""
    rings = ring_mesh(hole, WIDE, WIDE, fine, filled=within is not None)
    assert rings is not None
    case = PlateLoads(HELD, edge_loads=uniform_edges(1e3, 0.0, 0.0))
    sections = (whole, within if within is not None else whole)
    answer = solve_fitted(rings.mesh, sections, [case])[0]
    cells = rings.inside if inside else rings.outside
    eps = along_edge(answer.eps, cells, outward=not inside)
    return rings.edge_places(), eps @ sections[INSIDE if inside else 0].A / 1e3


def peak(runs: Array) -> float:
    """The largest principal running load."""
    mean, half = (runs[:, 0] + runs[:, 1]) / 2, (runs[:, 0] - runs[:, 1]) / 2
    return float((mean + np.hypot(half, runs[:, 2])).max())
