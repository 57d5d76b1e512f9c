"""Outlines: areas, centroids, bounds, motions and containment agree with each other and with polygons."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point as ShapelyPoint

from panelmend.derive import Thing
from panelmend.shapes import Outline, Vertex, circle, ellipse, outline, rectangle
from shapes_made import any_outlines, convex_outlines, copied

STEADY = settings(derandomize=True, database=None, deadline=None, max_examples=60)


@STEADY
@given(any_outlines())
def test_measures_agree_with_a_fine_polygon(o: Outline) -> None:
    p = copied(o, 400)
    # chords of 1/400 of an arc miss less than 1e-5 of the area between arc and chord
    assert o.area == pytest.approx(p.area, rel=3e-5)
    assert o.perimeter == pytest.approx(p.length, rel=3e-5)
    assert o.centroid == pytest.approx((p.centroid.x, p.centroid.y), abs=3e-6)
    assert o.bounds == pytest.approx(p.bounds, abs=3e-6)


@STEADY
@given(any_outlines(), st.floats(-3, 3), st.floats(-1, 1))
def test_motions_keep_the_shape(o: Outline, angle: float, dx: float) -> None:
    for other in (o.moved(dx, -dx), o.turned(angle, (dx, 0.2)), o.mirrored_y()):
        assert other.area == pytest.approx(o.area, rel=1e-9)
        assert other.perimeter == pytest.approx(o.perimeter, rel=1e-9)
        assert outline(other.vertices) == other  # still counter-clockwise and simple
    assert o.turned(angle).extent(angle + 0.3) == pytest.approx(o.extent(0.3), abs=1e-12)
    assert o.mirrored_y().mirrored_y() == o
    assert o.mirrored_y().extent(-0.4) == pytest.approx(o.extent(0.4), abs=1e-12)
    cx, cy = o.centroid
    assert o.mirrored_y().centroid == pytest.approx((cx, -cy), abs=1e-12)


@STEADY
@given(any_outlines(), st.floats(-0.11, 0.11), st.floats(-0.11, 0.11))
def test_containment_agrees_with_a_fine_polygon(o: Outline, x: float, y: float) -> None:
    p = copied(o, 400)
    if p.exterior.distance(ShapelyPoint(x, y)) > 1e-6:
        assert o.contains((x, y)) == p.contains(ShapelyPoint(x, y))


@STEADY
@given(any_outlines())
def test_vertices_are_on_the_boundary_and_contained(o: Outline) -> None:
    for s in o.segments():
        assert o.contains(s.at(0.5))
        assert o.reach(*s.at(0.3))[0] == pytest.approx(0.0, abs=1e-12)


@STEADY
@given(any_outlines())
def test_largest_extent_is_the_greatest_width_and_the_greatest_chord(o: Outline) -> None:
    widest = max(o.extent(math.pi * k / 720) for k in range(720))
    assert widest <= o.largest_extent() + 1e-12
    assert o.largest_extent() == pytest.approx(widest, rel=2e-5)  # 1 - cos(1/8 degree) = 2.4e-6


@STEADY
@given(convex_outlines())
def test_convex_shapes_are_known_as_convex(o: Outline) -> None:
    assert o.is_convex
    mean = sum(o.extent(math.pi * (k + 0.5) / 400) for k in range(400)) / 400
    assert o.perimeter == pytest.approx(math.pi * mean, rel=1e-4)  # Cauchy: perimeter = pi x mean width


def test_digest_does_not_depend_on_the_first_vertex_or_the_sense() -> None:
    rows = [(0.0, 0.0, 0.0), (0.1, 0.0, 0.3), (0.1, 0.05, 0.0), (0.0, 0.05, -0.2)]
    o = outline(rows)
    assert outline(rows[2:] + rows[:2]).digest() == o.digest()
    back = [(rows[-i % 4][0], rows[-i % 4][1], -rows[(-i - 1) % 4][2]) for i in range(4)]
    assert outline(back).digest() == o.digest()
    assert o.moved(1e-8, 0).digest() != o.digest()


def test_an_outline_is_a_thing_and_survives_json() -> None:
    o = rectangle((0.0, 0.0), 0.2143, 0.128, 0.0, 0.01)
    assert isinstance(o, Thing)
    assert o.summary() == "closed outline, 8 vertices, 214.3 x 128.0 mm"
    assert o.summary("in") == "closed outline, 8 vertices, 8.437 x 5.039 in"
    assert outline(o.to_json()["vertices"]) == o


def test_nearly_straight_arcs_keep_their_area() -> None:
    o = outline([(0, 0, 1e-6), (1, 0), (1, 1), (0, 1)])
    assert o.area - 1.0 == pytest.approx(1e-6 / 3.0, rel=1e-6)  # 2/3 chord x sagitta


def test_far_from_the_origin() -> None:
    near, far = circle((0.0, 0.0), 0.1), circle((900.0, -900.0), 0.1)
    assert far.area == pytest.approx(near.area, rel=1e-9)
    assert far.centroid == pytest.approx((900.0, -900.0), abs=1e-9)


def test_a_two_arc_lens_and_a_moon() -> None:
    lens = outline([Vertex(0, 0, 0.4), Vertex(1, 0, 0.4)])
    moon = outline([Vertex(0, 0, 0.8), Vertex(1, 0, -0.4)])
    half = lens.area / 2
    disc = outline([Vertex(0, 0, 0.8), Vertex(1, 0, 0.0)])
    assert moon.area == pytest.approx(disc.area - half, rel=1e-12)
    assert not moon.is_convex
    assert lens.is_convex


def test_ellipse_is_symmetric() -> None:
    e = ellipse((0.0, 0.0), 0.2, 0.09)
    rows = {(round(v.x, 12), round(v.y, 12)) for v in e.vertices}
    assert rows == {(-x, y) for x, y in rows} == {(x, -y) for x, y in rows}
    assert e.centroid == pytest.approx((0.0, 0.0), abs=1e-15)
