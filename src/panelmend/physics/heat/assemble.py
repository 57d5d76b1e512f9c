"""From layers to numbers: capacities, conductances, outer faces, all in J/K and W/K per cell."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from panelmend.errors import InputError
from panelmend.physics.heat.grid import Array
from panelmend.physics.heat.model import FaceCover, HeatLayer, HeatModel, Map

Index = NDArray[np.int64]
CELLS_AT_ONCE = 384  # cells worked on at once: vectors long enough, and still in the nearest cache
VOID = 1e-9  # J/K, stands for "no capacity" where a layer is absent
TABLE = (150.0, 4.0, 238)  # K, K, points: surface temperatures at which covers are tabled


@dataclass(frozen=True, eq=False)
class Solid:
    """Cells of the panel, shape (nz, ny, nx)."""

    capacity: Array  # [J/K]
    g_x: Array  # to the next cell along x [W/K], 0 at the last
    g_y: Array
    g_z: Array
    present: NDArray[np.bool_]
    thickness: Array  # of each cell [m]
    k_z: Array


def full(value: Map, shape: tuple[int, int], what: str, *, zero: bool = False) -> Array:
    """A map at grid shape (ny, nx) [its own unit], checked for its sign.

    Raises:
        InputError: wrong shape, not finite, negative, or zero where that is not allowed.
    """
    if isinstance(value, float) and math.isfinite(value) and (value > 0.0 or (zero and value == 0.0)):
        return np.full(shape, value)
    try:
        made = np.array(np.broadcast_to(np.asarray(value, dtype=float), shape))
    except ValueError:
        raise InputError(
            f"{what}: map of another shape than the grid", read=f"{np.shape(value)}", expected=f"{shape}"
        ) from None
    if not np.all(np.isfinite(made)) or np.any(made < 0.0) or (not zero and np.any(made <= 0.0)):
        raise InputError(
            f"{what} must be {'zero or ' if zero else ''}positive everywhere", read=f"{made.min():g}"
        )
    return made


def _stacked(model: HeatModel, name: str, *, zero: bool = False) -> Array:
    shape = model.grid.shape
    rows = []
    for layer in model.layers:
        made = full(getattr(layer, name), shape, f"{layer.name} {name}", zero=zero)
        if name == "thickness":
            made = made / layer.cells
        rows += [made] * layer.cells
    return np.array(rows)


def solid(model: HeatModel) -> Solid:
    """Capacities and conductances of every cell.

    Args:
        model: what to solve.

    Returns:
        cells [J/K, W/K].

    Raises:
        InputError: a value of the wrong sign or shape, or a place with no layer at all.

    Source: finite volumes; conductances in series between cell centres.
    """
    if not model.layers or len({x.name for x in model.layers}) < len(model.layers):
        raise InputError("layers are needed, each with a name of its own")
    area, dx, dy = model.grid.area, model.grid.dx, model.grid.dy
    h = _stacked(model, "thickness", zero=True)
    present = h > 0.0
    if not present.any(axis=0).all():
        raise InputError("there is a place with no layer at all")
    kx, ky, kz = (_stacked(model, n, zero=n != "k_z") for n in ("k_x", "k_y", "k_z"))
    rc = _stacked(model, "heat")
    capacity = np.where(present, rc * h * area, VOID)
    for first, layer in zip(_firsts(model), model.layers, strict=True):
        if layer.water is not None:
            mass = full(layer.water.mass, model.grid.shape, f"{layer.name} water", zero=True)
            for k in range(first, first + layer.cells):
                capacity[k] += mass * h[k] * area * WATER_HEAT
    with np.errstate(divide="ignore", invalid="ignore"):
        rx = np.where(present & (kx > 0.0), 0.5 * dx / (kx * h * dy[:, None]), np.inf)
        ry = np.where(present & (ky > 0.0), 0.5 * dy[:, None] / (ky * h * dx), np.inf)
    g_x, g_y = np.zeros_like(h), np.zeros_like(h)
    g_x[:, :, :-1] = 1.0 / (rx[:, :, :-1] + rx[:, :, 1:])
    g_y[:, :-1, :] = 1.0 / (ry[:, :-1, :] + ry[:, 1:, :])
    g_z = _vertical(model, h, kz, present, area)
    return Solid(capacity, g_x, g_y, g_z, present, h, kz)


def where(made: Solid) -> tuple[Index, Array, Index, Index, Index]:
    """Where there is something to work on; the rest of the grid is left alone.

    Args:
        made: the cells [J/K, W/K].

    Returns:
        numbers of cells of absent layers between two that are there, from above down (n,); what the
        temperature above counts in each, the rest is that below (n,); blocks of rows, of each layer the first
        cell whose column reaches it, one beyond the last, and where the block begins (blocks, nz, 3); rows by
        fours for the sweep along x: layer, row, first cell, one beyond the last (n, 4); of every layer first
        row, one beyond the last, and the same of cells (nz, 4) [1].
    """
    there = made.present
    nz, ny, nx = there.shape
    reached = np.maximum.accumulate(there, 0) & np.maximum.accumulate(there[::-1], 0)[::-1]
    between = np.flatnonzero(reached & ~there).astype(np.int64)
    joined = made.g_z.reshape(-1)
    above, below = joined[between - ny * nx], joined[between]
    span = []
    beside = max(1, CELLS_AT_ONCE // nx)
    for j in range(0, ny, beside):
        begins, ends = _first_and_past(reached[:, j : j + beside].reshape(nz, -1))
        span.append(np.stack((begins + j * nx, ends + j * nx, np.full(nz, j * nx)), axis=-1))
    first, last = _first_and_past(there)
    fours = []
    for j in range(0, ny, 4):
        low, high = first[:, j : j + 4].min(axis=1), last[:, j : j + 4].max(axis=1)
        fours += [(k, j, low[k], high[k]) for k in range(nz) if low[k] < high[k]]
    rows, cells = (_first_and_past(np.asarray(there.any(axis=axis))) for axis in (2, 1))
    boxes = np.stack((*rows, *cells), axis=-1)
    return (
        between,
        above / (above + below),
        np.array(span, dtype=np.int64),
        np.array(fours, dtype=np.int64).reshape(-1, 4),
        np.ascontiguousarray(boxes),
    )


def _first_and_past(there: NDArray[np.bool_]) -> tuple[Index, Index]:
    """First index along the last axis, and one beyond the last; a row with nothing has its length and 0."""
    some, length = there.any(axis=-1), there.shape[-1]
    first = np.where(some, there.argmax(axis=-1), length)
    last = np.where(some, length - there[..., ::-1].argmax(axis=-1), 0)
    return first.astype(np.int64), last.astype(np.int64)


WATER_HEAT = 4190.0  # J/(kg K), liquid water near 50 C


def _firsts(model: HeatModel) -> list[int]:
    """Index of the first cell of each layer."""
    return [sum(x.cells for x in model.layers[:i]) for i in range(len(model.layers))]


def _vertical(model: HeatModel, h: Array, kz: Array, present: NDArray[np.bool_], area: Array) -> Array:
    """Conductances downwards; across absent cells the whole resistance is shared out evenly."""
    nz = len(h)
    half = np.where(present, 0.5 * h / kz, 0.0) / area
    contact = np.zeros_like(h)
    for first, layer in zip(_firsts(model), model.layers, strict=True):
        contact[first + layer.cells - 1] = (
            full(layer.contact, model.grid.shape, f"{layer.name} contact", zero=True) / area
        )
    g = np.zeros_like(h)
    for a in range(nz - 1):
        clear = present[a]
        for b in range(a + 1, nz):
            joined = clear & present[b]
            with np.errstate(divide="ignore"):
                between = (b - a) / (half[a] + contact[a] + half[b])
            g[a:b] = np.where(joined, between, g[a:b])
            clear = clear & ~present[b]
            if not clear.any():
                break
    return g


@dataclass(frozen=True, eq=False)
class Faces:
    """Outer faces of the cells."""

    size: Array  # area [m2] and resistance to the cell centre [m2 K/W], shape (n, 2)
    cell: Index
    cover: Index
    table: Array  # film coefficient by cover and surface temperature [W/(m2 K)]
    start_air: Array  # [K]


def faces(model: HeatModel, made: Solid) -> Faces:
    """Top, bottom and edge faces with their covers.

    Args:
        model: what to solve.
        made: its cells.

    Returns:
        faces [m2, m2 K/W].

    Raises:
        InputError: a cover that does not exist.
    """
    nz, ny, nx = made.capacity.shape
    flat = np.arange(nz * ny * nx).reshape(nz, ny, nx)
    column = np.arange(ny)[:, None], np.arange(nx)[None, :]
    upper = made.present.argmax(axis=0)
    lower = nz - 1 - made.present[::-1].argmax(axis=0)
    parts: list[tuple[Array, Array, Index, Index]] = []
    area = model.grid.area
    for place, cover in ((upper, model.top), (lower, model.bottom)):
        which = np.array(np.broadcast_to(np.asarray(cover, dtype=np.int64), (ny, nx)))
        resistance = 0.5 * made.thickness[place, *column] / made.k_z[place, *column]
        parts.append((area, resistance, flat[place, *column], which))
    if model.edges is not None:
        parts += _edges(model, made, flat)
    size = np.array(
        [np.concatenate([np.ravel(p[0]) for p in parts]), np.concatenate([np.ravel(p[1]) for p in parts])]
    ).T.copy()
    cell = np.concatenate([np.ravel(p[2]) for p in parts])
    cover_of = np.concatenate([np.ravel(p[3]) for p in parts])
    if cover_of.min() < 0 or cover_of.max() >= len(model.covers):
        raise InputError("a face names a cover that does not exist", read=f"{cover_of.max()}")
    keep = np.array([c.film != 0.0 or c.emissivity > 0.0 or c.draught > 0.0 for c in model.covers])[cover_of]
    table = np.array([_table(c) for c in model.covers])
    air = np.array([c.air for c in model.covers])
    return Faces(size[keep].copy(), cell[keep].copy(), cover_of[keep].copy(), table, air)


@lru_cache(maxsize=256)
def _table(cover: FaceCover) -> Array:
    return cover.coefficients(TABLE[0] + TABLE[1] * np.arange(TABLE[2], dtype=float))


def _edges(model: HeatModel, made: Solid, flat: Index) -> list[tuple[Array, Array, Index, Index]]:
    """Faces round the rim, for the layers that are there."""
    assert model.edges is not None
    parts = []
    dx, dy = model.grid.dx, model.grid.dy
    kx, ky = _stacked(model, "k_x", zero=True), _stacked(model, "k_y", zero=True)
    for side, cover in enumerate(model.edges):
        at = 0 if side % 2 == 0 else -1
        take = (slice(None), slice(None), at) if side < 2 else (slice(None), at, slice(None))
        width, k = (dx[at], kx[take]) if side < 2 else (dy[at], ky[take])
        run = dy if side < 2 else dx
        there = made.present[take] & (k > 0.0)
        area = (made.thickness[take] * run)[there]
        parts.append((area, 0.5 * width / k[there], flat[take][there], np.full(int(there.sum()), cover)))
    return parts


def bond_layers(model: HeatModel) -> list[tuple[int, HeatLayer]]:
    """Layers that cure, each with the index of its first cell."""
    return [(k, x) for k, x in zip(_firsts(model), model.layers, strict=True) if x.resin is not None]


def wet_layers(model: HeatModel) -> list[tuple[int, HeatLayer]]:
    """Layers that hold water, each with the index of its first cell."""
    return [(k, x) for k, x in zip(_firsts(model), model.layers, strict=True) if x.water is not None]
