"""Cloth on a doubly curved surface: the fishnet, whose yarns keep their length and turn where they cross.

Two first yarns lie along straightest lines through the reference point, square to each other. Every further
crossing is one yarn spacing from its two neighbours and on the surface. What it gives is geometry: no
friction, no slip, no yarn stiffness and no locking, and another way of smoothing the cloth down gives other
angles. (Sum rule, Hazzidakis: the shear at a crossing is the Gaussian curvature summed over the block
between it and the first yarns; the tests hold the net to it.)
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING

import numpy as np

from panelmend.errors import RangeError, SolverError
from panelmend.shapes.torus import Array, Torus
from panelmend.units import show

if TYPE_CHECKING:
    from scipy.interpolate import RectBivariateSpline

QUARTER_CELLS = 32  # of a quarter of the net, each way
NEWTON_ROUNDS = 12  # of Newton's method for a crossing
CROSSING_WITHIN = 1e-13  # of the largest radius: a crossing is there
CLOSED_SHEAR = math.radians(85.0)  # yarns sheared so far have closed; what lies beyond is folded


@dataclass(frozen=True)
class Net:
    """A draped net: crossing (i, j) has the yarn lengths ``yarn[i]``, ``yarn[j]`` [m] from the first yarns.

    ``u`` and ``v`` are where the crossings lie in developed coordinates along and across the axis [m];
    ``shear`` holds 90 degrees less the angle between the yarns [rad] in the middle of each cell, positive
    where the yarns close towards the quarter with both lengths positive.
    """

    yarn: Array
    u: Array
    v: Array
    shear: Array
    area: Array

    @cached_property
    def _splines(self) -> tuple[RectBivariateSpline, RectBivariateSpline, RectBivariateSpline]:
        from scipy.interpolate import RectBivariateSpline  # late: only a double bend needs it

        middle = 0.5 * (self.yarn[1:] + self.yarn[:-1])
        return (
            RectBivariateSpline(self.yarn, self.yarn, self.u),
            RectBivariateSpline(self.yarn, self.yarn, self.v),
            RectBivariateSpline(middle, middle, self.shear),
        )

    def shear_at(self, p: Array, q: Array) -> Array:
        """Shear [rad], shape of p, at yarn lengths p along the warp and q along the fill [m]."""
        return np.asarray(self._splines[2](p, q, grid=False))

    def lengths_at(self, u: Array, v: Array, warp: float) -> tuple[Array, Array]:
        """Yarn lengths p, q [m] of developed places u, v [m]; ``warp`` [rad] from the axis.

        Raises:
            RangeError: a place the net doesn't reach.
        """
        c, s = math.cos(warp), math.sin(warp)
        p, q = c * u + s * v, c * v - s * u
        end = float(self.yarn[-1])
        along, across, _ = self._splines
        for _ in range(40):
            p, q = np.clip(p, -end, end), np.clip(q, -end, end)
            du, dv = u - along(p, q, grid=False), v - across(p, q, grid=False)
            a, b = along(p, q, dx=1, grid=False), along(p, q, dy=1, grid=False)
            d, e = across(p, q, dx=1, grid=False), across(p, q, dy=1, grid=False)
            det = a * e - b * d
            step_p, step_q = (e * du - b * dv) / det, (a * dv - d * du) / det
            p, q = p + step_p, q + step_q
            if float(np.max(np.hypot(du, dv), initial=0.0)) < 1e-10:
                return p, q
        raise RangeError("the draped net does not reach the edge of the piece; it is sheared too far")


@lru_cache(maxsize=64)
def drape(surface: Torus, warp: float, reach: float, cells: int = QUARTER_CELLS) -> Net:
    """The net with its warp at ``warp`` [rad] from the axis at the reference point.

    Args:
        surface: what the cloth is laid on.
        warp: from the axis, on the surface [rad].
        reach: how far the net goes along its yarns each way from the reference point [m].
        cells: in each quarter, each way.

    Raises:
        RangeError: yarns that close or part altogether before the net is complete, or a surface that is not
            known so far out.
        SolverError: a crossing that was not found.
    """
    if not (math.isfinite(reach) and reach > 0.0 and cells >= 4):
        raise RangeError(f"a net of {cells} cells over {reach} m is none")
    h = reach / cells
    every = max(1, math.ceil(64 / cells))
    axes = surface.geodesic((0.0, 0.0), warp + 0.5 * math.pi * np.arange(4), reach, cells * every)[::every]
    first = surface.embedded(axes[..., 0], axes[..., 1])  # (cells + 1, 4, 3)
    chords = np.linalg.norm(np.diff(first, axis=0), axis=-1).T  # of each first yarn, spacing by spacing
    next_ = chords[[1, 2, 3, 0]]
    n = cells + 1
    net = np.full((4, n, n, 3), np.nan)  # quarter k lies between first yarns k and k + 1
    net[:, :, 0] = np.moveaxis(first, 1, 0)
    net[:, 0, :] = np.moveaxis(first[:, [1, 2, 3, 0]], 1, 0)
    for total in range(2, 2 * n - 1):
        i = np.arange(max(1, total - cells), min(cells, total - 1) + 1)
        j = total - i
        net[:, i, j] = _next_places(
            surface,
            (net[:, i - 1, j], chords[:, i - 1]),
            (net[:, i, j - 1], next_[:, j - 1]),
            net[:, i - 1, j - 1],
        )
    whole = _whole_net(net, cells)
    u, v = surface.flattened(whole)
    shear, area = _shear_and_area(whole)
    if float(np.max(np.abs(shear))) > CLOSED_SHEAR:
        raise _closed(surface)
    yarn = np.asarray(h * np.arange(-cells, cells + 1), dtype=np.float64)
    return Net(yarn, u, v, shear, area)


def _next_places(
    surface: Torus, one: tuple[Array, Array], other: tuple[Array, Array], behind: Array
) -> Array:
    """Places on the surface at given distances [m] from two neighbours, on the other side from ``behind``.

    A spacing is as long in space as the same spacing of the first yarn: yarns bend alike all along.
    """
    (a, near), (b, far) = one, other
    p = a + b - behind
    for _ in range(NEWTON_ROUNDS):
        value, gradient = surface.off(p)
        scale = 2.0 * surface.radius
        rows = np.stack([(p - a) / near[..., None], (p - b) / far[..., None], gradient / scale], axis=-2)
        miss = np.stack(
            [
                (np.sum((p - a) ** 2, -1) - near**2) / (2.0 * near),
                (np.sum((p - b) ** 2, -1) - far**2) / (2.0 * far),
                value / scale,
            ],
            axis=-1,
        )
        try:
            step = np.linalg.solve(rows, miss[..., None])[..., 0]
        except np.linalg.LinAlgError:
            break
        p = p - step
        if not np.all(np.isfinite(p)):
            break
        if float(np.max(np.abs(step), initial=0.0)) < CROSSING_WITHIN * (
            1.0 + surface.radius + surface.second
        ):
            if float(np.min(np.linalg.norm(p - behind, axis=-1) / near)) < 0.1:
                break  # the yarns have folded onto each other
            return np.asarray(p)
    raise _closed(surface)


def _closed(surface: Torus) -> RangeError:
    return RangeError(
        f"cloth can't be laid so far over radii of {show(surface.radius, 'length')} and "
        f"{show(surface.second, 'length')}: its yarns close or part altogether before the edge"
    )


def _whole_net(net: Array, cells: int) -> Array:
    """The four quarters as one net over warp (first axis) and fill (second axis)."""
    n = cells
    whole = np.empty((2 * n + 1, 2 * n + 1, 3))
    whole[n:, n:] = net[0]
    whole[: n + 1, n:] = np.swapaxes(net[1], 0, 1)[::-1, :]
    whole[: n + 1, : n + 1] = net[2][::-1, ::-1]
    whole[n:, : n + 1] = np.swapaxes(net[3], 0, 1)[:, ::-1]
    if not np.all(np.isfinite(whole)):
        raise SolverError("a crossing of the net was not found")
    return whole


def _shear_and_area(whole: Array) -> tuple[Array, Array]:
    """Shear [rad] and area [m2] of every cell, from its two diagonals."""
    near = np.linalg.norm(whole[1:, 1:] - whole[:-1, :-1], axis=-1)
    far = np.linalg.norm(whole[1:, :-1] - whole[:-1, 1:], axis=-1)
    return 0.5 * math.pi - 2.0 * np.arctan2(far, near), 0.5 * near * far
