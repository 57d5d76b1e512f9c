"""Supports and loads of a plate."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from panelmend.errors import InputError
from panelmend.physics.plate.grid import Index, PlateGrid
from panelmend.physics.structure_inputs import Array, finite, positive

SIDES = ("left", "right", "bottom", "top")  # x least, x most, y least, y most
DOFS = ("u", "v", "w", "px", "py")
ON_EDGE = 1e-9  # [m] a point so little past the edge lies on it


@dataclass(frozen=True)
class Support:
    """What an edge holds: prescribed displacement of u, v, w [m] and rotations px, py [1]; None is free."""

    u: float | None = None
    v: float | None = None
    w: float | None = None
    px: float | None = None
    py: float | None = None

    def __post_init__(self) -> None:
        for name in DOFS:
            value = getattr(self, name)
            if value is not None:
                finite(value, f"prescribed {name}", "m or 1")


CLAMPED = Support(0.0, 0.0, 0.0, 0.0, 0.0)
CLAMPED_IN_BENDING = Support(w=0.0, px=0.0, py=0.0)


def simple(side: str, *, soft: bool = False) -> Support:
    """Simple support of an edge: w held, and the rotation along the edge too unless ``soft``."""
    if soft:
        return Support(w=0.0)
    return Support(w=0.0, py=0.0) if side in ("left", "right") else Support(w=0.0, px=0.0)


@dataclass(frozen=True)
class PointSupport:
    """A fastener at ``x``, ``y`` [m]: springs ``kz`` out of and ``kxy`` [N/m] in the plane; None is rigid."""

    x: float
    y: float
    kz: float | None = None
    kxy: float | None = None

    def __post_init__(self) -> None:
        finite(self.x, "fastener x", "m")
        finite(self.y, "fastener y", "m")
        for name in ("kz", "kxy"):
            if getattr(self, name) is not None:
                positive(getattr(self, name), f"fastener {name}", "N/m")


@dataclass(frozen=True)
class EdgeLoad:
    """Running loads on an edge, positive along the axes: ``fx fy fz`` [N/m]; moments ``mx my`` [N] that work
    on px and py (so a positive Mx of the plate is mx > 0 on the right edge and mx < 0 on the left).
    """

    fx: float = 0.0
    fy: float = 0.0
    fz: float = 0.0
    mx: float = 0.0
    my: float = 0.0

    def __post_init__(self) -> None:
        for name in ("fx", "fy", "fz", "mx", "my"):
            finite(getattr(self, name), f"edge load {name}", "N/m or N")


@dataclass(frozen=True)
class PlateLoads:
    """One load case: supports of the four edges (missing: free), fasteners, edge loads, point loads
    (x, y, force along z [N]) and ``pressure`` [Pa] along z, one number or (ny, nx).
    """

    edges: dict[str, Support] = field(default_factory=dict)
    fasteners: Sequence[PointSupport] = ()
    edge_loads: dict[str, EdgeLoad] = field(default_factory=dict)
    point_loads: Sequence[tuple[float, float, float]] = ()
    pressure: float | Array = 0.0

    def __post_init__(self) -> None:
        for name in (*self.edges, *self.edge_loads):
            if name not in SIDES:
                raise InputError("unknown edge", read=repr(name), expected=", ".join(SIDES))


def edge_nodes(grid: PlateGrid, side: str) -> Index:
    """Node numbers along an edge."""
    nx1, ny1 = grid.x.size, grid.y.size
    number = np.arange(nx1 * ny1).reshape(ny1, nx1)
    picked = {"left": number[:, 0], "right": number[:, -1], "bottom": number[0], "top": number[-1]}
    return np.asarray(picked[side])


def uniform_edges(
    Nx: float = 0.0, Ny: float = 0.0, Nxy: float = 0.0, Mx: float = 0.0, My: float = 0.0
) -> dict[str, EdgeLoad]:
    """Edge loads in balance for running loads Nx, Ny, Nxy [N/m] and moments Mx, My [N] of the whole plate."""
    return {
        "left": EdgeLoad(fx=-Nx, fy=-Nxy, mx=-Mx),
        "right": EdgeLoad(fx=Nx, fy=Nxy, mx=Mx),
        "bottom": EdgeLoad(fx=-Nxy, fy=-Ny, my=-My),
        "top": EdgeLoad(fx=Nxy, fy=Ny, my=My),
    }


def load_vector(grid: PlateGrid, case: PlateLoads) -> Array:
    """Consistent node loads, shape (nodes, 5) [N, N m].

    Raises:
        InputError: a pressure that is not finite.
    """
    ny, nx = grid.shape
    f = np.zeros((ny + 1, nx + 1, 5))
    p = np.broadcast_to(np.asarray(case.pressure, dtype=float), (ny, nx))
    if not np.isfinite(p).all():
        raise InputError("pressure must be finite")
    quarter = p * np.diff(grid.y)[:, None] * np.diff(grid.x)[None, :] / 4.0
    for j in (slice(None, -1), slice(1, None)):
        for i in (slice(None, -1), slice(1, None)):
            f[j, i, 2] += quarter
    flat = f.reshape(-1, 5)
    for side, load in case.edge_loads.items():
        nodes = edge_nodes(grid, side)
        steps = np.diff(grid.y if side in ("left", "right") else grid.x)
        share = (np.append(steps, 0.0) + np.append(0.0, steps)) / 2.0
        flat[nodes] += share[:, None] * np.array([load.fx, load.fy, load.fz, load.mx, load.my])
    for x, y, force in case.point_loads:
        nodes, weight = node_weights(grid, x, y)
        flat[nodes, 2] += weight * finite(force, "point load", "N")
    return flat


def node_weights(grid: PlateGrid, x: float, y: float) -> tuple[Index, Array]:
    """Four nodes round a point [m] and their weights [1].

    Raises:
        InputError: the point lies off the plate.
    """
    # an edge that was computed may miss the corner it stands for by its last digit
    u, v = min(max(x, grid.x[0]), grid.x[-1]), min(max(y, grid.y[0]), grid.y[-1])
    if not (abs(u - x) <= ON_EDGE and abs(v - y) <= ON_EDGE):
        raise InputError("a point off the plate", read=f"({x:g}, {y:g}) m", todo="check the panel's axes")
    x, y = float(u), float(v)
    i = min(int(np.searchsorted(grid.x, x, side="right")) - 1, grid.x.size - 2)
    j = min(int(np.searchsorted(grid.y, y, side="right")) - 1, grid.y.size - 2)
    a = (x - grid.x[i]) / (grid.x[i + 1] - grid.x[i])
    b = (y - grid.y[j]) / (grid.y[j + 1] - grid.y[j])
    base = j * grid.x.size + i
    nodes = np.array([base, base + 1, base + grid.x.size + 1, base + grid.x.size])
    return nodes, np.array([(1 - a) * (1 - b), a * (1 - b), a * b, (1 - a) * b])
