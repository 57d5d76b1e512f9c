"""The field of a temperature map: where it is above a temperature, its isolines, its hottest and coldest
place."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import contourpy
import numpy as np
from numpy.typing import NDArray
from shapely import Polygon, box

from panelmend.job.cure.prediction import HeatMap
from panelmend.shapes import Outline, Point

Array = NDArray[np.float64]
Ring = tuple[Point, ...]
_NEAR = 2e-4  # [m] how far a drawn isoline may lie from the interpolated one


@dataclass(frozen=True)
class Field:
    """A map as a field that can be drawn: points in standard axes, temperatures in K."""

    map: HeatMap
    frame: tuple[Point, float]  # centre [m] and direction [rad] of the map's u

    @cached_property
    def cells(self) -> tuple[Array, Array, Array]:
        """Centres along u and v [m], and the temperature there [K], NaN where there is nothing."""
        kelvin = np.array(
            [[math.nan if k is None else k for k in row] for row in self.map.kelvin], dtype=float
        )
        u, v = np.array(self.map.u, dtype=float), np.array(self.map.v, dtype=float)
        rows, columns = kelvin.shape
        u = 0.5 * (u[1:] + u[:-1]) if len(u) == columns + 1 else u
        v = 0.5 * (v[1:] + v[:-1]) if len(v) == rows + 1 else v
        return u, v, kelvin

    @cached_property
    def nodes(self) -> tuple[Array, Array, Array]:
        """The same with values on the lines between cells too, so that every cell is filled to its edges.

        Between two centres values run straight; where one side has nothing, the other's value reaches the
        line."""
        u, v, kelvin = self.cells
        kelvin = _between(kelvin, u, self.map.u)
        kelvin = _between(kelvin.T, v, self.map.v).T
        return _refined(u, self.map.u), _refined(v, self.map.v), kelvin

    def place(self, u: float, v: float) -> Point:
        """A point of the frame in standard axes [m]."""
        (x, y), angle = self.frame
        c, s = math.cos(angle), math.sin(angle)
        return (x + c * u - s * v, y + s * u + c * v)

    def extremes(self, within: Outline) -> tuple[tuple[float, Point], tuple[float, Point]] | None:
        """The coldest and the hottest cell inside an outline: temperature [K] and place; None where none
        is."""
        u, v, kelvin = self.cells
        found = [
            (float(kelvin[j, i]), self.place(float(u[i]), float(v[j])))
            for j, i in zip(*np.nonzero(np.isfinite(kelvin)), strict=True)
        ]
        inside = [f for f in found if within.contains(f[1])]
        return (min(inside), max(inside)) if inside else None

    def above(
        self, kelvin: float, window: tuple[float, float, float, float], mirrored: bool
    ) -> tuple[Ring, ...]:
        """Rings (even-odd) round all that is above a temperature, cut to a window [m] as it is seen.

        Args:
            kelvin: the temperature [K].
            window: least and greatest x and y of what is drawn, as seen [m].
            mirrored: seen from the inside: y is turned over.
        """
        u, v, z = self.nodes
        generator: Any = contourpy.contour_generator(
            u, v, np.ma.masked_invalid(z), fill_type=contourpy.FillType.OuterOffset, corner_mask=False
        )
        shapes, offsets = generator.filled(kelvin, np.inf)
        frame, rings = box(*window), list[Ring]()
        for points, offset in zip(shapes, offsets, strict=True):
            loops = [self._seen(points[a:b], mirrored) for a, b in itertools.pairwise(offset)]
            whole = Polygon(loops[0], loops[1:]).buffer(0.0).intersection(frame).simplify(_NEAR)
            for part in getattr(whole, "geoms", [whole]):
                if isinstance(part, Polygon) and not part.is_empty:
                    rings += [tuple(r.coords)[:-1] for r in (part.exterior, *part.interiors)]
        return tuple(rings)

    def lines(self, kelvin: float, mirrored: bool) -> tuple[Ring, ...]:
        """The isolines of a temperature [K], as they are seen [m], the longest first."""
        u, v, z = self.nodes
        drawn: Any = contourpy.contour_generator(u, v, np.ma.masked_invalid(z), corner_mask=False)
        made = drawn.lines(kelvin)
        lines = [self._seen(line, mirrored) for line in made if len(line) > 1]
        return tuple(tuple(line) for line in sorted(lines, key=lambda r: -_length(r)))

    def _seen(self, points: Array, mirrored: bool) -> list[Point]:
        sign = -1.0 if mirrored else 1.0
        placed = (self.place(float(p[0]), float(p[1])) for p in points)
        return [(x, sign * y) for x, y in placed]


def _length(line: list[Point]) -> float:
    return sum(math.dist(a, b) for a, b in itertools.pairwise(line))


def _refined(centres: Array, lines: tuple[float, ...]) -> Array:
    """Centres with the lines between and round them; only the centres where no lines are given."""
    if len(lines) != len(centres) + 1:
        return centres
    made = np.empty(2 * len(centres) + 1)
    made[0::2], made[1::2] = lines, centres
    return made


def _between(values: Array, centres: Array, lines: tuple[float, ...]) -> Array:
    """Values on the lines too: straight between two centres, level at the ends and beside nothing."""
    if len(lines) != len(centres) + 1:
        return values
    made = np.empty((values.shape[0], 2 * len(centres) + 1))
    made[:, 1::2] = values
    made[:, 0], made[:, -1] = values[:, 0], values[:, -1]
    if len(centres) > 1:
        share = (np.array(lines[1:-1]) - centres[:-1]) / np.diff(centres)
        left, right = values[:, :-1], values[:, 1:]
        straight = (1.0 - share) * left + share * right
        made[:, 2:-1:2] = np.where(np.isnan(left), right, np.where(np.isnan(right), left, straight))
    return made
