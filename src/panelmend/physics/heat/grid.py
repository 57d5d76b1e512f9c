"""The plane grid: lines on the edges of patch, blanket and ribs, even between them, stretched outside."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from panelmend.errors import InputError

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Grid:
    """Lines of a rectangular grid."""

    x: tuple[float, ...]  # lines across x, rising [m]
    y: tuple[float, ...]  # lines across y, rising [m]

    def __post_init__(self) -> None:
        for name, lines in (("x", self.x), ("y", self.y)):
            if len(lines) < 2 or any(not b > a for a, b in pairwise(lines)):
                raise InputError(f"grid lines in {name} must rise, two at least", read=f"{lines}")

    @property
    def shape(self) -> tuple[int, int]:
        """Cells along y and x [-]."""
        return len(self.y) - 1, len(self.x) - 1

    @cached_property
    def dx(self) -> Array:
        """Cell widths along x [m], shape (nx,)."""
        return np.diff(np.array(self.x))

    @cached_property
    def dy(self) -> Array:
        """Cell widths along y [m], shape (ny,)."""
        return np.diff(np.array(self.y))

    @cached_property
    def cx(self) -> Array:
        """Cell centres along x [m], shape (nx,)."""
        return np.array(self.x[:-1]) + 0.5 * self.dx

    @cached_property
    def cy(self) -> Array:
        """Cell centres along y [m], shape (ny,)."""
        return np.array(self.y[:-1]) + 0.5 * self.dy

    @cached_property
    def area(self) -> Array:
        """Cell areas [m2], shape (ny, nx)."""
        return np.outer(self.dy, self.dx)

    def share(self, inside: Callable[[Array, Array], NDArray[np.bool_]], samples: int = 4) -> Array:
        """Share of each cell that lies inside a shape.

        Args:
            inside: says for arrays of x and y [m] which points lie inside.
            samples: points per cell and direction [-].

        Returns:
            0 to 1 [-], shape (ny, nx).
        """
        offsets = (np.arange(samples) + 0.5) / samples
        total = np.zeros(self.shape)
        for a in offsets:
            for b in offsets:
                px = np.array(self.x[:-1]) + a * self.dx
                py = np.array(self.y[:-1]) + b * self.dy
                gx, gy = np.meshgrid(px, py)
                total += inside(gx, gy)
        return total / samples**2

    def rectangle(self, x0: float, x1: float, y0: float, y1: float) -> Array:
        """Exact share [-] of each cell inside a rectangle along the axes [m], shape (ny, nx)."""
        lines_x, lines_y = np.array(self.x), np.array(self.y)
        sx = np.clip(np.minimum(lines_x[1:], x1) - np.maximum(lines_x[:-1], x0), 0.0, None) / self.dx
        sy = np.clip(np.minimum(lines_y[1:], y1) - np.maximum(lines_y[:-1], y0), 0.0, None) / self.dy
        return np.outer(sy, sx)


def lines(
    marks: Sequence[float],
    low: float,
    high: float,
    spacing: float,
    *,
    growth: float = 1.3,
    largest: float = 0.1,
) -> tuple[float, ...]:
    """Grid lines in one direction: on every mark, even between, stretched from the outer marks to the ends.

    Args:
        marks: places that must lie on a line [m]; at least two inside the ends.
        low: lower end of the panel or of the part looked at [m].
        high: upper end [m].
        spacing: widest cell between the marks [m].
        growth: ratio of neighbouring cells outside [-], 1 to 2.
        largest: widest cell outside [m].

    Returns:
        rising lines [m].

    Raises:
        InputError: marks outside the ends, no spacing.
    """
    if not (spacing > 0.0 and largest > 0.0 and 1.0 <= growth <= 2.0):
        raise InputError("spacing must be positive and growth 1 to 2", read=f"{spacing:g} m, {growth:g}")
    wanted = sorted({round(m, 9) for m in marks})
    if not wanted or wanted[0] < low - 1e-9 or wanted[-1] > high + 1e-9 or not high > low:
        raise InputError("grid marks must lie between the ends", read=f"{wanted} in {low:g} to {high:g} m")
    inner: list[float] = [wanted[0]]
    for a, b in pairwise(wanted):
        n = max(1, math.ceil((b - a) / spacing - 1e-9))
        inner += [a + (b - a) * (i + 1) / n for i in range(n)]
    before = [wanted[0] - s for s in reversed(_stretched(wanted[0] - low, spacing, growth, largest))]
    after = [wanted[-1] + s for s in _stretched(high - wanted[-1], spacing, growth, largest)]
    return tuple(before + inner + after)


def _stretched(length: float, first: float, growth: float, largest: float) -> list[float]:
    """Distances from a mark outwards to exactly ``length``."""
    if length <= 1e-9:
        return []
    widths, total, width = [], 0.0, first
    while total < length - 1e-12:
        widths.append(width)
        total += width
        width = min(width * growth, largest)
    scale = length / total
    places = np.cumsum(np.array(widths) * scale)
    return [float(p) for p in places[:-1]] + [length]
