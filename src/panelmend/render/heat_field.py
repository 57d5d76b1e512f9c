"""The field of a temperature map: where it is above a temperature, its isolines, its hottest and coldest
place."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

import contourpy
import numpy as np
from numpy.typing import NDArray
from shapely import Polygon, box, get_coordinates

from panelmend.job.cure.prediction import HeatMap
from panelmend.shapes import Outline, Point
from panelmend.shapes.segments import TINY

Array = NDArray[np.float64]
Ring = tuple[Point, ...]
Extremes = tuple[tuple[float, Point], tuple[float, Point]]
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
        kelvin = _values_on_lines(kelvin, u, self.map.u)
        kelvin = _values_on_lines(kelvin.T, v, self.map.v).T
        return _centres_and_lines(u, self.map.u), _centres_and_lines(v, self.map.v), kelvin

    def place(self, u: Any, v: Any) -> tuple[Any, Any]:
        """A point of the frame in standard axes [m], or many: x and y of the shape of u and v."""
        (x, y), angle = self.frame
        c, s = math.cos(angle), math.sin(angle)
        return x + c * u - s * v, y + s * u + c * v

    def extremes(self, within: Outline) -> Extremes | None:
        """The coldest and the hottest cell inside an outline: temperature [K] and place; None where none
        is."""
        if within not in self._extremes:
            u, v, kelvin = self.cells
            j, i = np.nonzero(np.isfinite(kelvin))
            x, y = self.place(u[i], v[j])
            x0, y0, x1, y1 = within.bounds
            # most cells lie outside its box, and are told so all at once
            near = ~((x < x0 - TINY) | (x > x1 + TINY) | (y < y0 - TINY) | (y > y1 + TINY))
            at = zip(x[near].tolist(), y[near].tolist(), strict=True)
            found = zip(kelvin[j, i][near].tolist(), at, strict=True)
            inside = [f for f in found if within.contains(f[1])]
            self._extremes[within] = (min(inside), max(inside)) if inside else None
        return self._extremes[within]

    @cached_property
    def _extremes(self) -> dict[Outline, Extremes | None]:
        return {}

    @cached_property
    def _lines(self) -> dict[tuple[float, bool], tuple[Ring, ...]]:
        return {}

    @cached_property
    def _contours(self) -> Any:
        u, v, z = self.nodes
        return contourpy.contour_generator(
            u, v, np.ma.masked_invalid(z), fill_type=contourpy.FillType.OuterOffset, corner_mask=False
        )

    def above(
        self, kelvin: float, window: tuple[float, float, float, float], mirrored: bool
    ) -> tuple[Ring, ...]:
        """Rings (even-odd) round all that is above a temperature, cut to a window [m] as it is seen.

        Args:
            kelvin: the temperature [K].
            window: least and greatest x and y of what is drawn, as seen [m].
            mirrored: seen from the inside: y is turned over.
        """
        shapes, offsets = self._contours.filled(kelvin, np.inf)
        frame, rings = box(*window), list[Ring]()
        for points, offset in zip(shapes, offsets, strict=True):
            loops = [self._seen(points[a:b], mirrored) for a, b in itertools.pairwise(offset)]
            whole = Polygon(loops[0], loops[1:]).buffer(0.0).intersection(frame).simplify(_NEAR)
            for part in getattr(whole, "geoms", [whole]):
                if isinstance(part, Polygon) and not part.is_empty:
                    closed = (get_coordinates(r).tolist() for r in (part.exterior, *part.interiors))
                    rings += [tuple((x, y) for x, y in ring[:-1]) for ring in closed]
        return tuple(rings)

    def lines(self, kelvin: float, mirrored: bool) -> tuple[Ring, ...]:
        """The isolines of a temperature [K], as they are seen [m], the longest first."""
        if (kelvin, mirrored) not in self._lines:
            made = self._contours.lines(kelvin)
            lines = [self._seen(line, mirrored) for line in made if len(line) > 1]
            ordered = sorted(lines, key=lambda r: -sum(math.dist(a, b) for a, b in itertools.pairwise(r)))
            self._lines[kelvin, mirrored] = tuple(tuple(line) for line in ordered)
        return self._lines[kelvin, mirrored]

    def _seen(self, points: Array, mirrored: bool) -> list[Point]:
        x, y = self.place(points[:, 0], points[:, 1])
        return list(zip(x.tolist(), ((-1.0 if mirrored else 1.0) * y).tolist(), strict=True))


@lru_cache(maxsize=16)  # an operation has some seven; colours, lines and marks ask for the same field
def drawn_field(shown: HeatMap, frame: tuple[Point, float]) -> Field:
    """The field of a map, made once while it is drawn."""
    return Field(shown, frame)


def _centres_and_lines(centres: Array, lines: tuple[float, ...]) -> Array:
    """Centres with the lines between and round them; only the centres where no lines are given."""
    if len(lines) != len(centres) + 1:
        return centres
    made = np.empty(2 * len(centres) + 1)
    made[0::2], made[1::2] = lines, centres
    return made


def _values_on_lines(values: Array, centres: Array, lines: tuple[float, ...]) -> Array:
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
