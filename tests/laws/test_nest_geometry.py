"""Our own polygon geometry against GEOS (through shapely), and its identities."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from panelmend.job.nest import geometry

REPEATABLE = settings(derandomize=True, database=None, deadline=None, max_examples=80)


def star(seed: int, count: int) -> geometry.Points:
    """A simple polygon: radii over rising angles, often far from convex."""
    rng = np.random.default_rng(seed)
    angles = (np.arange(count) + rng.uniform(0.1, 0.9, count)) * 2.0 * math.pi / count
    radii = rng.uniform(0.2, 1.0, count)
    return np.column_stack((radii * np.cos(angles), radii * np.sin(angles)))


stars = st.builds(star, st.integers(0, 10_000), st.integers(4, 12))


@REPEATABLE
@given(stars, st.floats(-3.2, 3.2), st.booleans())
def test_turning_keeps_area_perimeter_and_sense(points: geometry.Points, turn: float, over: bool) -> None:
    made = geometry.turned_boundary(points, turn, over)
    assert geometry.signed_area(made) == pytest.approx(geometry.signed_area(points), rel=1e-12)
    assert geometry.signed_area(points) == pytest.approx(Polygon(points).area, rel=1e-12)
    assert geometry.perimeter(made) == pytest.approx(Polygon(points).length, rel=1e-12)


@REPEATABLE
@given(stars, stars, st.floats(-2.5, 2.5), st.floats(-2.5, 2.5))
def test_separation_is_the_distance_of_geos(
    a: geometry.Points, b: geometry.Points, dx: float, dy: float
) -> None:
    b = b + np.array([dx, dy])
    mine, step = geometry.separation(a, b)
    theirs = Polygon(a).distance(Polygon(b))
    if theirs > 0.0:
        assert mine == pytest.approx(theirs, abs=1e-12)
        assert np.hypot(*step) == pytest.approx(theirs, abs=1e-12)
    else:
        assert mine <= 0.0


@REPEATABLE
@given(stars, stars, st.floats(-1.5, 1.5), st.floats(-1.5, 1.5))
def test_depth_is_never_more_than_the_truth_and_finds_every_real_overlap(
    a: geometry.Points, b: geometry.Points, dx: float, dy: float
) -> None:
    b = b + np.array([dx, dy])
    one, two = Polygon(a), Polygon(b)
    depth, _ = geometry.overlap_depth(a, b)
    common = one.intersection(two)
    if common.area > 1e-9:
        assert depth > 0.0
    else:
        assert depth <= 1e-9
    if depth > 0.0:
        # nothing of one is deeper in the other than the other's own deepest place
        deepest = max(shapely.maximum_inscribed_circle(p).length for p in (one, two))
        assert depth <= deepest + 1e-2


def test_pieces_that_lie_exactly_on_one_another_overlap() -> None:
    a = star(3, 9)
    assert geometry.separation(a, a.copy())[0] < -0.05


def test_pieces_that_touch_along_a_side_have_no_depth() -> None:
    square = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
    assert abs(geometry.separation(square, square + np.array([1.0, 0.25]))[0]) < 1e-12


def test_a_cross_without_any_vertex_inside_is_found() -> None:
    flat = np.array([[-2.0, -0.1], [2.0, -0.1], [2.0, 0.1], [-2.0, 0.1]])
    assert geometry.separation(flat, geometry.turned_boundary(flat, math.pi / 2))[0] == pytest.approx(
        -0.1, abs=1e-3
    )


def test_quarter_turns_are_exact() -> None:
    assert geometry.cos_sin(math.pi / 2) == (0.0, 1.0)
    assert geometry.cos_sin(-math.pi / 2) == (0.0, -1.0)
    assert geometry.cos_sin(math.pi) == (-1.0, 0.0)


@REPEATABLE
@given(stars, st.floats(-0.9, 0.9))
def test_chords_are_those_of_geos(points: geometry.Points, y: float) -> None:
    ends = geometry.chord_ends(points, y)
    line = shapely.LineString([(-2.0, y), (2.0, y)]).intersection(Polygon(points))
    assert sum(ends[1::2]) - sum(ends[0::2]) == pytest.approx(line.length, abs=1e-9)


@pytest.mark.parametrize(
    ("points", "word"),
    [
        ([(0, 0), (1, 0)], "three points"),
        ([(0, 0), (1, 0), (float("nan"), 1)], "finite"),
        ([(0, 0), (1, 0), (2, 0)], "encloses nothing"),
        ([(0, 0), (2, 0), (0, 1), (2, 1)], "crosses"),
        ([(0, 0), (2, 0), (1, 0), (1, 1)], "touches itself"),
        ([(0, 0), (4, 0), (4, 4), (2, 0), (0, 4)], "touches itself"),
    ],
)
def test_faults_are_named(points: list[tuple[float, float]], word: str) -> None:
    assert word in geometry.boundary_fault(np.asarray(points, dtype=float))
