"""Shapes that cannot be: each is refused with words."""

from __future__ import annotations

import math

import pytest

from panelmend.errors import ShapeError
from panelmend.shapes import (
    Cylinder,
    circle,
    distance_to_segment,
    ellipse,
    least_circle,
    least_ellipse,
    least_oval,
    least_rectangle,
    mapped,
    offset,
    outline,
    oval,
    polygon,
    rectangle,
    stretched,
    to_polygon,
    trim_corners,
)

SQUARE = [(0, 0), (0.1, 0), (0.1, 0.1), (0, 0.1)]


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([], "too few vertices"),
        ([(0, 0)], "too few vertices"),
        ([(0, 0), (1, 0)], "too few vertices"),
        ([(0, 0, 1.0)], "too few vertices|same place"),
        ([*SQUARE, (0, 0)], "same place"),
        ([(0, 0), (0, 0), (1, 1)], "same place"),
        ([(0, 0), (0.1, 0.1), (0.1, 0), (0, 0.1)], "crosses or touches itself"),
        ([(0, 0), (0.1, 0), (0.05, 0)], "crosses or touches itself"),
        ([(0, 0), (0.1, 0), (0.2, 0), (0.05, 0)], "crosses or touches itself"),
        ([(0, 0), (0.1, 0), (0.1, 0.1), (0.05, 0), (0, 0.1)], "crosses or touches itself"),
        ([(0, 0, -0.9), (0.1, 0), (0.1, 0.01), (0, 0.01)], "crosses or touches itself"),
        ([(0, 0, 0.5), (0.1, 0, -0.5)], "crosses or touches itself|encloses nothing"),
        ([(0, math.nan), (1, 0), (1, 1)], "no number"),
        ([(0, math.inf), (1, 0), (1, 1)], "no number"),
        ([(0, 0), (1e9, 0), (1, 1)], "too far away"),
        ([(0,), (1, 0), (1, 1)], "not a vertex"),
        ([(0, 0, 0, 0), (1, 0), (1, 1)], "not a vertex"),
        ([("a", 0), (1, 0), (1, 1)], "not a vertex"),
        ([None, (1, 0), (1, 1)], "not a vertex"),
    ],
)
def test_bad_outlines(rows: list, words: str) -> None:
    with pytest.raises(ShapeError, match=words):
        outline(rows, "damage.outline")


def test_the_place_is_named() -> None:
    with pytest.raises(ShapeError, match=r"damage\.outline.*segments 1 and 3.*mm"):
        outline([(0, 0), (0.1, 0.1), (0.1, 0), (0, 0.1)], "damage.outline")


@pytest.mark.parametrize("size", [0.0, -0.1, math.nan, math.inf, 1e6])
def test_sizes_above_zero(size: float) -> None:
    for make in (
        lambda: circle((0, 0), size),
        lambda: rectangle((0, 0), size, 0.1),
        lambda: rectangle((0, 0), 0.1, size),
        lambda: oval((0, 0), size, 0.1),
        lambda: ellipse((0, 0), 0.2, size),
    ):
        with pytest.raises(ShapeError, match="above zero"):
            make()


def test_other_makers() -> None:
    with pytest.raises(ShapeError, match="half the shorter side"):
        rectangle((0, 0), 0.2, 0.1, 0, 0.051)
    with pytest.raises(ShapeError, match="radius below zero"):
        rectangle((0, 0), 0.2, 0.1, 0, -0.01)
    with pytest.raises(ShapeError, match="wider than it is long"):
        oval((0, 0), 0.1, 0.2)
    with pytest.raises(ShapeError, match="wider than it is long"):
        ellipse((0, 0), 0.1, 0.2)
    with pytest.raises(ShapeError, match="tolerance"):
        ellipse((0, 0), 0.2, 0.1, 0, 0.0)
    with pytest.raises(ShapeError, match="no number"):
        circle((math.nan, 0), 0.1)
    with pytest.raises(ShapeError, match="not a vertex"):
        polygon([(0,), (1, 0), (1, 1)])


def test_operations() -> None:
    square = polygon(SQUARE)
    with pytest.raises(ShapeError, match="trims meet"):
        trim_corners(square, 0.1 / math.sqrt(2))
    with pytest.raises(ShapeError, match="below zero"):
        trim_corners(square, -0.01)
    with pytest.raises(ShapeError, match="no usable number"):
        offset(square, math.nan)
    with pytest.raises(ShapeError, match="unknown corners"):
        offset(square, 0.01, "sharp")  # type: ignore[arg-type]
    with pytest.raises(ShapeError, match="without length"):
        distance_to_segment(square, (0, 0), (0, 0))


def test_bad_covers_maps_and_polygons() -> None:
    square = polygon(SQUARE)
    for bad in (-0.01, math.nan, math.inf):
        with pytest.raises(ShapeError, match="margin below zero"):
            least_circle(square, bad)
    with pytest.raises(ShapeError, match="nothing to cover"):
        least_oval([])
    with pytest.raises(ShapeError, match="not a point to cover"):
        least_circle([(1.0,)])
    with pytest.raises(ShapeError, match="without a margin"):
        least_circle([(0.0, 0.0)])
    with pytest.raises(ShapeError, match="one straight"):
        least_ellipse([(0.0, 0.0), (1.0, 1.0)])
    with pytest.raises(ShapeError, match="radius below zero"):
        least_rectangle(square, -0.01)
    with pytest.raises(ShapeError, match="stretch factor"):
        stretched(square, 0.0, 0.0)
    with pytest.raises(ShapeError, match="tolerance out of reach"):
        mapped(square, lambda x, y: (x, y), 0.0)
    with pytest.raises(ShapeError, match="unknown side"):
        to_polygon(square, 1e-4, "left")  # type: ignore[arg-type]
    with pytest.raises(ShapeError, match="radius of curvature"):
        Cylinder(0.0, 0.0)
